"""Leaf chain: packs of plates on pins, no rollers. The lacing is guessed from the length over the pin."""

from chaincase.drawing.outline import chamfered_pin, rectangle, waisted_plate
from chaincase.drawing.scene import Circle, Point, Shape
from chaincase.drawing.sizes import Sizes
from chaincase.drawing.view import Side, View, Views, Wanted, across, cross_axes, heights, long_axis, pitch_below

MOST_PLATES = 24
HEADS = 1.35
"""Length of both riveted ends together, in plate thicknesses (fits published lengths; from memory)."""


def lacing(pin_length: float, thickness: float) -> str:
    """Give the plates across a leaf chain, `o` for outer and `i` for inner, as many as the pin has room for.

    Fours repeat `oiio`, else outer plates stand around pairs of inner ones (from memory); a guess for the
    drawing alone.

    >>> lacing(11.1, 2.08), lacing(17.4, 2.08)
    ('oiio', 'oiioiio')
    """
    count = min(MOST_PLATES, max(4, round(pin_length / thickness - HEADS)))
    if count % 4 == 0:
        return "oiio" * (count // 4)
    pairs, rest = divmod(count - 1, 3)
    return "oii" * (pairs - (rest > 0)) + "o" + ("i" * (2 + rest) + "o" if rest else "")


def leaf_chain(kind: str, sizes: Sizes) -> Views:  # noqa: ARG001 - all families are drawn by the same call
    """Give the views of a leaf chain."""
    return Views(_plan(sizes), _side(sizes), ("lacing",))


def _side(sizes: Sizes) -> View:
    p, r = sizes["pitch"], sizes["pin_diameter"] / 2
    tall = max(sizes["inner_plate_height"], sizes["outer_plate_height"])
    edge = sizes.edge("pin_diameter")
    shapes: tuple[Shape, ...] = (
        waisted_plate((p, 2 * p), sizes["inner_plate_height"], sizes.edge("inner_plate_height"), "inner plate"),
        waisted_plate((0.0, p), sizes["outer_plate_height"], sizes.edge("outer_plate_height"), "outer plate"),
        *(Circle(Point(x, 0.0), r, edge, "pin", filled=True) for x in (0.0, p)),
        Circle(Point(2 * p, 0.0), sizes["bush_bore"] / 2, sizes.edge("bush_bore"), "bore", filled=True),
    )
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), tall))
    wanted = (
        pitch_below(p),
        across("pin_diameter", Side.LEFT, 0.0, 2 * r),
        across("outer_plate_height", Side.LEFT, 0.0, sizes["outer_plate_height"]),
        across("bush_bore", Side.RIGHT, 2 * p, sizes["bush_bore"]),
        across("inner_plate_height", Side.RIGHT, 2 * p, sizes["inner_plate_height"]),
    )
    return View(shapes, axes, wanted)


def _pack(sizes: Sizes) -> list[tuple[str, float, float]]:
    """Give each plate of the pack: `o` or `i`, and between which two places across the chain it lies."""
    plates = lacing(sizes["pin_length"], max(sizes["inner_plate_thickness"], sizes["outer_plate_thickness"]))
    thick = {"o": sizes["outer_plate_thickness"], "i": sizes["inner_plate_thickness"]}
    low = -sum(thick[plate] for plate in plates) / 2
    pack = []
    for plate in plates:
        pack.append((plate, low, low + thick[plate]))
        low += thick[plate]
    return pack


def _plan(sizes: Sizes) -> View:
    p, half = sizes["pitch"], sizes["pin_length"] / 2
    out, inn = sizes["outer_plate_height"] / 2, sizes["inner_plate_height"] / 2
    pack, edge = _pack(sizes), sizes.edge("pin_length", "pin_diameter")
    shapes: list[Shape] = [chamfered_pin(x, sizes["pin_diameter"], (-half, half), edge) for x in (0.0, p)]
    for plate, low, high in pack:
        if plate == "o":
            stroke = sizes.edge("outer_plate_thickness")
            shapes.append(rectangle((-out, p + out), (low, high), stroke, "outer plate"))
        else:
            stroke = sizes.edge("inner_plate_thickness")
            shapes.append(rectangle((p - inn, 2 * p + inn), (low, high), stroke, "inner plate"))
    wide = max(half, pack[-1][2])
    axes = (long_axis(shapes), *cross_axes((0.0, p, 2 * p), 2 * wide))
    return View(tuple(shapes), axes, tuple(_plan_wanted(sizes, pack)))


def _plan_wanted(sizes: Sizes, pack: list[tuple[str, float, float]]) -> list[Wanted]:
    half, r = sizes["pin_length"] / 2, sizes["pin_diameter"] / 2
    right = 2 * sizes["pitch"] + sizes["inner_plate_height"] / 2
    outer, inner = ([plate for plate in pack if plate[0] == which][-1] for which in "oi")
    return [
        heights("outer_plate_thickness", Side.LEFT, -sizes["outer_plate_height"] / 2, outer[1], outer[2]),
        heights("pin_length", Side.LEFT, -r, -half, half),
        heights("inner_plate_thickness", Side.RIGHT, right, inner[1], inner[2]),
    ]
