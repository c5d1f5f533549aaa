"""Chains of forged or pressed links without plates: rivetless and detachable.

Their tables hold few sizes. The outline of a link follows the pitch and is named as assumed.
"""

from chaincase.drawing.outline import obround, open_ring, polygon, rectangle, rounded_bar
from chaincase.drawing.scene import Circle, Path, Point, Shape, Stroke
from chaincase.drawing.sizes import Sizes
from chaincase.drawing.view import Side, View, Views, across, cross_axes, long_axis, pitch_below

_LINK = 0.32
"""Height of a rivetless link over its pitch (common practice, no source)."""
_CENTER, _BAR = 0.42, 0.17
"""Width of the center link, and thickness of a side link, over the length of the pin (as above)."""


def rivetless_chain(kind: str, sizes: Sizes) -> Views:  # noqa: ARG001 - all families are drawn by the same call
    """Give the views of a rivetless chain: center links between pairs of side links, pins with T-heads."""
    return Views(_rivetless_plan(sizes), _rivetless_side(sizes), ("outline of the links",))


def _t_head(sizes: Sizes, x: float) -> Path:
    """Give the T-head of a pin seen along the pin."""
    half, r = 0.8 * _LINK * sizes["pitch"] / 2, 0.55 * sizes["pin_diameter"]
    half = max(half, 1.2 * r)
    return rounded_bar((x - r, x + r), (-half, half), 0.5 * r, sizes.edge("pin_diameter"), "pin head")


def _rivetless_side(sizes: Sizes) -> View:
    p, d = sizes["pitch"], sizes["pin_diameter"]
    tall = max(_LINK * p, 1.9 * d)
    shapes: tuple[Shape, ...] = (
        obround((p, 2 * p), tall, sizes.edge("outline"), "center link"),
        obround((p, 2 * p), 1.06 * d, sizes.edge("outline"), "slot"),
        obround((0.0, p), 0.95 * tall, sizes.edge("outline"), "side link"),
        obround((0.22 * p, 0.78 * p), 0.9 * d, sizes.edge("outline"), "slot"),
        *(_t_head(sizes, x) for x in (0.0, p)),
        *(Circle(Point(x, 0.0), d / 2, Stroke.HIDDEN, "pin") for x in (0.0, p)),
    )
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), tall))
    return View(shapes, axes, (pitch_below(p), across("pin_diameter", Side.LEFT, 0.0, d)))


def _padded(
    x: tuple[float, float],
    ends: tuple[float, float],
    neck: tuple[float, float],
    reach: float,
    stroke: Stroke,
    part: str,
) -> Path:
    """Give a link seen from above: thick about its pins, thinner between them; `ends`, `neck` are two faces each."""
    (x0, x1), (low, high), (n_low, n_high) = x, ends, neck
    a, b = x0 + 0.2 * (x1 - x0), x1 - 0.2 * (x1 - x0)
    slope = 0.08 * (x1 - x0)
    corners = [
        (x0 - reach, low), (a, low), (a + slope, n_low), (b - slope, n_low), (b, low), (x1 + reach, low),
        (x1 + reach, high), (b, high), (b - slope, n_high), (a + slope, n_high), (a, high), (x0 - reach, high),
    ]  # fmt: skip
    return polygon(corners, stroke, part)


def _rivetless_plan(sizes: Sizes) -> View:
    p, d, length = sizes["pitch"], sizes["pin_diameter"], sizes["pin_length"]
    reach = max(_LINK * p, 1.9 * d) / 2
    half, center, bar = length / 2, _CENTER * length / 2, _BAR * length
    edge, line = sizes.edge("pin_length", "pin_diameter"), sizes.edge("outline")
    shapes: list[Shape] = [rectangle((x - d / 2, x + d / 2), (-half, half), edge, "pin") for x in (0.0, p)]
    shapes.append(_padded((p, 2 * p), (-center, center), (-0.8 * center, 0.8 * center), reach, line, "center link"))
    low, high = 1.03 * center, 1.03 * center + bar
    for s in (1, -1):
        ends, neck = sorted((s * low, s * high)), sorted((s * (low + 0.2 * bar), s * (high - 0.25 * bar)))
        shapes.append(_padded((0.0, p), (ends[0], ends[1]), (neck[0], neck[1]), 0.95 * reach, line, "side link"))
    for x in (0.0, p):
        r = 0.55 * d
        for s in (1, -1):
            span = sorted((s * high, s * half))
            shapes.append(rectangle((x - r, x + r), (span[0], span[1]), edge, "pin head"))
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), length))
    return View(tuple(shapes), axes, (across("pin_length", Side.LEFT, -0.55 * d, length),))


def detachable_chain(kind: str, sizes: Sizes) -> Views:  # noqa: ARG001 - all families are drawn by the same call
    """Give the views of a detachable chain: one-piece links, the end bar of each in the hook of the next."""
    return Views(
        _detachable_plan(sizes["pitch"], sizes.edge("outline")),
        _detachable_side(sizes["pitch"], sizes.edge("outline")),
        ("outline of the links",),
    )


_END_BAR, _HOOK, _SIDE_BAR, _WIDTH = 0.13, (0.145, 0.22), 0.16, 0.95
"""Radius of the end bar, radii of the hook, width of a side bar and of the link, over the pitch (as above)."""


def _detachable_side(p: float, edge: Stroke) -> View:
    shapes: list[Shape] = []
    inner, outer = _HOOK[0] * p, _HOOK[1] * p
    for x in (0.0, p):
        shapes.append(rectangle((x, x + p - inner), (-0.6 * _END_BAR * p, 0.6 * _END_BAR * p), edge, "side bar"))
        shapes.append(open_ring(Point(x + p, 0.0), (inner, outer), (120.0, 410.0), edge, "hook"))
    shapes += [Circle(Point(x, 0.0), _END_BAR * p, edge, "pin", filled=True) for x in (0.0, p)]
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), 2 * outer))
    return View(tuple(shapes), axes, (pitch_below(p),))


def _detachable_plan(p: float, edge: Stroke) -> View:
    half, side = _WIDTH * p / 2, _SIDE_BAR * p
    r, outer = _END_BAR * p, _HOOK[1] * p
    across_hook = (1.1 * side - half, half - 1.1 * side)
    shapes: list[Shape] = [rectangle((x - outer, x + outer), across_hook, edge, "hook") for x in (p, 2 * p)]
    for x in (0.0, p):
        end = x + p - outer
        shapes.append(rounded_bar((x - r, end), (-half, half), 0.4 * side, edge, "link"))
        shapes.append(rectangle((x + r, end - 0.8 * side), (side - half, half - side), edge, "opening"))
    for x in (p, 2 * p):
        # The end bar lies in the hook, whose two lips show left and right of it.
        shapes += [rectangle(lip, across_hook, edge, "hook") for lip in ((x - outer, x - r), (x + r, x + outer))]
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), 2 * half))
    return View(tuple(shapes), axes, ())
