"""The filled cells of a measuring sheet's workbook, each with its place, and all faults found in them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from chaincase.catalog.sheets import MIB, Limits, Sheet
from chaincase.catalog.sheets import read_sheet as open_sheet
from chaincase.documents.workbook import Grid
from chaincase.errors import BadInput, BadInputs
from chaincase.units import parse_length

LIMITS = Limits(
    text_bytes=2 * MIB,
    workbook_bytes=4 * MIB,
    lines=10_000,
    columns=64,
    cells=100_000,
    entries=200,
    unpacked_bytes=32 * MIB,
)
"""A sheet filled in by hand has some hundred cells; pictures pasted into it are not read."""

Found = TypeVar("Found")


class Faults:
    """Faults of one workbook, collected so that a person can mend them all at once."""

    def __init__(self) -> None:
        self.found: list[BadInput] = []

    def add(self, what: str, where: str, right: str) -> None:
        """Keep a fault."""
        self.found.append(BadInput(what, where=where, right=right))

    def tried(self, work: Callable[[], Found], where: str) -> Found | None:
        """Give what some work gives; None where it refuses, with the fault kept and its place named."""
        try:
            return work()
        except BadInput as fault:
            self.found += [_placed(each, where) for each in getattr(fault, "faults", (fault,))]
            return None

    def raise_any(self) -> None:
        """Refuse the workbook if anything was found.

        Raises
        ------
        BadInput
            All faults.
        """
        if self.found:
            raise self.found[0] if len(self.found) == 1 else BadInputs(self.found)


def _placed(fault: BadInput, where: str) -> BadInput:
    return BadInput(fault.what, where=where, right=fault.right)


@dataclass(frozen=True, slots=True)
class Line:
    """One filled row: the texts of its columns, where they stand, and the unit of lengths that have none."""

    sheet: Sheet
    row: int
    columns: Mapping[str, int]
    cells: Sequence[str]
    unit: str
    faults: Faults = field(compare=False)

    def text(self, title: str) -> str:
        """Give what stands under a column, without blanks around it."""
        at = self.columns[title]
        return self.cells[at].strip() if at < len(self.cells) else ""

    def place(self, title: str = "") -> str:
        """Say where it stands: file, sheet, row, column."""
        return self.sheet.place(self.row, self.columns[title], title) if title else self.sheet.place(self.row)

    def whole(self, title: str, most: int = 100_000) -> int | None:
        """Give a whole number; None where nothing or no such number stands."""
        text = self.text(title)
        if not text:
            return None
        if text.isascii() and text.isdigit() and 0 < int(text[:9]) <= most and len(text) <= 9:
            return int(text)
        self.faults.add(f"{text[:40]!r} is no number", self.place(title), f"write a whole number from 1 to {most}")
        return None

    def wholes(self, title: str) -> list[int] | None:
        """Give several whole numbers, divided by commas or blanks; a single - for none; None where nothing stands."""
        text = self.text(title)
        parts = text.replace(",", " ").replace(";", " ").split()
        if not parts or parts == ["-"]:
            return [] if parts else None
        if all(part.isascii() and part.isdigit() and len(part) <= 6 for part in parts):
            return [int(part) for part in parts]
        self.faults.add(f"{text[:40]!r} are no numbers", self.place(title), "write whole numbers: 2, 6; - for none")
        return None

    def length(self, title: str, unit: str = "") -> str:
        """Give a length as written, with a unit where it has none: that of its row, else that of the sheet.

        Empty where nothing stands.
        """
        text, unit = self.text(title), unit or self.unit
        if not text:
            return ""
        found = self.faults.tried(lambda: parse_length(text), self.place(title))
        if found is None:
            return ""
        return f"{text} {unit}" if found.unit is None and unit else text


def lines(path: Path, grid: Grid, faults: Faults, unit: str = "") -> Iterator[Line]:
    """Give the rows of one sheet in which anything stands.

    Parameters
    ----------
    path : Path
        The workbook.
    grid : Grid
        The sheet as it was sent out: its name and columns.
    faults : Faults
        Takes what is wrong with its head, and cells outside its columns.
    unit : str
        Unit of lengths that have none, "" where nobody named one.

    Raises
    ------
    BadInput
        If the file cannot be read, is packed to burst, or has no such sheet.
    """
    sheet = open_sheet(path, grid.name, LIMITS)
    titles = [column.title for column in grid.columns]
    columns: dict[str, int] | None = None
    for row, cells in sheet.rows():
        if columns is None:
            if cells and cells[0].strip() == titles[0]:
                columns = _columns(sheet, row, cells, titles, faults)
        elif any(cell.strip() for cell in cells):
            line = Line(sheet, row, columns, cells, unit, faults)
            _outside(line, faults)
            yield line
    if columns is None:
        raise BadInput("the head of the table is missing", where=sheet.place(), right=f"keep its row {titles[0]!r} ...")


def _columns(sheet: Sheet, row: int, cells: Sequence[str], titles: Sequence[str], faults: Faults) -> dict[str, int]:
    found: dict[str, int] = {}
    for at, cell in enumerate(cells):
        title = cell.strip()
        if title in titles and title not in found:
            found[title] = at
        elif title:
            faults.add(
                f"the column {title[:40]!r} is not one of this sheet",
                sheet.place(row, at),
                "write remarks under Remark",
            )
    missing = [title for title in titles if title not in found]
    if missing:
        raise BadInput(
            f"the columns {missing} are missing", where=sheet.place(row), right="keep the head as it was sent"
        )
    return found


def _outside(line: Line, faults: Faults) -> None:
    known = set(line.columns.values())
    for at, cell in enumerate(line.cells):
        if at not in known and cell.strip():
            where = line.sheet.place(line.row, at)
            faults.add(f"{cell.strip()[:40]!r} stands beside the table", where, "write it under one of the columns")
