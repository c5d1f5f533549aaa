"""What must always hold of wear trends and of margins."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chaincase.duty import wear_limits
from chaincase.duty.sensitivity import Assumption, swings
from chaincase.duty.wear_form import WearForm
from chaincase.duty.wear_trend import Point, fit, reached

levels = st.floats(min_value=0.0, max_value=0.05)
uncertain = st.floats(min_value=1e-5, max_value=5e-3)
dated = st.lists(
    st.builds(Point, st.integers(0, 4000).map(float), levels, uncertain),
    min_size=2,
    max_size=8,
    unique_by=lambda point: point.day,
)


@given(dated, st.floats(min_value=0.005, max_value=0.06))
@settings(max_examples=150, deadline=None)
def test_dates_stand_in_order_and_none_follows_from_a_falling_trend(points, limit):
    for degree in (1, 2):
        fitted = fit(points, degree)
        if fitted is None:
            continue
        when = reached(fitted, limit)
        last = max(point.day for point in points)
        given_dates = [day for day in (when.early, when.middle, when.late) if day is not None]
        assert given_dates == sorted(given_dates)
        assert all(day >= last for day in given_dates)
        if fitted.rate <= 0.0 and float(fitted.mean(last)) < limit:
            assert not given_dates
            assert when.why
        if when.middle is not None and when.middle > last:
            assert float(fitted.mean(when.middle)) == pytest.approx(limit, abs=2e-4)
        assert (when.late is None) or (when.middle is not None)


@given(dated, st.floats(min_value=-0.01, max_value=0.01))
@settings(max_examples=100, deadline=None)
def test_a_line_moves_with_its_points(points, step):
    line, moved = fit(points, 1), fit([Point(p.day, p.elongation + step, p.u) for p in points], 1)
    assert line is not None
    assert moved is not None
    assert moved.rate == pytest.approx(line.rate, abs=1e-9)
    assert float(moved.mean(0.0)) == pytest.approx(float(line.mean(0.0)) + step, abs=1e-7)


@given(dated, st.floats(min_value=1.01, max_value=5.0))
@settings(max_examples=100, deadline=None)
def test_less_certain_readings_never_narrow_the_rate(points, factor):
    line, wider = fit(points, 1), fit([Point(p.day, p.elongation, p.u * factor) for p in points], 1)
    assert line is not None
    assert wider is not None
    assert wider.rate_u >= line.rate_u * (1 - 1e-9)
    assert wider.rate == pytest.approx(line.rate, abs=1e-9)


@given(st.integers(5, 400), st.integers(5, 400))
def test_more_teeth_never_allow_more_wear(few, many):
    assume(few <= many)
    assert wear_limits.by_teeth(many) <= wear_limits.by_teeth(few)


@given(st.floats(min_value=0.0, max_value=0.06), st.integers(1, 50).map(lambda n: 2 * n))
@settings(max_examples=60, deadline=None)
def test_an_even_span_shows_the_elongation_in_full(elongation, over):
    length = f"{25.4 * over * (1 + elongation):.9f} mm"
    from chaincase.duty.wear import measured

    data = {"on": "2025-01-01", "length": length, "over": over, "instrument": "caliper"}
    (found,) = measured(WearForm.of({"pitch": "1 in", "kind": "roller", "readings": [data]}))
    assert found.elongation == pytest.approx(elongation, abs=1e-9)
    assert found.u > 0.0


ranges = st.lists(
    st.tuples(st.floats(min_value=0.5, max_value=1.0), st.floats(min_value=1.0, max_value=2.0)), min_size=1, max_size=6
)


@given(ranges)
@settings(max_examples=60, deadline=None)
def test_one_assumption_at_a_time_is_that(spans):
    """Every swing is what the sum gives with that assumption alone moved, and the strongest stands first."""
    assumptions = [Assumption(f"a{i}", f"a{i}", low, high) for i, (low, high) in enumerate(spans)]

    def margin(factors):
        return 3.0 / np.prod([factors[each.key] for each in assumptions], axis=0)

    found = swings(assumptions, margin)
    assert [swing.size for swing in found] == sorted((swing.size for swing in found), reverse=True)
    for swing in found:
        assert swing.base == pytest.approx(3.0)
        assert swing.low == pytest.approx(3.0 / swing.assumption.low)
        assert swing.high == pytest.approx(3.0 / swing.assumption.high)
