"""The packaged tables: read, expanded to one row per chain, and joined so that every chain stands once."""

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import cast

from chaincase.catalog.provenance import FOLDER, Expansion, Form, Origin, matches, origin_of
from chaincase.catalog.table import Catalog, Limit, Row, Trust, build, concatenate
from chaincase.chains.dimensions import COLUMN
from chaincase.errors import BadInput

TABLES: tuple[str, ...] = (
    "iso606_a",
    "iso606_b",
    "ansi_b29_1",
    "gost13568",
    "iso1275",
    "iso1977_m",
    "iso1977_mc",
    "din8165_fv",
    "gost588",
    "gost589",
    "bs4116",
    "offset_sidebar",
    "bushed_rollerless",
    "combination",
    "h_type_mill",
    "welded_mill",
    "welded_drag",
    "rivetless",
    "detachable",
    "flat_top",
    "flat_top_sideflex",
    "agricultural",
    "leaf",
)
"""Names of the packaged tables, those that others refer to first."""

VERIFIED = {"2": Trust.TWO_SOURCES, "1": Trust.ONE_SOURCE, "m": Trust.MEMORY}
BOOKKEEPING = frozenset(
    {
        "designation",
        "alternatives",
        "same_as",
        "kind",
        "strands",
        "pitches_one_source",
        "verified",
        "two_sources",
        "memory",
        "standard",
        "note",
    }
)
"""Columns of a table that hold no figure."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a packaged table, figures read, not yet expanded; keys are the CSV's columns."""

    record: Mapping[str, str]
    values: Mapping[str, float]
    limits: Mapping[str, Limit]
    trust: Mapping[str, Trust]


@cache
def load_table(name: str) -> Catalog:
    """Read one packaged table, with the rows that stand for a chain of another table among them.

    Parameters
    ----------
    name : str
        One of `TABLES`.

    Returns
    -------
    Catalog
        One row per chain, pitch and roller form.

    Raises
    ------
    BadInput
        If there is no such table.

    >>> table = load_table("iso606_b")
    >>> table.dimensions_of(table.row("16B"))["roller_diameter"]
    15.88
    """
    rows = [row for row, _ in rows_of(name)]
    return build(origin_of(name).source, rows)


def load_standard() -> Catalog:
    """Read all packaged tables; a chain that several tables list stands once, with all its names.

    >>> catalog = load_standard()
    >>> catalog.designations[catalog.row("ANSI 40")]
    '08A-1'
    """
    kept: dict[tuple[str, str], Row] = {}
    for table in TABLES:
        for row, same_as in rows_of(table):
            twin = tuple(same_as.split("/", 1))
            if len(twin) == 2 and twin in kept:
                kept[twin] = _named_also(kept[twin], row)
            else:
                kept[table, row.designation] = row
    parts = [(table, [row for (name, _), row in kept.items() if name == table]) for table in TABLES]
    return concatenate([build(origin_of(table).source, rows) for table, rows in parts if rows])


def _named_also(row: Row, twin: Row) -> Row:
    names = dict.fromkeys((*row.alternatives, twin.designation, *twin.alternatives))
    names.pop(row.designation, None)
    return replace(row, alternatives=tuple(names))


@cache
def rows_of(name: str) -> tuple[tuple[Row, str], ...]:
    """Read the rows of a packaged table, each with the `table/designation` it stands for, or nothing."""
    origin = origin_of(name)
    return tuple(row for line in lines_of(name) for row in _rows(line, origin))


