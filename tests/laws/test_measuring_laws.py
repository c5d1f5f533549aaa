"""What must hold for every reading."""

import math
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from chaincase.chains.kinds import Links
from chaincase.measuring.estimate import estimate
from chaincase.measuring.growth import Link, Reference, growth
from chaincase.measuring.instruments import Instrument, limit_mm
from chaincase.measuring.reading import Reading
from chaincase.measuring.techniques import Technique, center_distance, pitch_and_roller, shared_covariance
from chaincase.measuring.uncertainty import Component, combine, propagate, student_factor, welch_satterthwaite

INSTRUMENTS = [i.value for i in Instrument if i is not Instrument.PHOTOGRAPH]
sizes = st.decimals("0.5", "3000", places=2)
instruments = st.sampled_from(INSTRUMENTS)
techniques = st.sampled_from([t.value for t in Technique])
pitch_counts = st.integers(1, 60)
small = st.floats(1e-4, 10.0)


def u_of(value: object, **rest: Any) -> float:
    return estimate(Reading.parse("pitch", f"{value} mm", **rest)).u_mm


@given(sizes, instruments, techniques, pitch_counts)
def test_uncertainty_is_above_zero_and_finite(value: object, instrument: str, technique: str, over: int) -> None:
    assert 0 < u_of(value, instrument=instrument, technique=technique, over=over) < math.inf


@given(sizes, instruments, techniques, pitch_counts)
def test_n_pitches_divide_value_and_uncertainty_by_n(value: object, instrument: str, technique: str, n: int) -> None:
    one = estimate(Reading.parse("pitch", f"{value} mm", instrument=instrument, technique=technique))
    many = estimate(Reading.parse("pitch", f"{value} mm", instrument=instrument, technique=technique, over=n))
    assert math.isclose(many.value_mm, one.value_mm / n)
    assert math.isclose(many.u_mm, one.u_mm / n)


@given(sizes, instruments, st.integers(1, 20))
def test_repeating_the_same_value_never_makes_it_less_sure(value: object, instrument: str, count: int) -> None:
    fewer = u_of(value, instrument=instrument, repeats=[f"{value} mm"] * (count - 1))
    more = u_of(value, instrument=instrument, repeats=[f"{value} mm"] * count)
    assert more <= fewer


@given(sizes, sizes, instruments, st.integers(1, 8))
def test_more_repeats_of_the_same_scatter_shrink_the_mean_part(a: Any, b: Any, instrument: str, times: int) -> None:
    few = estimate(Reading.parse("pitch", f"{a} mm", repeats=[f"{b} mm"], instrument=instrument))
    values = [f"{x} mm" for x in [a, b] * (times + 1)]
    many = estimate(Reading.parse("pitch", values[0], repeats=values[1:], instrument=instrument))
    assert math.isclose(few.value_mm, many.value_mm)
    assert many.components[-1].u_mm <= few.components[-1].u_mm
    assert many.dof >= few.dof or math.isinf(few.dof)


@given(sizes, techniques, st.lists(sizes, max_size=4))
def test_no_number_of_repeats_beats_the_instrument(value: Any, technique: str, repeats: list[Any]) -> None:
    found = estimate(Reading.parse("pitch", f"{value} mm", technique=technique, repeats=[f"{r} mm" for r in repeats]))
    assert found.u_mm >= found.components[0].u_mm > 0


@given(sizes, techniques)
def test_budget_adds_up(value: object, technique: str) -> None:
    found = estimate(Reading.parse("pitch", f"{value} mm", technique=technique, instrument="tape", over=3))
    assert math.isclose(found.u_mm**2, sum(part.u_mm**2 for part in found.components))


@given(sizes, instruments)
def test_more_decimals_never_make_it_less_sure(value: Any, instrument: str) -> None:
    rounded = max(round(value), 1)
    assert u_of(f"{rounded}.00", instrument=instrument) <= u_of(rounded, instrument=instrument)


