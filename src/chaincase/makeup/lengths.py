"""Lengths of strands: between pitches and lengths, from exact to whole pitches, and from a drawing."""

import math
from dataclasses import dataclass

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup.constants import OFFSET_STRENGTH, ROUNDING_SLACK
from chaincase.makeup.patterns import LONGEST
from chaincase.units.measures import LENGTH

_NEARLY = 1e-9


def length_of(pitches: float, pitch_mm: float, unit: str = "mm") -> float:
    """Give the nominal length of a number of pitches in mm, cm, m, in or ft.

    Raises
    ------
    BadInput
        If the pitch is not above 0 or the unit is none; so does `pitches_in`.

    >>> length_of(120, 25.4, "ft")
    10.0
    """
    return pitches * _above_zero(pitch_mm, "a pitch") / _factor(unit)


def pitches_in(length: float, pitch_mm: float, unit: str = "mm") -> float:
    """Give the number of pitches in a length, not rounded.

    >>> pitches_in(3.048, 25.4, "m")
    120.0
    """
    return length * _factor(unit) / _above_zero(pitch_mm, "a pitch")


def converted(length: float, unit: str, to: str) -> float:
    """Give a length in another unit.

    >>> converted(10.0, "ft", "m")
    3.048
    """
    return length * float(LENGTH.factors[_known(unit)] / LENGTH.factors[_known(to)])


@dataclass(frozen=True, slots=True)
class WholeLength:
    """A strand of whole pitches near an exact length.

    Attributes
    ----------
    exact : float
        Length asked for [pitches].
    pitches : int
        The one to take.
    below, above : int
        Its neighbors among the lengths that need no offset link: the largest at or below `exact`, the smallest
        at or above.
    offset_links : int
        Offset links in `pitches`.
    """

    exact: float
    pitches: int
    below: int
    above: int
    offset_links: int


def whole_length(exact: float, links: Links, *, fixed_centers: bool = False) -> WholeLength:
    """Give the whole number of pitches for an exact length over sprockets.

    Where links alternate the number is even: the next one at or above the exact length less 0.3 pitch, which a
    take-up gives. Between fixed centers there is none, so that the nearest whole number is taken, even if it
    is odd and needs an offset link. Where all links are alike any whole number will do.

    Parameters
    ----------
    exact : float
        Length [pitches], above 1.

    Raises
    ------
    BadInput
        If it is not a length of a strand.

    Source: the even number is asked for in several textbooks; they round up, down and to the nearest. The rule
    with 0.3 is derived.

    >>> whole_length(121.875, Links.ALTERNATE).pitches, whole_length(120.2, Links.ALTERNATE).pitches
    (122, 120)
    >>> whole_length(135.013, Links.ALTERNATE, fixed_centers=True).offset_links
    1
    """
    if not 1.0 < exact <= LONGEST:  # refuses nan as well
        raise BadInput(f"a length of {exact} pitches", right=f"give a number from 2 to {LONGEST}")
    step = 2 if links is Links.ALTERNATE else 1
    below = math.floor(exact / step + _NEARLY) * step
    above = math.ceil(exact / step - _NEARLY) * step
    chosen = round(exact) if fixed_centers else math.ceil((exact - ROUNDING_SLACK) / step - _NEARLY) * step
    return WholeLength(exact, chosen, below, above, offset_links(chosen, links))


def offset_links(pitches: int, links: Links) -> int:
    """Give the offset links that an endless strand cannot do without: one where an odd number alternates.

    >>> offset_links(121, Links.ALTERNATE), offset_links(121, Links.ALIKE)
    (1, 0)
    """
    return pitches % 2 if links is Links.ALTERNATE else 0


def strength_with_offset_link(tensile: float) -> tuple[float, float]:
    """Give what an offset link leaves of a tensile strength, lowest and highest, in its unit.

    A reduction of 20 to 35 % is often quoted; from memory. The links are bent and their pins slip fits, so that
    textbooks say to avoid them.

    >>> strength_with_offset_link(100.0)
    (65.0, 80.0)
    """
    low, high = OFFSET_STRENGTH
    return tensile * low, tensile * high


@dataclass(frozen=True, slots=True)
class DrawnLength:
    """What a length on a drawing [mm] comes to: nearest whole number of pitches, and what is left [mm]."""

    length_mm: float
    pitches: int
    left_mm: float
    offset_links: int

    @property
    def is_whole(self) -> bool:
        """Whether the drawing means that number: to 1 mm, or the 0.1 % that a rounded pitch adds up to."""
        return abs(self.left_mm) <= max(1.0, 0.001 * self.length_mm)


def drawn_length(length_mm: float, pitch_mm: float, links: Links) -> DrawnLength:
    """Give the whole number of pitches of a nominal length.

    >>> drawn_length(3048.0, 25.4, Links.ALTERNATE)
    DrawnLength(length_mm=3048.0, pitches=120, left_mm=0.0, offset_links=0)
    """
    exact = pitches_in(_above_zero(length_mm, "a length"), pitch_mm)
    if exact > LONGEST:
        raise BadInput(f"a strand of {exact:.0f} pitches", right=f"at most {LONGEST}")
    whole = max(round(exact), 1)
    return DrawnLength(length_mm, whole, length_mm - whole * pitch_mm, offset_links(whole, links))


def without_wear(length_mm: float, elongation: float) -> float:
    """Give the length that a worn strand had when it was new [mm].

    Parameters
    ----------
    elongation : float
        Of the mean pitch [-], 0 to 0.2.

    >>> round(without_wear(1030.0, 0.03), 6)
    1000.0
    """
    if not 0.0 <= elongation <= 0.2:
        raise BadInput(f"an elongation of {elongation}", right="give a share from 0 to 0.2, such as 0.012 for 1.2 %")
    return length_mm / (1.0 + elongation)


def _factor(unit: str) -> float:
    return float(LENGTH.factors[_known(unit)])


def _known(unit: str) -> str:
    if unit not in LENGTH.factors:
        raise BadInput(f"{unit!r} is not a unit of length", right=f"use {LENGTH.units}")
    return unit


def _above_zero(value: float, what: str) -> float:
    if not 0.0 < value < math.inf:
        raise BadInput(f"{what} of {value} mm", right=f"give {what} above 0")
    return value
