"""`chaincase attachment`: which listed attachment one is, by its look, its sizes and its code."""

import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.words import odds
from chaincase.documents.atomic import write_whole
from chaincase.errors import BadInput
from chaincase.makeup.attachment import attachment_of
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentCandidate, AttachmentEvidence
from chaincase.units import show_length

_WIDTH = 100
_PIXELS = 1600
_MOST, _LEAST, _CLEAR = 4, 0.005, 0.9


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Draw it with its key letters: svg or png.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def attachment(file: Path, output: Path | None, as_json: bool) -> None:
    """Find the code of an attachment from its look and sizes in FILE (JSON), or what is missing to make it."""
    evidence = AttachmentEvidence.parse(read_text(file), where=str(file))
    answer = attachment_of(evidence)
    if output is not None:
        _draw(evidence, answer, output)
    if as_json:
        click.echo(answer.model_dump_json(by_alias=True, indent=2))
        return
    click.echo("\n".join(_lines(answer)))
    if output is not None:
        click.echo(f"Drawn: {output}. Thin is what is not known.")


def _draw(evidence: AttachmentEvidence, answer: AttachmentAnswer, output: Path) -> None:
    suffix = output.suffix.lower()
    if suffix not in {".svg", ".png"}:
        raise BadInput(f"{output.name!r} has no known ending", where="-o", right="use one of: .svg, .png")
    from chaincase.drawing.attachment_seen import seen_attachment  # drawing takes a moment to load
    from chaincase.drawing.svg import write_svg

    svg = write_svg(seen_attachment(evidence, answer))
    if suffix == ".svg":
        write_whole(output, svg.encode())
        return
    from chaincase.documents.pictures import png_of

    write_whole(output, png_of(svg, _PIXELS))


def _lines(answer: AttachmentAnswer) -> Iterator[str]:
    yield _wrapped(f"{answer.verdict[:1].upper()}{answer.verdict[1:]}.")
    if answer.candidates:
        yield from _why(answer.candidates[0], answer.special)
    listed = answer.candidates[1:_MOST]
    others = [f"{_named(each)} has {odds(each.probability)}" for each in listed if each.probability >= _LEAST]
    if _LEAST <= answer.special < _CLEAR:
        others.append(f"none of those listed has {odds(answer.special)}")
    if others:
        yield _wrapped(f"Besides: {', '.join(others)}.")
    yield from _sizes(answer)
    if answer.next:
        yield _wrapped(f"Next: {answer.next}.")
    for words in answer.warnings:
        yield _wrapped(f"Mind: {words}.")


def _why(best: AttachmentCandidate, special: float) -> Iterator[str]:
    if special > best.probability and best.conflicts:
        yield f"The nearest of those listed, {_named(best)}, against it:"
    for words in (*best.reasons, *best.conflicts):
        yield textwrap.fill(words, _WIDTH, initial_indent="   ", subsequent_indent="      ")


def _sizes(answer: AttachmentAnswer) -> Iterator[str]:
    if answer.dimensions:
        yield "Known sizes:"
    for each in answer.dimensions:
        size = f"{each.value_mm:g} degrees" if each.dimension == "angle_deg" else show_length(each.value_mm)
        yield f"   {each.letter}  {each.label}: {size}"
    if answer.missing:
        yield "To make it by its sizes one must still know:"
    for gap in answer.missing:
        lead = f"   {gap.letter or '-'}  "
        yield textwrap.fill(gap.question, _WIDTH, initial_indent=lead, subsequent_indent="      ")


def _named(candidate: AttachmentCandidate) -> str:
    variant = f", {candidate.variant}" if candidate.variant else ""
    return f"{candidate.code}{variant}{f' of {candidate.chain}' if candidate.chain else ''}"


def _wrapped(text: str) -> str:
    return textwrap.fill(text, _WIDTH, subsequent_indent="   ")
