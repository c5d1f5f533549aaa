"""The likelihood of readings: for every row of a catalog and for a chain that no row describes."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS, Links
from chaincase.identifying.blunders import alternatives
from chaincase.identifying.constants import (
    EDGE_DIAMETER,
    ELONGATION,
    NO_WEAR,
    UNLISTED,
    WEAR,
    Wear,
)
from chaincase.identifying.density import log_density
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.naming import meanings
from chaincase.identifying.sizes import Measured

Array = NDArray[np.float64]

_PITCH = COLUMN["pitch"]
_MOST_TOGETHER = 5
"""Up to so many readings of one dimension, any of them may be the blunder; beyond, one of them or all."""


@dataclass(frozen=True, eq=False, slots=True)
class Likelihood:
    """Log densities of readings of one name.

    Attributes
    ----------
    listed : ndarray, shape (n,)
        If the sample is the row's chain.
    unlisted : ndarray, shape (sorts, n)
        If it is an unlisted chain of each sort of `constants.UNLISTED` whose listed relative is the row.
    """

    listed: Array
    unlisted: Array

    def __add__(self, other: "Likelihood") -> "Likelihood":
        return Likelihood(self.listed + other.listed, self.unlisted + other.unlisted)


def grouped(measured_ones: Sequence[Measured]) -> list[list[Measured]]:
    """Put readings of one named dimension together; an unnamed one stands alone, as two may be of two dimensions."""
    groups: dict[str, list[Measured]] = {}
    for index, each in enumerate(measured_ones):
        named = each.name in COLUMN and not each.edge_sign
        groups.setdefault(each.name if named else f"{each.name} {index}", []).append(each)
    return list(groups.values())


def group_likelihood(group: Sequence[Measured], expected: Expectation, links: NDArray[np.int8]) -> Likelihood:
    """Give the likelihood of readings of one group (see `grouped`), blunders included.

    Parameters
    ----------
    group : sequence of Measured
        Readings of one dimension (or one unnamed reading).
    expected : Expectation
        Of n rows.
    links : ndarray of int8, shape (n,)
        Index into `LINKS` per row.
    """
    if group[0].edge_sign:
        return _over_some_edges(group[0], expected, links)
    return _likelihood(group, expected, links)


def _over_some_edges(each: Measured, expected: Expectation, links: NDArray[np.int8]) -> Likelihood:
    """Give the likelihood of a reading over edges whose parts are not named: pins, rollers or bushes alike."""
    parts = [_likelihood([each], over_edges(each, expected, name), links) for name in each.needs]
    share = -np.log(len(parts))
    return Likelihood(
        _log_sum([part.listed + share for part in parts]), _log_sum([part.unlisted + share for part in parts])
    )


def _likelihood(group: Sequence[Measured], expected: Expectation, links: NDArray[np.int8]) -> Likelihood:
    found = meanings(group[0].name, expected.exists)
    wrong = [_log_sum([a.log_weight + a.log_density for a in alternatives(each, expected, found)]) for each in group]
    listed, unlisted = [], []
    for good in _subsets(len(group)):
        fixed = sum(
            (np.log1p(-each.blunder) if i in good else np.log(each.blunder) + wrong[i] for i, each in enumerate(group)),
            np.zeros(len(links)),
        )
        if not good:
            listed.append(fixed)
            unlisted.append(np.tile(fixed, (len(UNLISTED), 1)))
            continue
        chosen = [group[i] for i in sorted(good)]
        listed.append(fixed + _as_named(chosen, expected, found, links))
        unlisted.append(fixed + _as_unlisted(chosen, expected, found, links))
    return Likelihood(_log_sum(listed), _log_sum(unlisted))


def over_edges(each: Measured, expected: Expectation, part: str) -> Expectation:
    """Give the expectation with a pitch replaced by what a reading over edges of a part shows, by each row's figure.

    A row that has no such part keeps its pitch: the reading was then taken between something else.
    """
    column = COLUMN[part]
    diameter = np.where(expected.exists[:, column], expected.mean[:, column], 0.0) / each.reading.over
    mean, spread = expected.mean.copy(), expected.spread.copy()
    mean[:, COLUMN[each.name]] += each.edge_sign * diameter
    spread[:, COLUMN[each.name]] = np.hypot(spread[:, COLUMN[each.name]], EDGE_DIAMETER * diameter)
    return replace(expected, mean=mean, spread=spread)


def _subsets(m: int) -> Iterator[frozenset[int]]:
    """Give the sets of readings that may be right together."""
    if m <= _MOST_TOGETHER:
        for size in range(m + 1):
            yield from (frozenset(choice) for choice in combinations(range(m), size))
        return
    every = frozenset(range(m))
    yield frozenset()
    yield every
    yield from (every - {i} for i in range(m))


def _as_named(
    group: Sequence[Measured], expected: Expectation, found: Mapping[int, Array], links: NDArray[np.int8]
) -> Array:
    """Give the log density if the readings are what they say and the sample is the row's chain."""
    terms = []
    for column, weight in found.items():
        with np.errstate(divide="ignore"):
            terms.append(np.log(weight) + column_density(group, expected, column, links))
    return _log_sum(terms) if terms else np.full(len(links), -np.inf)


