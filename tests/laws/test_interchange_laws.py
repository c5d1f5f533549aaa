"""What must always hold between chains that are held against each other."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import SOURCE
from chaincase import Catalog
from chaincase.catalog.table import Row, Trust, build
from chaincase.chains.kinds import KINDS
from chaincase.identifying.interchange import Interchange, Verdict, interchange

VALUES = {
    "pitch": 25.4, "roller_diameter": 15.88, "inner_width": 15.75, "pin_diameter": 7.92, "pin_length": 33.5,
    "inner_plate_height": 24.13,
}  # fmt: skip
OLD = Row("old", "roller", VALUES, trust=Trust.TWO_SOURCES, strands=1, tensile_kn=55.6)

BESIDE_PITCH = sorted(VALUES.keys() - {"pitch"})

scales = st.floats(min_value=0.9, max_value=1.1)
changes = st.fixed_dictionaries({}, optional=dict.fromkeys(BESIDE_PITCH, scales))


def scaled(name: str, by: dict[str, float]) -> Row:
    return replace(OLD, designation=name, values={k: v * by.get(k, 1.0) for k, v in VALUES.items()})


def held(new: Row, old: Row = OLD) -> Interchange | None:
    found = interchange(build(SOURCE, [old, new]), 0)
    return found[0] if found else None


@given(st.floats(min_value=0.5, max_value=3.0))
@settings(max_examples=30, deadline=None)
def test_a_chain_is_a_drop_in_for_its_double_at_any_size(size):
    values = {name: value * size for name, value in VALUES.items()}
    one, two = (replace(OLD, designation=name, values=values) for name in ("one", "two"))
    found = held(two, one)
    assert found is not None
    assert (found.verdict, found.differs) == (Verdict.DROP_IN, ())


@given(st.sampled_from([*BESIDE_PITCH, "tensile_kn"]), st.booleans())
@settings(max_examples=30, deadline=None)
def test_an_open_cell_of_either_chain_never_gives_a_drop_in(name, of_old):
    values = {key: value for key, value in VALUES.items() if key != name}
    bare = replace(OLD, values=values, tensile_kn=math.nan if name == "tensile_kn" else OLD.tensile_kn)
    whole = replace(OLD, designation="other")
    found = held(whole, bare) if of_old else held(replace(bare, designation="other"))
    assert found is None or found.verdict is not Verdict.DROP_IN
    if found:
        assert "not known: " in found.why


@given(changes)
@settings(max_examples=80, deadline=None)
def test_equal_figures_give_equal_verdicts_both_ways(by):
    """A drop-in without any difference is one the other way round too."""
    new = scaled("new", by)
    there, back = held(new), held(replace(OLD, designation="new"), replace(new, designation="old"))
    if there and there.verdict is Verdict.DROP_IN and not there.differs:
        assert back is not None
        assert back.verdict is Verdict.DROP_IN


@given(changes)
@settings(max_examples=80, deadline=None)
def test_a_larger_roller_or_a_tooth_too_wide_never_fits(by):
    found = held(scaled("new", by))
    larger = by.get("roller_diameter", 1.0) > 1.0101
    narrower = by.get("inner_width", 1.0) < 0.949
    if (larger or narrower) and found:
        assert found.verdict is Verdict.NO


@given(changes, st.floats(min_value=0.3, max_value=0.97))
@settings(max_examples=40, deadline=None)
def test_a_weaker_chain_is_never_a_drop_in(by, share):
    found = held(replace(scaled("new", by), tensile_kn=share * 55.6))
    assert found is None or found.verdict is not Verdict.DROP_IN


@given(st.floats(min_value=0.0, max_value=0.05).map(lambda x: 1 + x), st.booleans())
@settings(max_examples=40, deadline=None)
def test_a_pitch_off_by_more_than_new_chain_may_be_never_fits(ratio, shorter):
    factor = 1 / ratio if shorter else ratio
    found = held(replace(OLD, designation="new", values=VALUES | {"pitch": 25.4 * factor}))
    off = abs(factor - 1)
    if off > 0.0016:
        assert found is None or found.verdict is Verdict.NO
    if off < 0.0004:
        assert found is not None
        assert found.verdict is Verdict.DROP_IN


def test_verdicts_come_best_first_and_can_be_chosen():
    table = Catalog.standard()
    for row in range(0, len(table), 150):
        if math.isnan(table.values[row, 0]):
            continue
        found = interchange(table, row)
        order = [list(Verdict).index(each.verdict) for each in found]
        assert order == sorted(order)
        assert table.designations[row] not in {e.designation for e in found if e.table == table.table_of(row)}
        for verdict in Verdict:
            only = interchange(table, row, verdicts=(verdict,))
            assert only == tuple(each for each in found if each.verdict is verdict)


def alone(table: Catalog, row: int) -> Row:
    """Give a row as a loader would, under a name of its own."""
    return Row(
        designation=f"row {row}",
        kind=KINDS[int(table.kind[row])].name,
        values=table.dimensions_of(row),
        trust=Trust.ONE_SOURCE,
        strands=int(table.strands[row]),
        tensile_kn=float(table.tensile_kn[row]),
    )


@pytest.mark.parametrize("old", ["16B-1", "16A-2", "208A", "M112x160", "W78", "CA550"])
def test_a_verdict_is_the_same_in_a_catalog_of_the_two_alone(old):
    """What is judged over columns for all chains at once is what it is for each pair."""
    table = Catalog.standard()
    row = table.row(old)
    for each in interchange(table, row):
        new = table.row(f"{each.table}/{each.designation}")
        (pair,) = interchange(build(SOURCE, [alone(table, row), alone(table, new)]), 0)
        assert (pair.verdict, pair.why, pair.differs) == (each.verdict, each.why, each.differs)


def test_every_row_of_the_packaged_tables_gives_reasons_with_its_verdicts():
    table = Catalog.standard()
    rows = [row for row in range(0, len(table), 9) if not math.isnan(table.values[row, 0])]
    found = [each for row in rows for each in interchange(table, row)]
    assert len(found) > 100
    for each in found:
        assert each.why
        assert "nan" not in each.why
        assert all("nan" not in difference.words for difference in each.differs)
        if each.verdict is Verdict.DROP_IN:
            assert "not known" not in each.why


@pytest.mark.parametrize("name", BESIDE_PITCH)
def test_a_difference_gives_both_figures(name):
    found = held(scaled("new", {name: 1.03}))
    assert found is not None
    (difference,) = found.differs
    assert difference.dimension == name
    assert (difference.old, difference.new) == (pytest.approx(VALUES[name]), pytest.approx(1.03 * VALUES[name]))
