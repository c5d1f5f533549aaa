"""The command line end to end: what a person or a machine gets to see."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pypdfium2
import pytest

from chaincase.cli.main import run

COMMAND = [sys.executable, "-c", "from chaincase.cli.main import main; main()"]

EVIDENCE = {
    "schema": "chaincase/evidence-1",
    "construction": ["offset sidebar", "welded steel"],
    "marks": [{"text": "W?124", "where": "inner sidebar", "legibility": "corroded"}],
    "readings": [
        {"dimension": "pitch", "value": "4.06 in", "instrument": "tape", "technique": "same edge", "over": 1},
        {"dimension": "pin_diameter", "value": "18.9 mm", "instrument": "digital caliper"},
        {"dimension": "width", "value": "4 in"},
    ],
    "notes": "free text",
}


@pytest.fixture
def evidence_file(tmp_path: Path) -> str:
    file = tmp_path / "evidence.json"
    file.write_text(json.dumps(EVIDENCE), encoding="utf-8")
    return str(file)


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(list(arguments)) == 0
    return capsys.readouterr().out


def test_identify_answers_a_machine_in_the_agreed_form(evidence_file: str, capsys: pytest.CaptureFixture[str]):
    answer = json.loads(asked(capsys, "identify", evidence_file, "--json"))
    assert answer["schema"] == "chaincase/identification-1"
    assert answer["candidates"][0]["designation"] == "W124"
    assert answer["candidates"][0]["table"] == "welded_mill"
    assert {"reasons", "conflicts", "probability"} <= set(answer["candidates"][0])
    assert {"unlisted", "next", "warnings", "other"} <= set(answer)
    total = sum(each["probability"] for each in answer["candidates"]) + answer["unlisted"] + answer["other"]
    assert total == pytest.approx(1.0)


def test_identify_answers_a_person_in_sentences(evidence_file: str, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, "identify", evidence_file)
    assert said.startswith("This is W124, welded steel mill chain")
    assert "WR124, WH124" in said
    assert re.search(r"None of the chains in the tables: (less than )?1 in 100\.", said)
    assert max(len(line) for line in said.splitlines()) <= 100


def test_next_steps_are_told_with_place_and_instrument(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "little.json"
    little = {"readings": [{"dimension": "pitch", "value": "78.2 mm", "instrument": "tape"}]}
    file.write_text(json.dumps(little), encoding="utf-8")
    answer = json.loads(asked(capsys, "identify", str(file), "--json"))
    first = answer["next"][0]
    assert {"dimension", "instrument", "gain_bits", "minutes", "decides"} <= set(first)
    assert first["gain_bits"] > 0
    rates = [step["gain_bits"] / step["minutes"] for step in answer["next"]]
    assert rates == sorted(rates, reverse=True)
    assert "What to find out next, best first:" in asked(capsys, "identify", str(file))


def test_units(capsys: pytest.CaptureFixture[str]):
    assert asked(capsys, "units", "2", "39/64", "in") == "length: 2 39/64 in = 66.28 mm (2 39/64 in)\n"
    bare = json.loads(asked(capsys, "units", "63,5", "--json"))
    assert {reading["if_no_unit_means"] for reading in bare["readings"]} == {"mm", "in"}


def test_catalog_list_and_show(capsys: pytest.CaptureFixture[str]):
    tables = {table["table"] for table in json.loads(asked(capsys, "catalog", "list", "--json"))}
    assert {"iso606_a", "iso606_b", "welded_mill", "leaf"} <= tables
    shown = json.loads(asked(capsys, "catalog", "show", "ANSI 80", "--json"))
    assert shown["designation"] == "16A-1"
    assert shown["dimensions"]["roller_diameter"] == {
        "mm": 15.88,
        "letter": "R",
        "limit": "maximum",
        "trust": "two sources",
    }
    assert "figures from memory" in asked(capsys, "catalog", "show", "2010")
    assert "W124" in asked(capsys, "catalog", "list", "welded_mill")


def test_catalog_check_passes_over_the_packaged_tables(capsys: pytest.CaptureFixture[str]):
    assert ": 0 errors," in asked(capsys, "catalog", "check")


def test_a_print_of_ones_own_is_brought_in_and_used(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    """Invented print: a chain that no standard lists is found once its print is there."""
    monkeypatch.setenv("CHAINCASE_DATA", str(tmp_path / "data"))
    table = tmp_path / "prints.csv"
    table.write_text("No.,A,Barrel,Pin\nQX7,4 1/4,1 1/8,11/16\nQX9,5 1/8,1 3/8,13/16\n", encoding="utf-8")
    (tmp_path / "prints.csv.toml").write_text(
        'title = "Prints of an invented plant"\nsource = "print 12, sheet 1"\nunit = "in"\n'
        'kind = "bushed rollerless"\ndesignation = "No."\n[columns.A]\ndimension = "pitch"\n'
        '[columns.Barrel]\ndimension = "bush_diameter"\n[columns.Pin]\ndimension = "pin_diameter"\n',
        encoding="utf-8",
    )
    assert "Stored as 'prints'" in asked(capsys, "catalog", "import", str(table))
    evidence = tmp_path / "evidence.json"
    readings = [("pitch", "4.27 in"), ("bush_diameter", "1.118 in"), ("pin_diameter", "0.683 in")]
    data = {"readings": [{"dimension": d, "value": v, "instrument": "digital caliper"} for d, v in readings]}
    evidence.write_text(json.dumps(data), encoding="utf-8")
    answer = json.loads(asked(capsys, "identify", str(evidence), "--json", "--catalog", "prints"))
    assert answer["candidates"][0]["designation"] == "QX7"
    assert answer["candidates"][0]["probability"] > 0.9
    assert run(["catalog", "import", str(table)]) == 2
    assert "already a catalog" in capsys.readouterr().err


def test_a_print_without_a_key_gets_one_proposed_and_nothing_stored(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("CHAINCASE_DATA", str(tmp_path / "data"))
    table = tmp_path / "prints.csv"
    table.write_text("Chain No.,Pitch (in),Pin dia. (in)\nQX7,4.25,0.6875\n", encoding="utf-8")
    assert run(["catalog", "import", str(table)]) == 2
    out, err = capsys.readouterr()
    assert 'dimension = "pitch"' in out
    assert "save it as prints.csv.toml" in err
    assert not (tmp_path / "data").exists()


def test_demo_writes_evidence_and_dossiers(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, "demo", "-o", str(tmp_path / "out"))
    files = sorted(file.name for file in (tmp_path / "out").iterdir())
    assert files == [f"HV-10{i}{what}" for i in (1, 2, 3) for what in ("-dossier.pdf", "-evidence.json", ".json")]
    assert "This is W132" in said
    assert "M112x160 flanged roller" in said
    assert "most likely none of the chains in the tables" in said
    for number in (1, 2, 3):
        pdf = pypdfium2.PdfDocument(tmp_path / "out" / f"HV-10{number}-dossier.pdf")
        assert len(pdf) >= 2
        assert "invented" in pdf[0].get_textpage().get_text_bounded().lower()


def test_small_commands_do_not_load_the_numeric_libraries():
    code = "import sys; from chaincase.cli.main import run; run(['units', '4 in']); sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0


def test_output_into_a_closed_pipe_ends_quietly():
    producer = subprocess.Popen([*COMMAND, "catalog", "list", "leaf"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert producer.stdout is not None
    assert producer.stderr is not None
    producer.stdout.readline()
    producer.stdout.close()
    said = producer.stderr.read()
    producer.stderr.close()
    producer.wait()
    assert b"Traceback" not in said
