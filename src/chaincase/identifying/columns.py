"""The columns of a very large catalog, coded so that one look at a million rows costs a millisecond.

What a reading says about a cell depends on the cell's size and on what sort of figure it is: nominal or a limit,
how well known, on what kind of links, or an empty cell with how wide a guess. Both together become one number of
16 bits. What a reading says about all rows then is one table of that many entries, and one gather from it.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.identifying.construction import faces
from chaincase.identifying.expectation import cells_exist, guess_for, guessed_further, lacking
from chaincase.identifying.naming import meanings
from chaincase.identifying.right_readings import KIND_LINKS, LINKS

Array = NDArray[np.float64]
Rows = NDArray[np.int64]
Codes = NDArray[np.uint16] | NDArray[np.int64]

SMALLEST = 0.4
"""Sizes from here on are told apart [mm]."""
STEP = 0.0045
"""Listed sizes are told apart by so much of themselves, about the least that any reading can tell."""
BINS = 2048
"""Up to 4 m; what lies outside counts as the first or the last."""
COARSE = 8
"""The guess for an empty cell is told apart by so many steps."""
COARSE_BINS = BINS // COARSE
NARROWEST_GUESS, WIDER = 0.08, 1.35
"""Guesses for empty cells are sorted by how wide they are: from here on, each sort so much wider."""
GUESSES = 12
_LOOKED_UP_AS_THEY_ARE = 1 << 18
"""Codes of more rows are kept in 16 bits, as reading them from memory then takes longer than looking them up."""

_PITCH = COLUMN["pitch"]


@dataclass(frozen=True, slots=True)
class ListedSort:
    """What the code of a listed figure says of it, besides its size."""

    limit: Limit
    trust: Trust
    links: int


@cache
def listed_sorts(column: int) -> tuple[ListedSort, ...]:
    """Give the sorts of listed figures of a column. Joint wear shows in pitches alone: there the links count."""
    links = range(len(LINKS)) if column == _PITCH else (0,)
    return tuple(
        ListedSort(limit, trust, link)
        for limit in Limit
        for trust in (Trust.TWO_SOURCES, Trust.MEMORY)
        for link in links
    )


def no_cell(column: int) -> int:
    """Give the code of a dimension that does not exist on the row's chain; the codes before it are of cells."""
    return len(listed_sorts(column)) * BINS + GUESSES * COARSE_BINS


@dataclass(frozen=True, eq=False, slots=True)
class CodedColumn:
    """One dimension of all rows.

    Attributes
    ----------
    codes : ndarray of uint16 or int64, shape (n,)
        First the listed figures, sort by sort in bins; then the guesses, sort by sort in coarse bins; then `no_cell`.
    listed, guessed : tuple of int
        Sorts of listed figures and of guesses that occur.
    figures : (int, int)
        From which bin on, and before which, all listed figures lie.
    """

    codes: Codes
    listed: tuple[int, ...]
    guessed: tuple[int, ...]
    figures: tuple[int, int]


@lru_cache(maxsize=64)
def coded_column(catalog: Catalog, column: int) -> CodedColumn:
    """Give one dimension of a catalog, coded; kept for the catalogs in use."""
    listed = ~np.isnan(catalog.values[:, column])
    exists = cells_exist(catalog, np.array([column]), listed[:, None])[:, 0]
    codes = np.full(len(catalog), no_cell(column), dtype=np.uint16)
    figures, guesses = np.flatnonzero(listed & exists), np.flatnonzero(~listed & exists)
    codes[figures] = _listed_codes(catalog, column, figures)
    codes[guesses] = _guessed_codes(catalog, column, guesses)
    kept = _kept_as(codes)
    kept.setflags(write=False)
    seen = np.bincount(codes, minlength=no_cell(column) + 1)[:-1] > 0
    by_limit, by_width = np.split(seen, [len(listed_sorts(column)) * BINS])
    bins = np.flatnonzero(by_limit.reshape(-1, BINS).any(axis=0))
    between = (int(bins[0]), int(bins[-1]) + 1) if len(bins) else (0, 0)
    return CodedColumn(kept, _occurring(by_limit, BINS), _occurring(by_width, COARSE_BINS), between)


def _kept_as(codes: Codes) -> Codes:
    """Give codes in the type in which they are kept: if they are not too many, so that they need no copy later."""
    return codes.astype(np.int64) if len(codes) <= _LOOKED_UP_AS_THEY_ARE else codes


def _occurring(seen: NDArray[np.bool_], width: int) -> tuple[int, ...]:
    return tuple(np.flatnonzero(seen.reshape(-1, width).any(axis=1)).tolist())


def _listed_codes(catalog: Catalog, column: int, rows: Rows) -> Rows:
    sort = catalog.limits[rows, column].astype(np.int64) * 2 + (catalog.trust[rows, column] == Trust.MEMORY)
    if column == _PITCH:
        sort = sort * len(LINKS) + KIND_LINKS[catalog.kind[rows]]
    return np.asarray(sort * BINS + bin_of(np.log(catalog.values[rows, column])))


