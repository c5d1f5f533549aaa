"""`chaincase bench`: a tiny run from the command line to the report."""

import json
from pathlib import Path

import pytest

from chaincase.calibration import report
from chaincase.cli.main import run

TINY = ["bench", "--samples", "4", "--workers", "1", "--no-progress"]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("bench") / "docs"
    assert run([*TINY, "-o", str(folder)]) == 0
    return folder


def test_the_report_and_its_diagram_are_written(written: Path) -> None:
    assert sorted(path.name for path in written.iterdir()) == ["bench.md", "bench.svg"]
    text = (written / "bench.md").read_text(encoding="utf-8")
    for words in (
        "samples: 4 on",
        "seeds: 5000 to 5000",
        "git revision",
        "## Targets",
        "## If the assumptions are off",
    ):
        assert words in text
    assert "nan" not in text


def test_figures_for_machines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*TINY, "--seed", "6000", "-o", str(tmp_path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["schema"], told["samples"], told["seeds"]) == ("chaincase/bench-1", 4, [6000, 6000])
    targets = {each["name"]: each for each in told["targets"]}
    assert targets["expected calibration error"]["at_most"] == 0.02
    assert targets["mean log score, 3 to 6 readings"]["at_least"] == -0.30
    for each in told["targets"]:
        assert each["reached"] is False or each["value"] is not None


def test_words_name_every_target(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*TINY, "-o", str(tmp_path)]) == 0
    told = capsys.readouterr().out
    assert "4 samples of seeds 5000 to 5000" in told
    assert told.count("asked for") >= 5


def test_time_is_bounded(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench", "--samples", "5000", "--workers", "1", "--minutes", "0.01", "-o", str(tmp_path)]) == 0
    assert "The time was up" in capsys.readouterr().out
    assert "the time was up" in (tmp_path / "bench.md").read_text(encoding="utf-8")


def test_a_checkout_without_git_is_no_obstacle(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(report.shutil, "which", lambda _: None)
    assert report.revision() == "unknown"


@pytest.mark.parametrize("wrong", [["--samples", "0"], ["--seed", "-1"], ["--samples", "many"], ["--minutes", "0"]])
def test_wrong_options_are_refused(wrong: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["bench", *wrong, "-o", str(tmp_path)]) == 2
    assert capsys.readouterr().err.startswith("chaincase: ")
    assert not list(tmp_path.iterdir())


def test_a_file_is_no_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "docs"
    file.write_text("kept", encoding="utf-8")
    assert run([*TINY, "-o", str(file)]) == 2
    assert "name a folder" in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == "kept"
