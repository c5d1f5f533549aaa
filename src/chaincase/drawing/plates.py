"""Chains of inner and outer plates: roller, bush, conveyor, hollow pin, bushed rollerless, agricultural, combination.

Two links are drawn: an outer link with both its pins, and an inner link whose far joint is open, so that
bush, bore and roller can be seen and measured.
"""

from collections.abc import Sequence

from chaincase.drawing.outline import chamfered_pin, obround, rectangle, rounded_bar, waisted_plate
from chaincase.drawing.scene import Circle, Line, Path, Point, Shape, Stroke
from chaincase.drawing.section import Joint, Ring, Slab, section
from chaincase.drawing.sizes import Sizes, inner_wall, outer_wall
from chaincase.drawing.view import Side, View, Views, Wanted, across, cross_axes, heights, long_axis, pitch_below

WAISTED = frozenset({"roller", "bush", "agricultural"})
STRAIGHT_OR_WAISTED = frozenset({"double pitch"})
BLOCK_WALL = 0.3
"""Thickness of a side wall of a cast block over half its width (common practice, no source)."""
MOST_STRANDS = 10
PLAY = 0.97
"""A roller is drawn this much narrower than the room between the inner plates (common practice, no source)."""


def plate_chain(kind: str, sizes: Sizes) -> Views:
    """Give the views of a chain of inner and outer plates."""
    unknown = ("plate outline (waisted or straight)",) if kind in STRAIGHT_OR_WAISTED else ()
    return Views(_plan(kind, sizes), _side(kind, sizes), unknown)


def strand_centers(sizes: Sizes) -> tuple[float, ...]:
    """Give where the strands lie across the chain [mm]: as many as are said, or as the pin has room for.

    One, unless the transverse pitch is known.
    """
    if not sizes.knows("transverse_pitch") or sizes.strands == 1:
        return (0.0,)
    step, one = sizes["transverse_pitch"], sizes["outer_link_inner_width"] + 2 * outer_wall(sizes.values)
    count = min(sizes.strands, MOST_STRANDS) or 2
    if not sizes.strands and sizes.knows("pin_length"):
        count = min(MOST_STRANDS, max(1, 1 + round((sizes["pin_length"] - 1.15 * one) / step)))
    return tuple(step * (i - (count - 1) / 2) for i in range(count))


def _height_names(sizes: Sizes) -> tuple[str, str]:
    """Give the dimensions that say how high the inner and the outer plates are."""
    return _plate_name(sizes, "inner", "height"), _plate_name(sizes, "outer", "height")


def _plate_name(sizes: Sizes, which: str, what: str) -> str:
    """Give the dimension that says how high or thick a plate is: its own, or the one of all sidebars."""
    own, common = f"{which}_plate_{what}", f"sidebar_{what}"
    if common not in sizes.values or sizes.knows(own):
        return own
    return common if sizes.knows(common) or own not in sizes.values else own


def _plate(kind: str, x: tuple[float, float], height: float, stroke: Stroke, part: str) -> Path:
    if kind in WAISTED:
        return waisted_plate(x, height, stroke, part)
    reach = 0.52 * height
    return rounded_bar((x[0] - reach, x[1] + reach), (-height / 2, height / 2), 0.3 * height, stroke, part)


def _disc(name: str, sizes: Sizes, x: float, part: str, stroke: Stroke | None = None) -> Circle:
    """Give a round part seen along its axis."""
    edge = stroke or sizes.edge(name)
    return Circle(Point(x, 0.0), sizes[name] / 2, edge, part, filled=edge is not Stroke.HIDDEN)


def _wheels(sizes: Sizes, x: float, covered: float) -> list[Circle]:
    """Give flange and roller of one joint, rear one first, as far as they show beyond plates of that height."""
    names = (("flange_diameter", "flange"), ("roller_diameter", "roller"))
    return [_disc(n, sizes, x, part) for n, part in names if n in sizes.values and sizes[n] >= covered]


def _behind(sizes: Sizes, x: float, covered: float, *, joint: bool) -> list[Circle]:
    """Give dashed what a plate of that height hides: the largest round part that fits behind it."""
    names = [n for n in ("flange_diameter", "roller_diameter", "bush_diameter") if n in sizes.values]
    hidden = [n for n in names if sizes[n] < covered]
    hidden = hidden[:1] if joint else [n for n in hidden if n != "bush_diameter"]
    return [_disc(n, sizes, x, n.split("_")[0], Stroke.HIDDEN) for n in hidden]


