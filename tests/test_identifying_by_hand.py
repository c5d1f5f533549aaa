"""Cases that a millwright would settle at a glance: what is said, what cannot be, and what to do next."""

import numpy as np
import pytest

from builders import catalog, evidence, reading
from chaincase import Catalog, identify
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.answer import Candidate, Identification, Reason
from chaincase.identifying.constants import MOST_WEAR, WEAR
from chaincase.identifying.construction import construction_likelihood, unknown_words
from chaincase.identifying.expectation import expectation
from chaincase.identifying.posterior import posterior
from chaincase.identifying.stamp import number_in

STANDARD = Catalog.standard()


def answer(*readings: dict, marks: tuple[str, ...] = (), words: tuple[str, ...] = ()) -> Identification:
    return identify(evidence(*readings, marks=marks, construction=words), STANDARD)


def named(found: Identification, name: str) -> Candidate:
    return next(each for each in found.candidates if each.designation == name)


def about(candidate: Candidate, label: str) -> Reason:
    return next(reason for reason in candidate.reasons if reason.about == label)


def test_every_wear_that_grows_with_its_part_has_an_end():
    growing = {name for name, states in WEAR.items() if any(state.relative for state in states)}
    assert growing | {"pitch"} <= MOST_WEAR.keys()


# What people say of the strands

TWO = (
    "2 strands",
    "two strands",
    "two-strand",
    "duplex",
    "double",
    "double strand",
    "2",
    "Duplex roller chain",
    "twin",
)


@pytest.mark.parametrize("word", TWO)
def test_any_word_for_two_strands_finds_the_duplex_chain(word: str):
    found = answer(reading("pitch", "19.05 mm"), reading("inner_width", "11.8 mm"), words=("roller", word))
    assert found.candidates[0].designation == "12B-2"
    assert found.candidates[0].probability > 0.8


@pytest.mark.parametrize(
    ("word", "strands"),
    [("single", 1), ("simplex", 1), ("triplex", 3), ("3 strands", 3), ("quadruplex", 4), ("4 strands", 4), ("four", 4)],
)
def test_words_for_other_numbers_of_strands(word: str, strands: int):
    assert not unknown_words((word,))
    fits = construction_likelihood(("roller", word), STANDARD)
    best = set(STANDARD.strands[fits == fits.max()].tolist())
    assert best <= ({0, 1} if strands == 1 else {strands})


def test_a_word_for_the_strands_that_cannot_be_read_still_answers_the_question():
    several = STANDARD.row("16B-2")
    unsaid, said = (construction_likelihood(words, STANDARD) for words in (("roller",), ("roller", "some strands")))
    assert said[several] > unsaid[several] + 1.0


# Wear that cannot be


def test_a_long_pitch_cannot_have_lost_more_than_its_pin():
    """424 mm on a pitch of 400 mm are 12 mm or more in a joint whose pin has 25 mm and is as new."""
    found = answer(
        reading("pitch", "424 mm", "tape"), reading("roller_diameter", "50 mm"), reading("pin_diameter", "25 mm"),
        words=("conveyor", "roller"),
    )  # fmt: skip
    assert found.unlisted > 0.25
    taken = [about(each, "pitch") for each in found.candidates[:4]]
    assert not any(reason.fits for reason in taken)
    assert all("cannot be told" in each.words for each in found.candidates[0].wear if each.dimension == "pitch")


def test_a_short_pitch_may_be_worn_as_ever():
    found = answer(reading("pitch", "12 1/4 in", "tape", over=12), reading("roller_diameter", "0.62 in"), marks=("80",))
    pitch = about(named(found, "16A-1"), "pitch")
    assert pitch.fits
    assert "normal wear" in pitch.words


