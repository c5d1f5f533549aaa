"""The plant's pages: the tree, machines with chains and wear, forms for each kind of row, tags."""

from typing import Annotated, Any, Literal

from fastapi import Depends, Form, Path, Query, Request
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput
from chaincase.register.faults import Overtaken
from chaincase.register.ids import uuid7
from chaincase.register.plants import Machine
from chaincase.register.records import Record
from chaincase.web import plant
from chaincase.web.access import Right
from chaincase.web.api_papers import file_response
from chaincase.web.looks import drawn, page
from chaincase.web.papers import Made
from chaincase.web.plant_rows import (
    INSTALL,
    KIND_CHOICES,
    KINDS_OF_ROWS,
    Field,
    RowKind,
    merged,
    rows_of,
    takes_out,
    values,
    written,
)
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server

read = pages(Right.READ)
measure = pages(Right.MEASURE, prefix="/plant")
work = pages(Right.WORK, prefix="/plant")

Kind = Annotated[Literal["customers", "sites", "machines", "positions", "installed"], Path()]
Id = Annotated[str, Path(max_length=80)]
Text = Annotated[str, Form(max_length=20_000)]


async def fields_sent(request: Request) -> dict[str, str]:
    """Give the fields of a form, whichever they are."""
    return {name: value for name, value in (await request.form()).items() if isinstance(value, str)}


Sent = Annotated[dict[str, str], Depends(fields_sent)]


