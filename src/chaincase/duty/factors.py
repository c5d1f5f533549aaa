"""Factors between the pull of a conveyor and the chain it needs, each with the table it comes from."""

from typing import Final

from chaincase.duty import checking

_M_PER_MIN: Final = 1.0 / 60.0
_FT_PER_MIN: Final = 0.00508

SPEED_STEPS: Final = ((50, 1.0), (100, 1.2), (160, 1.4), (230, 1.6), (300, 2.2), (360, 2.8), (400, 3.2))
"""Speed factor of a conveyor up to a speed [ft/min]: public engineering table B (one source)."""
SAFETY_STEPS: Final = ((30, 7.0), (40, 8.0), (50, 9.0), (60, 10.0))
"""Tensile strength over working pull up to a speed [m/min]: public engineering table E (one source)."""
FASTEST: Final = 60.0 * _M_PER_MIN
"""Fastest conveyor chain that public tables recommend [m/s]; up to half of it is called ideal."""

SERVICE: Final = {
    "slat": (1.2, 1.6),
    "apron": (1.2, 1.6),
    "pan": (1.2, 1.6),
    "drag": (1.3, 1.7),
    "scraper": (1.3, 1.7),
    "en masse": (1.3, 1.7),
    "bucket elevator": (1.5, 2.0),
}
"""Use factor by the conveyor: public engineering table E (one source) names slat, en masse and bucket elevator."""

PERMANENT: Final = 0.5
"""Share of the tensile strength that a chain must not see even once: independent technical guide."""


def speed_factor(speed_m_per_s: float) -> tuple[float, str]:
    """Give the speed factor of a conveyor, and a warning where the table has no more.

    Raises
    ------
    BadInput
        If the speed is not greater than zero.

    >>> speed_factor(0.5)
    (1.2, '')
    """
    return _step(speed_m_per_s, SPEED_STEPS, _FT_PER_MIN, "400 ft/min", "speed factor")


def safety_factor(speed_m_per_s: float) -> tuple[float, str]:
    """Give the tensile strength wanted over the working pull, and a warning where the table has no more.

    >>> safety_factor(0.5)
    (7.0, '')
    """
    return _step(speed_m_per_s, SAFETY_STEPS, _M_PER_MIN, "60 m/min", "safety factor")


def _step(speed: float, steps: tuple[tuple[int, float], ...], unit: float, end: str, name: str) -> tuple[float, str]:
    speed = checking.positive("speed", speed, "m/s")
    for limit, factor in steps:
        # A limit belongs to the step below it, also when it was written in the other system of units.
        if speed <= limit * unit * (1.0 + 1e-9):
            return factor, ""
    last = steps[-1][1]
    return last, f"the table of the {name} ends at {end}; {last:g} is its last value and may be too low"


def strand_share(strands: int) -> float:
    """Give the share of the pull that one strand must be designed for: 1.2/n for two strands and more.

    Strands never share evenly; of two, one is counted with 60 %. Source: public engineering table D (one source).

    Raises
    ------
    BadInput
        If there is no strand.

    >>> strand_share(1), strand_share(2)
    (1.0, 0.6)
    """
    count = checking.whole("strands", strands, 1, 100)
    return 1.0 if count == 1 else 1.2 / count


def required_strength(pull_n: float, *factors: float, strands: int = 1) -> float:
    """Give the tensile strength that one strand needs [N]: pull times all factors over the strands.

    Source: a public worksheet for drag conveyors (safety 8, impact 1.4, overload 1.2), which shares evenly; for
    uneven sharing put 1.2 among the factors.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> round(required_strength(1476.81, 8.0, 1.4, 1.2), 2)
    19848.33
    """
    needed = checking.not_negative("pull", pull_n, "N")
    for factor in factors:
        needed *= checking.positive("factor", factor)
    return needed / checking.whole("strands", strands, 1, 100)
