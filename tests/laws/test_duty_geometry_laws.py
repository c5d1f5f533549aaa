"""What must hold for every sprocket, every chain length and every path."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chaincase.catalog.table import Catalog
from chaincase.duty import chordal, cut_for
from chaincase.duty import length as over
from chaincase.duty import sprocket as form
from chaincase.duty.path import Station, trace
from chaincase.duty.path_answer import Loop, TakeUp, pitches_at, position_for
from chaincase.duty.sprocket_reading import Part, Seen, WheelReading
from chaincase.duty.sprocket_reading_answer import pairs

TEETH = st.integers(9, 120)
PITCH = st.sampled_from([6.35, 12.7, 19.05, 25.4, 38.1, 66.27, 100.0, 160.0])
SIZES = st.floats(0.5, 0.7)


def _centers(z1: int, z2: int, more: float) -> float:
    return over.closest_centers(z1, z2) + more


@given(TEETH, TEETH, st.floats(0.01, 200))
def test_exact_length_is_symmetric_in_the_sprockets(z1: int, z2: int, more: float):
    centers = _centers(z1, z2, more)
    assert over.exact_pitches(centers, z1, z2) == pytest.approx(over.exact_pitches(centers, z2, z1), rel=1e-12)
    assert over.arc_pitches(centers, z1, z2) == pytest.approx(over.arc_pitches(centers, z2, z1), rel=1e-12)


@given(TEETH, TEETH, st.floats(0.01, 200), st.floats(0.001, 50))
def test_exact_length_grows_with_the_centers(z1: int, z2: int, more: float, further: float):
    centers = _centers(z1, z2, more)
    longer = over.exact_pitches(centers + further, z1, z2) - over.exact_pitches(centers, z1, z2)
    assert 0.0 < longer <= 2.0 * further + 1e-9


@given(TEETH, TEETH, st.floats(0.01, 200))
def test_the_arc_is_longer_than_the_polygon_on_it(z1: int, z2: int, more: float):
    centers = _centers(z1, z2, more)
    assert over.arc_pitches(centers, z1, z2) > over.exact_pitches(centers, z1, z2)


@given(st.integers(15, 30), st.integers(15, 96), st.floats(30, 80))
def test_the_standard_sum_is_near_the_exact_length_where_it_is_meant(z1: int, z2: int, centers: float):
    assume(z2 <= 4 * z1)
    assert over.standard_pitches(centers, z1, z2) == pytest.approx(over.exact_pitches(centers, z1, z2), abs=0.06)


@given(TEETH, TEETH, st.floats(0.5, 200))
def test_centers_to_pitches_and_back(z1: int, z2: int, more: float):
    centers = _centers(z1, z2, more)
    assert over.exact_centers(over.exact_pitches(centers, z1, z2), z1, z2) == pytest.approx(centers, abs=1e-8)
    assert over.standard_centers(over.standard_pitches(centers, z1, z2), z1, z2) == pytest.approx(centers, abs=1e-8)


@given(TEETH, TEETH, st.integers(0, 300))
def test_the_factor_form_is_near_the_exact_centers(z1: int, z2: int, more: int):
    assume(max(z1, z2) <= 4 * min(z1, z2))
    pitches = math.ceil(over.exact_pitches(_centers(z1, z2, 15.0), z1, z2)) + more
    assert over.factor_centers(pitches, z1, z2) == pytest.approx(over.exact_centers(pitches, z1, z2), abs=0.1)


@given(TEETH, TEETH, st.floats(0.5, 100), st.floats(-3, 3), PITCH)
def test_a_path_of_two_wheels_is_the_exact_length_however_it_is_turned(
    z1: int, z2: int, more: float, turn: float, pitch: float
):
    centers = _centers(z1, z2, more)
    there = Station(centers * pitch * math.cos(turn), centers * pitch * math.sin(turn), teeth=z2)
    path = trace((Station(0, 0, teeth=z1), there), pitch)
    assert path.pitches == pytest.approx(over.exact_pitches(centers, z1, z2), rel=1e-9)
    assert sum(wrap.angle for wrap in path.wraps) == pytest.approx(360.0)


CORNERS = st.lists(st.floats(0, 2 * math.pi), min_size=3, max_size=8, unique=True)


@given(CORNERS, st.integers(9, 15), st.randoms(use_true_random=False))
def test_a_round_path_is_the_same_from_any_wheel_and_either_way_round(turns: list[float], teeth: int, random):
    turns = sorted(turns)
    gaps = [b - a for a, b in zip(turns, (*turns[1:], turns[0] + 2 * math.pi), strict=True)]
    assume(min(gaps) > 0.3)
    wheels = [Station(3000 * math.cos(t), 3000 * math.sin(t), teeth=teeth) for t in turns]
    start = random.randrange(len(wheels))
    there = trace(tuple(wheels), 50.0)
    back = trace(tuple(reversed(wheels[start:] + wheels[:start])), 50.0)
    assert there.pitches == pytest.approx(back.pitches, rel=1e-9)
    # Around a convex loop the wheels together turn the chain once, so equal wheels hold one wheel's teeth.
    assert sum(wrap.pitches for wrap in there.wraps) == pytest.approx(teeth)


@given(st.floats(-600, -200), st.floats(150, 400))
def test_a_wheel_on_the_back_of_the_chain_adds_length(x: float, press: float):
    ends = (Station(0, 0, teeth=17), Station(-1000, 0, teeth=17))
    r = ends[0].radius(25.4)
    back = Station(x, r + press - 120, diameter=240, outside=True)  # 120 mm below its center it touches the run
    assume(back.y - 120 < r - 5)  # a hair of wrap costs less on the polygon than on its circle
    assume(back.y > r + 20)
    pressed = trace((ends[0], back, ends[1]), 25.4)
    assert pressed.pitches > trace(ends, 25.4).pitches


@given(st.floats(0, 200), st.floats(0, 0.03))
def test_the_take_up_finds_the_place_that_the_chain_asks_for(travel: float, elongation: float):
    wheels = (Station(0, 0, teeth=11), Station(3000, 400, teeth=9), Station(2000, 1500, diameter=200))
    loop = Loop(63.0, wheels, TakeUp(1, 10.0, 250.0))
    found = position_for(loop, pitches_at(loop, travel, elongation), elongation)
    assert found == pytest.approx(travel, abs=1e-6)


@given(PITCH, TEETH, SIZES)
def test_over_pins_is_the_caliper_diameter_and_two_pins(pitch: float, teeth: int, share: float):
    roller = share * pitch
    across = form.caliper_diameter(pitch, teeth, roller) + 2 * roller
    assert form.over_pins(pitch, teeth, roller) == pytest.approx(across, rel=1e-12)


@given(PITCH, TEETH, SIZES)
def test_diameters_are_in_order(pitch: float, teeth: int, share: float):
    roller = share * pitch
    caliper, root = form.caliper_diameter(pitch, teeth, roller), form.root_diameter(pitch, teeth, roller)
    least, most = form.tip_diameter_min(pitch, teeth, roller), form.tip_diameter_max(pitch, teeth, roller)
    assert caliper <= root < form.pitch_diameter(pitch, teeth) < least < most
    assert (caliper == root) == (teeth % 2 == 0)


@given(TEETH, st.floats(1, 3000), PITCH)
def test_the_mean_speed_lies_between_its_limits_and_more_teeth_run_smoother(teeth: int, rpm: float, pitch: float):
    slow, fast = chordal.speed_limits(pitch, teeth, rpm)
    mean = chordal.chain_speed(pitch, teeth, rpm)
    assert slow < mean < fast
    assert (fast - slow) / mean == pytest.approx(chordal.speed_variation(teeth), rel=1e-9)
    assert chordal.speed_variation(teeth + 1) < chordal.speed_variation(teeth)


@given(TEETH, PITCH, st.floats(1, 500))
def test_the_acceleration_is_the_slope_of_the_speed(teeth: int, pitch: float, rpm: float):
    """The run follows v(θ) = R ω cos θ from -180°/z to 180°/z; its steepest slope is taken numerically."""
    omega, radius = rpm * math.pi / 30, form.pitch_diameter(pitch, teeth) / 2000
    end, step = math.pi / teeth, 1e-6
    slope = (math.cos(end - step) - math.cos(end)) * radius * omega / (step / omega)
    assert chordal.peak_acceleration(pitch, teeth, rpm) == pytest.approx(slope, rel=1e-4)


_CATALOG = Catalog.standard()
_CHAINS = cut_for.listed(_CATALOG)
_SHORT = [
    row
    for row in range(len(_CATALOG))
    if _CHAINS.weight[row] and not _CHAINS.roller_spread[row] and _CHAINS.roller[row] > 0.5 * _CHAINS.pitch[row]
]


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(_SHORT), st.integers(12, 45), st.floats(0.1, 0.9), st.floats(0.0, 0.015))
def test_a_wheel_tells_the_pitch_that_it_was_made_with(row: int, teeth: int, height: float, wear: float):
    pitch, roller = float(_CHAINS.pitch[row]), float(_CHAINS.roller[row])
    least, most = form.tip_diameter_min(pitch, teeth, roller), form.tip_diameter_max(pitch, teeth, roller)
    bottom = form.caliper_diameter(pitch, teeth, roller) - 0.5 * form.caliper_tolerance(pitch, teeth) - wear * pitch
    outside = least + height * (most - least)
    seen = Seen(teeth, (WheelReading(Part.OUTSIDE, outside, 0.1), WheelReading(Part.CALIPER, bottom, 0.05)))
    found, unlisted = pairs(seen, _CATALOG)
    assert sum(pair.probability for pair in found) + unlisted == pytest.approx(1.0)
    made = max(pair.probability for pair in found if pair.pitch == pytest.approx(pitch, rel=0.005))
    assert made > unlisted
    # Every second tooth may carry a double-pitch chain, and wear hides pitches that lie within 1 % of each other.
    # Chain that two diameters cannot tell apart is left open, not denied: 100 mm on every second tooth of a wheel for
    # 50.8 mm, or M112x80 with large rollers and C224AL on 13 teeth, whose gap bottoms lie 0.3 mm apart.
    off = min(abs(found[0].pitch / pitch - n) for n in (1, 2))
    assert off < 0.01 or made > 0.25


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(_SHORT), st.integers(12, 45), st.floats(0.02, 0.05))
def test_a_bottom_too_large_speaks_against_more_than_one_worn_as_much(row: int, teeth: int, off: float):
    pitch, roller = float(_CHAINS.pitch[row]), float(_CHAINS.roller[row])
    new = form.caliper_diameter(pitch, teeth, roller)

    def chance(bottom: float) -> float:
        seen = Seen(teeth, (WheelReading(Part.CALIPER, bottom, 0.05),))
        found, _ = pairs(seen, _CATALOG)
        return max((pair.probability for pair in found if row in pair.rows), default=0.0)

    assert chance(new - off * pitch) > chance(new + off * pitch)
