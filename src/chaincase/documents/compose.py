"""From evidence and its answer to the dossier: which words and figures go where."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from chaincase.catalog.describe import FROM_MEMORY
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME
from chaincase.documents.dossier import CandidateRow, Dossier, EvidenceRow, MarkRow, NextRow, Picture, SourceRow
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.identifying.answer import Candidate, Identification, Reason
from chaincase.identifying.evidence import Evidence
from chaincase.measuring.estimate import estimate
from chaincase.measuring.reading import Reading
from chaincase.units import show_length

_SHOWN = 5
_WORTH_SHOWING = 0.005
_SHOWN_STEPS = 3
_SHOWN_NAMES = 4
_SETTLED = 0.95

# What every request for quote must say and no reading tells; common practice, no source.
_ALWAYS_ASKED = (
    "Attachments: on which links and sides, shape, hole pattern, height of the platform above the pin center.",
    "Attachment spacing, counted in pitches on the machine or taped between two attachments.",
    "Number of strands, length of each in pitches, matched or handed pairs, connecting links and spares.",
    "Quantity: chain that is made to order is priced by it.",
    "What cannot be seen: material, heat treatment, plating, hard-facing, lubrication through the pin, seals.",
    "The sprockets that stay: number of teeth, outside diameter and root diameter of each.",
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands above a dossier: whose case it is. `marked` is a line such as "invented for a demonstration"."""

    title: str
    case: str
    plant: str
    day: date
    marked: str = ""
    revision: str = "A"
    customer: str = ""


def compose(heading: Heading, evidence: Evidence, answer: Identification, catalog: Catalog) -> Dossier:
    """Give the dossier of a case."""
    worth = [each for each in answer.candidates if each.probability >= _WORTH_SHOWING]
    shown = tuple(worth[:_SHOWN]) or answer.candidates[:1]
    return Dossier(
        title=heading.title,
        case=heading.case,
        plant=heading.plant,
        marked=heading.marked,
        day=heading.day,
        revision=heading.revision,
        customer=heading.customer or evidence.notes,
        evidence=tuple(_evidence_rows(evidence, answer)),
        marks=tuple(_mark_rows(evidence, answer)),
        candidates=tuple(_candidate_row(each) for each in shown),
        unlisted=answer.unlisted,
        warnings=(*answer.conflicts, *answer.warnings),
        next_steps=tuple(
            NextRow(step.label, step.instrument or "", step.where, step.decides, step.minutes)
            for step in answer.next[:_SHOWN_STEPS]
        ),
        open_questions=tuple(_open(answer)),
        sources=tuple(_sources(shown, catalog)),
        figures=(_figure(answer, catalog),),
    )


def _evidence_rows(evidence: Evidence, answer: Identification) -> Iterator[EvidenceRow]:
    reasons = iter(reason for reason in answer.candidates[0].reasons if reason.dimension)
    for reading in evidence.parsed_readings():
        found = estimate(reading, unit=answer.assumed_unit if reading.is_bare else None)
        if found.usable:
            yield _evidence_row(reading, found.value_mm, found.u_mm, next(reasons))
        else:
            short = found.reason.split(":")[0]
            name = reading.dimension
            yield EvidenceRow(_letter(name), _label(name), _written(reading), None, None, "", short)


def _evidence_row(reading: Reading, value: float, u: float, reason: Reason) -> EvidenceRow:
    name = reason.dimension or reading.dimension
    return EvidenceRow(_letter(name), reason.about, _written(reading), value, u, reason.expected or "", reason.words)


def _letter(name: str) -> str:
    return BY_NAME[name].letter if name in BY_NAME else ""


def _label(name: str) -> str:
    return BY_NAME[name].label if name in BY_NAME else name


def _written(reading: Reading) -> str:
    """Give a reading as it came in, with how it was taken as far as that is known."""
    parts = [reading.value, reading.instrument.value, reading.technique.value]
    parts += [f"{reading.link.value} link" if reading.link.value != "unknown" else "unknown"]
    parts += [f"over {reading.over} pitches" if reading.over > 1 else "unknown"]
    return ", ".join(part for part in parts if part != "unknown")


def _mark_rows(evidence: Evidence, answer: Identification) -> Iterator[MarkRow]:
    reasons = [reason for reason in answer.candidates[0].reasons if reason.about == "mark"]
    for mark, reason in zip(evidence.marks, reasons, strict=True):
        yield MarkRow(mark.text, mark.where, mark.legibility, f"{reason.expected}: {reason.words}")


def _candidate_row(each: Candidate) -> CandidateRow:
    from_memory = each.trust == FROM_MEMORY
    trust = "" if from_memory else each.trust
    return CandidateRow(each.designation, each.also[:_SHOWN_NAMES], each.probability, each.table, trust, from_memory)


def _open(answer: Identification) -> Iterator[str]:
    best = answer.candidates[0]
    if best.probability < _SETTLED:
        yield "The base chain itself: what to find out next is listed above."
    if best.trust == FROM_MEMORY:
        yield f"The figures of {best.designation}: the table is from memory, the maker's print must confirm them."
    yield from _ALWAYS_ASKED


def _sources(shown: tuple[Candidate, ...], catalog: Catalog) -> Iterator[SourceRow]:
    named = {each.table for each in shown}
    for source in catalog.sources:
        if source.name in named:
            yield SourceRow(source.name, source.standard, source.evidence)


def _figure(answer: Identification, catalog: Catalog) -> Picture:
    best = answer.candidates[0]
    if answer.unlisted > best.probability:
        sizes = _measured_sizes(answer.candidates[0].reasons)
        caption = f"The sample as measured, drawn as {best.kind} chain, to scale where a letter has a figure (mm)."
        return _picture(best.kind, sizes, "The sample as measured", caption)
    sizes = dict(catalog.dimensions_of(catalog.row(f"{best.table}/{best.designation}")))
    caption = f"{best.designation}, drawn to scale from the figures of the table {best.table} (mm)."
    return _picture(best.kind, sizes, best.designation, caption)


def _measured_sizes(reasons: tuple[Reason, ...]) -> dict[str, float]:
    return {r.dimension: r.found_mm for r in reasons if r.dimension in BY_NAME and r.found_mm is not None}


def _picture(kind: str, sizes: dict[str, float], title: str, caption: str) -> Picture:
    values = {name: show_length(size, "mm").removesuffix(" mm") for name, size in sizes.items()}
    return Picture(write_svg(figure(kind, sizes, values=values, title=title)), caption)
