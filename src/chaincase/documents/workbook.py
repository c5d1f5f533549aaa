"""Tables as an XLSX workbook: one sheet each, its head frozen, texts as texts, numbers as numbers, never a formula."""

import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

import xlsxwriter

from chaincase.documents.typesetting import printable

Cell = str | int | float | None

_FONT: Final = {"font_name": "Arial", "font_size": 10, "valign": "vcenter"}
_BLUE, _SOFT, _TINT, _HAIR = "#1D4E7A", "#5B636B", "#F2F4F6", "#B9C0C7"
_LONGEST: Final = 32_767
"""Characters that a cell can hold."""
# XML 1.0 has no place for these; `printable` leaves out the marks that only hide text.
_NO_XML: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    Attributes
    ----------
    title : str
        What stands over it.
    width : float
        In characters.
    fill_in : bool
        Whether a person writes here; else the column is ours and gray.
    choices : tuple of str
        What the cell offers, not what it insists on.
    """

    title: str
    width: float
    fill_in: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet: lines of explanation, a head, rows, and empty rows to write in."""

    name: str
    intro: tuple[str, ...]
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...] = ()
    empty: int = 0
    landscape: bool = True


@dataclass(frozen=True, slots=True)
class _Formats:
    """The formats of one workbook."""

    of: Mapping[str, Any] = field(default_factory=dict)

    @classmethod
    def made(cls, book: Any) -> "_Formats":
        styles: dict[str, dict[str, Any]] = {
            "intro": {"font_color": _SOFT, "text_wrap": False},
            "title": {"bold": True, "font_size": 13, "font_color": _BLUE},
            "head": {"bold": True, "font_color": _BLUE, "bottom": 2, "bottom_color": _BLUE, "text_wrap": True},
            "given": {"bottom": 1, "bottom_color": _HAIR, "text_wrap": True, "valign": "top"},
            "fill_in": {"border": 1, "border_color": _HAIR, "bg_color": _TINT, "text_wrap": True, "num_format": "@"},
        }
        return cls({name: book.add_format(_FONT | style) for name, style in styles.items()})


def workbook(grids: Sequence[Grid], *, title: str, made: datetime) -> bytes:
    """Give a workbook with one sheet per grid; the same grids give the same bytes.

    Parameters
    ----------
    grids : sequence of Grid
        The sheets, in order.
    title : str
        Title in the file's properties.
    made : datetime
        When it was made, for the file's properties.

    >>> grid = Grid("Readings", (), (Column("P", 10),), (("=1+1",), (-2.5,)))
    >>> workbook([grid], title="a test", made=datetime(2026, 3, 9))[:2]
    b'PK'
    """
    target = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(target, options) as book:
        book.set_properties({"title": _text(title), "created": made})
        formats = _Formats.made(book)
        for grid in grids:
            _write(book.add_worksheet(grid.name), grid, formats.of)
    return target.getvalue()


def head_row(grid: Grid) -> int:
    """Give the row of a grid's head, counted from 0."""
    return len(grid.intro) + 2


def _write(sheet: Any, grid: Grid, formats: Mapping[str, Any]) -> None:
    sheet.write_string(0, 0, _text(grid.name), formats["title"])
    for i, line in enumerate(grid.intro, start=1):
        sheet.write_string(i, 0, _text(line), formats["intro"])
    top = head_row(grid)
    for j, column in enumerate(grid.columns):
        sheet.set_column(j, j, column.width)
        sheet.write_string(top, j, column.title, formats["head"])
    for i, row in enumerate((*grid.rows, *[()] * grid.empty), start=top + 1):
        for j, column in enumerate(grid.columns):
            _cell(sheet, i, j, row[j] if j < len(row) else None, formats["fill_in" if column.fill_in else "given"])
    _choices(sheet, grid, top + 1)
    sheet.freeze_panes(top + 1, 0)
    if grid.landscape:
        sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(top)


def _cell(sheet: Any, row: int, column: int, value: Cell, style: Any) -> None:
    if value is None or value == "":
        sheet.write_blank(row, column, None, style)
    elif isinstance(value, str):
        sheet.write_string(row, column, _text(value), style)
    else:
        sheet.write_number(row, column, value, style)


def _choices(sheet: Any, grid: Grid, first: int) -> None:
    last = first + len(grid.rows) + grid.empty - 1
    for j, column in enumerate(grid.columns):
        if column.choices and last >= first:
            rule = {"validate": "list", "source": list(column.choices), "show_error": False}
            sheet.data_validation(first, j, last, j, rule)


def _text(text: str) -> str:
    """Give a text that every reader of workbooks can open."""
    return _NO_XML.sub("\N{REPLACEMENT CHARACTER}", str(printable(text)))[:_LONGEST]
