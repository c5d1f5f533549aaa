"""A drawing without a device: shapes, texts and dimension lines in millimeters of the real part, y upward.

A writer (`svg` today) turns a scene into a file. Lengths that belong to the paper and not to the part, such
as the height of a letter or the weight of a line, are given in paper millimeters and multiplied by
`Scene.unit`. Every shape names its `part`, so that a writer can put parts on layers or make them clickable.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple


class Point(NamedTuple):
    """A place in the drawing [mm of the part], x along the travel of the chain, y upward."""

    x: float
    y: float


class Box(NamedTuple):
    """An upright rectangle [mm of the part]."""

    left: float
    low: float
    right: float
    high: float

    def overlaps(self, other: "Box") -> bool:
        """Say whether the two have area in common.

        >>> Box(0, 0, 2, 1).overlaps(Box(1, 0, 3, 1)), Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1))
        (True, False)
        """
        across = min(self.right, other.right) - max(self.left, other.left)
        upward = min(self.high, other.high) - max(self.low, other.low)
        # Boxes that were laid side by side may share a rounding error, which is no overlap.
        slack = 1e-9 * max(1.0, *(abs(side) for side in (*self, *other)))
        return across > slack and upward > slack


class Stroke(StrEnum):
    """Line types of ISO 128-2: two weights, full, dashed and long-dashed dotted."""

    VISIBLE = "visible"
    """Thick: a visible edge whose size is known."""
    THIN = "thin"
    """Thin: dimension lines, bends, and edges whose size was assumed."""
    HIDDEN = "hidden"
    """Thin, dashed: an edge behind another part."""
    CENTER = "center"
    """Thin, dash-dot: axes and centers."""
    ERASED = "erased"
    """No line at all: paper that covers an edge where two bodies are one piece."""


class Anchor(StrEnum):
    """Which end of a text stands at its point."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Straight:
    """The next piece of a path: a straight line to `end`."""

    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """The next piece of a path: the shorter circular arc to `end`, or the longer one if `large`."""

    end: Point
    radius: float
    clockwise: bool
    large: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    stroke: Stroke
    part: str = ""


@dataclass(frozen=True, slots=True)
class Path:
    """Straight lines and arcs, one after the other; `filled` covers with paper what was drawn before.

    `solid` fills with ink instead, as an arrowhead is.
    """

    start: Point
    pieces: tuple[Straight | Arc, ...]
    stroke: Stroke
    part: str = ""
    closed: bool = True
    filled: bool = True
    solid: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle; `filled` covers with paper what was drawn before, `solid` fills with ink."""

    center: Point
    radius: float
    stroke: Stroke
    part: str = ""
    filled: bool = False
    solid: bool = False


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text, its middle height at `at`; `height` is the font size [mm of the part]."""

    at: Point
    text: str
    height: float
    anchor: Anchor = Anchor.MIDDLE
    bold: bool = False
    part: str = ""


@dataclass(frozen=True, slots=True)
class DimensionLine:
    """A linear dimension as it stands in the drawing, all places decided.

    Attributes
    ----------
    name : str
        Dimension of `chains.dimensions`.
    letter : str
        Its key letter.
    value : str
        Text beside the letter; may be empty.
    start, end : Point
        The two measured points on the part, lower or left one first.
    upright : bool
        Whether heights (y) are measured; else lengths along the travel (x).
    at : float
        Where the dimension line stands: its x if upright, else its y [mm].
    label : Box
        The room kept for letter and value.
    broken : bool
        Whether the label stands in a break of the line; else it stands beyond the high end.
    outside : bool
        Whether the arrows stand outside and point inward, for want of room.
    assumed : bool
        Whether the size is not known and the line is there to show where it is measured.
    unit : float
        Millimeters of the part per millimeter of paper.
    found : str
        A reading, written under the value; may be empty.
    asked : bool
        Whether the dimension is asked for, which a frame around the label shows.
    """

    name: str
    letter: str
    value: str
    start: Point
    end: Point
    upright: bool
    at: float
    label: Box
    broken: bool
    outside: bool
    assumed: bool
    unit: float
    found: str = ""
    asked: bool = False


Shape = Line | Path | Circle
Element = Shape | Text | DimensionLine


