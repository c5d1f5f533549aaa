"""Figures: what they show, what they assume, and that they are true to the sizes of published tables."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import KINDS, kind_named
from chaincase.drawing.figure import FAMILIES, figure
from chaincase.drawing.plates import strand_centers
from chaincase.drawing.scene import Circle, Path, Point, Scene, Stroke, around, shape_points
from chaincase.drawing.sizes import PROPORTIONS, complete

# ISO 606:1994 as GOST 13568-97 annex A prints it: 08A and 16B-2.
ISO_08A = {
    "pitch": 12.7,
    "roller_diameter": 7.95,
    "inner_width": 7.85,
    "pin_diameter": 3.96,
    "pin_length": 17.8,
    "inner_plate_height": 12.07,
}
ISO_16B_2 = {
    "pitch": 25.4,
    "transverse_pitch": 31.88,
    "inner_width": 17.02,
    "inner_link_width": 25.45,
    "outer_link_inner_width": 25.58,
    "pin_length": 68.0,
    "pin_diameter": 8.28,
}
# Public table headed ASME B29.16M, ISO 6972: W124.
W124 = {
    "pitch": 101.6,
    "bush_diameter": 36.6,
    "inner_link_width": 71.6,
    "pin_diameter": 19.05,
    "pin_length": 101.5,
    "sidebar_height": 38.1,
    "sidebar_thickness": 9.14,
}


def extent(scene: Scene, part: str) -> list[tuple[float, float]]:
    """Width and height of each shape of a part."""
    boxes = [around(shape_points(shape)) for shape in scene.parts(part) if isinstance(shape, Path | Circle)]
    return [(round(b.right - b.left, 6), round(b.high - b.low, 6)) for b in boxes]


def test_every_kind_has_a_family_and_proportions() -> None:
    names = {kind.name for kind in KINDS}
    assert FAMILIES.keys() == names
    assert PROPORTIONS.keys() == names


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
@pytest.mark.parametrize("what", ["nothing", "pitch", "all"])
def test_every_kind_is_drawn_from_whatever_is_known(kind: str, what: str) -> None:
    everything = complete(kind_named(kind), {"pitch": 80.0})
    names = {"nothing": (), "pitch": ("pitch",), "all": kind_named(kind).dimensions}[what]
    scene = figure(kind, {name: everything[name] for name in names}, title=kind)
    pins = [p for p in scene.parts("pin") if isinstance(p, Circle)]
    assert len(pins) == 2
    assert pins[1].center.x - pins[0].center.x == pytest.approx(80.0 if names else 50.0)
    sizes = [s for s in scene.assumed if any(BY_NAME[n].label in s for n in kind_named(kind).dimensions)]
    assert bool(sizes) == (what == "nothing" or (what == "pitch" and kind != "detachable"))


def test_a_roller_chain_is_drawn_as_its_table_has_it() -> None:
    scene = figure("roller", ISO_08A, title="08A-1")
    assert extent(scene, "roller").count((7.95, 7.95)) == 2, "dashed in the side view, behind the plates"
    assert extent(scene, "inner plate")[-1] == (12.7 + 12.07, 12.07)
    rollers = [box for box in extent(scene, "roller") if box != (7.95, 7.95)]
    assert rollers == [(7.95, round(0.97 * 7.85, 6))] * 2, "a roller has a little play between the plates"
    assert (3.96, 17.8) in extent(scene, "pin")


def test_what_is_not_known_is_thin_and_said() -> None:
    scene = figure("roller", ISO_08A, title="08A-1")
    (outer,) = [p for p in scene.parts("outer plate") if isinstance(p, Path) and len(p.pieces) == 4 and p.filled][-1:]
    assert outer.stroke is Stroke.THIN
    known = {p.stroke for p in scene.parts("inner plate")[-1:] if isinstance(p, Path)}
    assert known == {Stroke.VISIBLE}
    assert "not to scale: outer plate height not known" in scene.assumed
    assert not any("roller" in sentence for sentence in scene.assumed)
    assert {d.name for d in scene.dimensions if d.assumed}.isdisjoint(ISO_08A)


def test_a_figure_of_a_full_row_assumes_nothing() -> None:
    scene = figure("welded steel", W124, title="W124")
    assert scene.assumed == ()
    assert not [d for d in scene.dimensions if d.assumed]
    assert not scene.parts("note")


def test_a_waisted_plate_is_smooth_and_as_high_as_given() -> None:
    # Plane geometry: circles that touch have their centers and the touching point in one line.
    plate = figure("roller", ISO_08A, title="t").parts("inner plate")[-1]
    assert isinstance(plate, Path)
    box = around(shape_points(plate))
    assert box.high - box.low == pytest.approx(12.07)
    flank, end = plate.pieces[0], plate.pieces[1]
    left, right = Point(12.7, 0.0), Point(25.4, 0.0)
    top = Point(19.05, 0.36 * 12.07 + flank.radius)
    for pin, touch in ((left, plate.start), (right, flank.end)):
        assert math.dist(pin, touch) == pytest.approx(end.radius)
        assert math.dist(top, touch) == pytest.approx(flank.radius)
        assert math.dist(top, pin) == pytest.approx(end.radius + flank.radius)


def test_plates_too_tall_for_a_waist_come_out_straight() -> None:
    plate = figure("roller", {"pitch": 10.0, "inner_plate_height": 30.0}, title="t").parts("inner plate")[-1]
    assert isinstance(plate, Path)
    assert around(shape_points(plate)) == pytest.approx((10 - 15, -15, 20 + 15, 15))


def test_strands_are_counted_from_the_length_over_the_pin() -> None:
    kind = kind_named("roller")
    assert strand_centers(complete(kind, ISO_16B_2)) == pytest.approx((-15.94, 15.94))
    # ISO 606:1994: 16B-3 is 99.9 over the pin, 16B-1 is 36.1.
    assert len(strand_centers(complete(kind, ISO_16B_2 | {"pin_length": 99.9}))) == 3
    single = ISO_16B_2 | {"pin_length": 36.1}
    assert strand_centers(complete(kind, single)) == (0.0,)
    assert "transverse pitch" not in figure("roller", single, title="16B-1").description
    assert strand_centers(complete(kind, ISO_08A)) == (0.0,)


def test_the_number_of_strands_goes_before_the_length_over_the_pin() -> None:
    kind = kind_named("roller")
    sizes = complete(kind, ISO_16B_2)
    assert len(strand_centers(replace(sizes, strands=3))) == 3
    assert strand_centers(replace(sizes, strands=1)) == (0.0,)


def test_a_pin_of_unknown_length_goes_through_every_strand() -> None:
    known = {name: size for name, size in ISO_16B_2.items() if name != "pin_length"}
    scene = figure("roller", known, title="t", strands=4)
    plates = [around(shape_points(p)) for p in scene.parts("outer plate") if isinstance(p, Path)]
    pin = next(around(shape_points(p)) for p in scene.parts("pin") if isinstance(p, Path))
    assert pin.high > max(box.high for box in plates)
    assert pin.high - pin.low > 3 * 31.88


def test_plates_of_two_strands_stand_side_by_side() -> None:
    scene = figure("roller", ISO_16B_2, title="16B-2")
    # The plan view comes first: above the side view.
    spans = sorted(
        (box.low, box.high)
        for p in scene.parts("outer plate")
        if isinstance(p, Path) and (box := around(shape_points(p))).low > 30.0
    )
    assert len(spans) == 4
    assert all(low >= high for (_, high), (low, _) in pairwise(spans))


def test_the_bar_of_a_cranked_link_is_equally_thick_all_along() -> None:
    bar = figure("welded steel", W124, title="W124").parts("sidebar")[0]
    assert isinstance(bar, Path)
    corners = [bar.start, *(piece.end for piece in bar.pieces[:-1])]
    outer, inner = corners[:4], corners[4:][::-1]
    for (a, b), (c, _) in zip(pairwise(outer), pairwise(inner), strict=True):
        lean = math.atan2(b.y - a.y, b.x - a.x)
        across = abs((c.x - a.x) * math.sin(lean) - (c.y - a.y) * math.cos(lean))
        assert across == pytest.approx(9.14)


def test_the_narrow_end_fits_into_the_wide_end_of_the_next_link() -> None:
    first, _, second, _ = figure("welded steel", W124, title="W124").parts("sidebar")[:4]
    assert isinstance(first, Path)
    assert isinstance(second, Path)
    narrow = max(piece.end.y for piece in first.pieces if piece.end.x > 101.6)
    wide = min(piece.end.y for piece in second.pieces if piece.end.x < 101.6)
    assert narrow < wide


def test_the_views_stand_one_above_the_other() -> None:
    scene = figure("conveyor flanged", {"pitch": 160.0, "roller_diameter": 60.0, "flange_diameter": 75.0}, title="t")
    boxes = [around(shape_points(p)) for p in scene.parts("flange") if isinstance(p, Path | Circle)]
    centers = sorted(round((box.left + box.right) / 2, 6) for box in boxes)
    assert centers == [160.0, 160.0, 320.0, 320.0], "a flange in each view, at both stations of the inner link"


def test_letters_can_be_chosen_and_values_stand_beside_them() -> None:
    scene = figure("roller", ISO_08A, values={"pitch": "12.7\n mm"}, letters=["pitch", "pin_diameter"], title="t")
    assert {d.letter: d.value for d in scene.dimensions} == {"P": "12.7 mm", "D": ""}


def test_a_long_value_makes_the_sheet_wider_and_not_the_label_narrower() -> None:
    short = figure("roller", ISO_08A, values={"pin_length": "17.8"}, title="t")
    long = figure("roller", ISO_08A, values={"pin_length": "17.80 mm (0.701 in) maximum"}, title="t")
    assert (long.bounds.right - long.bounds.left) / long.unit > (short.bounds.right - short.bounds.left) / short.unit
    label = next(d.label for d in long.dimensions if d.name == "pin_length")
    assert label.right - label.left > 40.0 * long.unit


def test_without_the_pitch_there_is_no_scale_bar() -> None:
    assert figure("roller", ISO_08A, title="t").parts("scale bar")
    assert not figure("roller", {"pin_diameter": 4.0}, title="t").parts("scale bar")


def test_the_description_says_what_the_eye_would_see() -> None:
    text = figure("detachable", {"pitch": 22.96}, title="steel 25").description
    assert "P pitch 22.96 mm" in text
    assert "outline of the links not known" in text
