"""Bad evidence through the real command: one clear message, exit code 2, nothing written, no traceback."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from chaincase.cli.main import run

GOOD = {"dimension": "pitch", "value": "4 in"}


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(list(arguments)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("chaincase: ")
    assert "Traceback" not in err
    return err


def written(folder: Path, data: object) -> str:
    file = folder / "evidence.json"
    file.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return str(file)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("", "not JSON"),
        ('{"readings": [', "line 1, column 15: not JSON"),
        ("[]", "holds list, not an object"),
        ('{"readings": [{"dimension": "pitch", "value": NaN}]}', "NaN is not a number"),
        ('{"readings": [{"dimension": "pitch", "value": ' + "9" * 5000 + "}]}", "not JSON that can be used"),
        ("[" * 100_000, "nested too deeply"),
        ({"schema": "something/1"}, "schema: found 'something/1'"),
        ({"readings": [{**GOOD, "dimension": "pich"}]}, "'pich' is not a dimension; did you mean pitch"),
        ({"readings": [{**GOOD, "value": "-4 in"}]}, "readings[0].value: character 1: '-4 in' is negative"),
        ({"readings": [{**GOOD, "value": "NaN"}]}, "readings[0].value"),
        ({"readings": [{**GOOD, "value": True}]}, "readings[0].value"),
        ('{"readings": [{"dimension": "pitch", "value": 1e400}]}', "readings[0].value"),
        ({"readings": [{"dimension": "pitch"}]}, "readings[0].value: is missing"),
        ({"readings": [GOOD, {**GOOD, "over": 0}]}, "readings[1].over"),
        ({"readings": [{**GOOD, "over": 2.5}]}, "readings[0].over"),
        ({"readings": [{**GOOD, "instrument": "laser"}]}, "'laser' is not an instrument; use one of: tape"),
        ({"readings": [{**GOOD, "link": "middle"}]}, "readings[0].link"),
        ({"readings": [{**GOOD, "dimension": ["pitch"]}]}, "readings[0].dimension"),
        ({"readings": "none"}, "readings: found 'none'"),
        ({"marks": [{"text": ""}]}, "marks[0].text"),
        ({"marks": [{"text": "x" * 1000}]}, "marks[0].text"),
        ({"readings": [GOOD] * 1000}, "readings"),
        ({"construction": "roller"}, "construction: found 'roller'"),
    ],
)
def test_bad_evidence(data: object, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, "identify", written(tmp_path, data))


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    data = {"readings": [{**GOOD, "value": "four"}, GOOD, {**GOOD, "dimension": "colour"}]}
    message = refused(capsys, "identify", written(tmp_path, data))
    assert "readings[0].value" in message
    assert "readings[2].dimension" in message


def test_what_is_not_a_readable_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert "no such file" in refused(capsys, "identify", str(tmp_path / "none.json"))
    assert "folder" in refused(capsys, "identify", str(tmp_path))
    junk = tmp_path / "junk.json"
    junk.write_bytes(os.urandom(10_000_000))
    assert "MB" in refused(capsys, "identify", str(junk))
    latin = tmp_path / "latin.json"
    latin.write_bytes('{"notes": "Größe"}'.encode("latin-1"))
    assert "UTF-8" in refused(capsys, "identify", str(latin))


def test_a_catalog_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path, {"readings": [GOOD]})
    assert "no stored catalog" in refused(capsys, "identify", file, "--catalog", "nobody has this")
    table = tmp_path / "table.csv"
    table.write_text("a,b\n1,2\n", encoding="utf-8")
    assert "no key" in refused(capsys, "identify", file, "--catalog", str(table))


def test_control_characters_do_not_reach_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    data = {"readings": [{**GOOD, "dimension": "\x1b[31mred"}]}
    assert "\x1b" not in refused(capsys, "identify", written(tmp_path, data))


@pytest.mark.parametrize("arguments", [(), ("nonsense",), ("identify",), ("identify", "--nonsense", "x"), ("catalog",)])
def test_wrong_use_exits_with_2(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]):
    assert run(list(arguments)) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_misspelled_keys_are_told_and_do_not_stop_the_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path, {"readings": [{**GOOD, "instrumnt": "tape"}], "construction": ["shiny"]})
    assert run(["identify", file, "--json"]) == 0
    warnings = json.loads(capsys.readouterr().out)["warnings"]
    assert any("readings[0].instrumnt" in warning for warning in warnings)
    assert any("'shiny'" in warning for warning in warnings)


def test_the_installed_command_has_these_exit_codes(tmp_path: Path):
    command = [sys.executable, "-c", "from chaincase.cli.main import main; main()"]
    good = subprocess.run([*command, "units", "4 in"], capture_output=True, text=True, check=False)
    bad = subprocess.run([*command, "units", "four"], capture_output=True, text=True, check=False)
    assert (good.returncode, bad.returncode) == (0, 2)
    assert bad.stdout == ""
    assert list(tmp_path.iterdir()) == []
