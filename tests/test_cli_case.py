"""`chaincase case`: from empty to ready on a real row, through the command."""

import hashlib
import json
from pathlib import Path

import pytest

from case_files import DUTY
from chaincase.cli.main import run

WHO = ["--by", "millwright, day shift", "--on", "2025-03-04"]


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert run(["case", *arguments]) == 0
    return capsys.readouterr().out


def test_from_empty_to_ready(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = str(tmp_path / "HV-9.json")
    assert "case add" in said(capsys, "new", "HV-9", "-o", file, "--title", "Slat conveyor", "--machine", "slat 2")
    out = said(
        capsys, "add", file, "pitch 163.5 mm tape same edge inner pins", "pitch 161 mm tape same edge outer pins",
        "roller diameter 58.7 mm digital caliper", "flange diameter = 70 mm digital caliper",
        "--mark", "M?1*", "--where", "inner plate", "--saw", "flanged roller", *WHO,
    )  # fmt: skip
    assert "The chain is M112x160 flanged roller" in out
    assert "Gap closed: which chain it is" in out
    out = said(
        capsys, "add", file,
        "--attachment", "bent, both sides, outer link, 2 holes, code K2, platform height 40 mm caliper, "
        "hole spacing along 65 mm caliper",
        "--spacing", "piece of 7 at 2 6", "--spacing", "20 over 5", "--spacing", "on outer", "--strand", "240",
        "--strand", "38.79 m tape", *WHO,
    )  # fmt: skip
    assert "The pattern is K2@4 (proposed" in out
    out = said(
        capsys, "add", file, "--pattern", "K2@4", "--feature", "material=carbon steel", "--feature", "coating=none",
        "--feature", "hard facing=none", "--feature", "lubrication=none", "--feature", "roller=flanged, steel",
        "--feature", "pin retention=riveted", "--feature", "temperature=5 to 40 C", "--feature", "medium=dry grain",
        "--feature", "heat treatment=as the standard has it", "--set", "strands.number=2",
        "--set", "strands.matched=yes",
        "--set", "strands.ends=endless", "--set", "strands.section_most=60", "--set", "quantity.strands=2",
        "--set", "strands.length_tolerance=matched within 3 mm", *WHO,
    )  # fmt: skip
    assert "gap before a quote:\n  - features.seals" in out
    duty = [tmp_path / "pull.json", tmp_path / "wheel.json"]
    duty[0].write_text(json.dumps({"schema": "chaincase/pull-1", **DUTY["pull"]}))
    duty[1].write_text(json.dumps({"schema": "chaincase/sprocket-1", "teeth": 8, "chain": "M112x160 flanged roller"}))
    out = said(capsys, "add", file, "--duty", str(duty[0]), "--duty", str(duty[1]))
    assert "Answered: chain pull of a conveyor" in out
    out = said(capsys, "add", file, "--assume", "features.seals=open joints", "--why", "dry grain", *WHO)
    assert "Nothing is open before a quote.\nNothing is open before it is made." in out
    shown = json.loads(said(capsys, "show", file, "--json"))
    assert shown["ready"] == {"quote": True, "make": True}
    assert shown["made"]["links"]["outer_with_attachment"] == 60
    assert json.loads(said(capsys, "gaps", file, "--json"))["gaps"][0]["accepted"]["by"] == WHO[1]


def test_show_can_be_read_aloud(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    from importlib import resources

    demo = resources.files("chaincase.demo") / "cases" / "2-drying-floor.json"
    file = tmp_path / "demo.json"
    file.write_text(demo.read_text(encoding="utf-8"), encoding="utf-8")
    out = said(capsys, "show", str(file))
    for words in (
        "Chain: M112x160 flanged roller", "Attachment 1: it is K2", "Pattern: K2@4", "Strands: 2, endless",
        "Duty, wear", "Record (store card, undated)", "Assumed for features.heat_treatment",
    ):  # fmt: skip
        assert words in out
    assert all(len(line) <= 100 for line in out.splitlines())
    assert "Ask: " in said(capsys, "gaps", str(file), "--level", "quote")


def test_what_adds_nothing_new_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "a.json"
    said(capsys, "new", "A", "-o", str(file))
    photo = tmp_path / "link.jpg"
    photo.write_bytes(b"a picture")
    out = said(capsys, "add", str(file), "--photo", str(photo), "--where", "stamp", *WHO)
    assert "changed nothing in the findings" in out
    (kept,) = json.loads(file.read_text())["photographs"]
    assert kept["sha256"] == hashlib.sha256(b"a picture").hexdigest()
    assert (kept["file"], kept["shows"], kept["by"]) == ("link.jpg", "stamp", WHO[1])


def test_records_wheels_choice_and_plain_are_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "a.json"
    said(capsys, "new", "A", "-o", str(file))
    said(
        capsys, "add", str(file), "--record", "16B-1 roller chain, 10 ft", "--wheel", "17 teeth, stamped 16B-1 Z17",
        "--choose", "16B-1", "--why", "as ordered", "--plain", *WHO,
    )  # fmt: skip
    data = json.loads(file.read_text())
    assert data["chosen"] == {"designation": "16B-1", "by": WHO[1], "on": "2025-03-04", "why": "as ordered"}
    assert data["plain"]["by"] == WHO[1]
    assert data["wheels"][0]["text"] == "16B-1 Z17"
    assert "Chain: 16B-1, chosen by" in said(capsys, "show", str(file))
