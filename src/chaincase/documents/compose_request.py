"""From the findings of a case to the request: figure, sizes, attachments, spacing, strands, features, duty."""

from collections.abc import Iterator
from dataclasses import fields
from typing import Final

from chaincase.case.findings import Findings
from chaincase.case.form import Case
from chaincase.case.found import AttachmentFinding, StrandTable
from chaincase.catalog.describe import describe
from chaincase.catalog.provenance import origin_of
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.attachments import BY_NAME as ATTACHMENT
from chaincase.chains.kinds import Links
from chaincase.documents.amounts import shown
from chaincase.documents.compose_drawings import Drawn, attachment_figures, best_code, spacing_drawn
from chaincase.documents.dossier_parts import (
    AttachmentPart,
    DutyPart,
    FeatureRow,
    Picture,
    RequestRow,
    SizeRow,
    SourceRow,
    StrandRow,
)
from chaincase.documents.duty_charts import charts_of
from chaincase.errors import BadInput
from chaincase.makeup.strands import Ends, LinkCounts
from chaincase.units import show_length, show_mass

_LIMIT: Final = {Limit.NOMINAL: "", Limit.MAXIMUM: "at most", Limit.MINIMUM: "at least"}
_TRUST: Final = {
    Trust.TWO_SOURCES: "two sources",
    Trust.ONE_SOURCE: "one source",
    Trust.MEMORY: "from memory, to be confirmed",
    Trust.USER: "from a table of your own",
    Trust.NONE: "",
}
_KNOWN: Final = "as measured"


def request_rows(case: Case, found: Findings) -> Iterator[RequestRow]:
    """Give the request in short, one line for each thing that an order must name; what is open stays empty."""
    base, made = found.base, found.made
    yield RequestRow("Chain", base.designation if base else "", _places(base.rests_on, base.words) if base else "")
    if base and base.pitch_mm:
        yield RequestRow("Pitch", show_length(base.pitch_mm), f"table {base.table}" if base.table else "")
    yield RequestRow("Attachments", _attachments_in_short(found), _attachment_basis(case, found))
    yield _pattern_row(found)
    yield _strand_row(case, found)
    yield RequestRow("Length of a strand", _length(made), _basis_of_length(case, found))
    if made is not None:
        yield RequestRow("Length tolerance", _tolerance(made), made.tolerance)
        yield RequestRow("Matching", _matching(made), "one public practice" if made.matched_within_mm else "")
    spares = str(case.quantity.spares) if case.quantity.spares != "" else ""
    bought = f"{case.quantity.strands} strands" if case.quantity.strands else ""
    yield RequestRow("Quantity to buy", ", ".join(part for part in (bought, spares) if part), case.quantity.note)


def _places(rests: tuple[str, ...], words: str = "") -> str:
    """Say on what something rests; many places are counted, not named."""
    if words:
        return words
    return ", ".join(rests) if len(rests) <= 3 else f"{len(rests)} entries of the case, from {rests[0]}"


def _attachment_basis(case: Case, found: Findings) -> str:
    if not found.attachments:
        return f"plain: {case.plain.by}" if case.plain is not None else ""
    who = {", ".join(part for part in (each.observed.by, each.observed.on) if part) for each in found.attachments}
    return "seen and measured" + "".join(f" by {each}" for each in sorted(who) if each)


def _attachments_in_short(found: Findings) -> str:
    return "; ".join(title_of(each) for each in found.attachments)


def title_of(each: AttachmentFinding) -> str:
    """Give what an attachment is, in a few words."""
    seen = each.observed
    code = seen.code or best_code(each)
    form = str(getattr(seen, "form_seen", seen.form) or "")
    parts = [f"{form} attachment" if form and form != "unknown" else "attachment"]
    parts += [f"on {seen.link} links"] if seen.link not in {"", "unknown"} else []
    parts += [f"{seen.sides} side{'s' if seen.sides == 'both' else ''}"] if seen.sides not in {"", "unknown"} else []
    parts += [f"{seen.holes} hole{'' if seen.holes == 1 else 's'} a side"] if seen.holes is not None else []
    words = ", ".join(parts)
    return f"{code}: {words}" if code else words[:1].upper() + words[1:]


def _pattern_row(found: Findings) -> RequestRow:
    if found.pattern is None:
        return RequestRow("Spacing", "", "")
    words = f"{found.pattern.notation}: {_pattern_in_words(found)}"
    return RequestRow("Spacing", words, found.pattern.words)


