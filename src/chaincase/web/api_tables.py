"""The API's part that keeps nothing: tables, figures, and what one computes from typed input."""

from typing import Annotated, Any, Literal

from fastapi import Body, Path, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from chaincase.drawing.scene import Scene
from chaincase.identifying.answer import Identification
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify
from chaincase.makeup.attachment_form import AttachmentAnswer
from chaincase.makeup.forms import SpacingAnswer, SpacingEvidence
from chaincase.makeup.spacing import spacing
from chaincase.reading.order_line import read_order
from chaincase.web import pictures, tables
from chaincase.web.access import Right
from chaincase.web.api_papers import file_response
from chaincase.web.looks import svg_response
from chaincase.web.routing import Here, api

api_read = api(Right.READ, "tables")
api_figures = api(Right.READ, "figures")
api_duty = api(Right.READ, "duty")

Name = Annotated[str, Path(max_length=100, examples=["16B-1"])]
EVIDENCE = {
    "schema": "chaincase/evidence-1",
    "marks": [{"text": "W?124"}],
    "readings": [{"dimension": "pitch", "value": "4.06 in", "instrument": "tape"}],
}
SPACING = {"schema": "chaincase/spacing-1", "pitch": "4 in", "observations": [{"taped": "48 1/2 in", "gaps": 1}]}
LENGTH = {"pitch": "19.05 mm", "teeth": [17, 51], "centers": "800 mm"}
FIGURE: dict[int | str, dict[str, Any]] = {
    200: {
        "content": {"image/svg+xml": {}, "image/png": {}, "image/vnd.dxf": {}},
        "description": "The figure, by its ending.",
    }
}
ATTACHMENT = {"schema": "chaincase/attachment-1", "chain": "16B-1", "attachment": {"form": "bent", "sides": "one"}}
Form = dict[str, Any]


class OrderLine(BaseModel):
    """Text to read."""

    model_config = ConfigDict(extra="forbid")

    text: str = Field(max_length=20_000, examples=["120 ft WR124 with K2 attachments every 4th link"])


@api_read.get("/tables", summary="The tables")
def all_tables(here: Here) -> list[tables.TableLine]:
    """Give the tables and how many chains each has."""
    return tables.tables(here.catalog)


@api_read.get("/tables/chains", summary="Chains by name")
def chains(
    here: Here,
    text: Annotated[str, Query(max_length=100, examples=["WR124"])] = "",
    table: Annotated[str, Query(max_length=100)] = "",
    limit: Annotated[int, Query(ge=1, le=500)] = 100,
) -> list[tables.ChainLine]:
    """Give the chains that have a text in one of their names."""
    return tables.chains(here.catalog, text, table, limit=limit)


@api_read.get("/tables/chains/{designation:path}", summary="One chain")
def chain(here: Here, designation: Name) -> tables.Chain:
    """Give all that a table says of a chain; `table/designation` where several have the name."""
    return tables.chain(here.catalog, designation)


@api_read.get("/interchange/{designation:path}", summary="What runs on its sprockets")
def interchange(here: Here, designation: Name) -> list[dict[str, Any]]:
    """Give which other chains run on the sprockets of a chain, and what differs."""
    return tables.runs_on_sprockets_of(here.catalog, designation)


@api_read.post("/identify", summary="Identify a chain", response_model=Identification)
def identify_chain(here: Here, evidence: Annotated[Form, Body(examples=[EVIDENCE])]) -> Identification:
    """Give which chain the evidence (`chaincase/evidence-1`) comes from, how sure that is, and what to measure next."""
    return identify(Evidence.of(evidence), here.catalog)


@api_read.post("/spacing", summary="Attachment spacing", response_model=SpacingAnswer)
def find_spacing(evidence: Annotated[Form, Body(examples=[SPACING])]) -> SpacingAnswer:
    """Give how many pitches lie between attachments, from counts, tapes and pieces (`chaincase/spacing-1`)."""
    return spacing(SpacingEvidence.of(evidence))


@api_read.post("/read", summary="Read an order line")
def read(line: OrderLine) -> dict[str, Any]:
    """Give what an old order line or a part's description says, with the place of each item."""
    return read_order(line.text).as_json()


@api_read.post("/attachment", summary="Identify an attachment", response_model=AttachmentAnswer)
def identify_attachment(evidence: Annotated[Form, Body(examples=[ATTACHMENT])]) -> AttachmentAnswer:
    """Give which listed attachment one is (`chaincase/attachment-1`), or what is missing to make it by its sizes."""
    return tables.attachment(evidence)


@api_figures.get("/figures/kinds/{kind}.{ending}", summary="Blank figure", responses=FIGURE, response_class=Response)
def figure_of_kind(kind: Annotated[str, Path(max_length=60, examples=["roller"])], ending: pictures.Ending) -> Response:
    """Give the figure of a kind with its key letters: svg, png, or dxf to draw on with."""
    return figure_response(tables.scene_of_kind(kind), ending, kind)


@api_figures.get(
    "/figures/chains/{designation:path}.{ending}",
    summary="Figure of a chain",
    responses=FIGURE,
    response_class=Response,
)
def figure_of_chain(here: Here, designation: Name, ending: pictures.Ending) -> Response:
    """Give the figure of a chain of the tables, to scale: svg, png, or dxf with real dimensions."""
    return figure_response(tables.scene_of_chain(here.catalog, designation), ending, designation)


@api_duty.post("/duty/{sort}", summary="Work out a duty")
def duty(
    here: Here,
    sort: Literal["sprocket", "length", "pull", "drive", "wear", "verdict"],
    form: Annotated[Form, Body(examples=[LENGTH])],
) -> dict[str, Any]:
    """Give the answer to a form of `chaincase duty`, with its assumptions."""
    return tables.duty(here.catalog, sort, form)


def figure_response(scene: Scene, ending: pictures.Ending, name: str) -> Response:
    """Give a figure: one that a page shows as it is, others as files to be kept."""
    made = pictures.written(scene, ending, name)
    return svg_response(made.content.decode()) if ending == "svg" else file_response(made)
