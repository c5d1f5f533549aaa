"""Attachments as bodies in three views: what a link carries, completed where a size is not known.

x runs along the travel, y across the chain, z up; the origin is the first pin's middle. Sizes that are not known
are assumed for the drawing alone and drawn thin, as for the chain itself.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from chaincase.chains.attachments import BY_NAME, NEEDED, STANDING, Form, OnLink, Side
from chaincase.drawing.scene import Stroke
from chaincase.drawing.sizes import LARGEST, Sizes, inner_wall, outer_wall
from chaincase.errors import BadInput

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Attachment:
    """What some links of a chain carry.

    Attributes
    ----------
    form : Form
        What it looks like.
    link : OnLink
        Which links carry it.
    side : Side
        On which sides, seen along the travel.
    holes : int
        On one side.
    sizes : mapping of str to float
        What is known, by name of `chains.attachments` [mm].
    code : str
        What it is called; may be empty.

    Raises
    ------
    BadInput
        If a name is no dimension of an attachment, or a size cannot be drawn.

    >>> Attachment(Form.BENT, OnLink.OUTER, Side.BOTH, 2, {"platform_height": 7.92}, "K2").words
    'Attachment K2: bent, on the outer links, on both sides, 2 holes a side'
    """

    form: Form
    link: OnLink = OnLink.OUTER
    side: Side = Side.BOTH
    holes: int = 1
    sizes: Mapping[str, float] = field(default_factory=dict)
    code: str = ""

    def __post_init__(self) -> None:
        for name, size in self.sizes.items():
            if name not in BY_NAME:
                right = f"use one of: {', '.join(BY_NAME)}"
                raise BadInput(f"{name!r} is not a dimension of an attachment", where="attachment", right=right)
            if not (math.isfinite(size) and 0.0 < size <= LARGEST):
                right = f"give a size above 0 and at most {LARGEST:g} mm"
                raise BadInput(f"{size:g} mm cannot be drawn", where=f"attachment.{name}", right=right)
        if not 0 <= self.holes <= 8:
            raise BadInput(f"{self.holes} holes", where="attachment.holes", right="give 0 to 8 on one side")

    @property
    def words(self) -> str:
        """What it is, for a reader who cannot see it."""
        links = {OnLink.EVERY: "every link", OnLink.UNKNOWN: "links not known which"}
        sides = {Side.ONE: "one side", Side.BOTH: "both sides", Side.UNKNOWN: "sides not known which"}
        side = sides.get(self.side, f"the {self.side} side")
        where = f"on {links.get(self.link, f'the {self.link} links')}, on {side}"
        holes = f", {self.holes} hole{'s' if self.holes != 1 else ''} a side" if self.form in _BORED else ""
        return f"{f'Attachment {self.code}'.strip()}: {self.form}, {where}{holes}"

    @property
    def signs(self) -> tuple[int, ...]:
        """The sides as signs of y; left is up in the plan view, where the chain travels to the right."""
        return {Side.LEFT: (1,), Side.ONE: (1,), Side.RIGHT: (-1,)}.get(self.side, (1, -1))


_BORED = frozenset({Form.BENT, *STANDING, Form.WING, Form.PUSHER, Form.OTHER, Form.UNKNOWN})


@dataclass(frozen=True, slots=True)
class Seat:
    """The part of a link that carries something: middle x, outer face of its bar, bar height, thickness, half pitch."""

    x: float
    face: float
    height: float
    wall: float
    half: float


def seat_of(sizes: Sizes, link: OnLink, *, alike: bool) -> Seat:
    """Give the seat on an inner or an outer link; where all links are alike, on the first one."""
    p = sizes["pitch"]
    inner = link is OnLink.INNER and not alike
    x = 1.5 * p if inner else 0.5 * p
    width = sizes.values.get("inner_link_width" if inner else "outer_link_inner_width")
    if width is None:
        # Links without bars: forged, hinged or pressed ones are as wide as what holds them.
        face = 0.5 * sizes.values.get("plate_width", sizes.values.get("pin_length", 0.95 * p))
        return Seat(x, face, 0.32 * p, 0.1 * p, p / 2)
    wall = inner_wall(sizes.values) if inner else outer_wall(sizes.values)
    if alike:
        # The bar leans; something welded to its middle stands half way between its two ends.
        narrow = sizes.values.get("inner_width", sizes["inner_link_width"] - 2 * wall)
        width = (width + narrow) / 2
    which = "inner" if inner else "outer"
    height = sizes.values.get(f"{which}_plate_height", sizes.values.get("sidebar_height", 0.4 * p))
    return Seat(x, width / 2 if inner else width / 2 + wall, height, wall, p / 2)


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole, along z through a platform or along y through a standing plate; `slot` is its length across."""

    x: float
    other: float
    diameter: float
    upright: bool
    slot: float = 0.0


