"""The answer about a conveyor: values, breakdown, limits and cautions of hand-made conveyors (all invented)."""

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from chaincase.cli.main import run
from chaincase.duty import amounts
from chaincase.duty.conveyor_answer import pull
from chaincase.duty.pull import Straight
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result

APRON: dict[str, Any] = {
    "schema": "chaincase/pull-1",
    "name": "apron 3",
    "conveyor": "apron",
    "speed": "15 m/min",
    "strands": 2,
    "chain_mass": "48 kg/m",
    "material": {"flow": "80 t/h"},
    "friction": {"journal_diameter": "25 mm", "roller_diameter": "70 mm"},
    "runs": [
        {"name": "return", "length": "30 m"},
        {"name": "tail", "loss": 0.1},
        {"name": "carry", "length": "30 m", "loaded": True},
    ],
    "efficiency": 0.85,
}
INCLINE = [
    {"name": "return", "length": "30 m", "fall": "9 m"},
    {"name": "tail", "loss": 0.1},
    {"name": "carry", "length": "30 m", "rise": "9 m", "loaded": True},
]
ELEVATOR = {
    "conveyor": "bucket elevator",
    "speed": "0.5 m/s",
    "chain_mass": "30 kg/m",
    "material": {"bucket_volume": "2 l", "buckets_per_m": 3, "density": "750 kg/m3"},
    "friction": 0.0,
    "runs": [
        {"name": "down", "length": "15 m", "angle": -90},
        {"name": "boot", "wrap": 180, "loss": 0.05, "boot": {"wheel": "600 mm", "digging": "continuous"}},
        {"name": "up", "length": "15 m", "angle": 90, "loaded": True},
    ],
}


def answered(base: dict[str, Any], **changes: Any) -> Result:
    return pull(PullForm.of({**base, **changes}))


def said(result: Result) -> str:
    return "\n".join((*result.steps, *result.assumptions, *result.warnings, *result.sources))


def test_level_apron_by_hand():
    """f = 0.2 x 25/70 + 1/70; mm = 80/(3.6 x 0.25); F = g f L (mm + 2.1 mc); P = F v."""
    answer = answered(APRON)
    f = 0.2 * 25 / 70 + 1 / 70
    expected = 9.81 * f * 30 * (80 / 3.6 / 0.25 + 2.1 * 48)
    assert answer.number("pull_n") == pytest.approx(expected, rel=1e-9)
    assert answer.number("strand_pull_n") == pytest.approx(0.6 * expected, rel=1e-9)
    assert answer.number("head_power_kw") == pytest.approx(expected * 0.25 / 1000, rel=1e-9)
    assert answer.number("motor_power_kw") == pytest.approx(expected * 0.25 / 850, rel=1e-9)
    assert answer.number("design_pull_n") == pytest.approx(0.6 * expected * 1.0 * 1.6, rel=1e-9)
    assert answer.number("tensile_needed_n") == pytest.approx(0.6 * expected * 1.6 * 7, rel=1e-9)
    assert answer.number("starting_pull_n") > answer.number("pull_n")
    assert "not said whether people come near" in said(answer)


def test_contributions_are_ready_for_a_chart():
    answer = answered(APRON, runs=INCLINE)
    rows = answer.table("contributions").records()
    assert sum(float(row["force_n"]) for row in rows) == pytest.approx(answer.number("effective_pull_n"))
    assert {row["part"] for row in rows} == {"chain friction", "load friction", "chain lift", "load lift"}
    assert rows[0]["name"] == "return"
    assert float(rows[0]["strand_force_n"]) == pytest.approx(0.6 * float(rows[0]["force_n"]))
    assert len(answer.table("tensions").rows) == 4


def test_chain_that_runs_down_by_itself_is_counted_as_nothing_and_told():
    answer = answered(APRON, runs=INCLINE)
    f, level = 0.2 * 25 / 70 + 1 / 70, math.sqrt(900 - 81)
    down = 9.81 * 48 * (9 - f * level)
    assert answer.number("held_back_n") == pytest.approx(down, rel=1e-9)
    assert answer.number("slack_side_n") == pytest.approx(down, rel=1e-9)
    assert answer.number("head_pull_n") == pytest.approx(9.81 * (48 + 80 / 0.9) * (f * level + 9), rel=1e-9)
    assert "counts 0 there" in said(answer)


