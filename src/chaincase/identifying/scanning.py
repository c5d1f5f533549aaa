"""The quick score of rows: what the surrogates of all readings say about their coded cells, added up.

`above` finds the rows of a high score in a very large catalog. It looks up the most telling readings first and leaves
a row as soon as the others cannot raise it enough any more, so that most rows cost one or two looks.
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

_BLOCK = 1 << 16
"""Rows looked at at a time, so that what is in between stays in the cache of the processor."""
_AT_ONCE = 4
"""So many readings are looked up in all rows of a block; the others in the rows that are left."""
_FEW = 0.1
"""Below this share of rows still in question they are picked out one by one."""


def look_up_all(says: Sequence[Surrogate], rows: Rows) -> Table:
    """Give what each surrogate says about some rows, shape (surrogates, rows)."""
    found = np.empty((len(says), len(rows)), dtype=np.float32)
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
    drop = [mean - _highest(each) for each, mean in zip(says, typical.tolist(), strict=True)]
    by_drop = [says[i] for i in np.argsort(drop, kind="stable")]
    first = [each for each in by_drop if len(each.looks) == 1 and each.looks[0].part is None][:_AT_ONCE]
    later = [each for each in by_drop if each not in first]
    to_come = sum(map(_highest, later))
    looks = [each.looks[0] for each in first]
    rows = _passing([look.codes for look in looks], [look.table for look in looks], least - to_come, n)
    score = look_up_all(first, rows).sum(axis=0)
    for each in later:
        to_come -= _highest(each)
        score += look_up(each, rows)
        left = score + np.float32(to_come) > least
        rows, score = rows[left], score[left]
    return rows


def _passing(codes: Sequence[Codes], tables: Sequence[Table], least: float, n: int) -> Rows:
    """Give the rows, rising, whose entries in some tables add up to more than some least sum."""
    if not codes:
        return np.arange(n) if least < 0 else np.empty(0, dtype=np.int64)
    highest = np.array([table.max() for table in tables], dtype=np.float32)
    to_come = np.append(np.cumsum(highest[::-1])[::-1][1:], np.float32(0.0))
    found = [
        start + _passing_block([code[start : start + _BLOCK] for code in codes], tables, to_come, np.float32(least))
        for start in range(0, n, _BLOCK)
    ]
    return np.concatenate(found)


def _passing_block(codes: Sequence[Codes], tables: Sequence[Table], to_come: Table, least: np.float32) -> Rows:
    score = np.take(tables[0], codes[0], mode="clip")
    found = np.empty_like(score)
    j = 1
    while j < len(codes) and np.count_nonzero(score + to_come[j - 1] > least) > _FEW * len(score):
        np.take(tables[j], codes[j], out=found, mode="clip")
        score += found
        j += 1
    rows = np.flatnonzero(score + to_come[j - 1] > least)
    score = score[rows]
    for code, table, further in zip(codes[j:], tables[j:], to_come[j:], strict=True):
        score += np.take(table, code[rows], mode="clip")
        left = score + further > least
        rows, score = rows[left], score[left]
    return rows


def _highest(says: Surrogate) -> float:
    return max(float(look.table.max()) for look in says.looks)


def look_up(says: Surrogate, rows: Rows) -> Table:
    """Give what one surrogate says about some rows; of several looks the best counts, shape (rows,)."""
    best, *others = (np.take(look.table, _codes(look, rows), mode="clip") for look in says.looks)
    for other in others:
        np.maximum(best, other, out=best)
    return np.asarray(best)


def _codes(look: Look, rows: Rows) -> Codes:
    codes = look.codes[rows]
    return codes if look.part is None else _over_edges(codes, look.part, rows)


def _over_edges(codes: Codes, part: CodedPart, rows: Rows) -> Codes:
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
