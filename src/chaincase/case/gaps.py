"""What is missing before a case can be quoted, and before it can be made, the gravest first."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Final

from chaincase.case.attached import contradictions
from chaincase.case.entries import Assumption
from chaincase.case.form import Case
from chaincase.case.found import AttachmentFinding, Findings
from chaincase.case.gap import Gap
from chaincase.case.gap_words import BY_KEY as BY_GAP
from chaincase.case.gap_words import contradiction, gap
from chaincase.case.hidden import OpenFeature, feature_conflicts, open_features
from chaincase.case.papers import in_papers
from chaincase.chains.features import BY_KEY, Harm, Level
from chaincase.chains.field_checks import field_checks_for
from chaincase.duty.finding import Answer
from chaincase.duty.result import Result
from chaincase.identifying.identification import SETTLED
from chaincase.makeup.attachment_form import MissingDimension
from chaincase.reading.candidate import Field
from chaincase.units import show_mass

_RANK: Final = {Harm.INJURY: 0.80, Harm.MISFIT: 0.70, Harm.LIFE: 0.55, Harm.PRICE: 0.35}
_ASKED: Final = 0.05
"""Less urgent where somebody was asked and did not know: the next step costs more."""
_MOST_QUESTIONS: Final = 6


def gaps(case: Case, found: Findings) -> tuple[Gap, ...]:
    """Give all gaps, the gravest first; an accepted assumption closes the gap that it names, and both are kept."""
    accepted = {each.gap: each for each in sorted(case.assumptions, key=_order)}
    every = [each for part in _PARTS for each in part(case, found)]
    closed = [replace(each, accepted=accepted.get(each.key)) for each in every]
    return tuple(sorted(closed, key=lambda each: (-each.rank, each.key)))


def _order(each: Assumption) -> tuple[str, ...]:
    """Give what puts the latest of several assumptions on one gap last, whatever their order in the case."""
    return each.on, each.by, each.assumed, each.why, each.id


def unused_assumptions(case: Case, listed: tuple[Gap, ...]) -> list[str]:
    """Say which assumptions name nothing that is open; they are kept."""
    named = {each.key for each in listed}
    return [
        f"assumptions[{i}] names {each.gap!r}, which is no open gap of this case"
        for i, each in enumerate(case.assumptions)
        if each.gap not in named
    ]


def _identity(case: Case, found: Findings) -> Iterator[Gap]:
    known, base = found.identity, found.base
    if known is not None and known.conflicts and case.chosen is None:
        yield contradiction("identity", "the evidence points to two chains", known.conflicts, 0.99)
    elif base is None:
        step = known.next[0] if known is not None and known.next else None
        tool = f", {step.instrument}" if step is not None and step.instrument else ""
        yield gap("identity") if step is None else gap("identity", easiest=f"{step.label}{tool}: {step.where}.")
    elif base.row is None:
        near = f" Or is {base.near} meant?" if base.near else ""
        yield gap(
            "identity.figures",
            title=f"the dimensions of {base.designation}, which is in none of the tables",
            question=f"{BY_GAP['identity.figures'].question}{near}",
        )


def _conflicts(case: Case, found: Findings) -> Iterator[Gap]:
    spaced = contradictions(found.spacing)
    if spaced and case.pattern is None:
        yield contradiction("spacing", "the spacing contradicts itself", spaced, 0.93)
    if found.strand is not None and found.strand.contradictions and case.strands.pitches is None:
        yield contradiction("length", "the length contradicts itself", found.strand.contradictions, 0.92)
    for key, words in feature_conflicts(case):
        yield contradiction(f"features.{key}", f"{BY_KEY[key].label} is told in two ways", (words,), 0.75)


def _attachments(case: Case, found: Findings) -> Iterator[Gap]:
    if case.plain is None and not case.attachments and case.pattern is None:
        yield _unseen(found)
    for i, each in enumerate(found.attachments):
        if case.attachments and not each.settled and each.answer.missing:
            yield _special(i, each, each.answer.missing)


def _unseen(found: Findings) -> Gap:
    """Give the gap of a chain whose attachments nobody has looked at; papers may name some."""
    named = sorted({each.observed.code for each in found.attachments})
    asked = gap("attachments")
    return replace(asked, question=f"Old papers name {' and '.join(named)}. {asked.question}") if named else asked


def _special(i: int, each: AttachmentFinding, missing: tuple[MissingDimension, ...]) -> Gap:
    named = ", ".join(one.dimension.replace("_", " ") for one in missing[:_MOST_QUESTIONS])
    asked = gap(
        "attachments.dimensions",
        title=f"dimensions of attachment {i + 1}{f', {each.code}' if each.code else ''}",
        level=Level.MAKE if each.code else Level.QUOTE,
        question=" ".join(one.question for one in missing[:_MOST_QUESTIONS]),
        easiest=_sentence(each.answer.next) or f"Measure at the old attachment: {named}.",
    )
    return asked if i == 0 else replace(asked, key=f"attachments.dimensions.{i + 1}")


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:].rstrip('.')}." if words else ""


def _pattern(case: Case, found: Findings) -> Iterator[Gap]:
    if case.plain is not None or not (case.attachments or case.pattern):
        return
    spaced, carried = found.spacing, found.pattern
    if carried is None or carried.probability < SETTLED:
        if spaced is None:
            yield _asked("spacing", in_papers(found.records, Field.SPACING_PITCHES, "pitches"))
        elif not contradictions(spaced):
            yield gap("spacing", easiest=spaced.next)
        return
    if carried.settled_by == "proposed":
        yield gap("pattern", question=f"Is the pattern {carried.notation} right: code, sides and kind of link?")
    closing = carried.closing
    if closing is not None and not closing.closes:
        asked = f"Over the joint the gap is {closing.joint_gap} pitches. Is that so on the old chain, or is the length"
        yield gap("closing", question=f"{closing.words}. {asked} another one?")


def _asked(key: str, papers: str) -> Gap:
    """Give a gap whose question begins with what old papers say."""
    return gap(key, question=f"{papers}{gap(key).question}")


def _length(case: Case, found: Findings) -> Iterator[Gap]:
    table, odds = found.made, found.strand
    contradicted = odds is not None and bool(odds.contradictions) and case.strands.pitches is None
    if (table is None or not table.settled) and not contradicted:
        yield _asked("length", in_papers(found.records, Field.LENGTH_PITCHES, "pitches"))
    if table is not None and table.offset_links:
        yield gap("offset link")


def _strands(case: Case, found: Findings) -> Iterator[Gap]:
    part = case.strands
    if part.number is None:
        yield _asked("strands", in_papers(found.records, Field.STRANDS, "strands"))
    elif part.number > 1 and part.matched is None:
        yield gap("matched")
    if case.quantity.strands is None:
        yield gap("quantity")
    if part.ends is None:
        yield gap("ends")
    if part.section_most is None and not part.connecting_links:
        mass = found.made.mass_kg if found.made is not None else None
        told = "" if mass is None else f" One strand of the base chain has about {show_mass(mass)}."
        asked = gap("sections").question
        yield gap("sections", question=f"{asked}{told}")


def _hidden(case: Case, found: Findings) -> Iterator[Gap]:
    for each in open_features(case, found.base):
        alone = each.feature.key == "length_tolerance" and case.strands.number == 1
        yield replace(_feature(each), rank=_RANK[Harm.PRICE]) if alone else _feature(each)


def _feature(each: OpenFeature) -> Gap:
    feature = each.feature
    check = next(iter(field_checks_for(feature.key, destructive=False)), None)
    parts = f" of the {_listed([str(part) for part in each.parts])}" if each.some else ""
    spoken = "told of other parts only" if each.some else "nobody knew so far" if each.asked else "nobody was asked"
    usual = f" What is often assumed: {feature.default_assumed}." if feature.default_assumed else ""
    return Gap(
        key=f"features.{feature.key}",
        level=feature.level,
        title=f"{feature.label}{parts} ({spoken})",
        question=feature.question,
        easiest="Ask the plant." if check is None else f"{check.label[:1].upper()}{check.label[1:]}: {check.how}",
        consequence=f"{feature.matters}{usual}",
        rank=_RANK[feature.harm] - (_ASKED if each.asked else 0.0),
        caution="" if check is None else check.caution,
    )


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _duty(case: Case, found: Findings) -> Iterator[Gap]:
    wheels, held = bool(case.duty.sprockets or case.wheels), "pull" in found.duty or "drive" in found.duty
    if not wheels and "length" not in found.duty:
        yield gap("sprockets")
    if not held:
        yield gap("load")
    if found.verdict is not None:
        yield from _verdict(found.verdict, held, wheels)


def _verdict(said: Result, held: bool, wheels: bool) -> Iterator[Gap]:
    """Give what stands against the chain, or against the replacement that is asked for, and what cannot be told.

    Parameters
    ----------
    held : bool
        Whether there is a pull or a drive to hold it against.
    wheels : bool
        Whether there are sprockets.
    """
    for question, open_as, asked in (("fits", "sprockets", wheels), ("carries", "strength", held)):
        why = next(value.note for value in said.values if value.name == question)
        key = question if said[question] == Answer.NO else open_as if said[question] == Answer.OPEN and asked else ""
        if key:
            title = f"whether it {question} cannot be told" if key == "sprockets" else BY_GAP[key].title
            words = f"{said['candidate']}, by what was told: {why}. {BY_GAP[key].question}"
            yield gap(key, title=title, question=words)


_PARTS: Final[tuple[Callable[[Case, Findings], Iterator[Gap]], ...]] = (
    _identity, _conflicts, _attachments, _pattern, _length, _strands, _hidden, _duty,
)  # fmt: skip
