"""Outlines that parts of a chain are made of: bars, plates with a waist, rings."""

import math
from collections.abc import Mapping, Sequence

from chaincase.drawing.scene import Arc, Path, Point, Straight, Stroke


def polygon(corners: Sequence[tuple[float, float]], stroke: Stroke, part: str, *, filled: bool = True) -> Path:
    """Give the closed path through some corners [mm]."""
    first, *rest = (Point(*corner) for corner in corners)
    return Path(first, (*map(Straight, rest), Straight(first)), stroke, part, filled=filled)


def rounded_polygon(
    corners: Sequence[tuple[float, float]], radii: Mapping[int, float], stroke: Stroke, part: str
) -> Path:
    """Give a closed path whose right-angled corners of some numbers are rounded, as far as its sides allow [mm]."""
    points = [Point(*corner) for corner in corners]
    pieces: list[Straight | Arc] = []
    for i, here in enumerate(points):
        before, after = points[i - 1], points[(i + 1) % len(points)]
        r = min(radii.get(i, 0.0), 0.9 * math.dist(here, before), 0.9 * math.dist(here, after))
        if r <= 0.0:
            pieces.append(Straight(here))
            continue
        first, last = _toward(here, before, r), _toward(here, after, r)
        turn = (here.x - before.x) * (after.y - here.y) - (here.y - before.y) * (after.x - here.x)
        pieces += [Straight(first), Arc(last, r, clockwise=turn < 0)]
    return Path(pieces[-1].end, tuple(pieces), stroke, part)


def _toward(start: Point, end: Point, by: float) -> Point:
    share = by / math.dist(start, end)
    return Point(start.x + share * (end.x - start.x), start.y + share * (end.y - start.y))


def rectangle(
    x: tuple[float, float], y: tuple[float, float], stroke: Stroke, part: str, *, filled: bool = True
) -> Path:
    """Give the rectangle between two x and two y [mm]."""
    (x0, x1), (y0, y1) = x, y
    return polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], stroke, part, filled=filled)


def obround(x: tuple[float, float], height: float, stroke: Stroke, part: str, *, filled: bool = True) -> Path:
    """Give the bar with half-round ends whose end centers are at two x on the center line [mm]."""
    (x0, x1), r = x, height / 2
    return Path(
        Point(x0, r),
        (
            Straight(Point(x1, r)),
            Arc(Point(x1, -r), r, clockwise=True),
            Straight(Point(x0, -r)),
            Arc(Point(x0, r), r, clockwise=True),
        ),
        stroke,
        part,
        filled=filled,
    )


def rounded_bar(x: tuple[float, float], y: tuple[float, float], radius: float, stroke: Stroke, part: str) -> Path:
    """Give the rectangle between two x and two y with rounded corners [mm]."""
    (x0, x1), (y0, y1) = x, y
    r = min(radius, (x1 - x0) / 2, (y1 - y0) / 2)
    pieces = (
        Straight(Point(x1 - r, y1)),
        Arc(Point(x1, y1 - r), r, clockwise=True),
        Straight(Point(x1, y0 + r)),
        Arc(Point(x1 - r, y0), r, clockwise=True),
        Straight(Point(x0 + r, y0)),
        Arc(Point(x0, y0 + r), r, clockwise=True),
        Straight(Point(x0, y1 - r)),
        Arc(Point(x0 + r, y1), r, clockwise=True),
    )
    return Path(Point(x0 + r, y1), pieces, stroke, part)


WAIST = 0.72
"""Height of a waisted plate at its middle over its height (common practice, no source)."""


