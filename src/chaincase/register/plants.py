"""Who has which machine where, which chain runs in it, and how it wears."""

from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import AfterValidator, Field

from chaincase.errors import BadInput
from chaincase.register import schema
from chaincase.register.events import ShortText, printable
from chaincase.register.faults import Missing
from chaincase.register.ids import uuid7
from chaincase.register.records import Record, Records, refusing
from chaincase.register.store import Store


def _no_control(text: str) -> str:
    printable(text.replace("\n", "").replace("\t", "").replace("\r", ""))
    return text


def _day(text: str) -> str:
    if text:
        try:
            date.fromisoformat(text)
        except ValueError:
            raise ValueError("write the day as 2026-03-01") from None
    return text


LongText = Annotated[str, Field(max_length=20_000), AfterValidator(_no_control)]
Named = Annotated[ShortText, Field(min_length=1)]
Day = Annotated[str, Field(max_length=32), AfterValidator(_day)]


class Customer(Record):
    """Whose plants they are."""

    name: Named
    number: ShortText = ""
    contact: ShortText = ""
    note: LongText = ""


class Site(Record):
    """A plant of a customer."""

    customer: Named
    name: Named
    address: LongText = ""
    note: LongText = ""


class Machine(Record):
    """A machine at a site; `tag` is the text of the tag that hangs on it."""

    site: Named
    name: Named
    number: ShortText = ""
    tag: Named
    note: LongText = ""


class Position(Record):
    """A place in a machine where a chain runs."""

    machine: Named
    name: Named
    note: LongText = ""


class Installed(Record):
    """A chain that runs, or ran, at a position, from one day to another; the days may be unknown (empty)."""

    position: Named
    designation: ShortText = ""
    kind: ShortText = ""
    pitch: ShortText = ""
    teeth: Annotated[int, Field(ge=1, le=1_000)] | None = None
    pattern: ShortText = ""
    strands: Annotated[int, Field(ge=1, le=1_000)] | None = None
    pitches: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    case: ShortText | None = None
    since: Day = ""
    until: Day = ""
    note: LongText = ""


class WearReading(Record):
    """The length over some pitches of a chain in use, as written, on a day."""

    installed: Named
    on: Annotated[Day, Field(min_length=1)]
    length: Named
    over: Annotated[int, Field(ge=1, le=10_000)]
    instrument: ShortText = ""
    technique: ShortText = ""
    strand: ShortText = ""
    note: LongText = ""


@dataclass(frozen=True, slots=True)
class PositionBranch:
    """A position, the chain that runs there, and those that ran there."""

    position: Position
    runs: Installed | None
    ran: tuple[Installed, ...]


@dataclass(frozen=True, slots=True)
class MachineBranch:
    """A machine with its positions."""

    machine: Machine
    positions: tuple[PositionBranch, ...]


@dataclass(frozen=True, slots=True)
class SiteBranch:
    """A site with its machines."""

    site: Site
    machines: tuple[MachineBranch, ...]


@dataclass(frozen=True, slots=True)
class CustomerBranch:
    """A customer with its sites."""

    customer: Customer
    sites: tuple[SiteBranch, ...]


class Machines(Records[Machine]):
    """Machines, each with a tag of its own."""

    def add(self, *, by: str, **fields: Any) -> Machine:
        """Add a machine; without a tag it gets one."""
        name = fields.pop("id", None) or uuid7()
        tag = fields.pop("tag", "") or f"M-{name[-12:].upper()}"
        return super().add(by=by, id=name, tag=tag, **fields)

    def by_tag(self, tag: str) -> Machine:
        """Give the machine on which a tag hangs.

        Raises
        ------
        Missing
            If there is none.
        """
        found = self.find(tag=tag)
        if not found:
            raise Missing.of("machine with the tag", tag)
        return found[0]


class InstalledChains(Records[Installed]):
    """Chains in machines."""

    def install(self, position: str, *, on: str, by: str, **fields: Any) -> Installed:
        """Put a chain in from a day on; the one that ran there ends that day.

        Raises
        ------
        BadInput
            If the day is none, or lies before the one that runs was put in.
        """
        fields |= {"position": position, "since": on}
        with refusing(self.kind), self.store.write() as connection:
            running = self._running(connection, position)
            if any(each.since > on for each in running):
                raise BadInput(f"{on} lies before the chain that runs there was put in", where="on")
            new = self._write(connection, None, self._new(fields), "create", by)
            for each in running:
                ended = self._made({**each.model_dump(), "until": on, "version": each.version + 1})
                self._write(connection, each, ended, "change", by)
        return new

    def _running(self, connection: sa.Connection, position: str) -> list[Installed]:
        table = schema.installed
        wanted = sa.select(table).where(table.c.position == position, table.c.until == "", table.c.removed.is_(False))
        return [Installed.model_construct(**row) for row in connection.execute(wanted).mappings()]


