"""Stamps: what a rusted bar can still say."""

import numpy as np
import pytest

from builders import SOURCE
from chaincase.catalog.table import Catalog, Row, build
from chaincase.identifying.stamp import channel, eye_of, name_index, stamp_likelihood


def named(*names: str) -> Catalog:
    return build(SOURCE, [Row(designation=name, kind="welded steel", values={"pitch": 100.0}) for name in names])


def best(mark: str, *names: str, legibility: str = "") -> str:
    return names[int(stamp_likelihood(mark, legibility, named(*names)).listed.argmax())]


@pytest.mark.parametrize(
    ("mark", "truth"),
    [
        ("W124", "W124"),
        ("w 124", "W124"),
        ("W-124", "W124"),
        ("W?24", "W124"),
        ("W1Z4", "W124"),  # 2 and Z look alike
        ("WI24", "W124"),  # 1 and I look alike
        ("W12*", "W124"),
        ("*132", "W132"),
        ("W132 K2 88", "W132"),  # an attachment code and a date behind the number
        ("W1B2", "W132"),  # 3 and B look alike in rust
    ],
)
def test_a_damaged_stamp_finds_its_number(mark: str, truth: str):
    assert best(mark, "W78", "W82", "W124", "W111", "W132", legibility="corroded") == truth


def test_a_clear_stamp_says_more_than_a_corroded_one():
    names = named("W124", "W111")
    clear = stamp_likelihood("W124", "clear", names).listed
    corroded = stamp_likelihood("W124", "corroded", names).listed
    assert clear[0] - clear[1] > corroded[0] - corroded[1] > 0


def test_nothing_legible_says_nothing():
    found = stamp_likelihood("??*", "corroded", named("W124", "W111"))
    assert not found.unlisted.any()
    assert not found.listed.any()


def test_a_word_is_foreign_text():
    found = stamp_likelihood("FRONT", "clear", named("W124", "W111"))
    assert found.listed == pytest.approx(found.strange, abs=0.5)


def test_a_foreign_number_speaks_for_none_of_the_chains():
    found = stamp_likelihood("ZQ9053", "clear", named("W124", "W111"))
    assert (found.listed < found.strange - 1).all()


def test_cyrillic_and_latin_letters_cannot_be_told_apart_on_a_bar():
    found = stamp_likelihood("М112", "clear", named("M112", "W112"))
    assert found.listed.argmax() == 0


def test_the_channel_is_a_distribution_over_what_is_seen():
    """All marks of up to three characters over a small alphabet never have more chance than one."""
    index = name_index(named("7"))
    alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    total = sum(float(channel(mark, eye_of(""), index)[0]) for mark in alphabet)
    total += sum(float(channel(a + b, eye_of(""), index)[0]) for a in alphabet for b in alphabet)
    assert 0.7 < total < 1.3


def test_a_special_may_bear_the_number_of_its_relative():
    found = stamp_likelihood("W124", "clear", named("W124", "S188"))
    assert found.listed[0] > found.unlisted[0] > found.unlisted[1]


def test_strand_suffix_may_be_missing_on_the_plate():
    """GOST 13568-97 A.2.2: the suffix gives the strands; the plates bear the number."""
    standard = Catalog.standard()
    found = stamp_likelihood("16B", "clear", standard).listed
    top = {standard.designations[i] for i in np.argsort(-found)[:3]}
    assert top == {"16B-1", "16B-2", "16B-3"}
