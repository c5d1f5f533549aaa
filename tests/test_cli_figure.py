"""`chaincase figure` end to end."""

import io
import json
from pathlib import Path

import ezdxf
import pytest
from PIL import Image

from chaincase.cli.main import run


def test_an_svg_with_the_values_of_the_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "w124.svg"
    assert run(["figure", "W124", "-o", str(out)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Drew W124, welded steel mill chain")
    assert "P 101.6" in said
    written = out.read_text(encoding="utf-8")
    assert "<title>W124</title>" in written
    assert 'data-dimension="pitch"' in written
    assert ">101.6</text>" in written


def test_json_says_where_each_label_stands(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["figure", "W124", "-o", str(tmp_path / "f.svg"), "--json", "--units", "both"]) == 0
    drawn = json.loads(capsys.readouterr().out)
    assert drawn["schema"] == "chaincase/figure-1"
    assert (drawn["designation"], drawn["kind"], drawn["state"]) == ("W124", "welded steel", "specified")
    pitch = next(line for line in drawn["dimensions"] if line["dimension"] == "pitch")
    assert (pitch["letter"], pitch["value"], pitch["known"]) == ("P", "101.6 [4 in]", True)
    assert all(side >= 0 for side in pitch["label"])


def test_a_kind_alone_is_blank(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "leaf.svg"
    assert run(["figure", "leaf", "-o", str(out)]) == 0
    assert "Letters: C, D, H, J, L, P, T, U." in capsys.readouterr().out
    assert "not to scale" in out.read_text(encoding="utf-8")
    assert "mm</text>" not in out.read_text(encoding="utf-8"), "no scale bar, no values"


def test_dxf_and_png(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["figure", "16B-1", "-o", str(tmp_path / "f.dxf"), "--attachment", "K2", "--keyed"]) == 0
    document = ezdxf.readfile(tmp_path / "f.dxf")
    assert 15.88 in [round(d.get_measurement(), 4) for d in document.modelspace().query("DIMENSION")]
    assert run(["figure", "16B-1", "-o", str(tmp_path / "f.PNG"), "--width", "300"]) == 0
    assert Image.open(io.BytesIO((tmp_path / "f.PNG").read_bytes())).width == 300
    capsys.readouterr()


def test_readings_stand_below_the_candidate_and_what_is_asked_for_is_framed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    evidence = tmp_path / "evidence.json"
    readings = [{"dimension": "pitch", "value": "103.2 mm", "instrument": "digital caliper"}]
    evidence.write_text(json.dumps({"schema": "chaincase/evidence-1", "readings": readings}), encoding="utf-8")
    out = tmp_path / "f.svg"
    asked = ["--ask", "pin_diameter"]
    assert run(["figure", "W124", "-o", str(out), "--state", "compare", "--evidence", str(evidence), *asked]) == 0
    written = out.read_text(encoding="utf-8")
    assert ">103.2</text>" in written
    assert 'class="dimension known asked" data-dimension="pin_diameter"' in written
    assert run(["figure", "W124", "-o", str(out), "--state", "measured", "--evidence", str(evidence)]) == 0
    assert ">101.6</text>" not in out.read_text(encoding="utf-8"), "a measured figure shows readings alone"
    capsys.readouterr()


def test_all_kinds_on_one_sheet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["figure", "--all", "-o", str(tmp_path / "all.png")]) == 0
    assert "22 kinds" in capsys.readouterr().out
    assert Image.open(io.BytesIO((tmp_path / "all.png").read_bytes())).width == 2400


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["nope", "-o", "f.svg"], "no chain is named 'nope'"),
        (["W124", "-o", "f.pdf"], "'f.pdf' has no known ending; use one of: .svg, .dxf, .png"),
        (["W124", "-o", "nowhere/f.svg"], "there is no folder"),
        (["W124", "-o", "f.svg", "--ask", "flub"], "'flub' is not a dimension"),
        (["W124", "-o", "f.svg", "--keyed"], "--keyed without an attachment"),
        (
            ["08A-1", "-o", "f.svg", "--attachment", "F29"],
            "no table lists an attachment 'F29' for 08A-1; use one of:",
        ),
        (["-o", "f.svg"], "no chain is named"),
        (["--all", "-o", "f.svg"], "--all draws every kind on one sheet"),
        (["W124", "-o", "f.svg", "--evidence", "gone.json"], "gone.json"),
        (["W124"], "-o"),
        (["W124", "-o", "f.png", "--width", "9"], "--width"),
    ],
)
def test_bad_input_is_one_clear_line_and_nothing_is_written(
    arguments: list[str],
    words: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["figure", *arguments]) == 2
    said = capsys.readouterr()
    assert words in said.err
    assert said.out == ""
    assert list(tmp_path.iterdir()) == []
