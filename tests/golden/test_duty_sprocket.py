"""Sprockets against published figures; the source stands beside each check."""

import csv
import math
from pathlib import Path

import pytest

from chaincase.catalog.table import Catalog
from chaincase.duty import sprocket as form
from chaincase.duty.sprocket_answer import Wheel, sprocket
from chaincase.duty.sprocket_form import chain_parts

PRINTED = Path(__file__).parent / "data" / "sprocket_pitch_diameters_1in.csv"


def _printed() -> list[tuple[int, float]]:
    with PRINTED.open(encoding="utf-8", newline="") as file:
        return [(int(row["teeth"]), float(row["pitch_diameter_mm"])) for row in csv.DictReader(file)]


def test_the_printed_table_is_whole():
    assert [teeth for teeth, _ in _printed()] == list(range(8, 153))


@pytest.mark.parametrize(("teeth", "printed"), _printed())
def test_pitch_diameters_of_a_printed_table(teeth: int, printed: float):
    """Printed table of pitch diameters for 1 inch pitch, 8 to 152 teeth: 0.005 mm, the printed digits."""
    assert form.pitch_diameter(25.4, teeth) == pytest.approx(printed, abs=0.005)


def test_design_of_machine_elements_example_14_5():
    """Design of Machine Elements, ch. 14, ex. 14.5: every printed value is the mean of the standard's limits; 1e-6."""
    p, z, d1, b1 = 19.05, 17, 12.07, 11.68
    tip = (form.tip_diameter_max(p, z, d1) + form.tip_diameter_min(p, z, d1)) / 2
    seat = sum(form.seating_radius(d1)) / 2
    assert tip == pytest.approx(112.138521, rel=1e-6)
    assert form.pitch_diameter(p, z) - 2 * seat == pytest.approx(91.324764, rel=1e-6)
    assert sum(form.flank_radius(z, d1)) / 2 == pytest.approx(36.40312, rel=1e-6)
    assert sprocket(Wheel(p, z, d1, b1))["tooth_side_radius_min_mm"] == 19.05
    assert form.tooth_width(b1, p) == pytest.approx(11.096, rel=1e-6)
    assert sum(form.side_relief(p)) / 2 == pytest.approx(2.38125, rel=1e-6)


def test_a_printed_line_for_number_120_with_25_teeth():
    """Printed worked line, 38.1 mm, 25 teeth; it multiplies with factors of 4 and 3 decimals: 0.01 mm."""
    assert form.pitch_diameter(38.1, 25) == pytest.approx(303.98847, abs=0.01)
    assert form.outside_diameter(38.1, 25) == pytest.approx(324.4596, abs=0.01)


def test_a_conveyor_wheel_of_a_published_design():
    """A published conveyor design with M224, pitch 200, 11 teeth prints 709.9 mm."""
    assert form.pitch_diameter(200, 11) == pytest.approx(709.9, abs=0.05)


@pytest.mark.parametrize(
    ("chain", "inner_width_in", "printed_in"),
    [
        ("25", 0.125, 0.110),
        ("35", 0.1875, 0.168),
        ("41", 0.250, 0.227),
        ("40", 0.3125, 0.284),
        ("50", 0.375, 0.343),
        ("60", 0.500, 0.459),
        ("80", 0.625, 0.575),
    ],
)
def test_tooth_widths_of_asme(chain: str, inner_width_in: float, printed_in: float):
    """Tooth widths printed for ASME B29.1, thousandths of an inch; the nominal inner widths are common knowledge."""
    assert form.tooth_width_asme(inner_width_in * 25.4) / 25.4 == pytest.approx(printed_in, abs=0.001)


@pytest.mark.parametrize(
    ("chain", "one", "several", "over_two", "over_three"),
    [
        ("03B", 2.3, 2.2, None, None),
        ("04B", 2.6, 2.5, None, None),
        ("05B", 2.8, 2.7, 8.3, None),
        ("06B", 5.3, 5.2, 15.4, 25.6),
        ("08B", 7.2, 7.0, 21.0, 34.9),
        ("10B", 9.1, 9.0, 25.5, 42.1),
        ("12B", 11.1, 10.8, 30.3, 49.8),
        ("16B", 16.2, 15.8, 47.7, 79.6),
        ("20B", 18.5, 18.2, 54.6, 91.0),
        ("24B", 24.1, 23.6, 72.0, 120.3),
        ("28B", 29.4, 28.8, 88.4, 148.0),
    ],
)
def test_tooth_widths_of_a_printed_table(
    chain: str, one: float, several: float, over_two: float | None, over_three: float | None
):
    """Printed table of tooth widths for DIN 8187; it rounds and its widths differ in the last digit: 0.1 mm."""
    parts = chain_parts(f"{chain}-1", Catalog.standard())
    b1, p = parts["inner_width"], parts["pitch"]
    assert form.tooth_width(b1, p) == pytest.approx(one, abs=0.1)
    width = form.tooth_width(b1, p, 2)
    assert width == pytest.approx(several, abs=0.1)
    for rows, printed in ((2, over_two), (3, over_three)):
        if printed is not None:
            assert form.width_over_rows(width, parts["transverse_pitch"], rows) == pytest.approx(printed, abs=0.1)


def test_a_caliper_factor_by_hand():
    """ASME B29.1: caliper factor of odd teeth for unit pitch is cos(90°/z)/sin(180°/z); 9 teeth by hand."""
    by_hand = math.cos(math.radians(10)) / math.sin(math.radians(20))
    assert form.caliper_diameter(25.4, 9, 15.88) == pytest.approx(25.4 * by_hand - 15.88, abs=1e-9)