@dataclass(frozen=True, slots=True)
class Body:
    """One body, its outline in the plan (x, y), from the side (x, z) and from the end (y, z), and its holes.

    `fold` is the height of a line seen from the side where a platform bends off; `joined` says that it is one piece
    with the bar, so that the bar's edge between them does not show.
    """

    plan: Corners
    side: Corners
    end: Corners
    stroke: Stroke
    holes: tuple[Hole, ...] = ()
    fold: float | None = None
    joined: bool = False
    sign: int = 0
    round_from_side: float = 0.0


def _box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> tuple[Corners, Corners, Corners]:
    """Give plan, side and end of a block."""
    return _rect(x, y), _rect(x, z), _rect(y, z)


def _rect(a: tuple[float, float], b: tuple[float, float]) -> Corners:
    return ((a[0], b[0]), (a[1], b[0]), (a[1], b[1]), (a[0], b[1]))


def completed(attachment: Attachment, seat: Seat, pin: tuple[float, float]) -> Sizes:
    """Give every size that a form is drawn with, the missing ones assumed; `pin` is its diameter and half length.

    The proportions are those of middling attachments (common practice, no source).
    """
    known = dict(attachment.sizes)
    g, h = _along(attachment, seat), known.get("platform_height", 0.5 * seat.height + 1.2 * seat.wall)
    s, d = known.get("thickness", seat.wall), known.get("hole_diameter", min(0.2 * g, 0.5 * seat.face))
    reach = max(pin[1], seat.face)
    guess = {
        "platform_height": h,
        "thickness": s,
        "plate_length": g,
        "hole_diameter": d,
        "overall_width": _width(attachment, seat, d),
        "overall_height": max(2.2 * 0.5 * seat.height, known.get("hole_height", 0.0) + 1.2 * d),
        "below": 0.9 * seat.height,
        "pin_extension": 1.1 * seat.face,
        "pin_extension_diameter": pin[0],
        "projection": 0.5 * seat.height + 1.2 * seat.half,
        "depth": 1.1 * seat.half,
        "outrigger_diameter": known.get("outrigger_width", 1.2 * seat.height),
        "outrigger_width": 0.4 * known.get("outrigger_diameter", 1.2 * seat.height),
        "angle_deg": 60.0 if attachment.form is Form.BUCKET else 90.0,
    }
    sizes = guess | known
    late = {
        "hole_height": (seat.height / 2 + sizes["overall_height"]) / 2,
        "transverse_hole_spacing": 2 * known.get("hole_offset", (seat.face + sizes["overall_width"] / 2) / 2),
        "longitudinal_hole_spacing": 0.55 * g / max(1, attachment.holes - 1),
        "outrigger_spacing": 2 * reach + 1.3 * sizes["outrigger_width"],
    }
    sizes = late | sizes
    sizes.setdefault("hole_offset", sizes["transverse_hole_spacing"] / 2)
    return Sizes(sizes, frozenset(known))


def _along(attachment: Attachment, seat: Seat) -> float:
    """Give the length along the travel: known, or room for its holes."""
    known = attachment.sizes
    hole = known.get("hole_diameter", 0.0)
    least = known.get("longitudinal_hole_spacing", 0.0) * max(1, attachment.holes - 1) + 2.2 * hole
    return known.get("plate_length", max(1.1 * seat.half, least))


