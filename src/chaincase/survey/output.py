"""The answers as a file: CSV for machines, a workbook with a summary for people.

The file is written aside and then moved to its place. Text that a spreadsheet would take for a formula is
defused: what stands in a sample's id or a note was typed by somebody else.
"""

import csv
import os
import re
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from chaincase.errors import BadInput
from chaincase.survey.answering import COLUMNS, Answer
from chaincase.survey.tally import Group, Tally

MOST_ROWS = 1_048_575
"""Rows below the header that a workbook's sheet can have."""
_LONGEST_CELL = 32_767
_OPENERS = tuple("=+-@\t\r\n＝＋－＠")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d+)?")
_FIGURES = ("probability", "second_probability", "unlisted", "mean_probability")
_WIDTHS = {"sample": 16, "designation": 18, "second": 18, "next": 34, "warnings": 60, "notes": 40}
_WIDTH = 14
_SUMMARY = ("designation", "count", "mean_probability", "unsettled", "unlisted")

Cells = Sequence[str | float | None]


def form_of(output: Path) -> str:
    """Give "csv" or "xlsx", as the output's name says.

    Raises
    ------
    BadInput
        If it says neither.
    """
    form = output.suffix.casefold().removeprefix(".")
    if form not in {"csv", "xlsx"}:
        what = f"the name ends in {output.suffix!r}" if output.suffix else "the name has no ending"
        raise BadInput(what, where=str(output), right="give a .csv or .xlsx file")
    return form


def write_answers(answers: Iterable[Answer], output: Path, passed: Sequence[str], room: Path) -> Tally:
    """Write the answers, whole or not at all.

    Parameters
    ----------
    answers : iterable of Answer
        In the order of the rows; taken one by one.
    output : Path
        The file, .csv or .xlsx; replaced if it is there.
    passed : sequence of str
        Names of the columns that are handed through.
    room : Path
        Folder on the same drive for what is not finished.

    Returns
    -------
    Tally
        What was counted on the way.

    Raises
    ------
    BadInput
        If the output cannot be put in its place.
    """
    tally = Tally(passed)
    write = _write_csv if form_of(output) == "csv" else _write_workbook
    aside = room / f"table{output.suffix}"
    write(answers, aside, tally)
    with aside.open("rb+") as file:
        os.fsync(file.fileno())
    try:
        aside.replace(output)
    except OSError as fault:
        what = f"the file cannot be put in its place ({fault.strerror or fault})"
        raise BadInput(
            what, where=str(output), right="close it where it is open, then give the command again"
        ) from None
    return tally


def defused(text: str) -> str:
    """Give text for a CSV cell so that no spreadsheet takes it for a formula: with an apostrophe in front.

    >>> [defused(text) for text in ("=1+1", "-12.5", "+x", "W124")]
    ["'=1+1", '-12.5', "'+x", 'W124']
    """
    return f"'{text}" if text.startswith(_OPENERS) and not _NUMBER.fullmatch(text) else text


def summary_header(tally: Tally) -> tuple[str, ...]:
    """Give the names of the summary's columns."""
    return (*tally.machine_columns, *_SUMMARY)


def summary_cells(group: Group) -> Cells:
    """Give one line of the summary."""
    name = group.designation or "not read"
    return (*group.machine, name, group.count, group.mean_probability, group.unsettled, group.unlisted)


def _write_csv(answers: Iterable[Answer], path: Path, tally: Tally) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)  # RFC 4180
        writer.writerow((*COLUMNS, *tally.passed))
        for answer in answers:
            tally.add(answer)
            writer.writerow([_csv_cell(cell) for cell in answer.cells()])


def _csv_cell(cell: str | float | None) -> str:
    if cell is None:
        return ""
    return defused(cell) if isinstance(cell, str) else f"{cell:.6f}".rstrip("0").rstrip(".")


def _write_workbook(answers: Iterable[Answer], path: Path, tally: Tally) -> None:
    import xlsxwriter  # slow to load, and a CSV file does not need it

    options = {"constant_memory": True, "tmpdir": str(path.parent), "strings_to_formulas": False}
    options |= {"strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(str(path), options) as book:
        bold, percent = book.add_format({"bold": True}), book.add_format({"num_format": "0.0%"})
        sheets = [book.add_worksheet(name) for name in ("answers", "summary")]

        def fill(sheet: xlsxwriter.worksheet.Worksheet, header: Sequence[str], rows: Iterable[Cells]) -> None:
            for column, name in enumerate(header):
                style = percent if name in _FIGURES else None
                sheet.set_column(column, column, _WIDTHS.get(name, _WIDTH), style)
            sheet.freeze_panes(1, 1)
            for column, name in enumerate(header):
                sheet.write_string(0, column, name, bold)
            for row, cells in enumerate(rows, 1):
                _write_row(sheet.write_string, sheet.write_number, row, cells)

        fill(sheets[0], (*COLUMNS, *tally.passed), _counted(answers, tally))
        fill(sheets[1], summary_header(tally), map(summary_cells, tally.groups()))


def _counted(answers: Iterable[Answer], tally: Tally) -> Iterable[Cells]:
    for answer in answers:
        tally.add(answer)
        yield answer.cells()


def _write_row(text: Callable[..., int], number: Callable[..., int], row: int, cells: Cells) -> None:
    for column, cell in enumerate(cells):
        if isinstance(cell, str):
            if cell:
                text(row, column, cell[:_LONGEST_CELL])
        elif cell is not None:
            number(row, column, cell)
