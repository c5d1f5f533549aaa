"""Attachments on the views of a chain, and a keyed figure of one attachment alone."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from chaincase.chains.attachments import OnLink
from chaincase.chains.kinds import Links, kind_named
from chaincase.drawing.attachments import Attachment, Body, Hole, Seat, bodies, completed, links_of, seat_of
from chaincase.drawing.outline import obround, polygon, rectangle, waist_at
from chaincase.drawing.plates import WAISTED
from chaincase.drawing.scene import Circle, Line, Path, Point, Shape, Straight, Stroke
from chaincase.drawing.sizes import Sizes
from chaincase.drawing.view import Views, axis

PART = "attachment"

PlaceOf = Callable[[Point], Point]


def with_attachments(views: Views, kind: str, sizes: Sizes, attachments: Sequence[Attachment]) -> Views:
    """Give the views of a chain with what its links carry."""
    for each in attachments:
        for link in links_of(each, alike=_alike(kind)):
            views = _with_one(views, kind, sizes, each, link)
    return views


def _alike(kind: str) -> bool:
    return kind_named(kind).links is Links.ALIKE


def seated(kind: str, sizes: Sizes, attachment: Attachment, link: OnLink) -> tuple[Seat, Sizes, list[Body]]:
    """Give where an attachment sits, the sizes it is drawn with, and its bodies."""
    seat = seat_of(sizes, link, alike=_alike(kind))
    d = sizes.values.get("pin_diameter", 0.2 * sizes["pitch"])
    half = sizes.values.get("pin_length", 2.2 * seat.face) / 2
    own = replace(completed(attachment, seat, (d, half)), plain=sizes.plain)
    return seat, own, list(bodies(attachment, seat, own, (seat.x - seat.half, d, half)))


def _with_one(views: Views, kind: str, sizes: Sizes, attachment: Attachment, link: OnLink) -> Views:
    seat, _, carried = seated(kind, sizes, attachment, link)
    plan = [shape for body in carried for shape in plan_shapes(body)]
    front = [body for body in carried if body.sign <= 0]
    near = [shape for body in front for shape in side_shapes(body, kind, seat)]
    far = [] if front else [shape for body in carried for shape in side_shapes(replace(body, joined=False), kind, seat)]
    return replace(
        views,
        plan=replace(views.plan, over=(*views.plan.over, *plan)),
        side=replace(views.side, shapes=_among(views.side.shapes, far, near, kind, link)),
    )


def _among(
    shapes: tuple[Shape, ...], far: Sequence[Shape], near: Sequence[Shape], kind: str, link: OnLink
) -> tuple[Shape, ...]:
    """Give the shapes from the side, an attachment behind or in front of its own bar but behind a bar that laps it."""
    bars = {"sidebar"} if _alike(kind) else {"inner plate", "block link", "center link"}
    at = [i for i, shape in enumerate(shapes) if shape.part in bars and isinstance(shape, Path)]
    lapped = _alike(kind) or link is OnLink.INNER
    cut = (at[-1] if _alike(kind) else at[-1] + 1) if at and lapped else len(shapes)
    return (*far, *shapes[:cut], *near, *shapes[cut:])


def plan_shapes(body: Body) -> Iterator[Shape]:
    """Give a body from above."""
    yield polygon(body.plan, body.stroke, PART)
    for hole in body.holes:
        if hole.upright:
            yield from _hole(hole)


def side_shapes(body: Body, kind: str, seat: Seat) -> Iterator[Shape]:
    """Give a body from the side; one that is one piece with its bar covers the bar's edge."""
    if body.round_from_side:
        middle = Point((body.side[0][0] + body.side[1][0]) / 2, (body.side[0][1] + body.side[2][1]) / 2)
        yield Circle(middle, body.round_from_side / 2, body.stroke, PART, filled=True)
        return
    if body.joined:
        yield from _grown(body, kind, seat)
    else:
        yield polygon(body.side, body.stroke, PART)
    if body.fold is not None:
        (left, _), (right, _) = body.side[0], body.side[1]
        yield Line(Point(left, body.fold), Point(right, body.fold), body.stroke, PART)
    for hole in body.holes:
        if not hole.upright:
            yield from _hole(hole)


def _grown(body: Body, kind: str, seat: Seat) -> Iterator[Shape]:
    """Give an extension of a bar: paper over the bar's edge, then its own outline down to that edge."""
    (left, _), (right, top) = body.side[0], body.side[2]
    # The platform may be longer than its link; what carries it up is not.
    end = seat.half + 0.25 * seat.height
    if body.fold is not None and right - left > 2 * end:
        yield rectangle((left, right), (body.fold, top), body.stroke, PART)
        left, right, top = seat.x - end, seat.x + end, body.fold
    lows = [_bar_top(kind, seat, x - seat.x) for x in (left, right)]
    floor = _bar_top(kind, seat, 0.0) - 0.04 * seat.height
    if top > floor:
        yield rectangle((left, right), (floor, top), Stroke.ERASED, PART)
    pieces = (Straight(Point(left, top)), Straight(Point(right, top)), Straight(Point(right, min(lows[1], top))))
    yield Path(Point(left, min(lows[0], top)), pieces, body.stroke, PART, closed=False, filled=False)


def _bar_top(kind: str, seat: Seat, away: float) -> float:
    """Give how high the bar's edge is, `away` from the middle of its link."""
    if kind in WAISTED:
        return waist_at(seat.half, seat.height, away) if abs(away) < seat.half + seat.height / 2 else 0.0
    return seat.height / 2


def _hole(hole: Hole) -> Iterator[Shape]:
    """Give a hole or slot face on, with its center lines."""
    r, x, y = hole.diameter / 2, hole.x, hole.other
    if hole.slot > hole.diameter:
        half = (hole.slot - hole.diameter) / 2
        yield turned_obround(x, (y - half, y + half), hole.diameter)
    else:
        yield Circle(Point(x, y), r, Stroke.VISIBLE, "hole", filled=True)
    long = 1.5 * max(r, hole.slot / 2)
    yield axis((x - 1.5 * r, y), (x + 1.5 * r, y))
    yield axis((x, y - long), (x, y + long))


def turned_obround(x: float, y: tuple[float, float], width: float) -> Path:
    """Give a slot that stands upright in the view, its end centers at two y."""
    lying = obround((y[0], y[1]), width, Stroke.VISIBLE, "hole")
    return turned_path(lying, lambda p: Point(x + p.y, p.x), mirrored=True)


def turned_path(path: Path, place: PlaceOf, *, mirrored: bool) -> Path:
    """Give a path with every point moved; a mirror image turns its arcs the other way round."""
    pieces = tuple(
        replace(piece, end=place(piece.end))
        if isinstance(piece, Straight)
        else replace(piece, end=place(piece.end), clockwise=piece.clockwise != mirrored)
        for piece in path.pieces
    )
    return replace(path, start=place(path.start), pieces=pieces)
