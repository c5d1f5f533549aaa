"""Reading quantities. Factors: international yard and pound agreement of 1959; kgf: 3rd CGPM, 1901."""

from fractions import Fraction

import numpy as np
import pytest

from chaincase.errors import BadInput
from chaincase.units import Length, Quantity, parse_force, parse_length, parse_mass, parse_speed
from chaincase.units.measures import FORCE, LENGTH, MEASURES

# text, value, unit, step: the value and the last place written, in that unit
ACCEPTED = [
    ("2.609 in", "2.609", "in", "0.001"),
    ("  2.609 in  ", "2.609", "in", "0.001"),
    ("2.609in.", "2.609", "in", "0.001"),
    ("2.609 inch", "2.609", "in", "0.001"),
    ("2.609 INCHES", "2.609", "in", "0.001"),
    ('2 39/64"', "167/64", "in", "1/64"),
    ("2-39/64 in", "167/64", "in", "1/64"),
    ("2–39/64 in", "167/64", "in", "1/64"),
    ("2−39/64 in", "167/64", "in", "1/64"),
    ("2 - 39/64 in", "167/64", "in", "1/64"),
    ("2 2/4 in", "5/2", "in", "1/4"),
    ("5/4 in", "5/4", "in", "1/4"),
    ("0 1/2 in", "1/2", "in", "1/2"),
    ('6"', "6", "in", "1"),
    ("6''", "6", "in", "1"),
    ("6′′", "6", "in", "1"),
    ("6″", "6", "in", "1"),
    ("6”", "6", "in", "1"),
    ("6“", "6", "in", "1"),
    ("6’’", "6", "in", "1"),
    ("6'", "6", "ft", "1"),
    ("6′", "6", "ft", "1"),
    ("6’", "6", "ft", "1"),
    ("4 ft 2 in", "50", "in", "1"),
    ("4ft2in", "50", "in", "1"),
    ("4 feet 2 inches", "50", "in", "1"),
    ("1 foot 0.5 in", "12.5", "in", "0.1"),
    ("4 ft. 2 in.", "50", "in", "1"),
    ("4' 2 1/2\"", "50.5", "in", "1/2"),
    ("4'-2 1/2\"", "50.5", "in", "1/2"),
    ("4′ 2½″", "50.5", "in", "1/2"),
    ("4' ½\"", "48.5", "in", "1/2"),
    ("4.5 ft", "4.5", "ft", "0.1"),
    ("4 1/2 ft", "4.5", "ft", "1/2"),
    ("63,5 mm", "63.5", "mm", "0.1"),
    ("63.5", "63.5", None, "0.1"),
    ("63.50", "63.5", None, "0.01"),
    ("63", "63", None, "1"),
    ("101.6mm", "101.6", "mm", "0.1"),
    ("101.6 MM", "101.6", "mm", "0.1"),
    ("101.6 mm", "101.6", "mm", "0.1"),
    ("101.6 mm", "101.6", "mm", "0.1"),
    ("101.6 mm", "101.6", "mm", "0.1"),
    ("1½ in", "3/2", "in", "1/2"),
    ("½ in", "1/2", "in", "1/2"),
    ('2⅝"', "21/8", "in", "1/8"),
    ("1⅓ in", "4/3", "in", "1/3"),
    ('1/2"', "1/2", "in", "1/2"),
    ("12 1⁄8 in", "97/8", "in", "1/8"),
    ("12¹⁄₈ in", "97/8", "in", "1/8"),
    ("2 1∕2 in", "5/2", "in", "1/2"),
    ("2 39/64", "167/64", None, "1/64"),
    ("0,125", "0.125", None, "0.001"),
    ("0,125 in", "0.125", "in", "0.001"),
    ("1.234", "1.234", None, "0.001"),
    ("1,23", "1.23", None, "0.01"),
    ("1,2345", "1.2345", None, "0.0001"),
    ("1234,567", "1234.567", None, "0.001"),
    (".5 in", "0.5", "in", "0.1"),
    (",5 in", "0.5", "in", "0.1"),
    ("5. mm", "5", "mm", "1"),
    ("1.2 cm", "1.2", "cm", "0.1"),
    ("3 m", "3", "m", "1"),
    ("2.5 meters", "2.5", "m", "0.1"),
    ("80 µm", "80", "um", "1"),
    ("80 μm", "80", "um", "1"),
    ("80 um", "80", "um", "1"),
    ("5 thou", "0.005", "in", "0.001"),
    ("5.5 mil", "0.0055", "in", "0.0001"),
    ("63,5 мм", "63.5", "mm", "0.1"),
]


@pytest.mark.parametrize(("text", "value", "unit", "step"), ACCEPTED)
def test_accepted_lengths(text: str, value: str, unit: str | None, step: str) -> None:
    read = parse_length(text)
    assert (read.value, read.unit, read.step) == (Fraction(value), unit, Fraction(step))
    assert read.text == text


