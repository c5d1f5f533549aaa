"""What must hold for every spacing, pattern and strand."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chaincase.chains.kinds import Links
from chaincase.makeup.contradictions import allows
from chaincase.makeup.forms import SpacingEvidence
from chaincase.makeup.hypotheses import Growth, Pitch, growth_of
from chaincase.makeup.lengths import converted, length_of, pitches_in, whole_length
from chaincase.makeup.likelihood import taped_total
from chaincase.makeup.notation import parse_pattern, print_pattern
from chaincase.makeup.observations import OnLinks, Taped, Where
from chaincase.makeup.patterns import Pattern, Sides, constant, in_gaps
from chaincase.makeup.spacing import spacing
from chaincase.makeup.strand_length import counted_strand, strand_length, taped_strand
from chaincase.makeup.strands import Ends, Strand, count_links, joints, lay, sections
from chaincase.makeup.tiling import closing, laid
from chaincase.makeup.tolerances import match_pieces
from chaincase.measuring.growth import Link

UNITS = ["mm", "cm", "m", "in", "ft"]
few = settings(max_examples=25, deadline=None)
"""For what reckons with a whole grid of spacings."""

spacings = st.integers(1, 60)
pitches = st.sampled_from([9.525, 25.4, 66.27, 101.6, 160.0, 228.6])
elongations = st.floats(0.0, 0.06)
counted = st.builds(lambda n, g: {"counted": n * g, "gaps": g}, spacings, st.integers(1, 6))
taped = st.builds(lambda mm, g: {"taped": f"{mm} mm", "gaps": g}, st.integers(50, 6000), st.integers(1, 5))
pieces = st.integers(1, 15).flatmap(
    lambda n: st.builds(
        lambda at: {"sample_links": n, "attachments_at": sorted(at)}, st.sets(st.integers(1, n), max_size=n)
    )
)
parities = st.sampled_from([{"on_links": word} for word in ("inner", "outer", "both")])
observations = st.lists(st.one_of(counted, taped, pieces, parities), max_size=6)


@st.composite
def patterns(draw: st.DrawFn) -> Pattern:
    gaps = draw(st.lists(st.integers(1, 9), min_size=1, max_size=6))
    part = st.tuples(st.sampled_from(["K1", "K2", "A1", "F4-X"]), st.sampled_from(list(Sides)))
    place = st.one_of(part.map(lambda one: [one]), st.just([("A1", Sides.LEFT), ("A2", Sides.RIGHT)]))
    places = draw(st.lists(place, min_size=len(gaps), max_size=len(gaps)))
    link = draw(st.sampled_from([Link.OUTER, Link.INNER, Link.OFFSET]))
    return in_gaps(places, gaps, link, draw(st.integers(0, 5)))


@st.composite
def strands(draw: st.DrawFn) -> Strand:
    pattern = draw(st.none() | patterns())
    links = draw(st.sampled_from(Links)) if pattern is None else pattern.links
    ends = draw(st.sampled_from(Ends))
    number = draw(st.integers(2, 300))
    if links is Links.ALTERNATE and ends is Ends.OPEN:
        number += number % 2
    if links is Links.ALTERNATE and ends in {Ends.INNER, Ends.OUTER}:
        number += 1 - number % 2
    return Strand(number, links, pattern, ends, draw(st.none() | st.integers(2, 60)))


def answered(seen: list[dict[str, Any]], **evidence: Any) -> Any:
    return spacing(SpacingEvidence.of({**evidence, "observations": seen}))


@few
@given(
    observations, st.none() | pitches, st.none() | elongations, st.sampled_from([[], ["roller"], ["offset sidebar"]])
)
def test_spacings_are_whole_and_their_probabilities_add_to_one(
    seen: list[dict[str, Any]], pitch: float | None, elongation: float | None, construction: list[str]
) -> None:
    answer = answered(
        seen, pitch=None if pitch is None else f"{pitch} mm", elongation=elongation, construction=construction
    )
    assert all(isinstance(each.pitches, int) and each.pitches >= 1 for each in answer.spacing)
    assert math.isclose(math.fsum(each.probability for each in answer.spacing), 1.0)
    assert [each.probability for each in answer.spacing] == sorted(
        (e.probability for e in answer.spacing), reverse=True
    )
    assert 0.0 <= answer.constant <= 1.0
    assert 0.0 <= answer.even <= 1.0 + 1e-12
    assert answer.next
    assert all(step.gain_bits >= 0.0 for step in answer.next_steps)
    entries = {index for pair in answer.contradicting for index in pair}
    assert entries <= set(range(len(seen)))


@few
@given(observations, pitches, st.randoms())
def test_the_order_of_observations_does_not_matter(seen: list[dict[str, Any]], pitch: float, chance: Any) -> None:
    other = list(seen)
    chance.shuffle(other)
    first, second = (answered(each, pitch=f"{pitch} mm") for each in (seen, other))
    for one, two in zip(first.spacing[:3], second.spacing[:3], strict=True):
        assert math.isclose(one.probability, two.probability, rel_tol=1e-6)
    assert len(first.contradictions) == len(second.contradictions)


@few
@given(spacings, st.integers(1, 4), pitches, elongations)
def test_a_taped_spacing_comes_back(k: int, gaps: int, pitch: float, elongation: float) -> None:
    assume(k * pitch < 6000)
    length = k * gaps * pitch * (1.0 + elongation)
    answer = answered([{"taped": f"{length:.1f} mm", "gaps": gaps}], pitch=f"{pitch} mm", elongation=elongation)
    assert abs(answer.spacing[0].pitches - k) <= (0 if k * 0.002 < 0.15 else 1)


@given(st.integers(100, 4000), st.integers(1, 4), pitches, elongations, elongations)
def test_more_wear_given_never_makes_the_taped_spacing_larger(
    mm: int, gaps: int, pitch: float, one: float, other: float
) -> None:
    tape = SpacingEvidence.of({"observations": [{"taped": f"{mm} mm", "gaps": gaps}]}).parsed()[0]
    assert isinstance(tape, Taped)
    likeliest = []
    for elongation in sorted((one, other)):
        growth = growth_of((elongation, None))
        density = (
            taped_total(tape, np.arange(1, 600) * gaps, Pitch(None, pitch, 0.0, 1.0), growth) @ growth.probabilities
        )
        # A tape that is no whole number of pitches says nothing but that it was not laid right.
        assume(density.max() > 2 * density.min())
        likeliest.append(int(np.argmax(density)) + 1)
    assert likeliest[1] <= likeliest[0]


@few
@given(spacings, st.sampled_from(["inner", "outer"]))
def test_one_kind_of_link_shifts_towards_even_and_both_towards_odd(k: int, word: str) -> None:
    plain = answered([{"counted": k}])
    assert answered([{"counted": k}, {"on_links": word}]).even >= plain.even - 1e-12
    assert answered([{"counted": k}, {"on_links": "both"}]).even <= plain.even + 1e-12


@given(st.integers(1, 40), st.integers(1, 40))
def test_where_attachments_lie_agrees_with_what_parity_allows(k: int, repeats: int) -> None:
    """The pattern laid link by link shows on which links attachments are; parity must allow that spacing."""
    kinds = {link.link for link in laid(constant(k), 2 * k * repeats, Links.ALTERNATE) if link.carries}
    where = Where.BOTH if len(kinds) == 2 else Where.OUTER
    allowed = allows(OnLinks(where), Pitch(None, None, 0.0, 1.0), growth_of(None), Links.ALTERNATE, 64)
    assert k in allowed


@given(st.integers(1, 40), st.integers(2, 20), st.integers(0, 39))
def test_a_piece_cut_from_a_spacing_never_excludes_it(k: int, links: int, start: int) -> None:
    at = [i + 1 for i in range(links) if (start + i) % k == 0]
    piece = SpacingEvidence.of({"observations": [{"sample_links": links, "attachments_at": at}]}).parsed()[0]
    growth: Growth = growth_of(None)
    assert k in allows(piece, Pitch(None, None, 0.0, 1.0), growth, Links.ALTERNATE, 64)


@given(patterns())
def test_a_pattern_is_written_and_read(pattern: Pattern) -> None:
    assert parse_pattern(print_pattern(pattern)) == pattern


@given(patterns(), st.integers(1, 8))
def test_a_pattern_repeated_n_times_has_n_times_the_attachments(pattern: Pattern, times: int) -> None:
    repeated = pattern.repeated(times)
    assert len(repeated.positions) == times * len(pattern.positions)
    assert repeated.length == times * pattern.length
    assert sum(repeated.gaps) == repeated.length
    assert [repeated.at(i) for i in range(repeated.length)] == [pattern.at(i) for i in range(repeated.length)]


@given(patterns(), st.integers(0, 200))
def test_everything_repeats_after_the_period(pattern: Pattern, pitch: int) -> None:
    here, there = pattern.at(pitch), pattern.at(pitch + pattern.period)
    assert [replace(each, pitch=0) for each in here] == [replace(each, pitch=0) for each in there]
    assert pattern.link_at(pitch) is pattern.link_at(pitch + pattern.period)


@given(patterns())
def test_mirroring_twice_changes_nothing(pattern: Pattern) -> None:
    assert pattern.mirrored().mirrored() == pattern
    assert pattern.mirrored().gaps == pattern.gaps


@given(patterns(), st.integers(1, 400))
def test_a_pattern_closes_at_its_nearest_lengths_and_not_between(pattern: Pattern, number: int) -> None:
    found = closing(pattern, number)
    assert closing(pattern, found.above).closes
    assert found.below is None or closing(pattern, found.below).closes
    assert (found.below or 0) <= number <= found.above
    assert not any(closing(pattern, n).closes for n in range((found.below or 0) + 1, found.above) if n != number)
    if found.closes:
        assert found.joint_gap == pattern.gaps[-1]
        links = laid(pattern, number, pattern.links)
        first = pattern.link_at(0)
        assert pattern.links is Links.ALIKE or (links[0].link is first and links[-1].link is not first)


@given(strands())
def test_link_counts_add_up_to_the_strand(strand: Strand) -> None:
    counts = count_links(strand)
    assert counts.total == strand.pitches
    links = lay(strand)
    assert counts.with_attachment == sum(1 for link in links if link.carries)
    joined = joints(strand)
    assert counts.connecting + counts.connecting_with_attachment == len(joined)
    pieces = len(sections(strand))
    available = sum(1 for link in links if link.link is Link.OUTER or strand.links is Links.ALIKE)
    assert len(joined) == min(pieces if strand.ends is Ends.ENDLESS else pieces - 1, available)


@given(strands())
def test_neighbors_in_an_alternating_strand_differ(strand: Strand) -> None:
    assume(strand.links is Links.ALTERNATE)
    kinds = [link.link for link in lay(strand)]
    around = zip(kinds, kinds[1:] + (kinds[:1] if strand.ends is Ends.ENDLESS else []), strict=False)
    assert all(a is not b for a, b in around)


@given(strands())
def test_sections_add_up_and_can_be_handled(strand: Strand) -> None:
    pieces = sections(strand)
    assert sum(pieces) == strand.pitches
    assert max(pieces) - min(pieces) <= 3
    # An odd strand of alternating links cannot be cut into pieces of two alone.
    spare = 1 if strand.links is Links.ALTERNATE and strand.section_most == 2 else 0
    assert strand.section_most is None or max(pieces) <= strand.section_most + spare


@given(st.integers(1, 100_000), pitches, st.sampled_from(UNITS))
def test_lengths_round_trip(number: int, pitch: float, unit: str) -> None:
    length = length_of(number, pitch, unit)
    assert math.isclose(pitches_in(length, pitch, unit), number)
    assert round(pitches_in(length, pitch, unit)) == number
    for other in UNITS:
        assert math.isclose(converted(converted(length, unit, other), other, unit), length)
        assert math.isclose(converted(length, unit, other), length_of(number, pitch, other))


@given(st.floats(4.0, 5000.0), st.sampled_from(Links), st.booleans())
def test_a_whole_length_is_near_and_even_where_it_must_be(exact: float, links: Links, fixed: bool) -> None:
    found = whole_length(exact, links, fixed_centers=fixed)
    assert -1.0 <= found.pitches - exact < 2.0
    assert found.below <= exact + 1e-6
    assert found.above >= exact - 1e-6
    if links is Links.ALTERNATE:
        assert found.below % 2 == found.above % 2 == 0
        assert fixed or found.pitches % 2 == 0
        assert found.offset_links == found.pitches % 2


@few
@given(st.integers(10, 400), pitches, elongations, st.sampled_from(Links))
def test_strand_lengths_are_whole_and_add_to_one(number: int, pitch: float, elongation: float, links: Links) -> None:
    tape = taped_strand(f"{number * pitch * (1 + elongation):.0f} mm")
    odds = strand_length([tape, counted_strand(number)], links, pitch_mm=pitch)
    assert math.isclose(math.fsum(share for _, share in odds.pitches), 1.0)
    assert all(isinstance(each, int) for each, _ in odds.pitches)
    fresh, worn = (
        strand_length([tape], Links.ALIKE, pitch_mm=pitch, elongation=(e, 0.001))
        for e in (elongation, elongation + 0.02)
    )
    assert worn.pitches[0][0] <= fresh.pitches[0][0]


@given(st.lists(st.floats(3048.0, 3056.0), min_size=1, max_size=10).map(lambda one: one + one[::-1]))
def test_pairs_use_every_piece_once_and_stay_together(pieces: list[float]) -> None:
    found = match_pieces(pieces)
    assert sorted(i for pair in found.pairs for i in pair) == list(range(len(pieces)))
    assert found.largest_apart <= 1e-9  # every piece has a twin