@cache
def lines_of(name: str) -> tuple[Line, ...]:
    """Read the lines of a packaged table as they are stored.

    Raises
    ------
    BadInput
        If there is no such table, or a cell is not a number.
    """
    if name not in TABLES:
        raise BadInput(f"{name!r} is not a packaged table of chains", right=f"use one of: {', '.join(TABLES)}")
    origin = origin_of(name)
    lines = csv.reader((FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines())
    header = next(lines)
    records = [dict(zip(header, cells, strict=True)) for cells in lines]
    return tuple(_line(record, origin) for record in records)


def _line(record: Mapping[str, str], origin: Origin) -> Line:
    values = {
        column: _number(record, column, origin)
        for column in origin.columns
        if record.get(column) and not (origin.expansion and column == origin.expansion.pitches)
    }
    limits = {column: entry.limit for column, entry in origin.columns.items()}
    trust = {column: _trust(record, column, origin) for column in origin.columns if record.get(column)}
    for deviation in origin.exceptions:
        if matches(deviation.rows, record["designation"]):
            for column in deviation.columns:
                limits[column] = limits[column] if deviation.limit is None else deviation.limit
                trust[column] = max(trust.get(column, Trust.NONE), deviation.trust or Trust.TWO_SOURCES)
    return Line(record, values, limits, trust)


def _number(record: Mapping[str, str], column: str, origin: Origin) -> float:
    try:
        return float(record[column])
    except ValueError:
        where = f"{origin.source.name}, {record['designation']}, {column}"
        raise BadInput(f"{record[column]!r} is not a number", where=where, right="write 12.7") from None


def _trust(record: Mapping[str, str], column: str, origin: Origin) -> Trust:
    """Give the trust of a cell: that of its row, lowered by its column and by what the row lists."""
    trust = max(VERIFIED[record["verified"]], origin.columns[column].trust)
    two = record.get("two_sources")
    pitches = origin.expansion.pitches if origin.expansion else ""
    if two and column != pitches and column not in two.split("|"):
        trust = max(trust, Trust.ONE_SOURCE)
    return Trust.MEMORY if column in record.get("memory", "").split("|") else trust


def _rows(line: Line, origin: Origin) -> Iterator[tuple[Row, str]]:
    if origin.expansion is None:
        yield _plain(line), line.record.get("same_as", "")
        return
    expansion = origin.expansion
    forms = [form for form in expansion.forms if not form.roller or form.roller in line.values]
    rows = [_in_form(line, form) for form in forms]
    for pitch in _listed(line.record, expansion.pitches) or ("",):
        for form, row in zip(forms, rows, strict=True):
            yield _at_pitch(line, expansion, form, row, pitch)


def _listed(record: Mapping[str, str], column: str) -> Sequence[str]:
    return [item for item in record.get(column, "").split("|") if item]


def _plain(line: Line) -> Row:
    record = line.record
    return Row(
        designation=record["designation"],
        kind=record["kind"],
        values={column: value for column, value in line.values.items() if column in COLUMN},
        limits=line.limits,
        trust=line.trust,
        alternatives=tuple(_listed(record, "alternatives")),
        strands=int(record.get("strands") or 0),
        tensile_kn=line.values.get("tensile_kn", math.nan),
        mass_kg_per_m=line.values.get("mass_kg_per_m", math.nan),
        note=record.get("note", ""),
        standard=record.get("standard", ""),
    )


def _in_form(line: Line, form: Form) -> Row:
    """Give the row of one roller form, pitch and names still to come."""
    taken = {column: column for column in line.values if column in COLUMN and column != "flange_diameter"}
    if form.roller:
        taken["roller_diameter"] = form.roller
    if form.flange in line.values:
        taken["flange_diameter"] = form.flange
    return replace(
        _plain(line),
        kind=f"{line.record['kind']} {form.kind}",
        values={column: line.values[stored] for column, stored in taken.items()},
        limits={column: line.limits[stored] for column, stored in taken.items()},
        trust={column: line.trust[stored] for column, stored in taken.items()},
    )


def _at_pitch(line: Line, expansion: Expansion, form: Form, row: Row, pitch: str) -> tuple[Row, str]:
    """Give the row of one pitch and roller form, and the row it stands for."""
    base, same_as = row.designation, line.record.get("same_as", "")
    ending = (f"x{pitch}" if pitch else "") + (f" {form.name}" if form.name else "")
    names = [name.format(base=base, pitch=pitch) for name in form.names if pitch or "{pitch}" not in name]
    limits, trust = dict(row.limits), dict(cast("Mapping[str, Trust]", row.trust))
    if pitch:
        least = Trust.ONE_SOURCE if pitch in _listed(line.record, expansion.one_source) else Trust.TWO_SOURCES
        limits["pitch"], trust["pitch"] = line.limits[expansion.pitches], max(line.trust[expansion.pitches], least)
    expanded = Row(
        designation=base + ending,
        kind=row.kind,
        values={"pitch": float(pitch), **row.values} if pitch else row.values,
        limits=limits,
        trust=trust,
        alternatives=tuple(name for name in names if name != base + ending),
        strands=row.strands,
        tensile_kn=row.tensile_kn,
        mass_kg_per_m=row.mass_kg_per_m,
        note=row.note,
        standard=row.standard,
    )
    return expanded, same_as + ending if same_as else ""
