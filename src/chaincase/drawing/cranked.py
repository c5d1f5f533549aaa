"""Chains of cranked links, all alike: offset sidebar, welded steel, drag, cast mill, pintle.

Two links are drawn, wide end left: the first carries both pins, the second ends in an open narrow end.
"""

import math
from dataclasses import dataclass

from chaincase.drawing.outline import chamfered_pin, obround, polygon, rectangle, rounded_bar
from chaincase.drawing.plates import PLAY
from chaincase.drawing.scene import Arc, Circle, Line, Path, Point, Shape, Straight, Stroke, moved
from chaincase.drawing.section import Joint, Ring, Slab, section
from chaincase.drawing.sizes import Sizes
from chaincase.drawing.view import Side, View, Views, Wanted, across, cross_axes, heights, long_axis, pitch_below

CAST = frozenset({"cast mill", "pintle", "class 700"})


@dataclass(frozen=True, slots=True)
class _Crank:
    """Where the bar of a link bends, measured from its wide end, and its faces above the center line [mm]."""

    reach: float
    first: float
    second: float
    wide: float
    narrow: float
    thick: float


def _crank(sizes: Sizes) -> _Crank:
    """Find room for the bend between the narrow end of the link before and the wide end of the link after."""
    p, reach = sizes["pitch"], sizes["sidebar_height"] / 2
    play = 0.06 * p
    first, second = reach + play, p - reach - play
    if second - first < 0.12 * p:
        first, second = 0.44 * p, 0.56 * p
    wide = sizes["outer_link_inner_width"] / 2
    thick = sizes["sidebar_thickness"]
    narrow = sizes["inner_link_width"] / 2 - thick
    if sizes.knows("inner_width"):
        narrow = sizes["inner_width"] / 2
    return _Crank(reach, first, second, wide, max(0.0, narrow), thick)


def cranked_chain(kind: str, sizes: Sizes) -> Views:
    """Give the views of a chain of cranked links."""
    return Views(_plan(kind, sizes), _side(kind, sizes))


def _bar_above(x: float, pitch: float, crank: _Crank, edge: Stroke, sign: int) -> Path:
    """Give one sidebar from above, its wide end at x; `sign` says on which side of the center line."""
    wide, narrow, t = crank.wide, crank.narrow, crank.thick
    lean = math.atan2(wide - narrow, crank.second - crank.first)
    # The inner face bends a little earlier than the outer one, so that the bar stays equally thick.
    early = t * math.tan(lean / 2)
    a, b, end = x + crank.first, x + crank.second, x + pitch + crank.reach
    corners = [
        (x - crank.reach, wide + t), (a, wide + t), (b, narrow + t), (end, narrow + t),
        (end, narrow), (b - early, narrow), (a - early, wide), (x - crank.reach, wide),
    ]  # fmt: skip
    return polygon([(cx, sign * cy) for cx, cy in corners], edge, "sidebar")


def _side(kind: str, sizes: Sizes) -> View:
    p, tall, crank = sizes["pitch"], sizes["sidebar_height"], _crank(sizes)
    round_part = "roller_diameter" if "roller_diameter" in sizes.values else "bush_diameter"
    large = sizes[round_part] >= tall
    shapes: list[Shape] = []
    if large:
        shapes += [_disc(round_part, sizes, x) for x in (p, 2 * p)]
    if kind == "drag":
        shapes += [_shoe_from_side(sizes, x) for x in (p, 2 * p)]
    for x in (0.0, p):
        shapes.append(obround((x, x + p), tall, sizes.edge("sidebar_height"), "sidebar"))
        shapes += [_upright(x + at, tall) for at in (crank.first, crank.second)]
    if not large:
        shapes += [_disc(round_part, sizes, x, Stroke.HIDDEN) for x in (p, 2 * p)]
    shapes.append(Circle(Point(2 * p, 0.0), sizes["bush_bore"] / 2, sizes.edge("pin_diameter"), "bore", filled=True))
    shapes += [_pin_end(sizes, x) for x in (0.0, p)]
    high = max(tall, sizes[round_part])
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), high))
    return View(tuple(shapes), axes, tuple(_side_wanted(sizes, round_part)))


def _pin_end(sizes: Sizes, x: float) -> Circle:
    return Circle(Point(x, 0.0), sizes["pin_diameter"] / 2, sizes.edge("pin_diameter"), "pin", filled=True)


