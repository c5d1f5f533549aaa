"""The answer about a drive: rating needed, chain held against it, sizes offered (all drives invented)."""

import json
from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run
from chaincase.duty.drive import number_of
from chaincase.duty.drive_answer import drive
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.rating import HP, by_equation
from chaincase.duty.result import Result
from chaincase.errors import BadInput

FAN: dict[str, Any] = {"schema": "chaincase/drive-1", "power": "10 kW", "rpm": 900, "teeth": 21, "large_teeth": 42}


def answered(**changes: Any) -> Result:
    return drive(DriveForm.of({**FAN, **changes}))


def said(result: Result) -> str:
    return "\n".join((*result.steps, *result.assumptions, *result.warnings, *result.sources))


def test_sizes_are_offered_smallest_pitch_by_strands():
    answer = answered(service_factor=1.5)
    offered = answer.table("choices").records()
    assert [(row["number"], row["strands"]) for row in offered] == [(60, 1), (50, 2), (50, 3), (40, 4)]
    assert answer["choice"] == "No. 60"
    for row in offered:
        assert float(row["margin"]) >= 1.0
    sizes = [40, 50, 60]
    assert by_equation(sizes[1], 21, 900).power < 15_000.0 <= by_equation(sizes[2], 21, 900).power


def test_a_chain_of_the_tables_is_held_against_the_duty():
    answer = answered(chain={"designation": "ANSI 60-2"}, service_factor=1.4)
    one = by_equation(60, 21, 900).power
    assert answer.number("capacity_kw") == pytest.approx(1.7 * one / 1000)
    assert answer.number("margin") == pytest.approx(1.7 * one / 14_000)
    assert answer.number("chain_speed_m_per_s") == pytest.approx(21 * 19.05 * 900 / 60_000)
    assert answer.number("pull_n") == pytest.approx(10_000 / (21 * 19.05 * 900 / 60_000))
    assert answer["oiling"] == "oil bath or slinger disk"
    for words in ("older editions", "could not be read", "galling", "not a rating", "figures of 12A-2"):
        assert words in said(answer)


def test_the_published_table_goes_before_the_equations():
    answer = answered(power="0.5 kW", teeth=17, large_teeth=None, chain={"designation": "ANSI 25"})
    assert answer.number("rating_kw") == pytest.approx(0.82 * HP / 1000)
    outside = answered(power="0.5 kW", rpm=5000, chain={"designation": "ANSI 25"})
    assert "outside the table" in said(outside)


def test_a_rating_given_by_hand_for_other_teeth():
    """Rating of a curve for 19 teeth, used with 21: times (21/19)^1.08."""
    answer = answered(pitch="15.875 mm", rating="9 kW", rating_teeth=19)
    assert answer.number("rating_kw") == pytest.approx(9.0 * (21 / 19) ** 1.08)
    longer = answered(pitch="15.875 mm", rating="9 kW", hours=30_000)
    assert longer.number("rating_kw") == pytest.approx(9.0 * 0.5**0.4)


def test_chains_of_other_standards_get_no_american_rating():
    answer = answered(chain={"designation": "16B-1"})
    assert "margin" not in answer
    assert "no rating exists here" in said(answer)
    assert answer.number("factor_of_safety") > 1


@pytest.mark.parametrize(("name", "number"), [("ANSI 41", 41), ("ANSI 35", 35), ("16A-3", 80), ("08B-1", None)])
def test_size_of_a_chain(name: str, number: int | None):
    from chaincase.duty.drive import chain_of

    form = DriveForm.of({**FAN, "chain": {"designation": name}})
    assert number_of(form, chain_of(form)) == number


def test_offset_sidebar_drive():
    answer = answered(
        kind="offset sidebar", rpm=25, teeth=12, large_teeth=40, pitch="4 in", chain={"working_load": "20 kN"}
    )
    assert answer.number("capacity_kw") == pytest.approx(20.0 * 0.508 / 0.990, rel=1e-6)
    assert "speed factor 0.99" in said(answer)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"teeth": 13}, "fewer than 17"),
        ({"large_teeth": 130}, "more than 120"),
        ({"large_teeth": 80}, "beyond 3:1"),
        ({"power": "9000 kW"}, "no size of ASME B29.1"),
        ({"chain": {"designation": "ANSI 40"}}, "does not carry"),
        ({"rpm": 10, "chain": {"designation": "ANSI 40"}}, "in service at most 17 %"),
    ],
)
def test_limits_are_told(changes: dict[str, Any], words: str):
    assert words not in said(answered())
    assert words in said(answered(**changes))


def test_strands_that_contradict_the_chain_are_refused():
    with pytest.raises(BadInput, match="12A-1 has 1 strand, not 2"):
        answered(chain={"designation": "12A-1"}, strands=2)


def test_command_answers_machine_and_person(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "drive.json"
    file.write_text(json.dumps(FAN), encoding="utf-8")
    assert run(["duty", "drive", str(file), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "chaincase/duty-drive-answer-1"
    assert answer["choices"][0]["strands"] == 1
    assert run(["duty", "drive", str(file)]) == 0
    assert "rating needed of one strand" in capsys.readouterr().out.lower()
