"""The chains of a sheet, read block by block under a key; every fault is kept with its row and column."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain, zip_longest

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.dimension_key import KIND_WORDS, DimensionKey, folded, nearest
from chaincase.catalog.figures import EMPTY, FigureReader
from chaincase.catalog.layout import Layout
from chaincase.catalog.sheets import Sheet
from chaincase.chains.kinds import BY_NAME as KIND_NAMED
from chaincase.chains.kinds import INDEX
from chaincase.errors import BadInput, BadInputs

FAULTS_PER_COLUMN = 20
"""Faults of one column that are told one by one; a column under a wrong unit has as many as rows."""
_STRANDS = {"simplex": 1, "duplex": 2, "triplex": 3, "single": 1, "double": 2, "triple": 3}

Columns = list[tuple[str, ...]]


class Faults:
    """The faults of a table; of one column the first are told and the others counted."""

    def __init__(self, sheet: Sheet, layout: Layout) -> None:
        self.sheet = sheet
        self.layout = layout
        self.told: list[tuple[int, int, BadInput]] = []
        self.counted: Counter[int] = Counter()

    def add(self, row: int, column: int, what: str, right: str) -> None:
        """Take one fault; the column counts from 0, -1 is the whole row."""
        self.counted[column] += 1
        if self.counted[column] <= FAULTS_PER_COLUMN:
            where = self.sheet.place(row, column, self.layout.header(column) if column >= 0 else "")
            self.told.append((row, column, BadInput(what, where=where, right=right)))

    def refuse(self) -> None:
        """Raise what was taken, if anything was.

        Raises
        ------
        BadInput, BadInputs
            With the faults ordered by row and column.
        """
        faults = [fault for _, _, fault in sorted(self.told, key=lambda told: told[:2])]
        for column, count in sorted(self.counted.items()):
            if count > FAULTS_PER_COLUMN:
                where = self.sheet.place(0, column, self.layout.header(column) if column >= 0 else "")
                what = f"there are {count - FAULTS_PER_COLUMN} more faults"
                faults.append(BadInput(what, where=where, right="mend the ones above first"))
        if faults:
            raise BadInputs(faults) if len(faults) > 1 else faults[0]


@dataclass(frozen=True, slots=True)
class ChainRows:
    """The chains of a sheet in columns.

    Attributes
    ----------
    rows : ndarray of int64, shape (n,)
        Their rows in the sheet, from 1.
    designations, standards, notes : list of str, length n
    alternatives : list of tuples of str, length n
    kinds, strands : ndarray of int16, shape (n,)
    figures : ndarray of float64, shape (n, figure columns)
        mm, kN or kg/m, as the key has the columns; NaN where a cell is empty.
    skipped : list of int
        Rows with a name but no figure: headings and remarks within the table.
    """

    rows: NDArray[np.int64]
    designations: list[str]
    alternatives: list[tuple[str, ...]]
    kinds: NDArray[np.int16]
    strands: NDArray[np.int16]
    figures: NDArray[np.float64]
    notes: list[str]
    standards: list[str]
    skipped: list[int]


def read_chains(key: DimensionKey, layout: Layout, faults: Faults, *, plain: bool = True) -> ChainRows:
    """Read every chain of a sheet.

    Parameters
    ----------
    key : DimensionKey
        The table's key.
    layout : Layout
        Where the key's columns stand.
    faults : Faults
        Takes everything that cannot be read; it knows the sheet.
    plain : bool
        Whether plain numbers take the short way.

    Returns
    -------
    ChainRows
        The rows that have a name and at least one figure. Where a fault was taken, a figure is NaN, a kind or
        count of strands -1.
    """
    reader = _BlockReader(key, layout, faults, plain=plain)
    parts = [reader.read(first, block) for first, block in _blocks(faults.sheet, layout)]
    return _joined(parts, len(layout.figures))


def _blocks(sheet: Sheet, layout: Layout) -> Iterator[tuple[int, list[list[str]]]]:
    """Give the blocks of the sheet, cut to the rows of chains."""
    for first, block in sheet.blocks():
        if first > layout.last_row:
            return
        start, stop = max(layout.first_row - first, 0), layout.last_row - first + 1
        if start < len(block):
            yield first + start, block[start:stop] if start or stop < len(block) else block


class _BlockReader:
    """Turns blocks of rows into chains."""

    def __init__(self, key: DimensionKey, layout: Layout, faults: Faults, *, plain: bool) -> None:
        self.key = key
        self.layout = layout
        self.faults = faults
        self.readers = [(place, FigureReader(column, key.decimal, plain=plain)) for column, place in layout.figures]
        self.repeated = folded(layout.header(layout.designation)) or None
        self.kinds: dict[str, int] = {}
        self.strands: dict[str, int] = {}

    def read(self, first: int, block: list[list[str]]) -> ChainRows:
        columns = list(zip_longest(*block, fillvalue=""))
        rows = np.arange(first, first + len(block))
        self._check_width(rows, columns)
        names = [" ".join(name.split()) for name in self._column(columns, self.layout.designation, len(rows))]
        again = [name.casefold() == self.repeated for name in names] if self.repeated else []
        if any(again):  # the header, printed again on the next page
            keep = [i for i, header in enumerate(again) if not header]
            columns, rows = _taken(columns, keep), rows[keep]
            names = [names[i] for i in keep]
        figures, wrong = self._figures(rows, columns)
        return self._chains(rows, columns, names, figures, wrong)

    def _column(self, columns: Columns, place: int, length: int) -> Sequence[str]:
        """Give the cells of a column; empty ones where it is not there."""
        return columns[place] if 0 <= place < len(columns) else ("",) * length

    def _check_width(self, rows: NDArray[np.int64], columns: Columns) -> None:
        """Take a fault where a CSV row is longer than the headers: a cell with a comma lacked its quotes."""
        width = len(self.layout.headers)
        if not width or self.faults.sheet.name or len(columns) <= width:
            return
        for i, cells in enumerate(zip(*columns[width:], strict=True)):
            if any(cell.strip() for cell in cells):
                what = f"the row has more cells than the {width} headers"
                self.faults.add(int(rows[i]), -1, what, "put a cell with a comma in it in quotes")

    def _figures(self, rows: NDArray[np.int64], columns: Columns) -> tuple[NDArray[np.float64], set[int]]:
        """Read the columns of figures; give also the rows (from 0) in which one is at fault."""
        figures = np.full((len(rows), len(self.readers)), np.nan)
        wrong: set[int] = set()
        for j, (place, reader) in enumerate(self.readers):
            cells = self._column(columns, place, len(rows))
            figures[:, j] = reader.read(cells)
            if reader.faults:
                wrong |= self._tell(rows, place, cells, reader)
        return figures, wrong

    def _tell(self, rows: NDArray[np.int64], place: int, cells: Sequence[str], reader: FigureReader) -> set[int]:
        found = {i for i, cell in enumerate(cells) if cell in reader.faults}
        for i in sorted(found):
            fault = reader.faults[cells[i]]
            self.faults.add(int(rows[i]), place, fault.what, fault.right)
        return found

    def _chains(
        self,
        rows: NDArray[np.int64],
        columns: Columns,
        names: list[str],
        figures: NDArray[np.float64],
        wrong: set[int],
    ) -> ChainRows:
        filled: NDArray[np.bool_] = np.any(~np.isnan(figures), axis=1)
        filled[list(wrong)] = True
        named = np.array([name.casefold() not in EMPTY for name in names], dtype=bool)
        for i in np.flatnonzero(filled & ~named):
            right = "give the chain its number, or leave the row empty"
            self.faults.add(int(rows[i]), self.layout.designation, "the row has figures but no name", right)
        keep = filled & named
        skipped = rows[named & ~filled].tolist()
        if not keep.all():
            chosen = np.flatnonzero(keep).tolist()
            columns, names = _taken(columns, chosen), [names[i] for i in chosen]
            rows, figures = rows[keep], figures[keep]
        self._check_names(rows, names)
        return ChainRows(
            rows=rows,
            designations=names,
            alternatives=self._alternatives(columns, names),
            kinds=self._kinds(rows, columns),
            strands=self._strands(rows, columns),
            figures=figures,
            notes=self._texts(columns, self.layout.notes, len(rows)),
            standards=self._texts(columns, (self.layout.standard,), len(rows)),
            skipped=skipped,
        )

    def _check_names(self, rows: NDArray[np.int64], names: list[str]) -> None:
        if "".join(names).isprintable():
            return
        for i, name in enumerate(names):
            if not name.isprintable():
                right = "type the chain number again, without control characters"
                self.faults.add(int(rows[i]), self.layout.designation, f"{name!r} cannot be printed", right)

    def _kinds(self, rows: NDArray[np.int64], columns: Columns) -> NDArray[np.int16]:
        default = INDEX[self.key.kind] if self.key.kind else -1
        if self.layout.kind < 0:
            return np.full(len(rows), default, dtype=np.int16)
        cells = self._column(columns, self.layout.kind, len(rows))
        for cell in set(cells) - self.kinds.keys():
            self.kinds[cell] = self._kind(cell, default)
        codes = np.array([self.kinds[cell] for cell in cells], dtype=np.int16)
        for i in np.flatnonzero(codes < 0).tolist():
            what = f"{cells[i]!r} is not a kind of chain" if cells[i].strip() else "the kind is missing"
            right = f"{nearest(cells[i], KIND_NAMED)}; or say what it means under [kinds] in the key"
            self.faults.add(int(rows[i]), self.layout.kind, what, right)
        return codes

    def _kind(self, cell: str, default: int) -> int:
        if cell.strip().casefold() in EMPTY:
            return default
        word = folded(cell)
        return INDEX.get(self.key.kinds.get(word) or KIND_WORDS.get(word, ""), -1)

    def _strands(self, rows: NDArray[np.int64], columns: Columns) -> NDArray[np.int16]:
        if self.layout.strands < 0:
            return np.full(len(rows), self.key.strands, dtype=np.int16)
        cells = self._column(columns, self.layout.strands, len(rows))
        for cell in set(cells) - self.strands.keys():
            self.strands[cell] = self._strand_count(cell)
        counts = np.array([self.strands[cell] for cell in cells], dtype=np.int16)
        for i in np.flatnonzero(counts < 0).tolist():
            right = "write 1, 2, 3 ..., or simplex, duplex, triplex"
            self.faults.add(int(rows[i]), self.layout.strands, f"{cells[i]!r} is not a count of strands", right)
        return counts

    def _strand_count(self, cell: str) -> int:
        word = folded(cell)
        if word in EMPTY:
            return self.key.strands
        count = int(word) if word.isdecimal() and len(word) <= 3 else _STRANDS.get(word, -1)
        return count if count > 0 else -1

    def _alternatives(self, columns: Columns, names: list[str]) -> list[tuple[str, ...]]:
        places = [place for place in self.layout.alternatives if 0 <= place < len(columns)]
        if not places:
            return [()] * len(names)
        cells = zip(*(columns[place] for place in places), strict=True)
        return [_other_names(row, name) for row, name in zip(cells, names, strict=True)]

    def _texts(self, columns: Columns, places: tuple[int, ...], length: int) -> list[str]:
        """Give the remarks of each row, of several columns one after the other."""
        cells = [columns[place] for place in places if 0 <= place < len(columns)]
        if not cells:
            return [""] * length
        if len(cells) == 1:
            return [" ".join(cell.split()) if cell else "" for cell in cells[0]]
        return ["; ".join(" ".join(c.split()) for c in row if c.strip()) for row in zip(*cells, strict=True)]


def _other_names(cells: Sequence[str], name: str) -> tuple[str, ...]:
    """Give the names in some cells, divided by | or ;, each once and without the chain's own."""
    parts = [part for cell in cells if cell for part in cell.replace(";", "|").split("|")]
    names = dict.fromkeys(" ".join(part.split()) for part in parts)
    return tuple(n for n in names if n.casefold() not in EMPTY and n != name)


def _taken(columns: Columns, keep: list[int]) -> Columns:
    return [tuple(column[i] for i in keep) for column in columns]


def _joined(parts: list[ChainRows], width: int) -> ChainRows:
    empty = np.empty(0, dtype=np.int16)
    return ChainRows(
        rows=np.concatenate([np.empty(0, dtype=np.int64), *(part.rows for part in parts)]),
        designations=list(chain.from_iterable(part.designations for part in parts)),
        alternatives=list(chain.from_iterable(part.alternatives for part in parts)),
        kinds=np.concatenate([empty, *(part.kinds for part in parts)]),
        strands=np.concatenate([empty, *(part.strands for part in parts)]),
        figures=np.concatenate([np.empty((0, width)), *(part.figures for part in parts)]),
        notes=list(chain.from_iterable(part.notes for part in parts)),
        standards=list(chain.from_iterable(part.standards for part in parts)),
        skipped=list(chain.from_iterable(part.skipped for part in parts)),
    )
