"""The density of readings that are what they say: of one column, new or worn, of the row's own size or near it.

Many such densities are worked out at once, as stacked arrays: with a few hundred rows it is the number of
operations that takes the time, not the rows.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS, Links
from chaincase.identifying.constants import (
    JOINT_WEAR,
    MOST_OF_MEAN,
    MOST_WEAR,
    NO_WEAR,
    UNLISTED,
    USUAL_PIN,
    WEAR,
    Wear,
)
from chaincase.identifying.density import Sums, log_density_of, log_sum, log_sum_at
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.sizes import Measured

Array = NDArray[np.float64]

LINKS: tuple[Links, ...] = tuple(Links)
KIND_LINKS: NDArray[np.int8] = np.array([LINKS.index(kind.links) for kind in KINDS], dtype=np.int8)

_PITCH, _PIN = COLUMN["pitch"], COLUMN["pin_diameter"]
_MOST_STATES = max(len(states) for states in (JOINT_WEAR, *WEAR.values()))
_REACHES = np.array([[reach] for sort in UNLISTED for _, reach in sort.reach])


@dataclass(frozen=True, eq=False, slots=True)
class Stand:
    """Readings taken as right and as being of one column.

    Attributes
    ----------
    group : sequence of Measured
        The readings.
    column : int
        The column.
    mean, spread, slack : ndarray, shape (n,)
        What the rows lead one to expect of it [mm].
    wears : ndarray, shape (n,)
        What wear is relative to: `wears_by` [mm].
    links : ndarray of int8, shape (n,)
        Index into `LINKS` per row.
    """

    group: Sequence[Measured]
    column: int
    mean: Array
    spread: Array
    slack: Array
    wears: Array
    links: NDArray[np.int8]

    @classmethod
    def of(cls, group: Sequence[Measured], expected: Expectation, column: int, links: NDArray[np.int8]) -> "Stand":
        """Hold readings against one column of an expectation."""
        # A pitch has no limit kind of its own: the wear of the joints is what lengthens it.
        slack = np.zeros(len(links)) if column == _PITCH else expected.slack[:, column]
        mean = expected.mean[:, column]
        return cls(group, column, mean, expected.spread[:, column], slack, wears_by(expected, column), links)


def column_density(group: Sequence[Measured], expected: Expectation, column: int, links: NDArray[np.int8]) -> Array:
    """Give the log density of readings of one column, wear integrated out, shape (n,)."""
    return np.asarray(as_named([Stand.of(group, expected, column, links)])[0])


def states_of_wear(column: int) -> tuple[Wear, ...]:
    """Give the states of wear of a dimension."""
    return JOINT_WEAR if column == _PITCH else WEAR.get(DIMENSIONS[column].name, NO_WEAR)


def wears_by(expected: Expectation, column: int) -> Array:
    """Give what wear of a dimension is relative to: its own size, but of a pitch the diameter of the pin [mm]."""
    mean = expected.mean[:, column]
    if column != _PITCH:
        return mean
    return np.asarray(np.where(expected.exists[:, _PIN], expected.mean[:, _PIN], USUAL_PIN * mean))


def wear_and_most(column: int, wears: Array, slack: Array) -> tuple[Array, Array, Array]:
    """Give the law of the wear of a dimension and of its distance from a limit.

    Parameters
    ----------
    column : int
        The dimension.
    wears, slack : ndarray, shape (n,)
        What wear is relative to, and signed mean distance from a limit [mm].

    Returns
    -------
    wear, most, log_chance : ndarray, shape (states, n), (states, n) and (states,)
        Signed mean of the exponential and where it ends [mm], and the logarithm of how probable the state is.
    """
    relative, absolute, log_chance = wear_states(column)[:, :, None]
    return *_wear_and_most(relative, absolute, most_wear(column), wears, slack), log_chance[:, 0]


def _wear_and_most(
    relative: Array, absolute: Array, most: Array | float, wears: Array, slack: Array
) -> tuple[Array, Array]:
    wear = relative * wears + absolute
    ends = most * wears * (relative != 0.0) + MOST_OF_MEAN * np.abs(absolute)
    both = wear * slack >= 0  # room below a limit and wear add where they go the same way; else the wear alone counts
    return np.where(both, wear + slack, wear), np.where(both, ends + MOST_OF_MEAN * np.abs(slack), ends)


def most_wear(column: int) -> float:
    """Give where the wear of a dimension ends, relative to `wears_by` [-]."""
    return MOST_WEAR.get(DIMENSIONS[column].name, 0.0)


def as_named(stands: Sequence[Stand]) -> Array:
    """Give the log density if the sample is the row's chain, wear integrated out, shape (stands, n)."""
    ways = [_ways(stand) for stand in stands]
    of_way = [stand for stand, each in zip(stands, ways, strict=True) for _ in each]
    mean, spread, slack = _stacked(of_way)
    wears = np.stack([stand.wears for stand in of_way])[:, None]
    relative, absolute, chance = np.stack([wear_states(stand.column) for stand in of_way], axis=1)[..., None]
    ends = np.array([most_wear(stand.column) for stand in of_way])[:, None, None]
    wear, most = _wear_and_most(relative, absolute, ends, wears, slack)
    wear *= np.isfinite(chance)  # where a dimension has fewer states of wear
    factors = [factors for each in ways for factors, _ in each]
    density = log_density_of(_sums(of_way, factors), mean, spread, wear, most) + chance
    shown = np.stack([chance for each in ways for _, chance in each])
    return log_sum_at(log_sum(np.swapaxes(density, 0, 1)) + shown, [len(each) for each in ways])


