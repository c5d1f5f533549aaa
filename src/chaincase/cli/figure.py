"""`chaincase figure DESIGNATION|KIND -o OUT`: the keyed figure of a chain as SVG, DXF or PNG."""

import json
from pathlib import Path
from typing import Any, Final, get_args

import click

from chaincase.catalog.sheets import read_text
from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import OnLink
from chaincase.chains.kinds import kind_named
from chaincase.cli.identify import with_user_catalogs
from chaincase.documents.atomic import write_whole
from chaincase.documents.pictures import WIDEST, contact_sheet, png_of
from chaincase.drawing.figure import State
from chaincase.drawing.from_tables import (
    best_known,
    listed_attachment,
    subject_attachment,
    subject_figure,
    subject_named,
)
from chaincase.drawing.scene import Scene
from chaincase.drawing.svg import figure_anchors, write_svg
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.units.printing import System

SCHEMA: Final = "chaincase/figure-1"
FORMATS: Final = (".svg", ".dxf", ".png")
_SHEET_WIDTH: Final = 2400
_BESIDE: Final = ("16B-2", "16B-1")
"""Chains that show several strands and an attachment, after one of each kind."""


@click.command()
@click.argument("chain", required=False)
@click.option("-o", "--output", required=True, type=click.Path(path_type=Path), help="File to write: svg, dxf or png.")
@click.option("--state", type=click.Choice([state.value for state in State]), help="What the figure is for.")
@click.option(
    "--units", type=click.Choice(get_args(System)), default="mm", show_default=True, help="Units of the values."
)
@click.option("--evidence", type=click.Path(path_type=Path), help="Evidence (JSON) whose readings are written.")
@click.option("--ask", "asked", multiple=True, metavar="DIMENSION", help="A dimension to frame as asked for.")
@click.option("--attachment", metavar="CODE", help="An attachment that the links carry, such as K2.")
@click.option("--link", type=click.Choice(["outer", "inner", "every"]), default="outer", help="Links that carry it.")
@click.option("--keyed", is_flag=True, help="Draw the attachment alone, with its own key letters.")
@click.option("--all", "every", is_flag=True, help="Draw one chain of each kind on one sheet (png).")
@click.option("--width", type=click.IntRange(16, WIDEST), default=1600, show_default=True, help="Pixels of a png.")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to look in too.")
@click.option("--json", "as_json", is_flag=True, help="Print what was drawn as JSON.")
def figure(
    chain: str | None,
    output: Path,
    state: str | None,
    units: System,
    evidence: Path | None,
    asked: tuple[str, ...],
    attachment: str | None,
    link: str,
    keyed: bool,
    every: bool,
    width: int,
    catalogs: tuple[str, ...],
    as_json: bool,
) -> None:
    """Draw the keyed figure of CHAIN, a designation or a kind of chain, to scale."""
    suffix = _format(output)
    catalog = with_user_catalogs(catalogs)
    if every:
        _draw_all(chain, output, suffix, catalog)
        return
    if chain is None:
        raise BadInput("no chain is named", right="give a designation, a kind of chain, or --all")
    if keyed and attachment is None:
        raise BadInput("--keyed without an attachment", right="name one, such as --attachment K2")
    subject = subject_named(chain, catalog)
    the_state = state or (State.SPECIFIED if subject.sizes else State.BLANK)
    read = None if evidence is None else Evidence.parse(read_text(evidence), where=str(evidence))
    carried = [] if attachment is None else [listed_attachment(subject, attachment, OnLink(link))]
    if keyed:
        scene = subject_attachment(subject, carried[0], state=the_state, units=units)
    else:
        scene = subject_figure(subject, state=the_state, units=units, asked=asked, evidence=read, attachments=carried)
    write_whole(output, _drawn(scene, suffix, width))
    about = {"designation": subject.name if subject.sizes else None, "kind": subject.kind, "state": str(the_state)}
    click.echo(_as_json(scene, output, about) if as_json else _in_words(scene, output, subject.kind))


def _format(output: Path) -> str:
    suffix = output.suffix.lower()
    if suffix not in FORMATS:
        raise BadInput(f"{output.name!r} has no known ending", where="-o", right=f"use one of: {', '.join(FORMATS)}")
    return suffix


def _drawn(scene: Scene, suffix: str, width: int) -> bytes:
    if suffix == ".dxf":
        from chaincase.drawing.dxf import write_dxf  # its library takes longer to load than all of the others

        return write_dxf(scene)
    svg = write_svg(scene)
    return png_of(svg, width) if suffix == ".png" else svg.encode()


def _draw_all(chain: str | None, output: Path, suffix: str, catalog: Catalog) -> None:
    if chain is not None or suffix != ".png":
        raise BadInput("--all draws every kind on one sheet", right="give no chain, and a file that ends in .png")
    subjects = best_known(catalog)
    pictures = [
        (f"{kind_named(each.kind).label}: {each.name}", write_svg(subject_figure(each, state=State.MEASURED)))
        for each in subjects
    ]
    two, one = (subject_named(name, catalog) for name in _BESIDE)
    pictures.append((f"two strands: {two.name}", write_svg(subject_figure(two))))
    attachment = listed_attachment(one, "K2", OnLink.INNER)
    pictures.append((f"attachment: {one.name} {attachment.code}", write_svg(subject_attachment(one, attachment))))
    write_whole(output, contact_sheet(pictures, _SHEET_WIDTH))
    click.echo(f"Drew {len(subjects)} kinds of chain: {output}")


def _as_json(scene: Scene, output: Path, about: dict[str, Any]) -> str:
    anchors = figure_anchors(scene)
    dimensions = [
        {
            "dimension": line.name,
            "letter": line.letter,
            "value": line.value,
            "known": not line.assumed,
            "label": [round(side, 4) for side in anchors[line.name]],
        }
        for line in scene.dimensions
    ]
    drawn = {
        "schema": SCHEMA,
        "file": str(output),
        **about,
        "title": scene.title,
        "description": scene.description,
        "dimensions": dimensions,
        "assumed": list(scene.assumed),
    }
    return json.dumps(drawn, ensure_ascii=False, indent=2)


def _in_words(scene: Scene, output: Path, kind: str) -> str:
    letters = ", ".join(
        f"{line.letter} {line.value}".strip() for line in sorted(scene.dimensions, key=lambda d: d.letter)
    )
    lines = [f"Drew {scene.title}, {kind_named(kind).label}: {output}", f"Letters: {letters or 'none'}."]
    if scene.assumed:
        count = len(scene.assumed)
        lines.append(f"{count} {'thing is' if count == 1 else 'things are'} assumed for the drawing and drawn thin.")
    return "\n".join(lines)
