"""How long the strands are, and what must be made for them."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Final

from chaincase.case.form import Case
from chaincase.case.found import Base, PatternFinding, Rests, StrandTable, percent
from chaincase.chains.kinds import Links
from chaincase.chains.matching import matched_within
from chaincase.duty.result import Result
from chaincase.errors import BadInput
from chaincase.identifying.identification import SETTLED
from chaincase.makeup.lengths import drawn_length, offset_links, strength_with_offset_link
from chaincase.makeup.observations import Counted, Taped
from chaincase.makeup.strand_length import LengthOdds, strand_length
from chaincase.makeup.strands import Ends, Hands, Makeup, Strand, count_links, joints, joints_in_words, sections
from chaincase.makeup.tolerances import new_length_limits
from chaincase.units import parse_length

_UNLIKELY: Final = 0.05

_TOLERANCES: Final = {
    "roller": "short pitch",
    "bush": "short pitch",
    "double pitch": "double pitch",
    "agricultural": "agricultural",
    **dict.fromkeys(("conveyor bush", "conveyor roller", "conveyor flanged"), "conveyor"),
    **dict.fromkeys(("hollow pin bush", "hollow pin roller", "hollow pin flanged"), "conveyor"),
}
"""Kinds whose standard gives a length tolerance that was read (`makeup.tolerances`)."""


@dataclass(frozen=True, slots=True)
class Length:
    """A number of pitches, whether it is settled, where it is from, and what it rests on."""

    pitches: int
    settled: bool
    words: str
    rests_on: Rests


def odds(
    case: Case,
    base: Base | None,
    links: Links,
    carried: PatternFinding | None,
    grown: tuple[float, float | None] | None,
) -> tuple[LengthOdds | None, Rests, list[str]]:
    """Give the odds of the number of pitches, what they rest on, and what keeps them from being told."""
    seen: list[Counted | Taped] = [one for each in case.strands.observations for one in each.observations()]
    if not seen:
        return None, (), []
    places = tuple(f"strands.observations[{i}]" for i in range(len(case.strands.observations)))
    pitch = None if base is None else base.pitch_mm
    own = carried.pattern if carried is not None and carried.pattern.links is links else None
    try:
        found = strand_length(seen, links, pitch_mm=pitch, elongation=grown, pattern=own)
    except BadInput as fault:
        return None, places, [f"{places[0]}: {fault}"]
    return found, (*places, "base") if pitch is not None else places, []


def length(case: Case, base: Base | None, links: Links, found: LengthOdds | None, over: Result | None) -> Length | None:
    """Give the length to go by: settled, likeliest by observation, drawn, or over the sprockets; None without any."""
    part = case.strands
    if part.pitches is not None:
        return Length(part.pitches, True, f"settled at {part.pitches} pitches", ("strands.pitches",))
    if found is not None:
        number, chance = found.pitches[0]
        settled = chance >= SETTLED and not found.contradictions
        return Length(number, settled, f"observed, {percent(chance)} sure of {number} pitches", ("strand",))
    if part.drawn is not None and base is not None and base.pitch_mm is not None:
        return _drawn(parse_length(part.drawn).mm(), base.pitch_mm, links)
    if over is not None and "pitches" in over:
        number = int(over.number("pitches"))
        return Length(number, False, f"{number} pitches over the sprockets as worked out", ("duty.length",))
    return None


def _drawn(mm: float, pitch_mm: float, links: Links) -> Length | None:
    try:
        drawn = drawn_length(mm, pitch_mm, links)
    except BadInput:
        return None
    left = "" if drawn.is_whole else f", {drawn.left_mm:+.1f} mm is left over"
    return Length(max(drawn.pitches, 2), drawn.is_whole, f"{drawn.pitches} pitches as drawn{left}", ("strands.drawn",))


def made(
    case: Case, base: Base | None, links: Links, carried: PatternFinding | None, long: Length | None
) -> tuple[StrandTable | None, list[str]]:
    """Give what must be made, and what of it cannot be; None until there is a length."""
    if long is None:
        return None, []
    part = case.strands
    own = carried.pattern if carried is not None and carried.pattern.links is links else None
    try:
        strand = Strand(
            long.pitches, links, own, part.ends or Ends.ENDLESS, _section_most(case, long.pitches, links),
            None if base is None else base.pitch_mm, None if base is None else base.mass_kg_per_m,
        )  # fmt: skip
        makeup = _makeup(case, strand)
    except BadInput as fault:
        return None, [f"the strand cannot be made so: {fault}"]
    return _table(case, base, makeup, long), []


def _section_most(case: Case, pitches: int, links: Links) -> int | None:
    """Give the longest piece: as somebody said, else so that the strand has the connecting links that were asked."""
    part = case.strands
    if part.section_most is not None or not part.connecting_links:
        return part.section_most
    step = 2 if links is Links.ALTERNATE else 1
    return max(step * ceil(pitches // step / part.connecting_links) + pitches % step, 2)


def _makeup(case: Case, strand: Strand) -> Makeup:
    part = case.strands
    number = case.quantity.strands or part.number or 1
    return Makeup(
        strand, number, part.hands or Hands.ALIKE, bool(part.matched), part.spare_links or 0
    )  # spare strands are bought with the order, but are strands of their own


def _table(case: Case, base: Base | None, makeup: Makeup, long: Length) -> StrandTable:
    strand, counts = makeup.strand, count_links(makeup.strand)
    offset = offset_links(strand.pitches, strand.links) if strand.ends is Ends.ENDLESS else 0
    strength = None if base is None else base.tensile_kn
    limits, tolerance = _limits(case, base, strand)
    mm, number = strand.length_mm, makeup.strands + (case.strands.spare_strands or 0)
    return StrandTable(
        makeup=makeup,
        counts=counts,
        total=counts.times(number),
        sections=sections(strand),
        joints=tuple(joints_in_words(strand)),
        length_mm=mm,
        mass_kg=strand.mass_kg,
        total_mass_kg=None
        if strand.mass_kg is None
        else strand.mass_kg * (makeup.strands + (case.strands.spare_strands or 0)),
        offset_links=offset,
        strength_with_offset_kn=strength_with_offset_link(strength) if offset and strength else None,
        length_limits_mm=limits,
        tolerance=tolerance,
        matched_within_mm=matched_within(mm) if mm is not None and makeup.matched else None,
        settled=long.settled,
        words=(long.words, *_words(case, makeup, offset)),
        rests_on=long.rests_on,
    )


def _limits(case: Case, base: Base | None, strand: Strand) -> tuple[tuple[float, float] | None, str]:
    asked = case.strands.length_tolerance
    name = None if base is None else _TOLERANCES.get(base.kind)
    if asked:
        return None, f"as asked: {asked}"
    if name is None or strand.length_mm is None:
        return None, "no figure of a standard was read for this kind of chain; it belongs in the request"
    limits = new_length_limits(strand.length_mm, name, attachments=strand.pattern is not None)
    return limits, f"standard tolerance for {name} chain" if limits else f"no figure was read for {name} chain"


def _words(case: Case, makeup: Makeup, offset: int) -> Iterator[str]:
    if offset:
        yield "an odd number of pitches needs an offset link, which weakens the strand"
    asked, joined = case.strands.connecting_links, len(joints(makeup.strand))
    if makeup.strand.ends is Ends.INNER and asked == joined + 1:
        yield "one connecting link goes loose with it, to close it"
    elif asked is not None and asked != joined:
        links = f"{joined} connecting link{'s' if joined != 1 else ''}"
        yield f"by its ends and pieces it has {links}, not {asked} as told"
    if case.strands.ends is None:
        yield "taken as endless, because nobody said how the strands end"
    if makeup.strand.mass_kg is not None and makeup.strand.pattern is not None:
        yield "the mass is that of the base chain; attachments come on top"


def length_conflicts(case: Case, found: LengthOdds | None) -> Iterator[str]:
    """Say what cannot both be true of the length; a person settled it where `pitches` is given."""
    settled = case.strands.pitches
    if found is not None and settled is None:
        yield from found.contradictions
    if found is not None and settled is not None and dict(found.pitches).get(settled, 0.0) < _UNLIKELY:
        yield f"{settled} pitches were settled, but {found.pitches[0][0]} were observed"
