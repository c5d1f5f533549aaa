"""Strands: link counts, sections, joints, mass, pairs."""

import math
from typing import Any

import pytest

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup.notation import parse_pattern
from chaincase.makeup.patterns import Sides, alternating, constant
from chaincase.makeup.strands import (
    Ends,
    Hands,
    LinkCounts,
    Makeup,
    Strand,
    count_links,
    joints,
    joints_in_words,
    lay,
    sections,
)
from chaincase.measuring.growth import Link


def test_a_plain_endless_strand():
    assert count_links(Strand(120)) == LinkCounts(plain_inner=60, plain_outer=59, connecting=1)


def test_attachments_on_outer_links_leave_a_plain_connecting_link():
    counts = count_links(Strand(120, pattern=constant(4, "K2")))
    assert counts == LinkCounts(plain_inner=60, plain_outer=29, outer_with_attachment=30, connecting=1)


def test_attachments_on_every_outer_link_need_a_connecting_link_with_attachment():
    """length_tolerance: an attachment on the connecting link needs a connecting link with attachment."""
    strand = Strand(120, pattern=constant(2, "K2"))
    assert count_links(strand) == LinkCounts(plain_inner=60, outer_with_attachment=59, connecting_with_attachment=1)
    assert joints_in_words(strand) == ["link 119, an outer link with K2: a connecting link with attachment is needed"]


def test_attachments_on_inner_links_never_meet_the_connecting_link():
    counts = count_links(Strand(120, pattern=constant(2, "K2", link=Link.INNER)))
    assert counts == LinkCounts(inner_with_attachment=60, plain_outer=59, connecting=1)


def test_an_odd_spacing_needs_both_kinds_of_attachment_link():
    counts = count_links(Strand(120, pattern=constant(3, "K1")))
    assert (counts.inner_with_attachment, counts.outer_with_attachment) == (20, 20)


def test_an_odd_strand_has_one_offset_link():
    """chain_length, section 6: odd needs one offset link."""
    strand = Strand(121)
    assert strand.has_offset_link
    assert count_links(strand) == LinkCounts(plain_inner=60, plain_outer=59, connecting=1, offset=1)
    assert [link.link for link in lay(strand)][-2:] == [Link.OUTER, Link.OFFSET]


def test_an_attachment_that_falls_on_the_offset_link_is_counted_there():
    counts = count_links(Strand(13, pattern=constant(4, "K1")))
    assert counts.offset_with_attachment == 1
    assert counts.total == 13


def test_alike_links_have_no_kinds():
    counts = count_links(Strand(13, Links.ALIKE, constant(3, link=Link.OFFSET)))
    assert counts == LinkCounts(plain_alike=7, alike_with_attachment=5, connecting=1)
    assert joints_in_words(Strand(4, Links.ALIKE)) == ["link 4, a plain link"]


@pytest.mark.parametrize(
    ("pitches", "ends", "inner", "outer"),
    [(119, Ends.INNER, 60, 59), (119, Ends.OUTER, 59, 60), (120, Ends.OPEN, 60, 60)],
)
def test_ends(pitches: int, ends: Ends, inner: int, outer: int):
    """length: a roller link at each end makes an odd number of pitches: an ordering guide."""
    strand = Strand(pitches, ends=ends)
    assert count_links(strand) == LinkCounts(plain_inner=inner, plain_outer=outer)
    assert not strand.has_offset_link
    kinds = [link.link for link in lay(strand)]
    assert (kinds[0] is Link.INNER, kinds[-1] is Link.INNER) == (ends is not Ends.OUTER, ends is Ends.INNER)


def test_a_pattern_begins_where_the_end_lets_it():
    assert [bool(link.carries) for link in lay(Strand(7, pattern=constant(4), ends=Ends.INNER))] == [
        False, True, False, False, False, True, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("strand", "pieces"),
    [
        (Strand(240), (240,)),
        (Strand(240, section_most=240), (240,)),
        (Strand(240, section_most=120), (120, 120)),
        (Strand(240, section_most=119), (80, 80, 80)),
        (Strand(244, section_most=100), (82, 82, 80)),
        (Strand(121, section_most=61), (60, 61)),
        (Strand(5, section_most=2), (2, 3)),
        (Strand(7, Links.ALIKE, section_most=3), (3, 2, 2)),
    ],
)
def test_sections(strand: Strand, pieces: tuple[int, ...]):
    assert sections(strand) == pieces


def test_each_section_brings_a_connecting_link():
    strand = Strand(240, pattern=parse_pattern("K2@6"), section_most=100)
    assert count_links(strand) == LinkCounts(plain_inner=120, plain_outer=77, outer_with_attachment=40, connecting=3)
    assert len(joints(Strand(240, section_most=100, ends=Ends.OPEN))) == 2


def test_stock_pieces_of_ten_feet_have_a_connecting_link_each():
    """length_tolerance, strand length: stock pieces of 10 ft with a connecting link per 10 ft: an ordering guide."""
    strand = Strand(600, section_most=120, pitch_mm=25.4)
    assert strand.length_mm == pytest.approx(50 * 304.8)
    assert count_links(strand).connecting == 5


def test_joints_lie_on_different_links():
    found = joints(Strand(12, pattern=constant(2), section_most=2))
    assert len({link.index for link in found}) == 6


def test_mass_is_known_or_not():
    assert Strand(100, pitch_mm=100.0, mass_kg_per_m=8.0).mass_kg == pytest.approx(80.0)
    assert Strand(100, pitch_mm=100.0, mass_kg_per_m=math.nan).mass_kg is None
    assert Strand(100, mass_kg_per_m=8.0).mass_kg is None
    assert Strand(100).length_mm is None


def test_handed_pairs_mirror_each_other():
    pattern = constant(6, "A1", Sides.LEFT)
    makeup = Makeup(Strand(120, pattern=pattern, pitch_mm=100.0, mass_kg_per_m=5.0), 4, Hands.HANDED, matched=True)
    assert makeup.kinds_of_strand() == (("left hand", 2, pattern), ("right hand", 2, pattern.mirrored()))
    assert makeup.counts.total == 480
    assert makeup.mass_kg == pytest.approx(240.0)
    assert Makeup(Strand(120), 3).kinds_of_strand() == (("all alike", 3, None),)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        ({"pitches": 1}, "a strand of 1 pitches"),
        ({"pitches": 10**9}, "a strand of"),
        ({"pitches": 12, "section_most": 1}, "sections of 1 pitches"),
        ({"pitches": 120, "ends": Ends.INNER}, "odd number"),
        ({"pitches": 121, "ends": Ends.OPEN}, "even number"),
    ],
)
def test_impossible_strands_are_refused(made: dict[str, Any], says: str):
    with pytest.raises(BadInput, match=says):
        Strand(**made)


@pytest.mark.parametrize(
    ("made", "says"),
    [
        ({"strands": 0}, "0 strands"),
        ({"strands": 3, "hands": Hands.HANDED}, "even number of strands"),
        ({"strands": 2, "hands": Hands.HANDED}, "two hands are the same"),
        ({"spare_connecting": -1}, "spare links"),
    ],
)
def test_impossible_orders_are_refused(made: dict[str, Any], says: str):
    with pytest.raises(BadInput, match=says):
        Makeup(Strand(120, pattern=constant(4)), **made)


def test_left_and_right_in_turn_can_be_handed():
    """A pattern that is its own mirror image, shifted, still has a left strand and a right strand."""
    assert Makeup(Strand(120, pattern=alternating(6)), 2, Hands.HANDED).kinds_of_strand()[1][0] == "right hand"
