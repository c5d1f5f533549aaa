"""What `chaincase case` says: verdict with margins, answers to gaps; entries taken back, attachments drawn."""

import json
from pathlib import Path

import pytest

from case_files import full
from chaincase.case.gap_words import BY_KEY
from chaincase.cli.case_words import answer_option
from chaincase.cli.main import run


def written(tmp_path: Path, **instead: object) -> str:
    file = tmp_path / "T-1.json"
    file.write_text(json.dumps(full(**instead).as_json()), encoding="utf-8")
    return str(file)


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert run(["case", *arguments]) == 0
    return capsys.readouterr().out


def test_show_gives_the_verdict_with_margins_and_what_matters_most(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    out = " ".join(said(capsys, "show", written(tmp_path)).split())
    assert "Verdict on M112x160 flanged roller: yes." in out
    assert "It carries: yes, smallest margin" in out
    assert "What matters most: friction" in out
    assert "pull that one strand is designed for" in out
    assert "To mind about the duty: -" in out
    assert "1.12e+05" not in out


def test_every_gap_can_be_answered_by_an_option():
    for key in (
        *BY_KEY,
        "features.material",
        "conflict.identity",
        "conflict.features.coating",
        "attachments.dimensions.2",
    ):
        assert "--" in answer_option(key), key


def test_a_wrong_entry_is_taken_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path)
    said(capsys, "add", file, "roller diameter 40 mm caliper", "--record", "x")
    readings = json.loads(Path(file).read_text())["evidence"]["readings"]
    out = said(capsys, "drop", file, f"evidence.readings[{len(readings) - 1}]", "records[0]")
    assert out.startswith("Kept.")
    assert Path(file).read_text() == json.dumps(full(records=[]).as_json(), indent=2) + "\n"
    for place in ("records[0]", "records", "evidence.readings[99]", "title"):
        assert run(["case", "drop", file, place]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_more_can_be_said_of_an_attachment(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path)
    said(capsys, "add", file, "--attachment", "1: width 120 mm caliper, fastening=welded")
    kept = json.loads(Path(file).read_text())["attachments"]
    assert len(kept) == 1
    assert kept[0]["details"] == {"fastening": "welded"}
    assert kept[0]["readings"][-1]["dimension"] == "overall_width"
    assert run(["case", "add", file, "--attachment", "3: width 120 mm"]) == 2
    assert "there is no attachment 3" in capsys.readouterr().err


def test_candidate_and_working_load_go_into_the_verdict(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path)
    said(capsys, "add", file, "--candidate", "M56x160 flanged roller")
    said(capsys, "add", file, "--working-load", "20 kN")
    verdict = {"candidate": "M56x160 flanged roller", "working_load": "20 kN"}
    assert json.loads(Path(file).read_text())["duty"]["verdict"] == verdict
    assert "instead of M112x160 flanged roller" in " ".join(said(capsys, "show", file).split())


def test_a_wheel_of_which_only_the_teeth_were_counted_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path, duty=None)
    assert "Gap closed: the sprockets it runs on" in said(capsys, "add", file, "--wheel", "teeth 8", "--by", "m")
    assert json.loads(Path(file).read_text())["duty"]["sprockets"][0]["teeth"] == 8


@pytest.mark.parametrize("ending", ["svg", "png"])
def test_an_attachment_is_drawn(ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    seen = {"form": "wing", "sides": "both", "link": "every", "readings": [{"dimension": "width", "value": "14 in"}]}
    file, out = tmp_path / "a.json", tmp_path / f"a.{ending}"
    data = {"schema": "chaincase/attachment-1", "kind": "welded steel", "pitch": "6.09 in", "attachment": seen}
    file.write_text(json.dumps(data))
    assert run(["attachment", str(file), "-o", str(out)]) == 0
    assert "Drawn: " in capsys.readouterr().out
    head = out.read_bytes()[:8]
    assert head == b"\x89PNG\r\n\x1a\n" if ending == "png" else b"<svg" in out.read_bytes()


def test_a_reading_too_rough_to_make_by_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    seen = {"form": "wing", "readings": [{"dimension": "thickness", "value": "1/2 in"}]}
    file = tmp_path / "a.json"
    file.write_text(json.dumps({"schema": "chaincase/attachment-1", "attachment": seen}))
    assert run(["attachment", str(file)]) == 0
    assert "too rough to make it by" in " ".join(capsys.readouterr().out.split())
