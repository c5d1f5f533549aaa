"""Tables that people send, read without trust: CSV text and XLSX workbooks, and evidence files.

A file is looked at before it is opened, read only up to a limit, and given as rows of text that keep the
row numbers which the person sees in the spreadsheet. Every fault names file, sheet, row and column.
"""

import csv
import io
import re
import stat
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import chain, islice
from pathlib import Path

from chaincase.errors import BadInput

MIB = 2**20
BLOCK_ROWS = 8192
"""Rows handed on at once: columns long enough to be read fast, short enough to stay in the cache."""
EVIDENCE_BYTES = 2 * MIB
"""An evidence file of a thousand readings is about 200 kB."""
HEAD_LINES = 40
"""Lines in which a header is looked for; prints rarely have more than ten lines above their table."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How much of a file is read before it is refused.

    Attributes
    ----------
    text_bytes : int
        Size of a CSV file; a million chains with twelve dimensions are about 110 MB.
    workbook_bytes : int
        Size of an XLSX file; a full sheet of a million rows and thirteen columns packs into about 60 MB.
    lines : int
        Lines of a CSV file, so that a file of line ends alone does not keep a machine busy.
    columns : int
        Columns of a table; the widest print of the trade has about sixty.
    cell : int
        Characters of one cell; a remark is shorter, an unclosed quote is longer.
    cells : int
        Cells of a workbook's sheet, as they all stand in memory at once.
    entries, unpacked_bytes, ratio : int
        Parts in an XLSX file, their size unpacked, and how many times larger than packed any part may be:
        honest workbooks have some dozens, some megabytes and about 10.
    """

    text_bytes: int = 256 * MIB
    workbook_bytes: int = 64 * MIB
    lines: int = 2_000_000
    columns: int = 256
    cell: int = 4096
    cells: int = 4_000_000
    entries: int = 1000
    unpacked_bytes: int = 200 * MIB
    ratio: int = 100


