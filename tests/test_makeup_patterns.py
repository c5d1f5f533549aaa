"""Patterns of attachments: values, notation, closing in a strand."""

import pytest

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup.notation import parse_pattern, print_pattern
from chaincase.makeup.patterns import Pattern, Position, Sides, alternating, constant, in_gaps, in_turn, runs
from chaincase.makeup.tiling import closing, laid
from chaincase.measuring.growth import Link


def test_nine_gaps_of_four_then_nine_of_five():
    pattern = runs([(9, 4), (9, 5)], "K2")
    assert pattern == parse_pattern("K2@4*9, K2@5*9")
    assert pattern.gaps == (4,) * 9 + (5,) * 9
    assert (pattern.length, pattern.period, pattern.spacing) == (81, 162, None)
    assert pattern.attachment_links == {Link.INNER, Link.OUTER}


def test_left_and_right_in_turn():
    pattern = alternating(6, "A1")
    assert print_pattern(pattern) == "A1:L@6, A1:R@6"
    assert [position.sides for position in pattern.positions] == [Sides.LEFT, Sides.RIGHT]
    assert pattern.mirrored() == alternating(6, "A1", first=Sides.RIGHT)
    assert pattern.mirrored().mirrored() == pattern


def test_left_and_right_in_turn_at_an_odd_spacing_sit_on_their_own_kind_of_link():
    pattern = alternating(3)
    assert [(position.sides, position.link) for position in pattern.positions] == [
        (Sides.LEFT, Link.OUTER),
        (Sides.RIGHT, Link.INNER),
    ]
    assert pattern.period == 6


def test_two_kinds_in_turn():
    assert print_pattern(in_turn(4, ["K1", "K2"], link=Link.INNER)) == "K1@4, K2@4 on inner"


def test_an_odd_spacing_alternates_inner_and_outer():
    """length_tolerance, attachment spacing parity: geometry, consistent with ordering guides."""
    links = laid(constant(3), 12, Links.ALTERNATE)
    assert [link.link for link in links if link.carries] == [Link.OUTER, Link.INNER, Link.OUTER, Link.INNER]
    assert {position.link for link in links for position in link.carries} == {Link.OUTER, Link.INNER}


def test_an_even_spacing_stays_on_its_kind_of_link():
    links = laid(constant(4, link=Link.INNER), 12, Links.ALTERNATE)
    assert [link.link for link in links if link.carries] == [Link.INNER] * 3


def test_alike_links_take_any_spacing():
    pattern = constant(3, link=Link.OFFSET)
    assert pattern.links is Links.ALIKE
    assert pattern.period == 3
    assert closing(pattern, 9).closes


def test_a_repeat_of_an_odd_length_changes_links_when_it_is_repeated():
    twice = constant(3).repeated(2)
    assert [(position.pitch, position.link) for position in twice.positions] == [(0, Link.OUTER), (3, Link.INNER)]
    assert twice.period == twice.length == 6


@pytest.mark.parametrize(
    ("text", "length", "count"),
    [
        ("K2@4", 4, 1),
        ("K2@4*9, K2@5*9", 81, 18),
        ("K2 @ 4 * 9 , K2@5*9", 81, 18),
        ("A1:L+A2:R@8", 8, 2),
        ("-@3, K2@9", 12, 1),
        ("K2:b@4 on inner", 4, 1),
        ("F4-X@2 on offset", 2, 1),
        ("М1@6", 6, 1),
    ],
)
def test_notation_is_read_and_written(text: str, length: int, count: int):
    pattern = parse_pattern(text)
    assert (pattern.length, len(pattern.positions)) == (length, count)
    assert parse_pattern(print_pattern(pattern)) == pattern


