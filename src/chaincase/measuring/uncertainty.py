"""The rules of JCGM 100:2008 (GUM) that the room computes with, from a bound to an interval.

Distributions are named, so that a budget can be printed as a person would write it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtri, stdtrit

from chaincase.errors import BadInput


class Distribution(StrEnum):
    """What is assumed about an error within its bounds."""

    RECTANGULAR = "rectangular"
    NORMAL = "normal"
    STUDENT = "student"


@dataclass(frozen=True, slots=True)
class Component:
    """One line of an uncertainty budget.

    Attributes
    ----------
    name : str
        Cause of the error, in words.
    u_mm : float
        What it adds to the result, as a standard uncertainty [mm] (sensitivity already applied).
    distribution : Distribution
        Its assumed distribution.
    dof : float
        Degrees of freedom [-]; infinite where the bound is taken as known.
    """

    name: str
    u_mm: float
    distribution: Distribution = Distribution.RECTANGULAR
    dof: float = math.inf


def from_bound(half_width: float) -> float:
    """Give the standard uncertainty of an error that lies anywhere within ± `half_width`.

    Source: JCGM 100:2008, 4.3.7, equation 7: u = a / √3.

    >>> round(from_bound(0.9), 3)
    0.52
    """
    return _not_negative(half_width, "half width of a bound") / math.sqrt(3.0)


def from_step(step: float) -> float:
    """Give the standard uncertainty of rounding to multiples of `step`.

    Source: JCGM 100:2008, F.2.2.1: u = step / √12 = 0.29 step.

    >>> round(from_step(0.01), 4)
    0.0029
    """
    return _not_negative(step, "rounding step") / math.sqrt(12.0)


def from_certificate(expanded: float, coverage: float = 2.0) -> float:
    """Give the standard uncertainty behind an expanded one U and its coverage factor k.

    Source: JCGM 100:2008, 4.3.3.

    >>> from_certificate(0.0005)
    0.00025
    """
    return _not_negative(expanded, "expanded uncertainty") / coverage


def mean_of(values: Sequence[float]) -> tuple[float, float, float]:
    """Give mean, standard uncertainty of the mean and degrees of freedom of repeated readings.

    One value alone says nothing about its scatter: it gives 0 with 0 degrees of freedom.

    Source: JCGM 100:2008, 4.2.1 to 4.2.3: u = s / √n with n - 1 degrees of freedom.

    Raises
    ------
    BadInput
        If there is no value.

    >>> mean, u, dof = mean_of([10.0, 10.2, 10.4])
    >>> round(mean, 3), round(u, 4), dof
    (10.2, 0.1155, 2.0)
    """
    if not values:
        raise BadInput("there is no value to average", right="give at least one")
    dof = len(values) - 1
    if min(values) == max(values):
        return values[0], 0.0, float(dof)
    mean = math.fsum(values) / len(values)
    squares = math.fsum((value - mean) ** 2 for value in values)
    return mean, math.sqrt(squares / dof / len(values)), float(dof)


def combine(components: Sequence[Component]) -> tuple[float, float]:
    """Give the combined standard uncertainty and its effective degrees of freedom of independent components.

    Source: JCGM 100:2008, 5.1.2 (root of the sum of squares) and G.4.1.

    >>> combine([Component("limit", 3.0), Component("rounding", 4.0)])
    (5.0, inf)
    """
    parts = [component.u_mm for component in components]
    return math.hypot(*parts), welch_satterthwaite(parts, [component.dof for component in components])


def welch_satterthwaite(contributions: Sequence[float], dof: Sequence[float]) -> float:
    """Give the effective degrees of freedom of a combined uncertainty.

    Parameters
    ----------
    contributions : sequence of float
        Standard uncertainties, sensitivities applied, all in one unit.
    dof : sequence of float
        Degrees of freedom of each [-]; may be infinite.

    Returns
    -------
    float
        u⁴ / Σ (uᵢ⁴ / νᵢ) [-]; infinite where every part that counts is known exactly.

    Raises
    ------
    BadInput
        If the two lists differ in length, or a part that is not zero has no degree of freedom.

    Source: JCGM 100:2008, G.4.1, equation G.2b.

    >>> welch_satterthwaite([1.0, 1.0], [4, 4])
    8.0
    """
    if len(contributions) != len(dof):
        raise BadInput(
            f"{len(contributions)} contributions but {len(dof)} degrees of freedom", right="give one of each"
        )
    counting = [(u, nu) for u, nu in zip(contributions, dof, strict=True) if u != 0.0]
    if any(not nu > 0.0 for _, nu in counting):
        raise BadInput("a contribution has no degree of freedom", right="give a number above 0, or infinity")
    largest = max((abs(u) for u, _ in counting), default=0.0)
    # Shares of the largest part, so that fourth powers neither vanish nor overflow.
    shares = [(u / largest, nu) for u, nu in counting]
    below = math.fsum(share**4 / nu for share, nu in shares)
    return math.fsum(share**2 for share, _ in shares) ** 2 / below if below > 0.0 else math.inf


def propagate(gradient: ArrayLike, covariance: ArrayLike) -> float:
    """Give the standard uncertainty of a quantity from those of its inputs, correlations included.

    Parameters
    ----------
    gradient : array_like, shape (n,)
        Sensitivity of the result to each input.
    covariance : array_like, shape (n, n)
        Covariance of the inputs; symmetric, no negative variance.

    Returns
    -------
    float
        √(g V gᵀ), in the result's unit.

    Raises
    ------
    BadInput
        If the shapes do not fit, or `covariance` is not a covariance.

    Source: JCGM 100:2008, 5.2.2, equation 13.

    >>> propagate([1.0, 1.0], [[9.0, 0.0], [0.0, 16.0]])
    5.0
    >>> propagate([1.0, -1.0], [[9.0, 9.0], [9.0, 9.0]])
    0.0
    """
    g = np.asarray(gradient, dtype=np.float64)
    v = np.asarray(covariance, dtype=np.float64)
    if g.ndim != 1 or v.shape != (g.size, g.size):
        raise BadInput(
            f"a gradient of shape {g.shape} does not go with a covariance of shape {v.shape}",
            right="give n sensitivities and an n by n covariance",
        )
    if not np.allclose(v, v.T) or np.any(np.diag(v) < 0.0):
        raise BadInput("the covariance is not symmetric or has a negative variance", right="give a covariance")
    # Rounding can leave a variance of exactly correlated inputs a hair below zero.
    return math.sqrt(max(float(g @ v @ g), 0.0))


def student_factor(dof: float, coverage: float = 0.95) -> float:
    """Give by what to multiply a standard uncertainty to cover a share of the values, two-sided.

    Source: JCGM 100:2008, G.3.2 and Table G.2. That guide cuts effective degrees of freedom down to a whole
    number first (G.4.1); do so before calling where its figures are to be met.

    Raises
    ------
    BadInput
        If `dof` is not above 0 or `coverage` not between 0 and 1.

    >>> round(student_factor(16, 0.99), 2)
    2.92
    >>> round(student_factor(math.inf), 2)
    1.96
    """
    if not dof > 0.0:
        raise BadInput(f"{dof} degrees of freedom", right="give a number above 0, or infinity")
    if not 0.0 < coverage < 1.0:
        raise BadInput(f"a coverage of {coverage}", right="give a share between 0 and 1")
    upper = (1.0 + coverage) / 2.0
    return float(ndtri(upper)) if math.isinf(dof) else float(stdtrit(dof, upper))


def expanded(u: float, dof: float = math.inf, coverage: float = 0.95) -> float:
    """Give the half width of the interval that covers a share of the values, in the unit of `u`.

    >>> round(expanded(0.5), 2)
    0.98
    """
    return u * student_factor(dof, coverage)


def _not_negative(value: float, what: str) -> float:
    if not 0.0 <= value < math.inf:
        raise BadInput(f"a {what} of {value}", right="give a finite number, 0 or more")
    return value
