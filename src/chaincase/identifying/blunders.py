"""What a reading may be when it is not what its name says: each blunder has a name and a small probability."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import BY_NAME, COLUMN
from chaincase.identifying.density import log_normal_density
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.naming import mistaken_for
from chaincase.identifying.sizes import Measured

Array = NDArray[np.float64]

# Shares of the blunders (common practice, no source); they are scaled to add to 1 for each reading.
_OTHER_DIMENSION = 0.40
_PIN_HEAD = 0.25
_WRONG_UNIT = 0.12
_MISCOUNT = 0.20
_DIVIDED = 0.20
_DOUBLED = 0.15
_GROSS = 0.25

WHOLLY_WRONG = "the figure is wrong"

_WORN_ABOUT = 0.03
"""Relative spread by which a mistaken dimension may differ from its figure: wear and limit kind together."""
_HEAD_RATIO, _HEAD_SPREAD = 1.18, 0.09
"""A riveted end or head is some 5 to 35 % thicker than the pin body (common practice, no source)."""
_GROSS_SPREAD = 0.30
_SIZE_RANGE = float(np.log(2000.0 / 0.5))
"""A wholly wrong figure is some size between 0.5 mm and 2 m, any order of magnitude alike."""


@dataclass(frozen=True, eq=False, slots=True)
class Alternative:
    """One blunder: its words, the logarithm of its share among blunders, and its log density per row [1/mm]."""

    words: str
    log_weight: Array
    log_density: Array


def alternatives(each: Measured, expected: Expectation, found: Mapping[int, Array]) -> list[Alternative]:
    """Give the blunders that could have produced a reading, shares adding to 1 per row."""
    raw = [
        *_other_dimensions(each, expected),
        *_special(each, expected, found),
        *_gross(each, expected, found),
    ]
    total = np.sum([weight for _, weight, _ in raw], axis=0)
    with np.errstate(divide="ignore"):
        return [Alternative(words, np.log(weight / total), density) for words, weight, density in raw]


_Raw = tuple[str, Array, Array]


def _other_dimensions(each: Measured, expected: Expectation) -> list[_Raw]:
    names = mistaken_for(each.reading.dimension)
    if not names:
        return []
    exists = np.stack([expected.exists[:, COLUMN[name]] for name in names]).astype(float)
    shares = _OTHER_DIMENSION * exists / np.maximum(exists.sum(axis=0), 1.0)
    result = []
    for name, share in zip(names, shares, strict=True):
        if share.any():
            column = COLUMN[name]
            spread = _about(expected.mean[:, column], expected.spread[:, column], each.u)
            density = log_normal_density(each.value, expected.mean[:, column], spread)
            result.append((f"this is the {BY_NAME[name].label}", share, density))
    return result


def _about(mean: Array, spread: Array, u: float) -> Array:
    return np.asarray(np.sqrt(spread**2 + (_WORN_ABOUT * mean) ** 2 + u**2))


def _main(expected: Expectation, found: Mapping[int, Array]) -> tuple[Array, Array] | None:
    """Give mean and spread of the row's most likely meaning of the reading."""
    if not found:
        return None
    columns = np.array(list(found))
    best = columns[np.stack(list(found.values())).argmax(axis=0)]
    rows = np.arange(len(best))
    return expected.mean[rows, best], expected.spread[rows, best]


def _special(each: Measured, expected: Expectation, found: Mapping[int, Array]) -> list[_Raw]:
    main = _main(expected, found)
    if main is None:
        return []
    mean, spread = main
    ones = np.ones_like(mean)
    result: list[_Raw] = []
    if each.swapped is not None:
        jacobian = float(np.log(each.swapped / each.value))
        swapped = log_normal_density(each.swapped, mean, _about(mean, spread, each.u * each.swapped / each.value))
        result.append(("mm and inch were swapped", _WRONG_UNIT * ones, swapped + jacobian))
    if each.reading.dimension == "pin_diameter":
        head = log_normal_density(each.value, _HEAD_RATIO * mean, np.hypot(_HEAD_SPREAD * mean, each.u))
        result.append(("this is the pin head or the riveted end", _PIN_HEAD * ones, head))
    if each.reading.dimension == "pitch":
        result.extend(_pitch_blunders(each, mean, spread))
    return result


def _pitch_blunders(each: Measured, mean: Array, spread: Array) -> list[_Raw]:
    n = each.reading.over
    factors: list[tuple[str, float, float]] = []
    if n > 1:
        factors.append((f"{n + 1} pitches were measured, not {n}", (n + 1) / n, _MISCOUNT / 2))
        factors.append((f"{n - 1} pitches were measured, not {n}", (n - 1) / n, _MISCOUNT / 2))
        factors.append((f"the figure was already divided by {n}", 1 / n, _DIVIDED))
    else:
        factors.append(("two pitches were measured, not one", 2.0, _DOUBLED))
    result = []
    for words, factor, weight in factors:
        density = log_normal_density(each.value, factor * mean, _about(factor * mean, factor * spread, each.u))
        result.append((words, np.full_like(mean, weight), density))
    return result


def _gross(each: Measured, expected: Expectation, found: Mapping[int, Array]) -> list[_Raw]:
    main = _main(expected, found)
    anywhere = np.full(len(expected.mean), -np.log(each.value * _SIZE_RANGE))
    if main is None:
        return [(WHOLLY_WRONG, np.full(len(anywhere), _GROSS), anywhere)]
    mean, spread = main
    near = log_normal_density(each.value, mean, np.hypot(np.hypot(spread, _GROSS_SPREAD * mean), each.u))
    return [(WHOLLY_WRONG, np.full_like(mean, _GROSS), np.logaddexp(near, anywhere) - np.log(2))]
