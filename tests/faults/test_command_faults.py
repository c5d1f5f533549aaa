"""Files that a hurried hand or a stranger gives to any command: one clear line, nothing lost, nothing half-written."""

import json
import os
import stat
import threading
from pathlib import Path
from typing import Any

import pytest

from chaincase.case.form import Case
from chaincase.cli import case_file
from chaincase.cli.main import run
from chaincase.errors import BadInput
from chaincase.forms import PLAIN, Part, json_from

COMMANDS = (
    ["case", "show"], ["case", "gaps"], ["case", "add"], ["attachment"], ["spacing"], ["identify"], ["duty", "pull"],
    ["duty", "drive"], ["duty", "wear"], ["duty", "verdict"], ["duty", "sprocket"], ["duty", "length"],
)  # fmt: skip
FILES = {
    "folder": None,
    "empty": b"",
    "bytes": b"\x00\xff\xfe\x9a",
    "utf-16": '{"case": "T"}'.encode("utf-16"),
    "deep list": b"[" * 100_000,
    "deep within limits of the reader": b'{"x": ' + b"[" * 900 + b"]" * 900 + b"}",
    "number": b'{"x": ' + b"9" * 5000 + b"}",
    "NaN": b'{"x": NaN}',
    "key twice": b'{"schema": "a", "schema": "b"}',
    "list": b"[1, 2]",
}


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_files_that_are_none_are_refused(command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    for name, content in FILES.items():
        file = tmp_path / f"{name}.json"
        if content is None:
            file.mkdir()
        else:
            file.write_bytes(content)
        assert run([*command, str(file)]) == 2, name
        told = capsys.readouterr().err
        assert str(file) in told, name
        assert "Traceback" not in told
        assert len(told) < 2000, name


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_a_file_of_another_form_is_told_as_such_and_nothing_else(
    command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    file = tmp_path / "other.json"
    file.write_text('{"schema": "chaincase/other-1", "strands": {"number": 2}}')
    assert run([*command, str(file)]) == 2
    told = capsys.readouterr().err
    assert len(told.splitlines()) == 1
    assert "schema: found 'chaincase/other-1'; use '" in told


def test_a_key_written_twice_is_not_half_read():
    with pytest.raises(BadInput, match="'a' stands twice"):
        json_from('{"b": [{"a": 1, "a": 2}]}', PLAIN)


def test_the_same_words_for_the_same_fault_in_every_form():
    from chaincase.duty.pull_form import PullForm
    from chaincase.identifying.evidence import Evidence
    from chaincase.makeup.forms import SpacingEvidence

    forms: list[tuple[type[Part], dict[str, Any], str]] = [
        (Evidence, {"notes": 5}, "notes"),
        (SpacingEvidence, {"notes": 5}, "notes"),
        (PullForm, {"name": 5}, "name"),
        (Case, {"schema": "chaincase/case-1", "case": "A", "notes": 5}, "notes"),
    ]
    for form, data, name in forms:
        with pytest.raises(BadInput) as told:
            form.of(data)
        assert f"{name}: found 5; write it as text" in str(told.value).splitlines()
    for form in (Evidence, SpacingEvidence):
        with pytest.raises(BadInput) as fault:
            form.of({"construction": "roller"})
        assert str(fault.value) == "construction: found 'roller'; write a list [...]"


def test_a_fault_inside_an_attachment_has_the_whole_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "a.json"
    bad = {"form": "bend", "readings": [{"dimension": "platfrom_height", "value": "5 mm"}]}
    file.write_text(json.dumps({"attachment": bad}))
    assert run(["attachment", str(file)]) == 2
    told = capsys.readouterr().err
    assert "attachment.form: 'bend'" in told
    assert "attachment.readings[0].dimension: " in told


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["163.5 mm pitch"], "begins with a value"),
        (["--attachment", ""], "nothing is said"),
        (["--attachment", "bend, both"], "'bend' says nothing of an attachment"),
        (["--strand", "240 links tape"], "write 240 for pitches counted"),
        (["--set", "strands.nummer=2"], "did you mean strands.number"),
        (["--set", "__class__=1"], "means nothing in a case"),
        (["--assume", "features.materail=steel", "--by", "x"], "did you mean features.material"),
        (["--photo", "/dev/zero"], "this is not a file"),
        (["--working-load", "31"], "has no unit"),
        (["--candidate", ""], "nothing to add"),
    ],
)
def test_what_a_hurried_hand_types_is_refused_in_words(
    options: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
):
    file = tmp_path / "a.json"
    assert run(["case", "new", "A", "-o", str(file)]) == 0
    before = file.read_bytes()
    assert run(["case", "add", str(file), *options]) == 2
    assert says in capsys.readouterr().err
    assert file.read_bytes() == before


def test_a_reading_without_a_unit_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = str(tmp_path / "a.json")
    assert run(["case", "new", "A", "-o", file]) == 0
    assert run(["case", "add", file, "pitch 163,5 tape"]) == 0
    assert "without a unit" in capsys.readouterr().out


def test_control_characters_of_a_case_do_not_reach_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = str(tmp_path / "a.json")
    assert run(["case", "new", "A", "-o", file, "--title", "a\x1b[31mb"]) == 0
    assert run(["case", "show", file]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_many_who_add_at_once_lose_nothing(tmp_path: Path):
    file = tmp_path / "a.json"
    case_file.write_case(Case.of({"schema": "chaincase/case-1", "case": "A"}), file)
    together = threading.Barrier(4)

    def add(name: int) -> None:
        together.wait()
        for i in range(8):
            with case_file.one_at_a_time(file):
                data = case_file.read_case(file).as_json()
                data["records"] = [*data.get("records", ()), {"text": f"{name} {i}"}]
                case_file.write_case(Case.of(data), file)

    threads = [threading.Thread(target=add, args=(name,)) for name in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(case_file.read_case(file).records) == 32
    assert [each.name for each in tmp_path.iterdir()] == ["a.json"]


def test_a_link_stays_a_link_and_rights_stay_as_they_were(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file, link = tmp_path / "a.json", tmp_path / "link.json"
    assert run(["case", "new", "A", "-o", str(file)]) == 0
    file.chmod(0o600)
    link.symlink_to(file.name)
    assert run(["case", "add", str(link), "--record", "x"]) == 0
    assert link.is_symlink()
    assert len(case_file.read_case(file).records) == 1
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    capsys.readouterr()


def test_what_cannot_be_written_is_told_with_its_name(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    from chaincase.documents.atomic import write_whole

    file = tmp_path / "a.json"
    assert run(["case", "new", "A", "-o", str(file)]) == 0
    before = file.read_bytes()
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(BadInput, match="may not be written"):
        write_whole(file, b"new")
    monkeypatch.undo()

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", full_disk)
    assert run(["case", "add", str(file), "--record", "x"]) == 1
    assert f"{file}: No space left on device" in capsys.readouterr().err
    assert file.read_bytes() == before
    assert [each.name for each in tmp_path.iterdir()] == ["a.json"]
