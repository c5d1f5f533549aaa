"""A case in words that can be read aloud: findings, gaps, and what a change brought."""

import textwrap
from collections.abc import Iterable, Iterator

from chaincase.case.form import Case
from chaincase.case.found import Findings, StrandTable
from chaincase.case.gap import Gap
from chaincase.chains.feature_states import State
from chaincase.chains.features import Level
from chaincase.cli.words import odds
from chaincase.duty.result import Result
from chaincase.makeup.strands import LinkCounts
from chaincase.units import show_force, show_length, show_mass

_WIDTH = 98
_FEW = 3
_LEVELS = {Level.QUOTE: "before a quote", Level.MAKE: "before it is made"}
_COUNTS = {
    "plain_inner": "plain inner",
    "plain_outer": "plain outer",
    "inner_with_attachment": "inner with attachment",
    "outer_with_attachment": "outer with attachment",
    "plain_alike": "plain",
    "alike_with_attachment": "with attachment",
    "connecting": "connecting",
    "connecting_with_attachment": "connecting with attachment",
    "offset": "offset",
    "offset_with_attachment": "offset with attachment",
}


def findings(case: Case, found: Findings) -> Iterator[str]:
    """Give a case and its findings, part by part."""
    yield f"{case.case}: {case.title}" if case.title else case.case
    place = ", ".join(part for part in (case.customer, case.plant, case.machine, case.position) if part)
    if place:
        yield place
    if case.marked:
        yield case.marked
    yield ""
    for part in (_chain, _attachments, _strand, _features, _duty, _records):
        yield from part(found)
    for words in found.conflicts:
        yield _wrapped(f"Conflict: {words}.")
    for words in found.warnings:
        yield _wrapped(f"Mind: {words}.")
    yield ""
    yield from gap_summary(found, most=None)


def in_short(found: Findings) -> Iterator[str]:
    """Give what the chain carries, the strands, and the gravest gaps."""
    yield "The whole chain:"
    yield from (f"  {line}" for line in _attachments(found))
    if found.made is not None:
        yield from (f"  {line}" for line in strand_lines(found.made))
    for words in found.conflicts:
        yield _wrapped(f"Conflict: {words}.", "  ")
    yield from gap_summary(found, most=_FEW)


def changed(said: Iterable[str], found: Findings) -> Iterator[str]:
    """Say what was changed by what was added, and how many gaps are left."""
    listed = list(said)
    yield "Kept. What that changed:" if listed else "Kept. It changed nothing in the findings."
    for words in listed:
        yield _wrapped(f"- {_sentence(words)}", "  ")
    yield from gap_summary(found, most=_FEW)


def gap_summary(found: Findings, *, most: int | None) -> Iterator[str]:
    """Give how many gaps are open at each level, and the gravest of them."""
    for level, words in _LEVELS.items():
        listed = [gap for gap in found.open_gaps if gap.level == level]
        if not listed:
            yield f"Nothing is open {words}."
            continue
        yield f"{_counted(len(listed), 'gap')} {words}:"
        for gap in listed[:most]:
            yield _wrapped(f"- {gap.key}: {gap.title}", "  ")
        if most is not None and len(listed) > most:
            yield f"  and {len(listed) - most} more."
    accepted = [gap for gap in found.gaps if gap.accepted is not None]
    for gap in accepted:
        yield _wrapped(f"Assumed for {gap.key}: {_who(gap)}")


def _who(gap: Gap) -> str:
    each = gap.accepted
    return "" if each is None else f"{each.assumed} ({each.by}{f', {each.on}' if each.on else ''})."


def gap_list(found: Findings, listed: tuple[Gap, ...]) -> Iterator[str]:
    """Give gaps with question, easiest way and consequence."""
    still = [gap for gap in listed if gap.accepted is None]
    yield f"{found.case}: {_counted(len(still), 'gap')} open" + (
        "." if found.ready(Level.MAKE) else ", ready to quote." if found.ready(Level.QUOTE) else "."
    )
    for number, gap in enumerate(still, start=1):
        yield ""
        yield _wrapped(f"{number}. {_sentence(gap.title)} [{gap.key}, {_LEVELS[gap.level]}]")
        yield _wrapped(f"Ask: {gap.question}", "   ")
        yield _wrapped(f"Easiest: {gap.easiest}", "   ")
        yield _wrapped(f"If assumed: {gap.consequence}", "   ")
    cautions = dict.fromkeys(gap.caution for gap in still if gap.caution)
    for caution in cautions:
        yield ""
        yield _wrapped(f"Caution: {caution}")
    for gap in listed:
        if gap.accepted is not None:
            yield ""
            yield _wrapped(f"Assumed for {gap.key}: {_who(gap)}")


