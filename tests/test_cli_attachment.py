"""`chaincase attachment FILE`, as a person and as a program read it."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run


def ask(tmp_path: Path, data: dict[str, Any], *options: str) -> int:
    file = tmp_path / "attachment.json"
    file.write_text(json.dumps({"schema": "chaincase/attachment-1", **data}), encoding="utf-8")
    return run(["attachment", str(file), *options])


def test_a_person_reads_the_code_and_why(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    seen = {
        "form": "bent",
        "sides": "both",
        "holes": 2,
        "code": "K2",
        "readings": [{"dimension": "platform_height", "value": "5/8 in", "instrument": "caliper"}],
    }
    assert ask(tmp_path, {"chain": "16B-1", "attachment": seen}) == 0
    said = capsys.readouterr().out
    assert said.startswith("It is K2 of 16B")
    assert "5/8 in found" in said
    assert "(g)? Measure along the travel" in said
    assert max(map(len, said.splitlines())) <= 100


def test_a_special_lists_what_is_needed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sizes = {"hole_spacing_across": "3 in", "platform_height": "1 in", "hole_diameter": "1/2 in"}
    seen = {"form": "bent", "sides": "both", "readings": [{"dimension": d, "value": v} for d, v in sizes.items()]}
    assert ask(tmp_path, {"chain": "16B-1", "attachment": seen}) == 0
    said = capsys.readouterr().out
    assert said.startswith("None of the listed attachments fits")
    assert "The nearest of those listed" in said
    assert "To make it by its sizes one must still know" in said


def test_a_program_reads_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert ask(tmp_path, {"chain": "CA550", "attachment": {"code": "K1"}}, "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "chaincase/attachment-answer-1"
    assert answer["candidates"][0]["code"] == "K1"
    assert {"dimension", "letter", "question"} == set(answer["missing"][0])


def test_the_documentation_shows_what_works(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = (Path(__file__).parent.parent / "docs" / "makeup.md").read_text(encoding="utf-8")
    example = re.search(r"```json\n(\{\"schema\": \"chaincase/attachment-1\".*?)```", page, re.DOTALL)
    assert example is not None
    assert ask(tmp_path, json.loads(example[1]), "--json") == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["candidates"][0]["code"] == "K2"
    assert answer["candidates"][0]["probability"] > 0.9
    assert answer["warnings"] == []
