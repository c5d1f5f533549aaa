"""`chaincase case add CASE --from FILE.json`: a phone's file of changes, put into a case file."""

import json
from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run
from chaincase.register.ids import uuid7

READING = {"dimension": "pitch", "value": "4.06 in", "instrument": "tape", "by": "millwright, day shift"}


def change(kind: str, path: str, value: Any = None, **more: Any) -> dict[str, Any]:
    return {"id": uuid7(), "kind": kind, "path": path, "value": value, "base": 3, "client": "phone", **more}


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "case.json"
    held = {"schema": "chaincase/case-1", "case": "T-1", "evidence": {"marks": [{"text": "WH132"}]}}
    path.write_text(json.dumps(held))
    return path


def given(file: Path, *events: Any, **more: Any) -> Path:
    path = file.with_name("T-1-field.json")
    path.write_text(json.dumps({"schema": "chaincase/events-1", "case": "T-1", "events": events, **more}))
    return path


def content(case: Path) -> dict[str, Any]:
    return dict(json.loads(case.read_text()))


def test_changes_come_in_once(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    reading, title = change("add", "evidence.readings", READING), change("set", "title", "Räucherofen \U0001f525 عربي")
    path = given(case, reading, title, change("set", "strands.number", 2))
    assert run(["case", "add", str(case), "--from", str(path)]) == 0
    assert capsys.readouterr().out
    now = content(case)
    assert now["evidence"]["readings"] == [{**READING, "id": reading["id"]}]
    assert now["evidence"]["marks"] == [{"text": "WH132"}]
    assert (now["title"], now["strands"]) == (title["value"], {"number": 2})
    assert run(["case", "add", str(case), "--from", str(path)]) == 2
    assert "nothing to add" in capsys.readouterr().err
    assert content(case) == now


def test_an_entry_taken_back_on_the_phone_stays_away(case: Path) -> None:
    reading = change("add", "evidence.readings", READING)
    back = change("remove", f"evidence.readings[{reading['id']}]")
    path = given(case, reading, back, change("set", "title", "Kiln"))
    assert run(["case", "add", str(case), "--from", str(path)]) == 0
    assert content(case)["evidence"].get("readings", []) == []


@pytest.mark.parametrize(
    ("events", "more", "words"),
    [
        ([], {"case": "T-2"}, "these are of case T-2, not T-1"),
        ([], {"schema": "other"}, "no file of a phone"),
        ([{"id": "x", "kind": "set"}], {}, "events[0]"),
        ([7], {}, "events[0]"),
        ([change("set", "case", "T-9")], {}, "stays as it is"),
        ([change("set", "evidence.readings[gone].value", "4 in")], {}, "is not in this case"),
        ([change("add", "evidence.readings", {**READING, "value": ["x"]})], {}, "readings[0]"),
    ],
)
def test_what_does_not_go_with_the_case_changes_nothing(
    case: Path, capsys: pytest.CaptureFixture[str], events: list[Any], more: dict[str, Any], words: str
) -> None:
    before = case.read_bytes()
    assert run(["case", "add", str(case), "--from", str(given(case, *events, **more))]) == 2
    assert words in capsys.readouterr().err
    assert case.read_bytes() == before
