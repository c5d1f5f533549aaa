"""Bad wear and verdict files through the real command: one clear message with its place, exit code 2, no traceback."""

import json
from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run

READING: dict[str, Any] = {"on": "2025-03-01", "length": "12.2 in", "over": 12, "instrument": "caliper"}
WEAR: dict[str, Any] = {"pitch": "1 in", "kind": "roller", "readings": [READING]}
PULL: dict[str, Any] = {
    "speed": "0.25 m/s",
    "chain_mass": "20 kg/m",
    "friction": 0.2,
    "runs": [{"length": "10 m"}, {"loss": 0.1}, {"length": "10 m"}],
}
VERDICT: dict[str, Any] = {"candidate": "16B-1", "sprockets": [{"chain": "16B-1", "teeth": 17}]}


def refused(capsys: pytest.CaptureFixture[str], folder: Path, command: str, data: object) -> str:
    file = folder / "form.json"
    file.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    assert run(["duty", command, str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"chaincase: {file}: ")
    assert "Traceback" not in err
    return err


def reading(**changes: Any) -> dict[str, Any]:
    return {**WEAR, "readings": [{**READING, **changes}]}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({**WEAR, "pitch": "-1 in"}, "pitch: character 1: '-1 in' is negative"),
        ({**WEAR, "pitch": 25.4}, "pitch: '25.4' has no unit"),
        ({**WEAR, "pitch": "1 kg"}, "a unit of mass"),
        ({**WEAR, "pitch": "9e99 in"}, "pitch"),
        ({**WEAR, "kind": "rope"}, "kind: 'rope' is not a kind of chain"),
        ({**WEAR, "kind": 4}, "kind"),
        ({**WEAR, "teeth": 3}, "teeth: teeth is 3"),
        ({**WEAR, "limit": 0.02}, "limit: 0.02 is no percentage"),
        ({**WEAR, "limit": "50 %"}, "limit must be from 0.1 to 10 %"),
        ({**WEAR, "limit": "-2 %"}, "is no percentage"),
        ({**WEAR, "service": "hoist"}, "service"),
        ({**WEAR, "readings": []}, "there is no reading"),
        ({**WEAR, "readings": "many"}, "readings"),
        ({**WEAR, "readings": [READING] * 501}, "readings"),
        ({**WEAR, "take_up": {"travel": "1 m"}}, "take_up needs the length of the strand"),
        ({**WEAR, "pitches": 100, "take_up": {"travel": "1 m", "used": "2 m"}}, "take_up: more of the take-up is used"),
        ({**WEAR, "installed": "2026-01-01"}, "the reading of 2025-03-01 is older than the chain"),
        ({**WEAR, "parts": [{"part": "wheel", "new": "1 mm", "worn": "1 mm"}]}, "parts[0].part: 'wheel' is not a part"),
        ({**WEAR, "parts": [{"part": "pin", "new": "19 mm", "worn": "25 mm"}]}, "parts[0]: worn 25 mm is more than"),
        ({**WEAR, "parts": [{"part": "pin", "new": "19 mm", "worn": "18"}]}, "parts[0].worn: '18' has no unit"),
        ({**WEAR, "parts": [{"part": 4, "new": "1 mm", "worn": "1 mm"}]}, "parts[0].part: part is 4"),
        (reading(on="03/01/2025"), "readings[0].on: '03/01/2025' is no date"),
        (reading(on="2025-02-30"), "readings[0].on: '2025-02-30' is no day of the calendar"),
        (reading(on="0001-01-01"), "is not a date of this trade"),
        (reading(on=20250301), "readings[0].on"),
        (reading(length="12.2"), "readings[0].length: '12.2' has no unit"),
        (reading(length="-3 in"), "readings[0].length"),
        (reading(length=True), "readings[0].length"),
        (reading(length="12.2 kg"), "readings[0].length"),
        (reading(over=0), "readings[0].over"),
        (reading(over=2.5), "readings[0].over"),
        (reading(over=10**9), "readings[0].over"),
        (reading(instrument="eye"), "readings[0].instrument: 'eye' is not an instrument"),
        (reading(instrument="photograph"), "readings[0]: length 12.2 in was"),
        (reading(technique="zeroed"), "readings[0].technique"),
        (reading(technique="inside edges"), "readings[0]: length 12.2 in was taken over edges"),
        ('{"pitch": NaN}', "NaN is not a number"),
        ('{"pitch": 1e999}', ""),
        ("[" * 100_000, ""),
        ("[]", "holds list"),
    ],
)
def test_bad_wear(data: object, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, tmp_path, "wear", data)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ({"candidate": "16B-1"}, "nothing to hold the candidate against"),
        ({**VERDICT, "candidate": ""}, "candidate"),
        ({**VERDICT, "candidate": "no such chain"}, "candidate: no chain is named 'no such chain'"),
        ({**VERDICT, "old": "no such chain"}, "old: no chain is named"),
        ({**VERDICT, "sprockets": [{"chain": "no such chain", "teeth": 17}]}, "no chain is named"),
        ({**VERDICT, "sprockets": [{"chain": "16B-1", "teeth": 3}]}, "sprockets[0].teeth"),
        ({**VERDICT, "sprockets": [{"teeth": 17}]}, "sprockets[0]: neither pitch nor chain"),
        ({**VERDICT, "pull": {**PULL, "chain_mass": "-20 kg/m"}}, "pull.chain_mass"),
        ({**VERDICT, "pull": {**PULL, "runs": [{"length": "1 m", "angle": 200}]}}, "pull.runs[0].angle"),
        ({**VERDICT, "pull": PULL, "drive": {"power": "1 kW", "rpm": 9, "teeth": 17}}, "both pull and drive"),
        ({**VERDICT, "drive": {"power": "1 kW", "rpm": 9, "teeth": 3}}, "drive.teeth"),
        ({**VERDICT, "wear": reading(length="12")}, "wear.readings[0].length: '12' has no unit"),
        ({**VERDICT, "working_load": 5}, "working_load"),
        ({**VERDICT, "working_load": "0 N"}, "must be greater than zero"),
        ({**VERDICT, "years": -1}, "years"),
        ({**VERDICT, "pull": {**PULL, "slack": {"span": "1 m"}}}, "pull.slack: the hanging chain is not described"),
        ({**VERDICT, "pull": {**PULL, "slack": {"length": "1 m", "sag": "2 m"}}}, "a sag of 2000 mm is too deep"),
    ],
)
def test_bad_verdict(data: object, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, tmp_path, "verdict", data)


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    data = {**WEAR, "pitch": "x", "readings": [{**READING, "on": "soon"}, {**READING, "length": "7"}]}
    message = refused(capsys, tmp_path, "wear", data)
    for place in ("pitch:", "readings[0].on:", "readings[1].length:"):
        assert place in message


def test_a_missing_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert run(["duty", "wear", str(tmp_path / "none.json")]) == 2
    assert "Traceback" not in capsys.readouterr().err
