"""What must always hold of a pull, whatever the path, and of a drive's ratings."""

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.duty import rating, rating_tables
from chaincase.duty.pull import Run, Straight, Turn, contributions, scaled, tensions

masses = st.floats(min_value=0.0, max_value=300.0)
frictions = st.floats(min_value=0.0, max_value=1.0)
lengths = st.floats(min_value=0.0, max_value=50_000.0)
forces = st.floats(min_value=0.0, max_value=20_000.0)


def straights(low: float, high: float) -> st.SearchStrategy[Straight]:
    return st.builds(
        Straight,
        length=lengths,
        angle=st.floats(min_value=low, max_value=high),
        chain=masses,
        carried=masses,
        dragged=masses,
        held=masses,
        friction=frictions,
        material_friction=frictions,
        holding_friction=frictions,
        wall=st.floats(min_value=0.0, max_value=500.0),
        extra=forces,
    )


turns = st.builds(
    Turn,
    wrap=st.floats(min_value=0.0, max_value=360.0),
    friction=st.floats(min_value=0.0, max_value=0.3),
    loss=st.floats(min_value=0.0, max_value=0.2),
    extra=forces,
)
rising = st.lists(st.one_of(straights(0.0, 90.0), turns), min_size=1, max_size=8)
paths = st.lists(st.one_of(straights(-90.0, 90.0), turns), min_size=1, max_size=8)
growth = st.floats(min_value=1.0, max_value=5.0)


def by_segments(path: list[Run], least: float, slack: float) -> float:
    """Carry on run by run, with the lower limit where a tension falls below it: the tables' method, written naively."""
    now = max(least, slack)
    for run in path:
        if isinstance(run, Turn):
            now = now * math.exp(run.friction * math.radians(run.wrap)) * (1 + run.loss) + run.extra
        else:
            across, along = (f(math.radians(run.angle)) * 9.81 * run.length / 1000 for f in (math.cos, math.sin))
            now += (run.chain + run.carried + run.held) * run.friction * across
            now += (run.dragged * run.material_friction + run.held * run.holding_friction) * across
            now += (run.chain + run.carried + run.dragged) * along + run.wall * run.length / 1000 + run.extra
        now = max(now, least)
    return now


@given(paths, forces, forces)
@settings(max_examples=150, deadline=None)
def test_the_tight_side_is_that_of_the_segment_method(path, least, slack):
    assert float(tensions(path, least, slack).head) == pytest.approx(
        by_segments(path, least, slack), rel=1e-9, abs=1e-6
    )


@given(paths, forces, forces)
@settings(max_examples=100, deadline=None)
def test_no_point_falls_below_the_limits(path, least, slack):
    loop = tensions(path, least, slack)
    assert all(float(point) >= least for point in loop.points)
    assert float(loop.slack) >= max(least, slack)
    assert float(loop.largest) == max(float(point) for point in loop.points)
    assert float(loop.held_back) >= 0.0


@given(paths, forces)
@settings(max_examples=100, deadline=None)
def test_nothing_is_held_back_for_nothing(path, least):
    """The least tension that does: with held-back chain, some point lies at the limit."""
    loop = tensions(path, least)
    if float(loop.held_back) > 1e-6:
        largest = float(loop.largest)
        assert min(float(point) for point in loop.points) == pytest.approx(least, abs=1e-9 * max(largest, 1.0))


@given(rising, growth)
@settings(max_examples=100, deadline=None)
def test_more_load_never_lowers_the_pull(path, factor):
    assert tensions(scaled(path, load=factor)).head >= tensions(path).head * (1 - 1e-12)


@given(straights(-90.0, 0.0), rising, growth)
@settings(max_examples=100, deadline=None)
def test_more_load_never_lowers_the_pull_behind_an_empty_return(back, path, factor):
    whole = [dataclasses.replace(back, carried=0.0, dragged=0.0, held=0.0), *path]
    assert tensions(scaled(whole, load=factor)).head >= tensions(whole).head * (1 - 1e-12)


@given(rising, growth, forces)
@settings(max_examples=100, deadline=None)
def test_more_friction_never_lowers_the_pull_on_level_and_inclined_runs(path, factor, least):
    path = scaled(path, friction=0.2)
    assert tensions(scaled(path, friction=factor), least).head >= tensions(path, least).head * (1 - 1e-12)


