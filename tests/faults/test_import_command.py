"""`chaincase catalog import` with bad input: exit code 2, a clear line, and nothing written."""

from pathlib import Path

import pytest

from chaincase.cli.main import run
from sheet_files import random_bytes, sheet_xml, with_sheet, workbook


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CHAINCASE_DATA", str(tmp_path / "data"))
    return tmp_path / "data"


def _junk(path: Path) -> Path:
    path.with_suffix(".csv").write_bytes(random_bytes(10 * 2**20))
    return path.with_suffix(".csv")


def _folder(path: Path) -> Path:
    path.mkdir()
    return path


HOSTILE = {
    "junk": _junk,
    "folder": _folder,
    "formulas": lambda path: workbook(path, {"S": [["A"], ["=1+1"]]}),
    "bomb": lambda path: with_sheet(path, sheet_xml("<row/>" + " " * 20 * 2**20)),
    "missing": lambda path: path,
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_files(tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    path = HOSTILE[name](tmp_path / "a.xlsx")
    assert run(["catalog", "import", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"chaincase: {path}")
    assert said.err.count("\n") == 1
    assert not data.exists()


def test_a_fault_in_one_cell_stores_nothing(tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.csv"
    path.write_text("designation,kind,pitch\nX1,leaf,12.7\nX2,leaf,bad\n", encoding="utf-8")
    assert run(["catalog", "import", str(path)]) == 2
    assert "own.csv, row 3, column C 'pitch': 'bad'" in capsys.readouterr().err
    assert not data.exists()


def test_without_a_key_one_is_proposed_and_nothing_stored(
    tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "print.csv"
    path.write_text("No.,Pitch\nX1,12.7\n", encoding="utf-8")
    assert run(["catalog", "import", str(path)]) == 2
    assert 'dimension = "pitch"' in capsys.readouterr().out
    assert not data.exists()


def test_after_the_proposal_was_corrected_it_is_stored(
    tmp_path: Path, data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "print.csv"
    path.write_text("No.,Pitch\nX1,12.7\n", encoding="utf-8")
    run(["catalog", "import", str(path)])
    key = capsys.readouterr().out.replace('kind = "?"', 'kind = "leaf"').replace('source = "?"', 'source = "own print"')
    (tmp_path / "print.csv.toml").write_text(key, encoding="utf-8")
    assert run(["catalog", "import", str(path)]) == 0
    assert run(["catalog", "list", "print"]) == 0
    assert "X1" in capsys.readouterr().out
    assert sorted(found.suffix for found in (data / "catalogs").iterdir()) == [".csv", ".toml"]