@pytest.mark.parametrize(
    ("text", "mm"),
    [("1 in", 25.4), ("1 ft", 304.8), ("1 cm", 10.0), ("1 m", 1000.0), ("1 um", 0.001), ("1 thou", 0.0254)],
)
def test_factors_of_length(text: str, mm: float) -> None:
    assert parse_length(text).mm() == mm


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("63.5 mm", 0.1),
        ("2.609 in", 0.0254),
        ('2 39/64"', 25.4 / 64),
        ("48 1/2 in", 25.4 / 2),
        ("48 in", 25.4),
        ("63 mm", 1.0),
        ("4' 2 1/2\"", 12.7),
        ("4 ft", 304.8),
    ],
)
def test_resolution_is_the_last_place_written(text: str, mm: float) -> None:
    assert parse_length(text).resolution_mm() == pytest.approx(mm, rel=1e-15)


def test_a_missing_unit_is_kept_open() -> None:
    read = parse_length("2.5")
    assert read.unit is None
    assert (read.mm_if("mm"), read.mm_if("in")) == (2.5, 63.5)
    assert (read.resolution_mm("mm"), read.resolution_mm("in")) == (0.1, 2.54)
    for call in (read.mm, read.resolution_mm):
        with pytest.raises(BadInput, match=r"'2\.5' has no unit; write 2\.5 mm or 2\.5 in"):
            call()


def test_a_written_unit_outlives_the_hypothesis() -> None:
    read = parse_length("2.5 cm")
    assert read.mm_if("in") == read.mm_if("mm") == read.mm() == 25.0
    assert read.resolution_mm("in") == read.resolution_mm() == 1.0


@pytest.mark.parametrize("number", [63.5, np.float64(63.5), np.float32(63.5)])
def test_floats_are_read_by_their_shortest_digits(number: float) -> None:
    read = parse_length(number)
    assert (read.value, read.unit, read.step, read.text) == (Fraction("63.5"), None, Fraction(1, 10), "63.5")


def test_whole_numbers_have_a_step_of_one() -> None:
    assert parse_length(63) == Length(Fraction(63), None, "63", Fraction(1))
    assert parse_length(np.int64(63)).step == 1
    assert parse_length(1e3).value == 1000


def test_small_floats_are_read() -> None:
    assert parse_length(1e-05).value == Fraction(1, 100_000)


def test_lengths_are_values() -> None:
    assert {parse_length("1 in"), parse_length("1 in")} == {parse_length("1 in")}
    with pytest.raises(AttributeError):
        parse_length("1 in").unit = "mm"  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        ("1 N", 1.0),
        ("31.8 kN", 31800.0),
        ("5 daN", 50.0),
        ("1 kgf", 9.80665),
        ("1 kp", 9.80665),
        ("1 lbf", 4.4482216152605),
        ("1 lb", 4.4482216152605),
        ("12500 lbs", 55602.77019075625),
        ("31,8 kn", 31800.0),
        ("0 N", 0.0),
    ],
)
def test_forces(text: str, newtons: float) -> None:
    assert parse_force(text).si() == pytest.approx(newtons, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kg"),
    [("2.7 kg", 2.7), ("250 g", 0.25), ("1.2 t", 1200.0), ("1 lb", 0.45359237), ("10 lbs", 4.5359237), ("0 kg", 0.0)],
)
def test_masses(text: str, kg: float) -> None:
    assert parse_mass(text).si() == pytest.approx(kg, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "speed"),
    [
        ("0.5 m/s", 0.5),
        ("30 m/min", 0.5),
        ("30 m / min", 0.5),
        ("100 ft/min", 0.508),
        ("100 fpm", 0.508),
        ("250 mm/s", 0.25),
        ("10 in/s", 0.254),
        ("1 1/2 ft/s", 0.4572),
    ],
)
def test_speeds(text: str, speed: float) -> None:
    assert parse_speed(text).si() == pytest.approx(speed, rel=1e-15)


def test_a_force_without_a_unit_has_no_si_value() -> None:
    with pytest.raises(BadInput, match="'450' has no unit; use N, kN, daN, kgf or lbf"):
        parse_force("450").si()


def test_one_quantity_type_serves_all_three() -> None:
    force = parse_force("450 lbf")
    assert isinstance(force, Quantity)
    assert (force.measure, force.unit, force.value, force.step) == (FORCE, "lbf", 450, 1)


@pytest.mark.parametrize("measure", MEASURES, ids=lambda measure: measure.name)
def test_every_spelling_names_a_unit(measure) -> None:  # type: ignore[no-untyped-def]
    assert set(measure.spellings.values()) == set(measure.factors)
    assert all(word == word.casefold() for word in measure.spellings)


def test_only_the_pound_means_two_things() -> None:
    words = [word for measure in MEASURES for word in measure.spellings]
    assert {word for word in words if words.count(word) > 1} == {"lb", "lbs"}
    assert LENGTH.factors["in"] == Fraction(254, 10)