def _pattern_in_words(found: Findings) -> str:
    pattern = found.pattern.pattern if found.pattern else None
    if pattern is None:
        return ""
    pitch = found.base.pitch_mm if found.base else None
    gaps = sorted(set(pattern.gaps))
    if len(gaps) == 1:
        length = f", {show_length(gaps[0] * pitch)}" if pitch else ""
        return f"every {gaps[0]} pitches{length}" if gaps[0] > 1 else f"every pitch{length}"
    return f"gaps of {' and '.join(map(str, gaps))} pitches, repeating after {pattern.length}"


def _strand_row(case: Case, found: Findings) -> RequestRow:
    number = found.made.makeup.strands if found.made else case.strands.number
    if number is None:
        return RequestRow("Strands", "")
    hands = str(found.made.makeup.hands) if found.made else str(case.strands.hands or "")
    ends = str(found.made.makeup.strand.ends) if found.made else str(case.strands.ends or "")
    matched = "matched" if case.strands.matched else ""
    return RequestRow("Strands", ", ".join(part for part in (str(number), hands, ends, matched) if part))


def _length(made: StrandTable | None) -> str:
    if made is None:
        return ""
    nominal = f", {show_length(made.length_mm)}" if made.length_mm is not None else ""
    return f"{made.makeup.strand.pitches} pitches{nominal}"


def _basis_of_length(case: Case, found: Findings) -> str:
    if case.strands.pitches is not None:
        return "settled in the case"
    seen = sum(place.startswith("strands.") for place in found.rests_on.get("strand", ()))
    return f"{seen} observation{'' if seen == 1 else 's'} of the strand" if found.made is not None and seen else ""


def _tolerance(made: StrandTable) -> str:
    if made.length_limits_mm is None:
        return "to be agreed"
    low, high = made.length_limits_mm
    return f"{show_length(low)} to {show_length(high)} for a new strand, under the standard's measuring load"


def _matching(made: StrandTable) -> str:
    if not made.makeup.matched:
        return "not asked for"
    within = made.matched_within_mm
    return f"matched within {show_length(within)}, tagged in pairs" if within is not None else "matched, to be agreed"


def sizes(found: Findings, catalog: Catalog) -> Iterator[SizeRow]:
    """Give the dimensions of the settled chain, with limit and source of each figure."""
    if found.base is None or found.base.row is None:
        return
    for each in describe(catalog, found.base.row):
        limit, value = _LIMIT[each.limit], show_length(each.value)
        yield SizeRow(each.dimension.letter, each.dimension.label, value, limit, _TRUST[each.trust])


def attachment_parts(found: Findings, catalog: Catalog) -> tuple[AttachmentPart, ...]:
    """Give each attachment with its figure and sizes."""
    drawn = attachment_figures(found, catalog)
    return tuple(_attachment_part(*pair) for pair in zip(found.attachments, drawn, strict=True))


def _attachment_part(each: AttachmentFinding, drawn: Drawn | None) -> AttachmentPart:
    answer = each.answer
    rows = [
        SizeRow(size.letter, size.label, show_length(size.value_mm), "", _KNOWN)
        for size in answer.dimensions
        if size.dimension != "angle_deg"
    ]
    missing = tuple(size.question or ATTACHMENT[size.dimension].label for size in answer.missing)
    words = (each.words, *_likely(each))
    return AttachmentPart(title_of(each), words, tuple(rows), missing, drawn.picture if drawn else None)


def _likely(each: AttachmentFinding) -> Iterator[str]:
    for candidate in each.answer.candidates[:2]:
        if candidate.probability >= 0.05:
            where = ", ".join(part for part in (candidate.standard, f"table {candidate.table}") if part)
            yield f"{candidate.code} {candidate.variant}".strip() + f": {candidate.probability:.0%} ({where})"


def spacing_part(found: Findings) -> tuple[Picture | None, tuple[str, ...]]:
    """Give the diagram over the repeat and what it says; nothing where there is neither pattern nor spacing."""
    if found.pattern is None:
        if found.spacing is None or not found.spacing.spacing:
            return None, ()
        best = found.spacing.spacing[0]
        return None, (f"Likeliest: every {best.pitches} pitches ({best.probability:.0%}). {found.spacing.next}",)
    closing = found.pattern.closing.words if found.pattern.closing is not None else ""
    words = [f"{found.pattern.notation}: {_pattern_in_words(found)}; {found.pattern.words}.", closing and f"{closing}."]
    drawn = spacing_drawn(found)
    return drawn.picture if drawn else None, tuple(word for word in words if word)


