"""What the chain carries: each attachment, how they are spaced, and the pattern that follows."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from chaincase.case.form import Case
from chaincase.case.found import AttachmentFinding, Base, PatternFinding, RecordFinding, Rests, percent
from chaincase.chains.attachments import OnLink, Side
from chaincase.chains.designation import key
from chaincase.chains.kinds import Links
from chaincase.identifying.answer import Identification
from chaincase.identifying.identification import SETTLED
from chaincase.makeup.attachment import identify_attachment
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentObservation
from chaincase.makeup.attachment_listings import BaseChain
from chaincase.makeup.forms import SpacingAnswer
from chaincase.makeup.hypotheses import links_named
from chaincase.makeup.notation import parse_pattern, print_pattern
from chaincase.makeup.observations import OnLinks, Where
from chaincase.makeup.patterns import Sides, in_gaps, label_fault
from chaincase.makeup.spacing import spacing as spacing_of
from chaincase.makeup.tiling import closing
from chaincase.measuring.growth import Link
from chaincase.reading.candidate import Field

UNNAMED: Final = "attachment"
"""Stands in a proposed pattern for an attachment that has no sure code yet."""
_LIKELIER_THAN_NOT: Final = 0.5
_LINKS: Final = {OnLink.INNER: Link.INNER, OnLink.OUTER: Link.OUTER}
_SIDES: Final = {Side.LEFT: Sides.LEFT, Side.RIGHT: Sides.RIGHT}


def codes_named(papers: Sequence[RecordFinding]) -> dict[str, tuple[str, Rests]]:
    """Give the attachment codes that old papers name, by their key: as written first, and the places that name them."""
    named: dict[str, tuple[str, Rests]] = {}
    for paper in papers:
        for item in paper.read.items:
            code = str(item.value)
            if item.field is Field.ATTACHMENT and item.probability >= _LIKELIER_THAN_NOT and not label_fault(code):
                first, places = named.get(key(code), (code, ()))
                named[key(code)] = first, tuple(dict.fromkeys((*places, *paper.rests_on)))
    return {each: said for each, said in named.items() if any(sign.isdigit() for sign in each)}


def attachments(case: Case, base: Base | None, papers: Sequence[RecordFinding] = ()) -> tuple[AttachmentFinding, ...]:
    """Give what each attachment is.

    A code in old papers is evidence like a stamp: of an attachment that nobody has called by a code, where papers name
    one code, and of one that nobody has looked at yet, unless somebody found the whole chain plain.
    """
    named = codes_named(papers)
    if not case.attachments:
        seen = () if case.plain is not None else named.values()
        return tuple(_named(code, places, papers, base) for code, places in seen)
    code, places = next(iter(named.values())) if len(named) == 1 else ("", ())
    return tuple(_attachment(i, each, base, code, places) for i, each in enumerate(case.attachments))


def _named(code: str, places: Rests, papers: Sequence[RecordFinding], base: Base | None) -> AttachmentFinding:
    """Give an attachment that only papers name."""
    where = next((paper.where for paper in papers if paper.rests_on[0] == places[0] and paper.where), "old papers")
    observed = AttachmentObservation.of({"code": code, "by": where})
    answer = _answer(observed, base)
    return AttachmentFinding(observed, answer, f"{answer.verdict.rstrip('.')}; named by {where}, not seen yet", places)


def _attachment(
    i: int, observed: AttachmentObservation, base: Base | None, code: str, places: Rests
) -> AttachmentFinding:
    place = f"attachments[{i}]"
    rests: Rests = (place, *(f"{place}.readings[{j}]" for j in range(len(observed.readings))))
    if code and not observed.code.strip():
        observed, rests = observed.model_copy(update={"code": code}), (*rests, *places)
    answer = _answer(observed, base)
    return AttachmentFinding(observed, answer, answer.verdict, rests)


def code_conflicts(case: Case, papers: Sequence[RecordFinding]) -> Iterator[str]:
    """Say where old papers name another attachment than somebody saw, or one on a chain that was found plain."""
    named = codes_named(papers)
    told = " and ".join(f"{code} ({places[0]})" for code, places in named.values())
    if named and case.plain is not None:
        yield f"papers name {told}, but {case.plain.by} found no attachment on the whole chain"
    seen = {each.code.strip() for each in case.attachments if each.code.strip()}
    other = sorted(code for code in seen if named and key(code) not in named)
    if other:
        yield f"papers name the attachment {told}, seen on the chain it is called {' and '.join(other)}"


def _answer(observed: AttachmentObservation, base: Base | None) -> AttachmentAnswer:
    if base is None or base.row is None:
        return identify_attachment(observed, BaseChain(kind=base.kind, pitch_mm=base.pitch_mm) if base else None)
    return identify_attachment(observed, BaseChain(base.designation, base.kind, base.pitch_mm))


def attachment_warnings(found: Sequence[AttachmentFinding]) -> Iterator[str]:
    """Give what must be known about the answers; keys that mean nothing are told with the case."""
    for each in found:
        yield from (f"{each.rests_on[0]}: {words}" for words in each.answer.warnings if "means nothing" not in words)


def growth(case: Case, base: Base | None, found: Identification | None) -> tuple[float, float | None] | None:
    """Give elongation of the mean pitch and its standard uncertainty [-]: as the case says, else as readings show it.

    Readings show it only on the likeliest chain, where the base is that one.
    """
    part = case.spacing
    if part.elongation is not None:
        return part.evidence().elongation_given()
    if base is None or found is None or found.candidates[0].designation != base.designation:
        return None
    for wear in found.candidates[0].wear:
        if wear.dimension == "pitch" and wear.elongation_percent is not None and wear.u_percent:
            return min(max(wear.elongation_percent / 100.0, 0.0), 0.2), wear.u_percent / 100.0
    return None


def links_of(case: Case, base: Base | None) -> Links:
    """Give how links follow each other: on the base chain, else as the construction looks."""
    if base is not None and base.row is not None:
        return base.links
    return links_named(case.spacing.construction or case.evidence.construction)


def spacing(
    case: Case, base: Base | None, grown: tuple[float, float | None] | None
) -> tuple[SpacingAnswer | None, Rests]:
    """Give the odds of the spacing, and what it rests on; None without an observation."""
    if not case.spacing.observations:
        return None, ()
    known = base is not None and base.pitch_mm is not None
    pitch = f"{base.pitch_mm:.12g} mm" if base is not None and known else None
    looks = (base.kind,) if base is not None and base.row is not None else case.evidence.construction
    evidence = case.spacing.evidence(pitch, looks)
    if grown is not None and evidence.elongation is None:
        evidence = evidence.model_copy(update={"elongation": grown[0], "elongation_u": grown[1]})
    rests = [f"spacing.observations[{i}]" for i in range(len(case.spacing.observations))]
    if pitch is not None and case.spacing.pitch is None:
        rests.append("base")
    return spacing_of(evidence), tuple(rests)


def contradictions(spaced: SpacingAnswer | None) -> tuple[str, ...]:
    """Give what cannot both be true of the spacing; gaps that differ but repeat contradict nothing."""
    return () if spaced is None or spaced.repeat else spaced.contradictions


def pattern(
    case: Case, base: Base | None, found: Sequence[AttachmentFinding], spaced: SpacingAnswer | None
) -> PatternFinding | None:
    """Give the pattern as a person settled it, else as the spacing proposes it; None where neither can be."""
    if case.pattern is not None:
        settled = parse_pattern(case.pattern.notation)
        words = f"settled by {case.pattern.by}{f' on {case.pattern.on}' if case.pattern.on else ''}"
        return PatternFinding(settled, print_pattern(settled), "a person", 1.0, None, words, ("pattern",))
    if spaced is None or not found or contradictions(spaced):
        return None
    return _proposed(links_of(case, base), found, spaced, _seen_on(case))


def _proposed(
    links: Links, found: Sequence[AttachmentFinding], spaced: SpacingAnswer, seen: Link | None
) -> PatternFinding | None:
    """Give the pattern of one kind of attachment; the order of several kinds only a person can tell."""
    labels, sides = {_label(each) for each in found}, {_sides(each.observed) for each in found}
    on = {link for each in found if (link := _LINKS.get(each.observed.link_seen)) is not None}
    gaps = spaced.repeat or (spaced.spacing[0].pitches,)
    chance = 1.0 if spaced.repeat else spaced.spacing[0].probability * spaced.constant
    if max(len(labels), len(sides)) > 1 or len(on) > 1 or chance < _LIKELIER_THAN_NOT:
        return None
    link = Link.OFFSET if links is Links.ALIKE else next(iter(on), seen or Link.OUTER)
    made = in_gaps([[(labels.pop(), sides.pop())]] * len(gaps), gaps, link)
    words = f"proposed from the spacing, {percent(chance)} sure"
    rests = ("spacing", *(each.rests_on[0] for each in found))
    return PatternFinding(made, print_pattern(made), "proposed", chance, None, words, rests)


def _label(each: AttachmentFinding) -> str:
    said = each.code or each.observed.code.strip()
    return said if said and not label_fault(said) else UNNAMED


def _sides(observed: AttachmentObservation) -> Sides:
    return _SIDES.get(observed.sides_seen, Sides.BOTH)


def _seen_on(case: Case) -> Link | None:
    """Give the kind of link that the observations of the spacing name."""
    seen = [one for i, each in enumerate(case.spacing.observations) for one in each.parsed(i)]
    kinds = {one.where for one in seen if isinstance(one, OnLinks)}
    return {Where.INNER: Link.INNER, Where.OUTER: Link.OUTER}.get(kinds.pop()) if len(kinds) == 1 else None


def closed(found: PatternFinding | None, pitches: int | None) -> PatternFinding | None:
    """Give the pattern with how it closes in a strand of that length."""
    if found is None or pitches is None:
        return found
    return replace(found, closing=closing(found.pattern, pitches))


def pattern_conflicts(links: Links, found: PatternFinding | None, spaced: SpacingAnswer | None) -> Iterator[str]:
    """Say where a settled pattern stands against the chain or against the spacing."""
    if found is None or found.settled_by != "a person":
        return
    if found.pattern.links is not links:
        other = f"a chain whose links are {found.pattern.links}, this one's are {links}"
        yield f"the pattern {found.notation} is for {other}"
    gap = found.pattern.spacing
    best = spaced.spacing[0] if spaced is not None and not contradictions(spaced) and not spaced.repeat else None
    if gap is not None and best is not None and best.pitches != gap and best.probability >= SETTLED:
        yield f"the pattern {found.notation} was settled, but the spacing observed is {best.pitches} pitches"
