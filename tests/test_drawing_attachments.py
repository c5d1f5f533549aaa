"""Attachments in figures: where they sit, what they hide, what their own figure keys."""

import pytest

from chaincase.chains.attachments import BY_NAME, NEEDED, Form, OnLink, Side
from chaincase.drawing.attachment_figure import attachment_figure
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.figure import figure
from chaincase.drawing.scene import Circle, Path, Scene, around, shape_points
from chaincase.errors import BadInput
from scene_checks import checked_svg, outside, overlapping

# GOST 13568-97 Table A.2, 16B: K1 and K2; the chain from ISO 606:1994.
K1 = {"platform_height": 15.88, "hole_diameter": 6.4, "transverse_hole_spacing": 50.8}
ISO_16B = {
    "pitch": 25.4,
    "inner_width": 17.02,
    "outer_link_inner_width": 25.58,
    "inner_plate_height": 21.08,
    "pin_length": 36.1,
}
SIDE_VIEW = 10.0
"""Everything of the side view lies below this height [mm]."""


def boxes(scene: Scene, part: str) -> list[tuple[float, float, float, float]]:
    shapes = [shape for shape in scene.parts(part) if isinstance(shape, Path | Circle)]
    return [tuple(round(side, 6) for side in around(shape_points(shape))) for shape in shapes]


@pytest.mark.parametrize(("link", "middle"), [(OnLink.OUTER, 0.5), (OnLink.INNER, 1.5)])
def test_an_attachment_sits_in_the_middle_of_its_link(link: OnLink, middle: float) -> None:
    scene = figure("roller", ISO_16B, title="t", attachments=[Attachment(Form.BENT, link, Side.BOTH, 1, K1, "K1")])
    holes = [hole.center for hole in scene.parts("hole") if isinstance(hole, Circle)]
    assert [hole.x for hole in holes] == pytest.approx([middle * 25.4] * 2)
    assert abs(holes[0].y - holes[1].y) == pytest.approx(50.8)


def test_on_every_link_it_is_drawn_twice() -> None:
    once = figure("roller", ISO_16B, title="t", attachments=[Attachment(Form.BENT, OnLink.OUTER, sizes=K1)])
    twice = figure("roller", ISO_16B, title="t", attachments=[Attachment(Form.BENT, OnLink.EVERY, sizes=K1)])
    assert len(twice.parts("hole")) == 2 * len(once.parts("hole")) > 0


@pytest.mark.parametrize(("side", "signs"), [(Side.LEFT, {1}), (Side.RIGHT, {-1}), (Side.BOTH, {1, -1})])
def test_left_is_up_in_the_plan_view(side: Side, signs: set[int]) -> None:
    scene = figure("roller", ISO_16B, title="t", attachments=[Attachment(Form.BENT, side=side, sizes=K1)])
    pin = next(pin for pin in scene.parts("pin") if isinstance(pin, Path))
    box = around(shape_points(pin))
    axis = (box.low + box.high) / 2
    holes = [hole.center.y - axis for hole in scene.parts("hole") if isinstance(hole, Circle)]
    assert {1 if y > 0 else -1 for y in holes} == signs


def test_a_platform_stands_at_its_height_above_the_pins() -> None:
    scene = figure("roller", ISO_16B, title="t", attachments=[Attachment(Form.BENT, sizes=K1)])
    tops = [high for _, low, _, high in boxes(scene, "attachment") if low < SIDE_VIEW]
    assert max(tops) == 15.88


def test_a_bar_and_its_extension_show_no_edge_between_them() -> None:
    scene = figure("conveyor bush", {"pitch": 100.0}, title="t", attachments=[Attachment(Form.STRAIGHT)])
    erased = [p for p in scene.parts("attachment") if isinstance(p, Path) and p.stroke.value == "erased"]
    (box,) = [around(shape_points(path)) for path in erased]
    plate = next(p for p in reversed(scene.parts("outer plate")) if isinstance(p, Path))
    top = around(shape_points(plate)).high
    assert box.low < top < box.high


@pytest.mark.parametrize("form", list(Form))
@pytest.mark.parametrize("side", [Side.BOTH, Side.RIGHT])
@pytest.mark.parametrize("holes", [0, 1, 2, 3])
@pytest.mark.parametrize("kind", ["roller", "welded steel", "conveyor flanged"])
def test_every_form_has_a_figure_that_keys_what_one_is_made_by(form: Form, side: Side, holes: int, kind: str) -> None:
    attachment = Attachment(form, OnLink.OUTER, side, holes)
    scene = attachment_figure(kind, {"pitch": 80.0}, attachment, title="t", state="blank")
    assert overlapping(scene) == []
    assert outside(scene) == []
    keyed = {line.name for line in scene.dimensions}
    # An angle has no linear dimension; a plate without thickness of its own is drawn as thick as the bar.
    missing = set(NEEDED[form]) - keyed - {"angle_deg", "thickness", "plate_length"}
    single = {"overall_width", "outrigger_spacing"} if side is Side.RIGHT else set()
    assert missing <= single
    if holes and form is Form.BENT:
        assert "hole_diameter" in keyed
        assert ("longitudinal_hole_spacing" in keyed) == (holes > 1)
    checked_svg(scene)


def test_its_letters_are_small_ones_and_those_of_the_vocabulary() -> None:
    scene = attachment_figure(
        "roller", ISO_16B, Attachment(Form.BENT, sizes=K1), values={"platform_height": "15.88"}, title="t"
    )
    assert {line.name: line.letter for line in scene.dimensions} == {
        line.name: BY_NAME[line.name].letter for line in scene.dimensions
    }
    assert next(line.value for line in scene.dimensions if line.letter == "h") == "15.88"
    assert "h platform height above the pin center 15.88 mm" in scene.description


def test_a_specified_figure_leaves_out_what_is_not_known() -> None:
    scene = attachment_figure("roller", ISO_16B, Attachment(Form.BENT, sizes=K1), title="t", state="specified")
    assert {line.name for line in scene.dimensions} == set(K1)


@pytest.mark.parametrize(
    ("holes", "sizes", "message"),
    [
        (1, {"flub": 3.0}, "'flub' is not a dimension of an attachment"),
        (1, {"thickness": 0.0}, "attachment.thickness: 0 mm cannot be drawn"),
        (1, {"thickness": float("nan")}, "nan mm cannot be drawn"),
        (9, {}, "attachment.holes: 9 holes"),
    ],
)
def test_what_cannot_be_drawn_is_refused(holes: int, sizes: dict[str, float], message: str) -> None:
    with pytest.raises(BadInput, match=message):
        Attachment(Form.BENT, holes=holes, sizes=sizes)


def test_the_words_say_what_it_is() -> None:
    assert (
        Attachment(Form.SCRAPER, OnLink.EVERY, Side.UNKNOWN).words
        == "Attachment: scraper, on every link, on sides not known which"
    )
