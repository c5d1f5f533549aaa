"""Wear against published figures and an independent library; the source stands beside each check."""

import math

import numpy as np
import pytest
from scipy import optimize, stats

from chaincase.chains.kinds import BY_NAME
from chaincase.duty import wear_limits, wear_trend
from chaincase.duty.wear_trend import Point
from chaincase.identifying.wear_words import CONVEYOR_LIMIT, DRIVE_LIMIT
from chaincase.measuring.growth import Link, Reference, growth


def test_twelve_pitches_of_number_80_at_three_percent():
    """Public maintenance text: 12 pitches of 1 in at 3 % measure 12.360 in; exact."""
    assert wear_limits.limit_length(25.4, 12, 0.03) / 25.4 == pytest.approx(12.360, abs=1e-9)


def test_twenty_four_pitches_as_printed_are_more_than_three_percent():
    """The same kind of text prints 24.75 in for 24 pitches "at 3 %"; 3 % is 24.72 in, and that is followed."""
    assert wear_limits.limit_length(25.4, 24, 0.03) / 25.4 == pytest.approx(24.72, abs=1e-9)
    assert pytest.approx(0.03125) == 24.75 / 24 - 1


def test_many_teeth():
    """Public technical answers: 200/N % above 67 teeth, 3 % up to there; rounded."""
    assert 100 * wear_limits.by_teeth(67) == pytest.approx(3.0, abs=0.05)
    assert 100 * wear_limits.by_teeth(80) == pytest.approx(2.5)
    assert 100 * wear_limits.by_teeth(20) == pytest.approx(3.0)


def test_outer_links_seen_from_the_rollers_grow_twice():
    """Textbook on chain drives: at 3 % of the chain the outer link has grown by about 6 %; twice in the model."""
    ((factor, share),) = growth(BY_NAME["roller"].links, Link.OUTER, Reference.ROLLERS, 1)
    assert share == 1.0
    assert factor * 3.0 == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("pitch", "depths"),
    [(12.7, (0.13, 0.19, 0.25, 0.38)), (25.4, (0.25, 0.38, 0.51, 0.76)), (101.6, (1.02, 1.52, 2.03, 3.05))],
)
def test_depth_of_a_worn_joint(pitch: float, depths: tuple[float, ...]):
    """Geometry of the joint, e p, by hand for 1, 1.5, 2 and 3 %; 0.005 mm."""
    found = [wear_limits.limit_length(pitch, 1, e) - pitch for e in (0.01, 0.015, 0.02, 0.03)]
    assert found == pytest.approx(depths, abs=0.006)


def test_limits_of_practice():
    """Public texts on chain maintenance: 3 % drives, 2 % conveyors, 1.5 % fixed centers; pins 0.975 and 0.85."""
    assert (DRIVE_LIMIT, CONVEYOR_LIMIT, wear_limits.FIXED_CENTERS) == (3.0, 2.0, 0.015)
    assert (wear_limits.PARTS["pin"].left, wear_limits.PARTS["pin, through hardened"].left) == (0.975, 0.85)
    assert wear_limits.PARTS["bush wall"].left == 0.40


DAYS = np.array([0.0, 120.0, 250.0, 380.0, 500.0])
SEEN = np.array([0.0012, 0.0049, 0.0081, 0.0118, 0.0149])


def test_line_with_alike_uncertainties_is_that_of_scipy():
    """scipy.stats.linregress, slope and its standard error; scatter larger than the uncertainty told; 1e-9."""
    line = wear_trend.fit([Point(d, e, 1e-9) for d, e in zip(DAYS, SEEN, strict=True)], 1)
    expected = stats.linregress(DAYS, SEEN)
    assert line is not None
    assert line.rate == pytest.approx(expected.slope, rel=1e-9)
    assert line.rate_u == pytest.approx(expected.stderr, rel=1e-6)
    assert line.dof == pytest.approx(3, rel=1e-6)


@pytest.mark.parametrize("degree", [1, 2])
def test_weighted_fit_is_that_of_scipy(degree: int):
    """scipy.optimize.curve_fit with absolute sigma: curve and covariance where the scatter is small; 1e-6."""
    u = np.array([5e-4, 3e-4, 4e-4, 2e-4, 6e-4])
    fitted = wear_trend.fit([Point(*each) for each in zip(DAYS, SEEN, u, strict=True)], degree)
    assert fitted is not None

    def curve(day: np.ndarray, *c: float) -> np.ndarray:
        return sum(c[k] * ((day - 500.0) / 500.0) ** k for k in range(degree + 1))

    best, covariance = optimize.curve_fit(curve, DAYS, SEEN, p0=[0.0] * (degree + 1), sigma=u, absolute_sigma=True)
    assert fitted.coefficients == pytest.approx(best, rel=1e-6)
    assert fitted.covariance == pytest.approx(covariance, rel=1e-5)


def test_prediction_interval_of_a_textbook():
    """Statistics, any textbook: y +- t s sqrt(1 + 1/n + (x - mean)^2/Sxx), by hand for a straight line."""
    line = wear_trend.fit([Point(d, e, 1e-9) for d, e in zip(DAYS, SEEN, strict=True)], 1)
    slope, cut = np.polyfit(DAYS, SEEN, 1)
    s = math.sqrt(float(np.sum((SEEN - slope * DAYS - cut) ** 2)) / 3)
    day = 700.0
    half = (
        stats.t(3).ppf(0.95) * s * math.sqrt(1 + 1 / 5 + (day - DAYS.mean()) ** 2 / np.sum((DAYS - DAYS.mean()) ** 2))
    )
    assert line is not None
    assert float(line.band(day, 0.95)) == pytest.approx(slope * day + cut + half, rel=1e-7)
    assert float(line.band(day, 0.05)) == pytest.approx(slope * day + cut - half, rel=1e-7)


def test_degrees_of_freedom_by_welch_and_satterthwaite():
    """JCGM 100:2008, G.4.1 and G.4.2: u known to 25 % counts as 8; far larger scatter with what the fit leaves."""
    assert wear_trend.KNOWN == 0.5 / 0.25**2
    assert wear_trend._effective(0.0, 3) == 8.0
    assert wear_trend._effective(1.0, 2) == pytest.approx(2.0**2 / (1 / 8 + 1 / 2))
    assert wear_trend._effective(1e9, 3) == pytest.approx(3.0)
