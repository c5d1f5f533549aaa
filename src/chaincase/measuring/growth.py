"""Where joint wear shows: how many times the elongation per pitch is in a reading of the pitch.

On chain of alternating links the pins sit fast in the outer plates and the bushes in the inner plates. Wear
w per joint makes the strand longer by w per pitch on the mean, e = w / p. Seen from the pins an outer link
keeps its pitch, while an inner link lets both its pins move outward and shows 2 w; seen from the rollers it
is the other way round. Over n pitches the growing links count 2 w each, so that an odd n shows (n - 1) / n or
(n + 1) / n times e. Where all links are alike each pitch has one pin end and one bush end and shows w. Two
holes in one plate never part.

Source: geometry of the joint; that the outer link, seen from the rollers, grows twice as much as the strand
is also printed in textbooks on chain drives.
"""

import math
from collections.abc import Iterable
from enum import StrEnum

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.measuring.techniques import Technique


class Link(StrEnum):
    """The first link that a reading spans."""

    INNER = "inner"
    OUTER = "outer"
    OFFSET = "offset"
    UNKNOWN = "unknown"


class Reference(StrEnum):
    """What a pitch was taken between."""

    PINS = "pins"
    ROLLERS = "rollers"
    """Rollers, bushes or barrels: what the sprocket touches."""
    HOLES = "holes"
    """Holes of the plates; over one pitch both in one plate."""
    UNKNOWN = "unknown"


Mixture = tuple[tuple[float, float], ...]
"""Pairs of growth factor [-] and its probability [-], factors rising, probabilities adding to 1."""

_PINS = ((Reference.PINS, 0.85), (Reference.ROLLERS, 0.15))
_JAWS = ((Reference.PINS, 0.5), (Reference.ROLLERS, 0.5))
_HOLES = ((Reference.HOLES, 1.0),)

# Common practice, no source: pin heads are what a tape sees, caliper jaws go between or over rollers as
# readily, and only a hole can be zeroed on.
REFERENCE_GUESS: dict[Technique, tuple[tuple[Reference, float], ...]] = {
    Technique.CENTER_TO_CENTER: _PINS,
    Technique.SAME_EDGE: _PINS,
    Technique.INSIDE_EDGES: _JAWS,
    Technique.OUTSIDE_EDGES: _JAWS,
    Technique.ZEROED_ON_HOLE: _HOLES,
    Technique.DIRECT: _PINS,
    Technique.UNKNOWN: _PINS,
}
"""What a pitch was taken between where nobody says so."""

LINK_GUESS = ((Link.INNER, 0.5), (Link.OUTER, 0.5))
"""The first link where nobody names it: common practice, no source."""


def growth(
    links: Links, link: Link, reference: Reference, over: int, technique: Technique = Technique.UNKNOWN
) -> Mixture:
    """Give how many times the elongation e shows in a reading of the pitch.

    The pitch seen is the new pitch times (1 + factor * e).

    Parameters
    ----------
    links : Links
        How the links of the chain in question follow each other.
    link : Link
        First link spanned; what is unknown becomes a mixture.
    reference : Reference
        What it was taken between; what is unknown is guessed from the technique.
    over : int
        Pitches spanned, by whose number the reading has been divided.
    technique : Technique
        How it was taken; only for an unknown reference.

    Returns
    -------
    tuple of (float, float)
        Factors with their probabilities [-].

    Raises
    ------
    BadInput
        If `over` is below 1.

    >>> growth(Links.ALTERNATE, Link.OUTER, Reference.PINS, 1)
    ((0.0, 1.0),)
    >>> growth(Links.ALTERNATE, Link.UNKNOWN, Reference.ROLLERS, 1)
    ((0.0, 0.5), (2.0, 0.5))
    >>> growth(Links.ALIKE, Link.UNKNOWN, Reference.PINS, 7)
    ((1.0, 1.0),)
    """
    if over < 1:
        raise BadInput(f"over {over} pitches", right="give a whole number, 1 or more")
    references = REFERENCE_GUESS[technique] if reference is Reference.UNKNOWN else ((reference, 1.0),)
    firsts = LINK_GUESS if link is Link.UNKNOWN else ((link, 1.0),)
    return _merged(
        (factor, p * q * share)
        for known, p in references
        for first, q in firsts
        for factor, share in _known_growth(links, first, known, over)
    )


def _known_growth(links: Links, link: Link, reference: Reference, over: int) -> Mixture:
    if reference is Reference.HOLES:
        return _holes(links, over)
    if links is Links.ALIKE:
        return ((1.0, 1.0),)
    if link is Link.OFFSET:
        return _after_offset_link(over)
    if over % 2 == 0:
        return ((1.0, 1.0),)
    quiet_first = (link is Link.OUTER) == (reference is Reference.PINS)
    return (((over - 1) / over if quiet_first else (over + 1) / over, 1.0),)


def _holes(links: Links, over: int) -> Mixture:
    """Give the growth between plate holes.

    From the first hole of the first plate to the last hole of the last lie all joints but one. Where the
    first plate's own like lies n pitches on, the reading may as well go from one hole to the same hole of
    that plate.
    """
    within = (over - 1) / over
    if over == 1 or (links is Links.ALTERNATE and over % 2 == 1):
        return ((within, 1.0),)
    return ((within, 0.5), (1.0, 0.5))


def _after_offset_link(over: int) -> Mixture:
    """Give the growth over one offset link in an alternating strand and what follows it.

    The offset link shows w; an even rest shows w per pitch, an odd rest begins with a growing link or not.
    """
    if over % 2 == 1:
        return ((1.0, 1.0),)
    return (((over - 1) / over, 0.5), ((over + 1) / over, 0.5))


def _merged(pairs: Iterable[tuple[float, float]]) -> Mixture:
    sums: dict[float, float] = {}
    for factor, probability in pairs:
        sums[factor] = sums.get(factor, 0.0) + probability
    total = math.fsum(sums.values())
    return tuple((factor, sums[factor] / total) for factor in sorted(sums))
