"""The likelihood of readings as a function of the size that a row gives: its shape, relative to what was read.

A shape is worked out with the likelihood itself, on made-up rows that have one cell each, at sizes that lie about
the reading as on a logarithmic scale. There the shape hardly depends on the size read, nor on a few percent more or
less of its uncertainty; so one shape serves for many readings, and those in use are kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import DIMENSIONS
from chaincase.identifying.columns import STEP, guess_width, listed_sorts
from chaincase.identifying.expectation import Expectation, figure_spread
from chaincase.identifying.likelihood import Case, likelihoods
from chaincase.identifying.sizes import Measured
from chaincase.measuring.reading import Reading
from chaincase.units import Length

Array = NDArray[np.float64]
Table = NDArray[np.float32]
Whole = NDArray[np.int64]

GUESSED = np.linspace(-4.0, 4.0, 11)
"""Where a guess for an empty cell is looked at, in its standard deviations."""

_NEAR = (-80, -66, -54, -43, -34, -27, -21, *range(-16, 17, 2), 21, 27, 34, 43, 54, 66, 80)
"""Steps about a reading where new parts and worn ones lie: 0.9 % apart within 7 %, then wider up to 36 %."""
_FAR = (-1300, -800, -450, -270, *range(-160, -80, 18), *range(98, 170, 18), 270, 450, 800, 1300)
"""Steps further off, where only mistakes lie."""
_MISTAKES = range(-21, 22, 7)
"""Steps about what a reading is if it is a certain mistake, which is known to some 3 %."""
_INCH = 25.4
_SIZE_STEP, _U_STEP = 1.0, 0.5
"""Readings share a shape whose sizes, and whose relative uncertainties, differ by less: natural logarithm."""
_LEAST_U = 0.0025
"""A relative uncertainty below this is lost in the spread of new parts and in the step of sizes."""
_BLUNDERS = (0.05, 0.5)
"""They share it, too, where mistakes are about as probable as in one of these cases."""


@dataclass(frozen=True, eq=False, slots=True)
class Shape:
    """What a group of readings says about a cell, relative to its first reading.

    Attributes
    ----------
    steps : ndarray of int64, shape (k,)
        How many steps (`columns.STEP`) the cell's size lies above the first reading, rising.
    listed : ndarray of float32, shape (listed sorts, k)
        Log likelihood if the sample is the row's chain.
    guessed : ndarray of float32, shape (guesses, points)
        The same for empty cells whose guess lies at `GUESSED` from the first reading.
    none : float
        The same where the dimension does not exist.
    """

    steps: Whole
    listed: Table
    guessed: Table
    none: float


def shape_of(group: Sequence[Measured], column: int, listed: tuple[int, ...], guessed: tuple[int, ...]) -> Shape:
    """Give what a group of readings says about cells of one column.

    Parameters
    ----------
    group : sequence of Measured
        The readings.
    column : int
        The column.
    listed, guessed : tuple of int
        Sorts of figures and of guesses that are asked for, as in `columns.CodedColumn`.
    """
    if len(group) > 1:
        return _shape(group, _steps_of_several(group), column, listed, guessed)
    pattern = _pattern(group[0])
    kept = _kept(pattern, column, listed, guessed)
    # Densities are per millimeter: those of the pattern are of another size.
    scale = pattern.log_size * _SIZE_STEP - float(np.log(group[0].value))
    return Shape(kept.steps, kept.listed + np.float32(scale), kept.guessed + np.float32(scale), kept.none + scale)


@dataclass(frozen=True, slots=True)
class _Pattern:
    """What readings of one shape have in common."""

    reading: Reading
    log_size: int
    log_u: int
    swaps: int
    blunder: float

    def measured(self) -> Measured:
        """Give a reading like that."""
        value = float(np.exp(self.log_size * _SIZE_STEP))
        u = value * float(np.exp(self.log_u * _U_STEP))
        return Measured(self.reading, value, u, value * _INCH**self.swaps if self.swaps else None, self.blunder)


_SOME_LENGTH = Length(Fraction(1), "mm", "1 mm")


def _pattern(each: Measured) -> _Pattern:
    written = each.reading
    reading = Reading(written.dimension, "", _SOME_LENGTH)
    if written.dimension == "pitch":
        reading = replace(
            reading,
            over=written.over,
            technique=written.technique,
            link=written.link,
            reference=written.reference,
        )
    return _Pattern(
        reading=reading,
        log_size=round(float(np.log(each.value)) / _SIZE_STEP),
        log_u=round(float(np.log(max(each.u / each.value, _LEAST_U))) / _U_STEP),
        swaps=0 if each.swapped is None else 1 if each.swapped > each.value else -1,
        blunder=min(_BLUNDERS, key=lambda blunder: abs(blunder - each.blunder)),
    )


@lru_cache(maxsize=8192)
def _kept(pattern: _Pattern, column: int, listed: tuple[int, ...], guessed: tuple[int, ...]) -> Shape:
    return _shape([pattern.measured()], steps_about(pattern.reading.over), column, listed, guessed)


@cache
def steps_about(over: int) -> Whole:
    """Give the steps about one reading over so many pitches, rising."""
    mistakes = [-np.log(_INCH), np.log(_INCH), *([np.log(over)] if over > 1 else [])]
    about = [round(mistake / STEP) + step for mistake in mistakes for step in _MISTAKES]
    return np.unique([*_NEAR, *_FAR, *about])


def _steps_of_several(group: Sequence[Measured]) -> Whole:
    apart = [round(float(np.log(each.value / group[0].value)) / STEP) for each in group]
    return np.unique(np.add.outer(apart, steps_about(group[0].reading.over)))


def _shape(
    group: Sequence[Measured], steps: Whole, column: int, listed: tuple[int, ...], guessed: tuple[int, ...]
) -> Shape:
    """Work a shape out on made-up rows: listed figures sort by sort, guesses sort by sort, and a row without any."""
    spread, slack, links = (figures[list(listed)] for figures in _sorts(column))
    widths = np.array([guess_width(sort) for sort in guessed])
    size = np.exp(np.concatenate([np.tile(steps * STEP, len(listed)), np.outer(widths, GUESSED).ravel()]))
    size *= group[0].value
    guesses, figures = len(widths) * len(GUESSED), len(listed) * len(steps)
    shape = (figures + guesses + 1, len(DIMENSIONS))
    mean, relative, below = np.ones(shape), np.ones(shape), np.zeros(shape)
    exists = np.zeros(shape, dtype=bool)
    mean[:-1, column] = size
    relative[:-1, column] = np.concatenate([np.repeat(spread, len(steps)), np.repeat(widths, len(GUESSED))]) * size
    below[:figures, column] = np.repeat(slack, len(steps)) * size[:figures]
    exists[:-1, column] = True
    every = np.zeros(len(mean), dtype=np.int8)
    every[:figures] = np.repeat(links, len(steps))
    found = likelihoods([Case(group, Expectation(mean, relative, below, exists, exists), every)])[0].listed
    values = found.astype(np.float32)
    return Shape(
        steps,
        values[:figures].reshape(len(listed), len(steps)),
        values[figures:-1].reshape(len(widths), len(GUESSED)),
        float(values[-1]),
    )


@cache
def _sorts(column: int) -> tuple[Array, Array, NDArray[np.int8]]:
    """Give relative spread, relative slack and links of all sorts of listed figures of a column."""
    sorts = listed_sorts(column)
    limits = np.array([sort.limit for sort in sorts], dtype=np.int8)
    trust = np.array([sort.trust for sort in sorts], dtype=np.int8)
    links = np.array([sort.links for sort in sorts], dtype=np.int8)
    return *figure_spread(np.array([column]), limits, trust), links
