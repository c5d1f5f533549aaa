"""Closed-form densities of readings of one dimension of one sample.

A reading is the new part's size, changed by wear, seen with error:

    r_j = x + g_j w + e_j,   x ~ N(mean, spread²),   w ~ exponential with the given mean,   e_j ~ N(0, u_j²)

All readings of one dimension share x and w, so they are judged together and not one by one. The integral over
x and w has a closed form: with C = diag(u²) + spread² 11ᵀ and the bilinear form q(a, b) = aᵀ C⁻¹ b,

    p(r) = N(r - mean; 0, C) · (1/b) · sqrt(2π / q(g,g)) · exp(β² / 2 q(g,g)) · Φ(β / sqrt(q(g,g))),
    β = q(r - mean, g) - 1/b.

For one reading this is the exponentially modified Gaussian (convolution of a normal and an exponential density).
"""

import numpy as np
from numpy.typing import NDArray
from scipy.special import erfcx

Array = NDArray[np.float64]

_LOG_2PI = float(np.log(2 * np.pi))
_ALL_OF_IT = 25.0
"""Above so many standard deviations Φ is 1 to the last digit, while erfcx would overflow."""


def log_density(readings: Array, u: Array, growth: Array, mean: Array, spread: Array, wear: Array) -> Array:
    """Give the joint log density of readings of one dimension, for every row.

    Parameters
    ----------
    readings, u : ndarray, shape (m,)
        Estimates and their standard uncertainties [mm].
    growth : ndarray, shape (m,)
        How many times the wear shows in each reading [-].
    mean, spread : ndarray, shape (n,)
        New part: mean size and standard deviation [mm].
    wear : ndarray, shape (n,)
        Mean of the exponential wear [mm]; negative where wear takes away, 0 where there is none.

    Returns
    -------
    ndarray, shape (n,)
        Natural logarithm of the density [1/mm^m].

    >>> one = np.ones(1)
    >>> round(float(log_density(one * 10, one * 0.1, one, one * 10, one * 0.0, one * 0)[0]), 4)
    1.3836
    """
    weights = 1.0 / u**2
    total = weights.sum()
    shrink = spread**2 / (1.0 + spread**2 * total)
    sum_r = weights @ readings - mean * total
    sum_rr = (weights * readings**2).sum() - 2 * mean * (weights @ readings) + mean**2 * total
    base = -0.5 * (
        len(readings) * _LOG_2PI + 2 * np.log(u).sum() + np.log1p(spread**2 * total) + sum_rr - shrink * sum_r**2
    )
    sum_g = float(weights @ growth)
    if sum_g == 0.0 or not np.any(wear):
        return np.asarray(base)
    sum_rg = weights @ (readings * growth) - mean * sum_g
    q_gg = weights @ growth**2 - shrink * sum_g**2
    q_rg = sum_rg - shrink * sum_r * sum_g
    return np.asarray(np.where(wear == 0.0, base, base + _log_wear_integral(q_rg, q_gg, wear)))


def _log_wear_integral(q_rg: Array, q_gg: Array, wear: Array) -> Array:
    """Give the logarithm of ∫ exp(q_rg w - q_gg w²/2) p(w) dw for exponential w of signed mean `wear`."""
    rate = 1.0 / np.where(wear == 0.0, 1.0, np.abs(wear))
    root = np.sqrt(q_gg)
    z = (np.sign(wear) * q_rg - rate) / root
    # exp(z²/2) Φ(z) = erfcx(-z/√2)/2 stays exact far out on the left, where z²/2 + log Φ(z) would cancel.
    scaled = np.where(z > _ALL_OF_IT, 0.5 * z**2, np.log(0.5 * erfcx(-np.minimum(z, _ALL_OF_IT) / np.sqrt(2))))
    return np.asarray(np.log(rate) + 0.5 * _LOG_2PI - np.log(root) + scaled)


def log_normal_density(reading: float, mean: Array, spread: Array) -> Array:
    """Give the log density of one reading under a normal law, for every row [1/mm].

    >>> round(float(log_normal_density(1.0, np.zeros(1), np.ones(1))[0]), 4)
    -1.4189
    """
    return np.asarray(-0.5 * (_LOG_2PI + ((reading - mean) / spread) ** 2) - np.log(spread))