class Wear(Records[WearReading]):
    """Readings of chains in use."""

    def form(self, installed: str) -> dict[str, Any]:
        """Give the readings of one chain in the form `chaincase/wear-1`, by day.

        Raises
        ------
        Missing
            If there is no such chain.
        """
        columns = [schema.installed.c[name] for name in ("pitch", "kind", "teeth")]
        with self.store.read() as connection:
            chain = connection.execute(sa.select(*columns).where(schema.installed.c.id == installed)).mappings().first()
        if chain is None:
            raise Missing.of("installed chain", installed)
        said = {name: value for name, value in chain.items() if value}
        rows = sorted(self.find(installed=installed), key=lambda row: (row.on, row.id))
        names = ("on", "length", "over", "instrument", "technique", "strand")
        readings = [{name: value for name in names if (value := getattr(row, name)) != ""} for row in rows]
        return {"schema": "chaincase/wear-1", **said, "readings": readings}


class Plants:
    """The tree of customers, sites, machines and positions."""

    def __init__(self, store: Store) -> None:
        self.customers = Records(store, Customer, schema.customer)
        self.sites = Records(store, Site, schema.site)
        self.machines = Machines(store, Machine, schema.machine)
        self.positions = Records(store, Position, schema.position)
        self.installed = InstalledChains(store, Installed, schema.installed, title="designation")
        self.wear = Wear(store, WearReading, schema.wear, title="on")

    def tree(self, customer: str = "") -> tuple[CustomerBranch, ...]:
        """Give the whole tree, or that of one customer, by name."""
        only: dict[str, Any] = {"id": customer} if customer else {}
        customers = _by_name(self.customers.find(limit=_ALL, **only))
        if customer:
            sites = self.sites.find(customer=customer, limit=_ALL)
            machines = self._below(self.machines, "site", sites)
            positions = self._below(self.positions, "machine", machines)
            chains = self._below(self.installed, "position", positions)
        else:
            sites, machines = self.sites.find(limit=_ALL), self.machines.find(limit=_ALL)
            positions, chains = self.positions.find(limit=_ALL), self.installed.find(limit=_ALL)
        return tuple(CustomerBranch(each, _sites(each.id, sites, machines, positions, chains)) for each in customers)

    @staticmethod
    def _below(records: Any, field: str, parents: tuple[Any, ...]) -> tuple[Any, ...]:
        return tuple(row for parent in parents for row in records.find(limit=_ALL, **{field: parent.id}))


_ALL = 100_000


def _by_name(rows: tuple[Any, ...]) -> list[Any]:
    return sorted(rows, key=lambda row: (row.name.casefold(), row.id))


def _under(field: str, rows: tuple[Any, ...]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for row in rows:
        found.setdefault(getattr(row, field), []).append(row)
    return found


def _sites(
    customer: str,
    sites: tuple[Site, ...],
    machines: tuple[Machine, ...],
    positions: tuple[Position, ...],
    chains: tuple[Installed, ...],
) -> tuple[SiteBranch, ...]:
    of_site, of_machine, of_position = (
        _under("site", machines),
        _under("machine", positions),
        _under("position", chains),
    )

    def position_branch(position: Position) -> PositionBranch:
        found = sorted(of_position.get(position.id, []), key=lambda row: (row.since, row.id))
        running = [row for row in found if not row.until]
        runs = running[-1] if running else None
        return PositionBranch(position, runs, tuple(row for row in found if row is not runs))

    def machine_branch(machine: Machine) -> MachineBranch:
        return MachineBranch(machine, tuple(map(position_branch, _by_name(tuple(of_machine.get(machine.id, []))))))

    own = _by_name(tuple(site for site in sites if site.customer == customer))
    return tuple(
        SiteBranch(site, tuple(map(machine_branch, _by_name(tuple(of_site.get(site.id, [])))))) for site in own
    )
