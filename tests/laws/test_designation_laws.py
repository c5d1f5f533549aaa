"""What must hold for every text that may be a designation."""

from contextlib import suppress

from hypothesis import given
from hypothesis import strategies as st

from chaincase.chains.designation import CYRILLIC, LATIN, Designation, key, parse_designation, spellings
from chaincase.errors import BadInput

WORDS = ["16", "80", "102", "2", "0", "8", "B", "A", "C", "H", "L", "M", "М", "ПР", "S", "W", "R", "X", "x", "F", "160"]
SIGNS = [
    "-",
    " ",
    ".5",
    "1/2",
    "½",
    "?",
    "*",
    ",",
    "(",
    "(K1)",
    "LH",
    "22",
    "kN",
    " flanged roller",
    "ANSI ",
    "ISO 606 ",
]
PIECES = st.lists(st.sampled_from([*WORDS, *SIGNS]), max_size=8).map("".join)
TEXTS = st.one_of(st.text(max_size=40), PIECES)

SOUND = st.one_of(
    st.builds("{:02}{}-{}".format, st.integers(1, 72), st.sampled_from("AB"), st.integers(1, 9)),
    st.builds("{}{}".format, st.sampled_from(["W", "WR", "WH", "S", "WD", "H"]), st.integers(100, 999)),
    st.builds("M{}x{}".format, st.integers(20, 900), st.integers(40, 1000)),
    st.builds("M{}-{}-{}".format, st.integers(20, 900), st.sampled_from("BSPF"), st.integers(40, 1000)),
    st.builds(
        "{}{:02}{}{}".format, st.sampled_from(["LH", "LL"]), st.integers(4, 48), st.integers(2, 8), st.integers(2, 8)
    ),
    st.builds("{}ПР-{}-{}".format, st.integers(2, 4), st.sampled_from(["12.7", "63,5"]), st.integers(10, 900)),
)


@given(TEXTS)
def test_no_text_raises_anything_but_bad_input(text: str) -> None:
    with suppress(BadInput):
        assert isinstance(parse_designation(text), Designation)
    assert spellings(text)[0] == text.strip()


@given(TEXTS)
def test_the_key_of_a_key_is_itself(text: str) -> None:
    assert key(key(text)) == key(text)


@given(TEXTS)
def test_the_key_sees_neither_case_nor_separators_around(text: str) -> None:
    assert key(f" - {text} /") == key(text)
    assert key(text.upper()) == key(text)


@given(PIECES)
def test_wildcards_stay(text: str) -> None:
    assert [c for c in key(text) if c in "?*"] == [c for c in text if c in "?*"]


@given(PIECES)
def test_look_alikes_have_one_key(text: str) -> None:
    cyrillic = text.translate(str.maketrans(LATIN, CYRILLIC))
    assert key(cyrillic) == key(text)


@given(SOUND)
def test_what_this_tool_writes_it_reads_back(text: str) -> None:
    read = parse_designation(text)
    again = parse_designation(str(read))
    same = ("system", "base", "strands", "pitch_mm", "rollers", "heavy", "lacing")
    assert [getattr(read, name) for name in same] == [getattr(again, name) for name in same]
    assert str(again) == str(read)


@given(SOUND)
def test_every_spelling_is_the_same_chain_number(text: str) -> None:
    read = parse_designation(text)
    for way in spellings(text):
        other = parse_designation(way)
        assert other.strands in {read.strands, 1}
        assert other.pitch_mm in {read.pitch_mm, None}
        assert other.rollers in {read.rollers, ""}


@given(SOUND, st.sampled_from(["ANSI ", "DIN 8187 ", "ISO 606 ", "GOST 588-81 ", "BS ISO 1977 "]))
def test_the_standard_before_the_number_changes_nothing_else(text: str, standard: str) -> None:
    read = parse_designation(standard + text)
    assert read.standard == standard.strip()
    assert str(read) == str(parse_designation(text))
    assert key(text) in {key(way) for way in spellings(standard + text)}


@given(st.lists(SOUND, min_size=2, max_size=6))
def test_order_is_total(texts: list[str]) -> None:
    numbers = [parse_designation(text) for text in texts]
    backwards = numbers[::-1]
    assert sorted(numbers) == sorted(backwards)
    for one in numbers:
        for other in numbers:
            assert (one < other) + (other < one) == (one.text != other.text)
