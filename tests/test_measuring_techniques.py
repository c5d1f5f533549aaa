import math

import numpy as np
import pytest
from uncertainties import correlated_values, ufloat

from chaincase.errors import BadInput
from chaincase.measuring.instruments import Instrument
from chaincase.measuring.photograph import photograph_error, photograph_words
from chaincase.measuring.techniques import (
    SIGHTING,
    TERMS,
    Technique,
    caliper_covariance,
    center_distance,
    center_gradient,
    center_uncertainty,
    pitch_and_roller,
    shared_covariance,
    zeroed_error_mm,
)

T = Technique


def shown(technique: Technique, center: float, d1: float, d2: float) -> float:
    """What a caliper shows on two round parts whose flanks are computed one by one."""
    near_1, far_1 = d1 / 2, -d1 / 2
    near_2, far_2 = center - d2 / 2, center + d2 / 2
    return {
        T.INSIDE_EDGES: near_2 - near_1,
        T.OUTSIDE_EDGES: far_2 - far_1,
        T.ZEROED_ON_HOLE: (far_2 - far_1) - d1,
        T.SAME_EDGE: near_2 - far_1,
    }[technique]


@pytest.mark.parametrize("technique", [T.INSIDE_EDGES, T.OUTSIDE_EDGES, T.ZEROED_ON_HOLE])
@pytest.mark.parametrize(("d1", "d2"), [(10.0, 10.0), (10.0, 11.5), (12.0, 7.0)])
def test_center_distance_comes_back(technique: Technique, d1: float, d2: float) -> None:
    assert center_distance(technique, shown(technique, 60.0, d1, d2), [d1, d2]) == pytest.approx(60.0)


@pytest.mark.parametrize("technique", [T.INSIDE_EDGES, T.OUTSIDE_EDGES, T.ZEROED_ON_HOLE, T.SAME_EDGE])
def test_equal_parts_need_one_diameter(technique: Technique) -> None:
    assert center_distance(technique, shown(technique, 60.0, 9.0, 9.0), [9.0]) == pytest.approx(60.0)


@pytest.mark.parametrize(("d1", "d2"), [(10.0, 10.0), (10.0, 10.6), (10.6, 10.0)])
def test_a_zero_on_unequal_holes_is_off_by_half_the_difference(d1: float, d2: float) -> None:
    """Geometry: (d2 - d1) / 2."""
    assert shown(T.ZEROED_ON_HOLE, 60.0, d1, d2) - 60.0 == pytest.approx(zeroed_error_mm(d1, d2))
    assert zeroed_error_mm(d1, d2) == pytest.approx((d2 - d1) / 2)


def test_the_same_edge_of_unequal_pins_is_off_by_half_the_difference_at_most() -> None:
    assert abs(shown(T.SAME_EDGE, 60.0, 10.0, 11.0) - 60.0) == pytest.approx(0.5)


@pytest.mark.parametrize("technique", list(T))
def test_gradient_is_that_of_the_distance(technique: Technique) -> None:
    at, h = [80.0, 10.0, 12.0], 1e-6
    slopes = []
    for i in range(3):
        up, down = list(at), list(at)
        up[i] += h
        down[i] -= h
        rise = center_distance(technique, up[0], up[1:]) - center_distance(technique, down[0], down[1:])
        slopes.append(rise / (2 * h))
    assert center_gradient(technique, 2) == pytest.approx(tuple(slopes), abs=1e-6)


def test_two_readings_with_one_caliper() -> None:
    """u(C)² = 2 u_read² + u_G² for holes taken as equal, after JCGM 100:2008, 5.2."""
    u = center_uncertainty(T.ZEROED_ON_HOLE, 60.0, [], 0.012, 0.02)
    assert u == pytest.approx(math.sqrt(2 * 0.012**2 + 0.02**2))


@pytest.mark.parametrize("technique", [T.INSIDE_EDGES, T.OUTSIDE_EDGES])
@pytest.mark.parametrize("diameters", [[20.0], [20.0, 21.0]])
def test_center_uncertainty_as_an_independent_library_has_it(technique: Technique, diameters: list[float]) -> None:
    """Checked with the `uncertainties` library, readings sharing a relative scale error."""
    span, u_read, u_scale = 90.0, 0.01, 0.03
    scale = ufloat(0.0, u_scale / span)
    readings = [x * (1 + scale) + ufloat(0.0, u_read) for x in (span, *diameters)]
    first, last = readings[1], readings[-1]
    sign = 1 if technique is T.INSIDE_EDGES else -1
    distance = readings[0] + sign * (first + last) / 2
    assert center_distance(technique, span, diameters) == pytest.approx(distance.nominal_value)
    u = center_uncertainty(technique, span, diameters, u_read, u_scale)
    assert u == pytest.approx(distance.std_dev, rel=1e-9)


