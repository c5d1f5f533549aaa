"""A joint cut open in the plan view: below the center line its parts are shown in section, hatched.

A local section (ISO 128-3): the pin is not cut lengthwise, neighboring parts are hatched in different directions,
and where the cut ends in a bar stands a thin line.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chaincase.drawing.outline import rectangle
from chaincase.drawing.scene import Line, Point, Shape, Stroke
from chaincase.drawing.view import Cut

PART = "section"


@dataclass(frozen=True, slots=True)
class Ring:
    """A round part about the pin: radii [mm], how far down it reaches, its edge, slope of its hatching."""

    inner: float
    outer: float
    low: float
    stroke: Stroke
    degrees: float


@dataclass(frozen=True, slots=True)
class Slab:
    """A bar or plate across the pin: from where to where, both ways, radius of its hole, edge, slope of hatching."""

    x: tuple[float, float]
    y: tuple[float, float]
    hole: float
    stroke: Stroke
    degrees: float


@dataclass(frozen=True, slots=True)
class Joint:
    """A joint to be cut: its middle, from where to where the cut goes, the pin's radius and edge, its parts."""

    x: float
    middle: float
    reach: float
    pin: float
    pin_edge: Stroke
    rings: tuple[Ring, ...]
    slabs: tuple[Slab, ...]


def section(joint: Joint) -> tuple[list[Shape], list[Cut]]:
    """Give the shapes of a cut joint, and the areas to be hatched."""
    low = min([ring.low for ring in joint.rings] + [slab.y[0] for slab in joint.slabs])
    window = (joint.x - joint.reach, joint.x + joint.reach)
    shapes: list[Shape] = [rectangle(window, (low, joint.middle), Stroke.ERASED, PART)]
    cuts: list[Cut] = []
    for slab in joint.slabs:
        for piece in _pieces(slab, joint):
            shapes += _slab_edges(slab, piece, window)
            cuts.append(Cut(_corners(piece, slab.y), slab.degrees))
    for ring in joint.rings:
        shapes += _ring_edges(ring, joint)
        for sign in (-1, 1):
            x = sorted((joint.x + sign * ring.inner, joint.x + sign * ring.outer))
            cuts.append(Cut(_corners((x[0], x[1]), (ring.low, joint.middle)), sign * ring.degrees))
    return [*shapes, *_pin(joint, low)], cuts


def _pin(joint: Joint, low: float) -> Iterator[Shape]:
    """Give the pin, not cut, with the edge of the outermost bar taken off it."""
    below = low - 0.02 * (joint.middle - low)
    sides = (joint.x - joint.pin, joint.x + joint.pin)
    yield rectangle(sides, (below, joint.middle), Stroke.ERASED, PART)
    yield from (_upright(x, (below, joint.middle), joint.pin_edge) for x in sides)


def _corners(x: tuple[float, float], y: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    return ((x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1]))


def _pieces(slab: Slab, joint: Joint) -> Iterator[tuple[float, float]]:
    """Give the two pieces of a slab beside its hole, as far as the cut goes."""
    left, right = max(slab.x[0], joint.x - joint.reach), min(slab.x[1], joint.x + joint.reach)
    if left < joint.x - slab.hole:
        yield left, joint.x - slab.hole
    if right > joint.x + slab.hole:
        yield joint.x + slab.hole, right


def _slab_edges(slab: Slab, piece: tuple[float, float], window: tuple[float, float]) -> Iterator[Line]:
    for y in slab.y:
        yield Line(Point(piece[0], y), Point(piece[1], y), slab.stroke, PART)
    for x in piece:
        yield _upright(x, slab.y, Stroke.THIN if x in window and x not in slab.x else slab.stroke)


def _ring_edges(ring: Ring, joint: Joint) -> Iterator[Line]:
    for sign in (-1, 1):
        near, far = joint.x + sign * ring.inner, joint.x + sign * ring.outer
        yield _upright(near, (ring.low, joint.middle), ring.stroke)
        yield _upright(far, (ring.low, joint.middle), ring.stroke)
        yield Line(Point(near, ring.low), Point(far, ring.low), ring.stroke, PART)


def _upright(x: float, y: Sequence[float], stroke: Stroke) -> Line:
    return Line(Point(x, y[0]), Point(x, y[1]), stroke, PART)
