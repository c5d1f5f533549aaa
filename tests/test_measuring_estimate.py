import math
from typing import Any

import pytest
from uncertainties import ufloat

from chaincase.measuring.budget import step_mm
from chaincase.measuring.estimate import Estimate, estimate, settle, units_possible
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.instruments import STEPS, TITLES, Instrument
from chaincase.measuring.reading import Reading, dimension_named, instrument_named
from chaincase.measuring.techniques import Technique
from chaincase.measuring.uncertainty import Distribution
from chaincase.units import parse_length


def estimated(dimension: str, value: str, unit: Any = None, **rest: Any) -> Estimate:
    return estimate(Reading.parse(dimension, value, **rest), unit)


def parts(of: Estimate) -> dict[str, float]:
    return {part.name: part.u_mm for part in of.components}


def test_taped_over_several_pitches() -> None:
    """By hand: class II tape to 2 m ± 0.7 mm, step 1 mm, two ends ± 0.5 mm, all divided by 12."""
    found = estimated("pitch", "1232 mm", instrument="tape", technique="same edge", over=12)
    u = math.sqrt(0.7**2 / 3 + 1.0 / 12 + 2 * 0.5**2 / 3) / 12
    assert found.value_mm == pytest.approx(1232 / 12)
    assert found.u_mm == pytest.approx(u)
    assert math.isinf(found.dof)


def test_pin_with_a_digital_caliper() -> None:
    """By hand: ± 0.02 mm limit, step 0.01 mm, two contacts ± 0.02 mm."""
    found = estimated("pin_diameter", "18.92 mm", instrument="digital caliper", technique="direct")
    assert found.value_mm == pytest.approx(18.92)
    assert found.u_mm == pytest.approx(math.sqrt(0.02**2 / 3 + 0.01**2 / 12 + 2 * 0.02**2 / 3))


def test_written_step_counts_where_it_is_coarser_than_the_display() -> None:
    fine = estimated("pin_diameter", "19.00 mm", instrument="digital caliper")
    coarse = estimated("pin_diameter", "19 mm", instrument="digital caliper")
    assert parts(coarse)["rounding"] == pytest.approx(1 / math.sqrt(12))
    assert coarse.u_mm > 5 * fine.u_mm


def test_figures_that_a_tape_cannot_show_do_not_make_it_better() -> None:
    """False precision: 103.37 mm off a tape is 103 mm off a tape."""
    assert estimated("pitch", "103.37 mm", instrument="tape").u_mm == pytest.approx(
        estimated("pitch", "103 mm", instrument="tape").u_mm
    )


@pytest.mark.parametrize(
    ("value", "instrument", "inches"),
    [
        ("48 1/2 in", "tape", 1 / 4),
        ("48 3/8 in", "tape", 1 / 8),
        ("48 8/16 in", "tape", 1 / 16),
        ("4 in", "tape", 1 / 4),
        ("4 ft", "tape", 1.0),
        ("4.06 in", "tape", 1 / 16),
        ("4.1 in", "tape", 0.1),
        ("4.1 in", "digital caliper", 0.1),
        ("2.609 in", "caliper", 0.001),
        ("2.6091 in", "caliper", 0.001),
        ("2 1/2 in", "digital caliper", 1 / 8),
        ("4 in", "unknown", 1 / 2),
    ],
)
def test_step_in_inches(value: str, instrument: str, inches: float) -> None:
    """Common practice, no source: nobody reads a tape coarser than 1/4 in, and nobody finer than it shows."""
    assert step_mm(parse_length(value), Instrument(instrument)) == pytest.approx(25.4 * inches)


@pytest.mark.parametrize(
    ("value", "instrument", "step"),
    [("120 cm", "tape", 10.0), ("1.2 m", "tape", 100.0), ("63,5 mm", "steel rule", 0.5), ("63.5 mm", "caliper", 0.1)],
)
def test_step_in_millimeters_is_as_written(value: str, instrument: str, step: float) -> None:
    assert step_mm(parse_length(value), Instrument(instrument)) == pytest.approx(step)


