"""What wear the sample shows if it is a certain listed chain: elongation and lost material, with uncertainty.

The law is that of the identification. A pitch is the new pitch, shared by all readings, plus as many times the
elongation as the link and the reference say (`measuring.growth`); a part's size is the new part's, by the limit
kind of its figure, less the loss. What the identification integrates out is here kept on a grid. A reading that
is likelier a mistake than what it says is left out, and that is said.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog, Limit
from chaincase.chains.dimensions import COLUMN, DIMENSIONS, Group
from chaincase.chains.kinds import KINDS, Kind
from chaincase.identifying.amounts import Amounts
from chaincase.identifying.blunders import alternatives
from chaincase.identifying.constants import MISNAMED_LINK, MOST_OF_MEAN, USUAL_PIN
from chaincase.identifying.constants import Wear as State
from chaincase.identifying.density import log_density
from chaincase.identifying.expectation import Expectation, expectation
from chaincase.identifying.likelihood import over_edges
from chaincase.identifying.naming import meanings
from chaincase.identifying.right_readings import most_wear, states_of_wear, wears_by
from chaincase.identifying.sizes import Measured
from chaincase.identifying.wear_words import elongation_in_words, loss_in_words, too_little_known
from chaincase.measuring.growth import Link, Mixture, growth
from chaincase.measuring.wear import DRIFT

Array = NDArray[np.float64]

_PITCH = COLUMN["pitch"]
_NODES = 401
_WORN_PARTS = frozenset({Group.DIAMETER, Group.BORE, Group.HEIGHT, Group.THICKNESS})
_REACH = 5.0
"""New pitches are integrated over so many standard deviations."""


@dataclass(frozen=True, slots=True)
class WearEstimate:
    """Wear of one dimension, given which chain it is.

    Attributes
    ----------
    dimension : str
        What it is the wear of.
    words : str
        All of it for a person, the usual limit included.
    elongation_percent : float or None
        For the pitch: mean elongation per pitch [%]; None where it cannot be told.
    loss_mm, loss_percent : float or None
        For a part: material lost [mm] and [% of the table's figure]; None where it cannot be told.
    u_percent : float or None
        Standard uncertainty [%].
    low, high : float or None
        Within these it lies with 95 % probability [%].
    """

    dimension: str
    words: str
    elongation_percent: float | None = None
    loss_mm: float | None = None
    loss_percent: float | None = None
    u_percent: float | None = None
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class PitchSeen:
    """One reading of the pitch: mean per pitch and standard uncertainty [mm], and how often wear shows in it."""

    value: float
    u: float
    grows: Mixture


def wear_of(row: int, measured: Sequence[Measured], catalog: Catalog) -> tuple[WearEstimate, ...]:
    """Give the wear of a sample that is the chain of a row, elongation first.

    Parameters
    ----------
    row : int
        Row of the catalog.
    measured : sequence of Measured
        Usable readings of the sample.
    catalog : Catalog
        The chains.

    Returns
    -------
    tuple of WearEstimate
        One per dimension measured that wear changes; where readings were taken but say nothing, the words say why.
    """
    one = expectation(catalog).only(row)
    kind = KINDS[int(catalog.kind[row])]
    by_column: dict[int, list[Measured]] = {}
    for each in measured:
        column = _column(each, one)
        if column is not None:
            by_column.setdefault(column, []).append(each)
    return tuple(
        _elongation(by_column[column], one, kind)
        if column == _PITCH
        else _loss(by_column[column], one, column, Limit(int(catalog.limits[row, column])))
        for column in sorted(by_column)
    )


def _column(each: Measured, one: Expectation) -> int | None:
    """Give the dimension that a reading is of, if it wears and there is no doubt which it is."""
    found = [column for column, weight in meanings(each.name, one.exists).items() if weight[0] > 0]
    if len(found) != 1:
        return None
    dimension = DIMENSIONS[found[0]]
    lost = (loss for _, loss in _worn(states_of_wear(found[0]), 1.0, DRIFT[dimension.name].wear))
    wears = dimension.group in _WORN_PARTS and any(loss > 0 for loss in lost)
    return found[0] if found[0] == _PITCH or wears else None


# Elongation


def _elongation(group: Sequence[Measured], one: Expectation, kind: Kind) -> WearEstimate:
    if not one.listed[0, _PITCH]:
        return WearEstimate("pitch", "elongation cannot be told: the table leaves the pitch open")
    mean, spread = float(one.mean[0, _PITCH]), float(one.spread[0, _PITCH])
    kept = [each for each in group if _is_as_said(each, one, kind)]
    left_out = len(group) - len(kept)
    seen = [_seen(each, one, kind) for each in kept]
    if all(factor == 0.0 for each in seen for factor, _ in each.grows):
        return WearEstimate("pitch", too_little_known([each.reading for each in kept], left_out))
    law = elongation_law(seen, mean, spread, _pin(one))
    low, high = law.quantile(0.025), law.quantile(0.975)
    return WearEstimate(
        "pitch",
        elongation_in_words(law, kind, left_out),
        elongation_percent=100 * law.mean,
        u_percent=100 * law.sd,
        low=100 * low,
        high=100 * high,
    )


def _said_growth(each: Measured, kind: Kind) -> Mixture:
    read = each.reading
    return growth(kind.links, read.link, read.reference, read.over, read.technique)


def _unsaid_growth(each: Measured, kind: Kind) -> Mixture:
    read = each.reading
    return growth(kind.links, Link.UNKNOWN, read.reference, read.over, read.technique)


def _seen(each: Measured, one: Expectation, kind: Kind, *, as_said: bool = True) -> PitchSeen:
    """Give a reading as one of the pitch; over edges of a part not named, with the part that fits best."""
    grows = _said_growth(each, kind) if as_said else _unsaid_growth(each, kind)
    if not each.edge_sign:
        return PitchSeen(each.value, each.u, grows)
    mean, spread = float(one.mean[0, _PITCH]), float(one.spread[0, _PITCH])
    tried = [_over(over_edges(each, one, part), one, each, grows) for part in each.needs]
    return max(tried, key=lambda seen: elongation_law([seen], mean, spread, _pin(one)).log_evidence)


def _over(edges: Expectation, one: Expectation, each: Measured, grows: Mixture) -> PitchSeen:
    """Take the diameter between whose edges it was read off a reading, with the doubt about it."""
    shift = float(edges.mean[0, _PITCH] - one.mean[0, _PITCH])
    added = float(edges.spread[0, _PITCH] ** 2 - one.spread[0, _PITCH] ** 2)
    return PitchSeen(each.value - shift, float(np.sqrt(each.u**2 + added)), grows)


def _is_as_said(each: Measured, one: Expectation, kind: Kind) -> bool:
    """Tell whether a reading is likelier what it says than a mistake or a link of another name."""
    mean, spread = float(one.mean[0, _PITCH]), float(one.spread[0, _PITCH])
    said = elongation_law([_seen(each, one, kind)], mean, spread, _pin(one)).log_evidence + np.log1p(-each.blunder)
    other = _log_mistaken(each, one)
    if _said_growth(each, kind) != _unsaid_growth(each, kind):
        unsaid = elongation_law([_seen(each, one, kind, as_said=False)], mean, spread, _pin(one)).log_evidence
        said += np.log1p(-MISNAMED_LINK)
        other = np.logaddexp(other, unsaid + np.log(MISNAMED_LINK) + np.log1p(-each.blunder))
    return bool(said > other)


def _log_mistaken(each: Measured, one: Expectation) -> float:
    """Give the log of the probability of a mistake times the density of the reading if it is one."""
    found = meanings(each.name, one.exists)
    shown = [over_edges(each, one, part) for part in each.needs] if each.edge_sign else [one]
    wrong = [each_way for rows in shown for each_way in alternatives(each, rows, found)]
    terms = [float(each_way.log_weight[0] + each_way.log_density[0]) for each_way in wrong]
    return float(np.log(each.blunder / len(shown)) + np.logaddexp.reduce(terms))


def _pin(one: Expectation) -> float:
    """Give the diameter of the pin, which joint wear is relative to [mm]."""
    return float(wears_by(one, _PITCH)[0])


def elongation_law(seen: Sequence[PitchSeen], mean: float, spread: float, pin: float | None = None) -> Amounts:
    """Give the distribution of the elongation, given readings of the pitch.

    The new pitch x, normal about `mean`, is shared by all readings and integrated out:
    p(e | r) ∝ p(e) ∫ N(x; mean, spread) Π_j Σ_g p_g N(r_j; x + g e mean, u_j) dx.

    Parameters
    ----------
    seen : sequence of PitchSeen
        Readings; none gives the prior, the states of `constants.JOINT_WEAR`.
    mean, spread : float
        New pitch of the chain and its standard deviation [mm].
    pin : float, optional
        Diameter of its pin [mm]; without it, as on short-pitch chain.

    Returns
    -------
    Amounts
        Of e [-].

    >>> taped = PitchSeen(25.4 * 1.02, 0.01, ((1.0, 1.0),))
    >>> round(elongation_law([taped], 25.4, 0.02).mean, 3)
    0.02
    """
    per_pin = USUAL_PIN if pin is None else pin / mean
    grid = most_wear(_PITCH) * per_pin * np.linspace(0.0, 1.0, _NODES) ** 2
    exponentials = [(state.probability, state.relative * per_pin) for state in states_of_wear(_PITCH)]
    log_none, log_prior = _log_prior(grid, exponentials)
    log_likelihood = _log_likelihood(grid, seen, mean, spread)
    return Amounts.of(grid, log_none + log_likelihood[0], log_prior + log_likelihood)


def _log_prior(grid: Array, exponentials: Sequence[tuple[float, float]]) -> tuple[float, Array]:
    """Give log probability of no wear and log density of some up to the end of the grid, by probability and mean."""
    none = sum(chance for chance, mean in exponentials if mean == 0.0)
    some = np.zeros_like(grid)
    for chance, mean in exponentials:
        if mean > 0.0:
            some += chance / mean * np.exp(-grid / mean) / -np.expm1(-grid[-1] / mean)
    with np.errstate(divide="ignore"):
        return float(np.log(none)), np.log(some)


def _log_likelihood(grid: Array, seen: Sequence[PitchSeen], mean: float, spread: float) -> Array:
    """Give the log density of the readings for every elongation of the grid, new pitch integrated out."""
    if not seen:
        return np.zeros_like(grid)
    together = 1.0 / np.sqrt(sum(each.u**-2 for each in seen))
    nodes = int(np.clip(4 * _REACH * spread / together, 41, 801))
    z = np.linspace(-_REACH, _REACH, nodes)
    log_total = np.repeat(-0.5 * z[:, None] ** 2, len(grid), axis=1)
    for each in seen:
        off = (each.value - mean - spread * z)[:, None] / each.u
        terms = [
            np.log(chance) - 0.5 * (off - factor * mean / each.u * grid[None, :]) ** 2 for factor, chance in each.grows
        ]
        log_total += np.logaddexp.reduce(terms) - np.log(each.u * np.sqrt(2 * np.pi))
    step = z[1] - z[0]
    return np.asarray(np.logaddexp.reduce(log_total, axis=0) + np.log(step / np.sqrt(2 * np.pi)))


# Loss of material


def _loss(group: Sequence[Measured], one: Expectation, column: int, limit: Limit) -> WearEstimate:
    dimension = DIMENSIONS[column]
    if not one.listed[0, column]:
        return WearEstimate(dimension.name, f"{dimension.label}: loss cannot be told, the table leaves it open")
    kept = [each for each in group if _is_of_the_part(each, one, column)]
    if not kept:
        words = f"{dimension.label}: loss cannot be told, what was read does not fit this chain"
        return WearEstimate(dimension.name, words)
    law = loss_law([each.value for each in kept], [each.u for each in kept], one, column)
    figure = float(one.mean[0, column])
    low, high = law.quantile(0.025), law.quantile(0.975)
    return WearEstimate(
        dimension.name,
        loss_in_words(law, dimension, figure, limit, len(group) - len(kept)),
        loss_mm=law.mean,
        loss_percent=100 * law.mean / figure,
        u_percent=100 * law.sd / figure,
        low=100 * low / figure,
        high=100 * high / figure,
    )


def _is_of_the_part(each: Measured, one: Expectation, column: int) -> bool:
    right = loss_law([each.value], [each.u], one, column).log_evidence + np.log1p(-each.blunder)
    return bool(right > _log_mistaken(each, one))


def loss_law(values: Sequence[float], u: Sequence[float], one: Expectation, column: int) -> Amounts:
    """Give the distribution of the material lost at a part, given readings of it.

    A new part lies about a nominal figure, below a maximum or above a minimum; wear takes away from an outside
    dimension and widens a bore; rust goes the other way and hides no more than itself.

    Parameters
    ----------
    values, u : sequence of float
        Readings of the part and their standard uncertainties [mm].
    one : Expectation
        Of the row alone.
    column : int
        Dimension.

    Returns
    -------
    Amounts
        Of the loss [mm].
    """
    readings, sigma = np.asarray(values, dtype=np.float64), np.asarray(u, dtype=np.float64)
    mean, spread, slack = (float(part[0, column]) for part in (one.mean, one.spread, one.slack))
    way = DRIFT[DIMENSIONS[column].name].wear
    grid = most_wear(column) * mean * np.linspace(0.0, 1.0, _NODES) ** 2
    shown, once = mean + way * grid, np.ones_like(readings)
    room, end = np.full_like(grid, slack), np.full_like(grid, MOST_OF_MEAN * abs(slack))
    log_fit = log_density(readings, sigma, once, shown, np.full_like(grid, spread), room, end)
    states = states_of_wear(column)
    log_none, log_some = _log_prior(grid, list(_worn(states, mean, way)))
    none = [log_none + log_fit[0]]
    for chance, shift in _rusted(states, mean, way):
        scale = shift if shift * slack < 0 else shift + slack
        new = (np.array([mean]), np.array([spread]), np.array([scale]), np.array([MOST_OF_MEAN * abs(scale)]))
        none.append(np.log(chance) + log_density(readings, sigma, once, *new)[0])
    return Amounts.of(grid, float(np.logaddexp.reduce(none)), log_some + log_fit)


def _worn(states: Sequence[State], mean: float, way: int) -> Iterator[tuple[float, float]]:
    """Give the states that take material away, or none, as probability and mean loss [mm]."""
    for state in states:
        loss = way * (state.relative * mean + state.absolute)
        if loss >= 0:
            yield state.probability, loss


def _rusted(states: Sequence[State], mean: float, way: int) -> Iterator[tuple[float, float]]:
    """Give the states that add to the part instead, as probability and signed mean shift [mm]."""
    for state in states:
        shift = state.relative * mean + state.absolute
        if way * shift < 0:
            yield state.probability, shift
