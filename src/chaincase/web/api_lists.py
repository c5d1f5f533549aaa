"""The API of many samples at once, and of the views that somebody keeps of the register's list."""

from typing import Annotated, Any

from anyio.to_thread import run_sync
from fastapi import BackgroundTasks, Path, Query, Request
from pydantic import BaseModel, ConfigDict, Field

from chaincase.errors import BadInput
from chaincase.register.ids import uuid7
from chaincase.register.listing import Filter
from chaincase.web import import_work, register_list
from chaincase.web.access import Right
from chaincase.web.import_reading import Sample, Samples, read_upload
from chaincase.web.routing import Here, Who, api
from chaincase.web.server import Server

api_own = api(Right.SIGNED_IN, "cases", prefix="/views")
api_read = api(Right.READ, "surveys", prefix="/surveys/jobs")
api_look = api(Right.MEASURE, "surveys", prefix="/surveys")
api_work = api(Right.WORK, "surveys", prefix="/surveys")

Name = Annotated[
    str, Query(max_length=200, description="Name of the file; its ending says what it is.", examples=["a.csv"])
]
Prefix = Annotated[str, Query(max_length=30, description="What the numbers of the cases begin with.")]
Customer = Annotated[str, Query(max_length=80, description="Id of the customer whose samples they are.")]
JobId = Annotated[str, Path(max_length=80)]
FILE: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            kind: {"schema": {"type": "string", "format": "binary"}}
            for kind in ("text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet")
        },
    }
}


class Looked(BaseModel):
    """What a file of samples holds; nothing was kept."""

    samples: tuple[Sample, ...] = Field(description="In the order of the file; those with faults are left out.")
    notices: tuple[str, ...]


class Wanted(BaseModel):
    """A list to be kept under a name."""

    model_config = ConfigDict(extra="forbid")

    name: str = Field(max_length=200, examples=["waiting for customers"])
    filter: Filter = Field(examples=[{"state": "asked"}])


class ViewLine(BaseModel):
    """A list that you keep."""

    id: str
    version: int
    name: str
    address: str = Field(description="Of the page that shows it.")


@api_own.get("", summary="Lists that you keep")
def views(here: Here, who: Who) -> list[ViewLine]:
    """Give the lists that you keep, by name."""
    kept = register_list.kept_views(here, who, Filter())
    return [ViewLine.model_validate(each, from_attributes=True) for each in kept]


@api_own.post("", summary="Keep a list", status_code=201)
def keep_view(here: Here, who: Who, wanted: Wanted) -> ViewLine:
    """Keep a list under a name; the same name again is that list from now on."""
    register_list.keep_view(here, who, wanted.name, wanted.filter.as_json())
    name = " ".join(wanted.name.split())
    return next(each for each in views(here, who) if each.name == name)


@api_own.delete("/{view}", summary="Drop a list", status_code=204)
def drop_view(
    here: Here,
    who: Who,
    view: Annotated[str, Path(max_length=80)],
    version: Annotated[int, Query(ge=0, le=2**53, description="The one that you saw.")],
) -> None:
    """Drop a list that you keep."""
    register_list.drop_view(here, who, view, version)


@api_look.post("/look", summary="Look at samples", openapi_extra=FILE)
async def look(request: Request, here: Here, name: Name, prefix: Prefix = "") -> Looked:
    """Give what a table of samples (or a case as JSON) holds, faults with row and column; nothing is kept."""
    found = await _read(here, name, await request.body(), prefix)
    return Looked(samples=found.samples, notices=found.notices)


@api_work.post("/jobs", summary="Make samples cases", status_code=201, openapi_extra=FILE)
async def start(
    request: Request,
    here: Here,
    who: Who,
    later: BackgroundTasks,
    name: Name,
    prefix: Prefix = "",
    customer: Customer = "",
) -> import_work.Progress:
    """Let each sample of a table become a case, as a job that goes on after the answer."""
    found = await _read(here, name, await request.body(), prefix)
    job = uuid7()

    def put_down() -> import_work.Progress:
        import_work.put_down(here, found, by=who.name, customer=customer, job=job)
        return import_work.progress(here, job)

    later.add_task(import_work.work, here)
    return await run_sync(put_down)


@api_read.get("/{job}", summary="How far it is")
def progress(here: Here, job: JobId) -> import_work.Progress:
    """Give how far a job is: cases made, samples left out and why."""
    return import_work.progress(here, job)


@api_work.post("/jobs/{job}/go-on", summary="Take it up again")
def go_on(here: Here, later: BackgroundTasks, job: JobId) -> import_work.Progress:
    """Take a job up again that was stopped, or parts of it that failed."""
    import_work.progress(here, job)
    here.register.jobs.retry(job)
    later.add_task(import_work.work, here)
    return import_work.progress(here, job)


async def _read(here: Server, name: str, data: bytes, prefix: str) -> Samples:
    found = await run_sync(read_upload, name, data, here.register, prefix)
    if not isinstance(found, Samples):
        raise BadInput("these are a phone's events", where=name, right="send them to /cases/{case}/events")
    return found
