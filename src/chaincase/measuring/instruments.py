"""What one measures with: error limits from the standards and the steps of scales.

An error limit belongs to the instrument and is shared by all its readings; a sighting error belongs to each
end of each reading. Both are half widths of rectangular distributions [mm].
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from chaincase.errors import BadInput


class Instrument(StrEnum):
    """What a reading was taken with."""

    TAPE = "tape"
    STEEL_RULE = "steel rule"
    CALIPER = "caliper"
    """Vernier or dial caliper, read to 0.05 mm or 0.001 in."""
    DIGITAL_CALIPER = "digital caliper"
    GAUGE = "gauge"
    """Micrometer, plug or pin gauge."""
    PHOTOGRAPH = "photograph"
    UNKNOWN = "unknown"
    """Counts as a tape of the lowest class in a careless hand."""


NAMES: dict[str, Instrument] = {
    **{instrument.value: instrument for instrument in Instrument},
    "": Instrument.UNKNOWN,
    "tape measure": Instrument.TAPE,
    "rule": Instrument.STEEL_RULE,
    "ruler": Instrument.STEEL_RULE,
    "vernier caliper": Instrument.CALIPER,
    "dial caliper": Instrument.CALIPER,
    "micrometer": Instrument.GAUGE,
    "pin gauge": Instrument.GAUGE,
    "photo": Instrument.PHOTOGRAPH,
}
"""What people write for an instrument, read on input only."""


@dataclass(frozen=True, slots=True)
class TapeClass:
    """One accuracy class of tapes and rules: ± (a + b L) [mm], and c [mm] more where an end is a surface.

    L is the length in meters, rounded up to the next whole one.
    """

    name: str
    a: float
    b: float
    c: float


TAPE_CLASSES: dict[str, TapeClass] = {
    "I": TapeClass("I", 0.1, 0.1, 0.1),
    "II": TapeClass("II", 0.3, 0.2, 0.2),
    "III": TapeClass("III", 0.6, 0.4, 0.3),
}
"""Source: OIML R 35-1 and directive 2014/32/EU annex MI-008, chapter I."""

CLASS_OF: dict[Instrument, str] = {
    Instrument.TAPE: "II",
    Instrument.STEEL_RULE: "I",
    Instrument.UNKNOWN: "III",
}
"""Class that a tape or rule is taken for: the usual tape is of class II and the usual steel rule of class I
(common practice, no source); what nobody named is of the worst."""

DIGITAL_LIMITS_UM: tuple[tuple[float, float], ...] = (
    (100.0, 20.0),
    (500.0, 30.0),
    (1000.0, 40.0),
    (1400.0, 50.0),
    (math.inf, 60.0),
)
"""Digital caliper with 0.01 mm step: up to this length [mm] this error limit [µm].

