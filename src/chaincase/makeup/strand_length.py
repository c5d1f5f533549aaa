"""How many pitches a strand has, from a count and from a tape over the old, worn chain."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup import constants as c
from chaincase.makeup.hypotheses import Array, Growth, Pitch, growth_of
from chaincase.makeup.likelihood import Whole, taped_total
from chaincase.makeup.observations import Counted, Taped
from chaincase.makeup.patterns import LONGEST, Pattern
from chaincase.measuring.estimate import estimate
from chaincase.measuring.reading import Reading

LEAST = 1e-6


@dataclass(frozen=True, slots=True)
class LengthOdds:
    """What the number of pitches may be.

    Attributes
    ----------
    pitches : tuple of (int, float)
        Numbers of pitches and their probabilities, likeliest first, adding to 1.
    nominal_mm : float or None
        Length of a new strand of the likeliest number [mm]; None without a pitch.
    contradictions : tuple of str
        What cannot both be true.
    warnings : tuple of str
        What must be known about the answer.
    """

    pitches: tuple[tuple[int, float], ...]
    nominal_mm: float | None
    contradictions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def at_least(self, probability: float) -> tuple[int, ...]:
        """Give the fewest numbers of pitches that together have that probability, rising."""
        kept, reached = [], 0.0
        for number, share in self.pitches:
            kept.append(number)
            reached += share
            if reached >= probability:
                break
        return tuple(sorted(kept))


def counted_strand(pitches: int) -> Counted:
    """Give a count of a whole strand.

    Raises
    ------
    BadInput
        If it is no number of pitches.
    """
    if not 2 <= pitches <= LONGEST:
        raise BadInput(f"a strand of {pitches} pitches", right=f"give a whole number from 2 to {LONGEST}")
    return Counted(pitches)


def taped_strand(length: str | float, *, instrument: str = "tape") -> Taped:
    """Give a tape over a whole strand, pulled straight, from a pin to the same pin of the end that joins it.

    Raises
    ------
    BadInput
        If it is no length.
    """
    return Taped(Reading.parse("pitch", length, instrument=instrument, technique="same edge", place="strand length"))


def strand_length(
    observations: Sequence[Counted | Taped],
    links: Links,
    *,
    pitch_mm: float | None = None,
    elongation: tuple[float, float | None] | None = None,
    pattern: Pattern | None = None,
) -> LengthOdds:
    """Give the probability of every number of pitches of an endless strand.

    Parameters
    ----------
    observations : sequence of Counted or Taped
        See `counted_strand` and `taped_strand`; a taped length needs its unit and a pitch.
    links : Links
        Where they alternate, an odd number needs an offset link and is rare.
    pitch_mm : float, optional
        Nominal pitch [mm].
    elongation : tuple of (float, float or None), optional
        Present elongation of the mean pitch and its standard uncertainty [-]. Without it the chain may have
        grown as chains that are replaced have, which leaves several numbers.
    pattern : Pattern, optional
        What it carries; numbers in which it closes are likelier.

    Raises
    ------
    BadInput
        If there is nothing to go by.

    >>> odds = strand_length([counted_strand(240)], Links.ALTERNATE)
    >>> odds.pitches[0][0], odds.pitches[0][1] > 0.9
    (240, True)
    """
    useful = [each for each in observations if isinstance(each, Counted) or pitch_mm is not None]
    if not useful:
        what = "a taped length without the pitch" if observations else "no observation of the strand's length"
        raise BadInput(what, right="count the pitches, or give the pitch and a taped length")
    pitch, growth = Pitch(None, pitch_mm, 0.0, 1.0), growth_of(elongation)
    numbers = _numbers(useful, pitch)
    joint = np.outer(_prior(numbers, links, pattern), growth.probabilities)
    for each in useful:
        joint = joint * _likelihood(each, numbers, pitch, growth)
        joint = joint / joint.max()
    shares = joint.sum(axis=1) / joint.sum()
    likely = [int(i) for i in np.argsort(-shares, kind="stable") if shares[i] >= LEAST]
    total = float(shares[likely].sum())
    odds = tuple((int(numbers[i]), float(shares[i]) / total) for i in likely)
    return LengthOdds(
        odds,
        None if pitch_mm is None else odds[0][0] * pitch_mm,
        tuple(_contradictions(useful, pitch, growth)),
        tuple(_warnings(observations, useful, odds, links, growth_given=elongation is not None)),
    )


def _numbers(observations: Sequence[Counted | Taped], pitch: Pitch) -> Whole:
    """Give the numbers of pitches to think of: from a fifth under the least said to a tenth over the most."""
    said = [_about(each, pitch) for each in observations]
    low, high = max(int(0.8 * min(said)) - 4, 2), int(1.1 * max(said)) + 5
    if high > LONGEST:
        raise BadInput(f"a strand of {max(said):.0f} pitches", right=f"at most {LONGEST}; is the pitch right")
    return np.arange(low, high + 1)


def _about(each: Counted | Taped, pitch: Pitch) -> float:
    if isinstance(each, Counted):
        return float(each.pitches)
    assert pitch.mm is not None  # noqa: S101 - tapes without a pitch were left out
    return estimate(each.reading, pitch.unit).value_mm / pitch.mm


def _prior(numbers: Whole, links: Links, pattern: Pattern | None) -> Array:
    weight = np.ones(len(numbers))
    if links is Links.ALTERNATE:
        weight = np.where(numbers % 2 == 1, c.ODD_STRAND, weight)
    if pattern is not None:
        weight = np.where(numbers % pattern.period == 0, weight, weight * c.OPEN_PATTERN)
    return np.asarray(weight)


def _likelihood(each: Counted | Taped, numbers: Whole, pitch: Pitch, growth: Growth) -> Array:
    if isinstance(each, Taped):
        return taped_total(each, numbers, pitch, growth)
    slip = min(c.COUNT_BELOW + c.COUNT_ABOVE + c.STRAND_SLIP * each.pitches, c.STRAND_SLIP_MOST)
    off = np.abs(numbers - each.pitches)
    # Most who slip slip by one; a chalk mark passed twice or a section skipped is anything.
    found = (1.0 - slip) * (off == 0) + 0.35 * slip * (off == 1) + 0.10 * slip * (off == 2)
    return np.asarray(found + 0.10 * slip / c.WRONG_OVER)[:, None]


def _contradictions(observations: Sequence[Counted | Taped], pitch: Pitch, growth: Growth) -> list[str]:
    """Say which two leave no number of pitches in common."""
    said = [(each.words, *_range(each, pitch, growth)) for each in observations]
    return [
        f"{a[:1].upper()}{a[1:]} leaves {_left(low_a, high_a)}, {b} leaves {_left(low_b, high_b)}: both cannot be true"
        for i, (a, low_a, high_a) in enumerate(said)
        for b, low_b, high_b in said[i + 1 :]
        if low_b > high_a or low_a > high_b
    ]


def _range(each: Counted | Taped, pitch: Pitch, growth: Growth) -> tuple[int, int]:
    if isinstance(each, Counted):
        return each.pitches, each.pitches
    about = _about(each, pitch)
    assert pitch.mm is not None  # noqa: S101 - as above
    own = np.hypot(estimate(each.reading, pitch.unit).u_mm, c.PLACE_MM) / pitch.mm
    u = float(np.hypot(own, c.MAKE_RELATIVE * about))
    low, high = growth.limits
    return int(np.ceil(about / (1.0 + high) - 3.0 * u)), int(np.floor(about / (1.0 + low) + 3.0 * u))


def _left(low: int, high: int) -> str:
    return f"{low}" if low == high else f"{low} to {high}"


def _warnings(
    observations: Sequence[Counted | Taped],
    useful: Sequence[Counted | Taped],
    odds: Sequence[tuple[int, float]],
    links: Links,
    *,
    growth_given: bool,
) -> list[str]:
    said = []
    if len(useful) < len(observations):
        said.append("a taped length carries no weight without the pitch")
    if not growth_given and not any(isinstance(each, Counted) for each in useful):
        said.append("the elongation is not known, so that the tape alone leaves several numbers; count the pitches")
    if links is Links.ALTERNATE and odds[0][0] % 2:
        said.append("an odd number of pitches needs an offset link, which weakens the strand; see whether there is one")
    return said
