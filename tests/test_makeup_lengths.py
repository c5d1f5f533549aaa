"""Strand length from counts, tapes and exact lengths; tolerances and matching. Cases invented unless said."""

import pytest

from chaincase.chains.kinds import Links
from chaincase.chains.matching import matched_within
from chaincase.errors import BadInput
from chaincase.makeup.lengths import (
    converted,
    drawn_length,
    length_of,
    pitches_in,
    strength_with_offset_link,
    whole_length,
    without_wear,
)
from chaincase.makeup.notation import parse_pattern
from chaincase.makeup.strand_length import LengthOdds, counted_strand, strand_length, taped_strand
from chaincase.makeup.tolerances import (
    LENGTH_TOLERANCES,
    length_class,
    length_tolerance,
    match_pieces,
    new_length_limits,
)

ALTERNATE, ALIKE = Links.ALTERNATE, Links.ALIKE


def chance(odds: LengthOdds, pitches: int) -> float:
    return dict(odds.pitches).get(pitches, 0.0)


def test_a_count_of_a_strand():
    odds = strand_length([counted_strand(240)], ALTERNATE, pitch_mm=101.6)
    assert odds.pitches[0][0] == 240
    assert odds.pitches[0][1] > 0.95
    assert odds.nominal_mm == pytest.approx(240 * 101.6)


def test_an_odd_count_of_alternating_links_is_doubted_and_told():
    odds = strand_length([counted_strand(241)], ALTERNATE)
    assert chance(odds, 240) + chance(odds, 242) > 0.3
    assert chance(strand_length([counted_strand(241)], ALIKE), 241) > 0.8
    assert odds.pitches[0][0] != 241 or any("offset link" in each for each in odds.warnings)
    sure = strand_length([counted_strand(241)] * 2, ALTERNATE)
    assert sure.pitches[0][0] == 241
    assert any("offset link" in each for each in sure.warnings)


def test_longer_counts_slip_more():
    assert chance(strand_length([counted_strand(40)], ALIKE), 40) > chance(
        strand_length([counted_strand(900)], ALIKE), 900
    )


def test_a_tape_over_a_chain_of_known_wear():
    odds = strand_length([taped_strand("24689 mm")], ALTERNATE, pitch_mm=101.6, elongation=(0.0125, 0.001))
    assert odds.pitches[0][0] == 240
    assert odds.pitches[0][1] > 0.95


def test_a_tape_over_a_chain_of_unknown_wear_leaves_several_numbers():
    odds = strand_length([taped_strand("24.69 m")], ALTERNATE, pitch_mm=101.6)
    assert 240 in odds.at_least(0.9)
    assert len(odds.at_least(0.9)) > 1
    assert all(number % 2 == 0 for number in odds.at_least(0.7))
    assert any("count the pitches" in each for each in odds.warnings)


def test_tape_and_count_together():
    odds = strand_length([taped_strand("24.69 m"), counted_strand(240)], ALTERNATE, pitch_mm=101.6)
    assert chance(odds, 240) > 0.95
    assert chance(odds, 240) > chance(strand_length([taped_strand("24.69 m")], ALTERNATE, pitch_mm=101.6), 240)
    assert odds.contradictions == ()


def test_tape_against_count_is_shown():
    odds = strand_length([taped_strand("24.69 m"), counted_strand(200)], ALTERNATE, pitch_mm=101.6)
    assert len(odds.contradictions) == 1
    assert "counted 200 leaves 200: both cannot be true" in odds.contradictions[0]


def test_a_pattern_makes_the_lengths_likelier_in_which_it_closes():
    plain = strand_length([taped_strand("24.69 m")], ALTERNATE, pitch_mm=101.6)
    pattern = parse_pattern("K2@6")
    odds = strand_length([taped_strand("24.69 m")], ALTERNATE, pitch_mm=101.6, pattern=pattern)
    assert chance(odds, 240) > chance(plain, 240)
    assert odds.pitches[0][0] % 6 == 0


def test_a_tape_without_the_pitch_is_refused_alone_and_told_beside_a_count():
    with pytest.raises(BadInput, match="a taped length without the pitch"):
        strand_length([taped_strand("24.69 m")], ALTERNATE)
    with pytest.raises(BadInput, match="no observation"):
        strand_length([], ALTERNATE)
    odds = strand_length([taped_strand("24.69 m"), counted_strand(240)], ALTERNATE)
    assert odds.nominal_mm is None
    assert any("without the pitch" in each for each in odds.warnings)


