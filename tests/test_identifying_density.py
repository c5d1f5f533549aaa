"""The closed forms against numerical integration by SciPy, an independent general-purpose library."""

from itertools import pairwise

import numpy as np
import pytest
from scipy import integrate, stats

from builders import catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.constants import MOST_OF_MEAN, MOST_WEAR, SPREAD, WEAR
from chaincase.identifying.density import density_of_worn, log_density, log_normal_density
from chaincase.identifying.expectation import expectation
from chaincase.identifying.prediction import expected_range, predictive


def one(x: float) -> np.ndarray:
    return np.array([x])


def by_quadrature(r: float, u: float, mean: float, spread: float, wear: float, most: float = np.inf) -> float:
    sigma = np.hypot(u, spread)
    amount = stats.expon(scale=abs(wear)) if np.isinf(most) else stats.truncexpon(most / abs(wear), scale=abs(wear))

    def inner(w: float) -> float:
        return float(stats.norm.pdf(r, mean + np.sign(wear) * w, sigma) * amount.pdf(w))

    near = max(np.sign(wear) * (r - mean), 0.0)
    steps = np.concatenate(
        [near + sigma * np.arange(-40, 41), sigma * np.geomspace(1e-3, 40, 20), abs(wear) * np.arange(1, 41)]
    )
    edges = np.unique(np.minimum(np.concatenate([[0.0], steps[steps > 0]]), most))
    pieces = (integrate.quad(inner, a, b, epsabs=0.0, epsrel=1e-9)[0] for a, b in pairwise(edges))
    return float(sum(pieces))


@pytest.mark.parametrize(
    ("r", "u", "mean", "spread", "wear"),
    [
        (15.6, 0.03, 15.88, 0.06, -0.19),  # a pin worn by 0.3 mm
        (15.9, 0.03, 15.88, 0.06, -0.19),  # the same pin as new
        (16.4, 0.03, 15.88, 0.06, -0.19),  # larger than new: wear cannot explain it
        (103.0, 0.5, 101.6, 0.15, 0.8),  # a lengthened pitch under a tape
        (99.0, 0.5, 101.6, 0.15, 0.8),  # too short by more than wear can do
        (12.0, 0.2, 12.07, 0.05, -0.36),  # a plate below its maximum
        (8.5, 0.02, 8.33, 0.02, 0.12),  # a bore that grew
        (7.0, 1.0, 7.85, 0.03, 0.001),  # wear so small that the normal density alone is left
    ],
)
def test_one_reading_is_an_exponentially_modified_normal(r: float, u: float, mean: float, spread: float, wear: float):
    ours = np.exp(log_density(one(r), one(u), one(1.0), one(mean), one(spread), one(wear)))[0]
    assert ours == pytest.approx(by_quadrature(r, u, mean, spread, wear), rel=1e-6, abs=1e-300)


@pytest.mark.parametrize("most", [0.05, 0.3, 0.6, 2.0])
@pytest.mark.parametrize("r", [15.2, 15.5, 15.7, 15.88, 16.0])
def test_wear_ends_where_nothing_would_hold_together(r: float, most: float):
    ours = log_density(one(r), one(0.03), one(1.0), one(15.88), one(0.06), one(-0.19), one(most))[0]
    assert np.exp(ours) == pytest.approx(by_quadrature(r, 0.03, 15.88, 0.06, -0.19, most), rel=1e-6, abs=1e-18)
    sd = np.hypot(0.03, 0.06)
    plain = density_of_worn(one((r - 15.88) / sd), one(sd), one(-0.19), one(most))[0]
    assert plain == pytest.approx(np.exp(ours), rel=1e-9, abs=1e-18)


