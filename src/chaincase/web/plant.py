"""What the plant's pages show: the tree, one machine with its chains, and the tag that hangs on it."""

from dataclasses import dataclass
from typing import Any, Final

from chaincase.documents.machine_tag import MachineTag, machine_tag_pdf
from chaincase.errors import BadInput
from chaincase.register.listing import CaseLine, Filter
from chaincase.register.plants import Customer, CustomerBranch, Installed, Machine, Position, Site, WearReading
from chaincase.register.searching import Hit
from chaincase.web.plant_rows import chain_words
from chaincase.web.plant_wear import Wear, check_reading, wear_of
from chaincase.web.server import Server

MOST_AT_ONCE: Final = 12
"""Customers whose whole tree is shown at once; of more, one is chosen."""
_CASES: Final = 20
_MOST_FOUND: Final = 40
_SOUGHT: Final = {
    "customer": "customer",
    "site": "site",
    "machine": "machine",
    "position": "position",
    "installed": "chain",
}


@dataclass(frozen=True, slots=True)
class Found:
    """Something of the plant that a search found: what it is, its name, and the page that shows it."""

    sort: str
    name: str
    address: str


@dataclass(frozen=True, slots=True)
class Running:
    """A chain at a position, with what its wear readings say; `words` names it in a line."""

    row: Installed
    words: str
    readings: tuple[WearReading, ...]
    wear: Wear


@dataclass(frozen=True, slots=True)
class Place:
    """A position: the chain that runs there, and those before it, the last one first."""

    position: Position
    runs: Running | None
    ran: tuple[Running, ...]


@dataclass(frozen=True, slots=True)
class Seen:
    """A machine as its page shows it."""

    machine: Machine
    site: Site
    customer: Customer
    places: tuple[Place, ...]
    cases: tuple[CaseLine, ...]
    more: bool


def tree(server: Server, customer: str) -> tuple[tuple[Customer, ...], tuple[CustomerBranch, ...]]:
    """Give all customers by name, and the tree of the chosen one, or of all where they are few."""
    everyone = server.register.customers.find(limit=10_000)
    by_name = tuple(sorted(everyone, key=lambda row: (row.name.casefold(), row.id)))
    if customer or len(by_name) <= MOST_AT_ONCE:
        return by_name, server.register.plants.tree(customer)
    return by_name, ()


def found(server: Server, text: str) -> tuple[Found, ...]:
    """Give what in the plant holds words beginning with those of a text: names, numbers, tags, chains."""
    hits = server.register.search(text, kinds=tuple(_SOUGHT), limit=_MOST_FOUND)
    return tuple(Found(_SOUGHT[hit.kind], hit.title or "without a name", _page_of(server, hit)) for hit in hits)


def machine(server: Server, named: Machine) -> Seen:
    """Give a machine with its positions, the chains there and their wear, and its cases."""
    register = server.register
    site = register.sites.get(named.site)
    positions = sorted(register.positions.find(machine=named.id), key=lambda row: (row.name.casefold(), row.id))
    cases = register.cases.list(Filter(machine=named.id), limit=_CASES)
    return Seen(
        named,
        site,
        register.customers.get(site.customer),
        tuple(_place(server, each) for each in positions),
        cases.lines,
        bool(cases.next),
    )


def add_reading(server: Server, installed: str, fields: dict[str, Any], *, by: str) -> WearReading:
    """Keep a wear reading that the answer can use.

    Raises
    ------
    BadInput
        With the field that cannot be used.
    Missing
        If there is no such chain.
    """
    form = server.register.wear.form(installed)
    check_reading({name: form[name] for name in ("pitch", "kind", "teeth") if name in form}, dict(fields))
    return server.register.wear.add(by=by, installed=installed, **fields)


def machine_of(server: Server, position: str) -> Machine:
    """Give the machine in which a position is."""
    return server.register.machines.get(server.register.positions.get(position).machine)


def tag_address(server: Server, named: Machine) -> str:
    """Give what the tag of a machine opens."""
    return f"{server.settings.address}/m/{named.tag}"


def tag_pdf(server: Server, named: Machine, *, label: str, address: str) -> bytes:
    """Give the tag of a machine as PDF.

    Raises
    ------
    BadInput
        If there is no such label, or the address is none.
    """
    base = address.strip().rstrip("/")
    opens = f"{base}/m/{named.tag}" if base else tag_address(server, named)
    seen = machine(server, named)
    where = ", ".join((seen.customer.name, seen.site.name))
    positions = tuple(place.position.name for place in seen.places)
    return machine_tag_pdf(MachineTag(named.name, named.number, where, named.tag, opens, positions), label=label)


def may_open_elsewhere(server: Server) -> bool:
    """Say whether a phone that reads the tag gets here."""
    return not server.settings.local


def whole(text: str, where: str) -> int:
    """Give a whole number that somebody typed.

    Raises
    ------
    BadInput
        If it is none.
    """
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise BadInput(f"{text[:20]!r} is no whole number", where=where, right="write digits only, such as 12")
    return int(text)


def _page_of(server: Server, hit: Hit) -> str:
    register, key = server.register, hit.key
    if hit.kind == "customer":
        return f"/plant?customer={key}"
    if hit.kind == "site":
        return f"/plant?customer={register.sites.get(key).customer}#{key}"
    if hit.kind == "machine":
        return f"/plant/machines/{key}"
    position = key if hit.kind == "position" else register.installed.get(key).position
    return f"/plant/machines/{register.positions.get(position).machine}#{position}"


def _place(server: Server, position: Position) -> Place:
    rows = sorted(server.register.installed.find(position=position.id), key=lambda row: (row.since, row.id))
    running = [row for row in rows if not row.until]
    runs = running[-1] if running else None
    ran = tuple(_running(server, row) for row in reversed(rows) if row is not runs)
    return Place(position, None if runs is None else _running(server, runs), ran)


def _running(server: Server, row: Installed) -> Running:
    readings = sorted(server.register.wear.find(installed=row.id), key=lambda each: (each.on, each.id), reverse=True)
    form = server.register.wear.form(row.id) if readings else {"readings": []}
    words = chain_words(row)
    return Running(row, words, tuple(readings), wear_of(form, f"Wear of {words}"))