def waisted_plate(x: tuple[float, float], height: float, stroke: Stroke, part: str) -> Path:
    """Give the plate of a roller chain: round ends about both pins, joined by concave flanks [mm].

    The waist is 0.72 of the height (common practice, no source). With end radius r, half waist w and half
    pitch h, a flank of radius q that touches both ends has its center above the middle at w + q, so
    h² + (w + q)² = (r + q)². Plates too tall for a waist come out with straight flanks.
    """
    (x0, x1), r = x, height / 2
    half, w = (x1 - x0) / 2, WAIST * r
    reach = half**2 + w**2 - r**2
    if half <= 1.02 * w or reach <= 0.0:
        return obround(x, height, stroke, part)
    q = reach / (2 * (r - w))
    # Where end and flank touch: on the line from the pin to the flank's center, one end radius out.
    tx, ty = r * half / (r + q), r * (w + q) / (r + q)
    pieces = (
        Arc(Point(x1 - tx, ty), q, clockwise=False),
        Arc(Point(x1 - tx, -ty), r, clockwise=True, large=True),
        Arc(Point(x0 + tx, -ty), q, clockwise=False),
        Arc(Point(x0 + tx, ty), r, clockwise=True, large=True),
    )
    return Path(Point(x0 + tx, ty), pieces, stroke, part)


def chamfered_pin(center: float, diameter: float, y: tuple[float, float], stroke: Stroke, part: str = "pin") -> Path:
    """Give a pin seen from the side, standing upright at an x, its ends chamfered [mm]."""
    (y0, y1), r = y, diameter / 2
    c = min(0.16 * diameter, 0.1 * (y1 - y0))
    corners = [
        (center - r + c, y0), (center + r - c, y0), (center + r, y0 + c), (center + r, y1 - c),
        (center + r - c, y1), (center - r + c, y1), (center - r, y1 - c), (center - r, y0 + c),
    ]  # fmt: skip
    return polygon(corners, stroke, part)


def open_ring(
    center: Point, radii: tuple[float, float], degrees: tuple[float, float], stroke: Stroke, part: str
) -> Path:
    """Give the part of a ring between two angles, counterclockwise and more than half of it [mm, degrees]."""
    inner, outer = radii

    def on(radius: float, angle: float) -> Point:
        turn = math.radians(angle)
        return Point(center.x + radius * math.cos(turn), center.y + radius * math.sin(turn))

    first, last = degrees
    pieces = (
        Arc(on(outer, last), outer, clockwise=False, large=True),
        Straight(on(inner, last)),
        Arc(on(inner, first), inner, clockwise=True, large=True),
        Straight(on(outer, first)),
    )
    return Path(on(outer, first), pieces, stroke, part)


def waist_at(half: float, height: float, away: float) -> float:
    """Give how far above the center line a waisted plate reaches `away` from its middle [mm].

    `half` is half the pitch. The same geometry as in `waisted_plate`.

    >>> round(waist_at(6.35, 12.07, 0.0), 4) == round(0.72 * 12.07 / 2, 4), waist_at(6.35, 12.07, 6.35)
    (True, 6.035)
    """
    r, w = height / 2, WAIST * height / 2
    reach = half**2 + w**2 - r**2
    if half <= 1.02 * w or reach <= 0.0:
        return r
    q = reach / (2 * (r - w))
    if abs(away) <= half - r * half / (r + q):
        return w + q - math.sqrt(q**2 - away**2)
    return math.sqrt(max(0.0, r**2 - (half - abs(away)) ** 2))


def break_line(start: Point, end: Point, size: float) -> Path:
    """Give a long break line: thin, straight, with one zigzag of that size in its middle (a line type of ISO 128-2)."""
    dx, dy = end.x - start.x, end.y - start.y
    length = math.hypot(dx, dy)
    ux, uy = dx / length, dy / length
    middle = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
    steps = ((-0.5, 0.0), (-0.2, 1.0), (0.2, -1.0), (0.5, 0.0))
    bends = (Point(middle.x + size * (a * ux - b * uy), middle.y + size * (a * uy + b * ux)) for a, b in steps)
    return Path(start, (*map(Straight, bends), Straight(end)), Stroke.THIN, "break", closed=False, filled=False)
