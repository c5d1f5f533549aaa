"""From a case and its findings to the dossier: what the identity rests on, and how the parts come together."""

from collections.abc import Iterator
from datetime import date
from typing import Any, Literal

from chaincase.case.findings import Findings
from chaincase.case.form import Case
from chaincase.catalog.describe import FROM_MEMORY
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME
from chaincase.documents import compose_request as request
from chaincase.documents.compose_drawings import keyed_figure
from chaincase.documents.dossier import Dossier
from chaincase.documents.dossier_parts import (
    AssumptionRow,
    CandidateRow,
    EvidenceRow,
    GapRow,
    MarkRow,
    NextRow,
    SourceRow,
)
from chaincase.documents.paper import Heading
from chaincase.documents.photographs import Photo
from chaincase.identifying.answer import Candidate, Identification, Reason
from chaincase.identifying.evidence import Evidence
from chaincase.measuring.estimate import estimate
from chaincase.measuring.reading import Reading

_SHOWN = 5
_WORTH_SHOWING = 0.005
_SHOWN_STEPS = 3
_SHOWN_NAMES = 4


def heading_of(case: Case, day: date) -> Heading:
    """Give what stands above every paper of a case."""
    return Heading(
        title=case.title,
        case=case.case,
        plant=case.plant,
        day=day,
        marked=case.marked,
        revision=case.revision or "A",
        customer=case.customer,
        machine=case.machine,
        position=case.position,
    )


def compose(
    case: Case,
    found: Findings,
    catalog: Catalog,
    day: date,
    *,
    level: Literal["quote", "make"] = "quote",
    photos: tuple[Photo, ...] = (),
) -> Dossier:
    """Give the dossier of a case.

    Parameters
    ----------
    case, found, catalog
        The case, what its evidence says, and the chains that were asked.
    day : date
        Date of the dossier.
    level : "quote" or "make"
        What it is to be good for; gaps that only bar making are left out of a request for quote.
    photos : tuple of Photo
        Its photographs, ready for print.
    """
    carried = request.attachment_parts(found, catalog)
    picture, words = request.spacing_part(found)
    strands, strand_words = request.strand_part(found)
    identity, keyed = _identity(case, found), keyed_figure(found, catalog)
    return Dossier(
        heading=heading_of(case, day),
        level=level,
        asked=case.notes,
        chosen=found.base.designation if found.base and found.base.settled_by == "a person" else "",
        settled_by=_settled(found),
        request=tuple(request.request_rows(case, found)),
        figure=keyed.picture if keyed else None,
        sizes=tuple(request.sizes(found, catalog)),
        attachments=carried,
        spacing=picture,
        spacing_words=words,
        strands=strands,
        strand_words=strand_words,
        features=tuple(request.feature_rows(found)),
        duty=tuple(request.duty_parts(found)),
        assumptions=tuple(_assumptions(found)),
        gaps=tuple(_gaps(found, level)),
        photos=photos,
        sources=tuple(_sources(found, catalog)),
        **identity,
    )


def _identity(case: Case, found: Findings) -> dict[str, Any]:
    """Give what the identity rests on; empty without evidence."""
    answer = found.identity
    if answer is None or not answer.candidates:
        return {"warnings": (*found.conflicts, *found.warnings)}
    evidence = case.identity_evidence()
    worth = [each for each in answer.candidates if each.probability >= _WORTH_SHOWING]
    shown = tuple(worth[:_SHOWN]) or answer.candidates[:1]
    return {
        "evidence": tuple(_evidence_rows(evidence, answer)),
        "marks": tuple(_mark_rows(evidence, answer)),
        "candidates": tuple(_candidate_row(each) for each in shown),
        "unlisted": answer.unlisted,
        "warnings": tuple(dict.fromkeys((*found.conflicts, *answer.conflicts, *found.warnings, *answer.warnings))),
        "next_steps": tuple(
            NextRow(step.label, step.instrument or "", step.where, step.decides, step.minutes)
            for step in answer.next[:_SHOWN_STEPS]
        ),
    }


def _settled(found: Findings) -> str:
    base = found.base
    if base is None or base.settled_by != "a person":
        return ""
    return base.words[:1].upper() + base.words[1:] + "."


def _assumptions(found: Findings) -> Iterator[AssumptionRow]:
    for gap in found.gaps:
        if gap.accepted is not None:
            said = gap.accepted
            yield AssumptionRow(gap.title.split(" (")[0], said.assumed, said.by, said.on, said.why)


def _gaps(found: Findings, level: str) -> Iterator[GapRow]:
    for gap in found.open_gaps:
        if level == "make" or gap.level == "quote":
            title, _, remark = gap.title.partition(" (")
            yield GapRow(title, str(gap.level), gap.question, gap.consequence, remark.removesuffix(")"))


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


def _sources(found: Findings, catalog: Catalog) -> Iterator[SourceRow]:
    """Give each source once: the tables of the chains that are shown, the tolerance, the methods of the duty."""
    answer = found.identity
    named = (
        {each.table for each in answer.candidates[:_SHOWN] if each.probability >= _WORTH_SHOWING} if answer else set()
    )
    if found.base is not None:
        named.add(found.base.table)
    for source in catalog.sources:
        if source.name in named:
            yield SourceRow(source.name, source.standard, source.evidence)
    yield from request.further_sources(found)
