"""What holds of attachments, spacing diagrams and cut edges, whatever their sizes."""

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from chaincase.chains.attachments import DIMENSIONS, Form, OnLink, Side
from chaincase.chains.kinds import KINDS
from chaincase.drawing.attachment_figure import attachment_figure
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.figure import figure
from chaincase.drawing.outline import rectangle
from chaincase.drawing.scene import Box, Circle, Line, Point, Scene, Stroke
from chaincase.drawing.spacing_figure import spacing_figure
from chaincase.drawing.visible import Curve, Segment, visible
from chaincase.makeup.patterns import Sides, in_gaps
from chaincase.measuring.growth import Link
from scene_checks import outside, overlapping

KIND = st.sampled_from([kind.name for kind in KINDS])
SIZE = st.floats(0.5, 500.0)


@st.composite
def attachments(draw: st.DrawFn) -> Attachment:
    names = draw(st.lists(st.sampled_from([d.name for d in DIMENSIONS]), unique=True, max_size=8))
    return Attachment(
        draw(st.sampled_from(list(Form))),
        draw(st.sampled_from(list(OnLink))),
        draw(st.sampled_from(list(Side))),
        draw(st.integers(0, 4)),
        {name: draw(SIZE) for name in names},
        draw(st.text("KASM12-", max_size=4)),
    )


@given(KIND, attachments(), st.floats(5.0, 300.0))
@settings(max_examples=60, deadline=None)
def test_any_attachment_can_be_drawn_on_any_chain(kind: str, attachment: Attachment, pitch: float) -> None:
    for scene in (
        figure(kind, {"pitch": pitch}, title="t", attachments=[attachment]),
        attachment_figure(kind, {"pitch": pitch}, attachment, title="t", values={"thickness": "12.7 [1/2 in]"}),
    ):
        assert overlapping(scene) == []
        assert outside(scene) == []
        for line in scene.dimensions:
            drawn = line.end.y - line.start.y if line.upright else line.end.x - line.start.x
            assert drawn > -1e-6 * scene.unit


@st.composite
def patterns(draw: st.DrawFn):
    gaps = draw(st.lists(st.integers(1, 30), min_size=1, max_size=4))
    codes = st.text("ABKM129", min_size=1, max_size=9)
    places = [[(draw(codes), draw(st.sampled_from(list(Sides))))] for _ in gaps]
    return in_gaps(places, gaps, draw(st.sampled_from([Link.INNER, Link.OUTER, Link.OFFSET])), draw(st.integers(0, 3)))


@given(patterns(), st.integers(0, 40))
@settings(max_examples=60, deadline=None)
def test_a_spacing_diagram_keeps_its_labels_apart_and_adds_up_to_the_repeat(pattern, joint: int) -> None:
    scene = spacing_figure(pattern, title="t", joint=joint, lengths=dict.fromkeys(pattern.gaps, "304.8 mm"))
    assert overlapping(scene) == []
    assert outside(scene) == []
    shown = 0
    for line in scene.dimensions:
        if not line.letter.startswith("repeat"):
            times, _, gap = line.letter.removesuffix(" P").rpartition(" × ")
            shown += int(times or 1) * int(gap)
    assert shown == pattern.period


PLACE, LONG = st.floats(-8.0, 8.0), st.floats(0.5, 8.0)


@given(PLACE, PLACE, LONG, PLACE, PLACE, LONG, LONG)
@settings(max_examples=100, deadline=None)
def test_what_is_seen_and_what_is_hidden_add_up(
    cx: float, cy: float, r: float, left: float, low: float, wide: float, high: float
) -> None:
    assume(min(abs(cy - low), abs(cy - low - high)) > 1e-5)  # a line on the very edge is drawn, or is the edge
    front = rectangle((left, left + wide), (low, low + high), Stroke.VISIBLE, "plate")
    back = Circle(Point(cx, cy), r, Stroke.THIN)
    line = Line(Point(cx - r, cy), Point(cx + r, cy), Stroke.HIDDEN)
    seen = visible(Scene("", "", (back, line, front), Box(-20, -20, 20, 20), 1.0, ()))
    turn = sum(piece.last - piece.first for piece in seen if isinstance(piece, Curve))
    # The same by counting small steps around the circle and along the line.
    count = 3600
    steps = [math.tau * (i + 0.5) / count for i in range(count)]
    free = sum(not _within(cx + r * math.cos(a), cy + r * math.sin(a), left, low, wide, high) for a in steps) / count
    assert abs(turn / math.tau - free) < 5e-3
    length = sum(p.end.x - p.start.x for p in seen if isinstance(p, Segment) and p.stroke is Stroke.HIDDEN)
    open_x = max(0.0, min(cx + r, left + wide) - max(cx - r, left)) if low < cy < low + high else 0.0
    assert abs(length - (2 * r - open_x)) < 1e-3


def _within(x: float, y: float, left: float, low: float, wide: float, high: float) -> bool:
    return left < x < left + wide and low < y < low + high
