"""Where a table stands in its sheet: row of headers, rows of chains, and the columns that a key names."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice

from chaincase.catalog.dimension_key import ColumnKey, DimensionKey, folded, lettered, nearest
from chaincase.catalog.sheets import HEAD_LINES, Sheet, column_letters
from chaincase.errors import BadInput, BadInputs


@dataclass(frozen=True, slots=True)
class Layout:
    """The columns of a key, found in a sheet.

    Attributes
    ----------
    header_row : int
        Row of the headers, from 1; 0 where there is none.
    first_row, last_row : int
        Rows of chains, both included.
    headers : tuple of str
        What stands over each column.
    figures : tuple of (ColumnKey, int)
        Columns of figures with their place, from 0.
    designation, kind, strands, standard : int
        Places of single columns, -1 where the key names none.
    alternatives, notes : tuple of int
        Places of the columns of other names and of remarks.
    """

    header_row: int
    first_row: int
    last_row: int
    headers: tuple[str, ...]
    figures: tuple[tuple[ColumnKey, int], ...]
    designation: int
    kind: int
    strands: int
    standard: int
    alternatives: tuple[int, ...]
    notes: tuple[int, ...]

    def header(self, column: int) -> str:
        """Give what stands over a column, or nothing."""
        return self.headers[column] if column < len(self.headers) else ""

    def unread(self) -> tuple[int, ...]:
        """Give the columns with a header that the key does not name."""
        singles = {self.designation, self.kind, self.strands, self.standard}
        read = singles | {place for _, place in self.figures} | {*self.alternatives, *self.notes}
        return tuple(i for i, header in enumerate(self.headers) if header and i not in read)


LAST_ROW = 2**31


def find_layout(sheet: Sheet, key: DimensionKey) -> Layout:
    """Find the columns that a key names.

    Parameters
    ----------
    sheet : Sheet
        The table.
    key : DimensionKey
        Its key; without a header row in it, the row among the first ones that has most of the headers.

    Returns
    -------
    Layout
        Where everything stands.

    Raises
    ------
    BadInput, BadInputs
        If headers are missing or stand over several columns.
    """
    head = [row for _, row in islice(sheet.rows(), max(HEAD_LINES, key.header_row or 0))]
    if not any(any(cell.strip() for cell in row) for row in head):
        raise BadInput("the table is empty", where=sheet.place(), right="give a table with headers and chains")
    wanted = {folded(header) for header in key.headers() if lettered(header) is None}
    header_row = _header_row(head, wanted) if key.header_row is None else key.header_row
    if header_row > len(head):
        right = f"set header_row to at most {len(head)}"
        raise BadInput(f"there is no row {header_row}", where=sheet.place(), right=right)
    headers = tuple(" ".join(cell.split()) for cell in head[header_row - 1]) if header_row else ()
    finder = _Finder(sheet, header_row, headers, max(map(len, head)))
    layout = Layout(
        header_row=header_row,
        first_row=max(key.first_row or 1, header_row + 1),
        last_row=key.last_row or LAST_ROW,
        headers=headers,
        figures=tuple((column, finder.place(column.header)) for column in key.columns),
        designation=finder.place(key.designation),
        kind=finder.place(key.kind_column),
        strands=finder.place(key.strands_column),
        standard=finder.place(key.standard_column),
        alternatives=tuple(map(finder.place, key.alternatives)),
        notes=tuple(map(finder.place, key.notes)),
    )
    finder.refuse_twice(place for _, place in layout.figures)
    if finder.faults:
        raise BadInputs(finder.faults) if len(finder.faults) > 1 else finder.faults[0]
    return layout


def _header_row(head: Sequence[Sequence[str]], wanted: set[str]) -> int:
    """Give the row that has most of the wanted headers; 0 if none is wanted, 1 if none is there."""
    if not wanted:
        return 0
    found = [len(wanted & {folded(cell) for cell in row}) for row in head]
    return found.index(max(found)) + 1 if any(found) else _first_filled(head)


def _first_filled(head: Sequence[Sequence[str]]) -> int:
    return next(i for i, row in enumerate(head, 1) if any(cell.strip() for cell in row))


class _Finder:
    """Finds columns by header or letter and collects those that are not there."""

    def __init__(self, sheet: Sheet, header_row: int, headers: tuple[str, ...], width: int) -> None:
        self.sheet = sheet
        self.header_row = header_row
        self.headers = headers
        self.width = width
        self.folded = [folded(header) for header in headers]
        self.faults: list[BadInput] = []

    def place(self, header: str | None) -> int:
        """Give the place of a column, -1 for none."""
        if header is None:
            return -1
        places = [i for i, found in enumerate(self.folded) if found == folded(header)]
        letter = lettered(header)
        if len(places) == 1:
            return places[0]
        if not places and letter is not None and letter < self.width:
            return letter
        self.faults.append(self._several(header, places) if places else self._missing(header))
        return -1

    def refuse_twice(self, places: Iterable[int]) -> None:
        """Take a fault for a column that holds two dimensions."""
        seen: set[int] = set()
        for place in places:
            if place >= 0 and place in seen:
                what = "the key gives this column two dimensions"
                header = self.headers[place] if place < len(self.headers) else ""
                where = self.sheet.place(self.header_row, place, header)
                self.faults.append(BadInput(what, where=where, right="name each column once"))
            seen.add(place)

    def _several(self, header: str, places: list[int]) -> BadInput:
        letters = [column_letters(place) for place in places]
        what = f"{len(places)} columns are headed {header!r}: {', '.join(letters)}"
        where = self.sheet.place(self.header_row)
        return BadInput(what, where=where, right=f'name the one as "column {letters[0]}"')

    def _missing(self, header: str) -> BadInput:
        if lettered(header) is not None:
            right = f"the last one is column {column_letters(self.width - 1)}"
            return BadInput(f"there is no {header}", where=self.sheet.place(), right=right)
        filled = [found for found in self.headers if found]
        right = nearest(header, filled, also="the headers are") if filled else "set header_row in the key"
        if len(header) <= 2 and header.isalpha():
            right += f'; for the column under the letter write "column {header.upper()}"'
        if self.sheet.others:
            right += f"; other sheets are: {', '.join(self.sheet.others)}"
        return BadInput(f"no column is headed {header!r}", where=self.sheet.place(self.header_row), right=right)
