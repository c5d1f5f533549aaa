"""What charts are drawn with: a sheet in paper millimeters, hatched bars, solid marks, texts."""

import math
from collections.abc import Iterable, Sequence
from datetime import date

from chaincase.drawing.hatching import hatch
from chaincase.drawing.outline import polygon, rectangle
from chaincase.drawing.scene import (
    Anchor,
    DimensionLine,
    Element,
    Line,
    Path,
    Point,
    Scene,
    Stroke,
    Text,
    around,
    shape_points,
    text_box,
)
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput

SMALL, TEXT = 2.6, 3.0
"""Height of the figures at an axis, and of labels [mm]."""
_MARGIN = 1.5


def text(x: float, y: float, words: str, anchor: Anchor = Anchor.MIDDLE, *, height: float = TEXT, part: str) -> Text:
    """Give a text whose middle height is at y [mm]."""
    return Text(Point(x, y), " ".join(words.split()), height, anchor, part=part)


def line(x: tuple[float, float], y: tuple[float, float], stroke: Stroke = Stroke.THIN, part: str = "axis") -> Line:
    """Give the line from the first to the second x and y [mm]."""
    return Line(Point(x[0], y[0]), Point(x[1], y[1]), stroke, part)


def hatched(x: tuple[float, float], y: tuple[float, float], *, spacing: float, part: str) -> list[Element]:
    """Give a rectangle with hatching [mm]."""
    left, right = sorted(x)
    corners = [(left, y[0]), (right, y[0]), (right, y[1]), (left, y[1])]
    edge = rectangle((left, right), y, Stroke.VISIBLE, part, filled=False)
    return [*hatch(corners, spacing, 45.0, part), edge]


def solid(corners: Sequence[tuple[float, float]], part: str) -> Path:
    """Give a shape filled with ink."""
    outline = polygon(corners, Stroke.THIN, part, filled=False)
    return Path(outline.start, outline.pieces, outline.stroke, part, filled=False, solid=True)


def sheet(title: str, description: str, elements: Iterable[Element]) -> str:
    """Give the SVG of a chart, its sheet just large enough."""
    drawn = tuple(elements)
    points: list[Point] = []
    for element in drawn:
        if isinstance(element, Text):
            box = text_box(element)
            points += [Point(box.left, box.low), Point(box.right, box.high)]
        elif not isinstance(element, DimensionLine):
            points += shape_points(element)
    box = around(points)
    bounds = box._replace(
        left=box.left - _MARGIN, low=box.low - _MARGIN, right=box.right + _MARGIN, high=box.high + _MARGIN
    )
    return write_svg(Scene(title, description, drawn, bounds, 1.0, ()))


def finite(value: float, where: str) -> float:
    """Give a figure again.

    Raises
    ------
    BadInput
        If it is not finite.
    """
    if not math.isfinite(value):
        raise BadInput(f"{value!r} cannot be drawn", where=where, right="give a finite figure")
    return float(value)


def round_steps(low: float, high: float, most: int = 6) -> list[float]:
    """Give round figures from `low` to `high`, at most `most` steps apart by 1, 2 or 5 times a power of ten.

    >>> round_steps(0.0, 2.3, 5)
    [0.0, 0.5, 1.0, 1.5, 2.0]
    """
    span = high - low
    ten = 10.0 ** math.floor(math.log10(span / most))
    step = next(s * ten for s in (1.0, 2.0, 5.0, 10.0) if span / (s * ten) <= most * (1 + 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(n * step, 12) for n in range(first, last + 1)]


def month_steps(first: date, last: date, most: int = 6) -> list[date]:
    """Give first days of months, quarters or years between two days, at most `most` + 1 of them.

    >>> [day.isoformat() for day in month_steps(date(2025, 1, 15), date(2025, 12, 1), 4)]
    ['2025-04-01', '2025-07-01', '2025-10-01']
    """
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    steps = (1, 3, 6, 12, 24, 60, 120, 240, 600, 1200, 6000, 12000)
    step = next((s for s in steps if len(months) / s <= most), steps[-1])
    days = [date(n // 12, n % 12 + 1, 1) for n in months if n % step == 0]
    return [day for day in days if first <= day <= last]
