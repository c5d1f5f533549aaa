"""Catalogs that a user keeps: what was stored is what is loaded, and a fault leaves the old one as it was."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from builders import catalog as made
from chaincase.catalog import stored
from chaincase.catalog.importing import import_catalog
from chaincase.catalog.stored import (
    check_name,
    data_folder,
    load_stored,
    open_catalog,
    store_catalog,
    stored_names,
)
from chaincase.catalog.table import Catalog, Limit, concatenate
from chaincase.errors import BadInput

KEY = """\
title = 'The "long" print'
source = "drawing 4711"
unit = "in"
kind_column = "Kind"
designation = "No."
alternatives = ["Also"]
strands_column = "S"
note = "Note"
standard_column = "Standard"
columns.P = "pitch"
columns.D = {dimension = "pin_diameter", limit = "max"}
columns.L = {dimension = "pin_length", limit = "min"}
tensile = {column = "F", unit = "lbf"}
mass = {column = "M", unit = "lb/ft"}
"""
TABLE = """\
No.,Also,Kind,S,P,D,L,F,M,Standard,Note
"A,1",x|y,leaf,1,2 39/64,0.601,3,21000,4.1,own 1,"first, ""best"" one"
Б2,,roller,,3.075,,4.0,,,,
C3,z,drag,2,7/3,1,,5,,,- see A
"""


@pytest.fixture
def catalog(tmp_path: Path) -> Catalog:
    path = tmp_path / "print.csv"
    path.write_text(TABLE, encoding="utf-8")
    path.with_suffix(".toml").write_text(KEY, encoding="utf-8")
    return import_catalog(path, name="print")[0]


def same(one: Catalog, other: Catalog) -> None:
    for name in ("designations", "alternatives", "sources", "notes", "standards"):
        assert getattr(one, name) == getattr(other, name), name
    for name in ("source", "kind", "strands", "values", "limits", "trust", "tensile_kn", "mass_kg_per_m"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name), err_msg=name)
        assert getattr(one, name).dtype == getattr(other, name).dtype, name


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()} if folder.exists() else {}


def test_what_is_stored_is_what_is_loaded(tmp_path: Path, catalog: Catalog) -> None:
    store_catalog(catalog, tmp_path / "kept", "print")
    same(load_stored(tmp_path / "kept", "print"), catalog)
    same(load_stored(tmp_path / "kept"), catalog)


def test_all_of_a_folder_are_loaded_together(tmp_path: Path, catalog: Catalog) -> None:
    for name in ("b", "a"):
        store_catalog(catalog, tmp_path / "kept", name)
    assert stored_names(tmp_path / "kept") == ("a", "b")
    both = load_stored(tmp_path / "kept")
    assert [source.name for source in both.sources] == ["a", "b"]
    assert both.designations == catalog.designations * 2


def test_a_folder_that_is_not_there_has_none(tmp_path: Path) -> None:
    assert len(load_stored(tmp_path / "none")) == 0


class TestReplacing:
    def test_a_taken_name_is_refused_without_being_told_to(self, tmp_path: Path, catalog: Catalog) -> None:
        store_catalog(catalog, tmp_path / "kept", "print")
        before = files(tmp_path / "kept")
        with pytest.raises(BadInput, match=r"there is already a catalog 'print'; .*--replace"):
            store_catalog(catalog, tmp_path / "kept", "print")
        assert files(tmp_path / "kept") == before

    def test_the_old_table_goes_with_its_key(self, tmp_path: Path, catalog: Catalog) -> None:
        store_catalog(made(("X1", "leaf", {"pitch": 12.7})), tmp_path / "kept", "print")
        store_catalog(catalog, tmp_path / "kept", "print", replace=True)
        assert len(files(tmp_path / "kept")) == 2
        same(load_stored(tmp_path / "kept", "print"), catalog)

    def test_the_same_again(self, tmp_path: Path, catalog: Catalog) -> None:
        for _ in range(2):
            store_catalog(catalog, tmp_path / "kept", "print", replace=True)
        same(load_stored(tmp_path / "kept", "print"), catalog)

    @pytest.mark.parametrize("nth", [1, 2])
    def test_a_disk_that_fails_leaves_the_old_one(
        self, tmp_path: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch, nth: int
    ) -> None:
        store_catalog(made(("X1", "leaf", {"pitch": 12.7})), tmp_path / "kept", "print")
        calls: list[int] = []

        def full(handle: int) -> None:
            calls.append(handle)
            if len(calls) == nth:
                raise OSError(28, "No space left on device")

        monkeypatch.setattr(stored.os, "fsync", full)
        with pytest.raises(BadInput, match="cannot be written"):
            store_catalog(catalog, tmp_path / "kept", "print", replace=True)
        assert load_stored(tmp_path / "kept", "print").designations == ("X1",)
        assert not [name for name in files(tmp_path / "kept") if name.endswith(".part")]

    def test_a_stop_while_writing_leaves_nothing(
        self, tmp_path: Path, catalog: Catalog, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def stopped(*arguments: object) -> None:
            raise KeyboardInterrupt

        monkeypatch.setattr(stored, "_write_rows", stopped)
        with pytest.raises(KeyboardInterrupt):
            store_catalog(catalog, tmp_path / "kept", "print")
        assert files(tmp_path / "kept") == {}


class TestRefusals:
    @pytest.mark.parametrize(
        "name", ["", ".", "..", "a/b", "../a", "a\\b", "a\0", " a", "a ", "a.", "x" * 64, "CON", "nul.1", "a\n"]
    )
    def test_names_that_are_none(self, name: str) -> None:
        with pytest.raises(BadInput, match="cannot be the name of a catalog"):
            check_name(name)

    @pytest.mark.parametrize("name", ["prints (2)", "mill_1987", "Größe 4", "a.b", "x" * 63])
    def test_names_that_people_give(self, name: str) -> None:
        assert check_name(name) == name

    def test_the_name_of_a_packaged_table(self) -> None:
        with pytest.raises(BadInput, match="'leaf' is a packaged table"):
            check_name("leaf")

    def test_several_sources_in_one(self, tmp_path: Path, catalog: Catalog) -> None:
        both = concatenate([catalog, made(("X1", "leaf", {"pitch": 12.7}))])
        with pytest.raises(BadInput, match="has 2 sources"):
            store_catalog(both, tmp_path / "kept", "print")
        assert files(tmp_path / "kept") == {}

    def test_limits_that_differ_within_a_column(self, tmp_path: Path) -> None:
        rows = made(("X1", "leaf", {"pitch": 12.7}), ("X2", "leaf", {"pitch": 15.875}))
        limits = rows.limits.copy()
        limits[1, 0] = Limit.MAXIMUM
        rows = replace(rows, limits=limits)
        with pytest.raises(BadInput, match="pitch is nominal in some rows"):
            store_catalog(rows, tmp_path / "kept", "print")

    def test_a_folder_that_is_a_file(self, tmp_path: Path, catalog: Catalog) -> None:
        (tmp_path / "kept").write_text("x", encoding="utf-8")
        with pytest.raises(BadInput, match="cannot be written"):
            store_catalog(catalog, tmp_path / "kept", "print")

    def test_a_stored_table_that_was_changed_by_hand(self, tmp_path: Path, catalog: Catalog) -> None:
        key = store_catalog(catalog, tmp_path / "kept", "print")
        [table] = key.parent.glob("*.csv")
        table.write_text(table.read_text(encoding="utf-8").replace("78.105", "78.1O5"), encoding="utf-8")
        with pytest.raises(BadInput, match=r"row 3, column E 'pitch': '78\.1O5"):
            load_stored(tmp_path / "kept")


class TestOpening:
    """As `identify --catalog` names it."""

    def test_by_its_stored_name(self, tmp_path: Path, catalog: Catalog) -> None:
        store_catalog(catalog, tmp_path / "kept", "print")
        same(open_catalog("print", tmp_path / "kept"), catalog)

    def test_by_its_file_with_the_key_beside_it(self, tmp_path: Path, catalog: Catalog) -> None:
        same(open_catalog(tmp_path / "print.csv", tmp_path / "kept"), catalog)

    def test_by_the_key_that_was_stored(self, tmp_path: Path, catalog: Catalog) -> None:
        same(open_catalog(store_catalog(catalog, tmp_path / "kept", "print")), catalog)

    def test_a_file_in_the_own_form(self, tmp_path: Path) -> None:
        path = tmp_path / "own.csv"
        path.write_text("designation,kind,pitch\nX1,leaf,12.7\n", encoding="utf-8")
        assert open_catalog(path).designations == ("X1",)

    def test_a_name_that_nobody_stored(self, tmp_path: Path, catalog: Catalog) -> None:
        store_catalog(catalog, tmp_path / "kept", "print")
        with pytest.raises(BadInput, match="there is no stored catalog 'prnt'; stored are: print"):
            open_catalog("prnt", tmp_path / "kept")

    def test_a_key_that_does_not_name_its_file(self, tmp_path: Path, catalog: Catalog) -> None:
        with pytest.raises(BadInput, match="does not say which file"):
            open_catalog(tmp_path / "print.toml")


class TestDataFolder:
    def test_the_user_says_where(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("CHAINCASE_DATA", str(tmp_path))
        assert data_folder() == tmp_path

    @pytest.mark.parametrize(
        ("platform", "variable", "end"),
        [
            ("linux", "XDG_DATA_HOME", ".local/share/chaincase"),
            ("win32", "LOCALAPPDATA", "AppData/Local/chaincase"),
            ("darwin", "NONE", "Library/Application Support/chaincase"),
        ],
    )
    def test_else_where_the_platform_keeps_data(
        self, monkeypatch: pytest.MonkeyPatch, platform: str, variable: str, end: str
    ) -> None:
        monkeypatch.delenv("CHAINCASE_DATA", raising=False)
        monkeypatch.delenv(variable, raising=False)
        monkeypatch.setattr(stored.sys, "platform", platform)
        assert data_folder() == Path.home() / end

    def test_nothing_is_made_by_asking(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("CHAINCASE_DATA", str(tmp_path / "new"))
        assert stored_names(stored.catalog_folder()) == ()
        assert not (tmp_path / "new").exists()
