"""What the API says of the chains of the tables, and what one computes from typed input; nothing is kept."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

import numpy as np
from pydantic import BaseModel, Field

from chaincase.case.duties import answer as duty_answer
from chaincase.catalog.describe import describe
from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key
from chaincase.chains.kinds import KINDS
from chaincase.drawing.figure import figure
from chaincase.drawing.scene import Scene
from chaincase.drawing.svg import write_svg
from chaincase.duty.verdict import answer as verdict_answer
from chaincase.duty.verdict_form import VerdictForm
from chaincase.identifying.interchange import interchange
from chaincase.makeup.attachment import attachment_of
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentEvidence

DUTIES: Final = ("sprocket", "length", "pull", "drive", "wear", "verdict")


class TableLine(BaseModel):
    """A table of chains."""

    name: str = Field(examples=["iso606_a"])
    title: str
    standard: str
    chains: int


class ChainLine(BaseModel):
    """A chain, as a list shows it."""

    designation: str = Field(examples=["WR124"])
    table: str
    kind: str
    also: list[str] = Field(description="Other names.")
    pitch_mm: float | None = None


class Figure(BaseModel):
    """One figure of a chain."""

    mm: float
    letter: str = Field(description="Key letter on the figure.")
    label: str
    limit: str = Field(description="nominal, maximum or minimum.")
    trust: str = Field(description="How well it is known.")


class Chain(ChainLine):
    """A chain with all that its table says."""

    standard: str
    strands: int
    dimensions: dict[str, Figure]
    tensile_kn: float | None = Field(description="Least breaking load; null where the table has none.")
    mass_kg_per_m: float | None
    note: str


def tables(catalog: Catalog) -> list[TableLine]:
    """Give the tables of a catalog."""
    counts = np.bincount(catalog.source, minlength=len(catalog.sources)).tolist()
    return [
        TableLine(name=source.name, title=source.title, standard=source.standard, chains=count)
        for source, count in zip(catalog.sources, counts, strict=True)
    ]


def chains(catalog: Catalog, text: str = "", table: str = "", *, limit: int = 100) -> list[ChainLine]:
    """Give the chains whose name, or another name of theirs, holds a text; those that begin with it first."""
    wanted = key(text) if text else ""
    found: list[tuple[bool, int]] = []
    for row, name in enumerate(catalog.designations):
        if table and catalog.table_of(row) != table:
            continue
        names = [key(each) for each in (name, *catalog.alternatives[row])]
        if any(wanted in each for each in names):
            found.append((not any(each.startswith(wanted) for each in names), row))
    return [chain_line(catalog, row) for _, row in sorted(found)[:limit]]


def chain_line(catalog: Catalog, row: int) -> ChainLine:
    """Give a row as a list shows it."""
    return ChainLine(
        designation=catalog.designations[row],
        table=catalog.table_of(row),
        kind=KINDS[int(catalog.kind[row])].name,
        also=list(catalog.alternatives[row]),
        pitch_mm=catalog.dimensions_of(row).get("pitch"),
    )


def chain(catalog: Catalog, designation: str) -> Chain:
    """Give all that a table says of a chain.

    Raises
    ------
    BadInput
        If no chain, or several, have the name.

    >>> chain(Catalog.standard(), "16B-1").dimensions["pitch"].mm
    25.4
    """
    row = catalog.row(designation)
    return Chain(
        **chain_line(catalog, row).model_dump(),
        standard=catalog.standards[row] or catalog.sources[int(catalog.source[row])].standard,
        strands=int(catalog.strands[row]),
        dimensions={
            each.dimension.name: Figure(
                mm=each.value,
                letter=each.dimension.letter,
                label=each.dimension.label,
                limit=each.limit.name.lower(),
                trust=each.trust.name.lower().replace("_", " "),
            )
            for each in describe(catalog, row)
        },
        tensile_kn=_known(catalog.tensile_kn[row]),
        mass_kg_per_m=_known(catalog.mass_kg_per_m[row]),
        note=catalog.notes[row],
    )


def runs_on_sprockets_of(catalog: Catalog, designation: str) -> list[dict[str, Any]]:
    """Give which chains run on the sprockets of one, and which only seem to."""
    return [asdict(each) for each in interchange(catalog, catalog.row(designation))]


def duty(catalog: Catalog, sort: str, data: Mapping[str, Any]) -> dict[str, Any]:
    """Give the answer to a question about a duty; `sort` is one of `DUTIES`, `data` its form.

    Raises
    ------
    BadInput
        If the form cannot be used.
    """
    if sort == "verdict":
        return verdict_answer(VerdictForm.of(data), catalog).as_json()
    return duty_answer(sort, data, None, catalog).as_json()


def attachment(data: Mapping[str, Any]) -> AttachmentAnswer:
    """Give which listed attachment one is, from its look, its sizes and its code.

    Raises
    ------
    BadInput
        If the form cannot be used.
    """
    return attachment_of(AttachmentEvidence.of(data))


def figure_of_kind(kind: str) -> str:
    """Give the blank figure of a kind as SVG; raises as `scene_of_kind`."""
    return write_svg(scene_of_kind(kind))


def scene_of_kind(kind: str) -> Scene:
    """Give the blank figure of a kind.

    Raises
    ------
    BadInput
        If there is no such kind.
    """
    return figure(kind, {}, title=kind, state="blank")


def figure_of_chain(catalog: Catalog, designation: str) -> str:
    """Give the figure of a chain as SVG; raises as `scene_of_chain`."""
    return write_svg(scene_of_chain(catalog, designation))


def scene_of_chain(catalog: Catalog, designation: str) -> Scene:
    """Give the figure of a chain, to scale, with the sizes of its table.

    Raises
    ------
    BadInput
        If no chain, or several, have the name.
    """
    row = catalog.row(designation)
    sizes = catalog.dimensions_of(row)
    values = {each.dimension.name: f"{each.value:g}" for each in describe(catalog, row)}
    kind = KINDS[int(catalog.kind[row])].name
    return figure(kind, sizes, values=values, title=catalog.designations[row], state="specified")


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
