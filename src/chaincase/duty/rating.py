"""Power that a roller chain drive can carry and the factors around it.

The power equations of ISO 10823's annex are not here: their text could not be read, so there are no constants for
them. What is here are the equations of the appendix of older ASME B29.1 editions. They do not reproduce the table of
the 2011 edition (`rating_tables.no25_power`), so every rating carries the name of its edition.
"""

import math
from dataclasses import dataclass
from typing import Final

from chaincase.duty import checking
from chaincase.errors import BadInput

HP: Final = 745.69987158227022
"""Watts of one horsepower, 550 ft lbf/s."""
_LBF: Final = 4.4482216152605

FEWEST_TEETH: Final = 6
MOST_TEETH: Final = 250
"""Beyond these a wheel of a roller chain is a slip of the pen (common practice, no source)."""

EDITION: Final = "ASME B29.1 appendix, older editions; the link plate equation is from memory"
_OTHER_EDITION: Final = (
    "editions of rating tables do not agree: of the one size compared, No. 25, the 2011 table is about a third higher"
    " below its crest than this equation"
)
_GALLING: Final = "galling of pins and bushes limits high speeds too; no equation for it could be read"
LIMITS: Final = (_OTHER_EDITION, _GALLING)
"""What must be said beside every rating by equation."""

PITCH_IN: Final = {
    25: 0.25,
    35: 0.375,
    41: 0.5,
    40: 0.5,
    50: 0.625,
    60: 0.75,
    80: 1.0,
    100: 1.25,
    120: 1.5,
    140: 1.75,
    160: 2.0,
    180: 2.25,
    200: 2.5,
    240: 3.0,
}
"""Sizes of ASME B29.1 and their pitch [in]."""

APPLICATION: Final = {
    "smooth": (1.0, 1.1, 1.3),
    "slight shock": (1.4, 1.5, 1.7),
    "moderate shock": (1.8, 1.9, 2.1),
    "heavy shock": (1.8, 1.9, 2.1),
}
"""f1 of ISO 10823 by the driven machine; columns: driver smooth, slight shock, moderate shock. Two secondary texts,
which print moderate and heavy shock of the driven machine as one row."""
DRIVERS: Final = ("smooth", "slight shock", "moderate shock")

STRANDS: Final = {1: 1.0, 2: 1.7, 3: 2.5, 4: 3.3, 5: 3.9, 6: 4.6, 8: 6.0}
"""Power of a multiple-strand chain over that of one strand: two American sources (8 strands: one). Texts on GB/T 18150
have 1.75 for two strands; the lower is followed."""


def application_factor(driven: str, driver: str) -> float:
    """Give the application factor f1 [-].

    Parameters
    ----------
    driven : str
        A key of `APPLICATION`.
    driver : str
        One of `DRIVERS`.

    Raises
    ------
    BadInput
        If a word is not in the table.

    >>> application_factor("slight shock", "smooth")
    1.4
    """
    return APPLICATION[_word(driven, APPLICATION, "driven machine")][DRIVERS.index(_word(driver, DRIVERS, "driver"))]


def _word(word: str, table: dict[str, tuple[float, float, float]] | tuple[str, ...], what: str) -> str:
    if word not in table:
        raise BadInput(f"{word!r:.60} is not a {what}", right=f"use one of: {'; '.join(table)}")
    return word


def tooth_factor(teeth: float, reference: float = 19.0) -> float:
    """Give the factor f2 on the power for the teeth of the small wheel, (z_ref/z)^1.08 [-].

    Source: ISO 10823 at second hand, reference 19 teeth. An older table for 17 teeth (Design of Machine Elements) has
    1.11 at 19 and 1.26 at 21 teeth where this gives 1.128 and 1.256.

    Raises
    ------
    BadInput
        If a number of teeth cannot be.

    >>> round(tooth_factor(21), 4)
    0.8975
    """
    return math.pow(_teeth(reference) / _teeth(teeth), 1.08)


def strand_factor(strands: int) -> float:
    """Give the power of a multiple-strand chain over that of one strand [-].

    Raises
    ------
    BadInput
        If the table has no such number of strands.

    >>> strand_factor(4)
    3.3
    """
    count = checking.whole("strands", strands, 1, 100)
    if count not in STRANDS:
        raise BadInput(f"no factor for {count} strands was read", right=f"use {', '.join(map(str, STRANDS))} strands")
    return STRANDS[count]


def required_rating(power_w: float, service: float = 1.0, strands: float = 1.0, tooth: float = 1.0) -> float:
    """Give the single-strand rating that a table must show [W], P Ks / (K1 K2).

    Parameters
    ----------
    power_w : float
        Power transmitted [W].
    service, strands, tooth : float
        Service factor Ks, strand factor K1 and tooth factor K2 [-]; K2 is 1 if the table has these teeth.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    Notes
    -----
    Source: Design of Machine Elements, ch. 14; ISO 10823 has the same form with f2 = 1/K2.

    >>> round(required_rating(5000.0, service=1.3, tooth=1.26), 1)
    5158.7
    """
    wanted = checking.not_negative("power", power_w, "W") * checking.positive("service factor", service)
    return wanted / (checking.positive("strand factor", strands) * checking.positive("tooth factor", tooth))