@given(paths, forces, forces)
@settings(max_examples=100, deadline=None)
def test_more_take_up_never_lowers_the_pull(path, least, more):
    assert tensions(path, least + more, least + more).head >= tensions(path, least, least).head * (1 - 1e-12)


@given(paths, st.integers(min_value=0, max_value=7), st.floats(min_value=0.0, max_value=1.0), forces)
@settings(max_examples=100, deadline=None)
def test_splitting_a_run_in_two_changes_nothing(path, at, share, least):
    at %= len(path)
    run = path[at]
    if isinstance(run, Straight):
        cut = [
            dataclasses.replace(run, length=run.length * part, extra=run.extra * part) for part in (share, 1.0 - share)
        ]
    else:
        cut = [
            dataclasses.replace(run, wrap=run.wrap * share, loss=0.0, extra=0.0),
            dataclasses.replace(run, wrap=run.wrap * (1.0 - share)),
        ]
    whole, split = tensions(path, least), tensions([*path[:at], *cut, *path[at + 1 :]], least)
    # A resultant of large opposing forces loses digits.
    scale = max(
        float(whole.largest), sum(abs(float(f)) for parts in contributions(path, whole) for f in parts.values())
    )
    assert float(split.head) == pytest.approx(float(whole.head), abs=1e-9 * max(scale, 1.0))
    assert float(split.slack) == pytest.approx(float(whole.slack), abs=1e-9 * max(scale, 1.0))


@given(paths, forces, forces)
@settings(max_examples=100, deadline=None)
def test_contributions_add_up_to_what_the_head_drives_with(path, least, slack):
    loop = tensions(path, least, slack)
    parts = [float(force) for run in contributions(path, loop) for force in run.values()]
    scale = max(float(loop.largest), sum(map(abs, parts)), 1.0)
    assert sum(parts) == pytest.approx(float(loop.effective), abs=1e-9 * scale)


def stacked(runs: list[Run]) -> Run:
    """Give one run whose quantities are arrays over those of the runs."""
    names = [field.name for field in dataclasses.fields(runs[0]) if field.name != "name"]
    return type(runs[0])(**{name: np.array([getattr(run, name) for run in runs]) for name in names})


@given(st.lists(st.tuples(straights(-90.0, 0.0), turns, straights(0.0, 90.0)), min_size=1, max_size=6), forces)
@settings(max_examples=60, deadline=None)
def test_many_variants_at_once_are_those_one_by_one(variants, least):
    together = tensions([stacked(list(runs)) for runs in zip(*variants, strict=True)], least)
    for at, path in enumerate(variants):
        alone = tensions(path, least)
        scale = max(float(alone.largest), 1.0)
        for many, one in zip(together.points, alone.points, strict=True):
            assert float(np.broadcast_to(many, len(variants))[at]) == pytest.approx(float(one), abs=1e-12 * scale)


@given(st.integers(min_value=11, max_value=27), st.floats(min_value=50.0, max_value=4499.0))
@settings(max_examples=100, deadline=None)
def test_the_table_between_its_lines_lies_between_its_neighbors(teeth, rpm):
    table = rating_tables.grid("no25_power")
    row = max(i for i, z in enumerate(table.rows) if z <= teeth)
    column = max(i for i, n in enumerate(table.columns) if n <= rpm)
    corners = [table.cells[i][j] for i in (row, min(row + 1, 16)) for j in (column, column + 1)]
    found = rating_tables.no25_power(teeth, rpm).power / rating.HP
    assert min(corners) * (1 - 1e-12) <= found <= max(corners) * (1 + 1e-12)


@given(
    st.sampled_from([40, 50, 60, 80, 120, 240]),
    st.integers(min_value=9, max_value=60),
    st.floats(min_value=1.0, max_value=3000.0),
)
@settings(max_examples=60, deadline=None)
def test_more_teeth_always_carry_more_and_a_longer_life_less(number, teeth, rpm):
    assert rating.by_equation(number, teeth + 1, rpm).power > rating.by_equation(number, teeth, rpm).power
    power = rating.by_equation(number, teeth, rpm).power
    assert rating.for_life(power, 30_000.0) < power == pytest.approx(rating.for_life(power, 15_000.0))
