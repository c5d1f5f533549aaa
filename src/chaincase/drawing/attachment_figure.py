"""The keyed figure of one attachment: where each of its letters is measured.

What stands in the plane of the bar is shown as the chain is, from above and from the side. What stands out to the
sides is shown with the travel upward: from above, and below it from behind, so that both views share their width.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from chaincase.chains.attachments import BY_NAME, STANDING, Form
from chaincase.chains.kinds import kind_named
from chaincase.drawing.attachment_views import plan_shapes, seated, turned_path, with_attachments
from chaincase.drawing.attachments import Attachment, Body, Hole, Seat, links_of
from chaincase.drawing.dimensioning import Label
from chaincase.drawing.figure import FAMILIES, State, state_named
from chaincase.drawing.layout import lay_out, note_of
from chaincase.drawing.outline import break_line, chamfered_pin, polygon, rectangle, rounded_polygon
from chaincase.drawing.scene import Circle, Line, Path, Point, Scene, Shape, Stroke
from chaincase.drawing.sizes import Sizes, complete
from chaincase.drawing.view import Side, View, Views, Wanted, axis, below, heights

ALONG = STANDING | {Form.PUSHER, Form.BUCKET}
"""Forms whose shape is seen from the side of the chain."""


@dataclass(frozen=True, slots=True)
class _Scheme:
    """What a figure of an attachment is made from."""

    attachment: Attachment
    seat: Seat
    own: Sizes
    chain: Sizes
    carried: tuple[Body, ...]

    @property
    def on_pin(self) -> bool:
        """Whether it sits on a pin and not on a bar."""
        return self.attachment.form in {Form.EXTENDED_PIN, Form.OUTRIGGER}

    @property
    def center(self) -> float:
        """Where along the travel the figure has its middle [mm]."""
        return self.seat.x - self.seat.half if self.on_pin else self.seat.x

    @property
    def pin(self) -> tuple[float, float]:
        """Diameter and half length of a pin [mm]."""
        return (
            self.chain.values.get("pin_diameter", 0.2 * self.seat.half),
            self.chain.values.get("pin_length", 2.2 * self.seat.face) / 2,
        )


def attachment_figure(
    kind: str,
    dimensions: Mapping[str, float],
    attachment: Attachment,
    *,
    values: Mapping[str, str] | None = None,
    title: str,
    letters: Collection[str] | None = None,
    state: str = State.MEASURED,
    asked: Collection[str] = (),
    found: Mapping[str, str] | None = None,
) -> Scene:
    """Draw one attachment on its link, to scale, with its own key letters.

    Parameters
    ----------
    kind : str
        Name of a kind in `chains.kinds`.
    dimensions : mapping
        What is known of the chain [mm].
    attachment : Attachment
        What is known of the attachment.
    values, found : mapping, optional
        Text beside the letter, by dimension of `chains.attachments`; readings for the state `compare`.
    title : str
        Title of the drawing.
    letters : collection of str, optional
        Dimensions to show; all that can be drawn without it.
    state, asked
        As in `drawing.figure.figure`.

    Raises
    ------
    BadInput
        If the kind, the state or a dimension does not exist, or a size cannot be drawn.

    >>> from chaincase.chains.attachments import Form, OnLink
    >>> scene = attachment_figure("roller", {"pitch": 12.7}, Attachment(Form.BENT, OnLink.OUTER), title="08A K1")
    >>> sorted(d.letter for d in scene.dimensions)
    ['c', 'd', 'g', 'h', 's', 'w']
    """
    the_state = state_named(state)
    chain = replace(complete(kind_named(kind), dimensions), plain=the_state is State.BLANK)
    link = links_of(attachment, alike=kind_named(kind).links.value == "alike")[0]
    seat, own, carried = seated(kind, chain, attachment, link)
    scheme = _Scheme(attachment, seat, own, chain, tuple(carried))
    views = _along_travel(kind, scheme) if attachment.form in ALONG else _across_travel(scheme)
    possible = [n for n in BY_NAME if n in {w.name for view in (views.plan, views.side) for w in view.wanted}]
    shown = [n for n in possible if _is_shown(n, letters, the_state, own)]
    labels = {n: _label(n, the_state, own, values or {}, found or {}, asked) for n in shown}
    assumed = tuple(f"not to scale: {BY_NAME[n].label} not known" for n in possible if n not in own.known)
    note = note_of(assumed=bool(assumed), plain=own.plain)
    scene = lay_out(views, labels, scaled=chain.knows("pitch") and not (own.plain and assumed), note=note)
    true = [f"{BY_NAME[n].letter} {BY_NAME[n].label} {own[n]:g} mm" for n in shown if n in own.known]
    words = " ".join([f"{attachment.words}.", *([f"To scale: {', '.join(true)}."] if true else [])])
    return replace(scene, title=title, description=words, assumed=assumed)


def _is_shown(name: str, letters: Collection[str] | None, state: State, own: Sizes) -> bool:
    if letters is not None:
        return name in letters
    return state is not State.SPECIFIED or name in own.known


def _label(
    name: str, state: State, own: Sizes, values: Mapping[str, str], found: Mapping[str, str], asked: Collection[str]
) -> Label:
    blank = state is State.BLANK
    value = "" if blank else " ".join(values.get(name, "").split())
    read = " ".join(found.get(name, "").split()) if state is State.COMPARE else ""
    return Label(BY_NAME[name].letter, value, name not in own.known and not blank, read, name in asked)


def _along_travel(kind: str, scheme: _Scheme) -> Views:
    views = with_attachments(FAMILIES[kind](kind, scheme.chain), kind, scheme.chain, (scheme.attachment,))
    return replace(
        views,
        plan=replace(views.plan, wanted=tuple(_standing_plan(scheme))),
        side=replace(views.side, wanted=tuple(_standing_side(scheme))),
    )


def _standing_plan(scheme: _Scheme) -> Iterator[Wanted]:
    form, own = scheme.attachment.form, scheme.own
    body = scheme.carried[0]
    ys = [y for _, y in body.plan]
    left = min(x for x, _ in body.plan)
    if form in STANDING:
        yield heights("thickness", Side.LEFT, left, min(ys), max(ys))
    else:
        yield heights("overall_width", Side.RIGHT, max(x for x, _ in body.plan), min(ys), max(ys))
    if form is Form.BUCKET and own.knows("thickness"):
        yield heights("thickness", Side.LEFT, left, max(ys) - own["thickness"], max(ys))


def _standing_side(scheme: _Scheme) -> Iterator[Wanted]:
    form, body = scheme.attachment.form, scheme.carried[0]
    left, right = min(x for x, _ in body.side), max(x for x, _ in body.side)
    top = max(z for _, z in body.side)
    yield heights("projection" if form is Form.BUCKET else "overall_height", Side.LEFT, left, 0.0, top)
    name = "depth" if form is Form.BUCKET else "plate_length"
    yield below(name, (left, body.side[0][1]), (right, body.side[1][1]))
    if form is Form.PUSHER:
        yield below("thickness", body.side[3], body.side[2])
    holes = [hole for hole in body.holes if not hole.upright]
    if holes:
        first, last = holes[0], holes[-1]
        yield heights("hole_height", Side.LEFT, first.x, 0.0, first.other)
        r = last.diameter / 2
        yield heights("hole_diameter", Side.RIGHT, last.x, last.other - r, last.other + r)
    if len(holes) > 1:
        yield below("longitudinal_hole_spacing", (holes[0].x, holes[0].other), (holes[1].x, holes[1].other))


def _across_travel(scheme: _Scheme) -> Views:
    """Give the link with the travel upward: from above, and from behind."""
    plan, end = tuple(_turned_plan(scheme)), tuple(_end_view(scheme))
    wide = max(abs(y) for body in scheme.carried for _, y in body.plan) + 0.1 * scheme.seat.face
    half = _cropped(scheme)
    across = axis((-wide, 0.0), (wide, 0.0))
    return Views(
        View(plan, (axis((0.0, -half), (0.0, half)), across), tuple(_plan_wanted(scheme))),
        View(
            end,
            (axis((0.0, -scheme.seat.height / 2), (0.0, scheme.seat.height / 2)), across),
            tuple(_end_wanted(scheme)),
        ),
    )


def _cropped(scheme: _Scheme) -> float:
    """Give how much of the bars is shown either way from the middle of the attachment."""
    reach = max(abs(x - scheme.center) for body in scheme.carried for x, _ in body.plan)
    return max(1.25 * reach, 0.7 * scheme.seat.height)


def _turned_plan(scheme: _Scheme) -> Iterator[Shape]:
    seat, half = scheme.seat, _cropped(scheme)
    d, pin = scheme.pin
    stations = (seat.x - seat.half - scheme.center, seat.x + seat.half - scheme.center)
    for y in stations:
        if abs(y) + d / 2 < half:
            yield rectangle((-pin, pin), (y - d / 2, y + d / 2), Stroke.VISIBLE, "pin")
    for sign in (-1, 1):
        x = sorted((sign * (seat.face - seat.wall), sign * seat.face))
        yield rectangle((x[0], x[1]), (-half, half), Stroke.ERASED, "bar")
        yield from (Line(Point(at, -half), Point(at, half), Stroke.VISIBLE, "bar") for at in x)
    over = seat.face + 0.35 * max(seat.wall, 0.1 * seat.face)
    for y in (-half, half):
        yield break_line(Point(-over, y), Point(over, y), 0.12 * seat.face)
    for body in scheme.carried:
        yield from (_turned(shape, scheme.center) for shape in plan_shapes(body))


def _turned(shape: Shape, center: float) -> Shape:
    """Give a shape of the plan with the travel upward."""

    def place(point: Point) -> Point:
        return Point(-point.y, point.x - center)

    if isinstance(shape, Circle):
        return replace(shape, center=place(shape.center))
    if isinstance(shape, Line):
        return replace(shape, start=place(shape.start), end=place(shape.end))
    return turned_path(shape, place, mirrored=False)


def _end_view(scheme: _Scheme) -> Iterator[Shape]:
    """Give the link from behind: what stands across it lies beyond its rear joint."""
    seat, chain = scheme.seat, scheme.chain
    for body in scheme.carried:
        if not body.sign:
            yield polygon([(-y, z) for y, z in body.end], body.stroke, "attachment")
    d, pin = scheme.pin
    upright = chamfered_pin(0.0, d, (-pin, pin), Stroke.VISIBLE)
    yield turned_path(upright, lambda p: Point(p.y, p.x), mirrored=True)
    name = next((n for n in ("roller_diameter", "bush_diameter") if n in chain.values), None)
    if name is not None:
        r, width = chain[name] / 2, 0.97 * (seat.face - seat.wall)
        yield rectangle((-width, width), (-r, r), chain.edge(name), "roller")
    for sign in (-1, 1):
        x = sorted((sign * (seat.face - seat.wall), sign * seat.face))
        yield rectangle((x[0], x[1]), (-seat.height / 2, seat.height / 2), Stroke.VISIBLE, "bar")
    for body in scheme.carried:
        if body.sign:
            yield _from_behind(body, scheme.own["thickness"])
            yield from _bored(body)


def _from_behind(body: Body, thickness: float) -> Path:
    """Give the outline of a body from behind, a bend with its radii."""
    corners = [(-y, z) for y, z in body.end]
    if body.fold is None:
        return polygon(corners, body.stroke, "attachment")
    radii = {1: 1.4 * thickness, 4: 0.4 * thickness}
    return rounded_polygon(corners, radii, body.stroke, "attachment")


def _bored(body: Body) -> Iterator[Line]:
    """Give the hidden edges and the center line of holes through a platform, seen from behind."""
    if body.fold is None:
        return
    top = max(z for _, z in body.end)
    for hole in body.holes[:1]:
        r = max(hole.diameter, hole.slot) / 2
        for x in (-hole.other - r, -hole.other + r):
            yield Line(Point(x, body.fold), Point(x, top), Stroke.HIDDEN, "hole")
        over = 0.6 * (top - body.fold)
        yield axis((-hole.other, body.fold - over), (-hole.other, top + over))


def _plan_wanted(scheme: _Scheme) -> Iterator[Wanted]:
    form, own = scheme.attachment.form, scheme.own
    right = scheme.carried[-1]
    xs, ys = [x - scheme.center for x, _ in right.plan], [-y for _, y in right.plan]
    if form is Form.OUTRIGGER:
        yield below("outrigger_width", (min(ys), min(xs)), (max(ys), min(xs)))
    elif form is Form.SCRAPER:
        yield heights("thickness", Side.RIGHT, max(ys), min(xs), max(xs))
    elif form is Form.WING:
        half = own["thickness"] / 2
        middle = (max(xs) + min(xs)) / 2 if max(xs) - min(xs) < 2.02 * half else min(xs) + half
        yield heights("thickness", Side.RIGHT, max(ys), middle - half, middle + half)
    elif form is not Form.EXTENDED_PIN:
        yield heights("plate_length", Side.RIGHT, max(ys), min(xs), max(xs))
    holes = [hole for hole in right.holes if hole.upright]
    if holes:
        yield from _holes_wanted(scheme, holes)


def _holes_wanted(scheme: _Scheme, holes: list[Hole]) -> Iterator[Wanted]:
    seat, first, last = scheme.seat, holes[0], holes[-1]
    x, y, r = -last.other, last.x - seat.x, last.diameter / 2
    left = -scheme.carried[0].holes[-1].other if len(scheme.carried) > 1 else 0.0
    yield heights("hole_diameter", Side.LEFT, left or x, y - r, y + r)
    if len(holes) > 1:
        yield heights("longitudinal_hole_spacing", Side.RIGHT, x, holes[-2].x - seat.x, y)
    low = first.x - seat.x
    if first.slot > first.diameter:
        yield below("slot_length", (x - first.slot / 2, low), (x + first.slot / 2, low))
    if len(scheme.carried) > 1:
        yield below("transverse_hole_spacing", (left, low), (x, low))
    else:
        yield below("hole_offset", (min(0.0, x), low), (max(0.0, x), low))


def _end_wanted(scheme: _Scheme) -> Iterator[Wanted]:
    form, own = scheme.attachment.form, scheme.own
    if scheme.on_pin:
        yield from _pin_wanted(scheme)
        return
    ys = [-y for body in scheme.carried for y, _ in body.end]
    top, low = max(z for _, z in scheme.carried[0].end), min(z for _, z in scheme.carried[0].end)
    flat = form in {Form.BENT, Form.SLAT}
    at = min(ys)
    yield heights("platform_height" if flat else "overall_height", Side.LEFT, at, 0.0, top)
    if flat:
        yield heights("thickness", Side.RIGHT, max(ys), top - own["thickness"], top)
    if form is Form.SCRAPER:
        yield heights("below", Side.RIGHT, max(ys), low, 0.0)
    if len(scheme.attachment.signs) == 2 or not scheme.carried[0].sign:
        base = top - own["thickness"] if flat else low
        yield below("overall_width", (min(ys), base), (max(ys), base))


def _pin_wanted(scheme: _Scheme) -> Iterator[Wanted]:
    form, own = scheme.attachment.form, scheme.own
    d, last = own["pin_extension_diameter"], scheme.carried[-1]
    ys = sorted(-y for y, _ in last.end)
    outer = ys[-1] if last.sign < 0 else ys[0]
    if form is Form.EXTENDED_PIN:
        side = Side.RIGHT if last.sign < 0 else Side.LEFT
        yield heights("pin_extension_diameter", side, outer, -d / 2, d / 2)
        yield below("pin_extension", (ys[0], -d / 2), (ys[-1], -d / 2))
        return
    r = own["outrigger_diameter"] / 2
    yield heights("outrigger_diameter", Side.RIGHT, outer, -r, r)
    yield heights("pin_extension_diameter", Side.LEFT, -scheme.carried[0].end[1][0], -d / 2, d / 2)
    if len(scheme.attachment.signs) == 2:
        half = own["outrigger_spacing"] / 2
        yield below("outrigger_spacing", (-half, -r), (half, -r))
