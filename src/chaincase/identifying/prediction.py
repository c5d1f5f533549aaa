"""What a reading of one dimension would show if the sample were a given row's chain."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.constants import UNLISTED
from chaincase.identifying.density import density_of_worn
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.right_readings import wear_and_most, wears_by

Array = NDArray[np.float64]
Growth = tuple[tuple[float, float], ...]

_PITCH = COLUMN["pitch"]
_STANDING: Growth = ((1.0, 1.0),)


def predictive(
    rows: NDArray[np.int64],
    column: int,
    u: float,
    grid: Array,
    expected: Expectation,
    growth: Growth = _STANDING,
) -> Array:
    """Give the density of a future reading for rows over a grid of outcomes.

    Parameters
    ----------
    rows : ndarray of int, shape (k,)
        Rows of the expectation.
    column : int
        Dimension.
    u : float
        Standard uncertainty of the reading [mm].
    grid : ndarray, shape (g,) or (k, g)
        Outcomes [mm], the same for all rows or each row's own.
    expected : Expectation
        Of the catalog.
    growth : tuple of (factor, probability)
        How many times joint wear shows, for a pitch.

    Returns
    -------
    ndarray, shape (k, g)
        Density [1/mm].
    """
    mean, spread, slack = (each[rows, column][:, None] for each in (expected.mean, expected.spread, expected.slack))
    sd = np.sqrt(spread**2 + u**2)
    off = (grid - mean) / sd
    total = np.zeros_like(off)
    wears = wears_by(expected, column)[rows]
    law = wear_and_most(column, wears, np.zeros_like(wears) if column == _PITCH else slack[:, 0])
    for wear, most, log_chance in zip(*law, strict=True):
        for factor, chance in growth if np.isfinite(log_chance) else ():
            shown = density_of_worn(off, sd, factor * wear[:, None], factor * most[:, None])
            total += chance * np.exp(log_chance) * shown
    return np.asarray(total)


def unlisted_predictive(
    weights: Array,
    rows: NDArray[np.int64],
    column: int,
    u: float,
    grid: Array,
    expected: Expectation,
    like_relative: Array | None = None,
) -> Array:
    """Give the density of a future reading of an unlisted chain, shape (g,).

    Parameters
    ----------
    weights : ndarray, shape (sorts, k)
        Of each sort of `constants.UNLISTED` with each of the rows as relative.
    like_relative : ndarray, shape (k, g), optional
        Density of the reading if its size is that of the relative, where it is known already.
    """
    mean, spread = expected.mean[rows, column][:, None], expected.spread[rows, column][:, None]
    if like_relative is None:
        like_relative = predictive(rows, column, u, grid, expected)
    total = np.zeros(len(grid))
    for weight, sort in zip(weights, UNLISTED, strict=True):
        chance = sort.same_pitch if column == _PITCH else sort.same
        total += chance * (weight @ like_relative)
        for share, reach in sort.reach:
            sd = np.sqrt(spread**2 + (reach * mean) ** 2 + u**2)
            density = np.exp(-0.5 * ((grid - mean) / sd) ** 2)
            total += (1 - chance) * share * ((weight / (sd[:, 0] * np.sqrt(2 * np.pi))) @ density)
    return np.asarray(total / weights.sum())


@dataclass(frozen=True, slots=True)
class Range:
    """Where a reading is expected: 95 % of it between `low` and `high`, about `center` with deviation `sd` [mm]."""

    low: float
    high: float
    center: float
    sd: float


def expected_range(row: int, column: int, u: float, expected: Expectation, growth: Growth = _STANDING) -> Range:
    """Give where a reading of the row's chain is expected, wear included."""
    mean, spread = float(expected.mean[row, column]), float(expected.spread[row, column])
    reach = 6 * float(np.hypot(spread, u)) + abs(float(expected.slack[row, column])) * 4
    _, most, _ = wear_and_most(column, wears_by(expected, column)[row : row + 1], np.zeros(1))
    reach += float(most.max()) * max(factor for factor, _ in growth)
    grid = np.linspace(max(mean - reach, 0.0), mean + reach, 240)
    density = predictive(np.array([row]), column, u, grid, expected, growth)[0]
    cumulative = np.cumsum(density)
    cumulative /= cumulative[-1]
    center = float((grid * density).sum() / density.sum())
    sd = float(np.sqrt(((grid - center) ** 2 * density).sum() / density.sum()))
    low, high = np.interp([0.025, 0.975], cumulative, grid)
    return Range(float(low), float(high), center, sd)


def outcomes(rows: NDArray[np.int64], column: int, u: float, expected: Expectation, count: int) -> Array:
    """Give a grid of outcomes that covers what rows and their unlisted relatives predict, dense near the rows."""
    mean = expected.mean[rows, column]
    width = np.sqrt(expected.spread[rows, column] ** 2 + u**2) + 0.03 * mean
    low, high = float((mean - 4 * width).min()), float((mean + 4 * width).max())
    return np.linspace(max(low, 0.05), high, count)