CATALOG = Limits()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table as text.

    Attributes
    ----------
    file : str
        The file, as it was named.
    name : str
        Name of the sheet, empty for CSV.
    others : tuple of str
        The workbook's further sheets.
    read : callable
        Starts reading the rows from the first.
    limits : Limits
        What the rows are held to.
    """

    file: str
    name: str
    others: tuple[str, ...]
    read: Callable[[], Iterator[list[str]]]
    limits: Limits = CATALOG

    def place(self, row: int = 0, column: int = -1, header: str = "") -> str:
        """Say where something is, as a person finds it in a spreadsheet.

        Parameters
        ----------
        row : int
            Row, from 1; 0 leaves it out.
        column : int
            Column, from 0; -1 leaves it out.
        header : str
            What stands over the column.

        >>> Sheet("a.csv", "", (), lambda: iter(())).place(7, 2, "Barrel dia.")
        "a.csv, row 7, column C 'Barrel dia.'"
        """
        parts = [self.file]
        if self.name:
            parts.append(f"sheet {self.name!r}")
        if row:
            parts.append(f"row {row}")
        if column >= 0:
            parts.append(f"column {column_letters(column)}" + (f" {header!r}" if header else ""))
        return ", ".join(parts)

    def blocks(self, size: int = BLOCK_ROWS) -> Iterator[tuple[int, list[list[str]]]]:
        """Give the rows in blocks, each with the number of its first row.

        Raises
        ------
        BadInput
            If a row has too many columns, a cell is too long, or the text of the file is not in order.
        """
        rows = self.read()
        first = 1
        while block := list(islice(rows, size)):
            if max(map(len, block)) > self.limits.columns:
                raise self._too_wide(first, block)
            if max(map(len, chain.from_iterable(block)), default=0) > self.limits.cell:
                raise self._too_long(first, block)
            yield first, block
            first += len(block)

    def rows(self) -> Iterator[tuple[int, list[str]]]:
        """Give each row with its number, from 1."""
        for first, block in self.blocks():
            yield from enumerate(block, first)

    def _too_wide(self, first: int, block: list[list[str]]) -> BadInput:
        row, cells = next((i, r) for i, r in enumerate(block, first) if len(r) > self.limits.columns)
        right = f"give at most {self.limits.columns} columns"
        return BadInput(f"the row has {len(cells)} columns", where=self.place(row), right=right)

    def _too_long(self, first: int, block: list[list[str]]) -> BadInput:
        row, column, cell = next(
            (i, j, cell)
            for i, cells in enumerate(block, first)
            for j, cell in enumerate(cells)
            if len(cell) > self.limits.cell
        )
        right = f"give at most {self.limits.cell} characters a cell, and close every quote"
        return BadInput(f"the cell holds {len(cell)} characters", where=self.place(row, column), right=right)


def column_letters(column: int) -> str:
    """Give the letters over a spreadsheet's column, counted from 0.

    >>> [column_letters(i) for i in (0, 25, 26, 255)]
    ['A', 'Z', 'AA', 'IV']
    """
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def column_number(letters: str) -> int:
    """Give the column of a spreadsheet's letters, counted from 0.

    >>> column_number("IV")
    255
    """
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1


def read_sheet(path: str | Path, sheet: str | None = None, limits: Limits = CATALOG) -> Sheet:
    """Open the table in a .csv or .xlsx file.

    Parameters
    ----------
    path : str or Path
        The file; UTF-8 text with comma, semicolon or tab between the cells, or a workbook.
    sheet : str, optional
        Name of the workbook's sheet; without it the first one that is not hidden.
    limits : Limits
        How much is read.

    Returns
    -------
    Sheet
        Its rows; a CSV file's are read only as they are asked for.

    Raises
    ------
    BadInput
        If the file is not such a table, is too large, or holds what cannot be read with certainty: other
        encodings, formulas, error values, macros.
    """
    path = Path(path)
    kind = _form(path)
    if kind == "xlsx":
        from chaincase.catalog.workbooks import read_workbook

        return read_workbook(path, sheet, limits)
    if sheet is not None:
        raise BadInput("a CSV file has no sheets", where=str(path), right="leave the sheet out, or give the .xlsx file")
    return _csv_sheet(path, limits)


_REFUSED = {
    ".xls": "an old workbook",
    ".xlsm": "a workbook with macros",
    ".xlsb": "a binary workbook",
    ".ods": "an OpenDocument table",
    ".numbers": "a workbook of another kind",
    ".pdf": "a PDF document",
}


def _form(path: Path) -> str:
    suffix = path.suffix.lower()
    _check_regular(path)
    if suffix in _REFUSED:
        raise BadInput(f"this is {_REFUSED[suffix]}", where=str(path), right="save it as .xlsx or .csv")
    if suffix == ".xlsx":
        return "xlsx"
    if suffix in {".csv", ".tsv", ".txt"}:
        return "csv"
    raise BadInput(f"the name ends in {suffix!r}", where=str(path), right="give a .csv or .xlsx file")


def _check_regular(path: Path) -> int:
    """Give the size of a file that is one, and nothing that only looks like one."""
    try:
        found = path.stat()
    except FileNotFoundError:
        raise BadInput("there is no such file", where=str(path), right="check the name") from None
    except (OSError, ValueError) as fault:
        raise _unreadable(path, fault) from None
    if stat.S_ISDIR(found.st_mode):
        raise BadInput("this is a folder", where=str(path), right="name a file in it")
    if not stat.S_ISREG(found.st_mode):
        raise BadInput("this is not a regular file", where=str(path), right="save the data to a file first")
    return found.st_size


def _unreadable(path: Path, fault: Exception) -> BadInput:
    reason = getattr(fault, "strerror", None) or str(fault)
    return BadInput(f"the file cannot be read ({reason})", where=str(path), right="check name and rights")


def read_bytes(path: str | Path, limit: int) -> bytes:
    """Read a regular file of at most `limit` bytes.

    Raises
    ------
    BadInput
        If it is missing, a folder, a device, larger than that, or not to be read.
    """
    path = Path(path)
    size = _check_regular(path)
    if size <= limit:
        try:
            with path.open("rb") as file:
                data = file.read(limit + 1)
        except OSError as fault:
            raise _unreadable(path, fault) from None
        size = len(data)
    if size > limit:
        right = f"give a file of at most {megabytes(limit)}"
        raise BadInput(f"the file has {megabytes(size)}", where=str(path), right=right)
    return data


def megabytes(size: int) -> str:
    """Give a size in MB for a person, rounded up so that it never looks like the limit it broke.

    >>> megabytes(2 * MIB), megabytes(2 * MIB + 1)
    ('2 MB', '2.1 MB')
    """
    tenths = -(-size * 10 // MIB)
    return f"{tenths // 10} MB" if tenths % 10 == 0 else f"{tenths / 10:.1f} MB"


def read_text(path: str | Path, limit: int = EVIDENCE_BYTES) -> str:
    """Read a text file, as evidence and keys are.

    Parameters
    ----------
    path : str or Path
        The file.
    limit : int
        Bytes that it may have.

    Returns
    -------
    str
        The text, without a byte order mark.

    Raises
    ------
    BadInput
        If it is missing, a folder, too large, or not UTF-8 text; the offset of the first wrong byte is named.
    """
    data = read_bytes(path, limit)
    check_text(data, str(path))
    return str(data, "utf-8-sig")


def check_text(data: bytes, where: str) -> None:
    """Refuse bytes that are no UTF-8 text.

    Raises
    ------
    BadInput
        With byte offset and line of the first byte that is wrong.
    """
    if data[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        raise BadInput("the text is UTF-16", where=where, right="save it as UTF-8 (CSV UTF-8)")
    if data[:4] == b"PK\x03\x04":
        raise BadInput("this is a packed file, not text", where=where, right="a workbook must end in .xlsx")
    nul = data.find(b"\0")
    wrong = _first_not_utf8(data if nul < 0 else data[:nul])
    if wrong >= 0:
        what = f"byte 0x{data[wrong]:02x} at offset {wrong} (line {_line(data, wrong)}) is not UTF-8"
        raise BadInput(what, where=where, right="save the file as UTF-8 (CSV UTF-8)")
    if nul >= 0:
        what = f"there is a zero byte at offset {nul} (line {_line(data, nul)})"
        raise BadInput(what, where=where, right="give a text file; this looks like another sort of file")


def _first_not_utf8(data: bytes) -> int:
    """Give the offset of the first byte that is not UTF-8, or -1.

    The text is tried in blocks that end at a line end, so that a large file is not held twice.
    """
    view, start = memoryview(data), 0
    while start < len(data):
        line_end = data.find(b"\n", start + MIB)
        end = len(data) if line_end < 0 else line_end + 1
        try:
            str(view[start:end], "utf-8")
        except UnicodeDecodeError as fault:
            return start + fault.start
        start = end
    return -1


def _line(data: bytes, offset: int) -> int:
    return data.count(b"\n", 0, offset) + 1


def _csv_sheet(path: Path, limits: Limits) -> Sheet:
    data = read_bytes(path, limits.text_bytes)
    check_text(data, str(path))
    lines = data.count(b"\n") + 1
    if lines > limits.lines:
        right = f"give at most {limits.lines} lines; divide the table into several files"
        raise BadInput(f"the file has {lines} lines", where=str(path), right=right)
    delimiter = _delimiter(data)
    return Sheet(str(path), "", (), lambda: _csv_rows(data, delimiter, str(path)), limits)


def _csv_rows(data: bytes, delimiter: str, where: str) -> Iterator[list[str]]:
    text = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")
    reader = csv.reader(text, delimiter=delimiter, strict=True)
    row = 0
    try:
        for row, cells in enumerate(reader, 1):  # noqa: B007 (the message below needs it)
            yield cells
    except csv.Error as fault:
        # The row at fault is the one after the last good one; a quote may run on for thousands of lines.
        what = f"a quote is not closed, or text follows a closing quote ({fault})"
        right = 'close the quote; inside a quoted cell write a quote as ""'
        raise BadInput(what, where=f"{where}, row {row + 1}", right=right) from None


def _delimiter(data: bytes) -> str:
    """Find which of comma, semicolon and tab divides the cells.

    It is the one that the most of the first lines, the header among them, have equally often: in a table
    with decimal commas the header has none, and the semicolons agree.
    """
    head = re.sub(r'"[^"]*"', "", str(data[: 16 * HEAD_LINES * 1024], "utf-8-sig", "ignore"))
    lines = [line for line in head.splitlines() if line.strip()][:HEAD_LINES]

    def agreement(delimiter: str) -> tuple[int, int]:
        counts = Counter(line.count(delimiter) for line in lines)
        counts.pop(0, None)
        return max(((often, count) for count, often in counts.items()), default=(0, 0))

    return max("\t;,", key=agreement)