def _pin_end(sizes: Sizes, x: float) -> list[Circle]:
    ends = [_disc("pin_diameter", sizes, x, "pin")]
    if "hollow_pin_bore" in sizes.values:
        ends.append(_disc("hollow_pin_bore", sizes, x, "bore"))
    return ends


def _side(kind: str, sizes: Sizes) -> View:
    p = sizes["pitch"]
    inner, outer = _height_names(sizes)
    shapes: list[Shape] = [*_wheels(sizes, p, sizes[outer]), *_wheels(sizes, 2 * p, sizes[inner])]
    if kind == "combination":
        shapes.append(obround((p, 2 * p), sizes["bush_diameter"], sizes.edge("bush_diameter"), "block link"))
        open_end: list[Shape] = []
    else:
        shapes.append(_plate(kind, (p, 2 * p), sizes[inner], sizes.edge(inner), "inner plate"))
        open_end = [_disc("bush_diameter", sizes, 2 * p, "bush")]
    shapes.append(_plate(kind, (0.0, p), sizes[outer], sizes.edge(outer), "outer plate"))
    shapes += [*open_end, _disc("bush_bore", sizes, 2 * p, "bore")]
    if kind != "combination":
        shapes += _behind(sizes, 2 * p, sizes[inner], joint=False)
    shapes += [*_behind(sizes, p, sizes[outer], joint=True), *_pin_end(sizes, 0.0), *_pin_end(sizes, p)]
    tall = max(sizes[inner], sizes[outer], *(c.radius * 2 for c in _wheels(sizes, 0.0, 0.0)), 0.0)
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), tall))
    return View(tuple(shapes), axes, tuple(_side_wanted(sizes, inner, outer)))


def _side_wanted(sizes: Sizes, inner: str, outer: str) -> list[Wanted]:
    p = sizes["pitch"]
    left = ["hollow_pin_bore", "pin_diameter", "chain_path_depth"]
    right = ["bush_bore", "bush_diameter", "roller_diameter", "flange_diameter"]
    left += [outer] if outer != inner else []
    wanted = [pitch_below(p)]
    wanted += [across(n, Side.LEFT, 0.0, sizes[n]) for n in left if n in sizes.values]
    wanted += [across(n, Side.RIGHT, 2 * p, sizes[n]) for n in right if n in sizes.values]
    if outer == inner:
        # All bars are alike: the outer one shows its full height with nothing in front of it.
        wanted.append(across(outer, Side.LEFT, 0.0, sizes[outer]))
    else:
        wanted.append(across(inner, Side.RIGHT, 2 * p, sizes[inner]))
        if "sidebar_height" in sizes.values and "sidebar_height" not in (inner, outer):
            wanted.append(across("sidebar_height", Side.LEFT, 0.0, sizes["sidebar_height"]))
    return wanted


def _slab(x: tuple[float, float], y: float, thickness: float, stroke: Stroke, part: str) -> Path:
    """Give a plate seen from above, its inner face at y, growing away from the strand's middle."""
    return rectangle(x, (min(y, y + thickness), max(y, y + thickness)), stroke, part)


def _strand(kind: str, sizes: Sizes, z: float) -> list[Shape]:
    """Give the plates and rollers of one strand seen from above, its middle at z."""
    p = sizes["pitch"]
    inner, outer = _height_names(sizes)
    t_in, t_out = inner_wall(sizes.values), outer_wall(sizes.values)
    shapes: list[Shape] = []
    if kind == "combination":
        shapes += _block_link(sizes)
    else:
        for x in (p, 2 * p):
            shapes += _joint(sizes, x, z)
        reach, face = 0.5 * sizes[inner], sizes["inner_width"] / 2
        for sign in (-1, 1):
            edge = sizes.edge("inner_width", _plate_name(sizes, "inner", "thickness"))
            shapes.append(_slab((p - reach, 2 * p + reach), z + sign * face, sign * t_in, edge, "inner plate"))
    reach, face = 0.5 * sizes[outer], sizes["outer_link_inner_width"] / 2
    for sign in (-1, 1):
        edge = sizes.edge(_plate_name(sizes, "outer", "thickness"))
        shapes.append(_slab((-reach, p + reach), z + sign * face, sign * t_out, edge, "outer plate"))
    return shapes


