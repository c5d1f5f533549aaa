"""Closed-form densities of readings of one dimension of one sample.

A reading is the new part's size, changed by wear, seen with error:

    r_j = x + g_j w + e_j,   x ~ N(mean, spread²),   w ~ exponential with the given mean,   e_j ~ N(0, u_j²)

All readings of one dimension share x and w, so they are judged together and not one by one. The integral over
x and w has a closed form: with C = diag(u²) + spread² 11ᵀ and the bilinear form q(a, b) = aᵀ C⁻¹ b,

    p(r) = N(r - mean; 0, C) · (1/b) · sqrt(2π / q(g,g)) · exp(β² / 2 q(g,g)) · Φ(β / sqrt(q(g,g))),
    β = q(r - mean, g) - 1/b.

For one reading this is the exponentially modified Gaussian (convolution of a normal and an exponential density).

Wear has an end: a part that has lost more than `most` holds nothing together. Given the readings w is normal about
β / q(g,g) with variance 1 / q(g,g), cut off at 0; so the end is one more factor, P(w < most), and what the exponential
had beyond it is shared out.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import erfcx, log_ndtr, ndtr

Array = NDArray[np.float64]

_LOG_2, _LOG_2PI = float(np.log(2)), float(np.log(2 * np.pi))
_ROOT_HALF, _ROOT_2PI = float(np.sqrt(0.5)), float(np.sqrt(2 * np.pi))
_ALL_OF_IT = 25.0
"""Above so many standard deviations Φ is 1 to the last digit, while erfcx would overflow."""
_SURE, _NEVER, _NO_MORE = 8.0, -30.0, 40.0
"""From so many standard deviations on Φ is 1 or 0, and e to the minus is nothing."""
_TOO_FAR = -5.0


@dataclass(frozen=True, eq=False, slots=True)
class Sums:
    """What readings of one dimension come to, each over its variance; arrays of any one shape.

    Attributes
    ----------
    about : ndarray of float64
        What the readings are counted from [mm]; near them, so that the squares do not cancel.
    one, r, rr : ndarray of float64
        Sums of 1, of the readings, and of their squares.
    g, rg, gg : ndarray of float64
        The same with how many times the wear shows in each.
    log_norm : ndarray of float64
        Logarithm of the product of √(2π) u.
    """

    about: Array
    one: Array
    r: Array
    rr: Array
    g: Array
    rg: Array
    gg: Array
    log_norm: Array

    @staticmethod
    def add(readings: Sequence[float], u: Sequence[float], growth: Sequence[float]) -> tuple[float, ...]:
        """Add up readings [mm] with their standard uncertainties [mm] and growth [-]: the attributes, in order."""
        about = readings[0]
        one = r = rr = g = rg = gg = log_norm = 0.0
        for reading, sigma, shows in zip(readings, u, growth, strict=True):
            weight, off = 1.0 / sigma**2, reading - about
            one += weight
            r += weight * off
            rr += weight * off**2
            g += weight * shows
            rg += weight * off * shows
            gg += weight * shows**2
            log_norm += math.log(sigma) + 0.5 * _LOG_2PI
        return about, one, r, rr, g, rg, gg, log_norm


def log_density(
    readings: Array,
    u: Array,
    growth: Array,
    mean: Array,
    spread: Array,
    wear: Array,
    most: Array | None = None,
) -> Array:
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
    most : ndarray, shape (n,), optional
        Where the wear ends [mm], positive; without it nowhere.

    Returns
    -------
    ndarray, shape (n,)
        Natural logarithm of the density [1/mm^m].

    >>> one = np.ones(1)
    >>> round(float(log_density(one * 10, one * 0.1, one, one * 10, one * 0.0, one * 0)[0]), 4)
    1.3836
    """
    sums = np.array(Sums.add(readings.tolist(), u.tolist(), growth.tolist()))
    return log_density_of(Sums(*sums[:, None]), mean, spread, wear, most)


def log_density_of(sums: Sums, mean: Array, spread: Array, wear: Array, most: Array | None = None) -> Array:
    """Give the joint log density of readings by their sums, as `log_density`; all shapes are broadcast."""
    mean = mean - sums.about
    variance = spread * spread
    shrink = variance / (1.0 + variance * sums.one)
    sum_r = sums.r - mean * sums.one
    sum_rr = sums.rr - mean * (2 * sums.r - mean * sums.one)
    base = -sums.log_norm - 0.5 * (np.log1p(variance * sums.one) + sum_rr - shrink * sum_r * sum_r)
    shows = (sums.g != 0.0) & (wear != 0.0)
    result = np.broadcast_to(base, np.broadcast_shapes(base.shape, shows.shape)).copy()
    if shows.any():
        shows = np.broadcast_to(shows, result.shape)
        q_gg = np.broadcast_to(sums.gg - shrink * sums.g * sums.g, result.shape)[shows]
        q_rg = np.broadcast_to(sums.rg - mean * sums.g - shrink * sums.g * sum_r, result.shape)[shows]
        end = None if most is None else np.broadcast_to(most, result.shape)[shows]
        result[shows] += _log_wear_integral(q_rg, q_gg, np.broadcast_to(wear, result.shape)[shows], end)
    return result


def _log_wear_integral(q_rg: Array, q_gg: Array, wear: Array, most: Array | None) -> Array:
    """Give the logarithm of ∫ exp(q_rg w - q_gg w²/2) p(w) dw for exponential w of signed mean `wear`, up to `most`."""
    rate = 1.0 / np.abs(wear)
    root = np.sqrt(q_gg)
    z = (np.sign(wear) * q_rg - rate) / root
    # exp(z²/2) Φ(z) = erfcx(-z/√2)/2 stays exact far out on the left, where z²/2 + log Φ(z) would cancel.
    near = np.minimum(z, _ALL_OF_IT)
    logs = np.log(erfcx(near * -_ROOT_HALF) * rate / root) + (0.5 * _LOG_2PI - _LOG_2)
    logs += 0.5 * (z - near) * (z + near)
    return np.asarray(logs if most is None else logs + _log_ended(z, most * root, most * rate))


