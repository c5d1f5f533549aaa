"""The spacing diagram: which links, which gaps, where the strand is joined."""

import pytest

from chaincase.chains.attachments import Form
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.scene import Path
from chaincase.drawing.spacing_figure import spacing_figure
from chaincase.errors import BadInput
from chaincase.makeup.notation import parse_pattern
from chaincase.makeup.patterns import Pattern, Position, Sides, alternating, constant, in_turn, runs
from chaincase.measuring.growth import Link
from scene_checks import checked_svg, outside, overlapping


def letters(scene) -> list[str]:
    return [line.letter for line in scene.dimensions]


def test_one_repeat_and_the_attachment_that_begins_the_next() -> None:
    scene = spacing_figure(parse_pattern("K2@4"), title="t", lengths={4: "406.4 mm"})
    assert [(line.letter, line.value) for line in scene.dimensions] == [("4 P", "406.4 mm")]
    assert len(scene.parts("code")) == 2


def test_an_odd_spacing_shows_inner_and_outer_links_before_it_repeats() -> None:
    scene = spacing_figure(parse_pattern("K1@3"), title="t", lengths={3: "12 in"})
    assert letters(scene) == ["2 × 3 P", "repeat 6 P"]
    assert scene.dimensions[0].value == "each 12 in"


def test_unequal_gaps_stand_one_after_the_other() -> None:
    assert letters(spacing_figure(runs([(2, 4), (1, 6)], "K1"), title="t")) == ["2 × 4 P", "6 P", "repeat 14 P"]


def test_a_long_plain_run_is_broken_out_and_says_how_many_links_are_left_out() -> None:
    scene = spacing_figure(parse_pattern("K2@24"), title="t")
    said = [text.text for text in scene.parts("break") if hasattr(text, "text")]
    assert said == ["+19"]
    assert letters(scene) == ["24 P"]


def test_the_connecting_link_is_hatched_and_named() -> None:
    scene = spacing_figure(parse_pattern("K2@6"), title="t", joint=3)
    assert "connecting link" in [text.text for text in scene.parts("connecting link") if hasattr(text, "text")]
    assert "Connecting link at pitch 4." in scene.description


def test_a_connecting_link_beyond_the_diagram_is_told_in_the_note() -> None:
    scene = spacing_figure(parse_pattern("K2@6"), title="t", joint=239)
    assert not scene.parts("connecting link")
    (note,) = scene.parts("note")
    assert note.text.endswith("Connecting link at pitch 240.")


def test_left_is_up_and_right_is_down() -> None:
    pattern = alternating(2)
    scene = spacing_figure(pattern, title="t")
    lows = [max(point.end.y for point in tab.pieces) for tab in scene.parts("attachment") if isinstance(tab, Path)]
    assert [low > 0 for low in lows] == [True, False, True]


@pytest.mark.parametrize("form", list(Form))
def test_every_form_is_drawn(form: Form) -> None:
    scene = spacing_figure(parse_pattern("X@2"), title="t", attachments={"X": Attachment(form, holes=2)})
    assert scene.parts("attachment")
    assert overlapping(scene) == []


@pytest.mark.parametrize(
    "pattern",
    [
        constant(1, "K1"),
        constant(1, "A-VERY-LONG-NAME-OF-AN-ATTACHMENT-12345678"[:40]),
        constant(3, "F29", link=Link.OFFSET),
        in_turn(2, ["K1", "K2", "A1"]),
        Pattern((Position(0, "K1", Sides.LEFT), Position(0, "A2", Sides.RIGHT)), 4),
        runs([(9, 4), (9, 5)]),
    ],
)
@pytest.mark.parametrize("joint", [None, 0, 1])
def test_no_label_lies_on_another(pattern: Pattern, joint: int | None) -> None:
    lengths = dict.fromkeys((*pattern.gaps, pattern.period), "1219.2 mm (48 in)")
    scene = spacing_figure(pattern, title="t", joint=joint, lengths=lengths)
    assert overlapping(scene) == []
    assert outside(scene) == []
    checked_svg(scene)


@pytest.mark.parametrize("shown", [0, -1, 401])
def test_no_more_links_than_can_be_seen(shown: int) -> None:
    with pytest.raises(BadInput, match="links in a diagram"):
        spacing_figure(parse_pattern("K2@4"), shown, title="t")
