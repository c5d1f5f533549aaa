"""What holds for every table: the short way of reading gives what the long way gives, and storing loses nothing."""

import json
import math
import tempfile
from contextlib import suppress
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.catalog.dimension_key import ColumnKey
from chaincase.catalog.figures import FigureReader
from chaincase.catalog.geometry import complaints
from chaincase.catalog.importing import import_catalog
from chaincase.catalog.judging import suspicious
from chaincase.catalog.key_file import parse_key
from chaincase.catalog.sheets import read_sheet
from chaincase.catalog.stored import load_stored, store_catalog
from chaincase.catalog.table import Catalog, Limit, Row, Source, build
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput

UNITS = ("mm", "cm", "m", "um", "in", "ft")
plain = st.one_of(
    st.decimals(min_value=0, max_value=10**8, places=3).map(str),
    st.from_regex(r"[0-9]{1,9}(\.[0-9]{1,7})?", fullmatch=True),
    st.from_regex(r"[0-9]{0,3}\.?[0-9]{0,3}", fullmatch=True),
)
odd = st.one_of(
    st.sampled_from(
        ["", "-", "n/a", "2 39/64", '1/2"', "12,5", "1,234", "1.234,5", "3 mm", "½", "nan", "inf", "1e3", "٣"]
    ),
    st.text(max_size=6),
)


@given(
    st.lists(plain, min_size=1, max_size=30),
    st.lists(odd, max_size=2),
    st.sampled_from(UNITS),
    st.sampled_from([None, ".", ","]),
)
def test_the_short_way_of_reading_figures_is_the_long_way(
    figures: list[str], others: list[str], unit: str, decimal: str | None
) -> None:
    cells = figures + others
    short, long = (FigureReader(ColumnKey("A", "pitch", unit), decimal, plain=way) for way in (True, False))
    np.testing.assert_array_equal(short.read(cells), long.read(cells))
    assert {c: str(f) for c, f in short.faults.items()} == {c: str(f) for c, f in long.faults.items()}


@given(st.lists(plain, min_size=1, max_size=30), st.sampled_from(["kN", "N", "lbf", "kgf"]))
def test_the_same_for_strengths(cells: list[str], unit: str) -> None:
    short, long = (FigureReader(ColumnKey("F", "tensile", unit), plain=way) for way in (True, False))
    np.testing.assert_array_equal(short.read(cells), long.read(cells))


@given(st.integers(1, 10**6), st.integers(0, 4))
def test_a_figure_in_inches_is_rounded_once(digits: int, places: int) -> None:
    """25.4 mm to the inch (agreement of 1959), as whole numbers: the quotient is the nearest there is."""
    text = f"{digits / 10**places:.{places}f}"
    [value] = FigureReader(ColumnKey("A", "pitch", "in")).read([text])
    exact = digits * 254 / 10 ** (places + 1)
    assert value == exact or (math.isnan(value) and not 1e-3 <= exact < 1e6)


name = st.text(st.characters(codec="utf-8", categories=["L", "N"]), min_size=1, max_size=8)
size = st.floats(min_value=0.002, max_value=1990)


@st.composite
def catalogs(draw: st.DrawFn) -> Catalog:
    """Give catalogs of chains that need not be possible."""
    rows = []
    for i in range(draw(st.integers(1, 6))):
        kind = draw(st.sampled_from(KINDS))
        values = draw(st.dictionaries(st.sampled_from(DIMENSIONS).map(lambda d: d.name), size, max_size=8))
        rows.append(Row(f"{draw(name)} {i}", kind.name, values, strands=draw(st.integers(0, 3))))
    return build(Source("made up", "made up", "none", "made up for a test"), rows)


@given(catalogs())
def test_no_row_that_geometry_complains_about_is_overlooked(catalog: Catalog) -> None:
    seen = set(suspicious(catalog).tolist())
    for row in range(len(catalog)):
        values = catalog.dimensions_of(row)
        limits = {d.name: Limit(catalog.limits[row, i]) for i, d in enumerate(DIMENSIONS) if d.name in values}
        if list(complaints(KINDS[catalog.kind[row]], int(catalog.strands[row]), values, limits)):
            assert row in seen


