"""A usable reading as the likelihood takes it: size, uncertainty, and how often it is not what it says."""

import math
from dataclasses import dataclass
from functools import lru_cache

from chaincase.chains.kinds import Links
from chaincase.identifying.constants import BLUNDER, BLUNDER_OTHERWISE, LINK_TO_LINK, MISNAMED_LINK, SINGLE_PITCH
from chaincase.measuring.estimate import Estimate
from chaincase.measuring.growth import Link, Reference, growth
from chaincase.measuring.reading import Reading
from chaincase.measuring.techniques import Technique

_NO_GROWTH = ((1.0, 1.0),)


@dataclass(frozen=True, slots=True)
class Edges:
    """What a reading between edges was made of: what was read over all pitches, what was added to it, of which part."""

    read: float
    added: float
    part: str


@dataclass(frozen=True, eq=False, slots=True)
class Measured:
    """One usable reading under one hypothesis of its unit, ready for the likelihood.

    Attributes
    ----------
    reading : Reading
        What was written.
    value, u : float
        Size per pitch or part, and standard uncertainty with the spread from link to link [mm].
    swapped : float or None
        The size if a written unit is the wrong one of mm and inch [mm].
    blunder : float
        Probability that it is not what its name says.
    edge_sign : int
        A reading over edges without the diameter stands for pitch + edge_sign * diameter / over; 0 for others.
    needs : tuple of str
        Dimensions one of which is that diameter; the row's figure is used.
    edges : Edges or None
        What `value` was made of, where that diameter was read off the same sample.
    """

    reading: Reading
    value: float
    u: float
    swapped: float | None
    blunder: float
    edge_sign: int = 0
    needs: tuple[str, ...] = ()
    edges: Edges | None = None

    @property
    def name(self) -> str:
        """Name of the dimension asked for."""
        return self.reading.dimension

    def grown(self, links: Links) -> tuple[tuple[float, float], ...]:
        """Give how many times joint wear shows in it, with probabilities."""
        if self.name != "pitch":
            return _NO_GROWTH
        return grown(self.reading, links)


def grown(reading: Reading, links: Links) -> tuple[tuple[float, float], ...]:
    """Give the growth of a pitch reading; now and then the link named is the other one."""
    return _grown(links, reading.link, reading.reference, reading.over, reading.technique)


@lru_cache(maxsize=4096)
def _grown(
    links: Links, link: Link, reference: Reference, over: int, technique: Technique
) -> tuple[tuple[float, float], ...]:
    said = growth(links, link, reference, over, technique)
    unsaid = growth(links, Link.UNKNOWN, reference, over, technique)
    if said == unsaid:
        return said
    mixed = {factor: (1 - MISNAMED_LINK) * chance for factor, chance in said}
    for factor, chance in unsaid:
        mixed[factor] = mixed.get(factor, 0.0) + MISNAMED_LINK * chance
    return tuple(mixed.items())


def measured(reading: Reading, estimate: Estimate) -> Measured:
    """Make a measured size of a usable reading."""
    part = SINGLE_PITCH / math.sqrt(reading.over) if reading.dimension == "pitch" else LINK_TO_LINK
    written = reading.length.unit
    swapped = None
    if written is not None:
        swapped = estimate.value_mm * 25.4 if written in {"mm", "cm", "m"} else estimate.value_mm / 25.4
    return Measured(
        reading=reading,
        value=estimate.value_mm,
        u=math.hypot(estimate.u_mm, part * estimate.value_mm),
        swapped=swapped,
        blunder=BLUNDER.get(str(reading.instrument), BLUNDER_OTHERWISE),
        edge_sign=estimate.edge_sign,
        needs=estimate.needs,
    )