def _log_ended(z: Array, end: Array, times: Array) -> Array:
    """Give the logarithm of the factor by which the end of wear changes a density.

    Parameters
    ----------
    z : ndarray
        Most likely wear, given the readings, in its standard deviations.
    end : ndarray
        The end of wear in the same.
    times : ndarray
        The end of wear over its mean.
    """
    result = -np.log1p(-np.exp(-np.minimum(times, _NO_MORE)))
    room = end - z
    near = np.flatnonzero((room < _SURE) | ((z < 0.0) & (end * (room - z) < 2 * _NO_MORE)))
    if len(near):
        result[near] += _log_below_end(z[near], room[near])
    return np.asarray(result)


def _log_below_end(z: Array, room: Array) -> Array:
    """Give the logarithm of (Φ(room) - Φ(-z)) / Φ(z), which is P(w < end | w > 0)."""
    far = room < _NEVER
    room = np.maximum(room, _NEVER)
    flip = z < 0.0  # the difference of two small shares, not of two that are all but 1
    upper, lower = np.where(flip, z, room), np.where(flip, -room, -z)
    top, above = log_ndtr(upper), log_ndtr(z)
    gap = np.minimum(log_ndtr(np.minimum(lower, upper)) - top, -1e-12)
    return np.asarray(np.where(far, -0.5 * _NEVER**2 - _NO_MORE, top + np.log(-np.expm1(gap)) - above))


def density_of_worn(off: Array, sd: Array, wear: Array, most: Array | None = None) -> Array:
    """Give the density of one reading, wear integrated out; all shapes are broadcast.

    Parameters
    ----------
    off : ndarray
        How far it lies above the new part's mean, in its standard deviations.
    sd : ndarray
        Standard deviation of the reading about the new part's mean [mm].
    wear : ndarray
        Mean of the exponential wear [mm]; negative where wear takes away, 0 where there is none.
    most : ndarray, optional
        Where the wear ends [mm], positive; without it nowhere.

    Returns
    -------
    ndarray
        Density [1/mm].

    >>> one = np.ones(1)
    >>> round(float(density_of_worn(one * 0.5, one * 2.0, one * 0.0)[0]), 6)  # the normal density
    0.176033
    """
    normal = np.exp(-0.5 * off**2)
    worn = wear != 0.0
    if not worn.any():
        return np.asarray(normal / (sd * _ROOT_2PI))
    mean_wear = np.where(worn, np.abs(wear), 1.0)
    ratio = sd / mean_wear
    along = np.where(wear < 0, -off, off)
    z = along - ratio
    density = normal * erfcx(np.minimum(z, _ALL_OF_IT) * -_ROOT_HALF) * (0.5 / mean_wear)
    far = z > _ALL_OF_IT
    if far.any():
        density = np.where(far, np.exp(np.where(far, -0.5 * ratio * (z + along), 0.0)) / mean_wear, density)
    if most is not None:
        density = density * _ended(z, np.where(worn, most, 1.0), sd, mean_wear)
    return np.asarray(density if worn.all() else np.where(worn, density, normal / (sd * _ROOT_2PI)))


def _ended(z: Array, most: Array, sd: Array, mean_wear: Array) -> Array:
    """Give the factor of `_log_ended`; near 1 where the reading lies so far from the worn side that it does not matter.

    >>> one = np.ones(1)
    >>> round(float(_ended(one * 0.0, one * 0.5, one, one)[0]), 4)  # (Φ(0.5) - Φ(0)) / Φ(0) / (1 - 1/√e)
    0.9732
    """
    below = ndtr(-z)
    share = np.where(z > _TOO_FAR, (ndtr(most / sd - z) - below) / np.maximum(1.0 - below, 1e-12), 1.0)
    return np.asarray(share / -np.expm1(-most / mean_wear))


def log_normal_density(reading: float, mean: Array, spread: Array) -> Array:
    """Give the log density of one reading under a normal law, for every row [1/mm].

    >>> round(float(log_normal_density(1.0, np.zeros(1), np.ones(1))[0]), 4)
    -1.4189
    """
    return np.asarray(-0.5 * (_LOG_2PI + ((reading - mean) / spread) ** 2) - np.log(spread))


def log_sum(terms: Array) -> Array:
    """Give the logarithm of the sum of exponentials along the first axis; terms may be -inf."""
    if len(terms) == 1:
        return np.asarray(terms[0])
    peak = terms.max(axis=0)
    safe = np.where(np.isfinite(peak), peak, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(safe + np.log(np.exp(terms - safe).sum(axis=0)))


def log_sum_at(terms: Array, counts: Sequence[int]) -> Array:
    """Give the logarithms of the sums of exponentials along stretches of the first axis, so many terms each.

    >>> log_sum_at(np.log([1.0, 3.0, 2.0]), [2, 1]).round(4).tolist()
    [1.3863, 0.6931]
    """
    if len(counts) == len(terms):
        return terms
    count, starts = np.array(counts), np.cumsum([0, *counts[:-1]])
    result = np.empty((len(counts), *terms.shape[1:]))
    for length in np.unique(count):  # stretches of one length go together
        which = np.flatnonzero(count == length)
        result[which] = log_sum(terms[starts[which] + np.arange(length)[:, None]])
    return result
