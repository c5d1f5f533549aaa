"""Bad observations of spacing through the real command: one clear message, exit code 2, no traceback."""

import json
from pathlib import Path

import pytest

from chaincase.cli.main import run

GOOD = {"counted": 12}


def refused(capsys: pytest.CaptureFixture[str], file: Path) -> str:
    assert run(["spacing", str(file), "--json"]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith("chaincase: ")
    assert "Traceback" not in err
    return err


def written(folder: Path, data: object) -> Path:
    file = folder / "spacing.json"
    file.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return file


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ("", "not JSON"),
        ('{"observations": [', "line 1, column 19: not JSON"),
        ("[]", 'holds list, not an object; it looks like {"schema": "chaincase/spacing-1"'),
        ('{"pitch": NaN}', "NaN is not a number that can be used"),
        ('{"pitch": ' + "9" * 5000 + "}", "not JSON that can be used"),
        ("[" * 100_000, "nested too deeply"),
        ({"schema": "chaincase/evidence-1"}, "schema: found 'chaincase/evidence-1'"),
        ({"pitch": "-4 in"}, "pitch: character 1: '-4 in' is negative"),
        ({"pitch": "four"}, "pitch: "),
        ({"pitch": True}, "pitch: found True"),
        ({"pitch": ["4 in"]}, "pitch: found a list"),
        ({"elongation": 1.2}, "elongation: '1.2' is not between -1% and 20 %; write 0.012 or '1.2 %'"),
        ({"elongation": "some"}, "elongation: 'some' is not a share"),
        ({"elongation": "nan"}, "elongation: 'nan' is not between"),
        ({"elongation": 0.01, "elongation_u": -0.1}, "elongation_u"),
        ({"construction": "roller"}, "construction: found 'roller'"),
        ({"observations": {"counted": 12}}, "observations: found an object"),
        ({"observations": [12]}, "observations[0]: found 12"),
        ({"observations": [{"counted": 0}]}, "observations[0].counted: found 0"),
        ({"observations": [{"counted": 12.5}]}, "observations[0].counted: found 12.5"),
        ({"observations": [{"counted": "12"}]}, "observations[0].counted: found '12'"),
        ({"observations": [{"counted": True}]}, "observations[0].counted: found True"),
        ({"observations": [{"counted": 10**9}]}, "observations[0].counted"),
        ({"observations": [GOOD, {"counted": 12, "gaps": 0}]}, "observations[1].gaps: found 0"),
        ({"observations": [{"taped": "48 mmm"}]}, "observations[0].taped: "),
        ({"observations": [{"taped": "0 in"}]}, "observations[0].taped: "),
        ({"observations": [{"taped": "2 km"}]}, "observations[0].taped: "),
        ({"observations": [{"taped": "2000 m"}]}, "observations[0].taped: '2000 m' is more than 1 km"),
        ({"observations": [{"taped": "48 in", "instrument": "laser"}]}, "'laser' is not an instrument"),
        ({"observations": [{"sample_links": 0, "attachments_at": []}]}, "observations[0].sample_links: found 0"),
        (
            {"observations": [{"sample_links": 7, "attachments_at": [2, 9]}]},
            "observations[0].attachments_at: link 9 in a piece of 7 links; number the links from 1 to 7",
        ),
        ({"observations": [{"sample_links": 7, "attachments_at": [2, 2]}]}, "a link stands there twice"),
        ({"observations": [{"sample_links": 7, "attachments_at": [0]}]}, "observations[0].attachments_at[0]: found 0"),
        ({"observations": [{"sample_links": 7, "attachments_at": 3}]}, "observations[0].attachments_at: found 3"),
        ({"observations": [{"on_links": "middle"}]}, "'middle' does not say on which links; use one of: inner, outer"),
        ({"observations": [{"on_links": ""}]}, "observations[0].on_links"),
        ({"observations": [GOOD] * 1000}, "observations"),
    ],
)
def test_bad_observations(data: object, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, written(tmp_path, data))


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    bad = {"pitch": "four", "elongation": "x", "observations": [{"taped": "y"}, GOOD, {"on_links": "z"}]}
    message = refused(capsys, written(tmp_path, bad))
    for place in ("pitch: ", "elongation: ", "observations[0].taped: ", "observations[2].on_links: "):
        assert place in message


def test_what_is_not_a_readable_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert "no such file" in refused(capsys, tmp_path / "none.json")
    assert "folder" in refused(capsys, tmp_path)


def test_misspelled_keys_are_told_and_do_not_stop_the_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = written(tmp_path, {"pich": "4 in", "observations": [{"counted": 12, "gap": 1}]})
    assert run(["spacing", str(file), "--json"]) == 0
    warnings = json.loads(capsys.readouterr().out)["warnings"]
    assert warnings == ["pich means nothing here", "observations[0].gap means nothing here"]


def test_control_characters_do_not_reach_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert "\x1b" not in refused(capsys, written(tmp_path, {"observations": [{"on_links": "\x1b[31mred"}]}))
    file = written(tmp_path, {"observations": [{"counted": 12, "\x1b[31m": 1}]})
    assert run(["spacing", str(file)]) == 0
    assert "\x1b" not in capsys.readouterr().out
