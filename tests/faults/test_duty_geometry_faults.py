"""Nonsense about sprockets, lengths and paths is refused with what, where and what would be right."""

import math
from typing import Any

import pytest

from chaincase.catalog.table import Catalog
from chaincase.duty import checking, chordal, length, sprocket
from chaincase.duty.length_answer import Drive
from chaincase.duty.length_form import LengthForm
from chaincase.duty.path import Station, trace
from chaincase.duty.path_answer import Loop, TakeUp, path_length
from chaincase.duty.sprocket_answer import Wheel
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.sprocket_reading import Seen, WheelReading, rows_named_on
from chaincase.errors import BadInput

STANDARD = Catalog.standard()
NAN, INF = math.nan, math.inf


@pytest.mark.parametrize("value", [NAN, INF, -INF, 1e12, True, "5", None])
def test_what_is_no_finite_number(value: Any):
    with pytest.raises(BadInput, match="finite number"):
        checking.finite("pitch", value, "mm")


@pytest.mark.parametrize("teeth", [3, 0, -17, 4.5, 17.3, NAN, INF, 5000, True, "17"])
def test_teeth_that_cannot_be(teeth: Any):
    with pytest.raises(BadInput, match="teeth"):
        sprocket.pitch_diameter(25.4, teeth)


@pytest.mark.parametrize("pitch", [0.0, -25.4, NAN, INF])
def test_pitches_that_cannot_be(pitch: float):
    for call in (
        lambda: sprocket.pitch_diameter(pitch, 17),
        lambda: sprocket.outside_diameter(pitch, 17),
        lambda: sprocket.caliper_tolerance(pitch, 17),
        lambda: chordal.peak_acceleration(pitch, 17, 100),
        lambda: Wheel(pitch, 17),
        lambda: Drive(pitch, (17, 17), 500.0),
        lambda: trace((Station(0, 0, teeth=17), Station(900, 0, teeth=17)), pitch),
    ):
        with pytest.raises(BadInput, match="pitch"):
            call()


@pytest.mark.parametrize(
    ("more", "match"),
    [
        ({"roller": 30.0}, "smaller than the pitch"),
        ({"roller": -1.0}, "roller"),
        ({"rows": 0}, "rows"),
        ({"inner_width": NAN}, "inner width"),
        ({"rpm": -5.0}, "speed"),
        ({"double_cut": True, "teeth": 9}, "teeth cut twice"),
    ],
)
def test_wheels_that_cannot_be(more: dict[str, Any], match: str):
    with pytest.raises(BadInput, match=match):
        Wheel(**{"pitch": 25.4, "teeth": 17, **more})


def test_half_teeth_need_the_teeth_cut():
    with pytest.raises(BadInput, match="teeth cut"):
        sprocket.caliper_diameter(38.1, 10.5, 11.91)


@pytest.mark.parametrize("centers", [0.0, -1.0, NAN, 5.0])
def test_sprockets_that_overlap(centers: float):
    with pytest.raises(BadInput, match="centers"):
        length.exact_pitches(centers, 17, 17)


@pytest.mark.parametrize("reverse", [length.exact_centers, length.standard_centers, length.factor_centers])
@pytest.mark.parametrize("pitches", [20, 35, 47])
def test_chains_that_do_not_reach(reverse: Any, pitches: int):
    with pytest.raises(BadInput, match="do not reach"):
        reverse(pitches, 17, 51)


@pytest.mark.parametrize("stations", [(), (Station(0, 0, teeth=17),)])
def test_paths_need_two_wheels(stations: tuple[Station, ...]):
    with pytest.raises(BadInput, match="2 to"):
        trace(stations, 25.4)


def test_wheels_that_overlap_are_named():
    wheels = (Station(0, 0, teeth=17, name="head"), Station(100, 0, teeth=17, name="tail"))
    with pytest.raises(BadInput, match=r"head and tail are 100\.0 mm apart"):
        trace(wheels, 25.4)


@pytest.mark.parametrize(
    "order",
    [
        [(0, 0), (2000, 2000), (2000, 0), (0, 2000)],  # a bow tie
        [(0, 0), (1000, 10), (2000, 0), (1000, 2000), (1000, 1000)],  # a tooth inside the loop
    ],
)
def test_paths_that_make_no_simple_loop(order: list[tuple[float, float]]):
    with pytest.raises(BadInput, match=r"loop|crosses|passes through"):
        trace(tuple(Station(x, y, teeth=12) for x, y in order), 50.0)


def test_a_run_through_a_wheel_is_refused():
    """A large wheel within the loop presses the upper run up and hangs through the lower one."""
    ends = (Station(0, 0, teeth=12), Station(3000, 0, teeth=12))
    trace((*ends, Station(1500, 400, diameter=800)), 50.0)
    with pytest.raises(BadInput, match="passes through wheel 3"):
        trace((*ends, Station(1500, 100, diameter=800)), 50.0)


