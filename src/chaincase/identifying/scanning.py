"""The quick score of rows: what the surrogates of all readings say about their coded cells, added up.

`above` finds the rows of a high score in a very large catalog. It looks up the most telling readings first and leaves
a row as soon as the others cannot raise it enough any more.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from chaincase.identifying.columns import (
    BINS,
    COARSE,
    COARSE_BINS,
    GUESSES,
    Codes,
    Rows,
    bin_of,
    listed_sorts,
    no_cell,
    size_of,
)
from chaincase.identifying.surrogate import CodedPart, Look, Surrogate, Table

_BLOCK = 1 << 17
"""Rows looked at at a time, so that what is in between stays in the cache of the processor."""
_FEW = 0.25
"""Below this share of rows still in question they are picked out one by one."""


def look_up_all(says: Sequence[Surrogate], rows: Rows | slice, count: int) -> Table:
    """Give what each surrogate says about some rows, so many, shape (surrogates, rows)."""
    found = np.empty((len(says), count), dtype=np.float32)
    for i, each in enumerate(says):
        found[i] = look_up(each, rows)
    return found


def above(says: Sequence[Surrogate], n: int, least: float, typical: NDArray[np.float32]) -> Rows:
    """Give the rows whose quick score may lie above some least score; all that do are among them.

    Parameters
    ----------
    says : sequence of Surrogate
        What each group of readings says.
    n : int
        Rows of the catalog.
    least : float
        The score asked for.
    typical : ndarray of float32, shape (surrogates,)
        What each says of a row on average, by which one can tell how selective it is.
    """
    drop = [mean - each.highest for each, mean in zip(says, typical.tolist(), strict=True)]
    ordered = [says[i] for i in sorted(range(len(says)), key=lambda i: (_effort(says[i]), drop[i]))]
    if not ordered:
        return np.arange(n) if least < 0 else np.empty(0, dtype=np.int64)
    highest = np.array([each.highest for each in ordered], dtype=np.float32)
    to_come = np.append(np.cumsum(highest[::-1])[::-1][1:], np.float32(0.0))
    found = [
        start + _passing(ordered, slice(start, min(start + _BLOCK, n)), to_come, np.float32(least))
        for start in range(0, n, _BLOCK)
    ]
    return np.concatenate(found)


def _effort(says: Surrogate) -> int:
    """Give how much it takes to look a reading up; what takes little goes first."""
    return len(says.looks) + 100 * any(look.part is not None for look in says.looks)


def _passing(ordered: Sequence[Surrogate], block: slice, to_come: Table, least: np.float32) -> Rows:
    """Give the rows of a block, counted from its first, that may reach the least score; rising."""
    score = look_up(ordered[0], block)
    j = 1
    while j < len(ordered) and np.count_nonzero(score > least - to_come[j - 1]) > _FEW * len(score):
        score += look_up(ordered[j], block)
        j += 1
    rows = np.flatnonzero(score > least - to_come[j - 1])
    score = score[rows]
    for each, further in zip(ordered[j:], to_come[j:], strict=True):
        score += look_up(each, rows + block.start)
        left = score > least - further
        rows, score = rows[left], score[left]
    return rows


def look_up(says: Surrogate, rows: Rows | slice) -> Table:
    """Give what one surrogate says about some rows; of several looks the best counts, shape (rows,)."""
    best, *others = (look.table.take(_codes(look, rows), mode="clip") for look in says.looks)
    for other in others:
        np.maximum(best, other, out=best)
    return np.asarray(best)


def _codes(look: Look, rows: Rows | slice) -> Codes:
    codes = look.codes[rows]
    return codes if look.part is None else _over_edges(codes, look.part, rows)


def _over_edges(codes: Codes, part: CodedPart, rows: Rows | slice) -> Codes:
    """Give the codes of sizes between edges: a pitch with the diameter of a part added, where there is one."""
    sizes, diameters = _code_sizes(part.pitch_column), _code_sizes(part.column)
    bins = bin_of(np.log(np.maximum(sizes[codes] + part.sign * diameters[part.codes[rows]], 1e-3)))
    guesses, none = len(listed_sorts(part.pitch_column)) * BINS, no_cell(part.pitch_column)
    sort = codes.astype(np.int64)
    listed = sort // BINS * BINS + bins
    guessed = guesses + (sort - guesses) // COARSE_BINS * COARSE_BINS + bins // COARSE
    return np.where(codes == none, none, np.where(codes < guesses, listed, guessed)).astype(np.uint16)


@cache
def _code_sizes(column: int) -> Table:
    """Give the size that each code of a column stands for [mm]; 0 for a dimension that does not exist."""
    listed = np.tile(size_of(np.arange(BINS)), len(listed_sorts(column)))
    guessed = np.tile(size_of(np.arange(COARSE_BINS) * COARSE + COARSE // 2), GUESSES)
    return np.concatenate([listed, guessed, np.zeros(1)]).astype(np.float32)
