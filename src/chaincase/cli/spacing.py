"""`chaincase spacing FILE`: how many pitches lie between attachments, and what would settle it."""

import textwrap
from collections.abc import Iterator
from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.words import odds
from chaincase.makeup.forms import SpacingAnswer, SpacingEvidence, SpacingShare
from chaincase.makeup.next_look import runs_in_words
from chaincase.makeup.spacing import spacing as find_spacing
from chaincase.units import show_length

_WIDTH = 100
_CLEAR, _FEW, _LEAST = 0.90, 4, 0.005
_ALIKE = 0.75
_MOST_CONFLICTS = 6


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def spacing(file: Path, as_json: bool) -> None:
    """Find the spacing of attachments from the counts, tapes and pieces in FILE (JSON)."""
    answer = find_spacing(SpacingEvidence.parse(read_text(file), where=str(file)))
    if as_json:
        click.echo(answer.model_dump_json(by_alias=True, indent=2))
    else:
        click.echo("\n".join(_lines(answer)))


def _lines(answer: SpacingAnswer) -> Iterator[str]:
    yield from _verdict(answer)
    conflicts = list(dict.fromkeys(answer.contradictions))
    for words in conflicts[:_MOST_CONFLICTS]:
        yield _wrapped(f"Conflict: {words}.")
    if len(conflicts) > _MOST_CONFLICTS:
        yield f"{len(conflicts) - _MOST_CONFLICTS} more conflicts of this sort."
    for repeat in answer.may_repeat[:_MOST_CONFLICTS]:
        gaps = " and ".join(str(gap) for gap in repeat)
        yield _wrapped(
            f"Both can be true if gaps of {gaps} repeat and {sum(repeat)} was taken from one attachment to the next"
            " of its"
            " own kind. Look whether the attachments of the piece are alike."
        )
    yield _wrapped(f"Next: {answer.next}")
    for words in answer.warnings:
        yield _wrapped(f"Mind: {words}.")


def _verdict(answer: SpacingAnswer) -> Iterator[str]:
    best, *rest = answer.spacing
    if answer.repeat:
        yield _wrapped(f"The gaps are not alike but repeat: {runs_in_words(answer.repeat)}, then again.")
        return
    if answer.constant < _ALIKE:
        seen = f" Pieces show gaps of {', '.join(map(str, answer.gaps_seen))}." if answer.gaps_seen else ""
        yield _wrapped(f"The gaps may not be alike; that they are has {odds(answer.constant)}.{seen}")
        yield _wrapped(f"If they are, the likeliest spacing is {_apart(best)}, {odds(best.probability)}.")
    elif best.probability >= _CLEAR:
        yield _wrapped(f"The attachments stand {_apart(best)} ({odds(best.probability)}).")
    else:
        yield _wrapped(f"The spacing cannot be told yet. The likeliest is {_apart(best)}, {odds(best.probability)}.")
    others = [f"{each.pitches} has {odds(each.probability)}" for each in rest[:_FEW] if each.probability >= _LEAST]
    if others:
        yield _wrapped(f"Besides: {', '.join(others)}.")


def _apart(share: SpacingShare) -> str:
    length = "" if share.length_mm is None else f", {show_length(share.length_mm)} on a new chain"
    return f"{share.pitches} {'pitch' if share.pitches == 1 else 'pitches'} apart{length}"


def _wrapped(text: str) -> str:
    return textwrap.fill(text, _WIDTH, subsequent_indent="   ")
