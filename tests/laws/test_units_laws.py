"""What must hold for every quantity."""

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from chaincase.errors import BadInput
from chaincase.units import (
    explain,
    parse_force,
    parse_length,
    parse_mass,
    parse_speed,
    show_force,
    show_length,
    show_mass,
    show_speed,
)

PARSERS = (parse_length, parse_force, parse_mass, parse_speed, explain)
LETTERS = st.text(alphabet="0123456789.,/⁄-–− '\"′″½⅝¹₈xinftmkgNlbs\u2009\u00a0()", max_size=24)


def _fault(parse: Callable[..., Any], text: Any) -> BadInput | None:
    try:
        parse(text)
    except BadInput as fault:
        return fault
    return None


@given(st.one_of(st.text(), LETTERS))
@example("1" * 201)
@example("½½")
@example("1¹⁄")
@example("\ud800")
def test_no_text_raises_anything_but_bad_input(text: str) -> None:
    for fault in filter(None, (_fault(parse, text) for parse in PARSERS)):
        assert fault.right
        assert 1 <= int(fault.where.removeprefix("character ")) <= len(text) + 1


@given(st.one_of(st.floats(), st.integers(), st.booleans(), st.none()))
@example(10**5000)
def test_no_number_raises_anything_but_bad_input(number: float | None) -> None:
    for fault in filter(None, (_fault(parse, number) for parse in PARSERS)):
        assert fault.right


@given(st.integers(1, 10**6), st.integers(0, 6))
def test_inches_and_millimeters_convert_exactly(digits: int, places: int) -> None:
    inches = Fraction(digits, 10**places)
    text = f"{digits // 10**places}.{digits % 10**places:0{places}}" if places else str(digits)
    if inches * Fraction("25.4") < Fraction(1, 10**6):
        assert _fault(parse_length, f"{text} in")
        return
    read = parse_length(f"{text} in")
    assert read.value == inches
    assert read.mm() == float(inches * Fraction("25.4")) == read.mm_if("mm")
    assert parse_length(text).mm_if("in") == read.mm()
    assert read.resolution_mm() == float(Fraction("25.4") / 10**places)


@given(st.integers(0, 500), st.integers(1, 63), st.sampled_from(["-", " ", "–"]), st.sampled_from(["in", '"', "″"]))
def test_sixty_fourths_are_exact(whole: int, over: int, gap: str, unit: str) -> None:
    read = parse_length(f"{whole}{gap}{over}/64{unit}")
    assert read.value == whole + Fraction(over, 64)
    assert read.step == Fraction(1, 64)
    assert read.mm() == float((64 * whole + over) * Fraction("25.4") / 64)


@given(st.integers(1, 99), st.integers(0, 11), st.integers(1, 15))
def test_feet_and_inches_add_up(feet: int, inches: int, sixteenths: int) -> None:
    read = parse_length(f"{feet}' {inches} {sixteenths}/16\"")
    assert read == parse_length(f"{feet}' {inches} {sixteenths}/16\"")
    assert read.value == 12 * feet + inches + Fraction(sixteenths, 16)


@given(st.integers(1, 10**7), st.integers(1, 5))
def test_point_and_comma_mean_the_same_where_both_are_read(digits: int, places: int) -> None:
    text = f"{digits // 10**places}.{digits % 10**places:0{places}} mm"
    fault = _fault(parse_length, text.replace(".", ","))
    if fault is not None:
        assert "decimals or thousands" in fault.what
        assert places == 3
        return
    comma = parse_length(text.replace(".", ","))
    assert (comma.value, comma.step) == (parse_length(text).value, parse_length(text).step)


@given(st.floats(0.01, 1e7))
def test_printed_millimeters_read_back(mm: float) -> None:
    step = 0.0005 if mm < 0.1 else 0.01 if mm < 1000 else 0.1 if mm < 10_000 else 1.0
    assert parse_length(show_length(mm, "mm")).mm() == pytest.approx(mm, abs=step * 0.500001)


@given(st.floats(0.01, 9_999.0))
def test_printed_inches_read_back(mm: float) -> None:
    read = parse_length(show_length(mm, "in"))
    assert read.mm() == pytest.approx(mm, abs=0.002 * 25.4 * 1.000001)
    if read.step.denominator > 16 and read.step.denominator & (read.step.denominator - 1) == 0:
        assert read.mm() == pytest.approx(mm, abs=0.005000001)


@given(st.integers(1, 64 * 300))
def test_printed_sixty_fourths_read_back_exactly(sixty_fourths: int) -> None:
    mm = float(sixty_fourths * Fraction("25.4") / 64)
    assert parse_length(show_length(mm, "in")).mm() == mm


@given(st.floats(1e-3, 1e9))
def test_other_quantities_read_back_to_four_digits(value: float) -> None:
    for system in ("mm", "in"):
        for parse, show in ((parse_force, show_force), (parse_mass, show_mass)):
            assert parse(show(value, system)).si() == pytest.approx(value, rel=0.00051)
        assert parse_speed(show_speed(value / 1e4, system)).si() == pytest.approx(value / 1e4, rel=0.00051)


@given(st.floats(-1e15, 1e15))
def test_every_finite_number_prints_with_its_sign(value: float) -> None:
    for show in (show_length, show_force, show_mass, show_speed):
        shown = show(value)
        assert shown.startswith("-") == (value < 0)
        assert math.isfinite(float(shown.lstrip("-").split()[0]))
