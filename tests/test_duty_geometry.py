"""Sprocket, length and path answers, and reading a wheel: units, contract, limits of validity."""

import math

import pytest

from builders import catalog
from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import Links
from chaincase.duty.length_answer import Drive, chain_length, choose_pitches
from chaincase.duty.path import Station, trace
from chaincase.duty.path_answer import Loop, TakeUp, elongation_reached, path_length, position_for
from chaincase.duty.result import Result, Table, Value
from chaincase.duty.sprocket_answer import Family, Wheel, sprocket
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.sprocket_reading import Part, Seen, WheelReading, rows_named_on, wheel_likelihood, wheel_posterior
from chaincase.duty.sprocket_reading_answer import pairs, sprocket_reading

STANDARD = Catalog.standard()


class TestResult:
    def test_values_stand_flat_under_their_names(self):
        table = Table("parts", "parts", ("name", "pull_n"), (("chain", 1.0), ("load", None)))
        answer = Result("s", "t", (Value("pull_n", "pull", 2.0, "N"),), warnings=("w",), tables=(table,))
        assert answer.as_json()["pull_n"] == 2.0
        assert answer.as_json()["parts"] == [{"name": "chain", "pull_n": 1.0}, {"name": "load", "pull_n": None}]
        assert answer.as_json()["warnings"] == ["w"]

    def test_two_values_cannot_have_one_name(self):
        with pytest.raises(ValueError, match="pull_n"):
            Result("s", "t", (Value("pull_n", "pull", 2.0), Value("pull_n", "pull", 3.0)))

    def test_a_value_that_is_not_there_is_a_key_error(self):
        with pytest.raises(KeyError):
            Result("s", "t", ())["pull_n"]


class TestSprocket:
    def test_a_double_cut_wheel_has_half_the_pitches(self):
        answer = sprocket(Wheel(38.1, 21, 11.91, double_cut=True))
        assert answer["pitches_around"] == 10.5
        by_hand = 38.1 / math.sin(math.radians(180 / 10.5))
        assert answer.number("pitch_diameter_mm") == pytest.approx(by_hand)
        assert answer.number("caliper_diameter_mm") == pytest.approx(by_hand * math.cos(math.radians(90 / 21)) - 11.91)

    def test_without_a_roller_it_says_what_is_missing(self):
        answer = sprocket(Wheel(25.4, 17))
        assert "root_diameter_mm" not in answer
        assert any("roller" in warning for warning in answer.warnings)

    def test_a_conveyor_wheel_gets_no_tip_that_nobody_standardized(self):
        answer = sprocket(Wheel(160.0, 8, 50.0, 31.5))
        assert "tip_diameter_max_mm" not in answer
        assert answer.number("tooth_width_mm") == pytest.approx(0.9 * 31.5 - 1)

    @pytest.mark.parametrize(("teeth", "family"), [(7, Family.SHORT), (160, Family.SHORT), (50, Family.CONVEYOR)])
    def test_teeth_outside_the_range_of_the_standard_warn(self, teeth: int, family: Family):
        assert any("lie outside" in w for w in sprocket(Wheel(25.4, teeth, 15.88, family=family)).warnings)

    def test_few_teeth_warn_of_the_swing_of_the_speed(self):
        assert any("swing" in w for w in sprocket(Wheel(100.0, 6, 30.0)).warnings)
        assert not any("swing" in w for w in sprocket(Wheel(100.0, 16, 30.0)).warnings)

    def test_other_pins_change_the_measure_over_them_only(self):
        one, other = sprocket(Wheel(25.4, 20, 15.88)), sprocket(Wheel(25.4, 20, 15.88, pin=16.0))
        assert other.number("over_pins_mm") - one.number("over_pins_mm") == pytest.approx(0.12)
        assert other["root_diameter_mm"] == one["root_diameter_mm"]

    @pytest.mark.parametrize("family", list(Family))
    def test_every_step_ends_in_a_value_of_the_answer(self, family: Family):
        wheel = Wheel(25.4, 18, 12.0, 15.75, 20.0, 29.29, 2, family=family, rpm=100)
        answer = sprocket(wheel)
        numbers = {f"{float(v.amount):.3f}" for v in answer.values}
        assert answer.steps
        assert all(step.rsplit(" = ", 1)[1].split()[0] in numbers for step in answer.steps)

    def test_a_chain_brings_its_parts(self):
        answer = SprocketForm.of({"chain": "16B-2", "teeth": 19}).answer(STANDARD)
        assert "width_over_rows_mm" in answer
        assert "shroud_diameter_max_mm" in answer


