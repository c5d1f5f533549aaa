"""`chaincase interchange`: what a person and a machine get to see, and what bad input gets."""

import json

import pytest

from chaincase.cli.main import run


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert run(["interchange", *arguments]) == 0
    return capsys.readouterr().out


def test_a_machine_gets_every_chain_with_its_figures(capsys: pytest.CaptureFixture[str]):
    answer = json.loads(asked(capsys, "16B", "--json"))
    assert (answer["schema"], answer["designation"], answer["table"]) == (
        "chaincase/interchange-1",
        "16B-1",
        "iso606_b",
    )
    (other,) = (each for each in answer["chains"] if each["designation"] == "16A-1")
    assert set(other) == {"designation", "table", "verdict", "differs", "why", "trust"}
    assert other["verdict"] == "does not fit"
    width = next(each for each in other["differs"] if each["dimension"] == "inner_width")
    assert (width["old"], width["new"]) == (17.02, 15.75)


def test_a_person_gets_sentences(capsys: pytest.CaptureFixture[str]):
    said = asked(capsys, "2040")
    assert said.startswith("On the sprockets of 208A, double-pitch roller chain:")
    assert said.index("Drop-in:") < said.index("C208A:") < said.index("Fits with limits:") < said.index("Does not fit")
    assert "Attachments, material, hardness and finish are not" in said
    assert max(len(line) for line in said.splitlines()) <= 100


def test_leaf_chain_is_told_apart(capsys: pytest.CaptureFixture[str]):
    assert "runs on plain sheaves" in asked(capsys, "LL1222")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("no such chain", "no chain is named 'no such chain'"),
        ("M112", "is the name of"),
        ("FV63", "the table leaves the pitch open"),
    ],
)
def test_bad_input_gives_one_line_and_exit_2(name: str, said: str, capsys: pytest.CaptureFixture[str]):
    assert run(["interchange", name]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert len(error.splitlines()) == 1
