"""Cases with known truth, built by hand arithmetic from published table rows; the source stands beside each.

The sums are worked in the comments: what a new part of that row measures, what wear does to it, and what the
instrument then shows. The tables are re-typed here, not read.
"""

from typing import Any

import pytest

from builders import evidence, reading
from chaincase import Catalog, identify
from chaincase.identifying.answer import Identification

CASES: list[tuple[str, dict[str, Any]]] = [
    (
        # ISO 606:1994 (GOST 13568-97 Annex A, Table A.1) 16B: p 25.4, d1 15.88 max, b1 17.02 min, d2 8.28 max,
        # h2 21.08 max, b4 36.1 max. Ten pitches with 1 % wear: 254.0 * 1.01 = 256.5 mm.
        "16B-1",
        {
            "readings": [
                reading("pitch", "256.5 mm", "tape", over=10),
                reading("roller_diameter", "15.78 mm"),
                reading("inner_width", "17.2 mm"),
                reading("pin_length", "35.6 mm"),
            ],
            "construction": ("roller",),
        },
    ),
    (
        # The same table, 16A (ANSI 80): d1 15.88, b1 15.75, d2 7.92, h2 24.13: the plates and the pin tell it from 16B.
        "16A-1",
        {
            "readings": [
                reading("pitch", "1.003 in"),
                reading("roller_diameter", "0.622 in"),
                reading("pin_diameter", "0.311 in"),
                reading("inner_plate_height", "0.935 in"),
                reading("pin_length", "1.30 in"),
            ]
        },
    ),
    (
        # ISO 606:1994 12B duplex: p 19.05, d1 12.07, b1 11.68, pt 19.46, b5 42.2: the transverse pitch says strands.
        "12B-2",
        {
            "readings": [
                reading("pitch", "19.1 mm"),
                reading("roller_diameter", "12.0 mm"),
                reading("transverse_pitch", "19.5 mm"),
                reading("pin_length", "41.6 mm"),
            ],
            "construction": ("roller",),
        },
    ),
    (
        # Two public tables of welded mill chain agree on W82: P 78.1, pin 14.3, barrel 31.0, bar 31.8 x 6.3. Worn by
        # 1.5 % of the pitch: 78.1 * 1.015 = 79.3; every pitch of an offset link grows alike; four of them 317.1 mm.
        "W82",
        {
            "readings": [
                reading("pitch", "317 mm", "tape", over=4),
                reading("pin_diameter", "14.1 mm"),
                reading("bush_diameter", "30.2 mm"),
                reading("sidebar_height", "31.5 mm"),
            ],
            "construction": ("welded steel", "offset sidebar"),
        },
    ),
    (
        # The same tables, W124: P 101.6, pin 19.05, over the pin 101.5; the first three characters of the stamp.
        "W124",
        {
            "readings": [
                reading("pitch", "4.06 in", "tape"),
                reading("pin_diameter", "18.9 mm"),
                reading("width", "4 in", ""),
            ],
            "marks": ("W?124",),
            "construction": ("offset sidebar",),
        },
    ),
    (
        # DIN 8167-1 / ISO 1977 as two public tables reprint it, M112: d1 15 max, flanged roller 60/70, h 40, p 160.
        # Pins across an inner link show twice the wear: 160 * (1 + 2 * 0.01) = 163.2; across an outer link none.
        "M112x160 flanged roller",
        {
            "readings": [
                reading("pitch", "163.2 mm", "tape", link="inner", reference="pins"),
                reading("pitch", "160.5 mm", "tape", link="outer", reference="pins"),
                reading("roller_diameter", "59.2 mm"),
                reading("flange_diameter", "69.5 mm"),
                reading("pin_diameter", "14.8 mm"),
            ]
        },
    ),
    (
        # The same tables, M80 with the small roller: bush 18, small roller 25, d1 12 max, plate 35, p 125.
        "M80x125 small roller",
        {
            "readings": [
                reading("pitch", "125.5 mm", "tape"),
                reading("roller_diameter", "24.7 mm"),
                reading("pin_diameter", "11.9 mm"),
                reading("inner_plate_height", "34.8 mm"),
            ],
            "construction": ("conveyor",),
        },
    ),
    (
        # ISO 1275 / ANSI C2060H: p 38.1, d1 11.91, b1 12.57, plate 18.0 x 3.25 straight-edged.
        "C212AH",
        {
            "readings": [
                reading("pitch", "1.51 in"),
                reading("roller_diameter", "0.466 in"),
                reading("sidebar_thickness", "0.127 in"),
                reading("sidebar_height", "0.70 in"),
                reading("inner_width", "0.50 in"),
            ],
            "construction": ("double pitch",),
        },
    ),
    (
        # ASME B29.8 / ISO 4347, BL534 (LH1034): P 15.875, pin 5.96, T 2.48, lacing 3x4; the stamp is whole.
        "LH1034",
        {"readings": [reading("pitch", "15.9 mm"), reading("pin_diameter", "5.93 mm")], "marks": ("BL534",)},
    ),
    (
        # ISO 487:1984 / DIN 8189, S45: p 41.40, d1 15.24, b1 22.23, d2 5.72; S55 differs in the roller, 17.78.
        "S45",
        {
            "readings": [
                reading("pitch", "41.6 mm"),
                reading("roller_diameter", "15.1 mm"),
                reading("inner_width", "22.5 mm"),
                reading("pin_diameter", "5.7 mm"),
            ],
            "construction": ("agricultural",),
        },
    ),
    (
        # ISO 3512:1992, 2512: from memory: p 77.90, d1 41.28, b1 39.60, pin 19.08.
        "2512",
        {
            "readings": [
                reading("pitch", "12 3/8 in", "tape", over=4),
                reading("roller_diameter", "1.61 in"),
                reading("pin_diameter", "0.745 in"),
                reading("inner_width", "1.57 in"),
            ],
            "construction": ("offset sidebar", "roller"),
        },
    ),
    (
        # NF E26-108 / DIN 8153 as public tables print it: 38.1 pitch, plate 82.6 x 3, hinge 42.
        "C13S",
        {
            "readings": [
                reading("pitch", "381 mm", "tape", over=10),
                reading("plate_width", "82.5 mm"),
                reading("hinge_width", "42 mm"),
                reading("plate_thickness", "2.9 mm"),
            ],
            "construction": ("flat-top",),
        },
    ),
]