class TestLength:
    def test_the_contract(self):
        answer = chain_length(Drive(19.05, (17, 51), 800.0)).as_json()
        assert answer["pitches_exact"] == pytest.approx(118.69, abs=0.01)
        assert (answer["pitches"], answer["offset_link"]) == (120, False)
        assert answer["centers_mm"] == pytest.approx(812.6, abs=0.05)

    def test_both_neighbors_are_shown_with_their_centers(self):
        rows = chain_length(Drive(19.05, (17, 51), 800.0)).table("neighbours").records()
        odd = {row["pitches"]: row["offset_link"] for row in rows}
        assert odd[118] is False
        assert odd[119] is True
        assert odd[120] is False

    def test_fixed_centers_never_get_a_chain_too_short(self):
        loose, fixed = Drive(12.7, (20, 20), 50.1 * 12.7), Drive(12.7, (20, 20), 50.1 * 12.7, fixed=True)
        assert chain_length(loose)["pitches"] == 120
        assert any("closer" in w for w in chain_length(loose).warnings)
        assert chain_length(fixed)["pitches"] == 122

    @pytest.mark.parametrize(("more", "warned"), [({"offset_link": True}, True), ({"links": Links.ALIKE}, False)])
    def test_odd_numbers_need_an_offset_link_only_where_links_alternate(self, more: dict, warned: bool):
        answer = chain_length(Drive(19.05, (17, 51), 800.0, **more))
        assert answer["pitches"] == 119
        assert answer["offset_link"] is warned
        assert any("offset link" in w for w in answer.warnings) is warned

    def test_take_up_left_after_elongation(self):
        answer = chain_length(Drive(100.0, (12, 12), 3000.0, elongation=0.02, take_up=100.0))
        assert answer["pitches"] == 72
        assert answer.number("take_up_left_mm") == pytest.approx(3100 - 3000 * 1.02)
        assert answer.number("elongation_taken_up") == pytest.approx(100 / 3000)

    def test_centers_from_pitches_alone(self):
        assert chain_length(Drive(100.0, (12, 12), pitches=72)).number("centers_mm") == pytest.approx(3000.0)

    @pytest.mark.parametrize(
        ("drive", "word"),
        [
            (Drive(19.05, (17, 17), 15 * 19.05), "are advised"),
            (Drive(19.05, (11, 90), 23 * 19.05), "wrap on the small"),
            (Drive(19.05, (11, 90), 40 * 19.05), "two stages"),
            (Drive(19.05, (17, 17), 40 * 19.05, take_up=1.0), "runs out"),
        ],
    )
    def test_limits_of_validity_warn(self, drive: Drive, word: str):
        assert any(word in warning for warning in chain_length(drive).warnings)

    def test_whole_numbers_are_kept(self):
        assert choose_pitches(120.0) == 120
        assert choose_pitches(120.0, may_shorten=0.0) == 120
        assert choose_pitches(120.31) == 122


class TestPath:
    def test_three_equal_wheels_in_a_triangle(self):
        """Straight runs are the sides of the triangle, the wraps together one wheel."""
        wheels = (Station(0, 0, teeth=20), Station(3000, 0, teeth=20), Station(0, 4000, teeth=20))
        assert trace(wheels, 25.0).pitches == pytest.approx(12_000 / 25 + 20)

    def test_a_wheel_on_the_back_by_hand(self):
        """Two equal wheels, a third pressed into the upper run at half way; right triangles give the tangents."""
        r = Station(0, 0, teeth=20).radius(50.0)
        wheels = (Station(2000, 0, teeth=20), Station(1000, 250, diameter=300, outside=True), Station(0, 0, teeth=20))
        path = trace(wheels, 50.0)
        apart = math.hypot(1000, 250)
        cross = math.sqrt(apart**2 - (r + 150) ** 2)
        assert [run.length for run in path.runs] == pytest.approx([cross, cross, 2000])
        lean = math.asin((r + 150) / apart) - math.atan2(250, 1000)
        assert path.wraps[1].angle == pytest.approx(2 * math.degrees(lean))
        assert path.wraps[0].angle == pytest.approx(180 + math.degrees(lean))
        assert path.wraps[1].pitches == pytest.approx(2 * lean * 150 / 50)

    def test_a_take_up_that_cannot_reach_says_so(self):
        ends = (Station(0, 0, teeth=12), Station(3010, 0, teeth=12))
        loop = Loop(100.0, ends, TakeUp(1, 0.0, 50.0))
        assert position_for(loop, 74) is None
        assert elongation_reached(loop, 74) is None
        assert any("cannot make" in w for w in path_length(loop).warnings)

    def test_a_take_up_that_wears_out(self):
        ends = (Station(0, 0, teeth=12), Station(2990, 0, teeth=12))
        answer = path_length(Loop(100.0, ends, TakeUp(1, 0.0, 20.0)))
        assert answer["pitches"] == 72
        assert answer.number("take_up_free_mm") == pytest.approx(10.0)
        assert answer.number("elongation_taken_up") == pytest.approx(10 / 3000)
        assert any("runs out" in w for w in answer.warnings)

    def test_few_teeth_in_mesh_and_no_take_up_warn(self):
        wheels = (Station(0, 0, teeth=12), Station(1500, 80, teeth=9), Station(3000, 0, teeth=12))
        warnings = path_length(Loop(100.0, wheels)).warnings
        assert any("in mesh" in w for w in warnings)
        assert any("no take-up" in w for w in warnings)


