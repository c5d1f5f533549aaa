"""The catalog in memory: built from rows, joined, asked by name."""

import math

import numpy as np
import pytest

from chaincase.catalog.table import Catalog, Limit, Row, Source, Trust, build, concatenate
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import INDEX
from chaincase.errors import BadInput

PLANT = Source("plant", "Chains of a made-up plant", "none", "made up for a test")
YARD = Source("yard", "Chains of a made-up yard", "none", "made up for a test")


def one(designation: str, *names: str, pitch: float = 25.4) -> Row:
    return Row(designation, "leaf", {"pitch": pitch}, alternatives=names)


def test_build_fills_every_column() -> None:
    row = Row(
        designation="A-1",
        kind="roller",
        values={"pitch": 12.7, "pin_diameter": 3.96},
        limits={"pin_diameter": Limit.MAXIMUM, "roller_diameter": Limit.MAXIMUM},
        trust={"pitch": Trust.TWO_SOURCES, "pin_diameter": Trust.MEMORY},
        alternatives=("A",),
        strands=2,
        tensile_kn=13.9,
        note="made up",
        standard="none",
    )
    catalog = build(PLANT, [row])
    pin, roller = COLUMN["pin_diameter"], COLUMN["roller_diameter"]
    assert catalog.values.shape == (1, len(DIMENSIONS))
    assert (catalog.values[0, pin], catalog.limits[0, pin], catalog.trust[0, pin]) == (
        3.96,
        Limit.MAXIMUM,
        Trust.MEMORY,
    )
    assert math.isnan(catalog.values[0, roller])
    assert catalog.limits[0, roller] == Limit.NOMINAL  # the cell is empty
    assert catalog.trust[0, roller] == Trust.NONE
    assert (int(catalog.kind[0]), int(catalog.strands[0])) == (INDEX["roller"], 2)
    assert (float(catalog.tensile_kn[0]), math.isnan(catalog.mass_kg_per_m[0])) == (13.9, True)
    assert (catalog.notes, catalog.standards, catalog.alternatives) == (("made up",), ("none",), (("A",),))


def test_one_trust_for_the_whole_row() -> None:
    catalog = build(PLANT, [Row("A", "leaf", {"pitch": 12.7, "pin_diameter": math.nan}, trust=Trust.USER)])
    assert catalog.trust[0, COLUMN["pitch"]] == Trust.USER
    assert catalog.trust[0, COLUMN["pin_diameter"]] == Trust.NONE


def test_a_table_may_be_empty() -> None:
    catalog = build(PLANT, [])
    assert len(catalog) == 0
    assert catalog.sources == (PLANT,)


def test_dimensions_of_leaves_out_empty_cells() -> None:
    assert build(PLANT, [one("A")]).dimensions_of(0) == {"pitch": 25.4}


def test_a_source_stands_once() -> None:
    catalog = build(PLANT, [one("A")]) + build(YARD, [one("B")]) + build(PLANT, [one("C")])
    assert catalog.sources == (PLANT, YARD)
    assert [catalog.table_of(row) for row in range(3)] == ["plant", "yard", "plant"]


def test_a_designation_goes_before_an_alternative_name() -> None:
    catalog = build(PLANT, [one("A", "B"), one("B")])
    assert catalog.designations[catalog.row("b")] == "B"


def test_a_table_may_be_named_before_the_chain() -> None:
    catalog = build(PLANT, [one("A")]) + build(YARD, [one("A", "B")])
    assert catalog.row("yard/A") == 1
    assert catalog.row("yard/B") == 1


def test_a_slash_in_a_designation_is_no_table() -> None:
    assert build(PLANT, [one("S102-1/2")]).row("s102 1/2") == 0


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(BadInput, match=r"no chain is named 'Z9'; .*") as caught:
        build(PLANT, [one("A")]).row("Z9")
    assert caught.value.right


def test_a_name_of_several_chains_is_refused_with_the_choices() -> None:
    catalog = build(PLANT, [one("A1", "A"), one("A2", "A")])
    with pytest.raises(BadInput, match=r"'A' is the name of 2 chains; use one of: plant/A1, plant/A2"):
        catalog.row("A")


def test_arrays_cannot_be_written() -> None:
    catalog = build(PLANT, [one("A")])
    with pytest.raises(ValueError, match="read-only"):
        catalog.values[0, 0] = 1.0


def test_the_standard_catalog_is_read_once() -> None:
    assert Catalog.standard() is Catalog.standard()


def test_concatenate_nothing() -> None:
    assert concatenate([]).values.shape == (0, len(DIMENSIONS))
    assert concatenate([]).limits.dtype == np.int8
