"""The commands that write papers: what they say, what they leave behind, what they refuse."""

import json
from pathlib import Path

import pytest

from chaincase.cli.main import run
from paper_cases import full, picture
from pdf_reading import opened, words


@pytest.fixture
def known(tmp_path: Path) -> Path:
    """A case with a photograph beside it."""
    (tmp_path / "stamp.jpg").write_bytes(picture())
    path = tmp_path / "T-7.json"
    path.write_text(json.dumps(full(photographs=[{"file": "stamp.jpg", "shows": "the stamp"}])), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("command", "name", "said"),
    [
        (["sheet", "welded steel", "--units", "in"], "s.pdf", "Measuring sheet, welded steel mill chain: "),
        (["sheet", "welded steel"], "s.xlsx", "Measuring sheet, welded steel mill chain: "),
        (["sheet", "--case", "T-7.json", "--address", "https://chains.example/T-7"], "s.pdf", "flanged roller: "),
        (["letter", "T-7.json"], "l.pdf", " questions: "),
        (["letter", "T-7.json", "--signed", "us"], "l.txt", " questions: "),
        (["letter", "T-7.json"], "l.html", " questions: "),
        (["dossier", "T-7.json", "--paper", "a4"], "d.pdf", "Dossier to quote, "),
        (["dossier", "T-7.json", "--level", "make"], "d.zip", "Dossier to make, "),
        (["tag", "T-7.json", "--label", "a6"], "t.pdf", "Sample tag: "),
        (["inspection", "T-7.json"], "i.pdf", "Inspection sheet: "),
    ],
)
def test_each_paper_is_written_and_named(
    command: list[str],
    name: str,
    said: str,
    known: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(known.parent)
    assert run([*command, "-o", name]) == 0
    out = capsys.readouterr().out
    assert said in out
    assert name in out
    assert sorted(path.name for path in known.parent.iterdir()) == sorted(["T-7.json", "stamp.jpg", name])
    if name.endswith(".pdf"):
        assert len(opened((known.parent / name).read_bytes())) >= 1


def test_the_photograph_beside_the_case_is_in_the_dossier(known: Path) -> None:
    assert run(["dossier", str(known), "-o", str(known.parent / "d.pdf")]) == 0
    assert "the stamp. stamp.jpg; not to scale, not for dimensions" in words((known.parent / "d.pdf").read_bytes())


def test_a_sheet_comes_back_into_its_case(known: Path) -> None:
    sheet = known.parent / "s.xlsx"
    assert run(["sheet", "--case", str(known), "-o", str(sheet)]) == 0
    before = json.loads(known.read_text(encoding="utf-8"))
    assert run(["case", "add", str(known), "--from", str(sheet)]) in {0, 2}, "an empty sheet adds nothing"
    assert json.loads(known.read_text(encoding="utf-8")) == before


@pytest.mark.parametrize(
    ("command", "what"),
    [
        (["sheet", "rope", "-o", "s.pdf"], "'rope' is not a kind of chain"),
        (["sheet", "-o", "s.pdf"], "name the kind of chain, or a case"),
        (["sheet", "leaf", "-o", "s.doc"], "the name ends in '.doc'; use .pdf or .xlsx"),
        (["sheet", "leaf", "--address", "file:///etc/passwd", "-o", "s.pdf"], "no address of a page"),
        (["sheet", "leaf", "-o", "gone/s.pdf"], "there is no folder"),
        (["letter", "gone.json", "-o", "l.pdf"], "gone.json: there is no such file"),
        (["letter", "bad.json", "-o", "l.pdf"], "bad.json: "),
        (["dossier", "lost.json", "-o", "d.pdf"], "gone.jpg: there is no such file"),
        (["dossier", "out.json", "-o", "d.zip"], "leads out of the folder of the case"),
        (["tag", "T-7.json", "-o", "t.zip"], "use .pdf"),
        (["inspection", "T-7.json", "-o", "i"], "use .pdf"),
    ],
)
def test_bad_input_is_one_line_and_leaves_nothing(
    command: list[str], what: str, known: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(known.parent)
    Path("bad.json").write_text("{", encoding="utf-8")
    Path("lost.json").write_text(json.dumps(full(photographs=[{"file": "gone.jpg"}])), encoding="utf-8")
    Path("out.json").write_text(json.dumps(full(photographs=[{"file": "../x.jpg"}])), encoding="utf-8")
    before = sorted(known.parent.iterdir())
    assert run(command) == 2
    error = capsys.readouterr().err
    assert what in error
    assert "Traceback" not in error
    assert sorted(known.parent.iterdir()) == before