class TestReadingAWheel:
    def _seen(self, *readings: tuple[Part, float], teeth: int = 17, **more) -> Seen:
        return Seen(teeth, tuple(WheelReading(part, value, 0.05) for part, value in readings), **more)

    def test_a_teeth_count_that_is_one_off_is_found_out(self):
        made = sprocket(Wheel(25.4, 18, 15.88))
        bottom = made.number("caliper_diameter_mm") - 0.3
        seen = self._seen((Part.OUTSIDE, made.number("outside_diameter_mm")), (Part.CALIPER, bottom), teeth=17)
        found, _ = pairs(seen, STANDARD)
        assert (found[0].pitch, found[0].teeth) == (25.4, 18)
        assert any("count again" in w for w in sprocket_reading(seen, STANDARD).warnings)

    def test_half_the_teeth_of_a_double_pitch_chain(self):
        made = sprocket(Wheel(38.1, 21, 11.91, double_cut=True))
        bottom = made.number("caliper_diameter_mm") - 0.3
        found, _ = pairs(
            self._seen((Part.OUTSIDE, made.number("tip_diameter_min_mm") + 2), (Part.CALIPER, bottom), teeth=21),
            STANDARD,
        )
        assert found[0].pitch == 38.1
        assert found[0].double_cut > 0.9

    def test_nothing_in_the_tables_wins_where_nothing_fits(self):
        few = catalog(("A", "roller", {"pitch": 25.4, "roller_diameter": 15.88}))
        seen = self._seen((Part.OUTSIDE, 230.0), (Part.CALIPER, 190.0), (Part.WIDTH, 25.0))
        _, unlisted = wheel_posterior(wheel_likelihood(seen, few))
        assert unlisted > 0.9

    def test_over_pins_and_caliper_say_the_same(self):
        made = sprocket(Wheel(25.4, 17, 15.88))
        bottom = made.number("caliper_diameter_mm") - 0.3
        pins = WheelReading(Part.OVER_PINS, bottom + 2 * 15.88, 0.05, pin=15.88)
        one = wheel_likelihood(self._seen((Part.CALIPER, bottom)), STANDARD)
        other = wheel_likelihood(Seen(17, (pins,)), STANDARD)
        row = STANDARD.row("16A-1")
        others = STANDARD.row("12A-1")
        shift = one.listed[row] - one.listed[others]
        assert other.listed[row] - other.listed[others] == pytest.approx(shift, abs=0.5)

    def test_rows_of_teeth_leave_only_chains_with_as_many_strands(self):
        found, _ = pairs(self._seen((Part.OUTSIDE, 151.0), rows=2), STANDARD)
        assert {STANDARD.strands[row] for pair in found for row in pair.rows} == {2}

    def test_the_tooth_width_tells_a_from_b(self):
        made = sprocket(Wheel(25.4, 17, 15.88, 17.02))
        parts = (Part.OUTSIDE, 151.0), (Part.CALIPER, made.number("caliper_diameter_mm") - 0.3)
        listed = wheel_likelihood(
            self._seen(*parts, (Part.WIDTH, made.number("tooth_width_mm") - 0.1)), STANDARD
        ).listed
        assert listed[STANDARD.row("16B-1")] > listed[STANDARD.row("16A-1")] + 2

    @pytest.mark.parametrize("mark", ["80B17", "80-17", "H80 BS 17", "ANSI80B17", "16A-1 Z17"])
    def test_a_number_on_the_wheel_names_its_chain(self, mark: str):
        assert [STANDARD.designations[row] for row in rows_named_on(mark, 17, STANDARD)] == ["16A-1"]

    @pytest.mark.parametrize("mark", ["80B18", "FOUNDRY 3", "17"])
    def test_a_mark_that_says_nothing_changes_nothing(self, mark: str):
        assert rows_named_on(mark, 17, STANDARD) == ()

    def test_a_mark_lifts_its_chain(self):
        plain = self._seen((Part.OUTSIDE, 151.0))
        marked = self._seen((Part.OUTSIDE, 151.0), marks=("80B17",))
        row = STANDARD.row("16A-1")
        assert wheel_posterior(wheel_likelihood(marked, STANDARD))[0][row] > 0.8
        assert wheel_posterior(wheel_likelihood(plain, STANDARD))[0][row] < 0.3

    def test_the_words_tell_wear_from_misfit(self):
        made = sprocket(Wheel(25.4, 17, 15.88)).number("caliper_diameter_mm")
        worn = sprocket_reading(self._seen((Part.OUTSIDE, 151.0), (Part.CALIPER, made - 2.0)), STANDARD)
        assert any("wear of the gap bottoms" in step for step in worn.steps)