@given(st.sampled_from(list(Instrument)), st.floats(0.1, 3000.0), st.floats(1.0, 3.0), st.booleans())
def test_limits_grow_with_length(instrument: Instrument, length: float, factor: float, inside: bool) -> None:
    assert limit_mm(instrument, length, inside=inside) <= limit_mm(instrument, length * factor, inside=inside)


@given(
    st.sampled_from(list(Links)),
    st.sampled_from(list(Link)),
    st.sampled_from(list(Reference)),
    pitch_counts,
    st.sampled_from(list(Technique)),
)
def test_growth_is_a_mixture(links: Links, link: Link, reference: Reference, over: int, technique: Technique) -> None:
    mixture = growth(links, link, reference, over, technique)
    factors = [factor for factor, _ in mixture]
    assert math.isclose(sum(p for _, p in mixture), 1.0)
    assert all(p > 0 for _, p in mixture)
    assert factors == sorted(set(factors))
    assert all(0.0 <= factor <= 2.0 for factor in factors)


@given(st.integers(1, 30), st.sampled_from([Reference.PINS, Reference.ROLLERS]))
def test_the_two_ways_to_begin_grow_by_the_elongation_on_the_mean(over: int, reference: Reference) -> None:
    ((inner, _),), ((outer, _),) = (growth(Links.ALTERNATE, x, reference, over) for x in (Link.INNER, Link.OUTER))
    assert math.isclose((inner + outer) / 2, 1.0)


@given(st.sampled_from(list(Technique)))
def test_an_outer_link_does_not_grow_from_pin_to_pin(technique: Technique) -> None:
    assert growth(Links.ALTERNATE, Link.OUTER, Reference.PINS, 1, technique) == ((0.0, 1.0),)


@given(st.lists(small, min_size=1, max_size=6))
def test_combined_lies_between_the_largest_and_the_sum(parts: list[float]) -> None:
    u, _ = combine([Component("part", x) for x in parts])
    assert max(parts) * (1 - 1e-12) <= u <= sum(parts) * (1 + 1e-12)


@given(st.lists(st.tuples(small, st.integers(1, 50)), min_size=1, max_size=6))
def test_effective_degrees_lie_between_the_smallest_and_the_sum(parts: list[tuple[float, int]]) -> None:
    nu = welch_satterthwaite([u for u, _ in parts], [dof for _, dof in parts])
    dofs = [dof for _, dof in parts]
    assert min(dofs) * (1 - 1e-9) <= nu <= sum(dofs) * (1 + 1e-9)


@given(st.floats(1.0, 500.0), st.floats(0.5, 0.999))
def test_student_lies_above_the_normal_factor(dof: float, coverage: float) -> None:
    assert student_factor(dof, coverage) >= student_factor(math.inf, coverage)


@given(st.lists(st.tuples(small, small), min_size=1, max_size=5))
def test_propagated_through_a_sum_is_own_parts_plus_one_shared_part(parts: list[tuple[float, float]]) -> None:
    own, shared = [a for a, _ in parts], [b for _, b in parts]
    u = propagate([1.0] * len(parts), shared_covariance(own, shared))
    assert math.isclose(u, math.hypot(*own, sum(shared)), rel_tol=1e-9)


@given(st.floats(30, 500), st.floats(1, 14), st.floats(1, 14))
def test_inside_and_outside_edges_agree(center: float, d1: float, d2: float) -> None:
    half = (d1 + d2) / 2
    inside = center_distance(Technique.INSIDE_EDGES, center - half, [d1, d2])
    outside = center_distance(Technique.OUTSIDE_EDGES, center + half, [d1, d2])
    assert math.isclose(inside, outside)


@given(st.floats(20, 300), st.floats(1, 15), st.integers(1, 20))
def test_pitch_and_roller_come_back(pitch: float, diameter: float, over: int) -> None:
    both = pitch_and_roller(over * pitch - diameter, over * pitch + diameter, over)
    assert math.isclose(both.pitch_mm, pitch, rel_tol=1e-9)
    assert math.isclose(both.roller_mm, diameter, rel_tol=1e-6)
