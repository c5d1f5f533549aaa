"""What the columns of a survey sheet mean, found out and checked before the first row is read.

A column that means nothing here is left out and told; one that looks like a misspelled piece of evidence is
refused, since a reading that is silently left out gives another answer.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import islice

from chaincase.catalog.sheets import HEAD_LINES, Sheet, column_letters
from chaincase.chains.dimensions import ALIASES, BY_NAME, UNNAMED
from chaincase.errors import BadInput, BadInputs
from chaincase.measuring.reading import LONGEST_NAME
from chaincase.units.measures import LENGTH

READING_FIELDS = ("instrument", "link", "over", "technique", "reference")
MARK_FIELDS = ("where", "legibility")
PASSED = ("site", "machine", "position", "notes")
"""Columns that are no evidence and are handed through to the end of the answers."""

_SYNONYMS = {"sample_id": "sample", "sample_number": "sample", "marks": "mark", "stamp": "mark", "note": "notes"}
_SIZES = {**{name: name for name in (*BY_NAME, *UNNAMED)}, **ALIASES}
_EVIDENCE = [*_SIZES, "sample", "construction", "mark", *_SYNONYMS]
_HARMLESS = {"weight"}
"""Words of the trade that merely look like a dimension: "weight" is one letter off "height"."""
_NEAR = 0.78
"""How alike a header must be to count as misspelled: `pich`, `heigth` and `pitch_2` are."""
_UNIT = re.compile(r"(.*\S)\s*[(\[]([^()\[\]]{1,20})[)\]]")


@dataclass(frozen=True, slots=True)
class Measure:
    """The columns of one dimension.

    Attributes
    ----------
    dimension : str
        Its name in `chains.dimensions`.
    column : int
        Where the value stands, from 0.
    unit : str
        Unit that the header gives to values written without one, such as "mm"; may be empty.
    fields : tuple of (str, int)
        Further fields of the reading and their columns.
    """

    dimension: str
    column: int
    unit: str = ""
    fields: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Layout:
    """What the columns of a sheet mean.

    Attributes
    ----------
    header : tuple of str
        As written, from column A.
    row : int
        Row of the header, from 1.
    sample : int
        Column of the sample's id, from 0.
    construction : int
        Column of the construction; -1 if there is none.
    mark : tuple of (str, int)
        Fields of the mark (text, where, legibility) and their columns; empty if there is none.
    measures : tuple of Measure
        The dimensions, in the order of their columns.
    passed : tuple of (str, int)
        Names and columns of what is handed through, in the order of `PASSED`.
    notices : tuple of str
        What a person should know about the columns.
    """

    header: tuple[str, ...]
    row: int
    sample: int
    construction: int
    mark: tuple[tuple[str, int], ...]
    measures: tuple[Measure, ...]
    passed: tuple[tuple[str, int], ...]
    notices: tuple[str, ...] = ()

    def place(self, column: int) -> str:
        """Say which column that is, as a person finds it.

        >>> Layout(("sample", "Pitch"), 1, 0, -1, (), (Measure("pitch", 1),), ()).place(1)
        "column B 'Pitch'"
        """
        name = self.header[column] if column < len(self.header) else ""
        return f"column {column_letters(column)}" + (f" {name!r}" if name else "")


@dataclass(frozen=True, slots=True)
class _Heading:
    """One header, understood: `name` is a dimension, a column of ours, or empty where it means nothing."""

    column: int
    text: str
    name: str
    field: str = ""
    unit: str = ""


def read_layout(sheet: Sheet) -> Layout:
    """Find out what the columns of a sheet mean; its first row that is not empty is the header.

    Raises
    ------
    BadInput
        If there is no header, no column `sample`, or nothing to identify by; if two columns mean the same, a
        column seems misspelled, or `pitch.instrument` stands without `pitch`. All columns are told at once.
    """
    row, cells = next(((i, c) for i, c in islice(sheet.rows(), HEAD_LINES) if any(map(str.strip, c))), (0, []))
    if not row:
        raise BadInput("there is no header", where=sheet.place(), right="name the columns in the first row")
    texts = tuple(" ".join(cell.split()) for cell in cells)
    faults: list[BadInput] = []
    notices: list[str] = []
    headings: dict[tuple[str, str], _Heading] = {}
    for column, text in enumerate(texts):
        if not text:
            continue
        try:
            heading = _understood(column, text, sheet.place(row, column, text))
            if heading.name:
                _add(headings, heading, sheet.place(row, column, text))
            else:
                notices.append(f"{sheet.place(row, column, text)} means nothing here and was left out")
        except BadInput as fault:
            faults.append(fault)
    faults += _lone_fields(headings, sheet, row)
    faults = faults or list(_missing(headings, sheet, row))  # what is missing may be what is misspelled
    if faults:
        raise faults[0] if len(faults) == 1 else BadInputs(faults)
    return _layout(texts, row, headings, notices)


def _layout(texts: tuple[str, ...], row: int, headings: dict[tuple[str, str], _Heading], notices: list[str]) -> Layout:
    columns = {key: heading.column for key, heading in headings.items()}
    mark = [("text", columns["mark", ""])] if ("mark", "") in columns else []
    mark += [(field, columns["mark", field]) for field in MARK_FIELDS if ("mark", field) in columns]
    sizes = [heading for heading in headings.values() if heading.name in _SIZES and not heading.field]
    return Layout(
        header=texts,
        row=row,
        sample=columns["sample", ""],
        construction=columns.get(("construction", ""), -1),
        mark=tuple(mark),
        measures=tuple(
            Measure(
                size.name,
                size.column,
                size.unit,
                tuple((field, columns[size.name, field]) for field in READING_FIELDS if (size.name, field) in columns),
            )
            for size in sizes
        ),
        passed=tuple((name, columns[name, ""]) for name in PASSED if (name, "") in columns),
        notices=tuple(notices),
    )


def _understood(column: int, text: str, place: str) -> _Heading:
    """Find out what one header means.

    Raises
    ------
    BadInput
        If it seems to be a misspelled name.
    """
    name, unit = _without_unit(text)
    whole, (base, dot, field) = _plain(name), _plain(name).rpartition(".")
    if known := _named(whole):
        if unit and known not in _SIZES:
            raise BadInput(f"{known} has no unit", where=place, right=f"write {known!r}")
        return _Heading(column, text, known, unit=unit)
    if dot and (known := _named(base)):
        fields = READING_FIELDS if known in _SIZES else MARK_FIELDS if known == "mark" else ()
        if field in fields:
            return _Heading(column, text, known, field)
        if near := get_close_matches(field[:LONGEST_NAME], fields, n=1, cutoff=_NEAR):
            raise _misspelled(f"{known}.{near[0]}", place)
        return _Heading(column, text, "")
    if near_name := _near(base if dot else whole):
        raise _misspelled(f"{near_name}.{field}" if dot else near_name, place)
    return _Heading(column, text, "")


def _named(plain: str) -> str:
    """Give the name that a plain header means, or nothing."""
    plain = _SYNONYMS.get(plain, plain)
    known = _SIZES.get(plain, plain)
    return known if known in _SIZES or known in {"sample", "construction", "mark", *PASSED} else ""


def _without_unit(text: str) -> tuple[str, str]:
    """Take the unit off a header such as "Pin dia. (mm)".

    >>> _without_unit("Pin dia. (mm)"), _without_unit("mark (worn)")
    (('Pin dia.', 'mm'), ('mark (worn)', ''))
    """
    found = _UNIT.fullmatch(text)
    unit = LENGTH.spellings.get(found[2].casefold().strip(" ."), "") if found else ""
    return (found[1], unit) if found and unit else (text, "")


def _plain(text: str) -> str:
    """Give a header without differences in case, blanks and hyphens.

    >>> _plain("Pin-Dia."), _plain("Pin diameter . Instrument")
    ('pin_dia', 'pin_diameter.instrument')
    """
    parts = text.casefold().replace("_", " ").replace("-", " ").strip(" .").split(".")
    return ".".join("_".join(part.split()) for part in parts)


def _near(plain: str) -> str:
    """Give the name of evidence that a header seems to mean, or nothing.

    >>> _near("pich"), _near("diameter_pin"), _near("pitch_mm"), _near("customer")
    ('pitch', 'pin_diameter', 'pitch', '')
    """
    if plain in _HARMLESS:
        return ""
    words = set(plain.replace(".", "_").split("_"))
    sizes = [name for name in (*BY_NAME, *ALIASES) if set(name.split("_")) <= words]
    near = [max(sizes, key=len)] if sizes else get_close_matches(plain[:LONGEST_NAME], _EVIDENCE, n=1, cutoff=_NEAR)
    return near[0] if near else ""


def _misspelled(name: str, place: str) -> BadInput:
    right = f"write {name!r} if that is meant, or give the column a name that is unlike it"
    return BadInput("this is not a column of a survey", where=place, right=right)


def _add(headings: dict[tuple[str, str], _Heading], heading: _Heading, place: str) -> None:
    key = heading.name, heading.field
    if key in headings:
        other = headings[key]
        what = f"means the same as column {column_letters(other.column)} {other.text!r}"
        raise BadInput(what, where=place, right="keep one column for each dimension and field")
    headings[key] = heading


def _lone_fields(headings: dict[tuple[str, str], _Heading], sheet: Sheet, row: int) -> Iterable[BadInput]:
    """Say which fields stand without the column that they belong to."""
    for (name, field), heading in headings.items():
        if field and (name, "") not in headings:
            where = sheet.place(row, heading.column, heading.text)
            yield BadInput(f"there is no column {name!r} that this belongs to", where=where, right=f"add {name!r}")


def _missing(headings: dict[tuple[str, str], _Heading], sheet: Sheet, row: int) -> Iterable[BadInput]:
    """Say what is not there and must be."""
    place = sheet.place(row)
    if ("sample", "") not in headings:
        yield BadInput("there is no column 'sample'", where=place, right="name the column with the samples' ids so")
    if not any(name in _SIZES or name in {"construction", "mark"} for name, _ in headings):
        right = "add a column 'construction' or 'mark', or one named like a dimension, such as 'pitch'"
        yield BadInput("there is no column to identify by", where=place, right=right)
