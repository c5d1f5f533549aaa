"""What old papers say beside the chain number: held against what was found, and put into the questions."""

from collections.abc import Iterator, Sequence
from typing import Final

from chaincase.case.found import PatternFinding, RecordFinding, StrandTable
from chaincase.reading.candidate import Field

_LIKELY: Final = 0.5


def said(papers: Sequence[RecordFinding], field: Field) -> list[tuple[int, str]]:
    """Give each whole number that papers say of a field, with the place of the paper.

    >>> said((), Field.STRANDS)
    []
    """
    return [
        (int(item.value), paper.rests_on[0])
        for paper in papers
        for item in paper.read.items
        if item.field is field and item.probability >= _LIKELY
    ]


def differences(
    papers: Sequence[RecordFinding], carried: PatternFinding | None, made: StrandTable | None, strands: int | None
) -> Iterator[str]:
    """Say where papers name another spacing, length or number of strands than was found."""
    gap = None if carried is None else carried.pattern.spacing
    found = (
        (Field.SPACING_PITCHES, gap, "a spacing of {} pitches", "it is {} by what was seen"),
        (Field.LENGTH_PITCHES, made.makeup.strand.pitches if made else None, "{} pitches", "the strand has {}"),
        (Field.STRANDS, strands, "{} strands", "the case says {}"),
    )
    for field, own, theirs, ours in found:
        for number, place in said(papers, field):
            if own is not None and number != own:
                yield f"{place} says {theirs.format(number)}, {ours.format(own)}"


def in_papers(papers: Sequence[RecordFinding], field: Field, words: str) -> str:
    """Give what papers say, as a sentence before a question; empty where they say nothing.

    >>> in_papers((), Field.STRANDS, "strands")
    ''
    """
    numbers = sorted({number for number, _ in said(papers, field)})
    return f"Old papers say {' and '.join(map(str, numbers))} {words}. " if numbers else ""
