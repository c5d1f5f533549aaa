"""What of a scene is seen: every edge cut where a later, filled shape covers it.

A picture hides an edge by painting paper over it; a file for other drawing programs must leave it out.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from chaincase.drawing.scene import (
    Arc,
    Box,
    Circle,
    DimensionLine,
    Line,
    Path,
    Point,
    Scene,
    Shape,
    Straight,
    Stroke,
    Text,
    arc_center,
    around,
)

_CHORD = math.radians(3.0)
_SLACK = 1e-7
"""Share of the sheet within which a point counts as lying on an edge, and below which a piece is not drawn."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A visible straight piece."""

    start: Point
    end: Point
    stroke: Stroke
    part: str


@dataclass(frozen=True, slots=True)
class Curve:
    """A visible arc, counterclockwise from one angle to the other [radians]; a full circle where 2 pi apart."""

    center: Point
    radius: float
    first: float
    last: float
    stroke: Stroke
    part: str

    def at(self, share: float) -> Point:
        """Give the point that far along, from 0 to 1."""
        angle = self.first + share * (self.last - self.first)
        return Point(self.center.x + self.radius * math.cos(angle), self.center.y + self.radius * math.sin(angle))


@dataclass(frozen=True, slots=True)
class _Cover:
    """A filled shape as a polygon, and its box."""

    corners: tuple[Point, ...]
    box: Box


def visible(scene: Scene) -> list[Segment | Curve]:
    """Give the visible pieces of all shapes of a scene, in painting order.

    >>> from chaincase.drawing.outline import rectangle
    >>> back = Line(Point(0, 1), Point(4, 1), Stroke.VISIBLE)
    >>> front = rectangle((1, 3), (0, 2), Stroke.VISIBLE, "plate")
    >>> scene = Scene("", "", (back, front), Box(0, 0, 4, 2), 1.0, ())
    >>> [(piece.start.x, piece.end.x) for piece in visible(scene)[:2]]
    [(0.0, 1.0), (3.0, 4.0)]
    """
    shapes = [e for e in scene.elements if not isinstance(e, DimensionLine | Text)]
    slack = _SLACK * max(scene.bounds.right - scene.bounds.left, scene.bounds.high - scene.bounds.low)
    covers = [_cover(shape) for shape in shapes]
    pieces: list[Segment | Curve] = []
    for i, shape in enumerate(shapes):
        if shape.stroke is not Stroke.ERASED:
            later = [cover for cover in covers[i + 1 :] if cover is not None]
            for piece in edges(shape):
                pieces += _seen(piece, later, slack)
    return pieces


def edges(shape: Shape) -> Iterator[Segment | Curve]:
    """Give the pieces of a shape's outline, covered or not."""
    if isinstance(shape, Line):
        yield Segment(shape.start, shape.end, shape.stroke, shape.part)
    elif isinstance(shape, Circle):
        yield Curve(shape.center, shape.radius, 0.0, math.tau, shape.stroke, shape.part)
    else:
        at = shape.start
        for piece in shape.pieces:
            yield _edge(shape, at, piece)
            at = piece.end
        if shape.closed and math.dist(at, shape.start) > 0.0:
            yield Segment(at, shape.start, shape.stroke, shape.part)


def _edge(shape: Path, at: Point, piece: Straight | Arc) -> Segment | Curve:
    if isinstance(piece, Straight):
        return Segment(at, piece.end, shape.stroke, shape.part)
    center = arc_center(at, piece)
    first, last = (math.atan2(p.y - center.y, p.x - center.x) for p in (at, piece.end))
    if piece.clockwise:
        first, last = last, first
    return Curve(center, piece.radius, first, first + (last - first) % math.tau, shape.stroke, shape.part)


def _cover(shape: Shape) -> _Cover | None:
    if isinstance(shape, Line) or not (shape.filled or shape.solid):
        return None
    corners: list[Point] = []
    if isinstance(shape, Circle):
        corners += _flat(next(iter(edges(shape))), backward=False)
    else:
        at = shape.start
        for piece in shape.pieces:
            corners += _flat(_edge(shape, at, piece), backward=isinstance(piece, Arc) and piece.clockwise)
            at = piece.end
        corners.append(at)
    return _Cover(tuple(corners), around(corners))


def _flat(edge: Segment | Curve, *, backward: bool) -> list[Point]:
    """Give an edge as corners, without its last point, in the direction in which the outline runs."""
    if isinstance(edge, Segment):
        return [edge.start]
    steps = max(2, math.ceil((edge.last - edge.first) / _CHORD))
    points = [edge.at(i / steps) for i in range(steps + 1)]
    return (points[::-1] if backward else points)[:-1]


