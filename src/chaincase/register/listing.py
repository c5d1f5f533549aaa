"""Lists of cases: filtered, last changed first, page by page from the last line seen."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import searching
from chaincase.register.schema import case_gap, cases

MOST: Final = 500
"""Lines of a page at most."""
_EQUAL: Final = ("state", "customer", "site", "machine", "position", "assigned", "designation", "ready")
_TAGGED: Final = ("state", "customer", "site", "machine", "position", "ready")
"""Kept among the words of a case, so that a text and a filter are looked up together."""


@dataclass(frozen=True, slots=True)
class Filter:
    """Which cases a list shows; empty means all.

    Attributes
    ----------
    text : str
        Words that the case holds.
    state, customer, site, machine, position, assigned : str
        As filed; ids for all but the state.
    gap : str
        Key of an open question, such as `features.material`.
    designation : str
        Found or chosen.
    ready : str
        make, quote or no.
    """

    text: str = ""
    state: str = ""
    customer: str = ""
    site: str = ""
    machine: str = ""
    position: str = ""
    assigned: str = ""
    gap: str = ""
    designation: str = ""
    ready: str = ""

    @classmethod
    def of(cls, data: dict[str, Any]) -> "Filter":
        """Give the filter that JSON data say, as a saved view holds it.

        Raises
        ------
        BadInput
            If a field is unknown or no text.
        """
        known = {field.name for field in fields(cls)}
        for name, value in data.items():
            if name not in known:
                raise BadInput(f"a list has no filter {name!r}", right=f"use {', '.join(sorted(known))}")
            if not isinstance(value, str):
                raise BadInput("a text is needed", where=name)
        return cls(**data)

    def as_json(self) -> str:
        """Give the filter as a saved view holds it.

        >>> Filter(state="open").as_json()
        '{"state": "open"}'
        """
        return json.dumps({name: value for name, value in asdict(self).items() if value})


@dataclass(frozen=True, slots=True)
class CaseLine:
    """What a list shows of a case; `customer`, `plant`, `machine` as the case says them."""

    case: str
    version: int
    title: str
    customer: str
    plant: str
    machine: str
    state: str
    assigned: str
    designation: str
    probability: float | None
    ready: str
    gaps: tuple[str, ...]
    gaps_quote: int
    gaps_make: int
    conflicts: int
    created: str
    updated: str


@dataclass(frozen=True, slots=True)
class CasePage:
    """Lines of a list, and what to pass as `after` for those that follow; empty at the end."""

    lines: tuple[CaseLine, ...]
    next: str


_SHOWN = (
    cases.c.key.label("case"),
    cases.c.version,
    cases.c.title,
    cases.c.customer_name.label("customer"),
    cases.c.plant,
    cases.c.machine_name.label("machine"),
    cases.c.state,
    cases.c.assigned,
    cases.c.designation,
    cases.c.probability,
    cases.c.ready,
    cases.c.gaps,
    cases.c.gaps_quote,
    cases.c.gaps_make,
    cases.c.conflicts,
    cases.c.created,
    cases.c.updated,
    cases.c.moved,
)


def lines(connection: sa.Connection, only: Filter, *, after: str, limit: int) -> CasePage:
    """Give a page of the cases that a filter lets through."""
    if not 1 <= limit <= MOST:
        raise BadInput(f"a page of {limit} lines", where="limit", right=f"ask for 1 to {MOST}")
    rows: Sequence[sa.RowMapping] = ()
    for wanted in _filtered(connection.dialect.name, only, _place(after)):
        rows = connection.execute(wanted.limit(limit + 1)).mappings().all()
        if len(rows) > limit:
            break
    shown = tuple(_line(dict(row)) for row in rows[:limit])
    return CasePage(shown, str(rows[limit - 1]["moved"]) if len(rows) > limit else "")


def tags_of(row: dict[str, Any], gaps: tuple[str, ...]) -> str:
    """Give the words that stand for the fields of a case."""
    said = [searching.tag(name, row[name]) for name in _TAGGED if row[name]]
    return " ".join([*said, *(searching.tag("gap", gap) for gap in gaps)])


def _filtered(dialect: str, only: Filter, after: int | None) -> Iterator[sa.Select[Any]]:
    """Give what to ask; the second, if there is one, only if the first has too few."""
    words = searching.asked(only.text)
    if only.text.strip() and not words:
        raise BadInput(f"{only.text[:40]!r} holds no word", where="text", right="search for letters or digits")
    wanted = sa.select(*_SHOWN).where(*(cases.c[name] == value for name in _EQUAL if (value := getattr(only, name))))
    if words:
        tags = [searching.tag(name, value) for name in (*_TAGGED, "gap") if (value := getattr(only, name))]
        if only.gap:
            wanted = wanted.where(_has_gap(only.gap))
        for source in searching.sources(dialect, words, tags, after):
            found = wanted.join_from(source.table, cases, cases.c.moved == source.number).where(source.condition)
            yield _onwards(found, source.number, after)
    elif only.gap:
        found = wanted.join_from(case_gap, cases, cases.c.moved == case_gap.c.moved).where(case_gap.c.gap == only.gap)
        yield _onwards(found, case_gap.c.moved, after)
    else:
        yield _onwards(wanted, cases.c.moved, after)


def _onwards(wanted: sa.Select[Any], place: sa.ColumnElement[Any], after: int | None) -> sa.Select[Any]:
    return (wanted if after is None else wanted.where(place < after)).order_by(place.desc())


def _has_gap(gap: str) -> sa.ColumnElement[bool]:
    return sa.exists().where(case_gap.c.gap == gap, case_gap.c.moved == cases.c.moved)


def _place(after: str) -> int | None:
    if not after:
        return None
    if not after.isascii() or not after.isdigit() or len(after) > 18:
        raise BadInput(f"{after[:40]!r} is no place in a list", where="after", right="pass what the page before gave")
    return int(after)


def _line(row: dict[str, Any]) -> CaseLine:
    del row["moved"]
    return CaseLine(**{**row, "gaps": tuple(json.loads(row["gaps"]))})
