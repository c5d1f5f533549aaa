"""Bending of an attachment by the load on it: beams of plain statics, a cantilever or two supports."""

from dataclasses import dataclass
from typing import Final, Literal

from chaincase.duty import checking
from chaincase.errors import BadInput

STEEL: Final = 206_000.0
"""Modulus of elasticity of steel [N/mm2]: common practice, no source."""

Beam = Literal["cantilever, end", "cantilever, spread", "supported, middle", "supported, spread"]

# Largest moment F L / m, largest deflection F L3 / (d E I), F the whole load. Source: statics, any table of beams.
_CASES: Final[dict[str, tuple[float, float]]] = {
    "cantilever, end": (1.0, 3.0),
    "cantilever, spread": (2.0, 8.0),
    "supported, middle": (4.0, 48.0),
    "supported, spread": (8.0, 384.0 / 5.0),
}


@dataclass(frozen=True, slots=True)
class Section:
    """Cross section of a beam.

    Attributes
    ----------
    modulus : float
        Section modulus [mm3].
    inertia : float
        Second moment of area [mm4].
    """

    modulus: float
    inertia: float

    @classmethod
    def flat(cls, width_mm: float, thickness_mm: float) -> "Section":
        """Give the section of a bar bent over its thickness: b t2/6 and b t3/12.

        >>> Section.flat(60.0, 10.0)
        Section(modulus=1000.0, inertia=5000.0)
        """
        b = checking.positive("width", width_mm, "mm")
        t = checking.positive("thickness", thickness_mm, "mm")
        return cls(b * t**2 / 6.0, b * t**3 / 12.0)


@dataclass(frozen=True, slots=True)
class Bending:
    """What a load does to a beam.

    Attributes
    ----------
    moment : float
        Largest bending moment [N mm].
    stress : float
        Stress at the outer fiber there [N/mm2].
    deflection : float
        Largest deflection [mm].
    """

    moment: float
    stress: float
    deflection: float


def bending(load_n: float, length_mm: float, section: Section, case: str, modulus: float = STEEL) -> Bending:
    """Give moment, stress and deflection of a beam.

    Parameters
    ----------
    load_n : float
        Whole load [N].
    length_mm : float
        From the fixed end to the load or to the tip (cantilever: from the bend or the pin line), or between the
        supports [mm].
    section : Section
        Of the beam where the moment is largest.
    case : str
        One of `Beam`: fixed at one end or supported at two; load at the end, in the middle, or spread evenly.
    modulus : float
        Of elasticity [N/mm2].

    Raises
    ------
    BadInput
        If a quantity cannot be or there is no such case.

    Notes
    -----
    Static and elastic, small deflections; no allowance for the bend of the attachment, for holes or welds at the
    fixed end (notch factors there are 2 and more, from memory), for twist or for shock. Source: statics.

    >>> bending(500.0, 80.0, Section.flat(60.0, 10.0), "cantilever, end")
    Bending(moment=40000.0, stress=40.0, deflection=0.08...)
    """
    if case not in _CASES:
        raise BadInput(f"{case!r:.40} is not a beam", right=f"use one of: {'; '.join(_CASES)}")
    load = checking.not_negative("load", load_n, "N")
    length = checking.positive("length", length_mm, "mm")
    by_moment, by_deflection = _CASES[case]
    moment = load * length / by_moment
    stiffness = checking.positive("modulus of elasticity", modulus, "N/mm2") * section.inertia
    return Bending(moment, moment / section.modulus, load * length**3 / (by_deflection * stiffness))
