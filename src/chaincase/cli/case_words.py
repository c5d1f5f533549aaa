"""A case in words that can be read aloud: findings, gaps, and what a change brought."""

import textwrap
from collections.abc import Iterable, Iterator

from chaincase.case.form import Case
from chaincase.case.found import Findings, StrandTable
from chaincase.case.gap import Gap
from chaincase.chains.feature_states import State
from chaincase.chains.features import Level
from chaincase.chains.field_checks import LOCKED_OUT
from chaincase.cli.case_duty import duty_in_short, duty_lines
from chaincase.cli.read import item_in_words
from chaincase.cli.words import odds
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
    for part in (_chain, _attachments, _strand, _features, duty_lines, _records):
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
    strands = () if found.made is None else strand_lines(found.made)
    for line in (*_attachments(found), *strands, *_features_in_short(found), *duty_in_short(found)):
        yield textwrap.indent(line, "  ")
    for words in found.conflicts:
        yield _wrapped(f"Conflict: {words}.", "  ")
    yield from gap_summary(found, most=_FEW)


def changed(said: Iterable[str], found: Findings, mind: Iterable[str] = ()) -> Iterator[str]:
    """Say what was changed by what was added, what to mind about it, and how many gaps are left."""
    listed = list(said)
    yield "Kept. What that changed:" if listed else "Kept. It changed nothing in the findings."
    for words in listed:
        yield _wrapped(f"- {_sentence(words)}", "  ")
    for words in mind:
        yield _wrapped(f"Mind: {words}.")
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
        yield _wrapped(f"Answer: case add FILE {answer_option(gap.key)}", "   ")
    for caution in _cautions(still):
        yield ""
        yield _wrapped(f"Caution: {caution}")
    if still:
        yield ""
        yield _wrapped(
            'What nobody can find out, a named person may assume: case add FILE --assume "KEY=TEXT" --by NAME'
        )
    for gap in listed:
        if gap.accepted is not None:
            yield ""
            yield _wrapped(f"Assumed for {gap.key}: {_who(gap)}")


def _cautions(listed: Iterable[Gap]) -> Iterator[str]:
    """Give each caution once; what most of them begin with is said alone, before what each adds."""
    told = dict.fromkeys(gap.caution for gap in listed if gap.caution)
    further = dict.fromkeys(words.removeprefix(LOCKED_OUT).strip() for words in told)
    if len(further) < len(told) or any(words.startswith(LOCKED_OUT) for words in told):
        yield LOCKED_OUT
    yield from (words for words in further if words)


_OPTIONS = {
    "identity": '"pitch 24 3/8 in tape over 4" --mark "W?132", or --choose CHAIN --by NAME',
    "identity.figures": '--set "spacing.pitch=4.28 in" and --assume "identity.figures=drawing 4711" --by NAME',
    "attachments": '--attachment "bent, both sides, outer link, 2 holes", or --plain --by NAME',
    "attachments.dimensions": '--attachment "1: width 3 in caliper, fastening=welded", a comma between answers',
    "spacing": '--spacing 12, --spacing "48 1/2 in over 2", --spacing "on outer"',
    "pattern": "--pattern K2@4 --by NAME",
    "closing": '--pattern "K2@4*9, K2@5*9" --by NAME, or --set strands.pitches=240',
    "length": '--strand 240, --strand "36.9 m tape", or --set strands.pitches=240',
    "offset link": '--set strands.pitches=240, or --assume "offset link=one, as on the old strand" --by NAME',
    "strands": "--set strands.number=2",
    "matched": "--set strands.matched=yes",
    "quantity": '--set quantity.strands=2 --set "quantity.spares=2 connecting links"',
    "ends": '--set strands.ends=endless, or --set "strands.ends=inner link at each end"',
    "sections": "--set strands.section_most=60",
    "sprockets": '--wheel "17 teeth, outside diameter 5.95 in caliper, stamped 80B17"',
    "load": "--duty pull.json or --duty drive.json, forms of `chaincase duty`",
    "strength": '--working-load "31 kN"',
    "fits": '--wheel as it is, --candidate CHAIN, or --assume "fits=new wheels come with it" --by NAME',
    "carries": "--duty FILE with the load as it is, or --candidate CHAIN",
    "conflict.identity": "the reading again, or --choose CHAIN --by NAME",
    "conflict.spacing": "--spacing again, or --pattern K2@4 --by NAME",
    "conflict.length": "--set strands.pitches=240",
}
"""How each gap is answered on the command line."""


def answer_option(key: str) -> str:
    """Give the options of `chaincase case add` that answer a gap.

    >>> answer_option("strands"), answer_option("features.coating")
    ('--set strands.number=2', '--feature "coating=..." or --feature coating=none, with --by NAME --how CHECK')
    """
    sort, _, name = key.partition(".")
    if sort == "features":
        return f'--feature "{name}=..." or --feature {name}=none, with --by NAME --how CHECK'
    if key.startswith("conflict.features."):
        return f'--assume "{key}=..." --by NAME, or take one back: case drop FILE "features[0]"'
    return _OPTIONS.get(key) or _OPTIONS.get(key.rstrip("0123456789").rstrip(".")) or f'--assume "{key}=..." --by NAME'


def _chain(found: Findings) -> Iterator[str]:
    known, base = found.identity, found.base
    if base is not None:
        sure = "" if base.probability is None else f"; the evidence gives it {odds(base.probability)}"
        yield _wrapped(
            f"Chain: {base.designation}, {base.words if base.settled_by == 'a person' else 'by evidence'}{sure}."
        )
        if base.trust:
            yield _wrapped(f"Note: {base.trust}.", "  ")
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


def _features_in_short(found: Findings) -> Iterator[str]:
    told = [each for each in found.features if each.state is not State.NOT_ASKED]
    if told:
        words = (f"{each.label} {each.state}{f', {each.value}' if each.value else ''}" for each in told)
        yield _wrapped(f"Features: {'; '.join(words)}.")


def _records(found: Findings) -> Iterator[str]:
    for each in found.records:
        read = "; ".join(item_in_words(item) for item in each.read.items)
        yield _wrapped(f"Record{f' ({each.where})' if each.where else ''}: {read or 'nothing was read'}.")


def _counted(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]


def _wrapped(text: str, indent: str = "") -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "   ")
