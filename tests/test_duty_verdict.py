"""Verdicts on candidates: fits, carries, lasts, what they hinge on, and who is told to decide. All machines made up."""

import dataclasses
import json
import math
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from builders import catalog as made_up
from chaincase.catalog.table import Catalog
from chaincase.cli.main import run
from chaincase.duty import verdict_carry
from chaincase.duty.candidate import of_row
from chaincase.duty.conveyor_answer import pull
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.verdict import answer, verdict
from chaincase.duty.verdict_form import VerdictForm

TABLES = Catalog.standard()
APRON: dict[str, Any] = {
    "conveyor": "apron",
    "speed": "15 m/min",
    "strands": 2,
    "chain_mass": "48 kg/m",
    "material": {"flow": "40 t/h"},
    "friction": {"journal_diameter": "25 mm", "roller_diameter": "70 mm"},
    "runs": [
        {"name": "return", "length": "12 m"},
        {"name": "tail", "loss": 0.1},
        {"name": "carry", "length": "12 m", "loaded": True},
    ],
    "chain": {"designation": "M112x160 flanged roller"},
}
ELEVATOR: dict[str, Any] = {
    "conveyor": "bucket elevator",
    "speed": "0.5 m/s",
    "chain_mass": "30 kg/m",
    "material": {"bucket_volume": "2 l", "buckets_per_m": 3, "density": "750 kg/m3"},
    "friction": 0.0,
    "runs": [
        {"name": "down", "length": "15 m", "angle": -90},
        {"name": "boot", "wrap": 180, "loss": 0.05, "boot": {"wheel": "600 mm"}},
        {"name": "up", "length": "15 m", "angle": 90, "loaded": True},
    ],
}
WORN: dict[str, Any] = {
    "pitch": "160 mm",
    "kind": "conveyor flanged",
    "readings": [
        {"on": f"{year}-03-01", "length": f"{length} mm", "over": 10, "instrument": "caliper"}
        for year, length in ((2023, 1604), (2024, 1609), (2025, 1614))
    ],
}


def judged(candidate: str, **more: Any) -> Result:
    return answer(VerdictForm.of({"candidate": candidate, **more}), TABLES)


def test_the_same_chain_is_a_yes_with_margins():
    result = judged(
        "M112x160 flanged roller", sprockets=[{"chain": "M112x160 flanged roller", "teeth": 8}], pull=APRON, wear=WORN
    )
    assert (result["fits"], result["carries"], result["lasts"], result["verdict"]) == ("yes",) * 4
    assert result.number("lasts_margin") == pytest.approx(1.0)
    assert result.number("fits_margin") >= 1.0
    detail = pull(PullForm.of(APRON))
    tensile = float(TABLES.tensile_kn[TABLES.row("M112x160 flanged roller")]) * 1000.0
    half = 0.5 * tensile / detail.number("starting_strand_pull_n")
    needed = tensile / detail.number("tensile_needed_n")
    assert result.number("carries_margin") == pytest.approx(min(half, needed))


@pytest.mark.parametrize(
    ("candidate", "cut_for", "fits"),
    [
        ("16B-1", "16B-1", "yes"),
        ("16A-1", "16B-1", "no"),
        ("16B-1", "16A-1", "no"),
        ("12B-1", "16B-1", "no"),
        ("M112x160", "M112x160 flanged roller", "no"),
        ("08B-1", "08A-1", "no"),
        ("16B-2", "16B-1", "no"),
    ],
)
def test_fits_by_the_chain_that_the_wheels_are_cut_for(candidate: str, cut_for: str, fits: str):
    result = judged(candidate, sprockets=[{"chain": cut_for, "teeth": 19}])
    assert result["fits"] == fits
    if fits == "no" and "fits_margin" in result:
        assert result.number("fits_margin") < 1.01
    assert result["carries"] == "cannot be told"


def test_fits_by_readings_of_the_wheel():
    wheel = {
        "teeth": 17,
        "readings": [
            {"dimension": "outside_diameter", "value": "5.95 in", "instrument": "caliper"},
            {"dimension": "caliper_diameter", "value": "4.78 in", "instrument": "caliper"},
        ],
        "marks": ["80B17"],
    }
    good, bad = judged("16A-1", sprockets=[wheel]), judged("20A-1", sprockets=[wheel])
    assert (good["fits"], bad["fits"]) == ("yes", "no")
    assert "without it" in str(good["fits_hinges_on"]) or "no one reading" in str(good["fits_hinges_on"])
    checks = [row for row in good.table("checks").records() if "probability" in str(row["check"])]
    assert float(checks[0]["has"]) > 0.9


def test_fits_by_pitch_and_roller_of_the_wheel():
    wheel = {"pitch": "1 in", "teeth": 17, "roller": "15.88 mm", "inner_width": "15.75 mm"}
    assert judged("16A-1", sprockets=[wheel])["fits"] == "yes"
    assert judged("20A-1", sprockets=[wheel])["fits"] == "no"
    assert judged("16A-1", sprockets=[{"pitch": "1 in", "teeth": 17}])["fits"] == "cannot be told"