@read.get("/plant")
def tree(
    request: Request,
    here: Here,
    customer: Annotated[str, Query(max_length=80)] = "",
    text: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Show customers, sites, machines, positions and what runs there; with a text what holds it."""
    customers, branches = plant.tree(here, customer)
    context = {"customers": customers, "branches": branches, "chosen": customer, "text": text}
    return page(request, "plant.html", {**context, "found": plant.found(here, text)})


@read.get("/plant/machines/{machine}")
def machine(request: Request, here: Here, machine: Id) -> Response:
    """Show a machine."""
    return _machine(request, here, here.register.machines.get(machine))


@read.get("/m/{tag}")
def by_tag(request: Request, here: Here, tag: Annotated[str, Path(max_length=200)]) -> Response:
    """Show the machine on which a tag hangs: what its code opens."""
    return _machine(request, here, here.register.machines.by_tag(tag))


@read.get("/plant/machines/{machine}/tag.pdf")
def tag(
    here: Here,
    machine: Id,
    label: Annotated[str, Query(max_length=10)] = "a6",
    address: Annotated[str, Query(max_length=500)] = "",
) -> Response:
    """Give the tag of a machine, to be printed."""
    row = here.register.machines.get(machine)
    made = plant.tag_pdf(here, row, label=label, address=address)
    return file_response(Made(f"tag-{row.tag}.pdf", made, "application/pdf"))


@measure.post("/installed/{installed}/wear")
def add_wear(
    request: Request,
    here: Here,
    who: Who,
    installed: Id,
    on: Text = "",
    length: Text = "",
    over: Text = "",
    instrument: Text = "",
    technique: Text = "",
    strand: Text = "",
    note: Text = "",
) -> Response:
    """Keep a wear reading."""
    row = here.register.installed.get(installed)
    typed = {"on": on, "length": length, "over": over, "instrument": instrument, "technique": technique}
    typed = {name: text.strip() for name, text in (typed | {"strand": strand, "note": note}).items()}
    try:
        plant.add_reading(here, installed, typed | {"over": plant.whole(typed["over"], "over")}, by=who.name)
    except BadInput as fault:
        return _machine(request, here, plant.machine_of(here, row.position), (installed, typed, fault))
    return _back(here, "installed", row)


@measure.post("/wear/{reading}/remove")
def drop_wear(here: Here, who: Who, reading: Id, version: Annotated[int, Form()]) -> Response:
    """Take a wear reading out of use; the history keeps it."""
    row = here.register.wear.remove(reading, version, by=who.name)
    return _back(here, "installed", here.register.installed.get(row.installed))


@work.get("/positions/{position}/install")
def install_form(request: Request, here: Here, position: Id) -> Response:
    """Show the form for a chain that is put in."""
    return _install(request, here, position, values(None, INSTALL))


@work.post("/positions/{position}/install")
def install(request: Request, here: Here, who: Who, position: Id, sent: Sent) -> Response:
    """Put a chain in; the one that ran there ends that day."""
    try:
        said = written(here, INSTALL, sent)
        row = here.register.installed.install(position, on=said.pop("on"), by=who.name, **said)
    except BadInput as fault:
        return _install(request, here, position, sent, fault)
    return _back(here, "installed", row)


@work.get("/{kind}/new")
def new_row(request: Request, here: Here, kind: Kind, of: Annotated[str, Query(max_length=80)] = "") -> Response:
    """Show the form of a new row."""
    sort = KINDS_OF_ROWS[kind]
    return _form(request, here, sort, values(None, sort.fields), of=of)


@work.post("/{kind}/new")
def add_row(request: Request, here: Here, who: Who, kind: Kind, sent: Sent) -> Response:
    """Add a row."""
    sort, of = KINDS_OF_ROWS[kind], sent.get("of", "")
    try:
        said = written(here, sort.fields, sent) | ({sort.parent: of} if sort.parent else {})
        row = rows_of(here, kind).add(by=who.name, **({"id": sent["id"]} if sent.get("id") else {}), **said)
    except BadInput as fault:
        return _form(request, here, sort, sent, of=of, fault=fault)
    return _back(here, kind, row)


@work.get("/{kind}/{id}/edit")
def edit_form(request: Request, here: Here, kind: Kind, id: Id) -> Response:  # noqa: A002 - the field's name
    """Show the form of a row."""
    sort, row = KINDS_OF_ROWS[kind], rows_of(here, kind).get(id)
    return _form(request, here, sort, values(row, sort.fields), row=row)


@work.post("/{kind}/{id}/edit")
def edit(
    request: Request,
    here: Here,
    who: Who,
    kind: Kind,
    id: Id,  # noqa: A002 - the field's name
    sent: Sent,
) -> Response:
    """Change a row; if somebody else did since, show both."""
    sort, version = KINDS_OF_ROWS[kind], plant.whole(sent.get("version", ""), "version")
    row = rows_of(here, kind).get(id)
    try:
        row = rows_of(here, kind).change(id, version, by=who.name, **written(here, sort.fields, sent))
    except Overtaken:
        return _form(request, here, sort, sent, row=rows_of(here, kind).get(id), overtaken=True)
    except BadInput as fault:
        return _form(request, here, sort, sent, row=row, seen=version, fault=fault)
    return _back(here, kind, row)


@work.post("/{kind}/{id}/remove")
def remove(here: Here, who: Who, kind: Kind, id: Id, version: Annotated[int, Form()]) -> Response:  # noqa: A002 - as above
    """Take a row out of the tree; it stays in the history."""
    return _back(here, kind, takes_out(here, KINDS_OF_ROWS[kind], id, version, by=who.name))


def _machine(
    request: Request, here: Server, row: Machine, typed: tuple[str, dict[str, str], BadInput] | None = None
) -> Response:
    chain, entered, fault = typed or ("", {}, None)
    context = {
        "seen": plant.machine(here, row),
        "drawn": drawn,
        "typed": {"chain": chain, "entered": entered, "fault": fault},
        "opens": plant.tag_address(here, row),
        "elsewhere": plant.may_open_elsewhere(here),
    }
    return page(request, "machine.html", context, status=422 if fault else 200)


def _install(
    request: Request, here: Server, position: str, sent: dict[str, str], fault: BadInput | None = None
) -> Response:
    place = here.register.positions.get(position)
    seen = {"name": place.name, "machine": here.register.machines.get(place.machine)}
    context = {"seen": seen, "position": place, **_shown(INSTALL, sent, fault)}
    return page(request, "plant_install.html", context, status=422 if fault else 200)


def _form(
    request: Request,
    here: Server,
    kind: RowKind,
    sent: dict[str, str],
    *,
    of: str = "",
    row: Record | None = None,
    seen: int | None = None,
    fault: BadInput | None = None,
    overtaken: bool = False,
) -> Response:
    """Give the form of a row, with what was typed; where somebody else changed it since, with theirs beside."""
    parent = rows_of(here, kind.parents).get(of) if kind.parents and of else None
    was = values(row, kind.fields)
    typed, theirs = merged(kind.fields, sent, was) if overtaken else (sent, {})
    if fault is not None:
        was = {name: sent.get(f"was-{name}", text) for name, text in was.items()}
    context = {
        "kind": kind,
        "row": row,
        "of": of,
        "parent": parent,
        "id": sent.get("id", "") or uuid7(),
        "version": seen if seen is not None else row.version if row else 0,
        "theirs": theirs,
        "was": was,
        "overtaken": overtaken,
        "back": _place(here, kind.name, row) if row else _place(here, kind.parents, parent),
        **_shown(kind.fields, typed, fault),
    }
    return page(request, "plant_form.html", context, status=409 if overtaken else 422 if fault else 200)


def _shown(fields: tuple[Field, ...], sent: dict[str, str], fault: BadInput | None) -> dict[str, Any]:
    typed = {field.name: sent.get(field.name, "") for field in fields}
    return {"fields": fields, "typed": typed, "fault": fault, "kinds": KIND_CHOICES}


def _back(here: Server, kind: str, row: Any) -> Response:
    return RedirectResponse(_place(here, kind, row), 303)


def _place(here: Server, kind: str, row: Any) -> str:
    """Give where a row is seen."""
    if row is None:
        return "/plant"
    if kind == "installed":
        return f"/plant/machines/{plant.machine_of(here, row.position).id}#{row.position}"
    if kind == "positions":
        return f"/plant/machines/{row.machine}#{row.id}"
    if kind == "machines" and not row.removed:
        return f"/plant/machines/{row.id}"
    return "/plant" if kind == "customers" else "/plant#" + row.id
