"""The generator with other figures than assumed, what the bench makes of it, and samples that cannot be used."""

import numpy as np
import pytest

from chaincase.calibration import tasks
from chaincase.calibration.bench import Result, run_bench
from chaincase.calibration.circumstances import AS_ASSUMED, OTHERWISE, Circumstances
from chaincase.calibration.samples import Sample, sample_of
from chaincase.calibration.scores import Figure, calibration_floor, calibration_gap
from chaincase.calibration.targets import Target, lead, targets
from chaincase.catalog.table import Catalog

STANDARD = Catalog.standard()
SEED = 3100


def drawn(world: Circumstances, count: int = 120) -> list[Sample]:
    return [sample_of(SEED, index, STANDARD, world=world) for index in range(count)]


def test_as_assumed_changes_nothing() -> None:
    for index in range(20):
        assert sample_of(SEED, index, STANDARD).evidence == sample_of(SEED, index, STANDARD, world=AS_ASSUMED).evidence


def test_wear_is_multiplied() -> None:
    plain, twice, none = (drawn(Circumstances(wear=factor)) for factor in (1.0, 2.0, 0.0))
    for a, b, c in zip(plain, twice, none, strict=True):
        assert b.meta.elongation == pytest.approx(2.0 * a.meta.elongation)
        assert c.meta.elongation == 0.0


def test_scatter_is_multiplied_where_the_table_has_a_figure() -> None:
    exact = [each for each in drawn(Circumstances(scatter=0.0)) if each.row is not None]
    assert len(exact) > 60
    for each in exact:
        piece = each.meta.chain.piece
        pitch = STANDARD.values[each.row, 0]
        if "pitch" in piece.listed:
            assert piece.new["pitch"] == pytest.approx(pitch)


def test_shares_are_multiplied() -> None:
    slips = [sum(bool(s) for each in drawn(Circumstances(slips=f)) for s in each.meta.slips) for f in (0.0, 1.0, 5.0)]
    assert slips[0] == 0
    assert slips[1] < slips[2]
    assert not [each for each in drawn(Circumstances(unlisted=0.0)) if each.row is None]
    assert all(each.row is None for each in drawn(Circumstances(unlisted=10.0), 10))
    stamped = [sum(bool(each.evidence["marks"]) for each in drawn(Circumstances(stamped=f))) for f in (0.0, 1.0)]
    assert stamped[0] < 0.2 * 120 < stamped[1]


@pytest.fixture(scope="module")
def result() -> Result:
    return run_bench(6, range(5000, 5001), workers=1, twins=0, courses=0, otherwise=2)


def test_every_circumstance_is_run_on_the_same_seeds(result: Result) -> None:
    assert set(result.otherwise) == set(OTHERWISE)
    assert all(len(cases) == 2 for cases in result.otherwise.values())
    assert result.otherwise["as assumed"] == result.cases[:2]
    assert not result.stopped


def test_a_sample_that_cannot_be_used_counts_for_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    real = sample_of(5000, 0, STANDARD)
    wrong = {"dimension": "pitch", "value": "3,125 mm"}
    evidence = {**real.evidence, "readings": [wrong]}
    odd = Sample(evidence, real.truth, real.minutes, real.meta)
    monkeypatch.setattr(
        tasks, "sample_of", lambda seed, index, *rest: odd if index == 1 else sample_of(seed, index, *rest)
    )
    found = run_bench(3, range(5000, 5001), workers=1, twins=0, courses=0)
    assert [case.index for case in found.cases] == [0, 2]
    assert [(each.seed, each.index) for each in found.refused] == [(5000, 1)]
    assert "3,125 mm" in found.refused[0].why


def test_the_lead_is_over_the_better_nearest_neighbor(result: Result) -> None:
    cases = result.cases
    ours = sum(case.verdict.right for case in cases)
    theirs = max(sum(case.baselines[i] for case in cases) for i in (0, 1))
    assert lead(cases).value == pytest.approx((ours - theirs) / len(cases))


def test_targets_say_what_is_reached(result: Result) -> None:
    names = [each.name for each in targets(result)]
    assert len(names) == len(set(names)) == 5
    assert Target("t", Figure(0.02, 0.0, 0.1, 10), 0.02, above=False).reached
    assert not Target("t", Figure(0.021, 0.0, 0.1, 10), 0.02, above=False).reached
    assert not Target("t", Figure(float("nan"), 0.0, 0.0, 0), 0.02, above=False).reached
    assert Target("t", Figure(-0.3, -1.0, 0.0, 10), -0.3, above=True).reached


def test_chance_alone_gives_the_error_of_answers_that_are_exactly_calibrated() -> None:
    rng = np.random.default_rng(1)
    stated = rng.random(400)
    by_hand = [calibration_gap(stated, rng.random(400) < stated) for _ in range(200)]
    assert calibration_floor(stated) == pytest.approx(np.mean(by_hand), rel=0.05)
