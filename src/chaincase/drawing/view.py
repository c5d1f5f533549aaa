"""One view of a chain before it is laid out on the sheet: shapes, center lines, and what is to be dimensioned."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from chaincase.drawing.scene import Box, Line, Point, Shape, Stroke, around, shape_points


class Side(StrEnum):
    """Where a dimension line stands: heights left or right of a view, lengths below it."""

    LEFT = "left"
    RIGHT = "right"
    BELOW = "below"


@dataclass(frozen=True, slots=True)
class Wanted:
    """A dimension to be drawn: between which two points of the view, and on which side.

    `low` is the lower or left one of the two points [mm]. The extension lines of a length begin below the view,
    where the axes end, or at the points themselves if it is `pointed`.
    """

    name: str
    side: Side
    low: Point
    high: Point
    pointed: bool = False

    @property
    def size(self) -> float:
        """The measured length [mm]."""
        return self.high.x - self.low.x if self.side is Side.BELOW else self.high.y - self.low.y


@dataclass(frozen=True, slots=True)
class Cut:
    """An area to be hatched: its corners [mm], and the slope of the lines in degrees."""

    corners: tuple[tuple[float, float], ...]
    degrees: float


@dataclass(frozen=True, slots=True)
class View:
    """A view, its own origin on the chain's center line at the first pin.

    Attributes
    ----------
    shapes : tuple of Shape
        In painting order.
    axes : tuple of Line
        Center lines as long as the part; they are drawn a little longer.
    wanted : tuple of Wanted
        Dimensions that may be drawn here.
    cuts : tuple of Cut
        Cut surfaces, hatched after the shapes.
    over : tuple of Shape
        What lies above the hatching, in painting order.
    """

    shapes: tuple[Shape, ...]
    axes: tuple[Line, ...]
    wanted: tuple[Wanted, ...]
    cuts: tuple[Cut, ...] = ()
    over: tuple[Shape, ...] = ()

    @property
    def bounds(self) -> Box:
        """The smallest box around the shapes."""
        return around(point for shape in (*self.shapes, *self.over) for point in shape_points(shape))


@dataclass(frozen=True, slots=True)
class Views:
    """The two views of a chain, and what about them is not known besides dimensions.

    Attributes
    ----------
    plan : View
        From above: x along the travel, y across the chain.
    side : View
        From the side, along the pins: x along the travel, y upward.
    unknown : tuple of str
        Features without a dimension that had to be assumed, such as the outline of a forged link.
    """

    plan: View
    side: View
    unknown: tuple[str, ...] = ()


def heights(name: str, side: Side, x: float, low: float, high: float) -> Wanted:
    """Give an upright dimension at an x of the view [mm]."""
    return Wanted(name, side, Point(x, low), Point(x, high))


def across(name: str, side: Side, x: float, size: float) -> Wanted:
    """Give an upright dimension that lies evenly about the center line [mm]."""
    return heights(name, side, x, -size / 2, size / 2)


def axis(start: tuple[float, float], end: tuple[float, float]) -> Line:
    """Give a center line [mm]."""
    return Line(Point(*start), Point(*end), Stroke.CENTER, "axis")


def long_axis(shapes: Iterable[Shape], y: float = 0.0) -> Line:
    """Give the center line along the chain, as long as what is drawn."""
    box = around(point for shape in shapes for point in shape_points(shape))
    return axis((box.left, y), (box.right, y))


def cross_axes(stations: Iterable[float], height: float) -> tuple[Line, ...]:
    """Give the upright center lines through some pins, `height` long [mm]."""
    return tuple(axis((x, -height / 2), (x, height / 2)) for x in stations)


def below(name: str, left: tuple[float, float], right: tuple[float, float]) -> Wanted:
    """Give a length along the paper between two points of the view [mm]."""
    return Wanted(name, Side.BELOW, Point(*left), Point(*right), pointed=True)


def pitch_below(pitch: float) -> Wanted:
    """Give the pitch between the first two pins."""
    return Wanted("pitch", Side.BELOW, Point(0.0, 0.0), Point(pitch, 0.0))
