"""Five made-up conveyors worked out by hand, term by term, and held against the answer of `duty pull`."""

import math
from typing import Any

import pytest

from chaincase.duty.conveyor_answer import pull
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result

G = 9.81


def answered(data: dict[str, Any]) -> Result:
    return pull(PullForm.of(data))


def parts(answer: Result) -> dict[str, float]:
    """Add the contributions by what they are."""
    found: dict[str, float] = {}
    for row in answer.table("contributions").records():
        found[str(row["part"])] = found.get(str(row["part"]), 0.0) + float(row["force_n"])  # type: ignore[arg-type]
    return found


def test_inclined_apron_with_rollers_skirts_and_two_strands():
    """24 m up by 6 m, 60 t/h at 0.2 m/s, chain and aprons 95 kg/m; d 30, D 90, C 0.2, smooth track; motor 85 %."""
    answer = answered(
        {
            "conveyor": "apron",
            "speed": "12 m/min",
            "strands": 2,
            "chain_mass": "95 kg/m",
            "material": {"flow": "60 t/h"},
            "friction": {"journal_diameter": "30 mm", "roller_diameter": "90 mm"},
            "runs": [
                {"name": "return", "length": "24 m", "fall": "6 m"},
                {"name": "tail", "loss": 0.1},
                {
                    "name": "carry",
                    "length": "24 m",
                    "rise": "6 m",
                    "loaded": True,
                    "skirt": {"height": "200 mm", "cs": 0.03},
                },
            ],
            "sprocket": {"pitch": "200 mm", "teeth": 8},
            "efficiency": 0.85,
        }
    )
    f = 0.2 * 30 / 90 + 1 / 90
    mm = 60 / 3.6 / 0.2
    level = math.sqrt(24**2 - 6**2)
    down = G * 95 * (f * level - 6)
    assert down < 0  # the return runs down by itself
    skirt = (0.03 * (200 / 25.4) ** 2 + 6) * 4.4482216152605 / 0.3048 * 24
    head = G * (95 + mm) * (f * level + 6) + skirt
    slack = -down
    assert answer.number("pull_n") == pytest.approx(head, rel=1e-9)
    assert answer.number("slack_side_n") == pytest.approx(slack, rel=1e-9)
    assert answer.number("strand_pull_n") == pytest.approx(0.6 * head, rel=1e-9)
    assert answer.number("head_power_kw") == pytest.approx((head - slack) * 0.2 / 1000, rel=1e-9)
    assert answer.number("motor_power_kw") == pytest.approx((head - slack) * 0.2 / 850, rel=1e-9)
    assert answer.number("head_rpm") == pytest.approx(12_000 / (8 * 200))
    radius = 0.2 / math.sin(math.pi / 8) / 2
    assert answer.number("torque_nm") == pytest.approx((head - slack) * radius, rel=1e-9)
    assert answer.number("lifting_power_kw") == pytest.approx(60 / 3.6 * G * 6 / 1000, rel=1e-9)
    assert answer.number("flow_t_per_h") == pytest.approx(60.0)


def test_en_masse_conveyor_with_side_walls():
    """18 m level, cereals 45 t/h at 0.3 m/s, bed 250 mm deep, chain 22 kg/m sliding on dry steel."""
    answer = answered(
        {
            "conveyor": "en masse",
            "speed": "0.3 m/s",
            "chain_mass": "22 kg/m",
            "material": {"flow": "45 t/h"},
            "bulk": "cereals",
            "friction": "steel, dry",
            "runs": [
                {"name": "return", "length": "18 m"},
                {"name": "tail", "loss": 0.1},
                {"name": "trough", "length": "18 m", "loaded": True, "skirt": {"height": "250 mm"}},
            ],
        }
    )
    mm = 45 / 3.6 / 0.3
    back, tail = G * 22 * 0.35 * 18, 0.1 * G * 22 * 0.35 * 18
    walls = 1000 * 0.25**2 / 10 * 9.80665 * 18
    found = parts(answer)
    assert found["chain friction"] == pytest.approx(2 * back, rel=1e-9)
    assert found["turn"] == pytest.approx(tail, rel=1e-9)
    assert found["material drag"] == pytest.approx(G * mm * 0.50 * 18, rel=1e-9)
    assert found["side walls"] == pytest.approx(walls, rel=1e-9)
    assert answer.number("pull_n") == pytest.approx(2 * back + tail + G * mm * 0.50 * 18 + walls, rel=1e-9)
    assert answer.number("service_factor") == 1.7


