"""From observations to a probability over whole numbers of pitches."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from chaincase.chains.kinds import Links
from chaincase.makeup import constants as c
from chaincase.makeup.hypotheses import Array, Growth, Pitch
from chaincase.makeup.likelihood import (
    Whole,
    counted_total,
    on_links,
    over_gaps,
    over_unequal_gaps,
    sample_ends,
    sample_gap,
    spacing_prior,
    taped_total,
)
from chaincase.makeup.observations import Counted, Observation, OnLinks, Sample, Taped
from chaincase.measuring.estimate import estimate

FEWEST, MOST = 64, 4096
"""Spacings that are looked at: at least so many, at most so many."""
ELONGATION_FARTHEST = 0.25
"""No elongation that is given or thought of lies beyond."""


@dataclass(frozen=True, eq=False)
class Posterior:
    """What the observations leave.

    Attributes
    ----------
    joint : ndarray of float64, shape (units, most, elongations)
        Probability of unit hypothesis, spacing from 1 and elongation, adding to 1.
    pitches : tuple of Pitch
        The unit hypotheses.
    growth : Growth
        The elongations.
    constant : float
        Probability that all gaps are alike.
    """

    joint: Array
    pitches: tuple[Pitch, ...]
    growth: Growth
    constant: float

    @property
    def spacing(self) -> Array:
        """Probability of each spacing from 1, shape (most,)."""
        return np.asarray(self.joint.sum(axis=(0, 2)))

    @property
    def units(self) -> Array:
        """Probability of each unit hypothesis, shape (units,)."""
        return np.asarray(self.joint.sum(axis=(1, 2)))

    @property
    def elongation(self) -> float:
        """Mean elongation [-]."""
        return float(self.joint.sum(axis=(0, 1)) @ self.growth.values)


def posterior(
    observations: Sequence[Observation], pitches: tuple[Pitch, ...], growth: Growth, links: Links
) -> Posterior:
    """Give the probability of every spacing.

    The posterior is prior times the product of the likelihoods, summed over unit and elongation. Beside it
    stands the case that the gaps vary: each is then like one seen before, or a new one as usual as any; how much
    better one constant spacing explains what was seen gives `constant`.
    """
    most = spacings_to_look_at(observations, pitches)
    k: Whole = np.arange(1, most + 1)
    prior = spacing_prior(most, links)
    starts = [pitch.probability * growth.probabilities for pitch in pitches]
    same = _Product(np.stack([np.outer(prior, start) for start in starts]))
    varying = _Product(np.stack(starts))
    gaps_seen = [_GapsSeen(prior) for _ in pitches]
    for each in observations:
        same.times([_constant(each, k, pitch, growth, links) for pitch in pitches])
        varying.times(
            [_varying(each, k, seen, pitch, growth, links) for pitch, seen in zip(pitches, gaps_seen, strict=True)]
        )
    odds = math.log((1.0 - c.VARIES) / c.VARIES) + same.log_sum - varying.log_sum
    return Posterior(same.normalized, pitches, growth, float(expit(odds)))


class _Product:
    """A product of likelihoods over unit hypotheses, scaled after each factor so that it never underflows."""

    def __init__(self, start: Array) -> None:
        self.values = start
        self.log_scale = 0.0

    def times(self, factors: Sequence[Array | float]) -> None:
        """Multiply by one factor per unit hypothesis."""
        for u, factor in enumerate(factors):
            self.values[u] *= factor
        largest = float(self.values.max())
        self.values /= largest
        self.log_scale += math.log(largest)

    @property
    def log_sum(self) -> float:
        """Logarithm of the sum over everything."""
        return self.log_scale + math.log(float(self.values.sum()))

    @property
    def normalized(self) -> Array:
        """The product, adding to 1."""
        return np.asarray(self.values / self.values.sum())


def spacings_to_look_at(observations: Sequence[Observation], pitches: Sequence[Pitch]) -> int:
    """Give up to which spacing one must look: twice what any observation points to."""
    reach = [float(FEWEST)]
    for each in observations:
        if isinstance(each, Counted):
            reach.append(2.0 * each.pitches / each.gaps)
        elif isinstance(each, Sample):
            reach.append(2.0 * max(each.bound, *each.gaps, 1))
        elif isinstance(each, Taped):
            reach += [
                2.0 * estimate(each.reading, pitch.unit).value_mm / (each.gaps * pitch.mm)
                for pitch in pitches
                if pitch.mm
            ]
    return min(int(max(reach)) + 8, MOST)


def _constant(each: Observation, k: Whole, pitch: Pitch, growth: Growth, links: Links) -> Array:
    """Give the likelihood for one constant spacing, shape (k, e) or (k, 1)."""
    if isinstance(each, Taped):
        return over_gaps(lambda totals: taped_total(each, totals, pitch, growth), k, each.gaps)
    if isinstance(each, Counted):
        return over_gaps(lambda totals: counted_total(each.pitches, totals, each.gaps), k, each.gaps)[:, None]
    if isinstance(each, OnLinks):
        return on_links(each, k, links)[:, None]
    found = sample_ends(each, k)
    for gap in each.gaps:
        found = found * sample_gap(gap, k)
    return found[:, None]


class _GapsSeen:
    """Where the gaps vary: how usual each is, given those seen so far.

    A gap is a new one with probability 1 / (n + 1) after n others, else one of these: the sampling scheme of a
    Dirichlet process with concentration 1. What was counted or taped stands for what was there.
    """

    def __init__(self, prior: Array) -> None:
        self._prior = prior
        self._seen = np.zeros_like(prior)

    @property
    def usual(self) -> Array:
        """Probability of each spacing for the next gap, shape (most,), adding to 1."""
        return np.asarray((self._seen + self._prior) / (self._seen.sum() + 1.0))

    def add(self, spacing: float) -> None:
        """Note a gap of about that many pitches."""
        self._seen[min(max(round(spacing), 1), len(self._seen)) - 1] += 1.0


def _varying(each: Observation, k: Whole, seen: _GapsSeen, pitch: Pitch, growth: Growth, links: Links) -> Array | float:
    """Give the likelihood where the gaps vary, shape (e,) or a number, and note the gaps."""
    if isinstance(each, OnLinks):
        return 1.0 if links is Links.ALIKE else c.PARITY_OF_VARYING
    if isinstance(each, Sample):
        return _varying_sample(each, k, seen)
    usual = seen.usual
    if isinstance(each, Counted):
        window = (each.pitches - each.gaps, 2 * each.pitches)
        seen.add(each.pitches / each.gaps)
        return float(over_unequal_gaps(lambda n: counted_total(each.pitches, n, each.gaps), usual, each.gaps, window))
    if pitch.mm is None:
        return 1.0
    about = estimate(each.reading, pitch.unit).value_mm / pitch.mm
    window = (int(about / (1.0 + ELONGATION_FARTHEST)) - 2, int(about / (1.0 - ELONGATION_FARTHEST)) + 2)
    found = over_unequal_gaps(lambda n: taped_total(each, n, pitch, growth), usual, each.gaps, window)
    seen.add(about / each.gaps / (1.0 + float(growth.values @ growth.probabilities)))
    return found


def _varying_sample(sample: Sample, k: Whole, seen: _GapsSeen) -> float:
    found = float(seen.usual @ sample_ends(sample, k))
    for gap in sample.gaps:
        found *= float(seen.usual @ sample_gap(gap, k))
        seen.add(gap)
    return found
