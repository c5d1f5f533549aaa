"""What holds for every catalog: joining keeps rows and order, and every designation leads to its row."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from chaincase.catalog.table import Catalog, Limit, Row, Source, Trust, build, concatenate
from chaincase.chains.designation import key
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.chains.kinds import KINDS

SIZES = st.floats(0.1, 2000.0) | st.just(math.nan)
CELLS = st.dictionaries(st.sampled_from([d.name for d in DIMENSIONS]), SIZES, max_size=5)
LIMITS = st.dictionaries(st.sampled_from([d.name for d in DIMENSIONS]), st.sampled_from(Limit), max_size=5)
NAMES = st.text("ABCDE0123456789", min_size=1, max_size=6)


@st.composite
def rows(draw: st.DrawFn) -> Row:
    return Row(
        designation=draw(NAMES),
        kind=draw(st.sampled_from(KINDS)).name,
        values=draw(CELLS),
        limits=draw(LIMITS),
        trust=draw(st.sampled_from([Trust.USER, Trust.MEMORY])),
        alternatives=tuple(draw(st.lists(NAMES, max_size=2))),
        strands=draw(st.integers(0, 4)),
        tensile_kn=draw(SIZES),
        note=draw(st.text(max_size=4)),
    )


@st.composite
def catalogs(draw: st.DrawFn) -> Catalog:
    table = draw(st.sampled_from(["one", "two", "three"]))
    made = draw(st.lists(rows(), max_size=4, unique_by=lambda row: key(row.designation)))
    return build(Source(table, table, "none", "made up"), made)


def same(one: Catalog, other: Catalog) -> bool:
    """Compare two catalogs by the naive road, row by row."""
    if len(one) != len(other):
        return False
    return all(
        one.designations[row] == other.designations[row]
        and one.alternatives[row] == other.alternatives[row]
        and one.table_of(row) == other.table_of(row)
        and one.kind[row] == other.kind[row]
        and one.strands[row] == other.strands[row]
        and one.notes[row] == other.notes[row]
        and np.array_equal(one.values[row], other.values[row], equal_nan=True)
        and np.array_equal(one.limits[row], other.limits[row])
        and np.array_equal(one.trust[row], other.trust[row])
        and np.array_equal(one.tensile_kn[row], other.tensile_kn[row], equal_nan=True)
        for row in range(len(one))
    )


@given(st.lists(catalogs(), max_size=4))
def test_rows_are_kept_in_their_order(parts: list[Catalog]) -> None:
    joined = concatenate(parts)
    assert joined.designations == tuple(name for part in parts for name in part.designations)
    assert [joined.table_of(row) for row in range(len(joined))] == [
        part.table_of(row) for part in parts for row in range(len(part))
    ]


@given(catalogs(), catalogs(), catalogs())
def test_joining_is_associative(a: Catalog, b: Catalog, c: Catalog) -> None:
    assert same((a + b) + c, a + (b + c))
    assert same((a + b) + c, concatenate([a, b, c]))


@given(catalogs())
def test_nothing_added_changes_nothing(catalog: Catalog) -> None:
    assert same(concatenate([]) + catalog, catalog)
    assert same(concatenate([catalog]), catalog)


@given(catalogs())
def test_every_designation_leads_to_its_row(catalog: Catalog) -> None:
    assert [catalog.row(name.lower()) for name in catalog.designations] == list(range(len(catalog)))


@given(catalogs())
def test_a_cell_is_empty_exactly_where_nothing_is_known(catalog: Catalog) -> None:
    empty = np.isnan(catalog.values)
    assert ((catalog.trust == Trust.NONE) == empty).all()
    assert (catalog.limits[empty] == Limit.NOMINAL).all()
    assert all(len(catalog.dimensions_of(row)) == np.count_nonzero(~empty[row]) for row in range(len(catalog)))