def as_changed(stands: Sequence[Stand]) -> Array:
    """Give the log density if the sample is an unlisted chain that differs from the row in this.

    Parameters
    ----------
    stands : sequence of Stand
        The readings.

    Returns
    -------
    ndarray, shape (stands, sorts, n)
        For each sort of `constants.UNLISTED`.
    """
    mean, spread, _ = _stacked(stands)
    still = [(0.0,) * len(stand.group) for stand in stands]
    near = log_density_of(_sums(stands, still), mean, np.hypot(spread, _REACHES * mean), np.zeros(1))
    sorts, start = [], 0
    for sort in UNLISTED:
        shares = np.log([share for share, _ in sort.reach])
        about = near[:, start : start + len(sort.reach)] + shares[:, None]
        start += len(sort.reach)
        sorts.append(log_sum(np.swapaxes(about, 0, 1)))
    return np.stack(sorts, axis=1)


def _stacked(stands: Sequence[Stand]) -> tuple[Array, Array, Array]:
    """Give mean, spread and slack, shape (stands, 1, n)."""
    return (
        np.stack([stand.mean for stand in stands])[:, None],
        np.stack([stand.spread for stand in stands])[:, None],
        np.stack([stand.slack for stand in stands])[:, None],
    )


def _sums(stands: Sequence[Stand], factors: Sequence[tuple[float, ...]]) -> Sums:
    """Give the sums of the readings of stands with how often wear shows in them, shape (stands, 1, 1)."""
    each = [
        Sums.add([one.value for one in stand.group], [one.u for one in stand.group], shows)
        for stand, shows in zip(stands, factors, strict=True)
    ]
    return Sums(*np.array(each).T[:, :, None, None])


@cache
def wear_states(column: int) -> Array:
    """Give relative and absolute wear and log chance of the states, shape (3, states), filled up with none."""
    table = np.zeros((3, _MOST_STATES))
    table[2] = -np.inf
    for i, state in enumerate(states_of_wear(column)):
        table[:, i] = state.relative, state.absolute, np.log(state.probability)
    return table


def _ways(stand: Stand) -> list[tuple[tuple[float, ...], Array]]:
    """Give how many times joint wear may show in the readings, with the log chance of that for each row."""
    if stand.column != _PITCH:
        return [((1.0,) * len(stand.group), np.zeros(len(stand.links)))]
    chances: dict[tuple[float, ...], Array] = {}
    for code in np.unique(stand.links):
        for choice in product(*(each.grown(LINKS[code]) for each in stand.group)):
            way = chances.setdefault(tuple(factor for factor, _ in choice), np.zeros(len(LINKS)))
            way[code] += np.prod([chance for _, chance in choice])
    with np.errstate(divide="ignore"):
        return [(factors, np.log(chance)[stand.links]) for factors, chance in chances.items()]
