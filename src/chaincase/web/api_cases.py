"""The API of cases: lists, events, findings, history, photographs."""

from typing import Annotated, Any

from anyio.to_thread import run_sync
from fastapi import Body, Depends, Path, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from chaincase.register.cases import Appended, Opened, Result
from chaincase.register.events import ShortText
from chaincase.register.journal import Change
from chaincase.register.listing import CasePage, Filter
from chaincase.register.photographs import Photograph
from chaincase.register.searching import Hit
from chaincase.web import service
from chaincase.web.access import Right
from chaincase.web.api_tables import FIGURE, figure_response
from chaincase.web.faults import Refused
from chaincase.web.limits import limiter
from chaincase.web.links import link_named
from chaincase.web.permits import refusal
from chaincase.web.pictures import Ending, scene_of_case
from chaincase.web.routing import Here, Who, api

api_read = api(Right.READ, "cases")
api_measure = api(Right.MEASURE, "cases")
api_photographs = api(Right.READ, "photographs")
api_photographs_in = api(Right.MEASURE, "photographs")
api_figures = api(Right.READ, "figures")
api_answer = api(Right.ANSWER, "links", prefix="/answer")

CaseId = Annotated[str, Path(max_length=64, examples=["HV-102"])]
Day = Annotated[
    str, Query(max_length=10, description="As it stood at the end of this day (UTC).", examples=["2026-03-01"])
]
EVENT = {
    "id": "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e",
    "kind": "add",
    "path": "evidence.readings",
    "value": {"dimension": "pitch", "value": "4.06 in", "instrument": "tape"},
    "base": 1,
}
AT_ONCE = 2
"""Photographs decoded at a time: one may be 40 million pixels."""
PICTURE: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {
            kind: {"schema": {"type": "string", "format": "binary"}}
            for kind in ("image/jpeg", "image/png", "image/webp")
        },
    }
}


class NewCase(BaseModel):
    """A case to begin."""

    model_config = ConfigDict(extra="forbid")

    case: ShortText = Field(description="Letters, digits, - _ and .", examples=["HV-102"])
    content: dict[str, Any] = Field(default={}, description="The form `chaincase/case-1`, or parts of it.")
    event: ShortText | None = Field(default=None, description="A UUID, so that sending it again changes nothing.")


class Batch(BaseModel):
    """Changes of a case, in their order."""

    model_config = ConfigDict(extra="forbid")

    events: list[dict[str, Any]] = Field(max_length=1000, examples=[[EVENT]])


class Undo(BaseModel):
    """What to take back."""

    model_config = ConfigDict(extra="forbid")

    event: ShortText | None = Field(default=None, description="An event of the history; without it your last one.")


class Standing(BaseModel):
    """What follows from a case."""

    version: int
    findings: dict[str, Any] | None = Field(description="`chaincase/findings-1`; null while something cannot be read.")
    faults: list[dict[str, str]] = Field(description="What cannot be read: what, where, right.")


@api_read.get("/cases", summary="Cases by filter or text")
def list_cases(
    here: Here,
    only: Annotated[Filter, Depends()],
    after: Annotated[str, Query(max_length=40, description="`next` of the page before.")] = "",
    limit: Annotated[int, Query(ge=1, le=500)] = 50,
) -> CasePage:
    """Give cases, last changed first."""
    return here.register.cases.list(only, after=after, limit=limit)


@api_read.get("/search", summary="Search everything")
def search(
    here: Here, text: Annotated[str, Query(max_length=200)], limit: Annotated[int, Query(ge=1, le=500)] = 50
) -> tuple[Hit, ...]:
    """Give cases, machines, customers and the rest that hold words beginning with those of a text."""
    return here.register.search(text, limit=limit)


@api_measure.post("/cases", summary="Begin a case", status_code=201)
def create_case(here: Here, who: Who, new: NewCase) -> Opened:
    """Begin a case, empty or with content; the same `event` again changes nothing."""
    why = refusal(who, {"kind": "create", "value": new.content})
    if why:
        raise Refused(403, why)
    return here.register.cases.create(new.case, by=who.name, content=new.content, event=new.event)


@api_read.get("/cases/{case}", summary="One case")
def open_case(here: Here, case: CaseId, day: Day = "") -> Opened:
    """Give a case as it stands, or stood on a day."""
    return here.register.cases.at(case, day) if day else here.register.cases.open(case)


