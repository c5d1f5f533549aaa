"""The API of papers: made anew from a case as it stands, or kept as they were sent."""

from typing import Annotated, Any, Literal
from urllib.parse import quote

from fastapi import Path, Query
from starlette.responses import Response

from chaincase.register.photographs import Document
from chaincase.web import papers
from chaincase.web.access import Right
from chaincase.web.looks import ALONE
from chaincase.web.routing import Here, Who, api

api_read = api(Right.READ, "papers")
api_keep = api(Right.WORK, "papers")

CaseId = Annotated[str, Path(max_length=64, examples=["HV-102"])]
Kind = Annotated[Literal["sheet", "letter", "dossier", "tag", "inspection"], Path()]
Ending = Annotated[Literal["pdf", "zip", "xlsx", "txt", "html"], Path()]
Paper = Annotated[Literal["us-letter", "a4"], Query()]
Level = Annotated[Literal["quote", "make"], Query(description="What a dossier is to be good for.")]
Signed = Annotated[str, Query(max_length=200, description="Who writes a letter.")]
FILE: dict[int | str, dict[str, Any]] = {200: {"content": {"*/*": {}}, "description": "The file."}}


@api_read.get("/cases/{case}/papers/{kind}.{ending}", summary="A paper", responses=FILE, response_class=Response)
def paper(
    here: Here,
    case: CaseId,
    kind: Kind,
    ending: Ending,
    paper: Paper = "us-letter",
    level: Level = "quote",
    signed: Signed = "",
) -> Response:
    """Give a paper of a case as it stands: sheet, letter, dossier, tag or inspection; not all endings go with each."""
    wanted = papers.Wanted(paper, level, signed, papers.address_of(here, case))
    return file_response(papers.make(here, case, kind, ending, wanted))


@api_keep.post("/cases/{case}/papers/{kind}.{ending}", summary="Make and keep a paper", status_code=201)
def keep(
    here: Here,
    who: Who,
    case: CaseId,
    kind: Kind,
    ending: Ending,
    paper: Paper = "us-letter",
    level: Level = "quote",
    signed: Signed = "",
) -> Document:
    """Keep a paper as it is sent, so that later changes of the case leave it as it was."""
    wanted = papers.Wanted(paper, level, signed, papers.address_of(here, case))
    made = papers.make(here, case, kind, ending, wanted)
    return here.register.documents.put(
        case, made.name, made.content, kind=kind, by=who.name, media_type=made.media_type
    )


@api_read.get("/cases/{case}/papers", summary="Papers kept")
def kept(here: Here, case: CaseId) -> tuple[Document, ...]:
    """Give the papers that were kept of a case."""
    here.register.cases.open(case)
    return here.register.documents.find(case=case)


@api_read.get("/papers/{paper}", summary="A kept paper", responses=FILE, response_class=Response)
def kept_paper(here: Here, paper: Annotated[str, Path(max_length=64)]) -> Response:
    """Give a paper as it was kept."""
    row = here.register.documents.get(paper)
    return file_response(papers.Made(row.name, here.register.documents.content(paper), row.media_type))


@api_read.get("/sheets/{kind}.pdf", summary="A blank measuring sheet", responses=FILE, response_class=Response)
def blank_sheet(kind: Annotated[str, Path(max_length=60, examples=["roller"])], paper: Paper = "us-letter") -> Response:
    """Give the measuring sheet of a kind of chain, of no case."""
    return file_response(papers.blank_sheet(kind, paper))


def file_response(made: papers.Made) -> Response:
    """Give a file to be kept, never to be run as a page."""
    headers = {
        "content-disposition": f"attachment; filename*=UTF-8''{quote(made.name)}",
        "content-security-policy": ALONE,
    }
    return Response(made.content, media_type=made.media_type, headers=headers)
