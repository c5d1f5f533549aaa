"""What is refused, at which character, and what the message says would be right."""

from typing import Any

import pytest

from chaincase.errors import BadInput
from chaincase.units import explain, parse_force, parse_length, parse_mass, parse_speed

REFUSED = [
    ("", 1, "is empty"),
    ("   ", 4, "is empty"),
    ("nan", 1, "has no number here"),
    ("inf", 1, "has no number here"),
    ("in", 1, "has no number here"),
    ("+5 mm", 1, "has no number here"),
    ("-5 mm", 1, "is negative; a length must be greater than zero"),
    ("−5 mm", 1, "is negative; a length must be greater than zero"),
    ("0", 1, "is zero; a length must be greater than zero"),
    ("0.00 mm", 1, "is zero"),
    ("0/4 in", 1, "is zero"),
    ("1/0 in", 3, "divides by zero"),
    ("2 1/0 in", 5, "divides by zero"),
    ("1/ in", 4, "has nothing below the fraction line"),
    ("1/", 3, "has nothing below the fraction line"),
    ("1.5/2 in", 1, "has '1.5' in a fraction; write whole numbers"),
    ("1/2.5 in", 3, "has '2.5' in a fraction"),
    ("2.5 1/2 in", 5, "mixes a decimal with a fraction"),
    ("2.5½ in", 4, "mixes a decimal with a fraction"),
    ("2 64/64 in", 3, "has a fraction of 1 or more"),
    ("2-5/2 in", 2, "has a fraction of 1 or more"),
    ("²", 1, "has small digits"),
    ("2²", 2, "has two numbers"),
    ("1,234", 2, "has a comma that may mark decimals or thousands; write 1.234 or 1234"),
    ("12,345 mm", 3, "write 12.345 or 12345"),
    ("1,234.5", 1, "has several marks in '1,234.5'; write the decimal mark only"),
    ("1.234,5", 1, "has several marks"),
    ("1,234,567", 1, "has several marks"),
    ("1 234 mm", 3, "has two numbers"),
    ("2 3 in", 3, "has two numbers"),
    ("2-3 in", 2, "is a range"),
    ("2 - 3 in", 3, "is a range"),
    ("2–3 in", 2, "is a range"),
    ("2 in - 3 in", 6, "is a range"),
    ("2 to 3 in", 3, "is a range"),
    ("2 in to 3 in", 6, "is a range"),
    ("4 ft - 5 ft", 6, "is a range"),
    ("1/2 - 3/4 in", 5, "is a range"),
    ("2 x 3 in", 3, "has more than one value"),
    ("2x3", 2, "has more than one value"),
    ("2 × 3 mm", 3, "has more than one value"),
    ("2 in x 3 in", 6, "has more than one value"),
    ("2, 3 in", 2, "has more than one value"),
    ("2; 3", 2, "has more than one value"),
    ('2" 3"', 4, "has more than one value"),
    ("2 mm 3", 6, "has more than one value"),
    ("5 kg", 3, "has 'kg', a unit of mass; use mm, cm, m, um, in or ft"),
    ("5 N", 3, "has 'N', a unit of force"),
    ("5 m/s", 3, "has 'm/s', a unit of speed"),
    ("6 mmm", 3, "has the unknown unit 'mmm'; use mm, cm, m, um, in or ft"),
    ("1e5 mm", 2, "has the unknown unit 'e'"),
    ("5 %", 3, "goes on with '%'"),
    ("5 mm?", 5, "goes on with '?'"),
    ("5 mm -", 6, "is a range"),
    ("2 in (50.8 mm)", 6, "goes on with '('"),
    ("4' 2", 5, "has feet without inches after them"),
    ("4 ft 2 mm", 8, "has feet without inches after them"),
    ("4 ft 14 in", 6, "has 12 inches or more after the feet"),
    ("4.5 ft 2 in", 8, "has a part of a foot before the inches"),
    ("1000001 m", 1, "is out of bounds; a length lies between 1e-06 and 1e+09 mm"),
    ("0.0000001 mm", 1, "is out of bounds"),
    ("9" * 200, 1, "is out of bounds"),
    ("٣ mm", 1, "has no number here"),
    ("ab\x00", 1, "has no number here"),
]


@pytest.mark.parametrize(("text", "character", "message"), REFUSED)
def test_refused_lengths(text: str, character: int, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_length(text)
    assert caught.value.where == f"character {character}"
    assert message in str(caught.value)
    assert caught.value.right


@pytest.mark.parametrize("junk", ["1", "1/", "1 ", "1,", "a", "'", "-", "½", "\x00", "1.", "a/", "\u2009"])
def test_long_texts_are_refused_before_they_are_read(junk: str) -> None:
    with pytest.raises(BadInput, match="write one length only") as caught:
        parse_length(junk * 100_000)
    assert caught.value.where == "character 201"
    assert len(str(caught.value)) < 300


def test_the_caller_says_where_the_text_stands() -> None:
    with pytest.raises(BadInput) as caught:
        parse_length("6 mmm", where="readings[0].value")
    fault = "readings[0].value: character 3: '6 mmm' has the unknown unit 'mmm'; use mm, cm, m, um, in or ft"
    assert str(caught.value) == fault


@pytest.mark.parametrize("number", [True, False, None, [], {}, b"1 mm", object(), 1j])
def test_what_is_neither_text_nor_number_is_refused(number: Any) -> None:
    with pytest.raises(BadInput, match=r"is not a length; write 63\.5 mm or 2 1/2 in"):
        parse_length(number, where="row 2")


@pytest.mark.parametrize("number", [float("nan"), float("inf"), float("-inf"), 1e300, 10**400, -(10**400)])
def test_numbers_out_of_bounds_are_refused(number: float) -> None:
    with pytest.raises(BadInput, match="a length lies between"):
        parse_length(number)


@pytest.mark.parametrize("number", [0, 0.0, -1, -0.5])
def test_numbers_that_are_no_length_are_refused(number: float) -> None:
    with pytest.raises(BadInput, match="a length must be greater than zero"):
        parse_length(number)


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (parse_force, "100 kg", "has 'kg', a unit of mass; use N, kN, daN, kgf or lbf"),
        (parse_force, "-1 N", "a force must not be negative"),
        (parse_mass, "100 N", "has 'N', a unit of force; use kg, g, t or lb"),
        (parse_mass, "2 ft 3 in", "has 'ft', a unit of length"),
        (parse_mass, "5 thou", "has the unknown unit 'thou'"),
        (parse_speed, "5 m", "has 'm', a unit of length; use m/s, m/min, mm/s, ft/min, ft/s or in/s"),
        (parse_speed, "5 km/h", "has the unknown unit 'km/h'"),
        (parse_force, "10000000000 kN", "a force lies between 0 and 1e+12 N"),
    ],
)
def test_the_other_measures_refuse_alike(parse: Any, text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse(text)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0 mm", "character 1: '0 mm' is zero; a length must be greater than zero"),
        ("5 foo", "use a unit of length: mm, cm, m, um, in or ft; force: N, kN, daN, kgf or lbf; mass: kg"),
        ("2 x 3 in", "has more than one value"),
        ("", "is empty"),
    ],
)
def test_explain_gives_the_fault_of_the_measure_that_was_meant(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        explain(text)
    assert message in str(caught.value)