def _guessed_codes(catalog: Catalog, column: int, rows: Rows) -> Rows:
    guess, kinds, lacks = guess_for(column), catalog.kind[rows], _lacking(catalog)[rows]
    predictor = guess.predictor[kinds, lacks]
    known = np.where(predictor < 0, 1.0, catalog.values[rows, predictor])
    sort = np.clip(np.log(guess.width / NARROWEST_GUESS) / np.log(WIDER), 0, GUESSES - 1).astype(np.int64)
    size = bin_of(np.log(known * np.exp(guess.log_ratio[kinds, lacks]) + guessed_further(catalog, column)[rows]))
    start = len(listed_sorts(column)) * BINS
    return np.asarray(start + sort[kinds, lacks] * COARSE_BINS + size // COARSE)


_lacking = lru_cache(maxsize=4)(lacking)


@cache
def columns_of(name: str) -> tuple[int, ...]:
    """Give the columns that a reading of that name may be of, the one of that name first.

    >>> [DIMENSIONS[column].name for column in columns_of("hinge_width")]
    ['hinge_width', 'inner_link_width']
    """
    alone = np.eye(len(DIMENSIONS), dtype=bool)
    found = meanings(name, alone)
    some = (column for column in found if found[column][column] > 0)
    return tuple(sorted(some, key=lambda column: (DIMENSIONS[column].name != name, column)))


@lru_cache(maxsize=64)
def usual_weights(catalog: Catalog, name: str) -> dict[int, float]:
    """Give how often a reading of an unnamed dimension is of each column, on the usual row that has the column."""
    examples = coded_faces(catalog).examples
    every = np.arange(len(DIMENSIONS))
    found = meanings(name, cells_exist(examples, every, ~np.isnan(examples.values)))
    return {column: float(weights[weights > 0].mean()) for column, weights in found.items()}


@lru_cache(maxsize=64)
def coded_name(catalog: Catalog, name: str) -> tuple[Codes, ...]:
    """Give what a reading of a named dimension must be looked up by, kept for the catalogs in use.

    Where the named dimension exists, nothing else is meant by the name; elsewhere it may be any of those that are
    meant instead and exist, one after the other. The codes of the second column follow behind those of the first,
    and so on; a row that has no further column has the code of none.
    """
    columns = columns_of(name)
    each = [coded_column(catalog, column).codes for column in columns]
    if len(each) == 1:
        return (each[0],)
    starts = np.cumsum([0, *(no_cell(column) + 1 for column in columns)])
    own = each[0] != no_cell(columns[0])
    filled = own.astype(np.int64)
    looks = [each[0].copy()]
    for start, column, codes in zip(starts[1:], columns[1:], each[1:], strict=False):
        rows = np.flatnonzero((codes != no_cell(column)) & ~own)
        for place in np.unique(filled[rows]):
            if place == len(looks):
                looks.append(np.full(len(catalog), no_cell(columns[0]), dtype=each[0].dtype))
            here = rows[filled[rows] == place]
            looks[place][here] = codes[here] + codes.dtype.type(start)
        filled[rows] += 1
    return tuple(looks)


def bin_of(log_size: Array) -> Rows:
    """Give the bin of the logarithm of sizes [mm].

    >>> bin_of(np.log([0.1, 0.4, 0.4019, 1e6])).tolist()
    [0, 0, 1, 2047]
    """
    return np.asarray(np.clip((log_size - np.log(SMALLEST)) / STEP, 0, BINS - 1).astype(np.int64))


def size_of(bins: Rows) -> Array:
    """Give the size in the middle of bins [mm]."""
    return np.asarray(SMALLEST * np.exp((bins + 0.5) * STEP))


def guess_width(sort: int) -> float:
    """Give the relative standard deviation that stands for a sort of guesses [-]."""
    return float(NARROWEST_GUESS * WIDER ** (sort + 0.5))


@dataclass(frozen=True, eq=False, slots=True)
class CodedFaces:
    """What the eye can tell of all rows.

    Attributes
    ----------
    codes : ndarray of uint16 or int64, shape (n,)
        Rows of one code look alike.
    examples : Catalog
        One row for each code, in order.
    """

    codes: Codes
    examples: Catalog


@lru_cache(maxsize=4)
def coded_faces(catalog: Catalog) -> CodedFaces:
    """Give what the eye can tell of the rows of a catalog; kept for the catalogs in use."""
    face = faces(catalog)
    first = np.full(int(face.max()) + 1, -1)
    first[face[::-1]] = np.arange(len(face))[::-1]
    occurs = first >= 0
    codes = _kept_as((np.cumsum(occurs) - 1)[face].astype(np.uint16))
    codes.setflags(write=False)
    return CodedFaces(codes, catalog.take(first[occurs]))