def _disc(name: str, sizes: Sizes, x: float, stroke: Stroke | None = None) -> Circle:
    part = "roller" if name == "roller_diameter" else "barrel"
    return Circle(Point(x, 0.0), sizes[name] / 2, stroke or sizes.edge(name), part, filled=stroke is None)


def _upright(x: float, height: float) -> Line:
    """Give a bend of the bar seen from the side."""
    return Line(Point(x, -height / 2), Point(x, height / 2), Stroke.THIN, "bend")


def _shoe(sizes: Sizes) -> tuple[float, float]:
    """Give from where to where the pushing plate of a drag link reaches beyond its pin [mm]."""
    far = min(0.575 * sizes["bush_diameter"], 0.4 * sizes["sidebar_height"])
    return 0.5 * far, far


def _shoe_from_side(sizes: Sizes, x: float) -> Path:
    """Give the flat pushing plate of a drag link, as high as the round end of the bar leaves room for."""
    near, far = _shoe(sizes)
    half = 0.95 * math.sqrt((sizes["sidebar_height"] / 2) ** 2 - far**2)
    return rectangle((x + near, x + far), (-half, half), Stroke.HIDDEN, "barrel", filled=False)


def _side_wanted(sizes: Sizes, round_part: str) -> list[Wanted]:
    p = sizes["pitch"]
    wanted = [
        pitch_below(p),
        across("pin_diameter", Side.LEFT, 0.0, sizes["pin_diameter"]),
        across("sidebar_height", Side.LEFT, 0.0, sizes["sidebar_height"]),
        across(round_part, Side.RIGHT, 2 * p, sizes[round_part]),
    ]
    # A hole without a column of its own is as large as the pin, and has no letter.
    return [*wanted, across("bush_bore", Side.RIGHT, 2 * p, sizes["bush_bore"])]


def _plan(kind: str, sizes: Sizes) -> View:
    p, crank, half = sizes["pitch"], _crank(sizes), sizes["pin_length"] / 2
    pin = sizes.edge("pin_length", "pin_diameter")
    shapes: list[Shape] = [chamfered_pin(x, sizes["pin_diameter"], (-half, half), pin) for x in (0.0, p)]
    for x in (p, 2 * p):
        shapes += _barrel(kind, sizes, x, crank)
    edge = sizes.edge("sidebar_thickness", "inner_link_width")
    for x in (0.0, p):
        shapes += [_bar_above(x, p, crank, edge, sign) for sign in (1, -1)]
    cut, cuts = section(_cut_joint(kind, sizes, crank, edge))
    shapes += [*cut, *_pin_keepers(sizes, crank)]
    axes = (
        long_axis(shapes),
        *cross_axes((0.0, p, 2 * p), 2 * max(half, crank.wide + crank.thick)),
    )
    return View(tuple(shapes), axes, tuple(_plan_wanted(sizes, crank)), tuple(cuts))


def _cut_joint(kind: str, sizes: Sizes, crank: _Crank, edge: Stroke) -> Joint:
    """Give the joint between the two links, to be cut below the center line; the bars are straight there."""
    p, pin, t = sizes["pitch"], sizes["pin_diameter"] / 2, crank.thick
    reach = min(crank.reach + 0.8 * (crank.first - crank.reach), 0.4 * p)
    bore = min(sizes["bush_bore"] / 2, 0.98 * sizes["bush_diameter"] / 2 if "bush_diameter" in sizes.values else p)
    hole, slope = bore, -45.0
    if "roller_diameter" in sizes.values:
        r = sizes["roller_diameter"] / 2
        hole = (pin + r) / 2
        bore = min(bore, 0.95 * hole)
        rings = [
            Ring(bore, hole, -sizes["inner_link_width"] / 2, Stroke.THIN, 45.0),
            Ring(1.01 * hole, r, -PLAY * crank.narrow, sizes.edge("roller_diameter"), 45.0),
        ]
    else:
        # A barrel is one piece with its bars when cast, welded to them otherwise; the hatching says which.
        rings = [Ring(bore, sizes["bush_diameter"] / 2, -crank.narrow, sizes.edge("bush_diameter"), 45.0)]
        slope = 45.0 if kind in CAST else -45.0
    slabs = (
        Slab((p - reach - p, p + crank.reach), (-crank.narrow - t, -crank.narrow), hole, edge, slope),
        Slab((p - crank.reach, 3 * p), (-crank.wide - t, -crank.wide), pin, edge, 45.0),
    )
    return Joint(p, 0.0, reach, pin, sizes.edge("pin_diameter"), tuple(rings), slabs)


