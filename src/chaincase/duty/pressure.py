"""Pressure in the joints of a chain, and the load a chain may carry against its tensile strength."""

from dataclasses import dataclass
from typing import Final

from chaincase.duty import checking


@dataclass(frozen=True, slots=True)
class Share:
    """A working load as a share of the tensile strength that a source allows.

    Attributes
    ----------
    name : str
        Short name of the service.
    most : float
        Load over minimum tensile strength, at most [-].
    words : str
        For which service.
    source : str
        Who says so.
    """

    name: str
    most: float
    words: str
    source: str


SHARES: Final = (
    Share("once", 0.5, "not even once", "independent technical guide"),
    Share("service", 1.0 / 6.0, "in service", "independent technical guide; encyclopedia"),
    Share("slip fit", 1.0 / 9.0, "in a continuous drive with a slip-fit connecting link", "encyclopedia"),
    Share(
        "static",
        0.1,
        "for static support or very slow lifting, of the average strength",
        "Machine Elements",
    ),
)
"""What sources allow, the largest first. Rated drives of textbooks come out at 1/11.7 to 1/13.9."""

FATIGUE: Final = (
    "tensile strength comes from a single pull and is no working load: plates and pins break by fatigue far below it",
    "a chain that was once pulled beyond half its tensile strength is unfit for service although nothing shows",
)
"""Cautions with every comparison against tensile strength: ASME B29.16M:1995 2.1 and an independent guide."""


def bearing_pressure(load_n: float, pin_mm: float, bush_mm: float) -> float:
    """Give the pressure between pin and bush [N/mm2], p = F / (d L).

    Parameters
    ----------
    load_n : float
        Pull of one strand [N].
    pin_mm, bush_mm : float
        Pin diameter, and length of the bush: the width over the inner link, through both of whose plates it
        passes [mm].

    Raises
    ------
    BadInput
        If a quantity cannot be.

    Notes
    -----
    Load over projected area (definition; the form of DIN 8195 from memory). No table of allowed values could be
    read, so nothing is judged unless a limit is given.

    >>> bearing_pressure(9000.0, 15.0, 40.0)
    15.0
    """
    load = checking.not_negative("load", load_n, "N")
    area = checking.positive("pin diameter", pin_mm, "mm") * checking.positive("bush length", bush_mm, "mm")
    return load / area


def factor_of_safety(tensile_n: float, load_n: float) -> float:
    """Give tensile strength over load [-].

    Source: Design of Machine Elements, ch. 14.

    Raises
    ------
    BadInput
        If one of them is not greater than zero.

    >>> factor_of_safety(22_200.0, 1850.0)
    12.0
    """
    return checking.positive("tensile strength", tensile_n, "N") / checking.positive("load", load_n, "N")


def judged(share: float, services: tuple[str, ...] = ("once", "service")) -> list[str]:
    """Tell which limits of `SHARES` a load as a share of the tensile strength passes, for the services named.

    >>> judged(0.2)
    ['the load is 20 % of the tensile strength; in service at most 17 % (independent technical guide; encyclopedia)']
    """
    ratio = checking.not_negative("share of the tensile strength", share)
    return [
        f"the load is {100 * ratio:.0f} % of the tensile strength; {limit.words} at most {100 * limit.most:.0f} %"
        f" ({limit.source})"
        for limit in SHARES
        if limit.name in services and ratio > limit.most
    ]
