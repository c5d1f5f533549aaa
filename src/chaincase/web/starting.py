"""Beginning a case from a page: empty, of a machine in the plant, or with a chain of the tables."""

from datetime import UTC, datetime
from typing import Annotated, Any, Final

from pydantic import BaseModel, ConfigDict, Field

from chaincase.register import Register
from chaincase.register.cases import Opened
from chaincase.register.faults import Missing
from chaincase.register.ids import uuid7
from chaincase.web.access import Right, Visitor
from chaincase.web.server import Server

Line = Annotated[str, Field(max_length=1000)]
_TRIES: Final = 200
_SAID: Final = ("title", "customer", "plant", "machine", "position", "notes")


class Start(BaseModel):
    """What a new case begins with, as its form sends it.

    Attributes
    ----------
    case : str
        Its number.
    event : str
        Id of what makes it, so that a form sent twice makes one case.
    title, customer, plant, machine, position, notes : str
        As the case says them.
    of_machine, of_position : str
        Ids of where in the plant it is filed.
    chain : str
        `table/designation` of a chain that it is known to be; empty while that is to be found out.
    """

    model_config = ConfigDict(frozen=True, str_strip_whitespace=True)

    case: Line = ""
    event: Line = ""
    title: Line = ""
    customer: Line = ""
    plant: Line = ""
    machine: Line = ""
    position: Line = ""
    notes: Annotated[str, Field(max_length=20_000)] = ""
    of_machine: Line = ""
    of_position: Line = ""
    chain: Line = ""


def proposed(server: Server, *, machine: str = "", position: str = "", chain: str = "") -> Start:
    """Give what the form of a new case shows first.

    Raises
    ------
    Missing
        If there is no such machine or position.
    BadInput
        If no chain, or several, have the name.
    """
    case = free_number(server.register, datetime.now(UTC))
    said = _of_plant(server.register, machine, position) if machine or position else {}
    if chain:
        row = server.catalog.row(chain)
        said["chain"] = f"{server.catalog.table_of(row)}/{server.catalog.designations[row]}"
    return Start(case=case, event=uuid7(), **said)


def begin(server: Server, who: Visitor, start: Start) -> Opened:
    """Begin a case; the same form again gives the same case.

    What only an engineer settles (the chain, where it is filed) is kept as a note by others.

    Raises
    ------
    BadInput
        If the number is taken or is none, or the machine or chain is none.
    """
    content = {name: value for name in _SAID if (value := getattr(start, name))}
    settles = who.may(Right.WORK)
    filing = _filing(server.register, start) if settles else {}
    if start.chain:
        content |= _chain(server, who, start.chain, settles=settles)
    return server.register.cases.create(
        start.case, by=who.name, content=content, filing=filing, event=start.event or None
    )


def free_number(register: Register, now: datetime) -> str:
    """Give a number for a new case: the day, and a count."""
    for count in range(1, _TRIES):
        number = f"C{now:%y%m%d}-{count}"
        try:
            register.cases.open(number)
        except Missing:
            return number
    return f"C{now:%y%m%d-%H%M%S}"


def _of_plant(register: Register, machine: str, position: str) -> dict[str, str]:
    """Give what the plant tree says of a machine, or of a position in it."""
    place = register.positions.get(position) if position else None
    row = register.machines.get(place.machine if place else machine)
    site = register.sites.get(row.site)
    customer = register.customers.get(site.customer)
    named = f"{row.name}, {place.name}" if place else row.name
    return {
        "title": named,
        "customer": customer.name,
        "plant": site.name,
        "machine": row.name,
        "position": place.name if place else "",
        "of_machine": row.id,
        "of_position": position,
    }


def _filing(register: Register, start: Start) -> dict[str, str]:
    if start.of_machine:
        machine = register.machines.get(start.of_machine)
        site = register.sites.get(machine.site)
        filed = {"customer": site.customer, "site": site.id, "machine": machine.id}
        return filed | ({"position": start.of_position} if start.of_position else {})
    found = register.customers.find(name=start.customer) if start.customer else ()
    return {"customer": found[0].id} if len(found) == 1 else {}


def _chain(server: Server, who: Visitor, chain: str, *, settles: bool) -> dict[str, Any]:
    row = server.catalog.row(chain)
    name, table = server.catalog.designations[row], server.catalog.table_of(row)
    if not settles:
        return {"records": [{"text": name, "where": f"tables, {table}", "by": who.name}]}
    day = datetime.now(UTC).date().isoformat()
    why = "begun with this chain from the tables"
    return {"chosen": {"designation": f"{table}/{name}", "by": who.name, "on": day, "why": why}}
