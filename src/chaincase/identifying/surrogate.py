"""What the readings of one name say about a coded cell: the full likelihood, tabled over everything a cell may be.

The table comes from the likelihood itself (`identifying.shapes`), for rows that have one cell each. What it leaves
out is what other cells of a real row may add: a reading of another dimension than the one named. `ceiling` bounds that.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.columns import (
    BINS,
    COARSE,
    COARSE_BINS,
    GUESSES,
    SMALLEST,
    STEP,
    CodedColumn,
    Codes,
    Rows,
    coded_column,
    coded_faces,
    coded_name,
    columns_of,
    guess_width,
    no_cell,
    usual_weights,
)
from chaincase.identifying.constants import EDGE_DIAMETER
from chaincase.identifying.construction import construction_likelihood
from chaincase.identifying.shapes import GUESSED, Shape, Wanted, shapes_of
from chaincase.identifying.sizes import Measured

Table = NDArray[np.float32]

_ROOT_2PI = math.sqrt(2 * math.pi)
_MISTAKEN = 0.03
"""Relative spread of the narrowest alternative to what a reading is named (`identifying.blunders`)."""
_PART = 0.3
"""Diameter of the parts between whose edges a pitch is taken, relative to the pitch: common practice, no source."""


@dataclass(frozen=True, eq=False, slots=True)
class CodedPart:
    """Parts between whose edges a pitch was taken: their codes, their column, what they count in the reading."""

    codes: Codes
    column: int
    pitch_column: int
    sign: float


@dataclass(frozen=True, eq=False, slots=True)
class Look:
    """One look at all rows.

    Attributes
    ----------
    codes : ndarray of uint16, shape (n,)
        Where in the table each row's cell stands.
    table : ndarray of float32, shape (entries,)
        Log likelihood if the sample is the row's chain.
    part : CodedPart or None
        Parts between whose edges a pitch was taken, where their diameter is still to be added.
    """

    codes: Codes
    table: Table
    part: CodedPart | None = None


@dataclass(frozen=True, eq=False, slots=True)
class Surrogate:
    """What the readings of one name say about coded cells.

    Attributes
    ----------
    looks : tuple of Look
        The looks that it takes; the best of them counts.
    ceiling : float
        Log of what other dimensions, taken by mistake, can add to the likelihood at most.
    highest : float
        The most that it says of any cell.
    """

    looks: tuple[Look, ...]
    ceiling: float
    highest: float


def surrogates(groups: Sequence[Sequence[Measured]], catalog: Catalog) -> list[Surrogate]:
    """Give what groups of readings (see `likelihood.grouped`) say about the coded cells of a catalog."""
    return surrogates_of([groups], catalog)[0]


def surrogates_of(samples: Sequence[Sequence[Sequence[Measured]]], catalog: Catalog) -> list[list[Surrogate]]:
    """Give the same for several samples; together, as that is quicker."""
    every = [group for groups in samples for group in groups]
    plain = [_over_no_edges(group) for group in every]
    asked = [
        (over, column, _coded(group, column, catalog))
        for group, over in zip(every, plain, strict=True)
        for column in columns_of(group[0].name)
    ]
    shapes = shapes_of([Wanted(group, column, coded.listed, coded.guessed) for group, column, coded in asked])
    tables = (_Tabled(_table(*one, shape), _highest(shape)) for one, shape in zip(asked, shapes, strict=True))
    over_no_edges = iter(plain)
    return [[_surrogate(group, next(over_no_edges), tables, catalog) for group in groups] for groups in samples]


def _coded(group: Sequence[Measured], column: int, catalog: Catalog) -> CodedColumn:
    """Give a column as a group looks at it: sizes between edges lie elsewhere than those listed."""
    coded = coded_column(catalog, column)
    return replace(coded, figures=(0, BINS)) if group[0].edge_sign else coded


def _surrogate(
    group: Sequence[Measured], plain: Sequence[Measured], tables: Iterator["_Tabled"], catalog: Catalog
) -> Surrogate:
    ours = [next(tables) for _ in columns_of(group[0].name)]
    looks = tuple(_looks(group[0], [each.table for each in ours], catalog))
    return Surrogate(looks, _ceiling(plain), max(each.highest for each in ours))


@dataclass(frozen=True, eq=False, slots=True)
class _Tabled:
    """What readings say about every code of a column, and the most that they say of any."""

    table: Table
    highest: float


def _highest(shape: Shape) -> float:
    """Give the most that a shape says; nothing in between its points is more."""
    return max(
        shape.none,
        float(shape.listed.max()) if shape.listed.size else -math.inf,
        float(shape.guessed.max()) if shape.guessed.size else -math.inf,
    )


def construction_surrogate(words: Sequence[str], catalog: Catalog) -> Surrogate:
    """Give what words for the construction say about the rows of a catalog, which is all that they say."""
    coded = coded_faces(catalog)
    said = construction_likelihood(tuple(words), coded.examples).astype(np.float32)
    return Surrogate((Look(coded.codes, said),), -np.inf, float(said.max()))


def _looks(first: Measured, tables: Sequence[Table], catalog: Catalog) -> Iterator[Look]:
    """Give the looks that a group takes, whose first reading is given, with one table per column."""
    columns = columns_of(first.name)
    if first.edge_sign:
        sign = first.edge_sign / first.reading.over
        for name in first.needs:
            codes = coded_column(catalog, COLUMN[name]).codes
            part = CodedPart(codes, COLUMN[name], columns[0], sign)
            yield Look(coded_column(catalog, columns[0]).codes, tables[0], part)
    elif first.name in COLUMN:
        table = tables[0] if len(tables) == 1 else np.concatenate(tables)
        for codes in coded_name(catalog, first.name):
            yield Look(codes, table)
    else:
        weights = usual_weights(catalog, first.name) or dict.fromkeys(columns, 1.0)
        for column, table in zip(columns, tables, strict=True):
            if column in weights:
                yield Look(coded_column(catalog, column).codes, table + np.float32(np.log(weights[column])))


def _over_no_edges(group: Sequence[Measured]) -> Sequence[Measured]:
    """Give the group with the uncertain diameter of parts as uncertainty, where one is still to be added."""
    first = group[0]
    if not first.edge_sign:
        return group
    spread = EDGE_DIAMETER * _PART * first.value / first.reading.over
    return [replace(first, edge_sign=0, needs=(), u=float(np.hypot(first.u, spread)))]


def _ceiling(group: Sequence[Measured]) -> float:
    """Give the log of what mistaken dimensions can add: at least one reading is one, the others are anything."""
    right = [1.0 / (each.u * _ROOT_2PI) for each in group]
    mistaken = [each.blunder / (_MISTAKEN * each.value * _ROOT_2PI) for each in group]
    if len(group) == 1:
        return math.log(mistaken[0])
    together = sum(math.log1p(wrong / true) for wrong, true in zip(mistaken, right, strict=True))
    return sum(map(math.log, right)) + math.log(math.expm1(together))


def _table(group: Sequence[Measured], column: int, coded: CodedColumn, shape: Shape) -> Table:
    """Give what a group says about every code of a column, shape (codes,)."""
    table = np.full(no_cell(column) + 1, -np.inf, dtype=np.float32)  # codes that do not occur
    table[-1] = shape.none
    reading = math.log(group[0].value / SMALLEST) / STEP
    figures, guesses = table[: -1 - GUESSES * COARSE_BINS], table[-1 - GUESSES * COARSE_BINS : -1]
    if coded.listed:
        here = slice(*coded.figures)
        of_sort = figures.reshape(-1, BINS)
        for sort, values in zip(coded.listed, _of_figures(reading, shape, here), strict=True):
            of_sort[sort, here] = values
    if coded.guessed:
        guesses.reshape(GUESSES, -1)[list(coded.guessed)] = _of_guesses(reading, shape, coded.guessed)
    return table


def _of_figures(reading: float, shape: Shape, bins: slice) -> Table:
    """Interpolate to some bins of listed figures, linearly in the logarithms of size and likelihood."""
    whole = math.floor(0.5 - reading)
    past = np.float32(0.5 - reading - whole)
    left, offset, per_step = _between_steps(shape.steps.tobytes())
    here = slice(bins.start + whole + _REACH, bins.stop + whole + _REACH)
    if here.start < 0 or here.stop > len(left):  # a reading of no size that is told apart
        here = slice(0, bins.stop - bins.start)
    share = offset[here] + past * per_step[here]
    np.minimum(np.maximum(share, np.float32(0.0), out=share), np.float32(1.0), out=share)
    return _between(shape.listed, left[here], share)


_REACH = 2 * BINS
"""Bins on each side of a reading for which it is kept between which steps they lie."""


@lru_cache(maxsize=128)
def _between_steps(steps: bytes) -> tuple[Rows, Table, Table]:
    """Give the step left of whole bins about a reading, how far they lie behind it, and how much a bin is of the gap.

    Both as shares of the gap to the next step.
    """
    at = np.frombuffer(steps, dtype=np.int64)
    bins = np.arange(-_REACH, _REACH + 1)
    left = np.clip(np.searchsorted(at, bins, side="right") - 1, 0, len(at) - 2)
    gap = at[left + 1] - at[left]
    return left, ((bins - at[left]) / gap).astype(np.float32), (1.0 / gap).astype(np.float32)


def _between(values: Table, left: Rows, share: Table) -> Table:
    low, high = values.take(left, axis=-1, mode="clip"), values.take(left + 1, axis=-1, mode="clip")
    high -= low
    high *= share
    high += low
    return high


_MIDDLES = (np.arange(COARSE_BINS) + 0.5) * COARSE


def _of_guesses(reading: float, shape: Shape, sorts: tuple[int, ...]) -> Table:
    """Interpolate to the coarse bins of guesses, as `_of_figures`."""
    bins, per_bin = _guess_places(sorts)
    place = bins - reading * per_bin
    np.minimum(np.maximum(place, 0.0, out=place), len(GUESSED) - 1.001, out=place)
    left = place.astype(np.int64)
    share = (place - left).astype(np.float32)
    left += np.arange(len(sorts))[:, None] * len(GUESSED)
    return _between(shape.guessed.ravel(), left, share)


@cache
def _guess_places(sorts: tuple[int, ...]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give where among `GUESSED` the bins of guesses lie for a reading at the first bin, and by how much per bin."""
    widths = np.array([[guess_width(sort)] for sort in sorts]).reshape(-1, 1)
    per_bin = STEP / widths / (GUESSED[1] - GUESSED[0])
    return _MIDDLES * per_bin - GUESSED[0] / (GUESSED[1] - GUESSED[0]), per_bin