def test_elevator_and_its_dangers():
    answer = answered(ELEVATOR)
    boot = 9.81 * 4.5 * 0.6 * 0.5
    assert answer.number("head_pull_n") == pytest.approx(9.81 * 34.5 * 15 + boot, rel=1e-9)
    assert answer.number("head_power_kw") == pytest.approx((9.81 * 4.5 * 15 + boot) * 0.5 / 1000, rel=1e-9)
    assert answer.number("service_factor") == 2.0
    for word in ("backstop", "hoist", "licensed engineer", "lock and tag", "guard", "not a rating"):
        assert word in said(answer)


def test_loaded_decline_brakes():
    runs = [
        {"name": "return", "length": "40 m", "rise": "15 m"},
        {"name": "tail", "loss": 0.05},
        {"name": "carry", "length": "40 m", "fall": "15 m", "loaded": True},
    ]
    answer = answered(APRON, runs=runs)
    assert answer.number("effective_pull_n") < 0
    assert answer.number("head_power_kw") == 0.0
    assert answer.number("braking_power_kw") == pytest.approx(-answer.number("effective_pull_n") * 0.25 / 1000)
    assert answer.number("pull_n") >= answer.number("slack_side_n") > answer.number("head_pull_n")
    assert "brake must hold it without power" in said(answer)
    assert f"without any friction {9.81 * 80 / 0.9 * 15:.0f} N" in said(answer)


def test_drag_conveyor_with_a_material_of_the_table():
    """Coal: 0.60 on the trough, walls 1000 h2/9 kgf/m (public engineering table C)."""
    answer = answered(
        APRON,
        conveyor="drag",
        strands=1,
        friction="steel, dry",
        bulk="coal",
        material={"per_length": "60 kg/m"},
        runs=[{"length": "20 m"}, {"loss": 0.1}, {"length": "20 m", "loaded": True, "skirt": {"height": "200 mm"}}],
    )
    walls = 1000 * 0.04 / 9 * 9.80665 * 20
    assert answer.number("pull_n") == pytest.approx(9.81 * 20 * (2.1 * 48 * 0.35 + 60 * 0.6) + walls, rel=1e-9)
    assert answer.number("service_factor") == 1.7


def test_accumulation_take_up_and_hanging_chain():
    base = answered(APRON).number("pull_n")
    runs = [*APRON["runs"][:2], {**APRON["runs"][2], "accumulating": True, "holding_friction": 0.25}]
    held = answered(APRON, runs=runs).number("pull_n")
    assert held - base == pytest.approx(9.81 * 80 / 0.9 * 0.25 * 30, rel=1e-9)
    taut = answered(APRON, takeup_force="4 kN").number("pull_n")
    assert taut - base == pytest.approx(2000 * 1.1, rel=1e-9)
    slack = answered(APRON, slack={"span": "2 m", "sag": "100 mm"}).number("pull_n")
    end = math.hypot(48 * 9.81 * 4 / 0.8, 48 * 9.81)
    assert slack - base == pytest.approx(end * 1.1, rel=1e-9)


def test_a_chain_of_the_tables_is_held_against_the_duty():
    answer = answered(APRON, chain={"designation": "M112x160", "allowed_pressure": "5 N/mm2"})
    pull_of_one = answer.number("strand_pull_n")
    assert answer["chain"] == "M112x160"
    assert answer.number("bearing_pressure_n_per_mm2") == pytest.approx(pull_of_one / (15 * 45), rel=1e-9)
    assert answer.number("tensile_margin") == pytest.approx(112_000 / answer.number("tensile_needed_n"), rel=1e-9)
    weak = answered(
        APRON, chain={"tensile": "5 kN", "working_load": "1 kN", "pin_diameter": "8 mm", "bush_length": "10 mm"}
    )
    for words in ("does not carry the duty", "below what service", "in service at most 17 %", "permanent damage"):
        assert words in said(weak)


def test_head_sprocket_and_polygon_effect():
    answer = answered(APRON, sprocket={"pitch": "160 mm", "teeth": 6}, motor="5.5 kW")
    radius = 80 / math.sin(math.pi / 6) / 1000
    assert answer.number("torque_nm") == pytest.approx(answer.number("effective_pull_n") * radius, rel=1e-9)
    assert answer.number("head_rpm") == pytest.approx(15 / (0.160 * 6), rel=1e-9)
    assert answer.number("motor_pull_n") == pytest.approx(5500 * 0.85 / 0.25, rel=1e-9)
    assert "swings by" in said(answer)
    # At the limit it names, the polygon effect takes the whole pull.
    share = (answer.number("polygon_speed_m_per_s") / 0.25) ** 2
    assert answer.number("polygon_force_n") * share == pytest.approx(answer.number("effective_pull_n"), rel=1e-9)


