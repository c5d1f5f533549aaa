"""From a case to its findings: the one entry to this room. Pure: the same case and tables give the same findings."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from chaincase.case import attached, strands
from chaincase.case.duties import DutyChain, answer, held_against, own_figures
from chaincase.case.form import Case
from chaincase.case.found import (
    AttachmentFinding,
    Base,
    FeatureState,
    Findings,
    PatternFinding,
    RecordFinding,
    Rests,
    StrandTable,
    WheelFinding,
)
from chaincase.case.gaps import gaps, unused_assumptions
from chaincase.case.hidden import feature_conflicts, features
from chaincase.case.identity import base_chain, identity, paper_conflicts, records
from chaincase.case.papers import differences
from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import Links
from chaincase.duty.result import Result
from chaincase.errors import BadInput
from chaincase.identifying.answer import Identification
from chaincase.makeup.forms import SpacingAnswer
from chaincase.makeup.strand_length import LengthOdds

__all__ = [
    "AttachmentFinding",
    "Base",
    "FeatureState",
    "Findings",
    "PatternFinding",
    "RecordFinding",
    "StrandTable",
    "WheelFinding",
    "find",
]


def find(case: Case, catalog: Catalog) -> Findings:
    """Find out all that the evidence of a case says.

    Parameters
    ----------
    case : Case
        What is known.
    catalog : Catalog
        The chains it may be.

    Returns
    -------
    Findings
        With the gaps that are left.

    >>> case = Case.of({"schema": "chaincase/case-1", "case": "X", "evidence": {"marks": [{"text": "WH132"}]}})
    >>> found = find(case, Catalog.standard())
    >>> found.identity.candidates[0].designation, found.ready("quote")
    ('W132', False)
    """
    papers = records(case, catalog)
    known, known_rests, wheels = identity(case, catalog, papers)
    base, unsettled = base_chain(case, catalog, known)
    links, grown = attached.links_of(case, base), attached.growth(case, base, known)
    answers, troubles = _duty(case, base, catalog)
    found = attached.attachments(case, base, papers)
    spaced, spaced_rests = attached.spacing(case, base, grown)
    carried = attached.pattern(case, base, found, spaced)
    long, long_rests, hindered = strands.odds(case, base, links, carried, grown)
    length = strands.length(case, base, links, long, answers.get("length"))
    carried = attached.closed(carried, length.pitches if length is not None else None)
    table, cannot = strands.made(case, base, links, carried, length)
    papers_differ = differences(papers, carried, table, case.strands.number)
    findings = Findings(
        case=case.case,
        identity=known,
        base=base,
        wheels=wheels,
        attachments=found,
        spacing=spaced,
        pattern=carried,
        strand=long,
        made=table,
        features=features(case, base),
        duty=answers,
        records=papers,
        warnings=_warnings(case, known, [*troubles, *hindered, *_told(found, spaced, long), *papers_differ]),
        rests_on=_rests(case, answers, identity=known_rests, spacing=spaced_rests, strand=long_rests),
    )
    torn = [
        *unsettled,
        *paper_conflicts(base, papers, catalog),
        *attached.code_conflicts(case, papers),
        *_conflicts(case, findings, links),
        *cannot,
    ]
    return _with_gaps(case, replace(findings, conflicts=tuple(dict.fromkeys(torn))))


def _with_gaps(case: Case, findings: Findings) -> Findings:
    listed = gaps(case, findings)
    unused = unused_assumptions(case, listed)
    return replace(findings, gaps=listed, warnings=(*findings.warnings, *unused))


def _rests(case: Case, answers: Mapping[str, Result], **places: Rests) -> dict[str, Rests]:
    """Give what each finding of another room rests on; what was not found rests on nothing."""
    return {name: each for name, each in places.items() if each} | {
        f"duty.{place}": (f"duty.{place}",) if place != "verdict" else _verdict_rests(case, answers)
        for place in answers
    }


def _verdict_rests(case: Case, answers: Mapping[str, Result]) -> Rests:
    own = ("duty.verdict",) if case.duty.verdict is not None else ()
    held = [f"duty.{place}" for place in answers if place not in {"verdict", "length"}]
    return (*own, "base", *held, *(f"wheels[{i}]" for i in range(len(case.wheels))))


def _conflicts(case: Case, found: Findings, links: Links) -> Iterator[str]:
    """Give what cannot both be true and nobody has settled."""
    if found.identity is not None and case.chosen is None:
        yield from found.identity.conflicts
    yield from attached.pattern_conflicts(links, found.pattern, found.spacing)
    yield from strands.length_conflicts(case, found.strand)
    if case.pattern is None:
        yield from attached.contradictions(found.spacing)
    yield from (words for _, words in feature_conflicts(case))


def _duty(case: Case, base: Base | None, catalog: Catalog) -> tuple[dict[str, Result], list[str]]:
    """Give the answers about the duty by the place of their question, and why others cannot be given."""
    chain = _duty_chain(base, catalog)
    asked = dict(case.duty.parts())
    _, wanted = asked.pop("verdict", ("verdict", {}))
    found = {place: _answered(place, sort, data, chain, catalog) for place, (sort, data) in asked.items()}
    usable = {place: asked[place] for place, result in found.items() if isinstance(result, Result)}
    held = held_against(usable, case.wheels_read(), chain)
    if wanted or (held and chain is not None and chain.designation):
        found["verdict"] = _answered("verdict", "verdict", {**held, **wanted}, chain, catalog)
    answers = {place: result for place, result in found.items() if isinstance(result, Result)}
    return answers, [trouble for trouble in found.values() if isinstance(trouble, str)]


def _answered(
    place: str, sort: str, data: Mapping[str, Any], chain: DutyChain | None, catalog: Catalog
) -> Result | str:
    """Give the answer to a question, or why it cannot be given."""
    try:
        return answer(sort, data, chain, catalog)
    except BadInput as fault:
        told = "; ".join(str(fault).splitlines())
        return f"duty.{place} cannot be answered{'' if chain else ' before the chain is known'}: {told}"


def _duty_chain(base: Base | None, catalog: Catalog) -> DutyChain | None:
    if base is None or base.pitch_mm is None:
        return None
    name = base.key if base.row is not None else ""
    figures = None if base.row is None else own_figures(name, base.row, catalog)
    alike = base.links is Links.ALIKE
    return DutyChain(name, base.pitch_mm, base.kind, links_alike=alike, mass=base.mass_kg_per_m, figures=figures)


def _told(found: tuple[AttachmentFinding, ...], spaced: SpacingAnswer | None, long: LengthOdds | None) -> Iterator[str]:
    yield from attached.attachment_warnings(found)
    yield from (f"spacing: {words}" for words in (spaced.warnings if spaced else ()))
    yield from (f"spacing waits for {words}" for words in (spaced.missing if spaced else ()))
    yield from (f"strands: {words}" for words in (long.warnings if long else ()))


def _warnings(case: Case, known: Identification | None, troubles: list[str]) -> tuple[str, ...]:
    said = known.warnings if known is not None else ()
    return tuple(dict.fromkeys([*case.warnings(), *said, *troubles]))
