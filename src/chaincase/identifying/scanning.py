"""The quick score of rows: what the surrogates of all readings say about their coded cells, added up."""

from collections.abc import Sequence
from functools import cache

import numpy as np

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
"""Rows scored at a time, so that what is in between stays in the cache of the processor."""
_LISTED = 0
"""The line of a table that is of listed chains."""


def scan(says: Sequence[Surrogate], n: int) -> Table:
    """Give the quick log likelihood of readings for all rows, shape (n,)."""
    score = np.zeros(n, dtype=np.float32)
    plain = [each for each in says if len(each.looks) == 1 and each.looks[0].part is None]
    add_up(score, [each.looks[0].codes for each in plain], [each.looks[0].table[_LISTED] for each in plain])
    for each in says:
        for start in range(0, n if each not in plain else 0, _BLOCK):
            rows = slice(start, start + _BLOCK)
            score[rows] += look_up(each, rows, _LISTED)
    return score


def add_up(score: Table, codes: Sequence[Codes], tables: Sequence[Table]) -> None:
    """Add to the score of every row the entries of the tables at its codes."""
    found = np.empty(_BLOCK, dtype=np.float32)
    for start in range(0, len(score), _BLOCK):
        block = score[start : start + _BLOCK]
        for code, table in zip(codes, tables, strict=True):
            np.take(table, code[start : start + _BLOCK], out=found[: len(block)], mode="clip")
            block += found[: len(block)]


def look_up(says: Surrogate, rows: slice | Rows, line: int) -> Table:
    """Give what one surrogate says about some rows, by one line of its tables; the best look counts."""
    best, *others = (np.take(look.table[line], _codes(look, rows), mode="clip") for look in says.looks)
    for other in others:
        np.maximum(best, other, out=best)
    return np.asarray(best)


def _codes(look: Look, rows: slice | Rows) -> Codes:
    codes = look.codes[rows]
    return codes if look.part is None else _over_edges(codes, look.part, rows)


def _over_edges(codes: Codes, part: CodedPart, rows: slice | Rows) -> Codes:
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
