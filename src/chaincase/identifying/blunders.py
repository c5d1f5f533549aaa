"""What a reading may be when it is not what its name says: each blunder has a name and a small probability."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.identifying.density import log_normal_density
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.naming import mistaken_for
from chaincase.identifying.sizes import Measured
from chaincase.measuring.instruments import Instrument

Array = NDArray[np.float64]

# Shares of the blunders (common practice, no source); they are scaled to add to 1 for each reading.
_OTHER_DIMENSION = 0.40
_PIN_HEAD = 0.25
_WRONG_UNIT = 0.12
_MISCOUNT = 0.20
_DIVIDED = 0.20
_DOUBLED = 0.15
_TRANSPOSED = 0.08
_OFF_THE_END = 0.08
_GROSS = 0.08

_FIGURE = re.compile(r"\d+(?:[.,]\d+)?(?![\d.,])")

WHOLLY_WRONG = "the figure is wrong"

_WORN_ABOUT = 0.03
"""Relative spread by which a mistaken dimension may differ from its figure: wear and limit kind together."""
_AS_READ = 0.012
"""The same where the part was the right one and only the figure is not."""
_HEAD_RATIO, _HEAD_SPREAD = 1.18, 0.09
"""A riveted end or head is some 5 to 35 % thicker than the pin body (common practice, no source)."""
_HOOKS = {Instrument.TAPE, Instrument.STEEL_RULE}
_FIRST_MARK = {"in": (25.4, "1 in"), "mm": (10.0, "10 mm")}
"""A worn hook or a torn end is spared by beginning at the first whole mark, which is then forgotten, or taken off when
it was not begun there (common practice, no source)."""
_TRANSPOSED_MATTER = 0.04
"""Digits that change the figure by less are lost in the spread of other mistakes."""
_GROSS_SPREAD = 0.40
_ROOT_2PI = float(np.sqrt(2 * np.pi))
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
    scale : float
        What one millimeter of the reading is of `value` [-]; 0 where no size is near what it should be.
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
    scale: float = 1.0


Found = Mapping[int, Array]
"""Columns that a reading may be of, with a weight per row; see `naming.meanings`."""


def alternatives(each: Measured, expected: Expectation, found: Found) -> list[Alternative]:
    """Give the blunders that could have produced a reading, shares adding to 1 per row."""
    blunders = _blunders(each, expected, found)
    weight, off, about, value, scale = _laid_out(blunders)
    with np.errstate(divide="ignore"):
        densities = log_normal_density(0.0, off, about) + np.log(scale)
        weights = np.log(weight / weight.sum(axis=0))
    near, anywhere = densities[-1], -np.log(value[-1] * _SIZE_RANGE)
    densities[-1] = np.logaddexp(near, anywhere) - np.where(np.isneginf(near), 0.0, np.log(2))
    return [Alternative(*one) for one in zip([one.words for one in blunders], weights, densities, strict=True)]


def log_wrong(readings: Sequence[tuple[Measured, Expectation, Found]]) -> list[Array]:
    """Give the log density of each of several readings that is a blunder of some sort, shape (n,) each.

    Added up before the logarithm is taken: a figure that is wholly wrong may be of any size, so the sum is never 0.
    """
    each = [_blunders(*reading) for reading in readings]
    counts = [len(blunders) for blunders in each]
    weight, off, about, value, scale = _laid_out([one for blunders in each for one in blunders])
    off /= about
    off *= off
    off *= -0.5
    density = np.exp(off, out=off)
    density *= scale / _ROOT_2PI
    density /= about
    last = np.cumsum(counts) - 1
    anywhere = 1.0 / (value[last] * _SIZE_RANGE)
    density[last] = np.where(scale[last] > 0.0, 0.5 * (density[last] + anywhere), anywhere)
    density *= weight
    starts = last + 1 - np.array(counts)
    return list(np.log(np.add.reduceat(density, starts, axis=0) / np.add.reduceat(weight, starts, axis=0)))


def _laid_out(blunders: Sequence[_Blunder]) -> tuple[Array, Array, Array, Array, Array]:
    """Give what several blunders come to, the last of each reading that the figure is wholly wrong.

    Returns
    -------
    weight, off, about : ndarray, shape (blunders, n)
        Shares, how far the reading is above what it then shows, and the standard deviation of that [mm].
    value, scale : ndarray, shape (blunders, 1)
        The reading [mm], and what one millimeter of it is of the value.
    """
    mean, spread = np.stack([one.mean for one in blunders]), np.stack([one.spread for one in blunders])
    figures = np.array([(b.value, b.u, b.factor, b.keeps, b.reach, b.scale) for b in blunders])
    value, u, factor, keeps, reach, scale = figures.T[:, :, None]
    about = np.sqrt((keeps * spread) ** 2 + (reach * mean) ** 2 + u**2)
    return np.stack([one.weight for one in blunders]), value - factor * mean, about, value, scale


def _blunders(each: Measured, expected: Expectation, found: Found) -> list[_Blunder]:
    main = _main(expected, found)
    special = [] if main is None else _special(each, *main)
    return [*_other_dimensions(each, expected), *special, _gross(each, main, len(expected.mean))]


def _other_dimensions(each: Measured, expected: Expectation) -> list[_Blunder]:
    columns = _columns_mistaken_for(each.reading.dimension)
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


@cache
def _columns_mistaken_for(dimension: str) -> NDArray[np.int64]:
    return np.array([COLUMN[name] for name in mistaken_for(dimension)], dtype=np.int64)


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
        more = {"value": each.swapped, "u": each.u * scale, "scale": scale}
        yield one("mm and inch were swapped", _WRONG_UNIT, **more)
    ratios = _transposed(each.reading.value)
    for ratio in ratios:
        read = each.value if each.edges is None else each.edges.read / each.reading.over
        value = each.value + (ratio - 1.0) * read
        if value > 0.0:
            more = {"value": value, "u": each.u * ratio, "scale": ratio, "reach": _AS_READ}
            yield one("two digits were transposed", _TRANSPOSED / len(ratios), **more)
    if each.reading.instrument in _HOOKS:
        mark, words = _FIRST_MARK["in" if each.reading.length.unit in {"in", "ft"} else "mm"]
        for off in (mark, -mark) if each.value * each.reading.over > 2 * mark else ():
            more = {"value": each.value + off / each.reading.over, "reach": _AS_READ}
            yield one(f"the {each.reading.instrument} was read {words} off its end", _OFF_THE_END / 2, **more)
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


@lru_cache(maxsize=4096)
def _transposed(written: str) -> tuple[float, ...]:
    """Give what a plain figure is times what was written, for every two neighboring digits that may be transposed.

    >>> [round(ratio, 3) for ratio in _transposed("219 mm")]
    [0.589, 1.329]
    """
    found = _FIGURE.match(written)
    if not found or "/" in written:
        return ()
    text = found[0].replace(",", ".")
    size = float(text)
    swapped = {
        float(text[:i] + text[j] + text[i] + text[j + 1 :])
        for i, j in pairwise(range(len(text)))
        if text[i].isdigit() and text[j].isdigit() and not (i == 0 and text[j] == "0")
    }
    return tuple(sorted(other / size for other in swapped if size and abs(other / size - 1) > _TRANSPOSED_MATTER))


def _gross(each: Measured, main: tuple[Array, Array] | None, n: int) -> _Blunder:
    """Give that the figure is wrong: near what it should be, or any size at all."""
    if main is None:
        never = np.ones(n)
        return _Blunder(WHOLLY_WRONG, np.full(n, _GROSS), never, never, each.value, each.u, scale=0.0)
    return _Blunder(WHOLLY_WRONG, np.full(n, _GROSS), *main, each.value, each.u, reach=_GROSS_SPREAD)
