"""The scene: boxes, arcs and the estimate of a text's width."""

import math
from pathlib import Path as File

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

import chaincase.documents
from chaincase.drawing.outline import open_ring, rounded_bar, waisted_plate
from chaincase.drawing.scene import (
    Anchor,
    Arc,
    Box,
    Circle,
    Line,
    Point,
    Stroke,
    Text,
    arc_center,
    around,
    moved,
    shape_points,
    text_box,
    text_width,
)

FONTS = File(chaincase.documents.__file__).parent / "fonts"
FACES = [ImageFont.truetype(str(FONTS / f"Inter-{face}.ttf"), 1000) for face in ("Regular", "SemiBold")]
PRINTED = st.text(st.characters(min_codepoint=32, max_codepoint=0x17F, exclude_categories=["Cc"]), max_size=30)


@given(PRINTED)
def test_a_text_is_never_wider_than_estimated(text: str) -> None:
    # The font that is shipped, as measured by an independent library.
    for face in FACES:
        assert face.getlength(text) <= text_width(text, 1000.0) * 1.02


@given(st.floats(0.1, math.pi - 0.1), st.floats(0, math.tau), st.floats(0.1, 1e3), st.booleans(), st.booleans())
def test_an_arc_turns_about_its_center(sweep: float, first: float, r: float, clockwise: bool, large: bool) -> None:
    turn = (math.tau - sweep if large else sweep) * (-1 if clockwise else 1)
    start, end = (Point(5 + r * math.cos(a), r * math.sin(a) - 3) for a in (first, first + turn))
    center = arc_center(start, Arc(end, r, clockwise, large))
    assert math.dist(center, (5, -3)) < 1e-6 * r + 1e-9


@pytest.mark.parametrize(
    ("shape", "box"),
    [
        (rounded_bar((0, 10), (-2, 2), 1, Stroke.VISIBLE, ""), (0, -2, 10, 2)),
        (waisted_plate((0, 10), 6, Stroke.VISIBLE, ""), (-3, -3, 13, 3)),
        (open_ring(Point(0, 0), (1, 2), (120, 410), Stroke.VISIBLE, ""), (-2, -2, 2, 2 * math.sin(math.radians(120)))),
        (Circle(Point(1, 1), 2, Stroke.VISIBLE), (-1, -1, 3, 3)),
        (Line(Point(0, 1), Point(2, -1), Stroke.THIN), (0, -1, 2, 1)),
    ],
)
def test_the_box_of_a_shape_holds_its_arcs(shape: Line | Circle, box: tuple[float, float, float, float]) -> None:
    assert around(shape_points(shape)) == pytest.approx(box)
    there = around(shape_points(moved(shape, 7.0, -1.0)))
    assert there == pytest.approx((box[0] + 7, box[1] - 1, box[2] + 7, box[3] - 1))


def test_anchors_say_which_end_stands_at_the_point() -> None:
    boxes = [text_box(Text(Point(0, 0), "12", 2.0, anchor)) for anchor in (Anchor.START, Anchor.MIDDLE, Anchor.END)]
    assert [box.left for box in boxes] == pytest.approx([0.0, -1.2, -2.4])
    assert {(box.low, box.high) for box in boxes} == {(-1.0, 1.0)}


def test_boxes_that_touch_do_not_overlap() -> None:
    assert not Box(0, 0, 1, 1).overlaps(Box(1, 0, 2, 1))
    assert not Box(0, 0, 1, 1).overlaps(Box(0, 1, 1, 2))
    assert Box(0, 0, 1, 1).overlaps(Box(0.9, 0.9, 2, 2))
