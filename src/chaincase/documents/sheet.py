"""The measuring sheet of a kind of chain: two pages to print, to take to the machine, and to fill in."""

from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any, Final, Literal

from chaincase.chains.features import features_of
from chaincase.chains.kinds import Kind, kind_named
from chaincase.documents.paper import CAUTION, Heading, Paper, heading_data
from chaincase.documents.pictograms import pictogram
from chaincase.documents.qr import code_of
from chaincase.documents.sheet_rows import (
    ATTACHMENT_ROWS,
    FORM_CHOICES,
    LINK_CHOICES,
    SIDE_CHOICES,
    WHEEL_SIZES,
    SheetRow,
    sheet_rows,
)
from chaincase.documents.typesetting import set_pdf
from chaincase.drawing.figure import State, figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput

Units = Literal["in", "mm", "both"]

STAMP_LINES: Final = 3
STAMP_BOXES: Final = 16
"""Lines and characters of the boxes for stamps; the longest designation that people stamp has about a dozen."""

MOVING: Final = "Never measure on a moving chain."
WHICH_UNIT: Final = {
    "in": "All readings in inches, as the instrument shows them: 4 1/16 or 4.063.",
    "mm": "All readings in millimeters, as the instrument shows them.",
    "both": "Write the unit beside every reading: in or mm. Do not convert.",
}


@dataclass(frozen=True, slots=True)
class MeasuringSheet:
    """What a sheet shows.

    Attributes
    ----------
    heading : Heading
        Whose case it is; `title` and `case` may be empty.
    kind : Kind
        Kind of chain.
    figure : str
        Blank keyed figure as SVG.
    rows : tuple of SheetRow
        Readings to take.
    asked : frozenset of str
        Dimensions that matter most now; their rows are marked.
    questions : tuple of (str, str)
        Label and question of each feature that does not show.
    units : "in", "mm" or "both"
        What is written in the boxes.
    address : str
        Address that opens the case; empty for none.
    """

    heading: Heading
    kind: Kind
    figure: str
    rows: tuple[SheetRow, ...]
    asked: frozenset[str]
    questions: tuple[tuple[str, str], ...]
    units: Units = "both"
    address: str = ""


def blank_heading(day: date) -> Heading:
    """Give the heading of a sheet that belongs to no case yet."""
    return Heading(title="", case="", plant="", day=day, revision="")


def measuring_sheet(
    kind: str,
    heading: Heading,
    *,
    asked: frozenset[str] = frozenset(),
    units: Units = "both",
    address: str = "",
) -> MeasuringSheet:
    """Give the sheet of a kind of chain.

    Parameters
    ----------
    kind : str
        Name in `chains.kinds`.
    heading : Heading
        Whose case it is, or `blank_heading`.
    asked : frozenset of str
        Dimensions that matter most now.
    units : "in", "mm" or "both"
        What is written in the boxes.
    address : str
        Address that opens the case.

    Raises
    ------
    BadInput
        If there is no such kind or system of units, or the address is none.

    >>> sheet = measuring_sheet("leaf", blank_heading(date(2026, 3, 9)))
    >>> [row.letter for row in sheet.rows][:5]
    ['P', 'P', 'P', 'D', 'L']
    """
    if units not in WHICH_UNIT:
        raise BadInput(f"{units!r} is no system of units", where="units", right="use in, mm or both")
    the_kind = kind_named(kind)
    code_of(address)
    scene = figure(kind, {}, title=the_kind.label, state=State.BLANK, asked=asked & set(the_kind.dimensions))
    drawn = {line.name for line in scene.dimensions}
    rows = tuple(row if row.dimension in drawn else _undrawn(row) for row in sheet_rows(the_kind))
    questions = tuple((each.label, each.question) for each in features_of(the_kind))
    return MeasuringSheet(heading, the_kind, write_svg(scene), rows, asked, questions, units, address)


def _undrawn(row: SheetRow) -> SheetRow:
    """Say of a row that the blank figure has no letter for it: not every chain of the kind has that part."""
    return replace(row, how=f"{row.how} (not drawn)")


def sheet_pdf(sheet: MeasuringSheet, *, paper: Paper = "us-letter") -> bytes:
    """Give the sheet as PDF.

    Raises
    ------
    BadInput
        If there is no such paper, or the address is none.
    """
    return set_pdf("sheet.typ", _data(sheet, paper))


def _data(sheet: MeasuringSheet, paper: Paper) -> dict[str, Any]:
    label = sheet.kind.label
    return heading_data(sheet.heading, paper, "Measuring sheet") | {
        "kind_label": label[:1].upper() + label[1:],
        "figure": sheet.figure,
        "rows": [_row(row, sheet) for row in sheet.rows],
        "attachment_rows": [asdict(row) for row in ATTACHMENT_ROWS],
        "pictograms": _pictograms(sheet),
        "links": list(LINK_CHOICES[:-1]),
        "sides": list(SIDE_CHOICES[:-1]),
        "forms": list(FORM_CHOICES[:-1]),
        "wheel_sizes": [words for _, words in WHEEL_SIZES],
        "questions": [{"label": label, "question": question} for label, question in sheet.questions],
        "stamp_lines": STAMP_LINES,
        "stamp_boxes": STAMP_BOXES,
        "unit": "" if sheet.units == "both" else sheet.units,
        "which_unit": WHICH_UNIT[sheet.units],
        "caution": f"{MOVING} {CAUTION}",
        "address": sheet.address,
        "code": code_of(sheet.address),
    }


def _row(row: SheetRow, sheet: MeasuringSheet) -> dict[str, Any]:
    return asdict(row) | {"asked": row.dimension in sheet.asked}


def _pictograms(sheet: MeasuringSheet) -> dict[str, str]:
    names = {row.pictogram for row in sheet.rows} | {row.pictogram for row in ATTACHMENT_ROWS}
    return {name: pictogram(name) for name in sorted(names)}
