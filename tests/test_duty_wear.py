"""The answer about wear: elongation, limits, dates, strands, take-up and parts of made-up chains."""

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from chaincase.cli.main import run
from chaincase.duty import wear_limits
from chaincase.duty.result import Result
from chaincase.duty.wear import measured
from chaincase.duty.wear_answer import wear
from chaincase.duty.wear_form import WearForm
from chaincase.duty.wear_trend import Point, fit, reached


def taken(on: str, length: str, over: int = 10, strand: str = "", **more: Any) -> dict[str, Any]:
    return {"on": on, "length": length, "over": over, "instrument": "caliper", "strand": strand, **more}


STEADY = [taken("2023-03-01", "1002 mm"), taken("2024-03-01", "1006 mm"), taken("2025-03-01", "1010 mm")]
CONVEYOR: dict[str, Any] = {"pitch": "100 mm", "kind": "conveyor roller", "teeth": 12, "readings": STEADY}


def answered(**changes: Any) -> Result:
    return wear(WearForm.of({**CONVEYOR, **changes}))


def said(result: Result) -> str:
    return "\n".join((*result.steps, *result.assumptions, *result.warnings, *result.sources))


def test_steady_wear_by_hand():
    """0.4 % a year, 1 % now, 2 % in two and a half years; dates in order round it."""
    answer = answered()
    assert answer.number("elongation_percent") == pytest.approx(1.0)
    assert answer.number("joint_wear_mm") == pytest.approx(1.0)
    assert answer.number("limit_percent") == pytest.approx(2.0)
    assert answer.number("limit_length_mm") == pytest.approx(1020.0)
    assert answer.number("rate_percent_per_year") == pytest.approx(0.4, abs=1e-3)
    assert str(answer["limit_on_middle"]).startswith("2027-0")
    assert str(answer["limit_on_early"]) < str(answer["limit_on_middle"]) < str(answer["limit_on_late"])
    assert answer.number("limit_passed") < 1e-6
    assert "three dates say little about the shape" in said(answer)


def test_two_dates_say_little():
    answer = answered(readings=STEADY[1:])
    assert "two dates say little" in said(answer)
    assert [row["fit"] for row in answer.table("fits").records()] == ["straight line"]


def test_one_day_tells_no_rate_unless_it_is_known_when_the_chain_was_new():
    answer = answered(readings=STEADY[2:])
    assert "limit_on_middle" not in answer
    assert "tell no rate" in said(answer)
    dated = answered(readings=STEADY[2:], installed="2022-09-01")
    assert dated.number("rate_percent_per_year") == pytest.approx(100 * (0.01 - 0.00125) / 2.5, rel=0.01)
    assert "two dates say little" in said(dated)


def test_no_date_from_a_falling_trend():
    answer = answered(readings=[taken("2024-03-01", "1008 mm"), taken("2025-03-01", "1005 mm")])
    assert not any(f"limit_on_{when}" in answer for when in ("early", "middle", "late"))
    assert "do not rise" in said(answer)


def test_growth_that_drowns_in_the_uncertainty_gives_no_middle_date():
    rough = {"instrument": "tape", "technique": "same edge"}
    seen = [taken("2024-11-01", "400 mm", over=4, **rough), taken("2025-03-01", "400.5 mm", over=4, **rough)]
    answer = answered(readings=seen)
    assert "limit_on_middle" not in answer
    assert "limit_on_late" not in answer
    assert "not sure beside the uncertainty" in said(answer)


def test_a_limit_that_is_passed_is_said():
    answer = answered(readings=[taken("2024-03-01", "1018 mm"), taken("2025-03-01", "1023 mm")])
    assert answer.number("limit_passed") > 0.99
    assert answer["limit_on_late"] == "2025-03-01"
    assert "the limit is passed already" in said(answer)