@pytest.mark.parametrize(
    ("mark", "readings"),
    [
        ("50-2", (reading("pitch", "15.9 mm"), reading("pin_length", "34 mm"))),
        ("WH78-X", (reading("pitch", "70.8 mm"), reading("pin_diameter", "12.6 mm"))),
        ("80", (reading("pitch", "25.4 mm"), reading("inner_width", "25.0 mm"))),
    ],
    ids=["pin 15 % short", "pitch 7 % long", "inner width 59 % too wide"],
)
def test_a_stamp_does_not_talk_a_far_off_reading_away(mark: str, readings: tuple[dict, ...]):
    found = answer(*readings, marks=(mark,))
    assert found.unlisted > 0.1
    assert found.candidates[0].probability < 0.8
    assert found.candidates[0].conflicts or found.conflicts


# Readings between edges


def test_the_pin_of_the_sample_fills_the_empty_cell_of_a_table():
    row = ("M", "conveyor bush", {"pitch": 250.0, "inner_width": 43.0})
    other = ("N", "conveyor bush", {"pitch": 235.0, "inner_width": 43.0})
    edges = reading("pitch", "219 mm", "tape", technique="inside edges", reference="pins")
    made = catalog(row, other)
    found = identify(evidence(edges, reading("pin_diameter", "31.0 mm")), made)
    assert found.candidates[0].designation == "M"
    assert found.candidates[0].probability > 0.8
    without = identify(evidence(edges), made)
    assert without.candidates[0].designation == "N"  # such chains have thinner pins


def test_a_reading_between_edges_is_shown_with_its_sum():
    edges = reading("pitch", "219 mm", "tape", technique="inside edges", reference="pins")
    found = answer(edges, reading("pin_diameter", "31.0 mm"), reading("hollow_pin_bore", "20.1 mm"))
    words = about(named(found, "MC224x250"), "pitch").words
    assert "219 + 31 = 250 mm" in words
    assert "agrees with the nominal 250 mm" in words
    by_table = about(named(answer(edges, words=("hollow pin",), marks=("MC224",)), "MC224x250"), "pitch")
    assert "219 + 31 = 250 mm" in by_table.words


# Stamps


@pytest.mark.parametrize("mark", ["05B-1", "DIN 8187 05B-1", "ISO 606 05B-1", "BS 228 05B-1"])
def test_a_clear_suffix_separates_the_strands_whatever_the_standard(mark: str):
    found = answer(marks=(mark,))
    assert found.candidates[0].designation == "05B-1"
    assert found.candidates[0].probability > 0.8


@pytest.mark.parametrize("mark", ["DIN 8187 16B", "BS 228 16B", "16B", "ISO 606 16B"])
def test_without_a_suffix_the_strands_are_open(mark: str):
    found = answer(marks=(mark,))
    assert {each.designation for each in found.candidates[:3]} == {"16B-1", "16B-2", "16B-3"}
    assert np.ptp([each.probability for each in found.candidates[:3]]) < 0.01


def test_a_complete_stamp_of_many_characters_is_that_chain():
    found = answer(marks=("GOST 13568 2ПР-31.75-177",))
    assert found.candidates[0].designation == "2ПР-31.75-177"
    assert found.candidates[0].probability > 0.9


def test_no_name_of_the_tables_is_only_a_standard():
    names = [name for row in STANDARD.alternatives for name in row]
    assert all(number_in(name).strip() for name in names)
    assert number_in("GOST 13568 2ПР-31.75-177") == "2ПР-31.75-177"


def test_text_that_is_no_number_is_no_conflict():
    found = answer(reading("pitch", "15.9 mm"), reading("roller_diameter", "10.1 mm"), marks=("MADE IN",))
    assert not found.candidates[0].conflicts
    assert not found.conflicts


# Empty cells of several strands


def test_a_pin_through_several_strands_is_longer_by_the_transverse_pitch():
    """By hand, ISO 606: 72B-1 has 147.4 mm and 136.27 mm from strand to strand, so 72B-3 has 419.9 mm."""
    expected, row = expectation(STANDARD), STANDARD.row("72B-3")
    assert np.isnan(STANDARD.values[row, COLUMN["pin_length"]])
    assert expected.mean[row, COLUMN["pin_length"]] == pytest.approx(147.4 + 2 * 136.27, abs=0.5)
    assert expected.spread[row, COLUMN["pin_length"]] < 0.03 * 420
    single, double = (expected.mean[STANDARD.row(name), COLUMN["pin_length"]] for name in ("80H-1", "80H-2"))
    assert double == pytest.approx(single + 32.59, abs=1.0)