@api_read.get("/cases/{case}/findings", summary="What follows from a case")
def findings(here: Here, case: CaseId, day: Day = "") -> Standing:
    """Give identity, gaps and the rest, worked out from the case as it stands; kept by content."""
    return Standing(**service.findings_of(here, case, day=day))


@api_measure.post("/cases/{case}/events", summary="Change a case")
def append(here: Here, who: Who, case: CaseId, batch: Batch) -> Appended:
    """Bring in events, each once, however often it is sent; each has a result of its own (docs/register.md)."""
    return service.append(here, who, case, batch.events)


@api_read.get("/cases/{case}/history", summary="Who changed what")
def history(
    here: Here,
    case: CaseId,
    before: Annotated[int | None, Query(ge=0, le=2**53, description="`seq` of the last one seen.")] = None,
    limit: Annotated[int, Query(ge=1, le=1000)] = 100,
) -> tuple[Change, ...]:
    """Give the changes of a case, newest first."""
    return here.register.cases.history(case, before=before, limit=limit)


@api_measure.post("/cases/{case}/undo", summary="Take a change back")
def undo(here: Here, who: Who, case: CaseId, wanted: Annotated[Undo, Body()]) -> Appended:
    """Take back your last change, or a named one, by a further change; 409 if its place was changed since."""
    return service.undo(here, who, case, wanted.event)


@api_figures.get("/cases/{case}/figure.{ending}", summary="Figure of a case", responses=FIGURE, response_class=Response)
def figure(
    here: Here,
    case: CaseId,
    ending: Ending,
    state: Annotated[str, Query(max_length=20, description="blank, measured, specified or compare.")] = "measured",
    designation: Annotated[str, Query(max_length=100, description="Drawn as this chain; else the likeliest.")] = "",
) -> Response:
    """Give the keyed figure of a case, with what was read at its dimensions: svg, png or dxf."""
    return figure_response(scene_of_case(here, case, state=state, designation=designation), ending, case)


@api_photographs.get("/cases/{case}/photographs", summary="Photographs of a case")
def photographs(here: Here, case: CaseId) -> tuple[Photograph, ...]:
    """Give the photographs that were first kept for a case."""
    return here.register.photographs.of(case)


@api_photographs.get("/photographs/{sha256}", summary="A photograph", response_class=Response)
def photograph(here: Here, sha256: Annotated[str, Path(max_length=64)]) -> Response:
    """Give the file of a photograph, as it was made anew when it came in."""
    known = here.register.photographs.get(sha256)
    headers = {
        "cache-control": "private, max-age=86400, immutable",
        "content-security-policy": "default-src 'none'; sandbox",
    }
    return Response(here.register.photographs.content(sha256), media_type=known.media_type, headers=headers)


@api_photographs_in.post(
    "/cases/{case}/photographs", summary="Keep a photograph", status_code=201, openapi_extra=PICTURE
)
async def keep_photograph(
    request: Request, here: Here, who: Who, case: CaseId, name: Annotated[str, Query(max_length=200)] = ""
) -> Photograph:
    """Keep a JPEG, PNG or WebP of at most 20 MiB, sent as it is; the same one again changes nothing."""
    data = await request.body()
    await run_sync(here.register.cases.open, case)
    return await _kept(here, data, by=who.name, name=name, case=case)


@api_answer.post("/events", summary="Answer")
def answer(here: Here, who: Who, batch: Batch) -> tuple[Result, ...]:
    """Bring in what the holder of a link answers; what was not asked is refused."""
    found = link_named(here, who.link)
    return service.answer(here, who, found.asked if found else (), batch.events)


@api_answer.post("/photographs", summary="Answer with a photograph", status_code=201, openapi_extra=PICTURE)
async def answer_photograph(
    request: Request, here: Here, who: Who, name: Annotated[str, Query(max_length=200)] = ""
) -> Photograph:
    """Keep a photograph for the case of a link."""
    return await _kept(here, await request.body(), by=service.link_name(who), name=name, case=who.case)


async def _kept(here: Here, data: bytes, *, by: str, name: str, case: str) -> Photograph:
    def keep() -> Photograph:
        return here.register.photographs.put(data, by=by, name=name, case=case)

    return await run_sync(keep, limiter=limiter("photographs", AT_ONCE))
