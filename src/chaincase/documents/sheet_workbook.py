"""The measuring sheet as a workbook to fill in and mail back; `sheet_reading` reads it."""

from collections.abc import Mapping
from datetime import datetime, time
from types import MappingProxyType
from typing import Final

from chaincase.chains.features import Component, components_of, features_of
from chaincase.chains.kinds import Kind
from chaincase.documents.paper import CAUTION
from chaincase.documents.sheet import MOVING, WHICH_UNIT, MeasuringSheet
from chaincase.documents.sheet_rows import (
    ATTACHMENT_ROWS,
    END_CHOICES,
    FORM_CHOICES,
    INSTRUMENT_CHOICES,
    LEGIBILITY_CHOICES,
    LINK_CHOICES,
    SIDE_CHOICES,
    STATE_CHOICES,
    WHEEL_SIZES,
)
from chaincase.documents.workbook import Cell, Column, Grid, workbook

FORM: Final = "chaincase/sheet-1"
"""Stands in the first sheet, so that another workbook is not taken for one of these."""

START, READINGS, STAMPS, ATTACHMENTS, SPACING, STRANDS, SPROCKETS, FEATURES = (
    "Start",
    "Readings",
    "Stamps",
    "Attachments",
    "Spacing",
    "Strands",
    "Sprockets",
    "Not seen",
)
UNIT: Final = "Unit"
REMARK: Final = "Remark"

DEFAULT_UNIT: Final = "Unit where none is written"

START_ROWS: Final = (
    "Form",
    "Kind of chain",
    "Case",
    "Machine",
    "Position",
    "Measured by",
    "Telephone or mail",
    "Date",
    "What it looks like",
    DEFAULT_UNIT,
    "Remark",
)
STRAND_ROWS: Final = (
    ("number", "Strands side by side"),
    ("buy", "Strands to buy"),
    ("counted", "Length of one strand, counted in pitches"),
    ("taped", "Length of one strand, taped"),
    ("ends", "Ends"),
    ("matched", "Matched (yes or no)"),
    ("hands", "Alike, or handed pairs"),
    ("connecting_links", "Connecting links of one strand"),
    ("spare_links", "Spare links"),
    ("spare_strands", "Spare strands"),
    ("length_tolerance", "Length tolerance, if one was asked for"),
    ("note", "Remark"),
)

_UNITS: Final = ("in", "mm")


def sheet_xlsx(sheet: MeasuringSheet) -> bytes:
    """Give the measuring sheet as a workbook."""
    made = datetime.combine(sheet.heading.day, time())
    return workbook(grids(sheet), title=f"Measuring sheet, {sheet.kind.label}", made=made)


def grids(sheet: MeasuringSheet) -> tuple[Grid, ...]:
    """Give the sheets of the workbook, in order."""
    unit = "" if sheet.units == "both" else sheet.units
    return (
        _start(sheet),
        _readings(sheet, unit),
        _stamps(),
        _attachments(),
        _spacing(),
        _strands(),
        _sprockets(),
        _features(sheet.kind),
    )


def _start(sheet: MeasuringSheet) -> Grid:
    head = sheet.heading
    known: dict[str, str] = {
        "Form": FORM,
        "Kind of chain": sheet.kind.name,
        "Case": head.case,
        "Machine": head.machine,
        "Position": head.position,
        DEFAULT_UNIT: "" if sheet.units == "both" else sheet.units,
    }
    intro = (
        f"Measuring sheet: {sheet.kind.label}",
        f"{MOVING} {CAUTION}",
        WHICH_UNIT[sheet.units],
        "Write into the tinted cells of all sheets, leave open what is not known, save it, and mail it back.",
        "What it looks like: a few words, divided by commas, such as: conveyor, flanged roller.",
    )
    return start_grid(intro, known)


def start_grid(intro: tuple[str, ...] = (), known: Mapping[str, str] = MappingProxyType({})) -> Grid:
    """Give the first sheet with what is known of it."""
    columns = (Column("What", 22), Column("Answer", 60, fill_in=True))
    return Grid(START, intro, columns, tuple((name, known.get(name, "")) for name in START_ROWS), landscape=False)


def _readings(sheet: MeasuringSheet, unit: str) -> Grid:
    intro = (
        "Measure every dimension twice, at two links. Letters are those of the figure on the printed sheet.",
        "A reading over several pitches: the whole length, and the number of pitches under 'Over pitches'.",
        "More readings go into the empty rows below: 'Dimension' is a name out of the list above.",
    )
    columns = (
        Column("Letter", 7),
        Column("Dimension", 22, fill_in=True),
        Column("What and how", 52),
        Column("Instrument", 15, fill_in=True, choices=INSTRUMENT_CHOICES),
        Column("Technique", 16, fill_in=True),
        Column("Link", 9, fill_in=True, choices=("inner", "outer", "unknown")),
        Column("Between", 9, fill_in=True, choices=("pins", "rollers", "holes", "unknown")),
        Column("Over pitches", 9, fill_in=True),
        Column("First reading", 14, fill_in=True),
        Column("Second reading", 14, fill_in=True),
        Column(UNIT, 7, fill_in=True, choices=_UNITS),
        Column(REMARK, 30, fill_in=True),
    )
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            row.letter,
            row.dimension,
            f"{'* ' if row.dimension in sheet.asked else ''}{row.label}: {row.how} ({row.place})",
            row.instrument,
            row.technique,
            row.link,
            row.reference,
            "" if row.over is None else str(row.over),
            "",
            "",
            unit,
            "",
        )
        for row in sheet.rows
    )
    return Grid(READINGS, intro, columns, rows, empty=6)