def test_bare_number_has_two_meanings() -> None:
    reading = Reading.parse("pitch", "4.06", instrument="tape")
    assert units_possible(reading) == ("mm", "in")
    assert [estimate(reading, unit).value_mm for unit in ("mm", "in")] == pytest.approx([4.06, 103.124])
    assert estimate(reading, "in").unit == "in"
    assert "taken as in" in estimate(reading, "in").words
    assert units_possible(Reading.parse("pitch", 4.06)) == ("mm", "in")


def test_written_unit_stands_against_a_hypothesis() -> None:
    reading = Reading.parse("pitch", "4.06 in")
    assert units_possible(reading) == (None,)
    assert estimate(reading, "mm").value_mm == pytest.approx(103.124)
    assert estimate(reading, "mm").unit is None


def test_bare_repeats_take_the_unit_of_the_first_value() -> None:
    found = estimated("pin_diameter", "0.745 in", repeats=["0.746", "18.95 mm"], instrument="digital caliper")
    assert found.value_mm == pytest.approx((0.745 * 25.4 + 0.746 * 25.4 + 18.95) / 3)
    assert settle(Reading.parse("pitch", "1", repeats=["2"]), "in").repeats[0].mm() == pytest.approx(50.8)


class TestRepeats:
    values = ("18.90 mm", "18.94 mm", "18.92 mm", "18.96 mm")

    def estimate(self) -> Estimate:
        first, *rest = self.values
        return estimated("pin_diameter", first, repeats=rest, instrument="digital caliper")

    def test_mean_and_scatter(self) -> None:
        """JCGM 100:2008, 4.2.3: s = 0.02582 by hand, s/√4 with 3 degrees of freedom."""
        found = self.estimate()
        scatter = found.components[-1]
        assert found.value_mm == pytest.approx(18.93)
        assert scatter.u_mm == pytest.approx(0.02582 / 2, abs=1e-5)
        assert (scatter.dof, scatter.distribution) == (3, Distribution.STUDENT)

    def test_limit_and_rounding_do_not_average_out_but_the_ends_do(self) -> None:
        one = parts(estimated("pin_diameter", "18.93 mm", instrument="digital caliper"))
        four = parts(self.estimate())
        assert four["error limit"] == one["error limit"]
        assert four["rounding"] == one["rounding"]
        assert four["ends"] == pytest.approx(one["ends"] / 2)

    def test_effective_degrees_of_freedom(self) -> None:
        """JCGM 100:2008, G.4.1, written out."""
        found = self.estimate()
        assert found.dof == pytest.approx(found.u_mm**4 / (found.components[-1].u_mm ** 4 / 3))

    def test_words_say_so(self) -> None:
        assert "mean of 4" in self.estimate().words

    def test_identical_repeats_leave_the_limit(self) -> None:
        found = estimated("pin_diameter", "18.9 mm", repeats=["18.9 mm"], instrument="digital caliper")
        assert found.u_mm > 0
        assert math.isinf(found.dof)


class TestPhotograph:
    def test_carries_no_weight_and_says_why(self) -> None:
        found = estimated("pitch", "101 mm", instrument="photograph")
        assert not found.usable
        assert math.isinf(found.u_mm)
        assert "perspective" in found.reason
        assert "%" in found.reason

    def test_keeps_the_value_as_a_note(self) -> None:
        assert estimated("pitch", "303 mm", instrument="photograph", over=3).value_mm == pytest.approx(101.0)