@dataclass(frozen=True, slots=True)
class Scene:
    """A finished drawing.

    Attributes
    ----------
    title, description : str
        For the reader who cannot see it, and for the file's metadata.
    elements : tuple of Element
        In painting order: a later filled shape hides an earlier one.
    bounds : Box
        The sheet, margins included [mm of the part].
    unit : float
        Millimeters of the part per millimeter of paper, when printed at its natural size.
    assumed : tuple of str
        What is not to scale, one sentence each.
    """

    title: str
    description: str
    elements: tuple[Element, ...]
    bounds: Box
    unit: float
    assumed: tuple[str, ...]

    @property
    def dimensions(self) -> tuple[DimensionLine, ...]:
        """The dimension lines, in drawing order."""
        return tuple(e for e in self.elements if isinstance(e, DimensionLine))

    def parts(self, part: str) -> tuple[Element, ...]:
        """Give the shapes and texts of one part."""
        return tuple(e for e in self.elements if not isinstance(e, DimensionLine) and e.part == part)


WIDE = frozenset("mwMWOQGCDHNU@%&—…")
NARROW = frozenset("iljtfrI1.,:;'|!()[]/ -")


@lru_cache(maxsize=4096)
def text_width(text: str, height: float) -> float:
    """Estimate how long a text gets [unit of `height`], on the safe side for a common sans-serif.

    The figures are rounded up from the advance widths of the packaged font (1.1 em for wide letters and all
    beyond ASCII, 0.48 em for narrow ones, 0.72 em else), so a box may be a little too wide, but not too narrow.

    >>> text_width("12.7", 10.0)
    24.0
    """
    ems = sum(1.1 if c in WIDE or ord(c) > 0x7E else 0.48 if c in NARROW else 0.72 for c in text)
    return round(ems * height, 9)


def text_box(text: Text) -> Box:
    """Give the room a text takes."""
    width = text_width(text.text, text.height)
    left = text.at.x - {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[text.anchor] * width
    return Box(left, text.at.y - 0.5 * text.height, left + width, text.at.y + 0.5 * text.height)


def label_boxes(scene: Scene) -> tuple[Box, ...]:
    """Give the room of every text and every dimension label of a scene."""
    texts = (text_box(e) for e in scene.elements if isinstance(e, Text))
    return (*texts, *(d.label for d in scene.dimensions))


def arc_center(start: Point, arc: Arc) -> Point:
    """Give the center of an arc from its ends and radius (chord geometry).

    >>> arc_center(Point(1.0, 0.0), Arc(Point(-1.0, 0.0), 1.0, clockwise=False))
    Point(x=0.0, y=0.0)
    """
    dx, dy = arc.end.x - start.x, arc.end.y - start.y
    chord = math.hypot(dx, dy)
    if chord == 0.0:
        return start
    height = math.sqrt(max(0.0, arc.radius**2 - (chord / 2) ** 2))
    side = -1.0 if arc.clockwise != arc.large else 1.0
    middle = Point((start.x + arc.end.x) / 2, (start.y + arc.end.y) / 2)
    return Point(middle.x - side * height * dy / chord, middle.y + side * height * dx / chord)


def _arc_reach(start: Point, arc: Arc) -> Iterable[Point]:
    """Give the outermost points of an arc: its ends, and the quarter points that it passes."""
    center = arc_center(start, arc)
    first = math.atan2(start.y - center.y, start.x - center.x)
    last = math.atan2(arc.end.y - center.y, arc.end.x - center.x)
    if arc.clockwise:
        first, last = last, first
    sweep = (last - first) % math.tau
    yield arc.end
    for quarter in range(4):
        angle = quarter * math.pi / 2
        if (angle - first) % math.tau <= sweep:
            yield Point(center.x + arc.radius * math.cos(angle), center.y + arc.radius * math.sin(angle))


def shape_points(shape: Shape) -> list[Point]:
    """Give points whose bounding box is that of the shape."""
    if isinstance(shape, Line):
        return [shape.start, shape.end]
    if isinstance(shape, Circle):
        (x, y), r = shape.center, shape.radius
        return [Point(x - r, y - r), Point(x + r, y + r)]
    points = [shape.start]
    for piece in shape.pieces:
        points += [piece.end] if isinstance(piece, Straight) else list(_arc_reach(points[-1], piece))
        points.append(piece.end)
    return points


def around(points: Iterable[Point]) -> Box:
    """Give the smallest box around some points, at least one."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def shifted(point: Point, dx: float, dy: float) -> Point:
    """Give the point that far away [mm].

    >>> shifted(Point(1.0, 2.0), 0.5, -2.0)
    Point(x=1.5, y=0.0)
    """
    return Point(point.x + dx, point.y + dy)


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """Give the same shape that far away [mm]."""
    if isinstance(shape, Line):
        return replace(shape, start=shifted(shape.start, dx, dy), end=shifted(shape.end, dx, dy))
    if isinstance(shape, Circle):
        return replace(shape, center=shifted(shape.center, dx, dy))
    pieces = tuple(replace(piece, end=shifted(piece.end, dx, dy)) for piece in shape.pieces)
    return replace(shape, start=shifted(shape.start, dx, dy), pieces=pieces)