def test_wear_that_speeds_up_is_told_and_comes_earlier():
    days = ("2021-03-01", "2022-03-01", "2023-03-01", "2024-03-01", "2025-03-01")
    lengths = (1000.5, 1001.0, 1002.5, 1005.5, 1010.0)
    answer = answered(readings=[taken(on, f"{mm} mm") for on, mm in zip(days, lengths, strict=True)])
    line, curve = answer.table("fits").records()
    assert str(curve["middle"]) < str(line["middle"])
    assert "wear speeds up" in said(answer)
    assert "by the quadratic fit" in said(answer)


@pytest.mark.parametrize(
    ("changes", "percent"),
    [
        ({"kind": "roller"}, 3.0),
        ({"kind": "roller", "teeth": 100}, 2.0),
        ({"kind": "roller", "fixed_centers": True}, 1.5),
        ({"kind": "roller", "service": "conveyor"}, 2.0),
        ({"kind": "offset sidebar"}, 2.0),
        ({"kind": "offset sidebar", "service": "drive"}, 3.0),
        ({"kind": "welded steel"}, 2.0),
        ({"limit": "2.5 %"}, 2.5),
    ],
)
def test_which_limit_governs(changes: dict[str, Any], percent: float):
    assert answered(**changes).number("limit_percent") == pytest.approx(percent)


def test_a_limit_above_the_usual_one_is_told():
    assert "above the usual 2 %" in said(answered(limit="2.5 %"))


def test_a_kind_without_a_usual_limit_gets_no_date():
    answer = answered(kind="flat-top")
    assert "limit_percent" not in answer
    assert "no usual limit is known" in said(answer)
    assert answer.number("rate_percent_per_year") == pytest.approx(0.4, abs=1e-3)


def test_an_odd_number_of_pitches_is_read_for_what_it_shows():
    """Rollers, first an outer link, 3 pitches: 4/3 of the strand's elongation shows."""
    rollers = taken("2025-03-01", "304 mm", over=3, link="outer", reference="rollers")
    answer = answered(readings=[rollers])
    assert answer.number("elongation_percent") == pytest.approx(1.0)
    assert "odd number of pitches" in said(answer)


def test_a_pitch_that_wear_does_not_touch_tells_of_overload():
    pins = taken("2025-03-01", "103 mm", over=1, link="outer", reference="pins")
    answer = answered(readings=[*STEADY, pins])
    assert answer.number("elongation_percent") == pytest.approx(1.0)
    assert "readings[3]" in said(answer)
    assert "overload" in said(answer)


def test_readings_that_cannot_be():
    assert "shorter than new chain can be" in said(answered(readings=[taken("2025-03-01", "990 mm")]))
    assert "more than chain wears" in said(answered(readings=[taken("2025-03-01", "1150 mm")]))


def test_strands_side_by_side():
    both = [
        *(dict(each, strand="left") for each in STEADY),
        taken("2025-03-01", "1008 mm", strand="right"),
    ]
    answer = answered(readings=both, pitches=200)
    assert answer["strand"] == "left"
    assert answer.number("strands_apart_mm") == pytest.approx(0.002 * 20_000)
    row = answer.table("strands_apart").records()[0]
    assert (row["longer"], row["shorter"], row["matched_within_mm"]) == ("left", "right", 4.0)
    assert "what spans them runs askew" in said(answer)


def test_take_up_by_hand():
    """240 pitches of 100 mm at 1 %: 240 mm longer, 120 mm of travel; the rest of 200 mm ends at 1.667 %."""
    answer = answered(pitches=240, take_up={"travel": "200 mm"})
    assert answer.number("take_up_used_mm") == pytest.approx(120.0)
    assert answer.number("take_up_left_mm") == pytest.approx(80.0)
    assert answer.number("take_up_ends_percent") == pytest.approx(100 * (0.01 + 160 / 24_000))
    assert "the take-up is at its end at 1.67 %, before the limit" in said(answer)
    read = answered(pitches=240, take_up={"travel": "200 mm", "used": "20 mm"})
    assert read.number("take_up_left_mm") == pytest.approx(180.0)


