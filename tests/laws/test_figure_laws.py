"""What holds of every figure, whatever is known of the chain and however odd the readings are."""

import math
from itertools import combinations, permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from chaincase.chains.kinds import KINDS, Kind
from chaincase.drawing.dimensioning import strokes
from chaincase.drawing.figure import ONLY_IF_KNOWN, figure
from chaincase.drawing.layout import round_length
from chaincase.drawing.scene import Box, Circle, DimensionLine, Scene, Text, label_boxes, shape_points, text_box
from chaincase.drawing.sizes import complete
from chaincase.drawing.svg import write_svg

SIZES = st.floats(0.05, 2000.0, allow_nan=False)
TEXTS = st.text("0123456789.,/ mminØ±WM漢", max_size=24)


@st.composite
def known(draw: st.DrawFn) -> tuple[Kind, dict[str, float]]:
    """Some dimensions of some kind, each of any size: readings can be that wrong."""
    kind = draw(st.sampled_from(KINDS))
    names = draw(st.lists(st.sampled_from(kind.dimensions), unique=True))
    return kind, {name: draw(SIZES) for name in names}


@st.composite
def likely(draw: st.DrawFn) -> tuple[Kind, dict[str, float]]:
    """Some dimensions of some kind, off the usual proportions by up to a fifth."""
    kind = draw(st.sampled_from(KINDS))
    sizes = complete(kind, {"pitch": draw(st.floats(5.0, 500.0))})
    names = draw(st.lists(st.sampled_from(kind.dimensions), unique=True))
    off = st.floats(0.8, 1.25)
    return kind, {name: sizes[name] * draw(off) for name in names if name in sizes.values}


CHAINS = known() | likely()


def pins(scene: Scene) -> list[Circle]:
    return [part for part in scene.parts("pin") if isinstance(part, Circle)]


@given(CHAINS)
def test_pins_are_drawn_one_pitch_apart(chain: tuple[Kind, dict[str, float]]) -> None:
    kind, dimensions = chain
    first, second = pins(figure(kind.name, dimensions, title="t"))
    assert first.center.y == second.center.y
    distance = second.center.x - first.center.x
    assert math.isclose(distance, complete(kind, dimensions)["pitch"])
    if "pitch" in dimensions:
        assert math.isclose(distance, dimensions["pitch"])


@given(CHAINS, st.data())
@settings(max_examples=200)
def test_labels_never_overlap(chain: tuple[Kind, dict[str, float]], data: st.DataObject) -> None:
    kind, dimensions = chain
    values = {name: data.draw(TEXTS) for name in kind.dimensions}
    scene = figure(kind.name, dimensions, values=values, title="t")
    for one, other in combinations(label_boxes(scene), 2):
        assert not one.overlaps(other)


@given(CHAINS, st.data())
@settings(max_examples=200)
def test_no_dimension_line_runs_through_the_label_of_another(
    chain: tuple[Kind, dict[str, float]], data: st.DataObject
) -> None:
    kind, dimensions = chain
    values = {name: data.draw(TEXTS) for name in kind.dimensions}
    upright = [d for d in figure(kind.name, dimensions, values=values, title="t").dimensions if d.upright]
    for one, other in permutations(upright, 2):
        lines = [line for line in strokes(one).lines if line.start.x == line.end.x == one.at]
        assert lines
        for line in lines:
            low, high = sorted((line.start.y, line.end.y))
            assert not Box(one.at, low, one.at + 1e-3 * one.unit, high).overlaps(other.label)


@given(CHAINS)
def test_a_dimension_line_is_as_long_as_the_dimension(chain: tuple[Kind, dict[str, float]]) -> None:
    kind, dimensions = chain
    scene = figure(kind.name, dimensions, title="t")
    for line in scene.dimensions:
        drawn = line.end.y - line.start.y if line.upright else line.end.x - line.start.x
        if not line.assumed:
            assert math.isclose(drawn, dimensions[line.name], rel_tol=1e-9, abs_tol=1e-9)


@given(CHAINS)
def test_every_dimension_of_a_kind_has_one_line_and_says_whether_it_is_known(
    chain: tuple[Kind, dict[str, float]],
) -> None:
    kind, dimensions = chain
    scene = figure(kind.name, dimensions, title="t")
    drawn = [line.name for line in scene.dimensions]
    assert len(drawn) == len(set(drawn))
    assert {line.name for line in scene.dimensions if not line.assumed} <= dimensions.keys()
    # A transverse pitch is not drawn where the pin has room for one strand only.
    assert dimensions.keys() - set(drawn) <= {"transverse_pitch"}
    optional = ONLY_IF_KNOWN - dimensions.keys()
    assert not optional & set(drawn)


@given(CHAINS)
def test_everything_lies_on_the_sheet(chain: tuple[Kind, dict[str, float]]) -> None:
    kind, dimensions = chain
    scene = figure(kind.name, dimensions, title="t")
    left, low, right, high = scene.bounds
    slack = 1e-9 * (right - left + high - low)
    for element in scene.elements:
        if isinstance(element, DimensionLine | Text):
            box = element.label if isinstance(element, DimensionLine) else text_box(element)
            points = [(box.left, box.low), (box.right, box.high)]
        else:
            points = [tuple(point) for point in shape_points(element)]
        assert all(left - slack <= x <= right + slack and low - slack <= y <= high + slack for x, y in points)


@given(likely(), st.floats(0.1, 10.0))
def test_a_chain_twice_as_large_gives_the_same_picture(chain: tuple[Kind, dict[str, float]], factor: float) -> None:
    kind, dimensions = chain
    if not dimensions:
        return
    one = figure(kind.name, dimensions, title="t")
    other = figure(kind.name, {name: factor * size for name, size in dimensions.items()}, title="t")
    assert math.isclose(other.unit, factor * one.unit, rel_tol=1e-6)
    assert [(d.name, d.broken, d.outside) for d in one.dimensions] == [
        (d.name, d.broken, d.outside) for d in other.dimensions
    ]


@given(CHAINS)
def test_the_same_chain_gives_the_same_file(chain: tuple[Kind, dict[str, float]]) -> None:
    kind, dimensions = chain
    assert write_svg(figure(kind.name, dimensions, title="t")) == write_svg(
        figure(kind.name, dict(reversed(dimensions.items())), title="t")
    )


@given(st.floats(1e-3, 1e5))
def test_a_scale_bar_is_a_round_length_and_fills_at_least_four_tenths(most: float) -> None:
    length = round_length(most)
    assert 0.39 * most <= length <= most * (1 + 1e-9)
    assert math.isclose(
        length / 10 ** math.floor(math.log10(length) + 1e-9),
        round(length / 10 ** math.floor(math.log10(length) + 1e-9)),
    )