def _width(attachment: Attachment, seat: Seat, hole: float) -> float:
    """Give the width over all: known, or somewhat beyond the holes."""
    known = attachment.sizes
    holes = known.get("transverse_hole_spacing", 2 * known.get("hole_offset", 0.0))
    usual = {Form.SCRAPER: 5.0, Form.SLAT: 4.0, Form.BUCKET: 4.0, Form.PUSHER: 1.0, Form.WING: 3.4}
    return known.get("overall_width", max(holes + 2.2 * hole, 1.6 * usual.get(attachment.form, 2.3) * seat.face))


def bodies(attachment: Attachment, seat: Seat, sizes: Sizes, pin: tuple[float, float, float]) -> Iterator[Body]:
    """Give the bodies of an attachment on one link; `pin` is x, diameter and half length of a pin that carries one."""
    form = attachment.form
    if form in {Form.SCRAPER, Form.SLAT, Form.BUCKET, Form.PUSHER, Form.OTHER, Form.UNKNOWN}:
        yield _whole_width(attachment, seat, sizes)
        return
    for sign in attachment.signs:
        if form is Form.BENT:
            yield _bent(attachment, seat, sizes, sign)
        elif form in STANDING:
            yield _standing(attachment, seat, sizes, sign)
        elif form is Form.WING:
            yield _wing(seat, sizes, sign)
        else:
            yield from _on_pin(form, sizes, pin, sign)


def _stations(attachment: Attachment, seat: Seat, sizes: Sizes) -> list[float]:
    """Give where along the travel the holes of one side are."""
    count = attachment.holes
    step = sizes["longitudinal_hole_spacing"]
    return [seat.x + step * (i - (count - 1) / 2) for i in range(count)]


def _bent(attachment: Attachment, seat: Seat, sizes: Sizes, sign: int) -> Body:
    h, s, g = sizes["platform_height"], sizes["thickness"], sizes["plate_length"]
    far = max(sizes["overall_width"] / 2, seat.face + 0.1 * s)
    near = seat.face - seat.wall
    low = -seat.height / 2
    end = ((near, low), (near, h), (far, h), (far, h - s), (seat.face, h - s), (seat.face, low))
    plan, side, _ = _box((seat.x - g / 2, seat.x + g / 2), tuple(sorted((sign * near, sign * far))), (0.0, h))  # type: ignore[arg-type]
    d, slot = sizes["hole_diameter"], sizes.values.get("slot_length", 0.0)
    across = sign * sizes["hole_offset"]
    holes = tuple(Hole(x, across, d, upright=True, slot=slot) for x in _stations(attachment, seat, sizes))
    stroke = sizes.edge("platform_height", "overall_width", "plate_length")
    return Body(plan, side, tuple((sign * y, z) for y, z in end), stroke, holes, h - s, joined=True, sign=sign)


def _standing(attachment: Attachment, seat: Seat, sizes: Sizes, sign: int) -> Body:
    top, s, g = max(sizes["overall_height"], 0.55 * seat.height), sizes["thickness"], sizes["plate_length"]
    across = sorted((sign * (seat.face - s), sign * seat.face))
    plan, side, _ = _box((seat.x - g / 2, seat.x + g / 2), (across[0], across[1]), (0.0, top))
    end = _rect((across[0], across[1]), (-seat.height / 2, top))
    d, z = sizes["hole_diameter"], sizes["hole_height"]
    holes = tuple(Hole(x, z, d, upright=False) for x in _stations(attachment, seat, sizes))
    stroke = sizes.edge("overall_height", "plate_length")
    return Body(plan, side, end, stroke, holes, joined=True, sign=sign)