def _as_unlisted(
    group: Sequence[Measured], expected: Expectation, found: Mapping[int, Array], links: NDArray[np.int8]
) -> Array:
    """Give the log density if the sample is an unlisted chain that resembles the row, shape (sorts, n)."""
    terms = []
    values, u = _arrays(group)
    still = np.zeros(len(group))
    for column, weight in found.items():
        mean = expected.mean[:, column]
        with np.errstate(divide="ignore"):
            log_weight = np.log(weight)
        same = column_density(group, expected, column, links)
        sorts = []
        for sort in UNLISTED:
            chance = sort.same_pitch if column == _PITCH else sort.same
            ways = [np.log(chance) + same]
            for share, reach in sort.reach:
                spread = np.hypot(expected.spread[:, column], reach * mean)
                density = log_density(values, u, still, mean, spread, np.zeros_like(mean))
                ways.append(np.log((1 - chance) * share) + density)
            sorts.append(log_weight + _log_sum(ways))
        terms.append(np.stack(sorts))
    return _log_sum(terms) if terms else np.full((len(UNLISTED), len(links)), -np.inf)


LINKS: tuple[Links, ...] = tuple(Links)
KIND_LINKS: NDArray[np.int8] = np.array([LINKS.index(kind.links) for kind in KINDS], dtype=np.int8)


def _arrays(group: Sequence[Measured]) -> tuple[Array, Array]:
    return np.array([each.value for each in group]), np.array([each.u for each in group])


def column_density(group: Sequence[Measured], expected: Expectation, column: int, links: NDArray[np.int8]) -> Array:
    """Give the log density of readings of one column, wear integrated out, shape (n,)."""
    if column != _PITCH:
        return _worn_density(group, expected, column, np.ones(len(group)), slice(None))
    result = np.empty(len(links))
    for code, kind_of_links in enumerate(LINKS):
        rows = np.flatnonzero(links == code)
        if len(rows) == 0:
            continue
        terms = []
        for choice in product(*(each.grown(kind_of_links) for each in group)):
            factors = np.array([factor for factor, _ in choice])
            chance = float(np.prod([probability for _, probability in choice]))
            terms.append(np.log(chance) + _worn_density(group, expected, column, factors, rows))
        result[rows] = _log_sum(terms)
    return result


def _worn_density(
    group: Sequence[Measured],
    expected: Expectation,
    column: int,
    factors: Array,
    rows: NDArray[np.int64] | slice,
) -> Array:
    values, u = _arrays(group)
    mean, spread, slack = (
        expected.mean[rows, column],
        expected.spread[rows, column],
        expected.slack[rows, column],
    )
    terms = []
    for state in states_of_wear(column):
        if column == _PITCH:
            # A pitch has no limit kind of its own: the wear of the joints is what lengthens it.
            wear = np.full_like(mean, state.absolute) + state.relative * mean
            terms.append(np.log(state.probability) + log_density(values, u, factors, mean, spread, wear))
            continue
        wear = state.relative * mean + state.absolute
        wear = np.where(np.sign(wear) * np.sign(slack) < 0, wear, wear + slack)
        terms.append(np.log(state.probability) + log_density(values, u, factors, mean, spread, wear))
    return _log_sum(terms)


def states_of_wear(column: int) -> tuple[Wear, ...]:
    """Give the states of wear of a dimension."""
    return ELONGATION if column == _PITCH else WEAR.get(DIMENSIONS[column].name, NO_WEAR)


def _log_sum(terms: Sequence[Array]) -> Array:
    """Give the logarithm of the sum of exponentials over terms, per row."""
    if len(terms) == 1:
        return terms[0]
    stack = np.stack(terms)
    peak = stack.max(axis=0)
    safe = np.where(np.isfinite(peak), peak, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(safe + np.log(np.exp(stack - safe).sum(axis=0)))
