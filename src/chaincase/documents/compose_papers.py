"""From a case to its smaller papers: measuring sheet, question letter, sample tag, receiving inspection sheet."""

from collections.abc import Iterator
from datetime import date
from typing import Final

from chaincase.case.findings import Findings
from chaincase.case.form import Case
from chaincase.case.found import StrandTable
from chaincase.case.gap import Gap
from chaincase.catalog.describe import describe
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.field_checks import LOCKED_OUT
from chaincase.documents.compose import heading_of
from chaincase.documents.compose_drawings import attachment_figures, keyed_figure, spacing_drawn
from chaincase.documents.compose_request import LINKS, attachment_parts, title_of
from chaincase.documents.inspection import Check, CheckGroup, Inspection
from chaincase.documents.letter import Figure, Letter, Question
from chaincase.documents.sheet import MeasuringSheet, Units, measuring_sheet
from chaincase.documents.tag import PACK, Tag
from chaincase.drawing.figure import State, figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.units import show_length

_TOUCHES: Final = frozenset({"identity", "attachments", "spacing", "length", "strands", "sprockets"})
"""Gaps that are answered at the machine."""
_AS_ORDERED: Final = "as ordered"


def case_sheet(
    case: Case, found: Findings, day: date, *, kind: str = "", units: Units = "both", address: str = ""
) -> MeasuringSheet:
    """Give the measuring sheet of a case; without a kind that of its likeliest chain.

    Raises
    ------
    BadInput
        If no kind is given and nothing is known of the chain yet.
    """
    asked = frozenset(step.dimension for step in (found.identity.next if found.identity else ()) if step.dimension)
    return measuring_sheet(kind or kind_of(found), heading_of(case, day), asked=asked, units=units, address=address)


def kind_of(found: Findings) -> str:
    """Give the kind of chain that a case is about, as far as it is known.

    Raises
    ------
    BadInput
        If nothing is known yet.
    """
    if found.base is not None and found.base.kind:
        return found.base.kind
    if found.identity is not None and found.identity.candidates:
        return found.identity.candidates[0].kind
    raise BadInput("nothing is known of the chain yet", where=found.case, right="name the kind of chain")


def case_letter(
    case: Case, found: Findings, catalog: Catalog, day: date, *, address: str = "", signed: str = ""
) -> Letter:
    """Give the question letter of a case: every open gap that the customer can answer, the gravest first."""
    questions = tuple(_question(gap, found, catalog) for gap in found.open_gaps if not gap.settles)
    measures = any(gap.key in _TOUCHES or LOCKED_OUT in gap.caution for gap in found.open_gaps)
    return Letter(heading_of(case, day), questions, measures, address, signed)


def _question(gap: Gap, found: Findings, catalog: Catalog) -> Question:
    title = gap.title.split(" (")[0]
    # The letter ends with the full caution; only what is particular to this question stands beside it.
    caution = gap.caution.replace(LOCKED_OUT, "").strip()
    title = title[:1].upper() + title[1:]
    return Question(title, gap.question, gap.easiest, gap.consequence, caution, tuple(_figures(gap, found, catalog)))


def _figures(gap: Gap, found: Findings, catalog: Catalog) -> Iterator[Figure]:
    """Give the small figures that a question needs: letters to measure by, or what the spacing looks like."""
    if gap.key == "identity" and found.identity is not None and found.identity.candidates:
        steps = {step.dimension for step in found.identity.next if step.dimension}
        scene = figure(kind_of(found), {}, title="what to measure", letters=steps or None, state=State.BLANK)
        yield Figure(write_svg(scene), "Where to measure, by letter.")
    elif gap.key.startswith("attachments"):
        for each, drawn in zip(found.attachments, attachment_figures(found, catalog, missing=True), strict=True):
            if drawn is not None and each.answer.missing:
                letters = sorted(size.letter for size in each.answer.missing if size.letter)
                yield Figure(drawn.picture.svg, f"Asked for: {', '.join(letters)}." if letters else drawn.caption)
    elif gap.key == "spacing" and found.pattern is not None and (drawn := spacing_drawn(found)) is not None:
        yield Figure(drawn.picture.svg, "As we understand it so far.")


def case_tag(case: Case, found: Findings, day: date, *, address: str = "", send_to: str = "") -> Tag:
    """Give the sample tag of a case."""
    carries = bool(found.attachments)
    pack = tuple(each for each in PACK if carries or "attachment" not in each) or PACK
    return Tag(heading_of(case, day), PACK if carries else pack, address, send_to)


