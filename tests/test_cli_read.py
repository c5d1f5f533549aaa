"""`chaincase read` end to end, on invented lines."""

import json
import subprocess
import sys

import pytest

from chaincase.cli.main import run

COMMAND = [sys.executable, "-c", "from chaincase.cli.main import main; main()"]


def test_a_machine_gets_the_agreed_form(capsys: pytest.CaptureFixture[str]):
    text = "WR124 chain BELTEX"
    assert run(["read", text, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "chaincase/text-1"
    assert answer["unread"] == [[12, 18]]
    item = answer["items"][0]
    assert {name: item[name] for name in ("field", "value", "start", "end")} == {
        "field": "designation",
        "value": "WR124",
        "start": 0,
        "end": 5,
    }
    assert 0.9 < item["probability"] < 1.0


def test_a_person_gets_the_text_what_was_read_and_what_was_not(capsys: pytest.CaptureFixture[str]):
    assert run(["read", "WR124", "K2", "EA", "4TH,", "40", "ft", "see", "foreman"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("WR124 K2 EA 4TH, 40 ft see foreman\n")
    assert "WR124 (W124 in the tables)" in said
    assert "spacing      4 pitches" in said
    assert "12.192 m (40.00 ft)" in said
    assert said.endswith("Unread: 'see foreman'.\n")


def test_a_text_that_says_nothing_known(capsys: pytest.CaptureFixture[str]):
    assert run(["read", "ask the foreman"]) == 0
    assert "Nothing was read.\nUnread: 'ask', 'foreman'.\n" in capsys.readouterr().out


def test_standard_input(capsys: pytest.CaptureFixture[str]):
    text = "\ufeffChain 08B-1, 5 m\n2 EA #60 CONN LINKS\n"
    done = subprocess.run([*COMMAND, "read", "-", "--json"], input=text.encode(), capture_output=True, check=True)
    items = json.loads(done.stdout)["items"]
    assert [(i["field"], i["value"]) for i in items] == [
        ("designation", "08B-1"),
        ("length", 5000.0),
        ("quantity", 2),
        ("designation", "60"),
        ("feature", "connecting link"),
    ]