def test_attachment_as_a_beam():
    attachment = {
        "load": "500 N",
        "length": "80 mm",
        "width": "60 mm",
        "thickness": "10 mm",
        "allowed_stress": "30 N/mm2",
    }
    answer = answered(APRON, attachment=attachment)
    assert answer.number("attachment_stress_n_per_mm2") == pytest.approx(40.0)
    assert "above the 30 N/mm2 allowed" in said(answer)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"speed": "90 m/min"}, "faster than the 60 m/min"),
        ({"speed": "2.1 m/s"}, "ends at 400 ft/min"),
        ({"conveyor": "other"}, "no service factor given"),
        ({"friction": {"journal_diameter": "40 mm", "roller_diameter": "70 mm"}}, "less than 2.5 times"),
        ({"slack": {"span": "2 m", "sag": "20 mm"}}, "less than 3 %"),
        ({"slack": {"span": "2 m", "sag": "400 mm"}}, "more than a tenth"),
        ({"runs": [{"length": "10 m"}]}, "no turn"),
        ({"runs": [{"length": "10 m", "rise": "1 m"}, {"loss": 0.1}]}, "closed loop"),
        (
            {"runs": [{"length": "9 m", "angle": 20, "loaded": True, "accumulating": True, "holding_friction": 0.2}]},
            "slide back",
        ),
    ],
)
def test_limits_are_told(changes: dict[str, Any], words: str):
    assert words not in said(answered(APRON))
    assert words in said(answered(APRON, **changes))


def test_material_can_be_said_in_four_ways():
    ways: list[dict[str, Any]] = [
        {"per_length": "4.5 kg/m"},
        {"flow": "4.05 t/h"},
        {"unit_mass": "9 kg", "spacing": "2 m"},
        {"bucket_volume": "2 l", "buckets_per_m": 3, "density": "750 kg/m3"},
    ]
    found = [PullForm.of({**APRON, "material": way}).material_mass() for way in ways]
    assert found == pytest.approx([4.5] * 4, rel=1e-9)


def test_units_of_a_duty_mean_what_they_say():
    """International yard and pound; hp 550 ft lbf/s."""
    assert amounts.linear_mass("1 lb/ft") == pytest.approx(0.45359237 / 0.3048, rel=1e-12)
    assert amounts.flow_kg_per_s("1 lb/h") == pytest.approx(0.45359237 / 3600, rel=1e-12)
    assert amounts.flow_kg_per_s("1 short ton/h") == pytest.approx(907.18474 / 3600, rel=1e-12)
    assert amounts.power_w("1 hp") == pytest.approx(550 * 0.3048 * 4.4482216152605, rel=1e-12)
    assert amounts.stress_n_per_mm2("1 psi") == pytest.approx(4.4482216152605 / 25.4**2, rel=1e-12)
    assert amounts.density_kg_per_m3("1 lb/ft3") == pytest.approx(0.45359237 / 0.3048**3, rel=1e-12)
    assert amounts.volume_l("1 in3") == pytest.approx(0.0254**3 * 1000, rel=1e-12)
    assert amounts.angle_deg("-12.5°") == -12.5


def test_a_slope_can_be_said_as_angle_rise_or_fall():
    runs = [
        {"length": "10 m", "angle": "-30 deg"},
        {"length": "10 m", "fall": "5 m"},
        {"length": "10 m", "rise": "5 m"},
    ]
    path = PullForm.of({**APRON, "runs": runs}).path()
    assert [run.angle for run in path if isinstance(run, Straight)] == pytest.approx([-30, -30, 30])


def test_command_answers_machine_and_person(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "pull.json"
    file.write_text(json.dumps({**APRON, "colour": "red"}), encoding="utf-8")
    assert run(["duty", "pull", str(file), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["schema"] == "chaincase/duty-pull-answer-1"
    assert {"pull_n", "contributions", "tensions", "steps", "assumptions", "warnings", "sources"} <= set(answer)
    assert any("colour" in warning for warning in answer["warnings"])
    assert run(["duty", "pull", str(file)]) == 0
    out = capsys.readouterr().out
    assert "largest pull, all strands" in out.lower()
    assert "licensed engineer" in " ".join(out.split())


def test_the_example_of_the_documents_works():
    text = (Path(__file__).parent.parent / "docs" / "duty.md").read_text(encoding="utf-8")
    shown = re.search(r"<!-- pull example -->\n```json\n(.*?)```", text, re.DOTALL)
    assert shown is not None
    form = PullForm.parse(shown[1])
    assert form.unread() == []
    assert pull(form).number("tensile_margin") > 0
