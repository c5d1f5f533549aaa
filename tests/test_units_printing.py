"""Printing quantities. The digits and the fractions are our choice (common practice, no source)."""

import math

import pytest

from chaincase.errors import BadInput
from chaincase.units import explain, show_force, show_length, show_mass, show_speed


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (66.27, "66.27 mm (2.609 in)"),
        (63.5, "63.5 mm (2 1/2 in)"),
        (41.275, "41.28 mm (1 5/8 in)"),
        (101.6, "101.6 mm (4 in)"),
        (102.62, "102.62 mm (4.040 in)"),
        (78.11, "78.11 mm (3.075 in)"),
        (12.7, "12.7 mm (1/2 in)"),
        (15.88, "15.88 mm (5/8 in)"),
        (15.83, "15.83 mm (5/8 in)"),
        (15.82, "15.82 mm (0.623 in)"),
        (66.278125, "66.28 mm (2 39/64 in)"),
        (66.29, "66.29 mm (2.610 in)"),
        (0.396875, "0.4 mm (1/64 in)"),
        (0.0127, "0.013 mm (0.00050 in)"),
        (0, "0 mm (0 in)"),
        (-0.5, "-0.5 mm (-0.020 in)"),
        (1231.9, "1231.9 mm (48 1/2 in)"),
        (9999.94, "9999.9 mm (393.698 in)"),
        (12_345.0, "12.345 m (40.50 ft)"),
    ],
)
def test_lengths(mm: float, shown: str) -> None:
    assert show_length(mm) == shown


def test_one_system_alone() -> None:
    assert (show_length(63.5, "mm"), show_length(63.5, "in")) == ("63.5 mm", "2 1/2 in")
    assert (show_force(1e3, "mm"), show_force(1e3, "in")) == ("1 kN", "224.8 lbf")
    assert (show_mass(1.0, "mm"), show_mass(1.0, "in")) == ("1 kg", "2.205 lb")
    assert (show_speed(1.0, "mm"), show_speed(1.0, "in")) == ("1 m/s", "196.9 ft/min")


@pytest.mark.parametrize("sixteenths", range(1, 200))
def test_every_sixteenth_prints_as_a_reduced_fraction(sixteenths: int) -> None:
    shown = show_length(sixteenths * 25.4 / 16, "in").removesuffix(" in")
    assert "." not in shown
    whole, _, part = shown.rpartition(" ") if "/" in shown else (shown, "", "0/1")
    top, bottom = (int(n) for n in part.split("/"))
    assert math.gcd(top, bottom) == 1
    assert int(whole or 0) + top / bottom == sixteenths / 16


@pytest.mark.parametrize(
    ("newtons", "shown"),
    [
        (31_800, "31.8 kN (7149 lbf)"),
        (250, "250 N (56.2 lbf)"),
        (333_617, "333.6 kN (75000 lbf)"),
        (0, "0 N (0 lbf)"),
        (-1500, "-1.5 kN (-337.2 lbf)"),
    ],
)
def test_forces(newtons: float, shown: str) -> None:
    assert show_force(newtons) == shown


@pytest.mark.parametrize(
    ("kg", "shown"),
    [
        (2.71, "2.71 kg (5.975 lb)"),
        (0.05, "50 g (0.1102 lb)"),
        (12_300, "12.3 t (27120 lb)"),
        (0, "0 kg (0 lb)"),
        (10, "10 kg (22.05 lb)"),
    ],
)
def test_masses(kg: float, shown: str) -> None:
    assert show_mass(kg) == shown


def test_speeds() -> None:
    assert show_speed(0.5) == "0.5 m/s (98.43 ft/min)"
    assert show_speed(0) == "0 m/s (0 ft/min)"


@pytest.mark.parametrize("show", [show_length, show_force, show_mass, show_speed])
@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, 1e16, -1e300])
def test_what_is_not_finite_is_refused(show, number: float) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput, match="give a finite number of"):
        show(number)


def test_explain_keeps_both_hypotheses_of_a_bare_number() -> None:
    mm, inch = explain("2.5")["readings"]
    assert (mm["if_no_unit_means"], mm["value"], mm["step"]) == ("mm", 2.5, 0.1)
    assert (inch["if_no_unit_means"], inch["value"], inch["step"]) == ("in", 63.5, 2.54)
    assert inch["shown"] == "63.5 mm (2 1/2 in)"


def test_explain_tells_how_it_was_read() -> None:
    assert explain("4' 2 1/2\"") == {
        "text": "4' 2 1/2\"",
        "readings": [
            {
                "measure": "length",
                "read_as": "50 1/2 in",
                "value": 1282.7,
                "unit": "mm",
                "step": 12.7,
                "shown": "1282.7 mm (50 1/2 in)",
            }
        ],
    }


@pytest.mark.parametrize(
    ("text", "read_as"),
    [("2.60 in", "2.60 in"), ("63,5 mm", "63.5 mm"), ("5 thou", "0.005 in"), ("0,05 mm", "0.05 mm"), ("6'", "6 ft")],
)
def test_explain_keeps_the_places_written(text: str, read_as: str) -> None:
    assert [reading["read_as"] for reading in explain(text)["readings"]] == [read_as]


def test_a_pound_is_a_force_or_a_mass() -> None:
    readings = explain("450 lb")["readings"]
    assert [(reading["measure"], reading["shown"]) for reading in readings] == [
        ("force", "2.002 kN (450 lbf)"),
        ("mass", "204.1 kg (450 lb)"),
    ]


def test_many_decimals_are_printed_in_full() -> None:
    text = f"0.{'123456789' * 20} mm"
    assert explain(text)["readings"][0]["read_as"] == text