def test_a_plain_start_is_a_lead():
    pattern = parse_pattern("-@3, K2@9")
    assert pattern.positions == (Position(3, "K2"),)
    assert pattern.gaps == (12,)
    assert print_pattern(pattern) == "-@3, K2@9"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "character 1: '' is not an entry"),
        ("K2", "'K2' is not an entry; write, for example, K2@4"),
        ("K2@4, K2", "character 7: 'K2' is not an entry"),
        ("K2@0", "character 4: 0 pitches; give a whole number from 1"),
        ("K2@4*0", "character 6: 0 times"),
        ("K2@9999999", "character 4: 9999999 pitches"),
        ("K2@90000, K2@90000", "character 10: a repeat of more than 100000 pitches"),
        ("K2@1*99999, K2@2*99999", "a repeat of more than 100000 pitches"),
        ("K 2@4", "character 1: 'K 2' is not a name of an attachment"),
        ("K2:X@4", "'X' is not a side; use L, R or B"),
        ("K2:@4", "'' is not a side"),
        ("K2@4 on top", "character 9: 'top' is not a kind of link; use outer, inner or offset"),
        ("K2@4, -@2", "'-' can only come first"),
        ("-@2*3, K2@4", "'-' can only come first"),
        ("-@4", "a pattern without an attachment"),
        ("A1:L+A2@8", "two attachments on one side of a link"),
        ("K2@4" * 5000, "characters; write at most"),
        ("K2@-4", "is not an entry"),
        ("K2@²", "is not an entry"),
    ],
)
def test_faults_of_the_notation_name_the_character(text: str, says: str):
    with pytest.raises(BadInput) as caught:
        parse_pattern(text, where="pattern")
    assert says in str(caught.value)
    assert str(caught.value).startswith("pattern: ")


@pytest.mark.parametrize(
    ("positions", "length", "says"),
    [
        ((), 4, "without an attachment"),
        ((Position(0, "K1"),), 0, "a repeat of 0 pitches"),
        ((Position(4, "K1"),), 4, "pitch 4: lies outside the repeat"),
        ((Position(0, "K1"), Position(1, "K1")), 4, "pitch 1: an attachment on an outer link; that link is inner"),
        ((Position(0, "K1"), Position(2, "K1", link=Link.OFFSET)), 4, "that link is outer"),
        ((Position(0, "K1", link=Link.UNKNOWN),), 4, "use inner, outer or offset"),
        ((Position(0, "K1", Sides.LEFT), Position(0, "K2", Sides.BOTH)), 4, "two attachments on one side"),
        ((Position(0, "K 1"),), 4, "is not a name of an attachment"),
    ],
)
def test_impossible_patterns_are_refused(positions: tuple[Position, ...], length: int, says: str):
    with pytest.raises(BadInput, match=says):
        Pattern(positions, length)


def test_a_gap_below_one_is_refused():
    with pytest.raises(BadInput, match="a gap of 0 pitches"):
        in_gaps([[("K1", Sides.BOTH)]], [0])


@pytest.mark.parametrize(
    ("text", "pitches", "closes", "below", "above", "joint_gap"),
    [
        ("K2@4", 120, True, 120, 120, 4),
        ("K2@4", 122, False, 120, 124, 2),
        ("K2@3", 120, True, 120, 120, 3),
        ("K2@3", 123, False, 120, 126, 3),  # 41 gaps of 3, but the last meets the first on the other kind of link
        ("K2@3 on offset", 123, True, 123, 123, 3),
        ("K2@1", 121, False, 120, 122, 1),
        ("K2@4*9, K2@5*9", 162, True, 162, 162, 5),
        ("K2@4*9, K2@5*9", 81, False, None, 162, 5),
        ("K2@12", 4, False, None, 12, 4),
        ("-@3, K2@9", 24, True, 24, 24, 12),
        ("-@3, K2@9", 2, False, None, 12, 2),
    ],
)
def test_where_a_pattern_closes(text: str, pitches: int, closes: bool, below: int | None, above: int, joint_gap: int):
    found = closing(parse_pattern(text), pitches)
    assert (found.closes, found.below, found.above, found.joint_gap) == (closes, below, above, joint_gap)
    assert ("does not close" in found.words) is not closes


def test_a_pattern_for_the_other_sort_of_chain_is_refused():
    with pytest.raises(BadInput, match="the pattern is not for this chain"):
        laid(constant(4), 12, Links.ALIKE)


@pytest.mark.parametrize("pitches", [0, -4, 1_000_000])
def test_a_strand_that_is_none_is_refused(pitches: int):
    with pytest.raises(BadInput, match="a strand of"):
        closing(constant(4), pitches)
