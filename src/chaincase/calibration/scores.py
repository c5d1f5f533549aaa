"""How good stated probabilities are: pure functions on arrays, each with an error bar.

Brier score and log score are proper scores: they are best only where the stated probability is the true one.
Sources: G. W. Brier's score of 1950 in its form for several classes; Wilson's interval for shares; the area under
the ROC curve as the Mann-Whitney statistic; expected calibration error over bins of equal mass.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.stats import rankdata

Array = NDArray[np.float64]

LOG_FLOOR = 1e-6
"""Least probability that counts in the log score: an answer that excludes the truth costs ln 1e6 = 13.8."""
BINS = 15
_Z = 1.959963984540054
"""Quantile of the standard normal distribution for 95 %."""
_RESAMPLES = 400


@dataclass(frozen=True, slots=True)
class Figure:
    """A result with its 95 % interval; NaN where there was nothing to judge.

    Attributes
    ----------
    value, low, high : float
    n : int
        Cases behind it.
    """

    value: float
    low: float
    high: float
    n: int


@dataclass(frozen=True, slots=True)
class Bin:
    """One bin of a reliability diagram: mean stated probability, share that was right with its interval, cases."""

    stated: float
    right: Figure


def share(hits: ArrayLike) -> Figure:
    """Give the share of hits, with Wilson's interval.

    >>> figure = share([True, True, False, True])
    >>> figure.value, round(figure.low, 3), round(figure.high, 3)
    (0.75, 0.301, 0.954)
    """
    flags = np.asarray(hits, dtype=bool)
    n = len(flags)
    if n == 0:
        return Figure(math.nan, math.nan, math.nan, 0)
    p = float(flags.mean())
    center = (p + _Z**2 / (2 * n)) / (1 + _Z**2 / n)
    half = _Z / (1 + _Z**2 / n) * math.sqrt(p * (1 - p) / n + _Z**2 / (4 * n**2))
    return Figure(p, max(center - half, 0.0), min(center + half, 1.0), n)


def mean(values: ArrayLike) -> Figure:
    """Give the mean, with a normal interval.

    >>> mean([1.0, 3.0]).value
    2.0
    """
    data = np.asarray(values, dtype=np.float64)
    n = len(data)
    if n == 0:
        return Figure(math.nan, math.nan, math.nan, 0)
    half = _Z * float(data.std(ddof=1)) / math.sqrt(n) if n > 1 else math.inf
    return Figure(float(data.mean()), float(data.mean()) - half, float(data.mean()) + half, n)


def log_scores(probability_of_truth: ArrayLike) -> Array:
    """Give the natural logarithm of the probability that each answer gave to the truth, at least ln `LOG_FLOOR`.

    >>> [round(float(score), 3) for score in log_scores([1.0, 0.5, 0.0])]
    [0.0, -0.693, -13.816]
    """
    return np.asarray(np.log(np.maximum(np.asarray(probability_of_truth, dtype=np.float64), LOG_FLOOR)))


def brier(probabilities: ArrayLike, truth: int | None) -> float:
    """Give the Brier score of one answer: the squared error summed over all its classes, 0 to 2.

    Parameters
    ----------
    probabilities : array_like of float, shape (k,)
        Stated probability of each class.
    truth : int or None
        Which class it was; None where the truth is none of those stated.

    >>> round(brier([0.7, 0.2, 0.1], 0), 3)
    0.14
    """
    error = np.array(probabilities, dtype=np.float64)
    missing = 1.0 if truth is None else 0.0
    if truth is not None:
        error[truth] -= 1.0
    return float(error @ error) + missing


def equal_mass(stated: Array, bins: int = BINS) -> list[NDArray[np.int64]]:
    """Give the cases of each bin, by rising probability, as many in one as in the next but for one."""
    order = np.argsort(stated, kind="stable")
    return [part for part in np.array_split(order, min(bins, max(len(order), 1))) if len(part)]


def reliability(stated: ArrayLike, right: ArrayLike, bins: int = BINS) -> list[Bin]:
    """Give stated and true shares in bins of equal mass.

    >>> [(round(b.stated, 2), b.right.value) for b in reliability([0.6, 0.5, 0.9, 1.0], [0, 1, 1, 1], bins=2)]
    [(0.55, 0.5), (0.95, 1.0)]
    """
    p, hits = np.asarray(stated, dtype=np.float64), np.asarray(right, dtype=bool)
    return [Bin(float(p[part].mean()), share(hits[part])) for part in equal_mass(p, bins)]


def calibration_gap(stated: Array, right: NDArray[np.bool_], bins: int = BINS) -> float:
    """Give the expected calibration error: mean distance of stated and true share over bins of equal mass."""
    total = 0.0
    for part in equal_mass(stated, bins):
        total += len(part) * abs(float(stated[part].mean()) - float(right[part].mean()))
    return total / len(stated)


def calibration_error(stated: ArrayLike, right: ArrayLike, bins: int = BINS) -> Figure:
    """Give the expected calibration error with a bootstrap interval.

    It is biased upward by chance alone: by about 0.03 with 1000 cases, 0.01 with 10 000.
    """
    p, hits = np.asarray(stated, dtype=np.float64), np.asarray(right, dtype=bool)
    return bootstrap(lambda rows: calibration_gap(p[rows], hits[rows], bins), len(p))


def calibration_floor(stated: ArrayLike, bins: int = BINS, *, seed: int = 0) -> float:
    """Give the mean calibration error of answers whose stated probabilities are exactly true: what chance alone gives.

    >>> calibration_floor([0.0, 1.0])
    0.0
    """
    p = np.asarray(stated, dtype=np.float64)
    rng = np.random.default_rng(seed)
    drawn = [calibration_gap(p, rng.random(len(p)) < p, bins) for _ in range(_RESAMPLES // 2)]
    return float(np.mean(drawn)) if len(p) else math.nan


def wrong_when_sure(stated: ArrayLike, right: ArrayLike, level: float = 0.99) -> Figure:
    """Give the share of wrong answers among those stated with at least that probability."""
    sure = np.asarray(stated, dtype=np.float64) >= level
    return share(~np.asarray(right, dtype=bool)[sure])


def roc_area(score: ArrayLike, positive: ArrayLike) -> float:
    """Give the chance that a positive case scores above a negative one, ties counting half; NaN without both.

    >>> roc_area([0.9, 0.4, 0.4, 0.1], [1, 1, 0, 0])
    0.875
    """
    flags = np.asarray(positive, dtype=bool)
    n_positive, n_negative = int(flags.sum()), int((~flags).sum())
    if not n_positive or not n_negative:
        return math.nan
    ranks = rankdata(np.asarray(score, dtype=np.float64))
    above = float(ranks[flags].sum()) - n_positive * (n_positive + 1) / 2
    return above / (n_positive * n_negative)


def roc(score: ArrayLike, positive: ArrayLike) -> Figure:
    """Give the area under the ROC curve with a bootstrap interval."""
    s, flags = np.asarray(score, dtype=np.float64), np.asarray(positive, dtype=bool)
    return bootstrap(lambda rows: roc_area(s[rows], flags[rows]), len(s))


def median(values: ArrayLike) -> Figure:
    """Give the median with a bootstrap interval."""
    data = np.asarray(values, dtype=np.float64)
    return bootstrap(lambda rows: float(np.median(data[rows])), len(data))


def bootstrap(statistic: Callable[[NDArray[np.int64]], float], n: int, *, seed: int = 0) -> Figure:
    """Give a statistic of n cases with its 95 % percentile interval over resampled cases.

    Parameters
    ----------
    statistic : callable
        Takes the indexes of the cases to use.
    n : int
        Number of cases.
    seed : int
        Of the resampling.
    """
    if n == 0:
        return Figure(math.nan, math.nan, math.nan, 0)
    rng = np.random.default_rng(seed)
    drawn = np.array([statistic(rng.integers(n, size=n)) for _ in range(_RESAMPLES)])
    drawn = drawn[np.isfinite(drawn)]
    low, high = np.quantile(drawn, [0.025, 0.975]) if len(drawn) else (math.nan, math.nan)
    return Figure(statistic(np.arange(n)), float(low), float(high), n)