def test_parts_against_their_limits():
    parts = [
        {"part": "pin", "new": "19 mm", "worn": "18.2 mm", "instrument": "caliper"},
        {"part": "pin", "new": "19 mm", "worn": "18.2 mm", "instrument": "caliper", "hardening": "through hardened"},
        {"part": "plate height", "new": "60 mm", "worn": "59 mm", "instrument": "caliper"},
    ]
    answer = answered(parts=parts)
    worn = answer.table("parts").records()
    assert [round(float(row["passed"])) for row in worn] == [1, 0, 0]
    assert worn[0]["left_percent"] == pytest.approx(100 * 18.2 / 19)
    assert "parts[0]" in said(answer)
    assert "parts[1]" not in said(answer)
    alone = wear(WearForm.of({"pitch": "100 mm", "kind": "conveyor roller", "parts": parts}))
    assert alone.table("parts").rows


def test_the_pin_of_a_long_pitch_comes_first():
    assert "the pin comes first" in said(answered(pin_diameter="16 mm"))
    assert "measure pins and bushes as well" in said(answered())


def test_the_forecast_is_ready_for_a_plot():
    rows = answered().table("forecast").records()
    assert rows[0]["on"] == "2023-03-01"
    assert str(rows[-1]["on"]) > str(answered()["limit_on_middle"])
    assert all(float(row["low_percent"]) < float(row["percent"]) < float(row["high_percent"]) for row in rows)
    assert {row["limit_percent"] for row in rows} == {2.0}


def test_cautions_stand_beside_it():
    words = said(answered())
    assert "measure with the power locked out" in words
    assert "never join new chain to worn chain" in words


def test_readings_on_one_day_are_weighed_together():
    """Two readings of one day, one of them careless: the certain one counts as the last."""
    careless = taken("2025-03-01", "1018 mm", instrument="unknown")
    answer = answered(readings=[*STEADY, careless])
    assert answer.number("elongation_percent") == pytest.approx(1.0)


def test_the_early_and_late_dates_cover_what_they_say():
    """Simulated chains, truth known: few lie outside early and late, half before the middle."""
    rng = np.random.default_rng(3)
    days, limit, u = np.array([0.0, 200.0, 400.0, 600.0]), 0.02, 4e-4
    early = middle = late = 0
    runs = 400
    for _ in range(runs):
        seen = 0.001 + 0.00002 * days + rng.normal(0.0, u, len(days))
        when = reached(fit([Point(d, e, u) for d, e in zip(days, seen, strict=True)], 1), limit)
        early += when.early is not None and when.early > 950.0
        late += when.late is not None and when.late < 950.0
        middle += when.middle is not None and when.middle < 950.0
    assert early / runs < 0.05
    assert late / runs < 0.05
    assert middle / runs == pytest.approx(0.5, abs=0.1)


def test_pair_of_names_for_one_kind():
    assert wear_limits.kind_named("  Conveyor   Roller ") == "conveyor roller"
    (found,) = measured(WearForm.of({**CONVEYOR, "readings": STEADY[:1]}))
    assert found.length == pytest.approx(1002.0)


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "wear.json"
    file.write_text(json.dumps({**CONVEYOR, "colour": "red"}), encoding="utf-8")
    assert run(["duty", "wear", str(file)]) == 0
    out = capsys.readouterr().out
    assert "Elongation, reading by reading:" in out
    assert "colour means nothing here" in out
    assert run(["duty", "wear", str(file), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["schema"] == "chaincase/duty-wear-1"
    assert len(data["readings"]) == 3


def test_the_example_of_the_documents_works():
    text = (Path(__file__).parent.parent / "docs" / "duty.md").read_text(encoding="utf-8")
    shown = re.search(r"<!-- wear example -->\n```json\n(.*?)```", text, re.DOTALL)
    assert shown is not None
    form = WearForm.parse(shown[1])
    assert form.unread() == []
    assert 1.0 < wear(form).number("elongation_percent") < 1.2
