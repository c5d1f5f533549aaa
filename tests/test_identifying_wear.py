"""Wear of a sample whose chain is known: by hand, and against numerical integration of the same law."""

from collections.abc import Sequence

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, stats

from builders import catalog, evidence, reading
from chaincase import Catalog, identify
from chaincase.catalog.table import Limit
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.constants import JOINT_WEAR, MOST_OF_MEAN, MOST_WEAR, USUAL_PIN, WEAR
from chaincase.identifying.expectation import Expectation, expectation
from chaincase.identifying.posterior import posterior
from chaincase.identifying.right_readings import KIND_LINKS, column_density
from chaincase.identifying.wear import PitchSeen, WearEstimate, elongation_law, loss_law, wear_of

Array = NDArray[np.float64]

ROLLER = ("16A", "roller", {"pitch": 25.4, "roller_diameter": 15.88, "pin_diameter": 7.92, "inner_plate_height": 24.13})
OFFSET = ("W124", "welded steel", {"pitch": 101.6, "bush_diameter": 36.6, "pin_diameter": 19.05})
SURE = ((1.0, 1.0),)


def wear(row: tuple, *readings: dict, limits: dict | None = None) -> dict[str, WearEstimate]:
    table = catalog(row, limits=limits)
    found = posterior(evidence(*readings), table)
    return {each.dimension: each for each in wear_of(0, found.measured, table)}