def test_the_worst_wheel_decides():
    wheels = [{"chain": "16B-1", "teeth": 17}, {"chain": "12B-1", "teeth": 25}]
    assert judged("16B-1", sprockets=wheels)["fits"] == "no"


def test_leaf_chain_has_no_sprockets():
    leaf = next(name for name, kind in zip(TABLES.designations, TABLES.kind, strict=True) if kind == _leaf())
    result = judged(leaf, sprockets=[{"chain": "16B-1", "teeth": 17}])
    assert result["fits"] == "cannot be told"


def _leaf() -> int:
    from chaincase.chains.kinds import INDEX

    return INDEX["leaf"]


def test_more_load_turns_carries():
    answers = [
        judged("M112x160 flanged roller", pull={**APRON, "material": {"flow": flow}})["carries"]
        for flow in ("20 t/h", "4000 t/h")
    ]
    assert answers == ["yes", "no"]


def test_a_margin_that_one_assumption_turns_is_with_limits():
    flows = [f"{flow} t/h" for flow in range(50, 1000, 50)]
    results = [judged("M112x160 flanged roller", pull={**APRON, "material": {"flow": flow}}) for flow in flows]
    said = [result["carries"] for result in results]
    assert said == sorted(said, key=["yes", "with limits", "no"].index)
    middle = results[said.index("with limits")]
    assert middle.number("carries_margin") >= 1.0
    assert "it alone turns the answer" in str(middle["carries_hinges_on"]) or "off alone" in str(middle.values)


def test_sensitivity_is_what_the_scalar_sum_gives():
    """Friction and material at the ends of their range, worked out again one by one; 1e-9."""
    result = judged("M112x160 flanged roller", pull=APRON)
    rows = {
        str(row["assumption"]): row for row in result.table("sensitivity").records() if row["question"] == "carries"
    }
    tensile = float(TABLES.tensile_kn[TABLES.row("M112x160 flanged roller")]) * 1000.0

    def margin(**changes: Any) -> float:
        detail = pull(PullForm.of({**APRON, "chain": {}, **changes}))
        half = 0.5 * tensile / detail.number("starting_strand_pull_n")
        return min(tensile / detail.number("tensile_needed_n"), half)

    load = rows["mass of material"]
    for end in ("from", "to"):
        flow = f"{40 * float(load[end]):.12g} t/h"
        assert float(load[f"margin_{end}"]) == pytest.approx(margin(material={"flow": flow}), rel=1e-9)
    friction = rows["friction"]
    base = 0.2 * 25 / 70 + 1 / 70
    for end in ("from", "to"):
        by = float(friction[end])
        runs = [dict(run) for run in APRON["runs"]]
        runs[1]["loss"] = 0.1 * by
        expected = margin(friction=base * by, runs=runs)
        assert float(friction[f"margin_{end}"]) == pytest.approx(expected, rel=1e-9)


def test_the_strongest_assumption_stands_first():
    rows = judged("M112x160 flanged roller", pull=APRON).table("sensitivity").records()
    sizes = [abs(float(row["margin_to"]) - float(row["margin_from"])) for row in rows if row["question"] == "carries"]
    assert sizes == sorted(sizes, reverse=True)


def test_the_candidate_brings_its_own_mass():
    masses = {"M224x160": 9.5, "M112x160": 5.0}
    new, old = (dataclasses.replace(of_row(TABLES, TABLES.row(name)), mass=kg) for name, kg in masses.items())
    form, words = verdict_carry.with_chain(PullForm.of(APRON), new, old)
    assert form.chain_mass == pytest.approx(48.0 + 2 * 4.5)
    assert "slats and attachments as before" in words


def test_lasts_by_hand():
    """Archard: time to one elongation goes with bush length times pitch over pull; pressure with pin times bush."""
    result = judged("16B-1", drive={"power": "5 kW", "rpm": 300, "teeth": 17, "chain": {"designation": "16A-1"}})
    rows = [row for row in result.table("checks").records() if row["question"] == "lasts"]
    new, old = (of_row(TABLES, TABLES.row(name)) for name in ("16B-1", "16A-1"))
    assert float(rows[0]["margin"]) == pytest.approx((new.pin * new.bush) / (old.pin * old.bush))
    assert float(rows[1]["margin"]) == pytest.approx(new.bush / old.bush)
    assert result["lasts"] == "yes"
    assert "Archard" in " ".join(result.assumptions)


def test_an_unknown_old_chain_leaves_lasts_open():
    apron = {key: value for key, value in APRON.items() if key != "chain"}
    result = judged("M112x160 flanged roller", pull=apron)
    assert result["lasts"] == "cannot be told"
    assert result["verdict"] == "cannot be told"
    assert any("not a yes" in warning for warning in result.warnings)
    limited = judged("M112x160 flanged roller", pull=apron, allowed_pressure="25 N/mm2")
    assert limited["lasts"] == "yes"
    assert judged("M112x160 flanged roller", pull=apron, allowed_pressure="0.5 N/mm2")["lasts"] == "no"


