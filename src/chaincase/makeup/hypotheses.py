"""What is not known beside the spacing: the unit of bare figures, the pitch, and how far the chain has grown.

A unit that was not written is one hypothesis for all bare figures of a case, as people keep one unit through a
sheet. The elongation is one number of the chain, shared by all its tapes.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.kinds import KINDS, Kind, Links
from chaincase.makeup.constants import (
    ELONGATION_MOST,
    ELONGATION_U,
    GROWN,
    PITCH_OUTSIDE,
    PITCH_RANGE_MM,
    PITCH_STEP_MOST,
)
from chaincase.measuring.estimate import Unit
from chaincase.units import Length

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pitch:
    """A pitch under one unit hypothesis.

    Attributes
    ----------
    unit : {"mm", "in"} or None
        What bare figures are taken for; None where none is bare.
    mm : float or None
        Nominal pitch [mm]; None where it is not known.
    relative_u : float
        Standard uncertainty that its last place leaves, relative [-].
    probability : float
        Of the hypothesis [-].
    """

    unit: Unit | None
    mm: float | None
    relative_u: float
    probability: float


def pitches_possible(pitch: Length | None, *, any_bare: bool) -> tuple[Pitch, ...]:
    """Give the unit hypotheses of a case; a pitch that no chain has makes its unit improbable.

    >>> from chaincase.units import parse_length
    >>> likely = max(pitches_possible(parse_length("4"), any_bare=True), key=lambda each: each.probability)
    >>> likely.unit, likely.mm
    ('in', 101.6)
    """
    units: tuple[Unit | None, ...] = ("mm", "in") if any_bare else (None,)
    found = [_pitch(pitch, unit) for unit in units]
    total = math.fsum(each.probability for each in found)
    return tuple(Pitch(p.unit, p.mm, p.relative_u, p.probability / total) for p in found)


def _pitch(pitch: Length | None, unit: Unit | None) -> Pitch:
    if pitch is None:
        return Pitch(unit, None, 0.0, 1.0)
    mm = pitch.mm_if(unit or "mm")
    step = pitch.resolution_mm(unit or "mm")
    low, high = PITCH_RANGE_MM
    return Pitch(
        unit, mm, min(step / mm / math.sqrt(12.0), PITCH_STEP_MOST), 1.0 if low <= mm <= high else PITCH_OUTSIDE
    )


@dataclass(frozen=True, eq=False)
class Growth:
    """What the elongation of the mean pitch may be.

    Attributes
    ----------
    values : ndarray of float64, shape (n,)
        Elongations e [-], rising; the pitch seen is p (1 + e).
    probabilities : ndarray of float64, shape (n,)
        Adding to 1.
    """

    values: Array
    probabilities: Array

    @property
    def limits(self) -> tuple[float, float]:
        """Lowest and highest elongation that need be thought of [-]."""
        cumulative = np.cumsum(self.probabilities)
        low, high = np.searchsorted(cumulative, [0.001, 0.98])
        return float(self.values[low]), float(self.values[min(high, len(self.values) - 1)])


def growth_of(given: tuple[float, float | None] | None) -> Growth:
    """Give what the elongation may be: about a given one, else what chains that are replaced have.

    Between the same place of two attachments k pitches apart lie k joints, so that k p grows by k p e whether k
    is even or odd: the alternation of growing and steady pitches is within one pitch of it only for pins and
    rollers, not for plates.

    Parameters
    ----------
    given : tuple of float and (float or None), optional
        Elongation and its standard uncertainty [-].

    >>> round(float(growth_of((0.012, 0.001)).values.mean()), 3)
    0.012
    """
    if given is not None:
        mean, u = given[0], ELONGATION_U if given[1] is None else given[1]
        values = mean + np.linspace(-3.0, 3.0, 25) * max(u, 1e-6)
        return _normalized(values, np.exp(-0.5 * np.linspace(-3.0, 3.0, 25) ** 2))
    values = np.linspace(0.0, ELONGATION_MOST, 121)
    density = np.zeros_like(values)
    for share, mean in GROWN:
        shape = np.exp(-values / mean) if mean > 0.0 else (values == 0.0).astype(np.float64)
        density += share * shape / shape.sum()
    return _normalized(values, density)


def _normalized(values: Array, weights: Array) -> Growth:
    return Growth(values, weights / weights.sum())


_ALSO = {"cranked": "offset sidebar", "offset": "offset sidebar", "welded": "welded steel"}
"""Words that mean the same to the trade (common practice, no source)."""


def links_named(words: Sequence[str]) -> Links:
    """Give how links follow each other on a chain that looks so; alternating where that is open.

    Whoever tells inner from outer links has seen that there are two kinds.

    >>> links_named(["roller", "offset sidebar"]), links_named(["roller"]), links_named([])
    (<Links.ALIKE: 'alike'>, <Links.ALTERNATE: 'alternate'>, <Links.ALTERNATE: 'alternate'>)
    """
    each = [kinds for word in words if (kinds := [kind for kind in KINDS if _fits(_plain(word), kind)])]
    shared = [kind for kind in each[0] if all(kind in kinds for kinds in each)] if each else []
    # Words that no one kind bears together: the one that can only mean the one or the other decides.
    judged = {frozenset(kind.links for kind in kinds) for kinds in ([shared] if shared else each)}
    only_alike, only_alternate = frozenset({Links.ALIKE}) in judged, frozenset({Links.ALTERNATE}) in judged
    return Links.ALIKE if only_alike and not only_alternate else Links.ALTERNATE


def _fits(word: str, kind: Kind) -> bool:
    return word == kind.name or word in kind.seen_as


def _plain(word: str) -> str:
    plain = " ".join(word.lower().replace("_", " ").replace("-sidebar", " sidebar").split())
    plain = plain.removesuffix(" chain").removesuffix(" link").removesuffix(" links")
    return _ALSO.get(plain, plain)
