"""How people write a size down: unit, step, fractions, commas, and numbers without a unit."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np

from chaincase.calibration.chance import happens, pick

INCH_MM = 25.4


@dataclass(frozen=True, slots=True)
class Pen:
    """Habits of one person who writes readings down.

    Attributes
    ----------
    unit : str
        "mm" or "in".
    bare : bool
        Leaves units out altogether.
    comma : bool
        Writes decimal commas.
    mark : bool
        Writes the inch mark instead of "in".
    trims : bool
        Drops zeros at the end: 19 for 19.00.
    """

    unit: str
    bare: bool
    comma: bool
    mark: bool
    trims: bool


def draw_pen(rng: np.random.Generator, *, likely_inch: float) -> Pen:
    """Draw the habits of one person; shares are assumed."""
    return Pen(
        unit="in" if happens(rng, likely_inch) else "mm",
        bare=happens(rng, 0.06),
        comma=happens(rng, 0.08),
        mark=happens(rng, 0.30),
        trims=happens(rng, 0.30),
    )


_STEPS: dict[tuple[str, str], dict[Fraction, float]] = {
    # Whole millimeters off a tape, the half guessed by some; off a rule the half more often.
    ("tape", "mm"): {Fraction(1): 0.80, Fraction(1, 2): 0.14, Fraction(5): 0.06},
    ("tape", "in"): {Fraction(1, 16): 0.70, Fraction(1, 8): 0.17, Fraction(1, 32): 0.10, Fraction(1, 4): 0.03},
    ("steel rule", "mm"): {Fraction(1, 2): 0.60, Fraction(1): 0.40},
    ("steel rule", "in"): {Fraction(1, 32): 0.40, Fraction(1, 16): 0.30, Fraction(1, 64): 0.30},
    ("caliper", "mm"): {Fraction(1, 10): 0.55, Fraction(1, 20): 0.30, Fraction(1, 50): 0.10, Fraction(1, 2): 0.05},
    ("caliper", "in"): {Fraction(1, 1000): 0.60, Fraction(1, 100): 0.30, Fraction(1, 64): 0.05, Fraction(1, 32): 0.05},
    ("digital caliper", "mm"): {Fraction(1, 100): 0.75, Fraction(1, 10): 0.25},
    ("digital caliper", "in"): {Fraction(1, 1000): 0.75, Fraction(1, 100): 0.20, Fraction(1, 64): 0.05},
}
"""What people read and write off each instrument: step and share (common practice, no source)."""


_SMALLEST_MM = 0.2
"""Nothing smaller is read off any of the instruments."""


def write(rng: np.random.Generator, size_mm: float, instrument: str, pen: Pen) -> str:
    """Give the text that a person writes for a size.

    >>> pen = Pen("mm", bare=False, comma=False, mark=False, trims=False)
    >>> write(np.random.default_rng(1), 18.912, "digital caliper", pen)
    '18.91 mm'
    """
    size_mm = max(size_mm, _SMALLEST_MM)
    size = size_mm / INCH_MM if pen.unit == "in" else size_mm
    step = pick(rng, _STEPS[instrument, pen.unit])
    # Nobody writes a 3 mm plate off a 5 mm step.
    while size < 3 * step:
        step /= 2
    count = round(size / float(step))
    number = _fraction(count * step) if _is_binary(step) and pen.unit == "in" else _decimal(count * step, step, pen)
    bare = pen.bare or happens(rng, 0.015)
    return number if bare else f"{number}{_unit(pen)}"


def _is_binary(step: Fraction) -> bool:
    return step.denominator & (step.denominator - 1) == 0


def _fraction(value: Fraction) -> str:
    """Write inches as a person does: 4 1/16."""
    whole, rest = divmod(value, 1)
    parts = [str(whole)] if whole else []
    return " ".join([*parts, str(rest)] if rest else parts)


def _decimal(value: Fraction, step: Fraction, pen: Pen) -> str:
    places = max(len(f"{float(step):.6f}".rstrip("0").partition(".")[2]), 0)
    text = f"{float(value):.{places}f}"
    if pen.trims and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace(".", ",") if pen.comma and pen.unit == "mm" else text


def _unit(pen: Pen) -> str:
    if pen.unit == "mm":
        return " mm"
    return '"' if pen.mark else " in"


def swap_unit(text: str) -> str:
    """Give the same number with the other unit; unchanged where it has none.

    >>> swap_unit("4 1/16 in"), swap_unit("19.0 mm")
    ('4 1/16 mm', '19.0 in')
    """
    if text.endswith(" mm"):
        return text.removesuffix(" mm") + " in"
    for mark in (" in", '"'):
        if text.endswith(mark):
            return text.removesuffix(mark) + " mm"
    return text


def transpose(rng: np.random.Generator, text: str) -> str:
    """Swap two neighboring digits that differ, neither making a leading zero; unchanged where there are none.

    >>> transpose(np.random.default_rng(0), "18.0 mm")
    '81.0 mm'
    """
    places = [
        i
        for i, (a, b) in enumerate(pairwise(text))
        if a.isdigit() and b.isdigit() and a != b and not (i == 0 and b == "0")
    ]
    if not places or "/" in text:
        return text
    i = places[int(rng.integers(len(places)))]
    return text[:i] + text[i + 1] + text[i] + text[i + 2 :]
