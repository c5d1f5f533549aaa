"""Scores against cases worked by hand and against naive formulas written here."""

import math
from itertools import pairwise

import numpy as np
import pytest

from chaincase.calibration import scores
from chaincase.calibration.scores import LOG_FLOOR, Bin, Figure


def rng() -> np.random.Generator:
    return np.random.default_rng(12)


def test_share_by_hand() -> None:
    # Wilson's interval for 8 of 10 at z = 1.96: center (0.8 + 0.19208) / 1.38416, half width 0.22659.
    figure = scores.share([True] * 8 + [False] * 2)
    assert figure.value == 0.8
    assert figure.low == pytest.approx(0.4902, abs=1e-4)
    assert figure.high == pytest.approx(0.9433, abs=1e-4)
    assert figure.n == 10


def test_share_of_nothing_is_no_figure() -> None:
    figure = scores.share([])
    assert math.isnan(figure.value)
    assert figure.n == 0


def test_wilson_interval_covers_as_often_as_it_says() -> None:
    drawn = rng()
    inside = 0
    for _ in range(2000):
        figure = scores.share(drawn.random(60) < 0.9)
        inside += figure.low <= 0.9 <= figure.high
    assert 0.93 < inside / 2000 < 0.975


def test_mean_by_hand() -> None:
    # Of 1, 2, 3: standard deviation 1, standard error 1 / sqrt 3.
    figure = scores.mean([1.0, 2.0, 3.0])
    assert figure.value == 2.0
    assert figure.high - figure.value == pytest.approx(1.959964 / math.sqrt(3))


def test_log_score_is_the_natural_logarithm_with_a_floor() -> None:
    got = scores.log_scores([1.0, 1 / math.e, 0.0, LOG_FLOOR / 10])
    assert got == pytest.approx([0.0, -1.0, math.log(1e-6), math.log(1e-6)])


def test_brier_by_hand() -> None:
    # Squares of 0.4, 0.3 and 0.1.
    assert scores.brier([0.6, 0.3, 0.1], 0) == pytest.approx(0.26)
    # Squares of 0.6, 0.7 and 0.1.
    assert scores.brier([0.6, 0.3, 0.1], 1) == pytest.approx(0.86)
    # The truth has no place among the classes: its own error of 1 comes on top.
    assert scores.brier([0.6, 0.3, 0.1], None) == pytest.approx(1.46)
    assert scores.brier([1.0, 0.0], 0) == 0.0
    assert scores.brier([1.0, 0.0], 1) == 2.0


def test_brier_against_a_naive_sum() -> None:
    p = rng().dirichlet(np.ones(7))
    for truth in range(7):
        naive = sum((p[k] - (1.0 if k == truth else 0.0)) ** 2 for k in range(7))
        assert scores.brier(p, truth) == pytest.approx(naive)


def test_brier_and_log_score_are_best_for_the_true_probability() -> None:
    true = np.array([0.6, 0.3, 0.1])

    def expected(stated: np.ndarray) -> tuple[float, float]:
        return (
            sum(true[k] * scores.brier(stated, k) for k in range(3)),
            -sum(true[k] * float(scores.log_scores([stated[k]])[0]) for k in range(3)),
        )

    best = expected(true)
    for other in rng().dirichlet(np.ones(3), size=50):
        assert expected(other)[0] > best[0]
        assert expected(other)[1] > best[1]


def test_bins_hold_equal_mass_and_every_case_once() -> None:
    stated = rng().random(101)
    parts = scores.equal_mass(stated, 15)
    assert sorted(np.concatenate(parts)) == list(range(101))
    assert {len(part) for part in parts} == {6, 7}
    edges = [(stated[part].min(), stated[part].max()) for part in parts]
    assert all(high <= low for (_, high), (low, _) in pairwise(edges))


def test_fewer_cases_than_bins() -> None:
    assert [len(part) for part in scores.equal_mass(np.array([0.2, 0.1]), 15)] == [1, 1]


def test_reliability_by_hand() -> None:
    bins = scores.reliability([0.9, 0.1, 0.7, 0.3], [1, 0, 0, 1], bins=2)
    assert [(b.stated, b.right.value) for b in bins] == [(pytest.approx(0.2), 0.5), (pytest.approx(0.8), 0.5)]
    assert all(isinstance(b, Bin) and b.right.n == 2 for b in bins)


def test_calibration_error_by_hand() -> None:
    # Both bins are off by 0.3.
    figure = scores.calibration_error([0.9, 0.1, 0.7, 0.3], [1, 0, 0, 1])
    assert figure.value == pytest.approx((0.1 + 0.1 + 0.7 + 0.7) / 4)
    gap = scores.calibration_gap(np.array([0.9, 0.1, 0.7, 0.3]), np.array([True, False, False, True]), 2)
    assert gap == pytest.approx(0.3)


def test_calibration_error_against_a_naive_formula() -> None:
    drawn = rng()
    stated = drawn.random(997)
    right = drawn.random(997) < stated**2
    order = sorted(range(997), key=lambda i: stated[i])
    naive, start = 0.0, 0
    for number in range(15):
        size = 997 // 15 + (number < 997 % 15)
        part = order[start : start + size]
        start += size
        naive += size / 997 * abs(sum(stated[i] for i in part) / size - sum(right[i] for i in part) / size)
    assert scores.calibration_error(stated, right).value == pytest.approx(naive)
    assert naive > 0.1


def test_true_probabilities_have_a_small_calibration_error() -> None:
    drawn = rng()
    stated = drawn.random(20_000)
    assert scores.calibration_error(stated, drawn.random(20_000) < stated).value < 0.02


def test_wrong_when_sure_by_hand() -> None:
    figure = scores.wrong_when_sure([0.995, 0.99, 0.9899, 1.0], [0, 1, 0, 1])
    assert figure.value == pytest.approx(1 / 3)
    assert figure.n == 3


def test_roc_area_against_all_pairs() -> None:
    drawn = rng()
    score = np.round(drawn.random(60), 1)
    positive = drawn.random(60) < 0.3
    pairs = [(a > b) + 0.5 * (a == b) for a in score[positive] for b in score[~positive]]
    assert scores.roc_area(score, positive) == pytest.approx(sum(pairs) / len(pairs))
    assert math.isnan(scores.roc_area([0.1, 0.2], [True, True]))


def test_roc_area_ends() -> None:
    assert scores.roc_area([0.9, 0.1], [1, 0]) == 1.0
    assert scores.roc_area([0.1, 0.9], [1, 0]) == 0.0
    assert scores.roc_area([0.5, 0.5], [1, 0]) == 0.5


def test_bootstrap_of_a_mean_agrees_with_the_normal_interval() -> None:
    values = rng().normal(size=400)
    drawn = scores.bootstrap(lambda rows: float(values[rows].mean()), 400)
    plain = scores.mean(values)
    assert drawn.value == pytest.approx(plain.value)
    assert drawn.low == pytest.approx(plain.low, abs=0.03)
    assert drawn.high == pytest.approx(plain.high, abs=0.03)


def test_median_has_its_interval() -> None:
    figure = scores.median(np.arange(101.0))
    assert figure.value == 50.0
    assert figure.low < 50.0 < figure.high
    assert isinstance(figure, Figure)
