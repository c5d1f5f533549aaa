"""What the readings of one name say about a coded cell: the full likelihood, tabled over everything a cell may be.

The table comes from the likelihood itself (`identifying.shapes`), for rows that have one cell each. What it leaves
out is what other cells of a real row may add: a reading of another dimension than the one named. `ceiling` bounds that.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

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
from chaincase.identifying.shapes import GUESSED, Shape, shape_of
from chaincase.identifying.sizes import Measured

Table = NDArray[np.float32]

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
    """

    looks: tuple[Look, ...]
    ceiling: float


def surrogates(groups: Sequence[Sequence[Measured]], catalog: Catalog) -> list[Surrogate]:
    """Give what groups of readings (see `likelihood.grouped`) say about the coded cells of a catalog."""
    result = []
    for group in groups:
        plain = _over_no_edges(group)
        tables = [_table(plain, column, catalog) for column in columns_of(group[0].name)]
        result.append(Surrogate(tuple(_looks(group[0], tables, catalog)), _ceiling(plain)))
    return result


def construction_surrogate(words: Sequence[str], catalog: Catalog) -> Surrogate:
    """Give what words for the construction say about the rows of a catalog, which is all that they say."""
    coded = coded_faces(catalog)
    said = construction_likelihood(tuple(words), coded.examples).astype(np.float32)
    return Surrogate((Look(coded.codes, said),), -np.inf)


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
    right = np.array([1.0 / (each.u * np.sqrt(2 * np.pi)) for each in group])
    mistaken = np.array([each.blunder / (_MISTAKEN * each.value * np.sqrt(2 * np.pi)) for each in group])
    if len(group) == 1:
        return float(np.log(mistaken[0]))
    logs = np.log(right).sum()
    return float(logs + np.log(np.expm1(np.log1p(mistaken / right).sum())))


def _table(group: Sequence[Measured], column: int, catalog: Catalog) -> Table:
    """Give what a group says about every code of a column, shape (codes,)."""
    coded = coded_column(catalog, column)
    shape = shape_of(group, column, coded.listed, coded.guessed)
    table = np.full(no_cell(column) + 1, -np.inf, dtype=np.float32)  # codes that do not occur
    table[-1] = shape.none
    reading = float(np.log(group[0].value / SMALLEST)) / STEP
    figures, guesses = table[: -1 - GUESSES * COARSE_BINS], table[-1 - GUESSES * COARSE_BINS : -1]
    if coded.listed:
        figures.reshape(-1, BINS)[list(coded.listed)] = _of_figures(reading, shape)
    if coded.guessed:
        guesses.reshape(GUESSES, -1)[list(coded.guessed)] = _of_guesses(reading, shape, coded.guessed)
    return table


def _of_figures(reading: float, shape: Shape) -> Table:
    """Interpolate to the bins of listed figures, linearly in the logarithms of size and likelihood."""
    steps = shape.steps
    at = np.arange(BINS) + 0.5 - reading
    left = np.clip(np.searchsorted(steps, at) - 1, 0, len(steps) - 2)
    share = np.clip((at - steps[left]) / (steps[left + 1] - steps[left]), 0.0, 1.0).astype(np.float32)
    return _between(shape.listed, left, share)


def _between(values: Table, left: Rows, share: Table) -> Table:
    low, high = np.take(values, left, axis=-1, mode="clip"), np.take(values, left + 1, axis=-1, mode="clip")
    high -= low
    high *= share
    high += low
    return high


_MIDDLES = (np.arange(COARSE_BINS) + 0.5) * COARSE


def _of_guesses(reading: float, shape: Shape, sorts: tuple[int, ...]) -> Table:
    """Interpolate to the coarse bins of guesses, as `_of_figures`."""
    bins, per_bin = _guess_places(sorts)
    place = np.clip(bins - reading * per_bin, 0.0, len(GUESSED) - 1.001)
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
