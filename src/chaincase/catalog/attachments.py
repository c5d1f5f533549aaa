"""The packaged tables of attachments, and the list of which standard holds which chain."""

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from chaincase.catalog.findings import Finding, Severity
from chaincase.catalog.packaged import VERIFIED
from chaincase.catalog.provenance import FOLDER, Origin, matches, origin_of
from chaincase.catalog.table import Limit, Trust
from chaincase.errors import BadInput

ATTACHMENT_TABLES: tuple[str, ...] = (
    "attachments_roller",
    "attachments_iso1977",
    "agricultural_attachments",
    "attachments_nomenclature",
)
"""Names of the packaged tables of attachments."""
STANDARDS = "standards_map"

KEPT = frozenset({"verified", "standard", "note"})
"""Columns with the same meaning in every table."""


@dataclass(frozen=True, slots=True)
class AttachmentRow:
    """One attachment of one chain.

    Attributes
    ----------
    table : str
        One of `ATTACHMENT_TABLES`.
    chain : str
        Size of the chain, without strands, pitch and roller form; empty in the list of codes.
    chain_names : tuple of str
        Other names of the chain.
    attachment : str
        Code, such as K1.
    names : tuple of str
        Other codes of the same attachment.
    form : str
        Bent, straight or what else, in words.
    sides, holes : str
        On which sides, and how many holes, where a list of codes says so.
    values : mapping of str to float
        Known sizes [mm], `angle_deg` in degrees.
    limits : mapping of str to Limit
        What each size says.
    trust : mapping of str to Trust
        How well each size is known.
    standard : str
        Where the row comes from, where rows of a table differ.
    note : str
        What must be known about the row; may be empty.
    """

    table: str
    chain: str
    chain_names: tuple[str, ...]
    attachment: str
    names: tuple[str, ...]
    form: str
    sides: str
    holes: str
    values: Mapping[str, float]
    limits: Mapping[str, Limit]
    trust: Mapping[str, Trust]
    standard: str
    note: str

    @property
    def label(self) -> str:
        """Chain and code, as exceptions and doubts name the row."""
        return f"{self.chain} {self.attachment}".strip()


@dataclass(frozen=True, slots=True)
class StandardRow:
    """One standard, what it covers and what became of it."""

    standard: str
    title: str
    relation: str
    where_read: str
    trust: Trust
    note: str


@cache
def load_attachments(table: str) -> tuple[AttachmentRow, ...]:
    """Read one packaged table of attachments.

    Raises
    ------
    BadInput
        If there is no such table.

    >>> row = next(row for row in load_attachments("attachments_roller") if row.label == "16B K1")
    >>> row.values["platform_height"], row.values["transverse_hole_spacing"]
    (15.88, 50.8)
    """
    if table not in ATTACHMENT_TABLES:
        right = f"use one of: {', '.join(ATTACHMENT_TABLES)}"
        raise BadInput(f"{table!r} is not a packaged table of attachments", right=right)
    origin = origin_of(table)
    return tuple(_attachment(record, table, origin) for record in _records(table))


@cache
def load_standards() -> tuple[StandardRow, ...]:
    """Read the list of standards.

    >>> next(row.relation for row in load_standards() if row.standard == "ANSI B29.13-1972")
    'replaced by B29.21'
    """
    return tuple(
        StandardRow(
            record["standard"],
            record["title"],
            record["relation"],
            record["where_read"],
            VERIFIED[record["verified"]],
            record["note"],
        )
        for record in _records(STANDARDS)
    )


def check_attachments(table: str) -> list[Finding]:
    """Check a packaged table of attachments against the file that says where it comes from.

    Returns
    -------
    list of Finding
        Errors, and the doubts that the file records.
    """
    origin = origin_of(table)
    rows = load_attachments(table)
    doubts = [
        Finding(table, ", ".join(doubt.rows), ", ".join(doubt.columns), doubt.reason, Severity.DOUBT)
        for doubt in origin.doubts
    ]
    return [*_faults(table, origin, rows), *doubts]


def _faults(table: str, origin: Origin, rows: tuple[AttachmentRow, ...]) -> Iterator[Finding]:
    for column in _records(table)[0]:
        if column not in KEPT and column not in origin.columns and column not in origin.extra:
            yield Finding(table, "", column, "nothing says what this column is", Severity.ERROR)
    for entry in (*(one.rows for one in origin.exceptions), *(one.rows for one in origin.doubts)):
        if not any(matches(entry, row.label) for row in rows):
            yield Finding(table, ", ".join(entry), "", "no such row", Severity.ERROR)
    for row in rows:
        yield from _impossible(row)


def _impossible(row: AttachmentRow) -> Iterator[Finding]:
    for column, value in row.values.items():
        if not value > 0 or not math.isfinite(value):
            yield Finding(row.table, row.label, column, f"{value:g} is no size", Severity.ERROR)
    for small, large in (
        ("hole_diameter", "slot_length"),
        ("transverse_hole_spacing", "overall_width"),
        ("longitudinal_hole_spacing", "plate_length"),
        ("hole_height", "overall_height"),
    ):
        if small in row.values and large in row.values and row.values[small] >= row.values[large]:
            message = f"{row.values[small]:g} is not less than {large} {row.values[large]:g}"
            yield Finding(row.table, row.label, small, message, Severity.ERROR)


@cache
def _records(table: str) -> list[dict[str, str]]:
    return list(csv.DictReader((FOLDER / f"{table}.csv").read_text(encoding="utf-8").splitlines()))


def _attachment(record: Mapping[str, str], table: str, origin: Origin) -> AttachmentRow:
    label = f"{record.get('chain', '')} {record['attachment']}".strip()
    filled = [column for column in origin.columns if record.get(column)]
    limits = {column: origin.columns[column].limit for column in filled}
    for deviation in origin.exceptions:
        if deviation.limit is not None and matches(deviation.rows, label):
            limits |= {column: deviation.limit for column in deviation.columns if column in limits}
    verified = VERIFIED[record["verified"]]
    return AttachmentRow(
        table=table,
        chain=record.get("chain", ""),
        chain_names=_names(record, "chain_names"),
        attachment=record["attachment"],
        names=_names(record, "names"),
        form=record["form"],
        sides=record.get("sides", ""),
        holes=record.get("holes", ""),
        values={column: float(record[column]) for column in filled},
        limits=limits,
        trust={column: max(verified, origin.columns[column].trust) for column in filled},
        standard=record.get("standard", ""),
        note=record["note"],
    )


def _names(record: Mapping[str, str], column: str) -> tuple[str, ...]:
    return tuple(name for name in record.get(column, "").split("|") if name)