def _stamps() -> Grid:
    intro = (
        "As it looks: ? for one character that cannot be read, * where an unknown number is missing.",
        "Foreign text, casting marks and dates count too. One row for each.",
    )
    columns = (
        Column("Stamp", 30, fill_in=True),
        Column("Where", 40, fill_in=True),
        Column("Legibility", 14, fill_in=True, choices=LEGIBILITY_CHOICES),
        Column(REMARK, 30, fill_in=True),
    )
    return Grid(STAMPS, intro, columns, empty=8)


def _attachments() -> Grid:
    sizes = [f"{row.label}: {row.how}" for row in ATTACHMENT_ROWS]
    intro = ("One row for each sort of attachment.", *sizes)
    columns = (
        Column("On links", 10, fill_in=True, choices=LINK_CHOICES),
        Column("Sides", 9, fill_in=True, choices=SIDE_CHOICES),
        Column("Form", 14, fill_in=True, choices=FORM_CHOICES),
        Column("Code", 12, fill_in=True),
        Column("Holes per side", 8, fill_in=True),
        *(Column(row.label.capitalize(), 14, fill_in=True) for row in ATTACHMENT_ROWS),
        Column(UNIT, 7, fill_in=True, choices=_UNITS),
        Column(REMARK, 30, fill_in=True),
    )
    return Grid(ATTACHMENTS, intro, columns, empty=6)


def _spacing() -> Grid:
    intro = (
        "One row for each observation, each with one of: counted, gaps in a row, taped, links in the piece, on links.",
        "Counted: pitches from an attachment to the next, or over several gaps; a count on the machine is worth most.",
        "Taped: with its unit, from an attachment to the same place of the next, or over several gaps.",
        "Gaps in a row: several gaps, each counted by itself: 4, 4, 5.",
        "Links in the piece: how many links were sent or seen, and which carry an attachment: 2, 6; - for none.",
    )
    columns = (
        Column("Counted", 10, fill_in=True),
        Column("Taped", 14, fill_in=True),
        Column("Gaps", 8, fill_in=True),
        Column("Gaps in a row", 18, fill_in=True),
        Column("Links in the piece", 11, fill_in=True),
        Column("Attachments on links", 18, fill_in=True),
        Column("On links", 12, fill_in=True, choices=("inner", "outer", "both")),
        Column(REMARK, 30, fill_in=True),
    )
    return Grid(SPACING, intro, columns, empty=8)


def _strands() -> Grid:
    intro = (
        f"Ends: {', '.join(END_CHOICES)}.",
        "Handed pairs: left and right strands whose attachments mirror each other.",
        "A taped length with its unit.",
    )
    columns = (Column("What", 42), Column("Answer", 40, fill_in=True))
    return Grid(STRANDS, intro, columns, tuple((words, "") for _, words in STRAND_ROWS), landscape=False)


def _sprockets() -> Grid:
    intro = ("One row for each sprocket that stays.", *(f"{column}: {words}" for column, words in wheel_columns()))
    columns = (
        Column("Where", 20, fill_in=True),
        Column("Teeth", 8, fill_in=True),
        *(Column(column, 14, fill_in=True) for column, _ in wheel_columns()),
        Column("Number stamped", 18, fill_in=True),
        Column(UNIT, 7, fill_in=True, choices=_UNITS),
        Column(REMARK, 30, fill_in=True),
    )
    return Grid(SPROCKETS, intro, columns, empty=6)


def wheel_columns() -> tuple[tuple[str, str], ...]:
    """Give the columns of sizes read on a sprocket, with how they are read.

    >>> wheel_columns()[0]
    ('Outside diameter', 'over the tips of the teeth')
    """
    return tuple((name.replace("_", " ").capitalize(), words) for name, words in WHEEL_SIZES)


def _features(kind: Kind) -> Grid:
    intro = (
        "What a caliper does not tell. An empty State leaves the question open.",
        "'ruled out' means that the chain has it not, and that somebody knows it.",
        f"State: {', '.join(STATE_CHOICES)}.",
    )
    columns = (
        Column("Feature", 18),
        Column("Question", 70),
        Column("Part", 14, fill_in=True, choices=tuple(part.value for part in Component)),
        Column("State", 12, fill_in=True, choices=STATE_CHOICES),
        Column("What it is", 30, fill_in=True),
        Column("How it is known", 30, fill_in=True),
        Column("Who says so", 20, fill_in=True),
    )
    rows = tuple((each.key, _question(each.question, kind, each.key), "", "", "", "", "") for each in features_of(kind))
    return Grid(FEATURES, intro, columns, rows, empty=6)


def _question(question: str, kind: Kind, key: str) -> str:
    parts = next(components_of(each, kind) for each in features_of(kind) if each.key == key)
    return f"{question} ({', '.join(part.value for part in parts)})" if parts else question
