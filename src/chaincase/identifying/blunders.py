"""What a reading may be when it is not what its name says: each blunder has a name and a small probability."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.identifying.density import log_normal_density, log_sum_at
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
_GROSS = 0.15

WHOLLY_WRONG = "the figure is wrong"

_WORN_ABOUT = 0.03
"""Relative spread by which a mistaken dimension may differ from its figure: wear and limit kind together."""
_HEAD_RATIO, _HEAD_SPREAD = 1.18, 0.09
"""A riveted end or head is some 5 to 35 % thicker than the pin body (common practice, no source)."""
_GROSS_SPREAD = 0.40
_SIZE_RANGE = float(np.log(2000.0 / 0.5))
"""A wholly wrong figure is some size between 0.5 mm and 2 m, any order of magnitude alike."""


@dataclass(frozen=True, eq=False, slots=True)
class Alternative:
    """One blunder: its words, the logarithm of its share among blunders, and its log density per row [1/mm]."""

    words: str
    log_weight: Array
    log_density: Array


@dataclass(frozen=True, eq=False, slots=True)
class _Blunder:
    """One blunder: normal about a factor times what the row leads one to expect of a dimension.

    Attributes
    ----------
    words : str
        What was done.
    weight : ndarray, shape (n,)
        Its share among blunders, before they are scaled to add to 1.
    mean, spread : ndarray, shape (n,)
        Of the dimension [mm].
    value, u : float
        What the reading then is, and its standard uncertainty [mm].
    factor : float
        How many times the dimension it shows [-].
    keeps : float
        How many times the dimension's spread shows in it [-].
    reach : float
        Further spread, relative to the mean [-].
    log_scale : float
        Logarithm of what one millimeter of the reading is of `value`.
    """

    words: str
    weight: Array
    mean: Array
    spread: Array
    value: float
    u: float
    factor: float = 1.0
    keeps: float = 1.0
    reach: float = _WORN_ABOUT
    log_scale: float = 0.0


Found = Mapping[int, Array]
"""Columns that a reading may be of, with a weight per row; see `naming.meanings`."""


def alternatives(each: Measured, expected: Expectation, found: Found) -> list[Alternative]:
    """Give the blunders that could have produced a reading, shares adding to 1 per row."""
    blunders = _blunders(each, expected, found)
    weights, densities = _weigh(blunders, [len(blunders)])
    return [Alternative(*one) for one in zip([one.words for one in blunders], weights, densities, strict=True)]


def log_wrong(readings: Sequence[tuple[Measured, Expectation, Found]]) -> list[Array]:
    """Give the log density of each of several readings that is a blunder of some sort, shape (n,) each."""
    each = [_blunders(*reading) for reading in readings]
    counts = [len(blunders) for blunders in each]
    weights, densities = _weigh([one for blunders in each for one in blunders], counts)
    return list(log_sum_at(weights + densities, counts))


def _weigh(blunders: Sequence[_Blunder], counts: Sequence[int]) -> tuple[Array, Array]:
    """Give the logs of the shares and the log densities of the blunders of several readings, so many each.

    The last of each reading is that the figure is wholly wrong.
    """
    mean, spread = np.stack([one.mean for one in blunders]), np.stack([one.spread for one in blunders])
    figures = np.array([(b.value, b.u, b.factor, b.keeps, b.reach, b.log_scale) for b in blunders])
    value, u, factor, keeps, reach, log_scale = figures.T[:, :, None]
    about = np.sqrt((keeps * spread) ** 2 + (reach * mean) ** 2 + u**2)
    densities = log_normal_density(value, factor * mean, about) + log_scale
    last = np.cumsum(counts) - 1
    near, anywhere = densities[last], -np.log(value[last] * _SIZE_RANGE)
    densities[last] = np.logaddexp(near, anywhere) - np.where(np.isneginf(near), 0.0, np.log(2))
    weights = np.stack([one.weight for one in blunders])
    totals = [part.sum(axis=0) for part in np.split(weights, last[:-1] + 1)]
    with np.errstate(divide="ignore"):
        return np.log(weights / np.repeat(totals, counts, axis=0)), densities


def _blunders(each: Measured, expected: Expectation, found: Found) -> list[_Blunder]:
    main = _main(expected, found)
    special = [] if main is None else _special(each, *main)
    return [*_other_dimensions(each, expected), *special, _gross(each, main, len(expected.mean))]


def _other_dimensions(each: Measured, expected: Expectation) -> list[_Blunder]:
    columns = np.array([COLUMN[name] for name in mistaken_for(each.reading.dimension)], dtype=np.int64)
    exists = expected.exists[:, columns].T
    some = exists.any(axis=1)
    shares = _OTHER_DIMENSION * exists[some] / np.maximum(exists.sum(axis=0), 1.0)
    return [
        _Blunder(
            f"this is the {DIMENSIONS[column].label}",
            share,
            expected.mean[:, column],
            expected.spread[:, column],
            each.value,
            each.u,
        )
        for column, share in zip(columns[some], shares, strict=True)
    ]


def _main(expected: Expectation, found: Found) -> tuple[Array, Array] | None:
    """Give mean and spread of the row's most likely meaning of the reading."""
    if not found:
        return None
    columns = np.array(list(found))
    if len(columns) == 1:
        return expected.mean[:, columns[0]], expected.spread[:, columns[0]]
    best = columns[np.stack(list(found.values())).argmax(axis=0)]
    rows = np.arange(len(best))
    return expected.mean[rows, best], expected.spread[rows, best]


def _special(each: Measured, mean: Array, spread: Array) -> Iterator[_Blunder]:
    def one(words: str, share: float, factor: float = 1.0, **more: float) -> _Blunder:
        figures = {"value": each.value, "u": each.u, "reach": factor * _WORN_ABOUT, "keeps": factor} | more
        return _Blunder(words, np.full_like(mean, share), mean, spread, factor=factor, **figures)

    if each.swapped is not None:
        scale = each.swapped / each.value
        more = {"value": each.swapped, "u": each.u * scale, "log_scale": float(np.log(scale))}
        yield one("mm and inch were swapped", _WRONG_UNIT, **more)
    if each.reading.dimension == "pin_diameter":
        head = "this is the pin head or the riveted end"
        yield one(head, _PIN_HEAD, _HEAD_RATIO, keeps=0.0, reach=_HEAD_SPREAD)
    if each.reading.dimension == "pitch":
        n = each.reading.over
        if n > 1:
            yield one(f"{n + 1} pitches were measured, not {n}", _MISCOUNT / 2, (n + 1) / n)
            yield one(f"{n - 1} pitches were measured, not {n}", _MISCOUNT / 2, (n - 1) / n)
            yield one(f"the figure was already divided by {n}", _DIVIDED, 1 / n)
        else:
            yield one("two pitches were measured, not one", _DOUBLED, 2.0)


def _gross(each: Measured, main: tuple[Array, Array] | None, n: int) -> _Blunder:
    """Give that the figure is wrong: near what it should be, or any size at all."""
    if main is None:
        never = np.ones(n)
        return _Blunder(WHOLLY_WRONG, np.full(n, _GROSS), never, never, each.value, each.u, log_scale=-np.inf)
    return _Blunder(WHOLLY_WRONG, np.full(n, _GROSS), *main, each.value, each.u, reach=_GROSS_SPREAD)