Source: DIN 862, error limits G, as printed on one public sheet; the borders of its rows could not be read
with certainty and are set where the smaller limit surely still holds.
"""

INSIDE_EXTRA_MM = 0.020
"""What a caliper may err more with its inside jaws or depth rod. Source: DIN 862, note to error limits G."""


@dataclass(frozen=True, slots=True)
class Steps:
    """How finely an instrument can be read, and how finely people read it.

    Attributes
    ----------
    mm : float
        Step of a metric scale or display [mm].
    inch : float
        Step of an inch scale or display [in].
    coarsest_inch : float
        Whole inches and reduced fractions hide the step they were read to: "4 in" may have been read as 4
        0/16. Nobody reads coarser than this, whatever the denominator [in]. For feet four times as much.
    """

    mm: float
    inch: float
    coarsest_inch: float


# Common practice, no source.
STEPS: dict[Instrument, Steps] = {
    Instrument.TAPE: Steps(1.0, 1 / 16, 1 / 4),
    Instrument.STEEL_RULE: Steps(0.5, 1 / 64, 1 / 8),
    Instrument.CALIPER: Steps(0.05, 0.001, 1 / 8),
    Instrument.DIGITAL_CALIPER: Steps(0.01, 0.0005, 1 / 8),
    Instrument.GAUGE: Steps(0.01, 0.001, 1 / 32),
    Instrument.PHOTOGRAPH: Steps(1.0, 1 / 16, 1 / 2),
    Instrument.UNKNOWN: Steps(1.0, 1 / 16, 1 / 2),
}

TITLES: dict[Instrument, str] = {
    Instrument.TAPE: "tape class II",
    Instrument.STEEL_RULE: "steel rule class I",
    Instrument.CALIPER: "caliper",
    Instrument.DIGITAL_CALIPER: "digital caliper",
    Instrument.GAUGE: "micrometer or pin gauge",
    Instrument.PHOTOGRAPH: "photograph",
    Instrument.UNKNOWN: "instrument not named, taken as a careless tape of class III",
}
"""Words for a budget."""


def tape_limit_mm(length_mm: float, tape_class: str = "II", *, surface_end: bool = False) -> float:
    """Give the error limit of a tape or rule [mm].

    Parameters
    ----------
    length_mm : float
        Measured length [mm], above 0.
    tape_class : str
        "I", "II" or "III".
    surface_end : bool
        Whether one end is a hook or butt and not a line.

    Raises
    ------
    BadInput
        If there is no such class, or the length is not above 0.

    Source: OIML R 35-1 / directive 2014/32/EU annex MI-008, chapter I.

    >>> round(tape_limit_mm(2300.0), 3), round(tape_limit_mm(2300.0, surface_end=True), 3)
    (0.9, 1.1)
    """
    if tape_class not in TAPE_CLASSES:
        raise BadInput(f"{tape_class!r} is not a class of tapes", right=f"use one of: {', '.join(TAPE_CLASSES)}")
    grade = TAPE_CLASSES[tape_class]
    # A length of 1000.0000000001 mm, a product of unit conversion, is still one meter.
    meters = max(math.ceil(_above_zero(length_mm) / 1000.0 - 1e-9), 1)
    return grade.a + grade.b * meters + (grade.c if surface_end else 0.0)


def caliper_limit_mm(length_mm: float, *, inside: bool = False) -> float:
    """Give the error limit of a vernier or dial caliper of 0.05 mm [mm].

    Source: DIN 862, error limits G: 50 µm, above 300 mm (20 + l / 10) µm with l in mm, a line through all
    printed values; 20 µm more for inside jaws.

    >>> caliper_limit_mm(150.0), caliper_limit_mm(1000.0), round(caliper_limit_mm(25.0, inside=True), 3)
    (0.05, 0.12, 0.07)
    """
    return max(50.0, 20.0 + _above_zero(length_mm) / 10.0) / 1000.0 + (INSIDE_EXTRA_MM if inside else 0.0)


def digital_caliper_limit_mm(length_mm: float, *, inside: bool = False) -> float:
    """Give the error limit of a digital caliper of 0.01 mm [mm].

    Source: DIN 862, error limits G, see `DIGITAL_LIMITS_UM`.

    >>> digital_caliper_limit_mm(19.0), digital_caliper_limit_mm(300.0)
    (0.02, 0.03)
    >>> digital_caliper_limit_mm(19.0, inside=True)
    0.04
    """
    size = _above_zero(length_mm)
    micrometers = next(limit for up_to, limit in DIGITAL_LIMITS_UM if size <= up_to)
    return micrometers / 1000.0 + (INSIDE_EXTRA_MM if inside else 0.0)


def gauge_limit_mm(length_mm: float) -> float:
    """Give the error limit of a micrometer; plug and pin gauges are at least as good [mm].

    Source: DIN 863, error limits of outside micrometers as printed on one public sheet: 4 µm up to 50 mm
    and 1 µm more for each further 50 mm.

    >>> gauge_limit_mm(20.0), gauge_limit_mm(90.0)
    (0.004, 0.005)
    """
    return (4.0 + max(math.ceil(_above_zero(length_mm) / 50.0) - 1, 0)) / 1000.0


def limit_mm(instrument: Instrument, length_mm: float, *, inside: bool = False, surface_end: bool = False) -> float:
    """Give the error limit of an instrument at a length [mm].

    Parameters
    ----------
    instrument : Instrument
        A tape counts as class II, a steel rule as class I, an unknown instrument as a tape of class III.
    length_mm : float
        Measured length [mm], above 0.
    inside : bool
        Whether a caliper's inside jaws were used.
    surface_end : bool
        Whether a tape was hooked on or butted.

    Returns
    -------
    float
        Half width [mm]; infinite for a photograph, which no standard calls an instrument.

    >>> limit_mm(Instrument.STEEL_RULE, 900.0), limit_mm(Instrument.UNKNOWN, 102.0)
    (0.2, 1.0)
    """
    if instrument in CLASS_OF:
        return tape_limit_mm(length_mm, CLASS_OF[instrument], surface_end=surface_end)
    if instrument is Instrument.CALIPER:
        return caliper_limit_mm(length_mm, inside=inside)
    if instrument is Instrument.DIGITAL_CALIPER:
        return digital_caliper_limit_mm(length_mm, inside=inside)
    return gauge_limit_mm(length_mm) if instrument is Instrument.GAUGE else math.inf


def _above_zero(length_mm: float) -> float:
    if not 0.0 < length_mm < math.inf:
        raise BadInput(f"a length of {length_mm} mm", right="give a length above 0")
    return length_mm