def _wing(seat: Seat, sizes: Sizes, sign: int) -> Body:
    """Give a plate that stands out from the bar at its angle to the travel."""
    far, top = max(sizes["overall_width"] / 2, 1.05 * seat.face), sizes["overall_height"]
    lean = math.radians(min(max(sizes["angle_deg"], 15.0), 165.0))
    half, back = sizes["thickness"] / 2 / math.sin(lean), (far - seat.face) / math.tan(lean)
    x = seat.x + back / 2
    plan = ((x - half, seat.face), (x + half, seat.face), (x - back + half, far), (x - back - half, far))
    left, right = min(px for px, _ in plan), max(px for px, _ in plan)
    z = (-seat.height / 2, top)
    _, side, end = _box((left, right), tuple(sorted((sign * seat.face, sign * far))), z)  # type: ignore[arg-type]
    return Body(
        tuple((px, sign * py) for px, py in plan), side, end, sizes.edge("overall_width", "overall_height"), sign=sign
    )


def _on_pin(form: Form, sizes: Sizes, pin: tuple[float, float, float], sign: int) -> Iterator[Body]:
    """Give a pin that stands out beyond the bar, and the roller on it if it is an outrigger."""
    x, d, reach = pin[0], sizes["pin_extension_diameter"], pin[2]
    outrigger = form is Form.OUTRIGGER
    middle, wide = sizes["outrigger_spacing"] / 2, sizes["outrigger_width"]
    far = middle + 0.65 * wide if outrigger else reach + sizes["pin_extension"]
    stroke = sizes.edge("pin_extension_diameter", "outrigger_spacing" if outrigger else "pin_extension")
    y = sorted((sign * reach, sign * far))
    plan, side, end = _box((x - d / 2, x + d / 2), (y[0], y[1]), (-d / 2, d / 2))
    yield Body(plan, side, end, stroke, sign=sign, round_from_side=d)
    if outrigger:
        r = sizes["outrigger_diameter"] / 2
        y = sorted((sign * (middle - wide / 2), sign * (middle + wide / 2)))
        plan, side, end = _box((x - r, x + r), (y[0], y[1]), (-r, r))
        edge = sizes.edge("outrigger_diameter", "outrigger_width")
        yield Body(plan, side, end, edge, sign=sign, round_from_side=2 * r)


def _whole_width(attachment: Attachment, seat: Seat, sizes: Sizes) -> Body:
    """Give what lies or stands across both bars, by its profile seen from the side."""
    half, profile = sizes["overall_width"] / 2, _profile(attachment.form, seat, sizes)
    xs, zs = [x for x, _ in profile], [z for _, z in profile]
    plan, _, end = _box((min(xs), max(xs)), (-half, half), (min(zs), max(zs)))
    names = [name for name in NEEDED[attachment.form] if name not in {"angle_deg", "thickness"}]
    return Body(plan, profile, end, sizes.edge(*names))


def _profile(form: Form, seat: Seat, sizes: Sizes) -> Corners:
    x, s, g, on = seat.x, sizes["thickness"], sizes["plate_length"], seat.height / 2
    top = max(sizes["overall_height"], 1.05 * on)
    if form is Form.SCRAPER:
        return _rect((x - s / 2, x + s / 2), (-sizes["below"], top))
    if form is Form.SLAT:
        return _rect((x - g / 2, x + g / 2), (sizes["platform_height"] - s, sizes["platform_height"]))
    if form is Form.PUSHER:
        front = x + g / 2
        return ((x - g / 2, on), (front, on), (front, top), (front - min(s, g), top))
    if form is Form.BUCKET:
        deep, lip = sizes["depth"], max(sizes["projection"], 1.05 * on)
        back = min((lip - on) / math.tan(math.radians(sizes["angle_deg"])), 0.9 * deep)
        return ((x - deep / 2, on), (x + deep / 2, on), (x + deep / 2, lip), (x - deep / 2 + max(back, 0.0), lip))
    return _rect((x - g / 2, x + g / 2), (on, top))


def links_of(attachment: Attachment, *, alike: bool) -> Sequence[OnLink]:
    """Give the links of a two-link figure that carry it."""
    if alike:
        return (OnLink.OFFSET,)
    if attachment.link is OnLink.EVERY:
        return (OnLink.OUTER, OnLink.INNER)
    return (OnLink.INNER if attachment.link is OnLink.INNER else OnLink.OUTER,)
