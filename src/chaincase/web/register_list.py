"""What the register's list shows, and the views that somebody keeps of it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Final
from urllib.parse import urlencode

from chaincase.errors import BadInput
from chaincase.register.events import STATES
from chaincase.register.faults import Missing
from chaincase.register.lately import changed_by
from chaincase.register.listing import CaseLine, Filter
from chaincase.register.people import View
from chaincase.web.access import Visitor
from chaincase.web.gap_titles import gap_choices, gap_title
from chaincase.web.server import Server

LINES: Final = 50
READY: Final = (("no", "not yet"), ("quote", "to be quoted"), ("make", "to be made"))
_NAMED_GAPS: Final = 2
_MOST_CHOICES: Final = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """One case of the list.

    Attributes
    ----------
    case : CaseLine
        As the register has it.
    by : str
        Who changed it last.
    gaps : tuple of str
        The first open questions, in a few words.
    """

    case: CaseLine
    by: str
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Listed:
    """A page of the list.

    Attributes
    ----------
    lines : tuple of Line
        Last changed first.
    next : str
        Address of the lines that follow; empty at the end.
    first : str
        Address of the first page; empty on it.
    only : Filter
        What the list is limited to.
    fault : BadInput or None
        Why the filter cannot be used; then there are no lines.
    """

    lines: tuple[Line, ...]
    next: str
    first: str
    only: Filter
    fault: BadInput | None = None

    @property
    def limited(self) -> bool:
        """Whether the list leaves anything out."""
        return self.only != Filter()


@dataclass(frozen=True, slots=True)
class Kept:
    """A view that somebody keeps."""

    id: str
    version: int
    name: str
    address: str
    shown: bool


def listed(server: Server, only: Filter, after: str) -> Listed:
    """Give a page of the cases that a filter lets through; a text without a word lets none through, and says why."""
    try:
        found = server.register.cases.list(only, after=after, limit=LINES)
    except BadInput as fault:
        return Listed((), "", "", only, fault)
    by = changed_by(server.register, [line.case for line in found.lines])
    lines = tuple(_line(line, by.get(line.case, "")) for line in found.lines)
    following = address(only, after=found.next) if found.next else ""
    return Listed(lines, following, address(only) if after else "", only)


def address(only: Filter, **more: str) -> str:
    """Give the address of the list with a filter.

    >>> address(Filter(text="kiln", state="open"))
    '/register?text=kiln&state=open'
    """
    said = {field.name: value for field in fields(Filter) if (value := getattr(only, field.name))}
    query = urlencode({**said, **more})
    return f"/register?{query}" if query else "/register"


def choices(server: Server, only: Filter) -> dict[str, Any]:
    """Give what can be chosen in the filters; sites are those of the chosen customer."""
    register = server.register
    customers = [(row.id, row.name) for row in register.customers.find(limit=_MOST_CHOICES)]
    below: dict[str, Any] = {"customer": only.customer} if only.customer else {}
    sites = [(row.id, row.name) for row in register.sites.find(limit=_MOST_CHOICES, **below)]
    return {
        "states": [(state, state) for state in STATES],
        "customers": sorted(customers, key=lambda each: each[1].casefold()),
        "sites": sorted(sites, key=lambda each: each[1].casefold()),
        "gaps": list(gap_choices()),
        "ready": READY,
        "machine": _name_of(server, only.machine),
    }


def kept_views(server: Server, who: Visitor, only: Filter) -> tuple[Kept, ...]:
    """Give the views that somebody keeps, by name."""
    rows = server.register.views.find(owner=owner(who))
    found = [(row, _filter_of(row)) for row in rows]
    shown = [Kept(row.id, row.version, row.name, address(view), view == only) for row, view in found if view]
    return tuple(sorted(shown, key=lambda each: each.name.casefold()))


def keep_view(server: Server, who: Visitor, name: str, filter_json: str) -> Filter:
    """Keep a list under a name; the same name again is that list from now on.

    Raises
    ------
    BadInput
        If the name is empty, or the filter is none.
    """
    only = Filter.of(_object(filter_json))
    called = " ".join(name.split())
    if not called:
        raise BadInput(
            "the view has no name", where="name", right="say what the list is, such as: waiting for customers"
        )
    views, mine = server.register.views, owner(who)
    known = next(iter(views.find(owner=mine, name=called)), None)
    if known is not None:
        views.change(known.id, known.version, by=who.name, filter=only.as_json())
    else:
        views.add(by=who.name, owner=mine, name=called, filter=only.as_json())
    return only


def drop_view(server: Server, who: Visitor, view: str, version: int) -> None:
    """Drop a view of one's own.

    Raises
    ------
    Missing
        If there is none such, or it is somebody else's.
    Overtaken
        If it was changed since.
    """
    row = server.register.views.get(view)
    if row.owner != owner(who) or row.removed:
        raise Missing.of("view", view)
    server.register.views.remove(view, version, by=who.name)


def owner(who: Visitor) -> str:
    """Give whose views somebody sees: an account's, or on this computer those of the one person."""
    return who.account or who.name


def filter_of(sent: Mapping[str, str]) -> Filter:
    """Give the filter that an address says; what is no filter is passed over.

    >>> filter_of({"text": " kiln ", "after": "7"})
    Filter(text='kiln', state='', ...)
    """
    said = {name: value.strip()[:200] for name, value in sent.items() if name in {f.name for f in fields(Filter)}}
    return replace(Filter(), **said)


def _line(line: CaseLine, by: str) -> Line:
    return Line(line, by, tuple(gap_title(gap) for gap in line.gaps[:_NAMED_GAPS]))


def _name_of(server: Server, machine: str) -> str:
    if not machine:
        return ""
    try:
        return server.register.machines.get(machine).name
    except Missing:
        return ""


def _filter_of(view: View) -> Filter | None:
    try:
        return Filter.of(_object(view.filter))
    except BadInput:
        return None  # of a newer program


def _object(text: str) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise BadInput("this is no filter", where="filter", right="keep the view from the list again")
    return found