# Words


def test_a_wide_gap_is_wear_and_a_narrow_one_is_not():
    made = catalog(("C", "roller", {"pitch": 25.4, "inner_width": 16.0, "pin_length": 33.0}))

    def said(size: str, name: str = "inner_width") -> str:
        return identify(evidence(reading(name, size)), made).candidates[0].reasons[0].words

    assert "normal wear, or plates bent apart" in said("16.6 mm")
    assert "wear" not in said("15.4 mm")
    assert "narrow it" in said("15.4 mm")
    assert "riveted end" in said("34.4 mm", "pin_length")


def test_links_that_are_all_alike_have_no_outer_link():
    found = answer(reading("pitch", "4.08 in", link="outer"), marks=("W124",), words=("welded steel",))
    words = about(named(found, "W124"), "pitch").words
    assert "normal wear" in words
    assert "outer link" not in words


def test_a_size_of_another_order_is_no_percentage():
    found = answer(reading("pitch", "25.4 mm"), reading("inner_width", "340 mm"), marks=("80",))
    words = about(named(found, "16A-1"), "width between inner plates").words
    assert "%" not in words
    assert "or a slip" in words


def test_a_pitch_that_agrees_is_not_perhaps_beyond_the_limit():
    found = answer(reading("pitch", "25.4 mm"), marks=("16B-1",))
    (pitch,) = (each for each in found.candidates[0].wear if each.dimension == "pitch")
    assert "most likely below the usual limit" in pitch.words


def test_transposed_digits_and_a_lost_tape_end_are_named():
    made = catalog(("C", "conveyor bush", {"pitch": 291.0, "pin_diameter": 20.0}))
    pin = reading("pin_diameter", "20.0 mm")
    (slip, _) = identify(evidence(reading("pitch", "219 mm", "caliper"), pin), made).candidates[0].reasons
    assert slip.words.endswith("it fits if two digits were transposed")
    (slip, _) = identify(evidence(reading("pitch", "281 mm", "tape"), pin), made).candidates[0].reasons
    assert slip.words.endswith("it fits if the tape was read 10 mm off its end")


# What next


def test_with_nothing_known_one_looks_first_and_is_told_how_much_that_leaves():
    found = answer()
    assert {step.label for step in found.next[:2]} <= {"make of the links", "form of the rollers", "pitch", "stamp"}
    assert all("chains are likely now" in step.decides for step in found.next if step.dimension)


def test_strands_are_counted_before_anything_is_measured():
    found = answer(reading("pitch", "25.4 mm"), reading("inner_width", "15.8 mm"), words=("roller",))
    assert found.next[0].label == "number of strands"
    assert "one strand leaves 16A-1" in found.next[0].decides
    told = answer(reading("pitch", "25.4 mm"), reading("inner_width", "15.8 mm"), words=("roller", "single"))
    assert "number of strands" not in {step.label for step in told.next}


def test_an_outcome_is_named_only_for_what_a_table_tells():
    """16B-1 has a pin of 36.1 mm: no mean of what others may have is its size."""
    found = answer(reading("pitch", "25.4 mm"), reading("roller_diameter", "15.85 mm"), words=("roller",))
    (pins,) = (step for step in found.next if step.dimension == "pin_length")
    assert "near 36.1 mm (1.421 in) leaves only 16B-1" in pins.decides
    assert "57.9" not in pins.decides


def test_the_end_of_wear_holds_for_a_reading_over_edges_too():
    """Rows of very different sizes give finite likelihoods, without a warning."""
    edges = reading("pitch", "180 mm", technique="outside edges", reference="pins")
    found = posterior(evidence(edges, reading("roller_diameter", "31 mm")), STANDARD)
    assert np.isfinite(found.probability).all()
    assert found.probability.sum() + found.unlisted == pytest.approx(1.0)
