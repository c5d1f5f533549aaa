"""What holds for every text that is read."""

import json
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.errors import BadInput
from chaincase.reading.candidate import Field
from chaincase.reading.order_line import SEPARATORS, OrderText, read_order
from chaincase.reading.page import fold

WORDS = (
    *("80-2", "#80", "WR124", "C2060H", "K2", "A-1", "EA 4TH", "every", "12", "10 FT", '2 1/2"', "P", "pitch", "p=100"),
    *(
        "M112",
        "x",
        "SS",
        "304",
        "NP",
        "riv",
        "w/",
        "w/o",
        "chain",
        "LH/RH",
        "2 strand",
        "qty 3",
        "(2)",
        "@",
        "24 in o.c.",
    ),
    *("ПР-19.05-31.8", "½", "S 102.5", "-2", "17T", "ß", '½"', "120'-0\"", "links", "\n", "\t", "R", "HP", "1,200 ft"),
)
LINES = st.lists(st.sampled_from(WORDS), min_size=1, max_size=30).flatmap(
    lambda words: st.sampled_from((" ", "", ", ", "-", "\n")).map(lambda blank: blank.join(words))
)
JUNK = st.text(max_size=300) | st.text(alphabet="01289AKCXPRM-/.,'\" \n#½½", max_size=120)


def read(text: str) -> OrderText | None:
    try:
        return read_order(text)
    except BadInput:
        return None


@settings(max_examples=150, deadline=None)
@given(LINES | JUNK)
def test_nothing_is_dropped_and_nothing_overlaps(text: str):
    order = read(text)
    if order is None:
        return
    spans = sorted([*((i.start, i.end) for i in order.items), *order.unread, *order.filler])
    assert all(0 <= start < end <= len(text) for start, end in spans)
    assert all(before[1] <= after[0] for before, after in pairwise(spans))
    covered = {at for span in spans for at in range(*span)}
    left = {at for at, c in enumerate(text) if not c.isspace()} - covered
    assert {fold(text)[at] for at in left} <= set(SEPARATORS)


@settings(max_examples=100, deadline=None)
@given(LINES | JUNK)
def test_items_are_what_the_contract_says(text: str):
    order = read(text)
    if order is None:
        return
    json.dumps(order.as_json())
    for item in order.items:
        assert 0.0 < item.probability < 1.0
        assert text[item.start : item.end].strip() == text[item.start : item.end]
        whole = item.field in {Field.STRANDS, Field.QUANTITY, Field.TEETH, Field.SPACING_PITCHES, Field.LENGTH_PITCHES}
        lengths = item.field in {Field.LENGTH, Field.SPACING_LENGTH, Field.PITCH}
        assert type(item.value) is (int if whole else float if lengths else str)
        assert isinstance(item.value, str) or item.value > 0


@settings(max_examples=50, deadline=None)
@given(LINES | JUNK)
def test_reading_is_the_same_every_time(text: str):
    assert read(text) == read(text)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(("WR124", "C2060H", "80-2", "16B-1", "S188")), st.integers(1, 400), st.sampled_from(("ft", "m")))
def test_a_plain_line_gives_its_number_and_length_back(number: str, length: int, unit: str):
    order = read_order(f"{number} chain, {length} {unit}")
    assert order.values("designation") == [number]
    assert order.values("length") == [pytest.approx(length * (304.8 if unit == "ft" else 1000.0))]


@settings(max_examples=60, deadline=None)
@given(
    st.integers(2, 99),
    st.sampled_from(("K2", "A1", "SK1")),
    st.sampled_from(("EA {}TH", "every {} pitches", "{}P spacing")),
)
def test_a_spacing_gives_its_pitches_back(pitches: int, code: str, way: str):
    order = read_order(f"C2060H {code} {way.format(pitches)}")
    assert order.values("attachment") == [code]
    assert order.values("spacing_pitches") == [pitches]