def test_runs_that_cross_are_refused():
    """A wheel on the back of the upper run is pressed through the lower one."""
    box = (
        Station(0, 0, teeth=12),
        Station(3000, 0, teeth=12),
        Station(3000, 1000, teeth=12),
        Station(0, 1000, teeth=12),
    )
    trace((*box[:3], Station(1500, 50, teeth=12, outside=True), box[3]), 50.0)
    with pytest.raises(BadInput, match="crosses the run"):
        trace((*box[:3], Station(1500, -50, teeth=12, outside=True), box[3]), 50.0)


def test_a_take_up_that_runs_into_another_wheel():
    ends = (Station(0, 0, teeth=12), Station(600, 0, teeth=12))
    with pytest.raises(BadInput, match="take-up moved by"):
        path_length(Loop(50.0, ends, TakeUp(1, 180.0, 500.0)))


@pytest.mark.parametrize(
    ("data", "match"),
    [
        ({"teeth": 17}, "neither pitch nor chain nor readings"),
        ({"pitch": "1 in"}, "teeth: is missing"),
        ({"pitch": "1", "teeth": 17}, "no unit"),
        ({"pitch": "1 in", "teeth": 3}, "teeth"),
        ({"pitch": "1 in", "teeth": 17.5}, "whole number"),
        ({"chain": "no such chain", "teeth": 17}, "no chain is named"),
        ({"teeth": 17, "readings": [{"dimension": "weight", "value": "3 mm"}]}, r"readings\[0\]: 'weight'"),
        ({"teeth": 17, "readings": [{"dimension": "over_pins", "value": "3 in"}]}, "pins are not given"),
        ({"teeth": 17, "readings": [{"dimension": "outside_diameter", "value": "151"}]}, "no unit"),
        (
            {"teeth": 17, "readings": [{"dimension": "hub_diameter", "value": "9 in", "instrument": "photograph"}]},
            "hub",
        ),
        ({"teeth": 17, "marks": [" "]}, "mark"),
    ],
)
def test_sprocket_files_that_cannot_be_used(data: dict[str, Any], match: str):
    with pytest.raises(BadInput, match=match):
        SprocketForm.of(data).answer(STANDARD)


WHEELS = [{"x": "0 mm", "y": 0, "teeth": 12, "name": "head"}, {"x": "-3 m", "y": "0", "teeth": 12, "name": "tail"}]


@pytest.mark.parametrize(
    ("data", "match"),
    [
        ({"pitch": "1 in"}, "give teeth or wheels"),
        ({"pitch": "1 in", "teeth": [17, 51]}, "neither centers nor pitches"),
        ({"pitch": "1 in", "teeth": [17], "centers": "1 m"}, "teeth"),
        ({"pitch": "1 in", "teeth": [17, 2], "centers": "1 m"}, r"teeth\[1\]"),
        ({"pitch": "1 in", "teeth": [17, 51], "centers": "1 m", "slack": 0.5}, "slack"),
        ({"pitch": "1 in", "teeth": [17, 51], "pitches": 40}, "do not reach"),
        ({"pitch": "4 in", "wheels": WHEELS[:1]}, "wheels"),
        ({"pitch": "4 in", "wheels": [*WHEELS, {"x": "1 m", "y": "1 m"}]}, "teeth or a diameter"),
        ({"pitch": "4 in", "wheels": WHEELS, "take_up": "50 mm"}, "which wheel takes up"),
        ({"pitch": "4 in", "wheels": WHEELS, "take_up": {"wheel": "foot", "direction": 0, "travel": "1 in"}}, "foot"),
        ({"pitch": "4 in", "wheels": WHEELS, "take_up": {"wheel": 3, "direction": 0, "travel": "1 in"}}, "wheel 3"),
        ({"pitch": "4 in", "wheels": WHEELS, "take_up": {"wheel": 1, "direction": 900, "travel": "1 in"}}, "direction"),
        ({"pitch": "4 in", "wheels": [{"x": True, "y": 0, "teeth": 12}, *WHEELS]}, "not a place"),
    ],
)
def test_length_files_that_cannot_be_used(data: dict[str, Any], match: str):
    with pytest.raises(BadInput, match=match):
        LengthForm.of(data).answer()


def test_all_faults_of_a_file_are_told_at_once():
    with pytest.raises(BadInput) as caught:
        LengthForm.of({"pitch": "wide", "teeth": [17, 2], "centers": "-1 mm"})
    assert len(str(caught.value).splitlines()) == 3


def test_a_wheel_with_nothing_read_on_it():
    with pytest.raises(BadInput, match="nothing is read"):
        Seen(17)
    with pytest.raises(BadInput, match="up to 100 characters"):
        rows_named_on("8" * 101, 17, STANDARD)
    with pytest.raises(BadInput, match="instrument"):
        WheelReading.parse("outside_diameter", "151 mm", instrument="eye")