def _pin_keepers(sizes: Sizes, crank: _Crank) -> list[Shape]:
    """Give head and cotter of each pin, thin: how a pin is kept has no dimension (common practice, no source)."""
    d, half, face = sizes["pin_diameter"], sizes["pin_length"] / 2, crank.wide + crank.thick
    out = half - face
    if out <= 0.0:
        return []
    shapes: list[Shape] = []
    for x in (0.0, sizes["pitch"]):
        head = rounded_bar((x - 0.7 * d, x + 0.7 * d), (half - 0.75 * out, half), 0.3 * out, Stroke.THIN, "pin head")
        middle, r = -face - 0.5 * out, min(0.09 * d, 0.16 * out)
        cotter = obround((x - 0.75 * d, x + 0.75 * d), 2 * r, Stroke.THIN, "cotter")
        shapes += [head, moved(cotter, 0.0, middle)]
    return shapes


def _barrel(kind: str, sizes: Sizes, x: float, crank: _Crank) -> list[Shape]:
    """Give what stands between the bars of a narrow end: roller on its bush, or barrel with its joints."""
    name = "roller_diameter" if "roller_diameter" in sizes.values else "bush_diameter"
    r, half, edge = sizes[name] / 2, crank.narrow, sizes.edge(name)
    if name == "roller_diameter":
        bush, over = (sizes["pin_diameter"] + sizes[name]) / 4, sizes["inner_link_width"] / 2
        play = PLAY * half
        return [
            rectangle((x - bush, x + bush), (-over, over), Stroke.THIN, "bush"),
            rectangle((x - r, x + r), (-play, play), edge, "roller"),
        ]
    if kind in CAST:
        fillet = min(0.25 * r, 0.4 * half, 0.95 * (crank.reach - r))
        return [_cast_barrel(x, r, half, max(0.0, fillet), edge)]
    barrel: list[Shape] = [rectangle((x - r, x + r), (-half, half), edge, "barrel")]
    if kind == "drag":
        near, far = _shoe(sizes)
        barrel.append(rectangle((x + near, x + far), (-half, half), edge, "barrel"))
        r = far
    leg = min(0.5 * crank.thick, half, crank.reach - r)
    return barrel + _welds(x, (-sizes[name] / 2, r), half, leg) if leg > 0.0 else barrel


def _cast_barrel(x: float, r: float, half: float, f: float, edge: Stroke) -> Path:
    """Give a barrel that runs into its bars with fillets of radius f."""
    if f == 0.0:
        return rectangle((x - r, x + r), (-half, half), edge, "barrel")
    pieces: list[Straight | Arc] = []
    for sx, sy in ((1, 1), (1, -1), (-1, -1), (-1, 1)):
        wall, neck = Point(x + sx * (r + f), sy * half), Point(x + sx * r, sy * (half - f))
        first, last = (wall, neck) if sx == sy else (neck, wall)
        pieces += [Straight(first), Arc(last, f, clockwise=False)]
    start = Point(x - (r + f), half)
    return Path(start, tuple(pieces), edge, "barrel")


def _welds(x: float, reach: tuple[float, float], half: float, leg: float) -> list[Shape]:
    """Give the fillet welds between barrel and bars, as little triangles."""
    welds: list[Shape] = []
    for edge, sx in zip(reach, (-1, 1), strict=True):
        for sy in (-1, 1):
            corner = (x + edge, sy * half)
            along, down = (corner[0] + sx * leg, corner[1]), (corner[0], sy * (half - leg))
            welds.append(polygon([corner, along, down], Stroke.THIN, "weld"))
    return welds


def _plan_wanted(sizes: Sizes, crank: _Crank) -> list[Wanted]:
    p, half, r = sizes["pitch"], sizes["pin_length"] / 2, sizes["pin_diameter"] / 2
    left, right = -crank.reach, 2 * p + crank.reach
    over = sizes["inner_link_width"] / 2
    return [
        heights("sidebar_thickness", Side.LEFT, left, crank.wide, crank.wide + crank.thick),
        across("outer_link_inner_width", Side.LEFT, left, 2 * crank.wide),
        heights("pin_length", Side.LEFT, -r, -half, half),
        across("inner_width", Side.RIGHT, right, 2 * crank.narrow),
        across("inner_link_width", Side.RIGHT, right, 2 * over),
    ]
