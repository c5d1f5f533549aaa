"""The API of plants: customers, sites, machines, positions, the chains that run there, and how they wear."""

from typing import Annotated, Any, Literal

from fastapi import Body, Path, Query
from pydantic import BaseModel, ConfigDict, Field

from chaincase.duty.wear_answer import wear
from chaincase.duty.wear_form import WearForm
from chaincase.errors import BadInput
from chaincase.register.plants import CustomerBranch, Installed, Machine, WearReading
from chaincase.register.records import Record, Records
from chaincase.web.access import Right
from chaincase.web.faults import told
from chaincase.web.routing import Here, Who, api
from chaincase.web.server import Server

api_read = api(Right.READ, "plants")
api_measure = api(Right.MEASURE, "plants")
api_work = api(Right.WORK, "plants")

Kind = Annotated[Literal["customers", "sites", "machines", "positions", "installed"], Path()]
Id = Annotated[str, Path(max_length=80)]
Fields = Annotated[dict[str, Any], Body(examples=[{"name": "Terminal, north"}])]
PARENTS = {"sites": "customer", "machines": "site", "positions": "machine", "installed": "position"}


class Change(BaseModel):
    """Fields to change."""

    model_config = ConfigDict(extra="forbid")

    version: int = Field(ge=0, le=2**53, description="The one that you saw.")
    fields: dict[str, Any]


class Installing(BaseModel):
    """A chain that is put in."""

    model_config = ConfigDict(extra="forbid")

    on: str = Field(max_length=10, description="Day from which it runs.", examples=["2026-03-01"])
    fields: dict[str, Any] = Field(default={}, examples=[{"designation": "WH132", "pitch": "6.05 in", "strands": 2}])


@api_read.get("/plants/tree", summary="The whole tree")
def tree(here: Here, customer: Annotated[str, Query(max_length=80)] = "") -> tuple[CustomerBranch, ...]:
    """Give customers, sites, machines, positions and what runs there; or those of one customer."""
    return here.register.plants.tree(customer)


@api_read.get("/plants/tags/{tag}", summary="Machine by its tag")
def by_tag(here: Here, tag: Annotated[str, Path(max_length=200)]) -> Machine:
    """Give the machine on which a tag hangs."""
    return here.register.machines.by_tag(tag)


@api_read.get("/plants/{kind}", summary="Rows of one kind")
def rows(
    here: Here, kind: Kind, of: Annotated[str, Query(max_length=80, description="Only those of this parent.")] = ""
) -> list[dict[str, Any]]:
    """Give customers, sites, machines, positions or installed chains, the oldest first."""
    if of and kind not in PARENTS:
        raise BadInput("customers belong to nothing", where="of", right="leave it away")
    only: dict[str, Any] = {PARENTS[kind]: of} if of else {}
    return [row.model_dump() for row in records(here, kind).find(**only)]


@api_read.get("/plants/{kind}/{id}", summary="One row")
def row(here: Here, kind: Kind, id: Id) -> dict[str, Any]:  # noqa: A002 - the field's name
    """Give a customer, site, machine, position or installed chain."""
    return records(here, kind).get(id).model_dump()


@api_work.post("/plants/{kind}", summary="Add a row", status_code=201)
def add(here: Here, who: Who, kind: Kind, fields: Fields) -> dict[str, Any]:
    """Add a customer, site, machine, position or installed chain."""
    return records(here, kind).add(by=who.name, **fields_of(fields)).model_dump()


@api_work.put("/plants/{kind}/{id}", summary="Change a row")
def change(here: Here, who: Who, kind: Kind, id: Id, wanted: Change) -> dict[str, Any]:  # noqa: A002 - as above
    """Change fields of the version that was seen; 409 with both if somebody else did since."""
    return records(here, kind).change(id, wanted.version, by=who.name, **fields_of(wanted.fields, "id")).model_dump()


@api_work.post("/plants/positions/{position}/install", summary="Put a chain in", status_code=201)
def install(here: Here, who: Who, position: Id, wanted: Installing) -> Installed:
    """Put a chain in from a day on; the one that ran there ends that day."""
    return here.register.installed.install(
        position, on=wanted.on, by=who.name, **fields_of(wanted.fields, "on", "position")
    )


@api_read.get("/plants/installed/{id}/wear", summary="Wear of a chain")
def wear_of(here: Here, id: Id) -> dict[str, Any]:  # noqa: A002 - as above
    """Give the readings of a chain in use, what they say of its life (`chaincase/wear-1` and answer), or why not."""
    form = here.register.wear.form(id)
    try:
        return {"form": form, "answer": wear(WearForm.of(form)).as_json() if form["readings"] else None, "faults": []}
    except BadInput as fault:
        return {"form": form, "answer": None, "faults": [each.model_dump() for each in told(fault)]}


@api_measure.post("/plants/installed/{id}/wear", summary="Add a wear reading", status_code=201)
def add_wear(
    here: Here,
    who: Who,
    id: Id,  # noqa: A002 - as above
    fields: Annotated[dict[str, Any], Body(examples=[{"on": "2026-03-01", "length": "60 3/4 in", "over": 15}])],
) -> WearReading:
    """Add a reading of a chain in use."""
    return here.register.wear.add(by=who.name, installed=id, **fields_of(fields, "installed"))


def records(server: Server, kind: str) -> Records[Record]:
    """Give the rows of a kind."""
    found: Records[Record] = getattr(server.register, kind)
    return found


def fields_of(fields: dict[str, Any], *own: str) -> dict[str, Any]:
    """Give fields that may be written; who did it, and what the address says already, are not among them.

    Raises
    ------
    BadInput
        If there is one that is not the sender's to write.
    """
    for name in ("by", "version", "moved", "removed", *own):
        if name in fields:
            raise BadInput(f"{name} is not yours to write", where=name, right="leave it away")
    return fields