def test_no_packaged_row_either() -> None:
    catalog = Catalog.standard()
    seen = set(suspicious(catalog).tolist())
    assert len(seen) < len(catalog)
    for row in set(range(len(catalog))) - seen:
        values = catalog.dimensions_of(row)
        assert not list(complaints(KINDS[catalog.kind[row]], int(catalog.strands[row]), values, {}))


cells = st.one_of(plain, odd, st.sampled_from(["leaf", "roller", "1", "2", "A|B"]))
KEY = """
title = "t"
source = "s"
unit = "in"
designation = "No."
kind = "leaf"
alternatives = ["Also"]
strands_column = "S"
note = "Note"
columns.P = "pitch"
columns.D = {dimension = "pin_diameter", limit = "max", unit = "mm"}
tensile = {column = "F", unit = "lbf"}
"""


def _import(folder: Path, table: str, *, plain: bool) -> Catalog | str:
    path = folder / "a.csv"
    path.write_text(table, encoding="utf-8")
    try:
        return import_catalog(path, parse_key(KEY, "k.toml"), plain=plain)[0]
    except BadInput as fault:
        return str(fault)


def _line(row: list[str]) -> str:
    return ",".join('"' + cell.replace('"', '""') + '"' for cell in row)


@given(st.lists(st.lists(cells, min_size=7, max_size=7), max_size=6))
@settings(deadline=None)
def test_any_table_is_imported_alike_both_ways_or_refused_alike(rows: list[list[str]]) -> None:
    table = "\n".join([_line(["No.", "Also", "S", "Note", "P", "D", "F"]), *map(_line, rows)])
    with tempfile.TemporaryDirectory() as folder:
        short, long = (_import(Path(folder), table, plain=way) for way in (True, False))
        if isinstance(short, str):
            assert short == long
            return
        assert isinstance(long, Catalog)
        np.testing.assert_array_equal(short.values, long.values)
        np.testing.assert_array_equal(short.tensile_kn, long.tensile_kn)
        assert short.designations == long.designations
        store_catalog(short, folder, "kept")
        again = load_stored(folder, "kept")
        np.testing.assert_array_equal(short.values, again.values)
        np.testing.assert_array_equal(short.limits, again.limits)
        np.testing.assert_array_equal(short.tensile_kn, again.tensile_kn)
        np.testing.assert_array_equal(short.strands, again.strands)
        assert (short.designations, short.alternatives, short.notes) == (
            again.designations,
            again.alternatives,
            again.notes,
        )


@given(st.binary(max_size=300), st.sampled_from([".csv", ".xlsx", ".toml"]))
@settings(deadline=None)
def test_any_bytes_are_a_table_or_refused(data: bytes, suffix: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"a{suffix}"
        path.write_bytes(data)
        with suppress(BadInput):
            list(read_sheet(path).rows())


words = st.text(st.characters(codec="utf-8", exclude_characters="\x7f"), max_size=3)
value = st.recursive(
    st.one_of(st.booleans(), st.integers(-3, 3), st.just("mm"), st.just("pitch"), st.just("leaf"), words),
    lambda inner: (
        st.lists(inner, max_size=2)
        | st.dictionaries(st.sampled_from(["A", "dimension", "unit", "limit", "column"]), inner, max_size=3)
    ),
    max_leaves=6,
)
FIELDS = (
    *("title", "source", "evidence", "file", "sheet", "header_row", "first_row", "last_row", "unit", "decimal"),
    *("kind", "kind_column", "kinds", "designation", "alternatives", "note", "strands", "strands_column"),
    *("standard_column", "columns", "tensile", "mass"),
)


def _toml(found: object) -> str:
    """Write a value as TOML; its texts are written as JSON, which TOML reads alike."""
    if isinstance(found, dict):
        return "{" + ", ".join(f"{key} = {_toml(item)}" for key, item in found.items()) + "}"
    if isinstance(found, list):
        return "[" + ", ".join(map(_toml, found)) + "]"
    return json.dumps(found, ensure_ascii=False)


@given(st.dictionaries(st.sampled_from(FIELDS), value, max_size=8))
def test_any_key_is_read_or_refused(found: dict[str, object]) -> None:
    with suppress(BadInput):
        parse_key("\n".join(f"{field} = {_toml(item)}" for field, item in found.items()), "k.toml")