def case_inspection(case: Case, found: Findings, catalog: Catalog, day: date) -> Inspection:
    """Give the receiving inspection sheet of a case."""
    drawn = keyed_figure(found, catalog)
    groups = (
        CheckGroup("Identity and make-up", tuple(_makeup_checks(found))),
        CheckGroup("Length", tuple(_length_checks(found.made)) if found.made else ()),
        CheckGroup("Dimensions", tuple(_dimension_checks(found, catalog))),
        CheckGroup("Attachments", tuple(_attachment_checks(found, catalog))),
        CheckGroup("What cannot be seen", tuple(_feature_checks(found))),
    )
    return Inspection(
        heading=heading_of(case, day),
        chain=found.base.designation if found.base else "",
        groups=tuple(group for group in groups if group.checks),
        figure=drawn.picture.svg if drawn and found.base else "",
        sources=tuple(_sources(found, catalog)),
        open=tuple(gap.title.split(" (")[0] for gap in found.open_gaps),
    )


def _makeup_checks(found: Findings) -> Iterator[Check]:
    if found.base is not None:
        yield Check("", "marking on the bars", found.base.designation, "or as confirmed", 0)
    made = found.made
    if made is None:
        return
    yield Check("", "strands", str(made.makeup.strands), "number as ordered")
    yield Check("", "pitches of each strand", str(made.makeup.strand.pitches), "number as ordered", 2)
    for name, words in LINKS.items():
        each = getattr(made.counts, name)
        if each and ("attachment" in name or name.startswith(("connecting", "offset"))):
            yield Check("", f"{words}, each strand", str(each), "number as ordered", 2)
    if made.makeup.spare_connecting:
        yield Check("", "spare connecting links", str(made.makeup.spare_connecting), "number as ordered")
    if found.pattern is not None:
        yield Check("", "spacing of the attachments", found.pattern.notation, "every link, both sides", 0)
    yield Check("", "ends", str(made.makeup.strand.ends), "as ordered", 0)


def _length_checks(made: StrandTable) -> Iterator[Check]:
    if made.length_mm is None:
        return
    nominal, limits = made.length_mm, made.length_limits_mm
    yield Check("", "each strand, under measuring load", show_length(nominal), _limits(limits), 2)
    if len(made.sections) > 1:
        part = max(made.sections) / made.makeup.strand.pitches
        scaled = None if limits is None else (limits[0] * part, limits[1] * part)
        what = f"a section of {max(made.sections)} pitches"
        yield Check("", what, show_length(nominal * part), _limits(scaled), 3)
    if made.makeup.matched:
        within = made.matched_within_mm
        words = "to be agreed" if within is None else f"at most {show_length(within)} between strands"
        yield Check("", "matching: longest less shortest strand", "matched, tagged", words)


def _limits(limits: tuple[float, float] | None) -> str:
    """Print limits of a length so that rounding does not move them."""
    if limits is None:
        return "no figure of the standard was read: as agreed"
    return f"{_exact(limits[0])} to {_exact(limits[1])}"


def _exact(mm: float) -> str:
    return f"{mm:.1f} mm ({mm / 25.4:.2f} in)"


def _dimension_checks(found: Findings, catalog: Catalog) -> Iterator[Check]:
    if found.base is None or found.base.row is None:
        return
    words = {Limit.MAXIMUM: "at most this", Limit.MINIMUM: "at least this", Limit.NOMINAL: "tolerance as agreed"}
    for each in describe(catalog, found.base.row):
        trust = "; figure from memory" if each.trust is Trust.MEMORY else ""
        name = each.dimension
        yield Check(name.letter, name.label, show_length(each.value), words[each.limit] + trust, 2)


def _attachment_checks(found: Findings, catalog: Catalog) -> Iterator[Check]:
    for number, part in enumerate(attachment_parts(found, catalog), start=1):
        yield Check("", f"attachment {number}: shape and side", title_of(found.attachments[number - 1]), _AS_ORDERED, 0)
        for size in part.sizes:
            yield Check(size.letter, size.label, size.value, "tolerance as agreed", 2)


def _feature_checks(found: Findings) -> Iterator[Check]:
    for each in found.features:
        if str(each.state) in {"reported", "observed"}:
            yield Check("", f"{each.label}, {each.part}", each.value, "certificate or check", 0)
        elif str(each.state) == "ruled out":
            yield Check("", f"{each.label}, {each.part}", "none", "not there", 0)
    for gap in found.gaps:
        if gap.accepted is not None:
            yield Check(
                "", gap.title.split(" (")[0], gap.accepted.assumed, f"assumed, accepted by {gap.accepted.by}", 0
            )


def _sources(found: Findings, catalog: Catalog) -> Iterator[str]:
    if found.base is not None:
        for source in catalog.sources:
            if source.name == found.base.table:
                yield f"Dimensions: {source.standard}, table {source.name}"
    if found.made is not None:
        yield f"Length tolerance: {found.made.tolerance}"
        if found.made.matched_within_mm is not None:
            yield "Matching: one public practice; no standard gives a figure"