def _joint(sizes: Sizes, x: float, z: float) -> list[Shape]:
    """Give bush, roller and flange of one joint seen from above."""
    over, width = sizes["inner_link_width"], sizes["inner_width"]
    shapes: list[Shape] = [_drum("bush_diameter", sizes, x, (z - over / 2, z + over / 2), "bush")]
    half = PLAY * width / 2
    if "roller_diameter" in sizes.values:
        shapes.append(_drum("roller_diameter", sizes, x, (z - half, z + half), "roller"))
    if "flange_diameter" in sizes.values:
        shapes.append(_drum("flange_diameter", sizes, x, (z + half - 0.3 * half, z + half), "flange"))
    return shapes


def _drum(name: str, sizes: Sizes, x: float, y: tuple[float, float], part: str) -> Path:
    """Give a round part seen across its axis."""
    r = sizes[name] / 2
    return rectangle((x - r, x + r), y, sizes.edge(name), part)


def _block_link(sizes: Sizes) -> list[Shape]:
    """Give the cast link of a combination chain from above: two barrels joined by side walls."""
    p, r, half = sizes["pitch"], sizes["bush_diameter"] / 2, sizes["inner_link_width"] / 2
    edge = sizes.edge("inner_link_width", "bush_diameter")
    body = rounded_bar((p - r, 2 * p + r), (-half, half), 0.15 * r, edge, "block link")
    wall = BLOCK_WALL * half
    pocket = rounded_bar((p + r, 2 * p - r), (-half + wall, half - wall), 0.35 * r, edge, "block link")
    return [body, pocket] if p > 2.2 * r else [body]


def _half_pin(sizes: Sizes) -> float:
    """Give half the length over a pin, which goes through all strands where it is only assumed [mm]."""
    half = sizes["pin_length"] / 2
    return half if sizes.knows("pin_length") else half + strand_centers(sizes)[-1]


def _pins(sizes: Sizes) -> list[Shape]:
    p, half = sizes["pitch"], _half_pin(sizes)
    edge = sizes.edge("pin_length", "pin_diameter")
    return [chamfered_pin(x, sizes["pin_diameter"], (-half, half), edge) for x in (0.0, p)]


def _pin_bores(sizes: Sizes) -> list[Shape]:
    """Give the bores of hollow pins, dashed, from above."""
    if "hollow_pin_bore" not in sizes.values:
        return []
    r, half = sizes["hollow_pin_bore"] / 2, _half_pin(sizes)
    return [
        Line(Point(x + sign * r, -half), Point(x + sign * r, half), Stroke.HIDDEN, "bore")
        for x in (0.0, sizes["pitch"])
        for sign in (-1, 1)
    ]


def _fastener(sizes: Sizes) -> list[Shape]:
    """Give the longer end of a connecting pin, drawn thin because not every joint has it."""
    if not sizes.knows("pin_length_connecting"):
        return []
    half, r = _half_pin(sizes), 0.42 * sizes["pin_diameter"]
    end = sizes["pin_length_connecting"] - half
    if end <= half:
        return []
    return [rectangle((-r, r), (half, end), Stroke.THIN, "fastener")]


def _plan(kind: str, sizes: Sizes) -> View:
    p = sizes["pitch"]
    centers = strand_centers(sizes)
    shapes: list[Shape] = [*_pins(sizes), *_fastener(sizes)]
    for z in centers:
        shapes += _strand(kind, sizes, z)
    cut, cuts = section(_cut_joint(kind, sizes, centers[0]))
    shapes += [*cut, *_pin_bores(sizes)]
    half = max(_half_pin(sizes), centers[-1] + sizes["outer_link_inner_width"] / 2)
    lines = [long_axis(shapes, z) for z in centers]
    axes = (*lines, *cross_axes((0.0, p, 2 * p), 2 * half))
    wanted = [*_outer_wanted(sizes, centers), *_inner_wanted(kind, sizes, centers)]
    return View(tuple(shapes), axes, tuple(wanted), tuple(cuts))


