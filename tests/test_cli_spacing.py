"""`chaincase spacing`: what a machine and a person get to see."""

import json
import re
from pathlib import Path

import pytest

from chaincase.cli.main import run
from chaincase.makeup.notation import parse_pattern, print_pattern

EVIDENCE = {
    "schema": "chaincase/spacing-1",
    "pitch": "4 in",
    "elongation": 0.012,
    "construction": ["roller"],
    "observations": [
        {"taped": "48 1/2 in", "gaps": 1},
        {"counted": 12},
        {"sample_links": 7, "attachments_at": [2]},
        {"on_links": "outer"},
    ],
}


def asked(capsys: pytest.CaptureFixture[str], folder: Path, data: object, *more: str) -> str:
    file = folder / "spacing.json"
    file.write_text(json.dumps(data), encoding="utf-8")
    assert run(["spacing", str(file), *more]) == 0
    return capsys.readouterr().out


def test_a_machine_gets_the_agreed_form(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    answer = json.loads(asked(capsys, tmp_path, EVIDENCE, "--json"))
    assert answer["schema"] == "chaincase/spacing-answer-1"
    assert answer["spacing"][0]["pitches"] == 12
    assert answer["spacing"][0]["probability"] > 0.97
    assert answer["contradictions"] == []
    assert answer["next"] == "Nothing more is needed for the spacing of 12 pitches."
    assert sum(each["probability"] for each in answer["spacing"]) == pytest.approx(1.0)


def test_a_person_gets_sentences(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, tmp_path, EVIDENCE)
    first = "The attachments stand 12 pitches apart, 1219.2 mm (48 in) on a new chain (more than 99 in 100)."
    assert said.startswith(first)
    assert "Next: Nothing more is needed" in said


def test_a_conflict_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    seen = [*EVIDENCE["observations"], {"sample_links": 7, "attachments_at": [2, 6]}]
    said = asked(capsys, tmp_path, {**EVIDENCE, "observations": seen})
    assert said.count("Conflict: ") == 3
    assert said.startswith("The gaps may not be alike; that they are has ")
    assert "Pieces show gaps of 4." in said
    assert max(len(line) for line in said.splitlines()) <= 100


def test_what_is_open_is_told_as_open(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, tmp_path, {"observations": [{"on_links": "both"}]})
    assert said.startswith("The spacing cannot be told yet. The likeliest is 1 pitch apart, ")
    assert "Besides: 3 has" in said


def test_a_heap_of_conflicts_is_cut_short(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, tmp_path, {"observations": [{"counted": n} for n in (4, 8, 12, 16, 20)]})
    assert said.count("Conflict: ") == 6
    assert "4 more conflicts of this sort." in said


def test_the_documentation_shows_what_works(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    page = (Path(__file__).parent.parent / "docs" / "makeup.md").read_text(encoding="utf-8")
    example = re.search(r"```json\n(\{\"schema\": \"chaincase/spacing-1\".*?)```", page, re.DOTALL)
    assert example is not None
    answer = json.loads(asked(capsys, tmp_path, json.loads(example[1]), "--json"))
    assert answer["spacing"][0]["pitches"] == 12
    assert answer["warnings"] == []
    notation = re.findall(r"^\| `([^`]+@[^`]+)` \|", page, re.MULTILINE)
    assert len(notation) == 7
    for text in notation:
        assert print_pattern(parse_pattern(text)) == text


def test_gaps_that_repeat_are_told_as_a_pattern(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, tmp_path, {"observations": [{"counted_each": [4, 4, 5, 4, 4, 5, 4]}]})
    assert said.startswith("The gaps are not alike but repeat: 2 gaps of 4, 1 gap of 5, then again.")
