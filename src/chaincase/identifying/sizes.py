"""A usable reading as the likelihood takes it: size, uncertainty, and how often it is not what it says."""

from dataclasses import dataclass

import numpy as np

from chaincase.chains.kinds import Links
from chaincase.identifying.constants import BLUNDER, BLUNDER_OTHERWISE, LINK_TO_LINK, MISNAMED_LINK, SINGLE_PITCH
from chaincase.measuring.estimate import Estimate
from chaincase.measuring.growth import Link, growth
from chaincase.measuring.reading import Reading

_NO_GROWTH = ((1.0, 1.0),)


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
    """

    reading: Reading
    value: float
    u: float
    swapped: float | None
    blunder: float
    edge_sign: int = 0
    needs: tuple[str, ...] = ()

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
    said = growth(links, reading.link, reading.reference, reading.over, reading.technique)
    unsaid = growth(links, Link.UNKNOWN, reading.reference, reading.over, reading.technique)
    if said == unsaid:
        return said
    mixed = {factor: (1 - MISNAMED_LINK) * chance for factor, chance in said}
    for factor, chance in unsaid:
        mixed[factor] = mixed.get(factor, 0.0) + MISNAMED_LINK * chance
    return tuple(mixed.items())


def measured(reading: Reading, estimate: Estimate) -> Measured:
    """Make a measured size of a usable reading."""
    part = SINGLE_PITCH / np.sqrt(reading.over) if reading.dimension == "pitch" else LINK_TO_LINK
    written = reading.length.unit
    swapped = None
    if written is not None:
        swapped = estimate.value_mm * 25.4 if written in {"mm", "cm", "m"} else estimate.value_mm / 25.4
    return Measured(
        reading=reading,
        value=estimate.value_mm,
        u=float(np.hypot(estimate.u_mm, part * estimate.value_mm)),
        swapped=swapped,
        blunder=BLUNDER.get(str(reading.instrument), BLUNDER_OTHERWISE),
        edge_sign=estimate.edge_sign,
        needs=estimate.needs,
    )
