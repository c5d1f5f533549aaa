"""Which way of oiling a roller chain drive needs at its speed."""

from typing import Final

from chaincase.duty import checking

FASTEST: Final = {
    40: (300, 2300),
    50: (250, 2000),
    60: (220, 1800),
    80: (170, 1500),
    100: (150, 1300),
    120: (130, 1200),
    140: (115, 1100),
    160: (100, 1000),
}
"""Chain speed [ft/min] up to which oil by hand, and an oil bath, suffice, by size."""
SOURCE: Final = "oiling by size and speed: public engineering text (one source)"

_FT_PER_MIN: Final = 0.00508
_BY_HAND: Final = "by hand or drip"
_BATH: Final = "oil bath or slinger disk"
_STREAM: Final = "oil stream by pump"


def lubrication(number: int, speed_m_per_s: float) -> str:
    """Give the way of oiling a drive of a size of ASME B29.1 needs; "" for a size that the source does not list.

    Raises
    ------
    BadInput
        If the speed is negative.

    >>> lubrication(80, 0.5), lubrication(80, 5.0), lubrication(240, 5.0)
    ('by hand or drip', 'oil bath or slinger disk', '')
    """
    speed = checking.not_negative("speed", speed_m_per_s, "m/s") / _FT_PER_MIN
    if number not in FASTEST:
        return ""
    by_hand, bath = FASTEST[number]
    return _BY_HAND if speed <= by_hand else _BATH if speed <= bath else _STREAM