def test_unequal_zeroed_holes_as_an_independent_library_has_it() -> None:
    display, d1, d2, u_read, u_scale = 60.0, 10.0, 12.0, 0.01, 0.03
    scale = ufloat(0.0, u_scale / display)
    twice = ufloat(0.0, u_read) + ufloat(0.0, u_read)
    low, high = (d * (1 + scale) + ufloat(0.0, u_read) for d in (d1, d2))
    distance = display * (1 + scale) + twice - (high - low) / 2
    u = center_uncertainty(T.ZEROED_ON_HOLE, display, [d1, d2], u_read, u_scale)
    assert u == pytest.approx(distance.std_dev, rel=1e-9)


def test_shared_error_makes_readings_correlate_as_an_independent_library_has_it() -> None:
    own, shared = [0.01, 0.02], [0.03, 0.03]
    covariance = shared_covariance(own, shared)
    a, b = correlated_values([50.0, 20.0], covariance)
    assert (a - b).std_dev == pytest.approx(math.hypot(*own)), "a common error cancels in a difference"
    assert (a + b).std_dev == pytest.approx(math.hypot(*own, 0.06)), "and adds up in a sum"


def test_caliper_covariance_is_one() -> None:
    covariance = caliper_covariance([80.0, 20.0, 5.0], 0.01, 0.02)
    assert np.allclose(covariance, covariance.T)
    assert np.linalg.eigvalsh(covariance).min() > 0
    assert covariance[0, 0] == pytest.approx(0.01**2 + 0.02**2)


def test_roller_diameter_cancels_between_and_over() -> None:
    """Geometry: n p = (Li + Lo) / 2, d = (Lo - Li) / 2."""
    n, p, d = 6, 25.4, 15.88
    both = pitch_and_roller(n * p - d, n * p + d, n, u_read_mm=0.02, u_scale_mm=0.03)
    assert both.pitch_mm == pytest.approx(p)
    assert both.roller_mm == pytest.approx(d)


def test_pitch_and_roller_as_an_independent_library_has_it() -> None:
    inside, outside, u_read, u_scale = 136.5, 168.3, 0.02, 0.03
    scale = ufloat(0.0, u_scale / outside)
    gap, span = (x * (1 + scale) + ufloat(0.0, u_read) for x in (inside, outside))
    both = pitch_and_roller(inside, outside, 6, u_read_mm=u_read, u_scale_mm=u_scale)
    assert both.u_pitch_mm == pytest.approx(((gap + span) / 2 / 6).std_dev, rel=1e-9)
    assert both.u_roller_mm == pytest.approx(((span - gap) / 2).std_dev, rel=1e-9)


def test_every_technique_and_instrument_has_its_terms() -> None:
    assert set(TERMS) == set(Technique)
    assert set(SIGHTING) == set(Instrument)


def pinhole(length: float, distance: float, tilt_deg: float, focal: float = 35.0) -> float:
    """Image of a bar, its two ends projected one by one."""
    t = math.radians(tilt_deg)
    ends = [(s * length / 2 * math.cos(t), distance + s * length / 2 * math.sin(t)) for s in (-1, 1)]
    left, right = (focal * x / z for x, z in ends)
    return right - left


@pytest.mark.parametrize("length", [0.001, 20.0, 200.0])
@pytest.mark.parametrize(("distance", "depth", "tilt"), [(500, 20, 0), (500, -40, 0), (300, 0, 25), (800, 35, -12)])
def test_photograph_error_as_projected_point_by_point(
    length: float, distance: float, depth: float, tilt: float
) -> None:
    seen = pinhole(length, distance - depth, tilt) / pinhole(length, distance, 0.0) - 1
    assert photograph_error(distance, depth, tilt, length_mm=length) == pytest.approx(seen, rel=1e-9, abs=1e-9)


def test_photograph_error_has_its_direction() -> None:
    assert photograph_error(500.0, 0.0) == 0.0
    assert photograph_error(500.0, 10.0) > 0 > photograph_error(500.0, -10.0)
    assert photograph_error(500.0, 0.0, 60.0) == pytest.approx(-0.5), "a tilt of 60 degrees halves the length"


def test_photograph_words_name_the_size_of_the_error() -> None:
    assert "4.2 % too long" in photograph_words()
    assert "3.4 % too short" in photograph_words()


@pytest.mark.parametrize(
    ("distance", "depth", "tilt", "length"),
    [
        (0.0, 0.0, 0.0, 0.0),
        (-1.0, 0.0, 0.0, 0.0),
        (500.0, 500.0, 0.0, 0.0),
        (500.0, 0.0, 90.0, 0.0),
        (math.nan, 0.0, 0.0, 0.0),
        (100.0, 0.0, 80.0, 500.0),
        (math.inf, 0.0, 0.0, 0.0),
    ],
)
def test_what_no_camera_sees_is_refused(distance: float, depth: float, tilt: float, length: float) -> None:
    with pytest.raises(BadInput):
        photograph_error(distance, depth, tilt, length_mm=length)
