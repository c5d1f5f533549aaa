"""How much strands that run side by side may differ in length: practice of the trade, no standard gives a figure."""

from typing import Final

MATCHED_WITHIN: Final = ((14_000.0, 3.0), (30_000.0, 4.0), (44_000.0, 5.0))
"""Length of the strands up to [mm] and how much matched ones may differ [mm]: one public practice, no standard."""
PAIRED_WITHIN_MM: Final = 0.030 * 25.4
"""Sections of up to 10 ft that run side by side agree within 0.030 in: another public practice."""


def matched_within(length_mm: float) -> float | None:
    """Give how much matched strands of that length may differ [mm]; None beyond what was read.

    Source: one public practice; no standard gives a figure, so it belongs in every request.

    >>> matched_within(13_999.0), matched_within(20_000.0), matched_within(50_000.0)
    (3.0, 4.0, None)
    """
    return next((within for up_to, within in MATCHED_WITHIN if length_mm <= up_to), None)