LINKS: Final = {
    "plain_inner": "inner links, plain",
    "plain_outer": "outer links, plain",
    "inner_with_attachment": "inner links with attachment",
    "outer_with_attachment": "outer links with attachment",
    "plain_alike": "links, plain",
    "alike_with_attachment": "links with attachment",
    "connecting": "connecting links, plain",
    "connecting_with_attachment": "connecting links with attachment",
    "offset": "offset links, plain",
    "offset_with_attachment": "offset links with attachment",
}


def strand_part(found: Findings) -> tuple[tuple[StrandRow, ...], tuple[str, ...]]:
    """Give the strand table and what must be known about it; nothing until chain and length are there."""
    made = found.made
    if made is None:
        return (), ()
    return tuple(_strand_rows(made)), tuple(_strand_words(made))


def _strand_rows(made: StrandTable) -> Iterator[StrandRow]:
    strands = made.makeup.strands
    yield StrandRow("strands", "1", str(strands))
    for each in fields(LinkCounts):
        one, every = getattr(made.counts, each.name), getattr(made.total, each.name)
        if every:
            yield StrandRow(LINKS[each.name], str(one), str(every))
    yield StrandRow("pitches", str(made.counts.total), str(made.total.total))
    if made.length_mm is not None:
        yield StrandRow("nominal length", show_length(made.length_mm), show_length(made.length_mm * strands))
    if made.mass_kg is not None and made.total_mass_kg is not None:
        yield StrandRow("mass, attachments not counted", show_mass(made.mass_kg), show_mass(made.total_mass_kg))
    if made.makeup.spare_connecting:
        yield StrandRow("spare connecting links", "", str(made.makeup.spare_connecting))
    if made.makeup.spare_offset:
        yield StrandRow("spare offset links", "", str(made.makeup.spare_offset))


def _strand_words(made: StrandTable) -> Iterator[str]:
    strand = made.makeup.strand
    pieces = " + ".join(map(str, made.sections))
    joined = "link" if strand.links is Links.ALIKE else "connecting link"
    if len(made.sections) > 1:
        yield f"Delivered in {len(made.sections)} sections of {pieces} pitches, each ending in a {joined}."
    if made.joints and strand.ends is Ends.ENDLESS:
        yield f"Joined at {'; '.join(made.joints)}."
    for name, number, pattern in made.makeup.kinds_of_strand():
        if name != "all alike" and pattern is not None:
            yield f"{number} {name} strand{'' if number == 1 else 's'}; left and right mirror each other."
    yield from (f"{word[:1].upper()}{word[1:].rstrip('.')}." for word in made.words)


def feature_rows(found: Findings) -> Iterator[FeatureRow]:
    """Give each feature that does not show, with who says so and how."""
    for each in found.features:
        who = ", ".join(part for part in (each.by, each.on) if part)
        yield FeatureRow(each.label, str(each.part), str(each.state), each.value, who, each.how)


_TITLES: Final = {
    "length": "Chain length", "pull": "Conveyor pull", "drive": "Drive", "wear": "Wear", "verdict": "Verdict",
}  # fmt: skip


def duty_parts(found: Findings) -> Iterator[DutyPart]:
    """Give the values of each check of what the chain does, with its assumptions and warnings."""
    for place, result in found.duty.items():
        values = tuple((value.label, shown(value.amount, value.unit), value.note) for value in result.values)
        title = f"{_place_in_words(place)}: {result.title}"
        pictures = tuple(Picture(each.svg, each.caption) for each in charts_of(place, result) if not each.folded)[:1]
        yield DutyPart(title, values, result.assumptions, result.warnings, pictures)


def _place_in_words(place: str) -> str:
    """Give the name of a question about a duty as a person counts.

    >>> _place_in_words("sprockets[0]"), _place_in_words("pull")
    ('Sprocket 1', 'Conveyor pull')
    """
    if place.startswith("sprockets["):
        return f"Sprocket {int(place[10:-1]) + 1}"
    return _TITLES.get(place, place)


def further_sources(found: Findings) -> Iterator[SourceRow]:
    """Give the sources beside the tables of chains: attachments, length tolerance, methods."""
    named: dict[str, None] = {}
    for each in found.attachments:
        for candidate in each.answer.candidates[:1]:
            if candidate.table not in named:
                named[candidate.table] = None
                yield _attachment_source(candidate.table, candidate.standard)
    if found.made is not None and found.made.tolerance:
        yield SourceRow("length tolerance", "", found.made.tolerance)
    for place, result in found.duty.items():
        for source in result.sources:
            yield SourceRow(_place_in_words(place), source, "")


def _attachment_source(table: str, standard: str) -> SourceRow:
    try:
        origin = origin_of(table).source
    except BadInput:
        return SourceRow(table, standard, "")
    return SourceRow(table, standard or origin.standard, origin.evidence)