def test_bucket_elevator_that_digs():
    """18 m, 2.8 l buckets, 4 a meter, 1.2 t/m3, 75 % full, boot wheel 500 mm, coarse; chain and buckets 40 kg/m."""
    boot = {"wheel": "500 mm", "digging": "centrifugal coarse"}
    answer = answered(
        {
            "conveyor": "bucket elevator",
            "speed": "1.1 m/s",
            "chain_mass": "40 kg/m",
            "material": {"bucket_volume": "2.8 l", "buckets_per_m": 4, "density": "1.2 t/m3", "fill": 0.75},
            "friction": 0.0,
            "takeup_force": "3 kN",
            "runs": [
                {"name": "down", "length": "18 m", "angle": -90},
                {"name": "boot", "wrap": 180, "loss": 0.05, "boot": boot},
                {"name": "up", "length": "18 m", "angle": 90, "loaded": True},
            ],
        }
    )
    mm = 2.8e-3 * 4 * 1200 * 0.75
    digging = G * mm * 0.5 * 1.0
    least = 1500.0  # half the take-up keeps the boot taut
    head = least * 1.05 + digging + G * (40 + mm) * 18
    assert answer.number("pull_n") == pytest.approx(head, rel=1e-9)
    assert answer.number("slack_side_n") == pytest.approx(least + G * 40 * 18, rel=1e-9)
    assert answer.number("lifting_power_kw") == pytest.approx(mm * 1.1 * G * 18 / 1000, rel=1e-9)
    assert answer.number("head_power_kw") == pytest.approx((head - least - G * 40 * 18) * 1.1 / 1000, rel=1e-9)
    assert any("no permission" in warning for warning in answer.warnings)
    assert any("backstop" in warning for warning in answer.warnings)


def test_roller_conveyor_with_curves_and_accumulation():
    """Pallets of 250 kg every 1.5 m, level bends of 90 and 45 degrees, the last 6 m held by a stop."""
    answer = answered(
        {
            "conveyor": "roller",
            "speed": "0.15 m/s",
            "strands": 2,
            "chain_mass": "16 kg/m",
            "material": {"unit_mass": "250 kg", "spacing": "1.5 m"},
            "friction": 0.08,
            "service_factor": 1.2,
            "runs": [
                {"name": "return", "length": "20 m"},
                {"name": "tail", "loss": 0.1},
                {"name": "in", "length": "8 m", "loaded": True},
                {"name": "bend 90", "wrap": 90, "friction": 0.15},
                {"name": "middle", "length": "6 m", "loaded": True},
                {"name": "bend 45", "wrap": 45, "friction": 0.15},
                {"name": "stop", "length": "6 m", "loaded": True, "accumulating": True, "holding_friction": 0.2},
            ],
        }
    )
    mm = 250 / 1.5
    t = G * 16 * 0.08 * 20 * 1.1
    t += G * (16 + mm) * 0.08 * 8
    t *= math.exp(0.15 * math.pi / 2)
    t += G * (16 + mm) * 0.08 * 6
    t *= math.exp(0.15 * math.pi / 4)
    t += G * (16 + mm) * 0.08 * 6 + G * mm * 0.2 * 6
    assert answer.number("pull_n") == pytest.approx(t, rel=1e-9)
    assert answer.number("design_pull_n") == pytest.approx(0.6 * t * 1.0 * 1.2, rel=1e-9)
    assert parts(answer)["accumulation"] == pytest.approx(G * mm * 0.2 * 6, rel=1e-9)
    assert answer.number("starting_pull_n") > answer.number("pull_n")


def test_declined_slat_conveyor_that_brakes():
    """15 m down by 5 m with 60 kg/m on slats of 30 kg/m, friction 0.15; the chain that hangs behind the head counts."""
    answer = answered(
        {
            "conveyor": "slat",
            "speed": "0.4 m/s",
            "chain_mass": "30 kg/m",
            "material": {"per_length": "60 kg/m"},
            "friction": 0.15,
            "slack": {"length": "1.3 m", "sag": "200 mm"},
            "runs": [
                {"name": "return", "length": "15 m", "rise": "5 m"},
                {"name": "tail", "loss": 0.1},
                {"name": "carry", "length": "15 m", "fall": "5 m", "loaded": True},
            ],
        }
    )
    level = math.sqrt(15**2 - 5**2)
    c = (0.65**2 - 0.2**2) / 0.4
    hanging = 30 * G * (c + 0.2)
    assert answer.number("hanging_n") == pytest.approx(hanging, rel=1e-9)
    top = (hanging + G * 30 * (0.15 * level + 5)) * 1.1
    head = top + G * 90 * (0.15 * level - 5)
    if head < 0:
        pytest.fail("the example should keep the chain taut")
    assert answer.number("head_pull_n") == pytest.approx(head, rel=1e-9)
    assert answer.number("pull_n") == pytest.approx(top, rel=1e-9)
    effective = head - hanging
    assert answer.number("effective_pull_n") == pytest.approx(effective, rel=1e-9)
    power = max(-effective, 0.0) * 0.4 / 1000
    assert answer.number("braking_power_kw") == pytest.approx(power, abs=1e-9)
    assert effective < 0


def test_chain_that_hangs_by_a_tension():
    """Span 2 m and 500 N: the sag is that of the parabola, and the length follows."""
    base = {"speed": "0.2 m/s", "chain_mass": "20 kg/m", "friction": 0.2, "runs": [{"length": "10 m"}, {"loss": 0.1}]}
    answer = answered({**base, "slack": {"span": "2 m", "tension": "500 N"}})
    weight = 20 * G * 2
    sag = weight * 2 / 8 / math.sqrt(500**2 - (weight / 2) ** 2)
    assert answer.number("hanging_sag_mm") == pytest.approx(1000 * sag, rel=1e-9)
    assert answer.number("hanging_n") == pytest.approx(500.0, rel=1e-9)
