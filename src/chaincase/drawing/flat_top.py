"""Flat-top chain: plates hinged to each other on pins."""

from chaincase.drawing.outline import chamfered_pin, rectangle
from chaincase.drawing.scene import Circle, Line, Point, Shape, Stroke
from chaincase.drawing.sizes import Sizes
from chaincase.drawing.view import Side, View, Views, across, cross_axes, heights, long_axis, pitch_below

GAP = 0.05
"""Gap between two plates over the pitch (common practice, no source)."""


def flat_top_chain(kind: str, sizes: Sizes) -> Views:  # noqa: ARG001 - all families are drawn by the same call
    """Give the views of a flat-top chain."""
    return Views(_plan(sizes), _side(sizes), ("number and width of the hinge fingers", "gap between the plates"))


def _side(sizes: Sizes) -> View:
    p, r, t = sizes["pitch"], sizes["hinge_diameter"] / 2, sizes["plate_thickness"]
    gap = GAP * p / 2
    shapes: list[Shape] = []
    for x in (0.0, p):
        # The plate lies on top of its hinges, flush with them.
        edge = sizes.edge("plate_thickness", "hinge_diameter")
        shapes.append(rectangle((x + gap, x + p - gap), (r - t, r), edge, "plate"))
    hinge = sizes.edge("hinge_diameter")
    shapes += [Circle(Point(x, 0.0), r, hinge, "hinge", filled=True) for x in (0.0, p, 2 * p)]
    pin = sizes["pin_diameter"] / 2
    shapes += [Circle(Point(x, 0.0), pin, sizes.edge("pin_diameter"), "pin", filled=True) for x in (0.0, p)]
    shapes.append(Circle(Point(2 * p, 0.0), 1.02 * pin, Stroke.THIN, "bore", filled=True))
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), 2 * r))
    wanted = (
        pitch_below(p),
        across("pin_diameter", Side.LEFT, 0.0, 2 * pin),
        across("hinge_diameter", Side.RIGHT, 2 * p, 2 * r),
        heights("plate_thickness", Side.LEFT, gap, r - t, r),
    )
    return View(tuple(shapes), axes, wanted)


def _fingers(sizes: Sizes, x: float, *, middle: bool) -> list[Shape]:
    """Give the hinge fingers of one plate's end: the middle one, or the two outer ones."""
    r, half, edge = sizes["hinge_diameter"] / 2, sizes["hinge_width"] / 2, sizes.edge("hinge_width", "hinge_diameter")
    spans = [(-half / 2, half / 2)] if middle else [(-half, -half / 2), (half / 2, half)]
    return [rectangle((x - r, x + r), span, edge, "hinge") for span in spans]


def _plan(sizes: Sizes) -> View:
    p, half, wide = sizes["pitch"], sizes["pin_length"] / 2, sizes["plate_width"] / 2
    gap, r = GAP * p / 2, sizes["pin_diameter"] / 2
    edge = sizes.edge("plate_width")
    shapes: list[Shape] = [chamfered_pin(x, 2 * r, (-half, half), sizes.edge("pin_length")) for x in (0.0, p)]
    shapes += [rectangle((x + gap, x + p - gap), (-wide, wide), edge, "plate") for x in (0.0, p)]
    for x in (0.0, p):
        shapes += _fingers(sizes, x, middle=False)
    for x in (p, 2 * p):
        shapes += _fingers(sizes, x, middle=True)
    reach = sizes["hinge_diameter"] / 2
    for x in (0.0, p):
        ends = [Line(Point(x + s * r, -half), Point(x + s * r, half), Stroke.HIDDEN, "pin") for s in (-1, 1)]
        shapes += ends
    high = max(wide, half)
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), 2 * high))
    wanted = (
        across("pin_length", Side.LEFT, -r, 2 * half),
        across("hinge_width", Side.LEFT, -reach, sizes["hinge_width"]),
        across("plate_width", Side.RIGHT, 2 * p - gap, 2 * wide),
    )
    return View(tuple(shapes), axes, wanted)
