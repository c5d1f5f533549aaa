"""How likely an observation is for every whole number of pitches, slips of the people included."""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.kinds import Links
from chaincase.makeup import constants as c
from chaincase.makeup.hypotheses import Array, Growth, Pitch
from chaincase.makeup.observations import OnLinks, Sample, Taped, Where
from chaincase.measuring.estimate import estimate

Whole = NDArray[np.int64]


def spacing_prior(most: int, links: Links) -> Array:
    """Give how usual each spacing is, from 1 to `most` pitches, shape (most,), adding to 1.

    Even and small ones are the usual ones; where links alternate, an odd spacing needs both kinds of attachment
    link. Common practice, no source.
    """
    k = np.arange(1, most + 1, dtype=np.float64)
    weight = (k + 3.0) ** -c.SPACING_FALLS
    weight = np.where(np.isin(k, sorted(c.USUAL_SPACINGS)), weight * c.USUAL, weight)
    if links is Links.ALTERNATE:
        weight = np.where(k % 2 == 1, weight * c.ODD_SPACING, weight)
    return np.asarray(weight / weight.sum())


def gap_shares(gaps: int) -> tuple[tuple[int, float], ...]:
    """Give how many gaps there may be where `gaps` were said, with their probabilities [-].

    >>> gap_shares(1)
    ((1, 0.995), (2, 0.005))
    """
    if gaps == 1:
        return (1, 1.0 - c.GAP_SKIPPED), (2, c.GAP_SKIPPED)
    half = c.GAP_MISCOUNTED / 2
    return (gaps, 1.0 - c.GAP_MISCOUNTED), (gaps - 1, half), (gaps + 1, half)


def counted_total(counted: int | Whole, totals: Whole, gaps: int = 1) -> Array:
    """Give the probability of a count for each true number of pitches; the shapes are broadcast.

    The slip of one comes once, or in every gap where each was counted by itself.
    """
    right = 1.0 - c.COUNT_BELOW - c.COUNT_ABOVE - c.COUNT_HALVED - c.COUNT_WRONG
    found = right * (totals == counted) + c.COUNT_HALVED * (totals == 2 * counted) + c.COUNT_WRONG / c.WRONG_OVER
    slips = (1,) if gaps == 1 else (1, gaps)
    for slip in slips:
        found = found + c.COUNT_BELOW / len(slips) * (totals - slip == counted)
        found = found + c.COUNT_ABOVE / len(slips) * (totals + slip == counted)
    return np.asarray(found, dtype=np.float64)


def taped_total(taped: Taped, totals: Whole, pitch: Pitch, growth: Growth) -> Array:
    """Give the density of a taped length for each number of pitches and elongation [1/mm], shape (totals, e).

    A reading that carries no weight, as one off a photograph, or one without a pitch, is equally likely for all.
    """
    found = estimate(taped.reading, pitch.unit)
    if pitch.mm is None or not found.usable:
        return np.ones((len(totals), len(growth.values)))
    mean = pitch.mm * np.outer(totals, 1.0 + growth.values)
    own = np.hypot(found.u_mm, c.PLACE_MM)
    sd = np.hypot(own, mean * np.hypot(pitch.relative_u, c.MAKE_RELATIVE))
    normal = np.exp(-0.5 * ((found.value_mm - mean) / sd) ** 2) / (sd * np.sqrt(2.0 * np.pi))
    wrong = c.TAPE_WRONG / (c.TAPE_LOG_RANGE * found.value_mm)
    return np.asarray((1.0 - c.TAPE_WRONG) * normal + wrong)


def sample_gap(gap: int, spacings: Whole) -> Array:
    """Give the probability of a gap seen in a piece for each spacing, shape as `spacings`."""
    right = 1.0 - c.SAMPLE_OFF_BY_ONE - c.SAMPLE_LOST - c.SAMPLE_WRONG
    return np.asarray(
        right * (spacings == gap)
        + c.SAMPLE_OFF_BY_ONE / 2 * (np.abs(spacings - gap) == 1)
        + c.SAMPLE_LOST * (gap == 2 * spacings)
        + c.SAMPLE_WRONG / c.WRONG_OVER,
        dtype=np.float64,
    )


def sample_ends(sample: Sample, spacings: Whole) -> Array:
    """Give the probability of where the first and last attachment of a piece lie, shape as `spacings`.

    People cut a piece where it suits them, with an attachment in it if they can; where it lies within its gap is
    chance. A piece without any only bounds the spacing.
    """
    fits = spacings > sample.bound
    chance = 1.0 if len(sample.attachments) != 1 else 1.0 / np.minimum(sample.links, spacings)
    return np.asarray(np.where(fits, chance, c.SAMPLE_LOST / sample.links), dtype=np.float64)


def on_links(seen: OnLinks, spacings: Whole, links: Links) -> Array:
    """Give the probability of finding attachments on one kind of link, or on both, shape as `spacings`."""
    if links is Links.ALIKE:
        return np.ones(len(spacings))
    one_kind = np.where(spacings % 2 == 0, 1.0 - c.PARITY_WRONG, c.PARITY_WRONG)
    return np.asarray(1.0 - one_kind if seen.where is Where.BOTH else one_kind)


Total = Callable[[Whole], Array]


def over_gaps(total: Total, spacings: Whole, gaps: int) -> Array:
    """Give a likelihood of spacings from that of a total number of pitches over `gaps` equal gaps."""
    return np.asarray(sum(share * total(spacings * number) for number, share in gap_shares(gaps)))


def over_unequal_gaps(total: Total, prior: Array, gaps: int, window: tuple[int, int]) -> Array:
    """Give the likelihood where each gap is what it likes: the mean over the sums of `gaps` gaps.

    A sum is as probable as its mean spacing, shared among the sums that round to the same mean. Sums outside
    `window` are all as likely as the first one beyond it.
    """
    most = gaps * len(prior)
    low, high = max(window[0], gaps), min(window[1], most)
    totals = np.arange(low, max(high, low) + 1)
    mean = np.clip(np.rint(totals / gaps).astype(np.int64), 1, len(prior))
    weights = prior[mean - 1] / gaps
    rest = max(1.0 - float(weights.sum()), 0.0)
    beyond = total(np.array([window[1] + gaps + 1]))[0]
    return np.asarray(np.tensordot(weights, total(totals), axes=1) + rest * beyond)
