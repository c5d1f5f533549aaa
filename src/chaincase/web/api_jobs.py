"""The API of bulk work: surveys put down and fetched, and how far each job is."""

from typing import Annotated, Any, Literal

from anyio.to_thread import run_sync
from fastapi import Path, Query, Request
from pydantic import BaseModel, Field
from starlette.responses import Response

from chaincase.register.jobs import Job
from chaincase.web import survey_work
from chaincase.web.access import Right
from chaincase.web.api_papers import FILE, file_response
from chaincase.web.routing import Here, Who, api
from chaincase.web.server import Server

api_read = api(Right.READ, "surveys")
api_work = api(Right.WORK, "surveys")

JobId = Annotated[str, Path(max_length=64)]
BYTES: dict[str, Any] = {"schema": {"type": "string", "format": "binary"}}
SHEET: dict[str, Any] = {
    "requestBody": {"required": True, "content": {"text/csv": BYTES, survey_work.TYPES_OF_SHEETS["xlsx"]: BYTES}}
}


class JobLine(BaseModel):
    """A job and how far it is, in chunks."""

    id: str
    kind: str = Field(description="survey or import.")
    by: str
    created: str
    chunks: int
    waiting: int
    leased: int = Field(description="Being done just now.")
    done: int
    failed: int
    ended: bool
    faults: list[str] = Field(default=[], description="Why chunks failed.")


class Survey(JobLine):
    """A survey that was put down."""

    notices: list[str] = Field(description="What a person should know of the columns.")


@api_work.post("/surveys", summary="Put a survey down", status_code=201, openapi_extra=SHEET)
async def put_down(
    request: Request,
    here: Here,
    who: Who,
    name: Annotated[str, Query(max_length=200, examples=["samples.csv"])],
    job: Annotated[str, Query(max_length=64, pattern=r"^[0-9a-f-]*$", description="A UUID, to send it twice.")] = "",
) -> Survey:
    """Identify every row of a sheet (.csv or .xlsx by its name, sent as it is; docs/survey.md) as a job."""
    data = await request.body()

    def put() -> tuple[Job, tuple[str, ...]]:
        return survey_work.put_down(here, name, data, by=who.name, job=job)

    made, notices = await run_sync(put)
    return Survey(notices=list(notices), **_line(here, made).model_dump())


@api_read.get("/surveys/{job}/answers.{ending}", summary="Answers of a survey", responses=FILE, response_class=Response)
def answers(here: Here, job: JobId, ending: Literal["csv", "xlsx"]) -> Response:
    """Give the answers in the order of the rows, when all are there; 409 before."""
    return file_response(survey_work.answers(here, job, ending))


@api_read.get("/jobs", summary="Jobs")
def jobs(here: Here) -> list[JobLine]:
    """Give the jobs last put down."""
    return [_line(here, each) for each in here.register.jobs.latest()]


@api_read.get("/jobs/{job}", summary="One job")
def job(here: Here, job: JobId) -> JobLine:
    """Give how far a job is."""
    return _line(here, here.register.jobs.of(job))


@api_work.post("/jobs/{job}/retry", summary="Try again")
def retry(here: Here, job: JobId) -> JobLine:
    """Let the chunks that failed wait again."""
    here.register.jobs.of(job)
    return _line(here, here.register.jobs.retry(job))


def _line(here: Server, found: Job) -> JobLine:
    faults = [why for _, why in here.register.jobs.faults(found.id)] if found.failed else []
    return JobLine(**{name: getattr(found, name) for name in JobLine.model_fields if name != "faults"}, faults=faults)