class TestEdges:
    def test_gap_needs_a_diameter(self) -> None:
        found = estimated("pitch", "84.1 mm", instrument="digital caliper", technique="inside edges")
        assert found.needs == ("pin_diameter", "roller_diameter", "bush_diameter")
        assert found.edge_sign == -1
        assert found.value_mm == pytest.approx(84.1)
        assert "less a diameter not given" in found.words

    def test_span_over_several_pitches_stands_for_pitch_plus_its_share_of_the_diameter(self) -> None:
        p, d, n = 101.6, 19.05, 4
        found = estimated("pitch", f"{n * p + d:.2f} mm", technique="outside edges", over=n, reference="pins")
        assert (found.needs, found.edge_sign, found.over) == (("pin_diameter",), 1, n)
        assert found.value_mm == pytest.approx(p + found.edge_sign * d / n, abs=0.01)

    @pytest.mark.parametrize(
        ("reference", "link", "needs"),
        [
            ("pins", "outer", ("pin_diameter",)),
            ("rollers", "", ("roller_diameter", "bush_diameter")),
            ("holes", "outer", ("pin_diameter",)),
            ("holes", "inner", ("bush_diameter",)),
            ("holes", "", ("pin_diameter", "bush_diameter")),
        ],
    )
    def test_which_diameter_is_missing(self, reference: str, link: str, needs: tuple[str, ...]) -> None:
        found = estimated("pitch", "84 mm", technique="inside edges", reference=reference, link=link)
        assert found.needs == needs

    @pytest.mark.parametrize(("technique", "value"), [("inside edges", "82.55 mm"), ("outside edges", "120.65 mm")])
    def test_a_diameter_makes_it_a_pitch(self, technique: str, value: str) -> None:
        found = estimated(
            "pitch", value, technique=technique, edge_diameters=["19.05 mm"], instrument="digital caliper"
        )
        assert (found.needs, found.edge_sign) == ((), 0)
        assert found.value_mm == pytest.approx(101.6)
        assert "with diameter 19.05 mm 101.60" in found.words.replace("101.600", "101.60")

    def test_two_diameters_as_an_independent_library_has_it(self) -> None:
        """Checked with the `uncertainties` library: limit on the distance, the rest on each reading."""
        found = estimated(
            "pitch",
            "82.50 mm",
            technique="inside edges",
            edge_diameters=["19.00 mm", "19.20 mm"],
            instrument="digital caliper",
        )
        own = math.sqrt(0.01**2 / 12 + 2 * 0.02**2 / 3)
        gap, d1, d2 = (ufloat(x, own) for x in (82.5, 19.0, 19.2))
        distance = gap + (d1 + d2) / 2
        limit = 0.05 / math.sqrt(3)  # DIN 862 above 100 mm: 30 µm, inside jaws 20 µm more
        assert found.value_mm == pytest.approx(distance.nominal_value)
        assert found.u_mm == pytest.approx(math.hypot(distance.std_dev, limit))

    def test_zero_on_a_hole_is_corrected_by_half_the_difference(self) -> None:
        found = estimated(
            "pitch", "60.50 mm", technique="zeroed on hole", edge_diameters=["10.00 mm", "11.00 mm"], reference="holes"
        )
        assert found.value_mm == pytest.approx(60.0)

    def test_zero_on_a_hole_was_read_twice(self) -> None:
        once = estimated("pitch", "60.50 mm", technique="inside edges", instrument="digital caliper")
        twice = estimated("pitch", "60.50 mm", technique="zeroed on hole", instrument="digital caliper")
        assert twice.needs == ()
        assert parts(twice)["rounding"] == pytest.approx(math.sqrt(2) * parts(once)["rounding"])
        assert parts(twice)["ends"] == pytest.approx(math.sqrt(2) * parts(once)["ends"])

    def test_the_same_edge_of_unequal_pins_is_less_sure(self) -> None:
        found = estimated(
            "pitch", "101.6 mm", technique="same edge", edge_diameters=["19 mm", "18.6 mm"], instrument="caliper"
        )
        assert found.value_mm == pytest.approx(101.6)
        assert parts(found)["unequal diameters"] == pytest.approx(0.2 / math.sqrt(3))

    def test_strands_need_the_width_of_the_link(self) -> None:
        assert estimated("transverse_pitch", "20 mm", technique="outside edges").needs == ("inner_link_width",)

    def test_edges_of_a_part_are_the_part(self) -> None:
        found = estimated("inner_width", "38.1 mm", technique="inside edges", instrument="caliper")
        assert (found.needs, found.edge_sign, found.value_mm) == ((), 0, pytest.approx(38.1))


def test_a_center_judged_by_eye_is_worse_than_an_edge() -> None:
    """Common practice, no source."""
    edge = estimated("pitch", "101.6 mm", instrument="digital caliper", technique="same edge").u_mm
    eye = estimated("pitch", "101.6 mm", instrument="digital caliper", technique="center to center").u_mm
    untold = estimated("pitch", "101.6 mm", instrument="digital caliper").u_mm
    assert edge < eye
    assert untold == pytest.approx(eye)


