"""Bad surveys through the real command: one clear message, exit code 2, nothing left behind."""

import os
from pathlib import Path

import pytest

from chaincase.cli.main import run
from survey_sheets import read_csv, write_csv, write_xlsx

GOOD = [("sample", "pitch"), ("S1", "12.7 mm")]


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(["survey", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("chaincase: ")
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ([], "there is no header"),
        ([("sample", "pitch")], "there are no samples"),
        ([("sample", "pitch"), ("", "")], "there are no samples"),
        ([("piece", "pitch"), ("1", "4 in")], "row 1: there is no column 'sample'"),
        ([("sample", "machine"), ("1", "E1")], "there is no column to identify by"),
        ([("sample", "pich"), ("1", "4 in")], "column B 'pich': this is not a column of a survey; write 'pitch'"),
        ([("sample", "diameter of pin"), ("1", "4")], "write 'pin_diameter'"),
        ([("sample", "pitch mm"), ("1", "4")], "write 'pitch'"),
        ([("sample", "pitch", "pitch.instrumnt"), ("1",)], "write 'pitch.instrument'"),
        ([("sample", "pich.over"), ("1",)], "write 'pitch.over'"),
        ([("sample", "mark", "pitch.over"), ("1",)], "column C 'pitch.over': there is no column 'pitch'"),
        ([("sample", "pitch", "Pitch "), ("1",)], "column C 'Pitch': means the same as column B 'pitch'"),
        ([("sample", "bush_diameter", "barrel diameter"), ("1",)], "means the same as column B"),
        ([("sample (mm)", "pitch"), ("1",)], "sample has no unit"),
    ],
)
def test_bad_columns(rows: list[tuple[str, ...]], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *rows)
    message = refused(capsys, str(source), "-o", str(tmp_path / "out.csv"))
    assert says in message
    assert "s.csv" in message
    assert list(tmp_path.iterdir()) == [source]


def test_all_columns_are_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_xlsx(tmp_path / "s.xlsx", ("sample", "pich", "roler diameter"), ("1", "4 in", "2 in"))
    message = refused(capsys, str(source), "-o", str(tmp_path / "out.csv"))
    assert "s.xlsx, sheet 'Samples', row 1, column B 'pich'" in message
    assert "s.xlsx, sheet 'Samples', row 1, column C 'roler diameter'" in message


def test_bad_rows_are_answered_and_stop_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    header = ("sample", "pitch", "pitch.over", "pin_diameter", "pin_diameter.instrument")
    rows = [
        ("1", "-4 in", "", "", ""),
        ("2", "4 in", "0", "5 mm", "laser"),
        ("3", "63", "5 mm", "", "", "digital caliper"),
        ("4", "4 in", "", "", ""),
    ]
    source = write_csv(tmp_path / "s.csv", header, *rows)
    assert run(["survey", str(source), "-o", str(tmp_path / "out.csv")]) == 0
    answers = read_csv(tmp_path / "out.csv")
    assert answers[0]["warnings"].startswith("not read: row 2, column B 'pitch': character 1: '-4 in' is negative")
    assert "column C 'pitch.over': '0' is not a number of pitches" in answers[1]["warnings"]
    assert " | row 3, column E 'pin_diameter.instrument': 'laser' is not an instrument" in answers[1]["warnings"]
    assert "row 4, column F: the cell stands under no header" in answers[2]["warnings"]
    assert answers[3]["designation"]
    assert "3 not read" in capsys.readouterr().out


def test_outputs_that_cannot_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *GOOD)
    before = source.read_bytes()
    (tmp_path / "folder.csv").mkdir()
    (tmp_path / "link.csv").symlink_to(source)
    for output, says in {
        "s.csv": "the output is the input",
        "link.csv": "the output is the input",
        "none/out.csv": "there is no folder",
        "s.csv/out.csv": "there is no folder",
        "folder.csv": "this is a folder",
        "out.ods": "the name ends in '.ods'; give a .csv or .xlsx file",
        "out": "the name has no ending",
    }.items():
        assert says in refused(capsys, str(source), "-o", str(tmp_path / output))
    assert source.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["folder.csv", "link.csv", "s.csv"]


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *GOOD)
    (tmp_path / "shut").mkdir(mode=0o500)
    assert "cannot be written" in refused(capsys, str(source), "-o", str(tmp_path / "shut" / "out.csv"))


def test_an_output_whose_journal_cannot_be_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *GOOD)
    (tmp_path / "out.csv.part").write_text("somebody's file", encoding="utf-8")
    assert "nothing can be written beside it" in refused(capsys, str(source), "-o", str(tmp_path / "out.csv"))
    assert (tmp_path / "out.csv.part").read_text(encoding="utf-8") == "somebody's file"


def test_an_output_that_is_a_catalog(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *GOOD)
    table = write_csv(tmp_path / "prints.csv", ("No.", "Pitch"), ("X1", "4 in"))
    message = refused(capsys, str(source), "-o", str(table), "--catalog", str(table))
    assert "the output is a catalog" in message


def test_what_is_no_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    source = write_csv(tmp_path / "s.csv", *GOOD)
    output = str(tmp_path / "out.csv")
    assert "no such file" in refused(capsys, str(tmp_path / "none.csv"), "-o", output)
    assert "a CSV file has no sheets" in refused(capsys, str(source), "-o", output, "--sheet", "x")
    assert "--workers" in refused(capsys, str(source), "-o", output, "--workers", "0")
    assert "--output" in refused(capsys, str(source))
