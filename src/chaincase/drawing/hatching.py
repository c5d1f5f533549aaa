"""Hatching: thin parallel lines across a cut surface (ISO 128-3), or across a bar or band of a chart."""

import math
from collections.abc import Sequence
from itertools import pairwise

from chaincase.drawing.scene import Line, Point, Stroke

FEWEST, MOST = 1e-9, 400
"""Smallest spacing over the size of the area, and most lines of one area."""


def hatch(
    corners: Sequence[tuple[float, float]], spacing: float, degrees: float = 45.0, part: str = "hatch"
) -> list[Line]:
    """Give the hatching of a closed area.

    Parameters
    ----------
    corners : sequence of (float, float)
        Outline [mm], not closed; it may be hollow, but must not cross itself.
    spacing : float
        Between two lines [mm]; widened where that would give more than 400 of them.
    degrees : float
        Slope of the lines; neighboring parts take different ones.

    >>> [(round(line.start.x, 6), round(line.end.x, 6)) for line in hatch([(0, 0), (2, 0), (2, 2), (0, 2)], 1.0, 0.0)]
    [(0.0, 2.0), (0.0, 2.0)]
    """
    turn = math.radians(degrees)
    cos, sin = math.cos(turn), math.sin(turn)
    turned = [(x * cos + y * sin, y * cos - x * sin) for x, y in corners]
    low, high = min(y for _, y in turned), max(y for _, y in turned)
    if high - low <= FEWEST * max(abs(low), abs(high), 1.0):
        return []
    step = max(spacing, (high - low) / MOST)
    # Rows stand on multiples of the spacing, so that areas of one part that lie apart are hatched in one go.
    first, last = math.ceil(low / step - 0.5), math.floor(high / step - 0.5)
    lines: list[Line] = []
    for row in range(first, last + 1):
        y = (row + 0.5) * step
        for a, b in _inside(turned, y):
            start, end = (Point(x * cos - y * sin, x * sin + y * cos) for x in (a, b))
            lines.append(Line(start, end, Stroke.THIN, part))
    return lines


def _inside(corners: Sequence[tuple[float, float]], y: float) -> list[tuple[float, float]]:
    """Give from where to where a level line runs inside an outline."""
    cuts = []
    for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
        if (y0 <= y) != (y1 <= y):
            cuts.append(x0 + (y - y0) / (y1 - y0) * (x1 - x0))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=False))