def test_no_instrument_is_a_careless_tape() -> None:
    """By hand: class III tape to 1 m ± 1.0 mm and 0.3 mm for the hook, step 1 mm, ends ± 1 mm."""
    found = estimated("inner_link_width", "102 mm")
    assert found.u_mm == pytest.approx(math.sqrt(1.3**2 / 3 + 1.0 / 12 + 2 * 1.0 / 3))
    assert found.u_mm > estimated("inner_link_width", "102 mm", instrument="tape").u_mm


def test_inside_jaws_are_worse_than_outside_jaws() -> None:
    """DIN 862: 20 µm more."""
    outside = parts(estimated("inner_link_width", "40.00 mm", instrument="digital caliper"))
    inside = parts(estimated("inner_width", "40.00 mm", instrument="digital caliper"))
    assert inside["error limit"] == pytest.approx(2 * outside["error limit"])


def test_words_hold_the_arithmetic() -> None:
    words = estimated("pitch", "48 1/2 in", instrument="tape", technique="same edge", over=12).words
    for piece in ("48 1/2 in over 12 pitches", "1231.90 mm / 12 = 102.66 mm", "tape class II ±0.7 mm", "1/4 in"):
        assert piece in words
    assert words.endswith("mm per pitch")


def test_words_name_a_decimal_step() -> None:
    assert "read to 0.001 in" in estimated("pin_diameter", "0.745 in", instrument="caliper").words


@pytest.mark.parametrize("instrument", [i for i in Instrument if i is not Instrument.PHOTOGRAPH])
@pytest.mark.parametrize("technique", list(Technique))
def test_every_instrument_with_every_technique(instrument: Instrument, technique: Technique) -> None:
    found = estimated("pitch", "101.6 mm", instrument=instrument.value, technique=technique.value)
    assert found.usable
    assert 0 < found.u_mm < 5
    assert TITLES[instrument] in found.words


def test_tables_of_instruments_are_complete() -> None:
    assert set(STEPS) == set(TITLES) == set(Instrument)


class TestReading:
    def test_all_fields(self) -> None:
        reading = Reading.parse(
            "Roller diameter",
            "1 1/8 in",
            instrument="Digital-Caliper",
            technique="DIRECT",
            link="inner",
            reference="rollers",
            repeats="1.125 in",
            who="field hand",
            when="2024-05-02",
            note="rusty",
        )
        assert reading.dimension == "roller_diameter"
        assert (reading.instrument, reading.technique) == (Instrument.DIGITAL_CALIPER, Technique.DIRECT)
        assert (reading.link, reading.reference) == (Link.INNER, Reference.ROLLERS)
        assert [r.mm() for r in reading.repeats] == pytest.approx([28.575])
        assert (reading.who, reading.when, reading.note) == ("field hand", "2024-05-02", "rusty")

    def test_nothing_said_is_unknown(self) -> None:
        reading = Reading.parse("pitch", "101 mm")
        assert (reading.instrument, reading.technique) == (Instrument.UNKNOWN, Technique.UNKNOWN)
        assert (reading.link, reading.reference, reading.over) == (Link.UNKNOWN, Reference.UNKNOWN, 1)

    @pytest.mark.parametrize(
        ("written", "name"),
        [
            ("pitch", "pitch"),
            (" Pin-Diameter ", "pin_diameter"),
            ("barrel diameter", "bush_diameter"),
            ("plate_height", "height"),
        ],
    )
    def test_names_as_people_write_them(self, written: str, name: str) -> None:
        assert dimension_named(written) == name

    def test_an_unnamed_width_keeps_all_its_meanings(self) -> None:
        assert "pin_length" in Reading.parse("width", "4 in").meanings
        assert Reading.parse("pitch", "4 in").meanings == ("pitch",)

    @pytest.mark.parametrize(
        ("written", "instrument"),
        [("ruler", "steel rule"), ("Tape Measure", "tape"), ("micrometer", "gauge"), ("", "unknown")],
    )
    def test_instruments_as_people_write_them(self, written: str, instrument: str) -> None:
        assert instrument_named(written).value == instrument

    @pytest.mark.parametrize("over", [12, "12", 12.0, " 12.0 "])
    def test_pitches_as_files_hold_them(self, over: Any) -> None:
        assert Reading.parse("pitch", "48 in", over=over).over == 12
