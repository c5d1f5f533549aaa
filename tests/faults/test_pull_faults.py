"""Bad conveyors and drives through the real command and the functions: one clear message, exit code 2, no traceback."""

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from chaincase.cli.main import run
from chaincase.duty import beam, carrying, factors, friction, pressure, pull, rating, rating_tables
from chaincase.duty.pull import Straight, Turn
from chaincase.errors import BadInput

PULL: dict[str, Any] = {
    "speed": "0.25 m/s",
    "chain_mass": "20 kg/m",
    "friction": 0.2,
    "runs": [{"length": "10 m"}, {"loss": 0.1}, {"length": "10 m"}],
}
DRIVE: dict[str, Any] = {"power": "10 kW", "rpm": 900, "teeth": 21}
LOADED = [{"length": "10 m", "loaded": True}]


def refused(capsys: pytest.CaptureFixture[str], folder: Path, command: str, data: object) -> str:
    file = folder / "form.json"
    file.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    assert run(["duty", command, str(file)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.startswith(f"chaincase: {file}: ")
    assert "Traceback" not in err
    return err


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"chain_mass": "-3 kg/m"}, "chain_mass: character 1: '-3 kg/m' is negative"),
        ({"chain_mass": 20}, "has no unit"),
        ({"chain_mass": "20 kg"}, "has 'kg', a unit of mass"),
        ({"speed": "0 m/s"}, "speed: speed is 0; speed must be greater than zero"),
        ({"speed": "fast"}, "speed"),
        ({"speed": True}, "speed"),
        ({"strands": 0}, "strands: strands is 0"),
        ({"strands": 1.5}, "strands"),
        ({"friction": -0.1}, "friction: friction is -0.1"),
        ({"friction": float("nan")}, "NaN is not a number"),
        ({"friction": "stel, dry"}, "did you mean 'steel, dry'"),
        ({"friction": {"journal_diameter": "80 mm", "roller_diameter": "70 mm"}}, "roller is not larger"),
        ({"friction": {"roller_diameter": "70 mm"}}, "friction.journal_diameter: is missing"),
        ({"friction": None}, "runs[0] has no friction"),
        ({"runs": []}, "runs"),
        ({"runs": "none"}, "runs"),
        ({"runs": [{}]}, "runs[0]: the run has no length and no wrap"),
        ({"runs": [{"length": "3 m", "wrap": 90}]}, "straight and a turn at once"),
        ({"runs": [{"length": "3 m", "angle": 200}]}, "runs[0].angle: angle is 200; angle must be from -90 to 90"),
        ({"runs": [{"length": "3 m", "angle": "steep"}]}, "runs[0].angle: 'steep' is not an angle"),
        ({"runs": [{"length": "3 m", "rise": "4 m"}]}, "more than the length"),
        ({"runs": [{"length": "3 m", "rise": "1 m", "fall": "1 m"}]}, "one of angle, rise and fall"),
        ({"runs": [{"wrap": 90, "rise": "1 m"}]}, "one of angle, rise and fall, of a straight run"),
        ({"runs": [{"wrap": 90, "friction": "steel, dry"}]}, "friction of a turn"),
        ({"runs": [{"wrap": 1000}]}, "wrap must be from 0 to 720"),
        ({"runs": LOADED}, "there is no material"),
        ({"runs": LOADED, "material": {}}, "material: the mass of material is not given"),
        ({"runs": LOADED, "material": {"flow": "1 t/h", "per_length": "1 kg/m"}}, "given twice"),
        ({"runs": LOADED, "material": {"flow": "1 t/h"}, "conveyor": "drag"}, "runs[0] has no material friction"),
        ({"runs": [{"length": "3 m", "skirt": {"height": "1 m"}}]}, "runs[0] has no skirt factor"),
        ({"runs": [{"length": "3 m", "accumulating": True}]}, "runs[0] has no holding friction"),
        ({"bulk": "gravel"}, "'gravel' is not a bulk material"),
        ({"bulk": 5}, "bulk: bulk is 5; write it as text"),
        ({"bulk": ["coal"]}, "bulk: bulk is ['coal']"),
        ({"conveyor": "rocket"}, "conveyor"),
        ({"sprocket": {"pitch": "100 mm", "teeth": 3}}, "sprocket.teeth: teeth is 3"),
        ({"efficiency": 0}, "efficiency"),
        ({"start_factor": 0.5}, "start factor must be from 1 to 10"),
        ({"chain": {"designation": "no such chain"}}, "chain: no chain is named"),
        ({"schema": "other/1"}, "schema"),
    ],
)
def test_bad_conveyor(changes: dict[str, Any], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, tmp_path, "pull", {**PULL, **changes})


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"power": "0 kW"}, "power is 0"),
        ({"power": "-3 kW"}, "is negative"),
        ({"power": 10}, "has no unit"),
        ({"rpm": 0}, "must be greater than zero"),
        ({"rpm": "quick"}, "'quick' is not a speed of rotation"),
        ({"teeth": 3}, "teeth must be a whole number from 6 to 250"),
        ({"teeth": 17.5}, "teeth"),
        ({"large_teeth": 11}, "large_teeth is less than teeth"),
        ({"strands": 7}, "no strand factor for 7"),
        ({"driven": "bumpy"}, "driven"),
        ({"hours": -1}, "hours"),
        ({"kind": "offset sidebar"}, "needs the chain's working load and pitch"),
        ({"rating": "5 kW"}, "a rating is given but no chain"),
        ({"chain": {"designation": "no such chain"}}, "no chain is named 'no such chain'"),
        ({"service_factor": 0}, "factor"),
    ],
)
def test_bad_drive(changes: dict[str, Any], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    assert says in refused(capsys, tmp_path, "drive", {**DRIVE, **changes})


def test_every_fault_of_a_file_is_told_at_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    data = {**PULL, "speed": "0 m/s", "chain_mass": "x", "runs": [{"length": "3"}, {"length": "3 m", "angle": 91}]}
    message = refused(capsys, tmp_path, "pull", data)
    for place in ("speed:", "chain_mass:", "runs[0].length:", "runs[1].angle:"):
        assert place in message
    assert "at least 1 item" not in message


@pytest.mark.parametrize("text", ["", "{", "[]", "[" * 100_000, '{"speed": NaN}', '{"speed": 1e400}', "9" * 5000])
def test_what_is_not_a_form(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    refused(capsys, tmp_path, "pull", text)
    assert run(["duty", "pull", str(tmp_path / "none.json")]) == 2


NONSENSE = [math.nan, math.inf, -1.0]


@pytest.mark.parametrize("value", NONSENSE)
@pytest.mark.parametrize("name", ["length", "chain", "carried", "dragged", "held", "friction", "wall", "extra"])
def test_impossible_runs(name: str, value: float):
    with pytest.raises(BadInput, match=name):
        Straight(**{"length": 1.0, name: value})
    with pytest.raises(BadInput, match=name):
        Straight(**{"length": 1.0, name: np.array([1.0, value])})


def test_impossible_turns_and_angles():
    for wrong in ({"wrap": 721.0}, {"friction": -0.1}, {"loss": math.nan}, {"extra": -5.0}):
        with pytest.raises(BadInput):
            Turn(**wrong)
    with pytest.raises(BadInput, match="angle is 200 degrees; it must be from -90 to 90 degrees"):
        Straight(1.0, 200.0)
    with pytest.raises(BadInput, match="no runs"):
        pull.tensions([])
    with pytest.raises(BadInput):
        pull.tensions([Turn()], least=-1.0)


CALLS: list[Callable[[float], object]] = [
    lambda x: carrying.material_mass(x, 1.0),
    lambda x: carrying.material_flow(x, 1.0, 1.0),
    lambda x: carrying.bucket_mass(x, 1.0, 1.0),
    lambda x: carrying.lifting_power(1.0, x),
    lambda x: carrying.boot_pull(x, 1.0, "continuous"),
    lambda x: carrying.boot_pull(1.0, 1.0, x),
    lambda x: carrying.skirt_drag(x, 0.1),
    lambda x: carrying.wall_drag(x, 1.0),
    lambda x: carrying.hanging_tension(1.0, 1000.0, x),
    lambda x: carrying.hanging_sag(1.0, 1000.0, x),
    lambda x: carrying.catenary(100.0, x),
    lambda x: friction.rolling(x, 70.0),
    factors.speed_factor,
    factors.required_strength,
    factors.strand_share,
    lambda x: pressure.bearing_pressure(x, 1.0, 1.0),
    lambda x: pressure.factor_of_safety(1.0, x),
    lambda x: beam.bending(x, 1.0, beam.Section.flat(1.0, 1.0), "cantilever, end"),
    lambda x: beam.Section.flat(x, 1.0),
    rating.tooth_factor,
    rating.required_rating,
    lambda x: rating.plate_fatigue(80, 17, x),
    lambda x: rating.roller_impact(80, x, 100.0),
    lambda x: rating.for_life(1.0, x),
    lambda x: rating.tension(1.0, x),
    rating.least_tensile,
    lambda x: rating_tables.no25_power(x, 100.0),
    lambda x: rating_tables.offset_speed_factor(12, x),
    lambda x: rating_tables.offset_power(1.0, 100.0, 12, x),
]


@pytest.mark.parametrize("value", NONSENSE)
@pytest.mark.parametrize("call", CALLS)
def test_nonsense_is_refused_by_every_formula(call: Callable[[float], object], value: float):
    with pytest.raises(BadInput):
        call(value)


def test_words_and_places_outside_the_tables():
    for call in (
        lambda: rating.application_factor("bumpy", "smooth"),
        lambda: rating.strand_factor(7),
        lambda: rating.by_equation(45, 17, 100),
        lambda: rating_tables.no25_power(29, 100),
        lambda: rating_tables.no25_power(17, 5000),
        lambda: rating_tables.offset_speed_factor(6, 2.5),
        lambda: rating_tables.offset_speed_factor(25, 0.5),
        lambda: carrying.boot_pull(1.0, 1.0, "thrown"),
        lambda: carrying.hanging_sag(10.0, 10_000.0, 1.0),
        lambda: carrying.catenary(100.0, 60.0),
        lambda: friction.on_track("ice on ice"),
        lambda: friction.rolling(10.0, 30.0, track="gravel"),
        lambda: beam.bending(1.0, 1.0, beam.Section.flat(1.0, 1.0), "arch"),
    ):
        with pytest.raises(BadInput):
            call()
