"""Bad case files: every fault at once, each with its place; nothing half-written."""

from pathlib import Path
from typing import Any

import pytest

from case_files import case, full
from chaincase.case import typed
from chaincase.case.editing import with_entry, with_value
from chaincase.case.form import Case
from chaincase.cli.main import run
from chaincase.errors import BadInput

FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "dimension": (
        {"evidence": {"readings": [{"dimension": "pich", "value": "4 in"}]}}, "evidence.readings[0].dimension: "
    ),
    "value": ({"evidence": {"readings": [{"dimension": "pitch", "value": "4 inn"}]}}, "evidence.readings[0].value: "),
    "truth": ({"evidence": {"readings": [{"dimension": "pitch", "value": True}]}}, "evidence.readings[0].value: "),
    "mark": ({"evidence": {"marks": [{"text": " "}]}}, "evidence.marks[0].text: "),
    "date": ({"records": [{"text": "x", "on": "yesterday"}]}, "records[0].on: 'yesterday' is not a date"),
    "wheel": ({"wheels": [{"teeth": 17}]}, "wheels[0]: neither pitch nor chain"),
    "wheel reading": (
        {"wheels": [{"teeth": 17, "readings": [{"dimension": "girth", "value": "1 in"}]}]}, "wheels[0].readings[0]: "
    ),
    "spacing": ({"spacing": {"observations": [{"counted": 1}, {"taped": "4 xx"}]}}, "spacing.observations[1].taped: "),
    "links": ({"spacing": {"observations": [{"on_links": "some"}]}}, "spacing.observations[0].on_links: "),
    "elongation": ({"spacing": {"elongation": "90 %"}}, "spacing.elongation: "),
    "pattern": ({"pattern": {"notation": "K2", "by": "x"}}, "pattern.notation: character 1: "),
    "nobody": ({"pattern": {"notation": "K2@4"}}, "pattern.by: is missing"),
    "strand": ({"strands": {"observations": [{"note": "long"}]}}, "strands.observations[0]: says nothing"),
    "bare": ({"strands": {"observations": [{"taped": "20"}]}}, "strands.observations[0].taped: '20' has no unit"),
    "ends": ({"strands": {"ends": "loose"}}, "strands.ends: "),
    "feature": ({"features": [{"feature": "color", "state": "observed"}]}, "features[0].feature: "),
    "part": ({"features": [{"feature": "material", "part": "lid", "state": "observed"}]}, "features[0].part: "),
    "state": ({"features": [{"feature": "material", "state": "sure"}]}, "features[0].state: "),
    "duty": ({"duty": {"length": {"teeth": [17, 51]}}}, "duty.length: neither centers nor pitches"),
    "duty sprocket": ({"duty": {"sprockets": [{"teeth": "many"}]}}, "duty.sprockets[0].teeth: "),
    "attachment": ({"attachments": [{"form": "round"}]}, "attachments[0].form: "),
    "photograph": ({"photographs": [{"file": "a.jpg", "sha256": "12"}]}, "photographs[0].sha256: "),
    "assumption": ({"assumptions": [{"gap": "length", "assumed": "240"}]}, "assumptions[0].by: is missing"),
    "ids": ({"records": [{"text": "a", "id": "q"}, {"text": "b", "id": "q"}]}, "the id 'q' stands at records[0] and"),
    "list": ({"evidence": []}, "evidence: "),
    "many": ({"records": [{"text": "x"}] * 101}, "records: "),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_each_fault_is_told_with_its_place(name: str):
    parts, told = FAULTS[name]
    with pytest.raises(BadInput) as fault:
        case(**parts)
    assert told in str(fault.value)


def test_all_faults_of_a_file_are_told_at_once():
    parts: dict[str, Any] = {}
    for name in ("dimension", "date", "feature", "duty", "attachment", "assumption"):
        parts |= FAULTS[name][0]
    with pytest.raises(BadInput) as fault:
        Case.of({"schema": "chaincase/case-1", "case": "a b", **parts}, where="f.json")
    lines = str(fault.value).splitlines()
    assert len(lines) == 7
    assert all(line.startswith("f.json: ") for line in lines)


@pytest.mark.parametrize(
    "text", ["", "[]", "{", '{"schema": "chaincase/case-1"}', '{"schema": "x", "case": "a"}', "null"]
)
def test_what_is_no_case_is_refused(text: str):
    with pytest.raises(BadInput):
        Case.parse(text)


def test_a_list_or_value_that_is_none_cannot_be_added_to():
    with pytest.raises(BadInput, match="no list of a case"):
        with_entry(case(), "evidence", {})
    for place in ("case", "schema", "records", "a.b.c", ""):
        with pytest.raises(BadInput, match="no single value"):
            with_value(case(), place, "x")


@pytest.mark.parametrize(
    ("read", "line"),
    [
        (typed.reading, ""), (typed.reading, "pitch"), (typed.reading, "pitchh 3 mm"),
        (typed.reading, "pitch 3 mm foo"),
        (typed.reading, "pitch 3 mm tape caliper"), (typed.reading, "= 3 mm"), (typed.spacing, "often"),
        (typed.spacing, ""), (typed.strand, "long"), (typed.feature, "material"), (typed.feature, "color=red"),
        (typed.feature, "material="), (typed.attachment, "round"), (typed.wheel, "outside diameter 3 in"),
        (typed.wheel, "17 teeth, girth 3 in"), (typed.assumption, "length"), (typed.assumption, "=240"),
        (typed.setting, "title"),
    ],
)  # fmt: skip
def test_a_line_that_says_nothing_is_refused_with_what_would_be_right(read: Any, line: str):
    with pytest.raises(BadInput) as fault:
        read(line)
    assert fault.value.right


@pytest.mark.parametrize(
    "options",
    [
        ["pitchh 3 mm"], [], ["--choose", "W132"], ["--pattern", "K2", "--by", "x"], ["--saw", "chainy"],
        ["--photo", "no.jpg"], ["--assume", "length=1"], ["--set", "case=x"], ["--set", "strands.number=lots"],
        ["pitch 4 in", "--duty", "no.json"], ["--on", "today", "--mark", "A"], ["--from", "no.xlsx"],
    ],
)  # fmt: skip
def test_a_command_that_fails_leaves_the_file_as_it_was(
    options: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    file = tmp_path / "a.json"
    assert run(["case", "new", "A", "-o", str(file)]) == 0
    before = file.read_bytes()
    assert run(["case", "add", str(file), *options]) == 2
    assert file.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["a.json"]
    assert "Traceback" not in capsys.readouterr().err


def test_new_does_not_overwrite(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "a.json"
    file.write_text("mine")
    assert run(["case", "new", "A", "-o", str(file)]) == 2
    assert file.read_text() == "mine"
    assert "there already" in capsys.readouterr().err


def test_a_duty_that_cannot_be_is_told_and_not_raised():
    from chaincase.case.findings import find
    from chaincase.catalog.table import Catalog

    made = full(duty={"length": {"teeth": [60, 60], "centers": "50 mm"}, "sprockets": [{"teeth": 8, "chain": "NO-1"}]})
    found = find(made, Catalog.standard())
    assert not found.duty
    assert {words.split()[0] for words in found.warnings} >= {"duty.length", "duty.sprockets[0]"}
