"""How elongation grows from date to date: weighted fits, what the next reading will be, when a limit is reached.

A straight line and a parabola are fitted by least squares, each reading weighted by its uncertainty. Where the
readings scatter more than their uncertainty explains, the scatter widens the interval; where they scatter less, that
is luck and narrows nothing. Intervals are those of one further reading, by Student's t with effective degrees of
freedom: the uncertainty of a reading is itself known to about a quarter, which counts as 8, and scatter beyond it
counts with the degrees of freedom that the fit leaves.

Source: weighted linear regression and its prediction interval, any textbook of statistics; dates by inverting the
interval (Fieller's idea); effective degrees of freedom: JCGM 100:2008, G.4.1 and G.4.2.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import stats
from scipy.special import stdtr, stdtrit

Array = NDArray[np.float64]

YEAR: Final = 365.25
"""Days."""
HORIZON: Final = 30.0 * YEAR
"""No date is given further on than that [days]."""
_STEPS: Final = 6001
_SURE: Final = 0.95
KNOWN: Final = 8.0
"""Degrees of freedom of an uncertainty that is known to a quarter: JCGM 100:2008, G.4.2; a quarter: common practice."""


@dataclass(frozen=True, slots=True)
class Point:
    """An elongation on a day.

    Attributes
    ----------
    day : float
        Any count of days.
    elongation, u : float
        Over the nominal length, and its standard uncertainty [-].
    """

    day: float
    elongation: float
    u: float


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """A polynomial through dated elongations.

    Attributes
    ----------
    degree : int
        1 a straight line, 2 a parabola.
    last, span : float
        Day of the last point, and days from the first to it: the polynomial is in (day - last)/span.
    coefficients : ndarray, shape (degree + 1,)
        Constant first [-].
    covariance : ndarray, shape (degree + 1, degree + 1)
        Of the coefficients.
    noise : float
        Standard uncertainty of one further reading about the curve [-].
    dof : float
        Effective degrees of freedom [-].
    points, free : int
        How many went in, and how many more than coefficients.
    """

    degree: int
    last: float
    span: float
    coefficients: Array
    covariance: Array
    noise: float
    dof: float
    points: int
    free: int

    def mean(self, day: float | Array) -> Array:
        """Give the curve on days [-]."""
        return np.asarray(self._powers(day) @ self.coefficients)

    def band(self, day: float | Array, quantile: float) -> Array:
        """Give the quantile of a further reading on days [-]."""
        powers = self._powers(day)
        spread = np.sqrt(np.einsum("...i,ij,...j->...", powers, self.covariance, powers) + self.noise**2)
        return np.asarray(powers @ self.coefficients + _quantile(quantile, self.dof) * spread)

    def _powers(self, day: float | Array) -> Array:
        x = (np.asarray(day, dtype=float) - self.last) / self.span
        return np.stack([x**power for power in range(self.degree + 1)], axis=-1)

    @property
    def rate(self) -> float:
        """Growth at the last point [1/day]."""
        return float(self.coefficients[1]) / self.span

    @property
    def rate_u(self) -> float:
        """Its standard uncertainty [1/day]."""
        return math.sqrt(float(self.covariance[1, 1])) / self.span

    def rate_quantile(self, quantile: float) -> float:
        """Give a quantile of the growth at the last point [1/day]."""
        return self.rate + _quantile(quantile, self.dof) * self.rate_u

    @property
    def rises(self) -> float:
        """Probability that it grows at the last point [-]."""
        if self.rate_u == 0.0:
            return float(self.rate > 0.0)
        return float(stdtr(self.dof, self.rate / self.rate_u))

    @property
    def curves(self) -> float:
        """Probability that it bends upwards [-]; one half for a straight line."""
        if self.degree < 2:
            return 0.5
        return float(stdtr(self.dof, float(self.coefficients[2]) / math.sqrt(float(self.covariance[2, 2]))))


def _quantile(quantile: float, dof: float) -> float:
    return float(stdtrit(dof, quantile))


def fit(points: Sequence[Point], degree: int) -> Fit | None:
    """Fit a polynomial; None where there are fewer different days than coefficients.

    Parameters
    ----------
    points : sequence of Point
        In any order; every uncertainty above zero.
    degree : int
        1 or 2.

    >>> line = fit([Point(0.0, 0.001, 1e-4), Point(100.0, 0.006, 1e-4), Point(200.0, 0.011, 1e-4)], 1)
    >>> round(line.rate * 365.25, 4), line.dof, line.free
    (0.0183, 8.0, 1)
    """
    days = np.array([point.day for point in points], dtype=float)
    if len(np.unique(days)) <= degree:
        return None
    last, span = float(days.max()), float(days.max() - days.min())
    powers = np.vander((days - last) / span, degree + 1, increasing=True)
    size, u = (np.array([getattr(point, name) for point in points]) for name in ("elongation", "u"))
    covariance = np.linalg.inv((powers / u[:, None] ** 2).T @ powers)
    coefficients = covariance @ ((powers / u[:, None] ** 2).T @ size)
    free = len(points) - degree - 1
    chi2 = float(np.sum(((size - powers @ coefficients) / u) ** 2))
    beyond = max(chi2 / free - 1.0, 0.0) if free else 0.0
    noise = float(np.median(u)) * math.sqrt(1.0 + beyond)
    dof = _effective(beyond, free)
    return Fit(degree, last, span, coefficients, covariance * (1.0 + beyond), noise, dof, len(points), free)


def _effective(beyond: float, free: int) -> float:
    """Give the effective degrees of freedom where scatter adds `beyond` times the variance of the readings."""
    return (1.0 + beyond) ** 2 / (1.0 / KNOWN + (beyond**2 / free if free else 0.0))


@dataclass(frozen=True, slots=True)
class Reached:
    """When a limit is reached, in days as the points count them; None where no date can be given.

    Attributes
    ----------
    early, middle, late : float or None
        Days on which it is reached with 5, 50 and 95 % probability.
    why : str
        Why a date is missing, or nothing.
    """

    early: float | None
    middle: float | None
    late: float | None
    why: str = ""


def reached(fitted: Fit, limit: float) -> Reached:
    """Give when a further reading reaches a limit with 5, 50 and 95 % probability, from the last point on.

    A trend that does not rise gives no date at all. Where growth is not 95 % sure, neither the middle nor the late
    date means anything, and only the early one is given. A limit passed at the last point gives that day.

    >>> points = [Point(day, 0.0001 * day, 1e-4) for day in (0.0, 50.0, 100.0)]
    >>> found = reached(fit(points, 1), 0.02)
    >>> round(found.middle), found.early < found.middle < found.late
    (200, True)
    """
    if fitted.rate <= 0.0 and float(fitted.mean(fitted.last)) < limit:
        return Reached(None, None, None, "the readings do not rise: no date follows from them")
    early = _first(fitted, limit, _SURE)
    if fitted.rises < _SURE and float(fitted.mean(fitted.last)) < limit:
        why = "that it grows at all is not sure beside the uncertainty of the readings: only an early date is given"
        return Reached(early, None, None, why)
    middle, late = _first(fitted, limit, 0.5), _first(fitted, limit, 1.0 - _SURE)
    why = "" if late is not None else f"a late date lies more than {HORIZON / YEAR:.0f} years ahead, or nowhere"
    return Reached(early, middle, late, why)


def _first(fitted: Fit, limit: float, quantile: float) -> float | None:
    """Give the first day from the last point on whose quantile reaches the limit."""
    days = fitted.last + np.linspace(0.0, 1.0, _STEPS) ** 2 * HORIZON
    sizes = fitted.band(days, quantile)
    over = np.flatnonzero(sizes >= limit)
    if not len(over):
        return None
    at = int(over[0])
    if at == 0:
        return float(days[0])
    share = (limit - sizes[at - 1]) / (sizes[at] - sizes[at - 1])
    return float(days[at - 1] + share * (days[at] - days[at - 1]))


def compatible(points: Sequence[Point]) -> float | None:
    """Give the probability of at least the scatter seen about a straight line if the uncertainties hold; None without.

    Below a few percent the line does not describe the readings, or one of them is wrong.
    """
    line = fit(points, 1)
    if line is None or not line.free:
        return None
    days = np.array([point.day for point in points])
    off = (np.array([point.elongation for point in points]) - line.mean(days)) / [point.u for point in points]
    return float(stats.chi2.sf(float(np.sum(off**2)), line.free))
