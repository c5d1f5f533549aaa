"""`chaincase duty sprocket` and `duty length`: the contract, words, exit codes."""

import json
from pathlib import Path

import pytest

from chaincase.cli.main import run


def _json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict:
    assert run(["duty", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_length_from_options(capsys: pytest.CaptureFixture[str]):
    answer = _json(
        capsys, "length", "--pitch", "19.05mm", "--teeth", "17", "--teeth", "51", "--centers", "800mm"
    )  # fmt: skip
    assert answer["pitches"] == 120
    assert answer["pitches_exact"] == pytest.approx(118.688, abs=0.001)
    assert answer["centers_mm"] == pytest.approx(812.603, abs=0.001)


def test_length_from_a_file_is_that_from_options(capsys: pytest.CaptureFixture[str], tmp_path: Path):
    file = tmp_path / "length.json"
    file.write_text(json.dumps({"pitch": "19.05 mm", "teeth": [17, 51], "centers": "800 mm"}), encoding="utf-8")
    options = ("--pitch", "19.05mm", "--teeth", "17", "--teeth", "51", "--centers", "800mm")
    assert _json(capsys, "length", str(file)) == _json(capsys, "length", *options)


def test_a_path_from_a_file_warns_of_keys_that_mean_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path):
    wheels = [
        {"x": "0 mm", "y": 0, "teeth": 12, "name": "head"},
        {"x": "-3 m", "y": "0", "teeth": 12, "name": "tail", "colour": "red"},
    ]
    take_up = {"wheel": "tail", "direction": 180, "travel": "200 mm"}
    file = tmp_path / "path.json"
    file.write_text(json.dumps({"pitch": "100 mm", "wheels": wheels, "take_up": take_up}), encoding="utf-8")
    answer = _json(capsys, "length", str(file))
    assert answer["pitches"] == 72
    assert answer["take_up_left_mm"] == pytest.approx(140.0)
    assert any(warning.startswith("wheels[1].colour") for warning in answer["warnings"])


def test_sprocket_from_options(capsys: pytest.CaptureFixture[str]):
    answer = _json(capsys, "sprocket", "--pitch", "1in", "--teeth", "17", "--roller", "5/8in", "--rpm", "40 rpm")
    assert answer["pitch_diameter_mm"] == pytest.approx(138.23, abs=0.005)
    assert answer["root_diameter_mm"] == pytest.approx(138.2317 - 15.875, abs=0.001)
    assert answer["chain_speed_m_per_s"] == pytest.approx(17 * 25.4 * 40 / 60_000)


def test_sprocket_without_a_roller_still_has_its_pitch_circle(capsys: pytest.CaptureFixture[str]):
    answer = _json(capsys, "sprocket", "--pitch", "1in", "--teeth", "17")
    assert "root_diameter_mm" not in answer
    assert answer["warnings"]


def test_reading_a_wheel(capsys: pytest.CaptureFixture[str]):
    readings = ("--outside", "5.95 in", "--caliper", "4.78 in", "--instrument", "caliper", "--mark", "80B17")
    answer = _json(capsys, "sprocket", "--teeth", "17", *readings)
    assert answer["pitch_mm"] == 25.4
    assert answer["pairs"][0]["chains"].startswith("16A-1")


def test_words_can_be_read_aloud(capsys: pytest.CaptureFixture[str]):
    assert run(["duty", "length", "--pitch", "1in", "--teeth", "17", "--teeth", "17", "--centers", "40in"]) == 0
    words = capsys.readouterr().out
    assert "pitches to order: 98 pitches" in words
    assert "centers with the chain taut: 1028.7 mm (40 1/2 in)" in words
    assert max(len(line) for line in words.splitlines()) <= 100


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        (["sprocket", "--pitch", "1in", "--teeth", "3"], "teeth"),
        (["sprocket", "--pitch", "1in", "--teeth", "0"], "teeth"),
        (["sprocket", "--pitch", "1in"], "teeth: is missing"),
        (["sprocket", "--pitch", "1in", "--teeth", "17", "--outside", "6in"], "one of them"),
        (["sprocket", "no such file.json"], "no such file"),
        (["length", "--pitch", "1in", "--teeth", "17", "--teeth", "17", "--centers", "3in"], "centers of 3 pitches"),
        (["length", "--pitch", "nan", "--teeth", "17", "--teeth", "17", "--centers", "3in"], "pitch"),
        (["length", "some.json", "--pitch", "1in"], "not both"),
    ],
)
def test_bad_input_is_one_clear_line_and_exit_code_2(
    capsys: pytest.CaptureFixture[str], arguments: list[str], word: str
):
    assert run(["duty", *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert word in captured.err