def _cut_joint(kind: str, sizes: Sizes, z: float) -> Joint:
    """Give the middle joint of the lowest strand, to be cut below the strand's center line."""
    p, pin = sizes["pitch"], sizes["pin_diameter"] / 2
    inner, outer = _height_names(sizes)
    rings, hole = _cut_rings(kind, sizes, z)
    face = z - sizes["outer_link_inner_width"] / 2
    edge = sizes.edge(_plate_name(sizes, "outer", "thickness"))
    t_out, t_in = outer_wall(sizes.values), inner_wall(sizes.values)
    reach_out, reach_in = 0.5 * sizes[outer], 0.5 * sizes[inner]
    slabs = [Slab((-reach_out, p + reach_out), (face - t_out, face), pin, edge, 45.0)]
    if kind == "combination":
        # The block's side wall, as far as it stands beside the barrel, which is one piece with it.
        r, half = rings[0].outer, sizes["inner_link_width"] / 2
        slabs.append(Slab((p - r, 2 * p + r), (-half, -half + BLOCK_WALL * half), r, rings[0].stroke, 45.0))
    else:
        face = z - sizes["inner_width"] / 2
        edge = sizes.edge("inner_width", _plate_name(sizes, "inner", "thickness"))
        slabs.append(Slab((p - reach_in, 2 * p + reach_in), (face - t_in, face), hole, edge, -45.0))
    reach = min(1.12 * max(reach_out, reach_in, rings[-1].outer), 0.62 * p)
    return Joint(p, z, reach, pin, sizes.edge("pin_diameter"), tuple(rings), tuple(slabs))


def _cut_rings(kind: str, sizes: Sizes, z: float) -> tuple[list[Ring], float]:
    """Give the round parts of a joint, from the inside out, and the radius of the hole in the inner plate."""
    bore, bush = sizes["bush_bore"] / 2, sizes["bush_diameter"] / 2
    over, width = (
        z - sizes["inner_link_width"] / 2,
        z - PLAY * sizes["inner_width"] / 2 if kind != "combination" else 0.0,
    )
    bore = min(bore, 0.98 * bush)
    rings = [Ring(bore, bush, over, sizes.edge("bush_diameter"), 45.0)]
    if "roller_diameter" in sizes.values and sizes["roller_diameter"] > 2 * bush:
        rings.append(Ring(1.01 * bush, sizes["roller_diameter"] / 2, width, sizes.edge("roller_diameter"), -45.0))
    return rings, bush


def _outer_wanted(sizes: Sizes, centers: Sequence[float]) -> list[Wanted]:
    """Give the widths taken at the outer link, left."""
    z, x = centers[-1], -0.5 * sizes[_height_names(sizes)[1]]
    face, half, r = sizes["outer_link_inner_width"] / 2, _half_pin(sizes), sizes["pin_diameter"] / 2
    wall = _plate_name(sizes, "outer", "thickness")
    wanted = [
        heights(wall, Side.LEFT, x, z + face, z + face + sizes[wall]),
        heights("outer_link_inner_width", Side.LEFT, x, z - face, z + face),
        heights("pin_length", Side.LEFT, -r, -half, half),
    ]
    if wall != "sidebar_thickness" and sizes.knows("sidebar_thickness"):
        t = sizes["sidebar_thickness"]
        wanted.append(heights("sidebar_thickness", Side.LEFT, x, z + face, z + face + t))
    if sizes.knows("pin_length_connecting"):
        end = sizes["pin_length_connecting"] - half
        wanted.append(heights("pin_length_connecting", Side.LEFT, -r, -half, end))
    return wanted


def _inner_wanted(kind: str, sizes: Sizes, centers: Sequence[float]) -> list[Wanted]:
    """Give the widths taken at the open end of the inner link, right."""
    p, z = sizes["pitch"], centers[-1]
    over = sizes["inner_link_width"] / 2
    if kind == "combination":
        return [heights("inner_link_width", Side.RIGHT, 2 * p + sizes["bush_diameter"] / 2, -over, over)]
    x, face = 2 * p + 0.5 * sizes[_height_names(sizes)[0]], sizes["inner_width"] / 2
    wanted = [
        heights("inner_width", Side.RIGHT, x, z - face, z + face),
        heights("inner_link_width", Side.RIGHT, x, z - over, z + over),
    ]
    wall = _plate_name(sizes, "inner", "thickness")
    if wall != "sidebar_thickness":
        wanted.append(heights(wall, Side.RIGHT, x, z + face, z + face + sizes[wall]))
    if len(centers) > 1:
        wanted.append(heights("transverse_pitch", Side.RIGHT, x, centers[-2], centers[-1]))
    return wanted
