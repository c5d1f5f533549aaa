"""Lengths, tolerances and matching against published figures; the source stands beside each check."""

import math

import pytest

from chaincase.chains.kinds import Links
from chaincase.chains.matching import matched_within
from chaincase.makeup.lengths import length_of, pitches_in, strength_with_offset_link, whole_length, without_wear
from chaincase.makeup.patterns import constant, runs
from chaincase.makeup.tiling import closing
from chaincase.makeup.tolerances import length_class, length_tolerance, match_pieces, new_length_limits

INCH = 25.4


def standard_length(z1: int, z2: int, centers: float) -> float:
    """Length in pitches over two sprockets, centers in pitches: 2 C + (z1 + z2) / 2 + ((z2 - z1) / 2 pi)^2 / C.

    Read alike in seven texts, ISO 10823 among those they follow.
    """
    return 2 * centers + (z1 + z2) / 2 + ((z2 - z1) / (2 * math.pi)) ** 2 / centers


@pytest.mark.parametrize(
    ("z1", "z2", "centers", "printed", "source"),
    [
        (21, 63, 500 / 12.7, 122, "Design of Machine Elements, Ex. 14.3"),
        (17, 34, 40, 106, "Design of Machine Elements, Ex. 14.4"),
        (21, 81, 40, 134, "Analysis and Design of Machine Elements, ch. 7, p. 162"),
        (19, 38, 40, 110, "Solutions manual to Mechanical Engineering Design, p. 446"),
        (17, 65, 30, 104, "Machine Elements in Mechanical Design, 4th ed., Ex. 7-3"),
        (35, 70, 40, 134, "University course notebook following Machine Elements in Mechanical Design ch. 7"),
    ],
)
def test_examples_that_round_up_to_even(z1: int, z2: int, centers: float, printed: int, source: str):
    assert whole_length(standard_length(z1, z2, centers), Links.ALTERNATE).pitches == printed, source


@pytest.mark.parametrize(
    ("z1", "z2", "centers", "printed", "source"),
    [
        (21, 80, 40, 132, "Design of Machine Elements, Ex. 14.6, normal design"),
        (25, 96, 30, 124, "Design of Machine Elements, Ex. 14.6, alternate design"),
    ],
)
def test_examples_that_round_down_to_even_are_the_neighbor_below(
    z1: int, z2: int, centers: float, printed: int, source: str
):
    found = whole_length(standard_length(z1, z2, centers), Links.ALTERNATE)
    assert found.below == printed, source
    assert found.above == printed + 2


def test_an_example_that_keeps_an_odd_number():
    """Solutions to Mechanical Engineering Design, ch. 17, prob. 17-26: 135.01 pitches of 0.5 in, 135 kept, 67.5 in."""
    found = whole_length(standard_length(21, 84, 40), Links.ALTERNATE, fixed_centers=True)
    assert (found.pitches, found.offset_links) == (135, 1)
    assert length_of(found.pitches, 0.5 * INCH, "in") == pytest.approx(67.5)
    assert (found.below, found.above) == (134, 136)


def test_a_textbook_gives_the_length_in_inches():
    """Machine Elements in Mechanical Design, 4th ed., Ex. 7-3: 104 pitches of 0.5 in are 52.0 in."""
    assert length_of(104, 0.5 * INCH, "in") == pytest.approx(52.0)


@pytest.mark.parametrize(
    ("z1", "z2", "centers", "pitch_mm", "mm"), [(21, 42, 50, 9.52, 1254.01), (17, 34, 40, 15.88, 1678.25)]
)
def test_lengths_that_are_not_rounded(z1: int, z2: int, centers: float, pitch_mm: float, mm: float):
    """Machine Design, Ex. 30-3 p. 779 and 30-5 p. 780, to the printed 0.01 mm."""
    exact = standard_length(z1, z2, centers)
    assert length_of(exact, pitch_mm) == pytest.approx(mm, abs=0.006)
    assert pitches_in(mm, pitch_mm) == pytest.approx(exact, abs=0.001)


def test_three_percent_of_twelve_pitches():
    """A public maintenance text: No. 80, 12 pitches, 3 %: 12.36 in."""
    assert without_wear(12.36 * INCH, 0.03) == pytest.approx(length_of(12, INCH))


@pytest.mark.parametrize(
    ("name", "attachments", "percent", "source"),
    [
        ("short pitch", False, 0.15, "GOST 13568-97 A.2.6 = ISO 606:1994; an independent public table"),
        ("short pitch", True, 0.30, "an independent public table; a public question and answer"),
        ("double pitch", False, 0.13, "an independent public table, ASME B29.3 and B29.4"),
        ("double pitch", True, 0.25, "the same"),
        ("conveyor", False, 0.25, "DIN 8165:2018, 3.4.1"),
        ("offset long pitch", False, 0.50, "GOST 13568-97, 4.10"),
    ],
)
def test_length_tolerances(name: str, attachments: bool, percent: float, source: str):
    low, high = new_length_limits(10_000.0, name, attachments=attachments) or (0.0, 0.0)
    assert low == 10_000.0, source
    assert high - low == pytest.approx(percent * 100.0), source


def test_the_inch_form_of_the_tolerance():
    """ASME B29.1 in inches, from memory: 0.016 in per foot is 0.133 %, beside the 0.13 % of double pitch."""
    assert pytest.approx(length_tolerance("double pitch").plain, abs=5e-5) == 0.016 / 12.0


def test_unmatched_strands_may_differ_by_the_whole_tolerance():
    """Derived: 0.3 % of 20 m is 60 mm."""
    low, high = new_length_limits(20_000.0, "short pitch", attachments=True) or (0.0, 0.0)
    assert high - low == pytest.approx(60.0)


@pytest.mark.parametrize(("meters", "within"), [(10, 3.0), (14, 3.0), (20, 4.0), (30, 4.0), (40, 5.0), (44, 5.0)])
def test_matched_strands(meters: float, within: float):
    """One public practice: below 14 m 3 mm, 14 to 30 m 4 mm, 30 to 44 m 5 mm."""
    assert matched_within(meters * 1000.0) == within


def test_classes_of_one_millimeter():
    """One public practice: A up to 1 mm over nominal, B from 1 to 2 mm, and so on."""
    assert [length_class(3048.0 + over, 3048.0) for over in (0.4, 1.4, 2.0)] == ["A", "B", "C"]


def test_short_and_long_pieces_take_turns():
    """One public practice: pair the nearest, never a short one after a long one, strands stay within 0.030 in."""
    inches = [120.010, 120.035, 120.015, 120.020, 120.050, 120.060]
    found = match_pieces([INCH * each for each in inches])
    assert found.largest_apart <= 0.030 * INCH


def test_an_offset_link_takes_a_fifth_to_a_third():
    """From memory: a reduction of 20 to 35 % is often quoted for roller chain."""
    assert strength_with_offset_link(1.0) == (pytest.approx(0.65), pytest.approx(0.80))


@pytest.mark.parametrize("k", range(1, 25))
def test_parity_of_spacing(k: int):
    """Derived, consistent with ordering guides: k even closes if N mod k = 0, k odd if N mod 2 k = 0."""
    for pitches in range(2, 200):
        expected = pitches % k == 0 if k % 2 == 0 else pitches % (2 * k) == 0
        assert closing(constant(k), pitches).closes is expected


def test_nine_gaps_of_four_then_nine_of_five():
    """The repeat is 81 pitches, odd, so that the strand closes in 162 and its multiples only."""
    found = closing(runs([(9, 4), (9, 5)]), 240)
    assert (found.closes, found.below, found.above) == (False, 162, 324)