def test_years_wanted_against_the_wear_of_the_old_chain():
    """The old chain lost 0.3125 % a year: 2 % last 6.4 years."""
    short, long = (judged("M112x160 flanged roller", pull=APRON, wear=WORN, years=years) for years in (5, 8))
    assert (short["lasts"], long["lasts"]) == ("yes", "no")
    assert long.number("lasts_margin") == pytest.approx(6.4 / 8, rel=0.01)


def test_readings_without_a_sure_rate_compare_no_life():
    falling = {
        **WORN,
        "readings": list(reversed([{**r, "on": f"20{31 - i}-01-01"} for i, r in enumerate(WORN["readings"])])),
    }
    result = judged("M112x160 flanged roller", pull=APRON, wear=falling, years=5)
    assert any("no life is compared" in warning for warning in result.warnings)


def test_a_drive_without_a_rating_is_not_a_yes():
    drive = {"power": "5 kW", "rpm": 300, "teeth": 17, "chain": {"designation": "16B-1"}}
    assert judged("16B-1", drive=drive)["carries"] == "cannot be told"
    rated = judged("16B-1", drive={**drive, "rating": "20 kW"})
    assert rated["carries"] in {"yes", "with limits"}
    assert judged("16B-1", drive={**drive, "rating": "2 kW"})["carries"] == "no"


def test_a_rating_beyond_its_crest_goes_by_the_other_tooth_factor():
    """Solutions manual to Mechanical Engineering Design, prob. 17-26: K1 = (21/17)^1.5, printed 1.37."""
    drive = {"power": "5 kW", "rpm": 2000, "teeth": 21, "chain": {"designation": "08A-1"}, "rating": "5 kW"}
    both = [
        judged("08A-1", drive={**drive, "rating_teeth": 17, "rating_limit": side}).table("checks").records()[0]
        for side in ("plates", "impact")
    ]
    assert float(both[1]["has"]) == pytest.approx(5.0 * (21 / 17) ** 1.5)
    assert float(both[0]["has"]) == pytest.approx(5.0 * (21 / 17) ** 1.08)


@pytest.mark.parametrize(
    ("duty", "says"),
    [
        (ELEVATOR, "when the chain of an elevator parts"),
        (ELEVATOR, "backstop"),
        ({**APRON, "people_near": True}, "a chain that fails there can kill"),
        (APRON, "a licensed engineer"),
    ],
)
def test_where_a_failure_hurts_people(duty: dict[str, Any], says: str):
    assert says in " ".join(judged("M112x160 flanged roller", pull=duty).warnings)


def test_nobody_near_takes_only_that_caution_away():
    words = " ".join(judged("M112x160 flanged roller", pull={**APRON, "people_near": False}).warnings)
    assert "can kill" not in words
    assert "lock and tag" in words


def test_user_catalogs_take_part():
    sizes = {
        "pitch": 100.0,
        "roller_diameter": 48.0,
        "inner_width": 32.0,
        "pin_diameter": 15.0,
        "inner_link_width": 45.0,
    }
    mine = made_up(("OUR 100", "conveyor roller", sizes), ("OLD 100", "conveyor roller", sizes))
    both = TABLES + mine
    wheels = (SprocketForm.of({"chain": "OLD 100", "teeth": 10}),)
    result = verdict(
        both.row("OUR 100"), wheels, PullForm.of({**APRON, "chain": {}}), None, both, old=both.row("OLD 100")
    )
    assert result["fits"] == "yes"
    assert result["carries"] == "cannot be told"
    assert result["lasts"] == "yes"


def test_every_number_is_finite():
    result = judged("M112x160", sprockets=[{"chain": "M112x160", "teeth": 8}], pull=APRON, wear=WORN)
    for table in result.tables:
        for row in table.rows:
            assert all(math.isfinite(entry) for entry in row if isinstance(entry, float))
    assert all(np.isfinite(value.amount) for value in result.values if isinstance(value.amount, float))


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    file = tmp_path / "verdict.json"
    data = {"candidate": "M112x160", "sprockets": [{"chain": "M112x160", "teeth": 8, "hue": 1}], "pull": APRON}
    file.write_text(json.dumps(data), encoding="utf-8")
    assert run(["duty", "verdict", str(file)]) == 0
    out = capsys.readouterr().out
    assert "it fits the sprockets: yes" in out
    assert "sprockets[0].hue means nothing here" in out
    assert run(["duty", "verdict", str(file), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["schema"] == "chaincase/duty-verdict-1"
    assert {row["question"] for row in found["verdicts"]} == {"fits", "carries", "lasts"}


def test_the_example_of_the_documents_works():
    text = (Path(__file__).parent.parent / "docs" / "duty.md").read_text(encoding="utf-8")
    shown = re.search(r"<!-- verdict example -->\n```json\n(.*?)```", text, re.DOTALL)
    assert shown is not None
    form = VerdictForm.parse(shown[1])
    assert form.unread() == []
    assert answer(form, TABLES)["verdict"] == "yes"
