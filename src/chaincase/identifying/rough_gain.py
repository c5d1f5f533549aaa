"""What readings may tell, roughly and for all dimensions at once: good enough to say which are worth working out."""

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.constants import BLUNDER_OTHERWISE, LINK_TO_LINK, UNLISTED
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.right_readings import wear_states, wears_by

Array = NDArray[np.float64]
Rows = NDArray[np.int64]

_PITCH = COLUMN["pitch"]
_OUTCOMES = 32
_U = 0.05
"""Standard uncertainty of a reading, beside the spread from link to link [mm]."""
_STEPS = np.linspace(0.0, 1.0, _OUTCOMES)


def rough_gains(
    columns: Rows, rows: Rows, kin: Rows, kin_weight: Array, prior: Array, expected: Expectation
) -> tuple[Array, Array]:
    """Give what a reading of each of some dimensions may be, and the entropy by which it may lower the prior's.

    A row's reading is taken as normal, with the mean and the deviation of its law.

    Parameters
    ----------
    columns : ndarray of int64, shape (d,)
        The dimensions; each exists on at least one of the rows.
    rows, kin : ndarray of int64, shape (k,) and (q,)
        The likely rows, and those that an unlisted chain may be a relative of.
    kin_weight : ndarray, shape (sorts, q)
        Of each sort of `constants.UNLISTED` with each relative.
    prior : ndarray, shape (k + 1,)
        Of the rows, "unlisted" last.
    expected : Expectation
        Of all rows.

    Returns
    -------
    size, gain : ndarray, shape (d,)
        Expected size [mm] and information [bit].
    """
    every, which = np.unique(np.concatenate([rows, kin]), return_inverse=True)
    as_row, as_kin = which[: len(rows)], which[len(rows) :]
    mean, spread, slack, exists = (
        each[every[:, None], columns].T for each in (expected.mean, expected.spread, expected.slack, expected.exists)
    )
    there = exists[:, as_row]
    weight = (prior[:-1] + 1e-12) * there
    size = (mean[:, as_row] * weight).sum(axis=1) / weight.sum(axis=1)
    u = np.hypot(_U, LINK_TO_LINK * size)[:, None]
    shift, variance = _worn(columns, every, slack, expected)
    sd = np.sqrt(spread**2 + variance + u**2)
    grid = _grid(mean[:, as_row], 4 * (np.sqrt(spread[:, as_row] ** 2 + u**2) + 0.03 * mean[:, as_row]), there)
    density = _normal(grid, mean + shift, sd)
    table = np.zeros((len(columns), len(prior), _OUTCOMES + 1))
    table[:, :-1, :-1] = _chances(density[:, as_row]) * there[:, :, None]
    table[:, :-1, -1] = ~there
    kin_there = kin_weight * exists[:, None, as_kin]
    unlisted = _unlisted(columns, kin_there, grid, mean[:, as_kin], spread[:, as_kin], u, density[:, as_kin])
    share = kin_there.sum(axis=(1, 2)) / kin_weight.sum()
    table[:, -1, :-1] = share[:, None] * _chances(unlisted)
    table[:, -1, -1] = 1.0 - share
    table *= 1.0 - BLUNDER_OTHERWISE
    table[:, :, :-1] += BLUNDER_OTHERWISE / _OUTCOMES
    return size, _information(prior, table)


def _worn(columns: Rows, rows: Rows, slack: Array, expected: Expectation) -> tuple[Array, Array]:
    """Give mean and variance of what wear and limits make of new parts, shape (d, rows) each; it has no end here."""
    ours = expected.take(rows)
    wears = np.stack([wears_by(ours, column) for column in columns.tolist()])[:, None]
    relative, absolute, log_chance = np.stack([wear_states(column) for column in columns.tolist()], axis=1)[..., None]
    wear = relative * wears + absolute
    wear += np.where(wear * slack[:, None] < 0, 0.0, slack[:, None])
    chance = np.exp(log_chance)
    shift = (chance * wear).sum(axis=1)
    return shift, 2 * (chance * wear**2).sum(axis=1) - shift**2  # an exponential's mean square is twice its mean's


def _grid(mean: Array, reach: Array, there: NDArray[np.bool_]) -> Array:
    low = np.maximum(np.where(there, mean - reach, np.inf).min(axis=1), 0.05)
    high = np.where(there, mean + reach, -np.inf).max(axis=1)
    return np.asarray(low[:, None] + (high - low)[:, None] * _STEPS)


def _normal(grid: Array, center: Array, sd: Array) -> Array:
    """Give normal densities over each dimension's grid but for a common factor, shape (d, rows, outcomes)."""
    off = (grid[:, None] - center[:, :, None]) / sd[:, :, None]
    return np.asarray(np.exp(-0.5 * off * off) / sd[:, :, None])


def _unlisted(
    columns: Rows, weight: Array, grid: Array, mean: Array, spread: Array, u: Array, like_relative: Array
) -> Array:
    """Give the density of a reading of an unlisted chain, as `prediction.unlisted_predictive`, shape (d, outcomes)."""
    total = np.zeros_like(grid)
    for i, sort in enumerate(UNLISTED):
        chance = np.where(columns == _PITCH, sort.same_pitch, sort.same)[:, None]
        of_sort = weight[:, i, None, :]
        total += chance * (of_sort @ like_relative)[:, 0]
        for share, reach in sort.reach:
            near = _normal(grid, mean, np.sqrt(spread**2 + (reach * mean) ** 2 + u**2))
            total += (1 - chance) * share * (of_sort @ near)[:, 0]
    return total


def _chances(density: Array) -> Array:
    return np.asarray(density / np.maximum(density.sum(axis=-1, keepdims=True), 1e-300))


def _information(prior: Array, table: Array) -> Array:
    """Give the mutual information of hypothesis and outcome [bit], shape (d,)."""
    joint = prior[:, None] * table
    outcome = joint.sum(axis=1, keepdims=True)
    ratio = np.where(joint > 0, table / np.maximum(outcome, 1e-300), 1.0)
    return np.asarray((joint * np.log2(ratio)).sum(axis=(1, 2)))