def summed(amounts: Array, likelihood: Array, states: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Give mean and standard deviation of an amount: none, or exponential up to the last of the amounts (Simpson)."""
    end = amounts[-1]
    some = sum(p / m * np.exp(-amounts / m) / (1 - np.exp(-end / m)) for p, m in states if m > 0) * likelihood
    none = sum(p for p, m in states if m == 0) * likelihood[0]
    zeroth, first, second = (integrate.simpson(amounts**k * some, x=amounts) for k in range(3))
    mean = first / (none + zeroth)
    return float(mean), float(np.sqrt(second / (none + zeroth) - mean**2))


def pitch_likelihood(amounts: Array, seen: Sequence[PitchSeen], mean: float, spread: float) -> Array:
    """Integrate the new pitch out on a grid far finer and wider than the one under test."""
    x = np.linspace(mean - 8 * spread, mean + 8 * spread, 801)[:, None]
    joint = stats.norm.pdf(x, mean, spread) * np.ones_like(amounts)
    for each in seen:
        joint *= sum(p * stats.norm.pdf(each.value, x + g * amounts * mean, each.u) for g, p in each.grows)
    return np.asarray(integrate.simpson(joint, x=x[:, 0], axis=0))


@pytest.mark.parametrize(
    "seen",
    [
        [PitchSeen(25.4 * 1.012, 0.03, SURE)],
        [PitchSeen(25.4 * 1.024, 0.08, ((2.0, 1.0),)), PitchSeen(25.41, 0.07, ((0.0, 1.0),))],
        [PitchSeen(25.4 * 1.02, 0.1, ((0.0, 0.5), (2.0, 0.5))), PitchSeen(25.5, 0.09, ((0.0, 0.15), (2.0, 0.85)))],
    ],
    ids=["taped over many", "one inner and one outer link", "links not named"],
)
def test_elongation_equals_numerical_integration(seen: list[PitchSeen]):
    amounts = np.linspace(0.0, MOST_WEAR["pitch"] * USUAL_PIN, 2001)
    states = [(each.probability, each.relative * USUAL_PIN) for each in JOINT_WEAR]
    mean, sd = summed(amounts, pitch_likelihood(amounts, seen, 25.4, 0.04), states)
    law = elongation_law(seen, 25.4, 0.04)
    assert law.mean == pytest.approx(mean, rel=2e-3)
    assert law.sd == pytest.approx(sd, rel=2e-3)


@pytest.mark.parametrize(("limit", "value"), [(Limit.NOMINAL, 7.6), (Limit.MAXIMUM, 7.6), (Limit.MAXIMUM, 7.85)])
def test_loss_equals_numerical_integration(limit: Limit, value: float):
    one, column = pin_expectation(limit), COLUMN["pin_diameter"]
    mean, spread, slack = (float(part[0, column]) for part in (one.mean, one.spread, one.slack))
    sigma = np.hypot(spread, 0.03)
    amounts = np.linspace(0.0, MOST_WEAR["pin_diameter"] * mean, 1001)
    below = np.linspace(0.0, MOST_OF_MEAN * abs(slack), 2001)[:, None]
    if slack == 0.0:
        likelihood = stats.norm.pdf(value, mean - amounts, sigma)
    else:
        new = stats.truncexpon.pdf(below, MOST_OF_MEAN, scale=-slack) * stats.norm.pdf(
            value, mean - below - amounts, sigma
        )
        likelihood = integrate.simpson(new, x=below[:, 0], axis=0)
    # Rust at a reading below the figure is improbable here; the sum is made without it.
    worn = [(s.probability, -s.relative * mean) for s in WEAR["pin_diameter"] if s.absolute == 0.0]
    expected, sd = summed(amounts, likelihood, worn)
    law = loss_law([value], [0.03], one, column)
    assert law.mean == pytest.approx(expected, rel=0.02, abs=2e-4)
    assert law.sd == pytest.approx(sd, rel=0.03, abs=2e-4)


def pin_expectation(limit: Limit) -> Expectation:
    return expectation(catalog(ROLLER, limits={"pin_diameter": limit})).only(0)


def test_evidence_is_the_density_that_the_identification_computes():
    # What is kept on a grid here is integrated in closed form there: the two must agree.
    table = catalog(OFFSET)
    (each,) = posterior(evidence(reading("pitch", "1234 mm", "tape", over=12)), table).measured
    one, column = expectation(table).only(0), COLUMN["pitch"]
    closed = float(column_density([each], one, column, KIND_LINKS[table.kind])[0])
    law = elongation_law([PitchSeen(each.value, each.u, SURE)], 101.6, float(one.spread[0, column]), 19.05)
    assert law.log_evidence == pytest.approx(closed, abs=2e-3)


def test_elongation_by_hand():
    # 24 pitches of 25.4 mm are 609.6 mm; 624.8 mm are 15.2 mm or 2.49 % more. The tape's 0.5 mm or so are 0.1 %,
    # the tolerance of new chain about as much: far smaller than the wear, so that the prior hardly pulls.
    found = wear(ROLLER, reading("pitch", "624.8 mm", "tape", over=24))["pitch"]
    assert found.elongation_percent == pytest.approx(2.49, abs=0.08)
    assert found.low < 2.49 < found.high
    assert found.u_percent == pytest.approx((found.high - found.low) / 3.92, rel=0.1)
    assert f"elongation {found.elongation_percent:.1f} %" in found.words
    assert "below the usual limit of 3 % (several public texts, no standard)" in found.words


def test_the_growing_link_shows_twice_the_elongation():
    # Geometry of the joint: between pins the inner link shows 2 w, so 26.42 mm on 25.4 mm (4 %) are e = 2 %.
    exact = [PitchSeen(26.416, 0.02, ((2.0, 1.0),))]
    assert elongation_law(exact, 25.4, 0.01).mean == pytest.approx(0.02, abs=2e-4)


def test_the_quiet_link_sharpens_the_growing_one():
    # The outer link between pins keeps the new pitch, whose tolerance then no longer blurs the difference.
    inner = PitchSeen(26.2, 0.03, ((2.0, 1.0),))
    outer = PitchSeen(25.44, 0.03, ((0.0, 1.0),))
    assert elongation_law([inner, outer], 25.4, 0.1).sd < 0.6 * elongation_law([inner], 25.4, 0.1).sd


@pytest.mark.parametrize(
    ("link", "reference", "said"),
    [
        ("outer", "pins", "only outer links between pins were read"),
        ("inner", "rollers", "only inner links between rollers were read"),
        ("inner", "holes", "only the two holes of one plate were read"),
    ],
)
def test_links_that_keep_their_pitch_say_nothing(link: str, reference: str, said: str):
    found = wear(ROLLER, reading("pitch", "25.43 mm", link=link, reference=reference))["pitch"]
    assert found.elongation_percent is None
    assert found.low is None
    assert said in found.words


def test_a_reading_that_does_not_fit_is_left_out_and_said():
    taped = reading("pitch", "308 mm", "tape", over=12)
    found = wear(ROLLER, taped, reading("pitch", "50.8 mm"))["pitch"]
    assert "one reading left out that did not fit" in found.words
    assert found.elongation_percent == pytest.approx(wear(ROLLER, taped)["pitch"].elongation_percent)


def test_edges_without_their_diameter_are_corrected_by_the_table():
    # 12 pitches between the inner flanks of the end pins: 12 p less one pin diameter.
    inside = f"{12 * 25.4 * 1.02 - 7.92:.2f} mm"
    found = wear(ROLLER, reading("pitch", inside, "caliper", technique="inside edges", reference="pins", over=12))
    assert found["pitch"].elongation_percent == pytest.approx(2.0, abs=0.15)


def test_loss_against_a_nominal_by_hand():
    # 19.05 - 18.4 = 0.65 mm or 3.4 %.
    found = wear(OFFSET, reading("pin_diameter", "18.40 mm"))["pin_diameter"]
    assert found.loss_mm == pytest.approx(0.65, abs=0.12)
    assert found.loss_percent == pytest.approx(100 * found.loss_mm / 19.05)
    assert "against the nominal 19.05 mm (3/4 in)" in found.words
    assert "the usual 2.5 % for a case-hardened pin (one public text)" in found.words


def test_against_a_maximum_the_loss_is_a_range_and_smaller():
    # 22.0 on 24.13 mm: all of the 2.1 mm if that is nominal, less if a new plate may lie up to 7 % below it.
    read, most = reading("inner_plate_height", "22.0 mm"), {"inner_plate_height": Limit.MAXIMUM}
    nominal = wear(ROLLER, read)["inner_plate_height"]
    maximum = wear(ROLLER, read, limits=most)["inner_plate_height"]
    assert maximum.loss_mm < 0.8 * nominal.loss_mm
    assert maximum.high - maximum.low > 1.3 * (nominal.high - nominal.low)
    assert "is a maximum, and a new part may lie below it" in maximum.words


def test_an_open_cell_and_a_loose_word_are_not_measured_against():
    row = ("X", "roller", {"pitch": 25.4, "roller_diameter": 15.88})
    found = wear(
        row, reading("pin_diameter", "7.9 mm"), reading("diameter", "7.9 mm"), reading("chain_path_depth", "24 mm")
    )
    assert set(found) == {"pin_diameter"}
    assert found["pin_diameter"].loss_mm is None
    assert "the table leaves it open" in found["pin_diameter"].words


def test_the_answer_carries_wear_for_the_first():
    readings = (reading("pitch", "307.5 mm", "tape", over=12), reading("pin_diameter", "7.6 mm"))
    answer = identify(evidence(*readings), Catalog.standard())
    assert [bool(each.wear) for each in answer.candidates[:5]] == [True, False, False, False, False]
    data = answer.candidates[0].model_dump()["wear"]
    assert {each["dimension"] for each in data} == {"pitch", "pin_diameter"}
    assert set(data[0]) == {
        "dimension", "elongation_percent", "loss_mm", "loss_percent", "u_percent", "low", "high", "words"
    }  # fmt: skip
