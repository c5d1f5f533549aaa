"""A strand from above over one repeat: which links carry what, how far apart, and where it is joined.

A diagram, not to scale: every pitch is equally long on paper, long plain runs are broken out, left is up where the
chain travels to the right.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

from chaincase.chains.attachments import STANDING, Form
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.dimensioning import LETTER, PADDING, Label, reach
from chaincase.drawing.hatching import hatch
from chaincase.drawing.outline import break_line, polygon, rectangle
from chaincase.drawing.scene import (
    Anchor,
    Box,
    Circle,
    DimensionLine,
    Element,
    Line,
    Path,
    Point,
    Scene,
    Straight,
    Stroke,
    Text,
    around,
    shape_points,
    text_box,
    text_width,
)
from chaincase.errors import BadInput
from chaincase.makeup.patterns import Pattern, Position, Sides
from chaincase.measuring.growth import Link

MOST_SHOWN = 400
"""Links of the longest diagram."""
_KEPT, _LONG_STRAND, _BREAK = 2, 16, 7.0
_OUTER, _INNER, _PLATE, _TAB, _PIN = 5.6, 3.8, 1.2, 6.0, 0.8
_NOTE, _ROW, _MARGIN = 2.6, 7.5, 2.0
_ACROSS = frozenset({Form.SCRAPER, Form.SLAT, Form.BUCKET, Form.PUSHER})


@dataclass(frozen=True, slots=True)
class _Strand:
    """The links that are drawn, by pitch, and where each begins [paper mm]; `wide` is the length of a pitch."""

    pattern: Pattern
    starts: Mapping[int, float]
    wide: float
    breaks: tuple[tuple[float, int], ...]

    @property
    def end(self) -> float:
        return max(self.starts.values()) + self.wide

    def middle(self, pitch: int) -> float:
        return self.starts[pitch] + self.wide / 2


def spacing_figure(
    pattern: Pattern,
    pitches_shown: int | None = None,
    *,
    title: str,
    joint: int | None = None,
    attachments: Mapping[str, Attachment] | None = None,
    lengths: Mapping[int, str] | None = None,
) -> Scene:
    """Draw how attachments follow each other along a strand.

    Parameters
    ----------
    pattern : Pattern
        The repeat.
    pitches_shown : int, optional
        Links to draw; without it one repeat, inner and outer links counted, and the next attachment.
    title : str
        Title of the drawing.
    joint : int, optional
        Pitch of the connecting link, counted from 0 at the start of the pattern.
    attachments : mapping of str to Attachment, optional
        What each code of the pattern looks like; a plate with a hole where it is not said.
    lengths : mapping of int to str, optional
        How a gap of so many pitches is written as a length; left out where it is not there.

    Raises
    ------
    BadInput
        If more links are asked for than can be drawn, or fewer than one.

    >>> from chaincase.makeup.notation import parse_pattern
    >>> scene = spacing_figure(parse_pattern("K2@4"), title="K2 every 4th pitch")
    >>> [(d.letter, d.value) for d in scene.dimensions]
    [('4 P', '')]
    >>> scene.description
    'Strand from above, travel to the right, left side up; repeat of 4 pitches. K2 on pitch 1, outer link, both sides.'
    """
    shown = min(pattern.period + pattern.pitches_used[0] + 1, MOST_SHOWN) if pitches_shown is None else pitches_shown
    if not 1 <= shown <= MOST_SHOWN:
        raise BadInput(f"{shown} links in a diagram", right=f"give 1 to {MOST_SHOWN}")
    strand = _laid(pattern, shown, joint)
    carried = list(_carried(strand, attachments or {}))
    elements: list[Element] = [*_ends(strand), *_links(strand), *_breaks(strand), *carried, *_joint(strand, joint)]
    elements.append(Line(Point(-strand.wide, 0.0), Point(strand.end + strand.wide, 0.0), Stroke.CENTER, "axis"))
    elements += _dimensions(strand, lengths or {}, _box(elements).low)
    box = _box(elements)
    note = "Diagram, not to scale; travel to the right, left side up." + _elsewhere(strand, joint)
    elements.append(Text(Point(box.left, box.low - 1.5 * _NOTE), note, _NOTE, Anchor.START, part="note"))
    box = _box(elements)
    bounds = Box(box.left - _MARGIN, box.low - _MARGIN, box.right + _MARGIN, box.high + _MARGIN)
    return Scene(title, _words(pattern, joint), tuple(elements), bounds, 1.0, ())


def _elsewhere(strand: _Strand, joint: int | None) -> str:
    if joint is None or joint in strand.starts:
        return ""
    return f" Connecting link at pitch {joint + 1}."


def _words(pattern: Pattern, joint: int | None) -> str:
    places = [
        f"{p.attachment} on pitch {p.pitch + 1}, {p.link} link, {p.sides} side{'s' if p.sides is Sides.BOTH else ''}."
        for p in pattern.positions
    ]
    more = len(places) - 12
    said = [*places[:12], *([f"{more} more."] if more > 0 else [])]
    if joint is not None:
        said.append(f"Connecting link at pitch {joint + 1}.")
    head = f"Strand from above, travel to the right, left side up; repeat of {pattern.period} pitches."
    return " ".join([head, *said])


def _laid(pattern: Pattern, shown: int, joint: int | None) -> _Strand:
    """Give each link its place, long plain runs broken out of a long strand."""
    codes = [text_width(position.attachment, _NOTE) for position in pattern.positions]
    wide = max(9.0, max(codes) + 2.0)
    starts: dict[int, float] = {}
    breaks: list[tuple[float, int]] = []
    x = 0.0
    for plain, run in groupby(range(shown), key=lambda pitch: not pattern.at(pitch) and pitch != joint):
        links = list(run)
        cut = plain and shown > _LONG_STRAND and len(links) > 2 * _KEPT + 1
        for pitch in links[:_KEPT] if cut else links:
            starts[pitch], x = x, x + wide
        if cut:
            breaks.append((x, len(links) - 2 * _KEPT))
            x += _BREAK
            for pitch in links[-_KEPT:]:
                starts[pitch], x = x, x + wide
    return _Strand(pattern, starts, wide, tuple(breaks))


def _faces(link: Link) -> tuple[float, float]:
    """Give how far the bars stand from the middle at the left and right end of a link."""
    if link is Link.OFFSET:
        return _OUTER, _INNER
    return (_OUTER, _OUTER) if link is Link.OUTER else (_INNER, _INNER)


def _links(strand: _Strand) -> Iterator[Element]:
    wide = strand.wide
    pins = sorted({*strand.starts.values(), *(x + wide for x in strand.starts.values())})
    for x in pins:
        r = 0.2 * wide
        yield rectangle((x - r, x + r), (-_INNER, _INNER), Stroke.VISIBLE, "roller")
        yield rectangle((x - _PIN, x + _PIN), (-_OUTER - 2.2, -_OUTER), Stroke.VISIBLE, "pin")
        yield rectangle((x - _PIN, x + _PIN), (_OUTER, _OUTER + 2.2), Stroke.VISIBLE, "pin")
    for kind in (Link.INNER, Link.OFFSET, Link.OUTER):
        for pitch, x in strand.starts.items():
            if strand.pattern.link_at(pitch) is kind:
                yield from _bars(kind, x, x + wide, 0.28 * wide)


def _bars(link: Link, left: float, right: float, over: float) -> Iterator[Element]:
    a, b = _faces(link)
    bend = (left + 0.35 * (right - left), left + 0.65 * (right - left))
    for sign in (-1, 1):
        if a == b:
            y = sorted((sign * a, sign * (a + _PLATE)))
            yield rectangle((left - over, right + over), (y[0], y[1]), Stroke.VISIBLE, f"{link} link")
            continue
        t = _PLATE
        corners = [
            (left - over, a + t), (bend[0], a + t), (bend[1], b + t), (right + over, b + t),
            (right + over, b), (bend[1], b), (bend[0], a), (left - over, a),
        ]  # fmt: skip
        yield polygon([(x, sign * y) for x, y in corners], Stroke.VISIBLE, f"{link} link")


def _ends(strand: _Strand) -> Iterator[Element]:
    """Give the next link either way as far as the break line there."""
    high = _OUTER + 3.2
    first, last = min(strand.starts), max(strand.starts)
    yield from _stub(strand.pattern.link_at(first - 1), 1, (-0.55 * strand.wide, 0.28 * strand.wide))
    end = strand.end
    yield from _stub(strand.pattern.link_at(last + 1), 0, (end + 0.55 * strand.wide, end - 0.28 * strand.wide))
    for x in (-0.55 * strand.wide, strand.end + 0.55 * strand.wide):
        yield break_line(Point(x, -high), Point(x, high), 1.6)


def _breaks(strand: _Strand) -> Iterator[Element]:
    """Give paper over the ends of the bars where a plain run is broken out, between two break lines."""
    high = _OUTER + 3.2
    for x, count in strand.breaks:
        inset = 0.28 * strand.wide + 0.4
        sides = (x - inset + 0.6, x + _BREAK + inset - 0.6)
        yield rectangle(sides, (-_OUTER - 3.0, _OUTER + 3.0), Stroke.ERASED, "break")
        for side in sides:
            yield break_line(Point(side, -high), Point(side, high), 1.6)
        yield Text(Point(x + _BREAK / 2, _OUTER + 5.0), f"+{count}", _NOTE, part="break")


def _stub(link: Link, end: int, x: tuple[float, float]) -> Iterator[Element]:
    """Give what shows of the next link: its bars from the break to their end, without an edge at the break."""
    face = _faces(link)[end]
    for sign in (-1, 1):
        near, far = sign * face, sign * (face + _PLATE)
        corners = (Point(x[0], near), Point(x[1], near), Point(x[1], far), Point(x[0], far))
        pieces = tuple(Straight(corner) for corner in corners[1:])
        yield Path(corners[0], pieces, Stroke.VISIBLE, f"{link} link", closed=False)


def _carried(strand: _Strand, shapes: Mapping[str, Attachment]) -> Iterator[Element]:
    for pitch in strand.starts:
        for position in strand.pattern.at(pitch):
            yield from _attachment(position, strand, shapes.get(position.attachment))


def _attachment(position: Position, strand: _Strand, look: Attachment | None) -> Iterator[Element]:
    """Give one attachment and its code."""
    x, wide = strand.middle(position.pitch), strand.wide
    face = sum(_faces(position.link)) / 2 + _PLATE
    form = Form.BENT if look is None else look.form
    signs = {Sides.LEFT: (1,), Sides.RIGHT: (-1,)}.get(position.sides, (1, -1))
    if form in _ACROSS:
        half = 0.12 * wide if form is Form.SCRAPER else 0.34 * wide
        yield rectangle((x - half, x + half), (-_OUTER - _TAB, _OUTER + _TAB), Stroke.VISIBLE, "attachment")
    else:
        for sign in signs:
            yield from _one_side(form, x, face, sign, strand, 1 if look is None else look.holes)
    top = max(signs) * (_OUTER + _TAB + 2.4)
    yield Text(Point(x, top), position.attachment, _NOTE, bold=True, part="code")


def _one_side(form: Form, x: float, face: float, sign: int, strand: _Strand, holes: int) -> Iterator[Element]:
    wide, far = strand.wide, sign * (_OUTER + _TAB)
    if form in STANDING:
        y = sorted((sign * (face - _PLATE), sign * (face + 0.5)))
        yield rectangle((x - 0.3 * wide, x + 0.3 * wide), (y[0], y[1]), Stroke.VISIBLE, "attachment")
        return
    if form in {Form.EXTENDED_PIN, Form.OUTRIGGER}:
        pin = x - wide / 2
        y = sorted((sign * (_OUTER + _PLATE), far))
        yield rectangle((pin - _PIN, pin + _PIN), (y[0], y[1]), Stroke.VISIBLE, "attachment")
        if form is Form.OUTRIGGER:
            y = sorted((far, far - sign * 2.6))
            yield rectangle((pin - 0.25 * wide, pin + 0.25 * wide), (y[0], y[1]), Stroke.VISIBLE, "attachment")
        return
    half = 0.08 * wide if form is Form.WING else 0.36 * wide
    y = sorted((sign * (face - _PLATE), far))
    yield rectangle((x - half, x + half), (y[0], y[1]), Stroke.VISIBLE, "attachment")
    if form is not Form.WING:
        step = 0.36 * wide
        for i in range(min(holes, 2)):
            center = Point(x + step * (i - (min(holes, 2) - 1) / 2), sign * (_OUTER + 0.6 * _TAB))
            yield Circle(center, 0.09 * wide, Stroke.VISIBLE, "hole", filled=True)


def _joint(strand: _Strand, joint: int | None) -> Iterator[Element]:
    """Mark the connecting link: its bars hatched, its name above."""
    if joint is None or joint not in strand.starts:
        return
    x, over = strand.starts[joint], 0.28 * strand.wide
    face = max(_faces(strand.pattern.link_at(joint)))
    for sign in (-1, 1):
        y0, y1 = sorted((sign * face, sign * (face + _PLATE)))
        left, right = x - over, x + strand.wide + over
        yield from hatch([(left, y0), (right, y0), (right, y1), (left, y1)], 0.7, 45.0, "connecting link")
    top = _OUTER + _TAB + 6.4
    middle = strand.middle(joint) + 0.42 * strand.wide
    yield Line(Point(middle, face + _PLATE), Point(middle, top - 1.6), Stroke.THIN, "connecting link")
    yield Text(Point(middle, top), "connecting link", _NOTE, part="connecting link")


def _dimensions(strand: _Strand, lengths: Mapping[int, str], low: float) -> list[DimensionLine]:
    """Give the gaps, equal ones that follow each other together, and below them the whole repeat."""
    used = [pitch for pitch in strand.starts if strand.pattern.at(pitch)]
    gaps = [(a, b, b - a) for a, b in pairwise(used)]
    runs = [list(run) for _, run in groupby(gaps, key=lambda gap: gap[2])]
    placed: list[DimensionLine] = []
    for run in runs:
        first, last, gap = run[0][0], run[-1][1], run[0][2]
        times, each = (f"{len(run)} × ", "each ") if len(run) > 1 else ("", "")
        length = f"{each}{lengths[gap]}" if gap in lengths else ""
        placed.append(_level(strand, (first, last), Label(f"{times}{gap} P", length, assumed=False), low))
    period = strand.pattern.period
    if len(gaps) > 1 and used[0] + period in strand.starts:
        label = Label(f"repeat {period} P", lengths.get(period, ""), assumed=False)
        below = min(line.label.low for line in placed)
        placed.append(_level(strand, (used[0], used[0] + period), label, below))
    return placed


def _level(strand: _Strand, ends: tuple[int, int], label: Label, low: float) -> DimensionLine:
    left, right = strand.middle(ends[0]), strand.middle(ends[1])
    width, height = label.inline
    if width > right - left - 7.0:
        label = Label(label.letter, "", assumed=False)
        width, height = label.inline
    at, broken = low - _ROW / 2, width <= right - left - 7.0
    y = at if broken else at - LETTER / 2 - PADDING - 0.6
    x = (left + right) / 2
    return DimensionLine(
        name="spacing",
        letter=label.letter,
        value=label.value,
        start=Point(left, -_OUTER - _TAB),
        end=Point(right, -_OUTER - _TAB),
        upright=False,
        at=at,
        label=Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2),
        broken=broken,
        outside=right - left < 8.0,
        assumed=False,
        unit=1.0,
    )


def _box(elements: Sequence[Element]) -> Box:
    points: list[Point] = []
    for element in elements:
        if isinstance(element, DimensionLine):
            points += reach(element)
        elif isinstance(element, Text):
            box = text_box(element)
            points += [Point(box.left, box.low), Point(box.right, box.high)]
        else:
            points += shape_points(element)
    return around(points)