@dataclass(frozen=True, slots=True)
class Rating:
    """What one strand can carry.

    Attributes
    ----------
    power : float
        [W].
    limit : str
        What limits it.
    edition : str
        Where the figure comes from.
    """

    power: float
    limit: str
    edition: str


def plate_fatigue(number: int, teeth: float, rpm: float) -> float:
    """Give the power at which link plates tire [W]: 0.004 z^1.08 n^0.9 p^(3 - 0.07 p) hp, p in inches.

    Parameters
    ----------
    number : int
        Size, a key of `PITCH_IN`; No. 41 takes 0.0022.
    teeth, rpm : float
        Of the small wheel [-, rev/min].

    Raises
    ------
    BadInput
        If a quantity cannot be.

    Notes
    -----
    Source: ASME B29.1 appendix, older editions; Mechanical Engineering Design eq. 17-32. From memory.

    >>> round(plate_fatigue(25, 17, 900) / HP, 3)
    0.622
    """
    p = _pitch(number)
    base = 0.0022 if number == 41 else 0.004
    return base * math.pow(_teeth(teeth), 1.08) * math.pow(_rpm(rpm), 0.9) * math.pow(p, 3.0 - 0.07 * p) * HP


def roller_impact(number: int, teeth: float, rpm: float) -> float:
    """Give the power at which rollers and bushes break by impact [W]: 1000 Kr z^1.5 p^0.8 / n^1.5 hp.

    Source: Mechanical Engineering Design eq. 17-33. Kr is 29 for No. 25 and 35, 3.4 for No. 41, 17 for the
    others. It reproduces the 34 values of the No. 25 table of 2011 at 4000 and 4500 rev/min.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> round(roller_impact(25, 17, 4000) / HP, 2)
    2.65
    """
    kr = {25: 29.0, 35: 29.0, 41: 3.4}.get(number, 17.0)
    return 1000.0 * kr * math.pow(_teeth(teeth) / _rpm(rpm), 1.5) * math.pow(_pitch(number), 0.8) * HP


def by_equation(number: int, teeth: float, rpm: float) -> Rating:
    """Give the rating of one strand by the equations, the lower of the two.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> by_equation(80, 17, 300).limit
    'fatigue of the link plates'
    """
    plate, impact = plate_fatigue(number, teeth, rpm), roller_impact(number, teeth, rpm)
    limit = "fatigue of the link plates" if plate <= impact else "impact of rollers and bushes"
    return Rating(min(plate, impact), limit, EDITION)


def for_life(power_w: float, hours: float, reference_h: float = 15_000.0) -> float:
    """Give the rating for another life [W]: P^2.5 h stays the same.

    Source: solutions manual to Mechanical Engineering Design, eq. 17-40, at one chain length (H^2.5 h / X = const).

    Raises
    ------
    BadInput
        If a quantity is not greater than zero.

    >>> round(for_life(7.72 * HP, 20_000.0) / HP, 2)
    6.88
    """
    ratio = checking.positive("reference life", reference_h, "h") / checking.positive("life", hours, "h")
    return checking.positive("power", power_w, "W") * math.pow(ratio, 0.4)


def impact_tooth_factor(teeth: float, reference: float = 17.0) -> float:
    """Give the factor on a rating beyond its crest for other teeth than the table's, (z/z_ref)^1.5 [-].

    Source: solutions manual to Mechanical Engineering Design, prob. 17-26.

    >>> round(impact_tooth_factor(21), 2)
    1.37
    """
    return math.pow(_teeth(teeth) / _teeth(reference), 1.5)


def tension(power_w: float, speed_m_per_s: float) -> float:
    """Give the pull of the tight side [N], P/v.

    Raises
    ------
    BadInput
        If the power is negative or the speed not greater than zero.

    >>> round(tension(2557.8, 3.332), 1)
    767.6
    """
    return checking.not_negative("power", power_w, "W") / checking.positive("speed", speed_m_per_s, "m/s")


def least_tensile(pitch_mm: float) -> float:
    """Give the minimum tensile strength of a single strand of ASME B29.1 [N], 12 500 p2 lbf with p in inches.

    >>> round(least_tensile(25.4))
    55603
    """
    return 12_500.0 * (checking.positive("pitch", pitch_mm, "mm") / 25.4) ** 2 * _LBF


def _pitch(number: int) -> float:
    if number not in PITCH_IN:
        right = f"use one of: {', '.join(map(str, PITCH_IN))}"
        raise BadInput(f"No. {number} is not a size of ASME B29.1", right=right)
    return PITCH_IN[number]


def _teeth(teeth: float) -> float:
    return checking.between("teeth", teeth, FEWEST_TEETH, MOST_TEETH)


def _rpm(rpm: float) -> float:
    return checking.positive("speed", rpm, "rev/min")