@pytest.mark.parametrize("pitches", [0, 1, -5, 10**7])
def test_a_count_that_is_none_is_refused(pitches: int):
    with pytest.raises(BadInput, match="a strand of"):
        counted_strand(pitches)


def test_a_tape_too_long_for_its_pitch_is_refused():
    with pytest.raises(BadInput, match="is the pitch right"):
        strand_length([taped_strand("900 m")], ALTERNATE, pitch_mm=6.35)


@pytest.mark.parametrize(
    ("exact", "links", "pitches", "below", "above"),
    [
        (122.0, ALTERNATE, 122, 122, 122),
        (120.25, ALTERNATE, 120, 120, 122),
        (120.35, ALTERNATE, 122, 120, 122),
        (120.35, ALIKE, 121, 120, 121),
        (120.25, ALIKE, 120, 120, 121),
    ],
)
def test_whole_length(exact: float, links: Links, pitches: int, below: int, above: int):
    found = whole_length(exact, links)
    assert (found.pitches, found.below, found.above, found.offset_links) == (pitches, below, above, 0)


@pytest.mark.parametrize("exact", [0.5, -3.0, float("nan"), float("inf"), 1e9])
def test_no_length_is_refused(exact: float):
    with pytest.raises(BadInput, match="a length of"):
        whole_length(exact, ALTERNATE)


def test_conversions():
    assert length_of(120, 25.4, "ft") == pytest.approx(10.0)
    assert pitches_in(10.0, 25.4, "ft") == pytest.approx(120.0)
    assert converted(1.0, "m", "in") == pytest.approx(1000 / 25.4)
    with pytest.raises(BadInput, match="'yd' is not a unit of length"):
        length_of(120, 25.4, "yd")
    with pytest.raises(BadInput, match="a pitch of 0"):
        pitches_in(10.0, 0.0)


def test_a_length_on_a_drawing():
    assert drawn_length(24_384.0, 101.6, ALTERNATE).is_whole
    assert drawn_length(24_384.0, 101.6, ALTERNATE).pitches == 240
    odd = drawn_length(24_485.6, 101.6, ALTERNATE)
    assert (odd.pitches, odd.offset_links) == (241, 1)
    assert not drawn_length(24_435.0, 101.6, ALTERNATE).is_whole
    with pytest.raises(BadInput, match="a length of -1"):
        drawn_length(-1.0, 101.6, ALTERNATE)
    with pytest.raises(BadInput, match="a strand of"):
        drawn_length(1e9, 6.35, ALTERNATE)


@pytest.mark.parametrize("elongation", [-0.1, 0.5, float("nan")])
def test_an_elongation_that_is_none_is_refused(elongation: float):
    with pytest.raises(BadInput, match="an elongation of"):
        without_wear(1000.0, elongation)


def test_an_offset_link_costs_strength():
    """Reduction of 20 to 35 %: from memory, often quoted."""
    assert strength_with_offset_link(200.0) == (130.0, 160.0)


def test_length_tolerances_say_where_they_come_from():
    for each in LENGTH_TOLERANCES:
        assert each.source
        assert (each.plain is None) == (each.plain_trust.name == "NONE")
        assert (each.with_attachments is None) == (each.attachments_trust.name == "NONE")
    assert new_length_limits(1000.0, "engineering", attachments=False) is None
    with pytest.raises(BadInput, match="use one of: short pitch"):
        length_tolerance("long pitch")


def test_matching():
    assert matched_within(10_000.0) == 3.0
    assert matched_within(45_000.0) is None
    assert length_class(3048.0, 3048.0) == "A"
    with pytest.raises(BadInput, match="a new chain is not shorter"):
        length_class(3047.0, 3048.0)
    with pytest.raises(BadInput, match="3 pieces for two strands"):
        match_pieces([1.0, 2.0, 3.0])


def test_pairs_of_pieces_keep_two_strands_together():
    found = match_pieces([3048.0, 3050.0, 3048.2, 3049.7, 3051.0, 3050.8])
    assert sorted(piece for pair in found.pairs for piece in pair) == [0, 1, 2, 3, 4, 5]
    assert found.largest_apart < 0.31
