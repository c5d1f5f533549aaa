"""The likelihood of readings as a function of the size that a row gives: its shape, relative to what was read.

A shape is worked out with the likelihood itself, on made-up rows that have one cell each, at sizes that lie about
the reading as on a logarithmic scale. There the shape hardly depends on the size read, nor on a few percent more or
less of its uncertainty; so one shape serves for many readings, and those in use are kept.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from itertools import count, islice

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import DIMENSIONS
from chaincase.identifying.columns import STEP, guess_width, listed_sorts
from chaincase.identifying.expectation import Expectation, figure_spread
from chaincase.identifying.likelihood import Case, likelihoods
from chaincase.identifying.right_readings import LINKS
from chaincase.identifying.sizes import Measured, grown
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.reading import Reading
from chaincase.measuring.techniques import Technique
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


@dataclass(frozen=True, slots=True)
class Wanted:
    """A shape that is asked for.

    Attributes
    ----------
    group : sequence of Measured
        Readings of one name.
    column : int
        The column.
    listed, guessed : tuple of int
        Sorts of figures and of guesses that are asked for, as in `columns.CodedColumn`.
    """

    group: Sequence[Measured]
    column: int
    listed: tuple[int, ...]
    guessed: tuple[int, ...]


def shapes_of(wanted: Sequence[Wanted]) -> list[Shape]:
    """Give what groups of readings say about cells of one column each; together, as that is quicker."""
    patterns = [None if len(each.group) > 1 else _pattern(each.group[0]) for each in wanted]
    asked = [
        (pattern or i, each.column, each.listed, each.guessed)
        for i, (pattern, each) in enumerate(zip(patterns, wanted, strict=True))
    ]
    found: dict[_Key, Shape] = {}
    missing: dict[_Key, Wanted] = {}
    for key, pattern, each in zip(asked, patterns, wanted, strict=True):
        if pattern and (kept := _kept.get(key)):
            found[key] = kept
        else:
            missing.setdefault(key, replace(each, group=[pattern.measured()]) if pattern else each)
    found |= dict(zip(missing, _shapes(list(missing.values())), strict=True))
    _keep({key: found[key] for key in missing if not isinstance(key[0], int)})
    return [
        found[key] if pattern is None else _moved(found[key], pattern, each.group[0])
        for key, pattern, each in zip(asked, patterns, wanted, strict=True)
    ]


def _moved(kept: Shape, pattern: "_Pattern", each: Measured) -> Shape:
    # Densities are per millimeter: those of the pattern are of another size.
    scale = pattern.log_size * _SIZE_STEP - math.log(each.value)
    return Shape(kept.steps, kept.listed + np.float32(scale), kept.guessed + np.float32(scale), kept.none + scale)


@dataclass(frozen=True, slots=True)
class _Pattern:
    """What readings of one shape have in common; `typical` is the number of the reading that stands for them."""

    typical: int
    reading: Reading = field(compare=False)
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
    if written.dimension == "pitch":
        typical = _typical("pitch", written.over, written.technique, written.link, written.reference)
    else:
        typical = _typical(written.dimension)
    return _Pattern(
        *typical,
        log_size=round(math.log(each.value) / _SIZE_STEP),
        log_u=round(math.log(max(each.u / each.value, _LEAST_U)) / _U_STEP),
        swaps=0 if each.swapped is None else 1 if each.swapped > each.value else -1,
        blunder=min(_BLUNDERS, key=lambda blunder: abs(blunder - each.blunder)),
    )


@cache
def _typical(
    dimension: str,
    over: int = 1,
    technique: Technique = Technique.UNKNOWN,
    link: Link = Link.UNKNOWN,
    reference: Reference = Reference.UNKNOWN,
) -> tuple[int, Reading]:
    """Give the reading that stands for all of its dimension, or of a pitch for all in which wear shows alike."""
    reading = Reading(dimension, "", _SOME_LENGTH, technique=technique, link=link, reference=reference, over=over)
    shows = tuple(grown(reading, links) for links in LINKS) if dimension == "pitch" else ()
    return _alike.setdefault((dimension, over, shows), (next(_numbers), reading))


_alike: dict[tuple[object, ...], tuple[int, Reading]] = {}
_numbers = count()

_Key = tuple[_Pattern | int, int, tuple[int, ...], tuple[int, ...]]
_kept: dict[_Key, Shape] = {}
"""Shapes in use; nothing but what `_shapes` gives for the key."""
_MOST_KEPT = 8192


def _keep(some: Mapping[_Key, Shape]) -> None:
    """Keep some shapes; when there are too many, the oldest go."""
    _kept.update(some)
    for key in list(islice(_kept, max(len(_kept) - _MOST_KEPT, 0))):
        _kept.pop(key, None)


@cache
def steps_about(over: int) -> Whole:
    """Give the steps about one reading over so many pitches, rising."""
    mistakes = [-np.log(_INCH), np.log(_INCH), *([np.log(over)] if over > 1 else [])]
    about = [round(mistake / STEP) + step for mistake in mistakes for step in _MISTAKES]
    return np.unique([*_NEAR, *_FAR, *about])


def _steps_of_several(group: Sequence[Measured]) -> Whole:
    apart = [round(float(np.log(each.value / group[0].value)) / STEP) for each in group]
    return np.unique(np.add.outer(apart, steps_about(group[0].reading.over)))


def _shapes(wanted: Sequence[Wanted]) -> list[Shape]:
    made_up = [_MadeUp.of(each) for each in wanted]
    found = likelihoods([one.case for one in made_up])
    return [one.shape(held.listed.astype(np.float32)) for one, held in zip(made_up, found, strict=True)]


@dataclass(frozen=True, eq=False, slots=True)
class _MadeUp:
    """Made-up rows for a shape: listed figures sort by sort, guesses sort by sort, and a row without any."""

    steps: Whole
    case: Case
    listed: int
    guessed: int

    @classmethod
    def of(cls, wanted: Wanted) -> "_MadeUp":
        group, column, listed = wanted.group, wanted.column, wanted.listed
        steps = _steps_of_several(group) if len(group) > 1 else steps_about(group[0].reading.over)
        spread, slack, links = (figures[list(listed)] for figures in _sorts(column))
        widths = np.array([guess_width(sort) for sort in wanted.guessed])
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
        case = Case(group, Expectation(mean, relative, below, exists, exists), every)
        return cls(steps, case, len(listed), len(widths))

    def shape(self, values: Table) -> Shape:
        """Give the shape from what the readings say about the rows."""
        figures = self.listed * len(self.steps)
        return Shape(
            self.steps,
            values[:figures].reshape(self.listed, len(self.steps)),
            values[figures:-1].reshape(self.guessed, len(GUESSED)),
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