@pytest.mark.parametrize("growth", [(0.0, 2.0), (1.0, 1.0), (0.75, 1.25)])
def test_two_readings_share_size_and_wear(growth: tuple[float, float]):
    r, u = np.array([101.9, 103.0]), np.array([0.3, 0.2])
    mean, spread, wear = 101.6, 0.15, 0.8

    def integrand(x: float, w: float) -> float:
        seen = stats.norm.pdf(r, x + np.array(growth) * w, u).prod()
        return float(seen * stats.norm.pdf(x, mean, spread) * stats.expon.pdf(w, scale=wear))

    numeric = integrate.dblquad(integrand, 0, 10, mean - 1.2, mean + 1.2, epsabs=1e-12)[0]
    ours = np.exp(log_density(r, u, np.array(growth), one(mean), one(spread), one(wear)))[0]
    assert ours == pytest.approx(numeric, rel=1e-5)


def test_no_wear_is_a_normal_density_of_all_readings():
    r, u = np.array([10.1, 9.9, 10.0]), np.array([0.1, 0.2, 0.3])
    cov = np.diag(u**2) + 0.25
    ours = log_density(r, u, np.ones(3), one(10.0), one(0.5), one(0.0))[0]
    assert ours == pytest.approx(stats.multivariate_normal.logpdf(r, np.full(3, 10.0), cov))


def test_far_tails_stay_finite_and_ordered():
    far = log_density(
        one(1.0), one(0.01), one(1.0), np.array([500.0, 400.0]), np.array([0.1, 0.1]), np.array([-2.0, -2.0])
    )
    assert np.isfinite(far).all()
    assert far[1] > far[0]


@pytest.mark.parametrize(
    ("readings", "rows", "wear_weights"),
    [
        (15.5, (15.88, 14.29), True),
        (14.4, (15.88, 14.29), True),
        (14.0, (15.88, 14.29), True),
        (15.2, (15.88, 14.29, 19.05), True),
        (19.0, (15.88, 19.05), True),
    ],
)
def test_posterior_of_two_or_three_pins_by_numerical_integration(
    readings: float, rows: tuple[float, ...], wear_weights: bool
):
    """By hand: each row's density is the mixture over states of wear, each integrated numerically."""
    made = catalog(*((f"N{i}", "leaf", {"pin_diameter": d}) for i, d in enumerate(rows)))
    expected = expectation(made)
    column, u = COLUMN["pin_diameter"], 0.03
    by_hand = []
    for d in rows:
        spread = SPREAD["pin_diameter"].nominal * d
        total = 0.0
        for state in WEAR["pin_diameter"]:
            wear = state.relative * d + state.absolute
            most = MOST_WEAR["pin_diameter"] * d if state.relative else MOST_OF_MEAN * state.absolute
            plain = stats.norm.pdf(readings, d, np.hypot(u, spread))
            total += state.probability * (by_quadrature(readings, u, d, spread, wear, most) if wear else plain)
        by_hand.append(total)
    ours = predictive(np.arange(len(rows)), column, u, one(readings), expected)[:, 0]
    np.testing.assert_allclose(ours / ours.sum(), np.array(by_hand) / sum(by_hand), rtol=1e-6, atol=1e-12)


def test_a_predicted_reading_is_a_density():
    made = catalog(("N", "leaf", {"pin_diameter": 15.88}))
    grid = np.linspace(10, 20, 20001)
    density = predictive(np.array([0]), COLUMN["pin_diameter"], 0.05, grid, expectation(made))[0]
    assert integrate.trapezoid(density, grid) == pytest.approx(1.0, abs=1e-3)


def test_expected_range_holds_95_percent_and_lies_on_the_worn_side():
    made = catalog(("N", "leaf", {"pin_diameter": 15.88}))
    found = expected_range(0, COLUMN["pin_diameter"], 0.05, expectation(made))
    grid = np.linspace(found.low, found.high, 5001)
    density = predictive(np.array([0]), COLUMN["pin_diameter"], 0.05, grid, expectation(made))[0]
    assert integrate.trapezoid(density, grid) == pytest.approx(0.95, abs=0.01)
    assert 15.88 - found.low > found.high - 15.88


def test_a_normal_density():
    assert log_normal_density(1.0, one(1.0), one(2.0))[0] == pytest.approx(stats.norm.logpdf(1.0, 1.0, 2.0))