def _seen(piece: Segment | Curve, covers: Sequence[_Cover], slack: float) -> list[Segment | Curve]:
    box = _box(piece)
    over = [cover for cover in covers if _touch(box, cover.box)]
    if not over:
        return [piece]
    cuts = sorted({0.0, 1.0, *(share for cover in over for share in _crossings(piece, cover))})
    length = _length(piece)
    spans: list[tuple[float, float]] = []
    for a, b in pairwise(cuts):
        if (b - a) * length <= slack or any(_hides(cover, piece, (a, b), slack) for cover in over):
            continue
        if spans and spans[-1][1] >= a - slack / max(length, slack):
            spans[-1] = (spans[-1][0], b)
        else:
            spans.append((a, b))
    return [_between(piece, a, b) for a, b in spans]


def _hides(cover: _Cover, piece: Segment | Curve, span: tuple[float, float], slack: float) -> bool:
    """Say whether a cover hides a stretch that its outline does not cross; one point may lie where they touch."""
    a, b = span
    return any(_inside(_at(piece, a + share * (b - a)), cover, slack) for share in (0.5, 0.31, 0.77))


def _touch(one: Box, other: Box) -> bool:
    return one.left <= other.right and one.right >= other.left and one.low <= other.high and one.high >= other.low


def _box(piece: Segment | Curve) -> Box:
    if isinstance(piece, Segment):
        return around([piece.start, piece.end])
    (x, y), r = piece.center, piece.radius
    return Box(x - r, y - r, x + r, y + r)


def _length(piece: Segment | Curve) -> float:
    if isinstance(piece, Segment):
        return math.dist(piece.start, piece.end)
    return piece.radius * (piece.last - piece.first)


def _at(piece: Segment | Curve, share: float) -> Point:
    if isinstance(piece, Curve):
        return piece.at(share)
    (x0, y0), (x1, y1) = piece.start, piece.end
    return Point(x0 + share * (x1 - x0), y0 + share * (y1 - y0))


def _between(piece: Segment | Curve, a: float, b: float) -> Segment | Curve:
    if isinstance(piece, Segment):
        return Segment(_at(piece, a), _at(piece, b), piece.stroke, piece.part)
    turn = piece.last - piece.first
    return Curve(piece.center, piece.radius, piece.first + a * turn, piece.first + b * turn, piece.stroke, piece.part)


def _crossings(piece: Segment | Curve, cover: _Cover) -> Iterator[float]:
    """Give where along a piece the outline of a cover crosses it, from 0 to 1."""
    for a, b in pairwise((*cover.corners, cover.corners[0])):
        yield from _on_segment(piece, a, b) if isinstance(piece, Segment) else _on_curve(piece, a, b)


def _on_segment(piece: Segment, a: Point, b: Point) -> Iterator[float]:
    (x, y), (dx, dy) = piece.start, (piece.end.x - piece.start.x, piece.end.y - piece.start.y)
    ex, ey = b.x - a.x, b.y - a.y
    turn = dx * ey - dy * ex
    if turn == 0.0:
        return
    share = ((a.x - x) * ey - (a.y - y) * ex) / turn
    along = ((a.x - x) * dy - (a.y - y) * dx) / turn
    if 0.0 < share < 1.0 and -1e-9 <= along <= 1.0 + 1e-9:
        yield share


def _on_curve(piece: Curve, a: Point, b: Point) -> Iterator[float]:
    ex, ey, fx, fy = b.x - a.x, b.y - a.y, a.x - piece.center.x, a.y - piece.center.y
    square, half, rest = ex * ex + ey * ey, ex * fx + ey * fy, fx * fx + fy * fy - piece.radius**2
    inner = half * half - square * rest
    if square == 0.0 or inner < 0.0:
        return
    for sign in (-1.0, 1.0):
        along = (-half + sign * math.sqrt(inner)) / square
        if -1e-9 <= along <= 1.0 + 1e-9:
            angle = math.atan2(fy + along * ey, fx + along * ex)
            share = ((angle - piece.first) % math.tau) / (piece.last - piece.first)
            if 0.0 < share < 1.0:
                yield share


def _inside(point: Point, cover: _Cover, slack: float) -> bool:
    """Say whether a point lies inside a cover and not on its edge."""
    box = cover.box
    if not (box.left < point.x < box.right and box.low < point.y < box.high):
        return False
    odd = False
    for a, b in pairwise((*cover.corners, cover.corners[0])):
        if _near(point, a, b, slack):
            return False
        if (a.y <= point.y) != (b.y <= point.y) and point.x < a.x + (point.y - a.y) / (b.y - a.y) * (b.x - a.x):
            odd = not odd
    return odd


def _near(point: Point, a: Point, b: Point, slack: float) -> bool:
    dx, dy = b.x - a.x, b.y - a.y
    square = dx * dx + dy * dy
    share = 0.0 if square == 0.0 else min(1.0, max(0.0, ((point.x - a.x) * dx + (point.y - a.y) * dy) / square))
    return math.hypot(point.x - a.x - share * dx, point.y - a.y - share * dy) <= slack