def ask(**parts: Any) -> Identification:
    return identify(evidence(*parts.pop("readings", ()), **parts), Catalog.standard())


@pytest.mark.parametrize(("truth", "parts"), CASES, ids=[truth for truth, _ in CASES])
def test_the_truth_comes_first_and_is_likely(truth: str, parts: dict[str, Any]):
    answer = ask(**dict(parts))
    assert answer.candidates[0].designation == truth
    assert answer.candidates[0].probability > 0.6


def test_a_chain_in_no_table_is_called_unlisted():
    """Common practice, no source: a metric-inch hybrid with a 4 1/4 in pitch, sizes between all rows."""
    answer = ask(
        readings=[
            reading("pitch", "431.8 mm", "tape", over=4),
            reading("bush_diameter", "28.4 mm"),
            reading("pin_diameter", "17.3 mm"),
            reading("inner_width", "49.0 mm"),
            reading("sidebar_height", "44.0 mm"),
            reading("sidebar_thickness", "7.0 mm"),
            reading("pin_length", "101 mm"),
        ],
        construction=("bushed rollerless",),
    )
    assert answer.unlisted > 0.9


def test_a_twin_cannot_be_told_apart_until_the_pin_is_measured():
    """ISO 606: 16A and 16B share pitch and roller; pins of 7.92 and 8.28 mm differ."""
    both = [reading("pitch", "25.4 mm"), reading("roller_diameter", "15.8 mm")]
    open_answer = ask(readings=both, construction=("roller",))
    assert open_answer.candidates[0].probability < 0.6
    pin = [*both, reading("pin_diameter", "8.25 mm"), reading("inner_width", "17.2 mm")]
    settled = ask(readings=pin, construction=("roller",))
    assert settled.candidates[0].designation.startswith("16B")


def test_stamp_against_caliper_is_shown_and_not_averaged():
    answer = ask(
        readings=[
            reading("pitch", "153.7 mm", "tape"),
            reading("pin_diameter", "25.3 mm"),
            reading("bush_diameter", "44.4 mm"),
            reading("sidebar_height", "50.5 mm"),
        ],
        marks=("W124",),
        construction=("welded steel",),
    )
    assert len(answer.conflicts) == 1
    assert "W124" in answer.conflicts[0]
    assert "W132" in answer.conflicts[0]


def test_a_photograph_carries_no_weight_and_says_why():
    plain = [reading("pitch", "25.4 mm"), reading("roller_diameter", "15.8 mm")]
    without = ask(readings=plain)
    with_picture = ask(readings=[*plain, reading("pin_diameter", "3 mm", "photograph")])
    assert with_picture.candidates[0].probability == pytest.approx(without.candidates[0].probability)
    assert any("photograph" in warning for warning in with_picture.warnings)


def test_the_pin_head_explains_itself():
    """Common practice, no source: a head is some fifth thicker than the pin. W124's pin is 19.05 mm."""
    answer = ask(
        readings=[
            reading("pitch", "406 mm", "tape", over=4),
            reading("pin_diameter", "22.6 mm"),
            reading("bush_diameter", "36.3 mm"),
            reading("sidebar_height", "38 mm"),
            reading("sidebar_thickness", "9.1 mm"),
        ],
        marks=("WH124",),
    )
    assert answer.candidates[0].designation == "W124"
    assert any("pin head" in conflict for conflict in answer.candidates[0].conflicts)


def test_a_bare_number_is_both_units_until_the_others_settle_it():
    answer = ask(readings=[reading("pitch", "4"), reading("pin_diameter", "0.75"), reading("bush_diameter", "1.44")])
    assert any("inches" in warning and "100%" in warning for warning in answer.warnings)


def test_figures_from_memory_are_always_said_to_be():
    """offset_sidebar is from memory throughout."""
    answer = ask(marks=("4020",), construction=("offset sidebar",))
    assert answer.candidates[0].designation == "4020"
    assert "from memory" in answer.candidates[0].trust