def _chain(found: Findings) -> Iterator[str]:
    known, base = found.identity, found.base
    if base is not None:
        sure = "" if base.probability is None else f"; the evidence gives it {odds(base.probability)}"
        yield _wrapped(
            f"Chain: {base.designation}, {base.words if base.settled_by == 'a person' else 'by evidence'}{sure}."
        )
        if base.trust:
            yield _wrapped(f"Its figures: {base.trust}.", "  ")
    elif known is None:
        yield "Chain: nothing is known of it yet."
    else:
        listed = [f"{each.designation} {odds(each.probability)}" for each in known.candidates[:_FEW]]
        yield _wrapped(f"Chain: open. {'; '.join(listed)}; none of those in the tables {odds(known.unlisted)}.")
    for wheel in found.wheels:
        yield _wrapped(f"{_sentence(wheel.words)}.", "  ")


def _attachments(found: Findings) -> Iterator[str]:
    for i, each in enumerate(found.attachments, start=1):
        yield _wrapped(f"Attachment {i}: {each.words.rstrip('.')}.")
    spaced, carried = found.spacing, found.pattern
    if spaced is not None:
        best = spaced.spacing[0]
        gaps = f"{', '.join(map(str, spaced.repeat))} pitches in turn" if spaced.repeat else ""
        one = f"{_counted(best.pitches, 'pitch', 'pitches')}, {odds(best.probability)}"
        yield _wrapped(f"Spacing: {gaps or one}.")
    if carried is not None:
        yield _wrapped(f"Pattern: {carried.notation}, {carried.words}.")
        if carried.closing is not None:
            yield _wrapped(f"{carried.closing.words}.", "  ")


def _strand(found: Findings) -> Iterator[str]:
    table = found.made
    if table is not None:
        yield from strand_lines(table)


def strand_lines(table: StrandTable) -> Iterator[str]:
    """Give the strands to be made."""
    makeup = table.makeup
    length = "" if table.length_mm is None else f", {show_length(table.length_mm)}"
    yield _wrapped(f"Strands: {makeup.strands}, {makeup.strand.ends}, each of {makeup.strand.pitches} pitches{length}.")
    yield _wrapped(f"Links of one: {counts_in_words(table.counts)}.", "  ")
    if len(table.sections) > 1:
        yield _wrapped(f"Sections: {', '.join(map(str, table.sections[:12]))} pitches.", "  ")
    yield _wrapped(f"Joined at {'; '.join(table.joints[:4])}.", "  ") if table.joints else "  Not joined."
    if table.mass_kg is not None:
        yield _wrapped(f"Mass of one: {show_mass(table.mass_kg)}.", "  ")
    if table.strength_with_offset_kn is not None:
        low, high = (show_force(1000.0 * each) for each in table.strength_with_offset_kn)
        yield _wrapped(f"With an offset link a strength of {low} to {high} is left (from memory).", "  ")
    if table.length_limits_mm is not None:
        low, high = (show_length(each) for each in table.length_limits_mm)
        yield _wrapped(f"New, {low} to {high}: {table.tolerance}.", "  ")
    else:
        yield _wrapped(f"Length tolerance: {table.tolerance}.", "  ")
    yield _wrapped(f"{_sentence('; '.join(table.words))}.", "  ")


def counts_in_words(counts: LinkCounts) -> str:
    """Give the links by kind.

    >>> counts_in_words(LinkCounts(plain_inner=2, connecting=1))
    '2 plain inner, 1 connecting'
    """
    return ", ".join(f"{n} {words}" for name, words in _COUNTS.items() if (n := getattr(counts, name)))


def _features(found: Findings) -> Iterator[str]:
    told = [each for each in found.features if each.state is not State.NOT_ASKED]
    for each in told:
        source = ", ".join(part for part in (each.how, each.by, each.on) if part)
        value = f" {each.value}" if each.value else ""
        yield _wrapped(
            f"{_sentence(each.label)} of the {each.part}: {each.state}{value}{f' ({source})' if source else ''}."
        )


def _duty(found: Findings) -> Iterator[str]:
    for name, result in found.duty.items():
        yield _wrapped(f"Duty, {name}: {result.title}{_main(result)}.")


def _main(result: Result) -> str:
    first = result.values[0] if result.values else None
    if first is None:
        return ""
    amount = f"{first.amount:.6g}" if isinstance(first.amount, float) else str(first.amount)
    return f"; {first.label} {amount} {first.unit}".rstrip()


def _records(found: Findings) -> Iterator[str]:
    for each in found.records:
        read = "; ".join(f"{item.field} {item.value}".replace("_", " ") for item in each.read.items)
        yield _wrapped(f"Record{f' ({each.where})' if each.where else ''}: {read or 'nothing was read'}.")


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "   ")
