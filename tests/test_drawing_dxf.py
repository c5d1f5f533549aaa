"""The DXF: sound, true to the table, and without what another part hides."""

import io
import math

import ezdxf
import pytest

from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import OnLink
from chaincase.drawing.dxf import write_dxf
from chaincase.drawing.figure import State, figure
from chaincase.drawing.from_tables import (
    best_known,
    listed_attachment,
    size_text,
    subject_attachment,
    subject_figure,
    subject_named,
)
from chaincase.drawing.outline import rectangle
from chaincase.drawing.scene import Box, Circle, Line, Point, Scene, Stroke
from chaincase.drawing.spacing_figure import spacing_figure
from chaincase.drawing.visible import Curve, Segment, visible
from chaincase.makeup.notation import parse_pattern

CATALOG = Catalog.standard()
SUBJECTS = {subject.kind: subject for subject in best_known(CATALOG)}


def opened(content: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(content.decode()))


@pytest.mark.parametrize("kind", SUBJECTS)
def test_a_figure_of_each_kind_passes_the_audit_and_measures_what_the_table_says(kind: str) -> None:
    subject = SUBJECTS[kind]
    values = {name: size_text(size) for name, size in subject.sizes.items()}
    scene = figure(kind, subject.sizes, values=values, title=subject.name)
    document = opened(write_dxf(scene))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    measured = [dimension.get_measurement() for dimension in document.modelspace().query("DIMENSION")]
    assert len(measured) == len(scene.dimensions)
    for value, line in zip(measured, scene.dimensions, strict=True):
        if not line.assumed:
            assert value == pytest.approx(subject.sizes[line.name], rel=1e-9)


def test_lengths_are_millimeters_and_nothing_scales_them() -> None:
    document = opened(write_dxf(subject_figure(SUBJECTS["welded steel"])))
    assert document.header["$INSUNITS"] == 4
    for dimension in document.modelspace().query("DIMENSION"):
        style = dimension.override()
        assert style.get("dimlfac") == 1.0
        assert style.get("dimscale") == 1.0
    layers = {entity.dxf.layer for entity in document.modelspace()}
    assert layers >= {"OUTLINES", "CENTERS", "HATCHING", "DIMENSIONS", "TEXTS"}
    assert all(document.layers.has_entry(layer) for layer in layers)


def test_a_known_size_is_written_by_the_program_that_measures_it() -> None:
    subject = SUBJECTS["welded steel"]
    known = {"pitch": subject.sizes["pitch"]}
    scene = figure("welded steel", known, values={"pitch": size_text(known["pitch"], "both")}, title="t")
    texts = {d.dxf.text for d in opened(write_dxf(scene)).modelspace().query("DIMENSION")}
    assert "P <> [2.609 in]" in texts or any(text.startswith("P <> [") for text in texts)
    assert "D" in texts, "a size that is only assumed has its letter and no figure"


def test_readings_stand_below_the_candidate() -> None:
    scene = figure(
        "leaf", {"pitch": 12.7}, values={"pitch": "12.7"}, found={"pitch": "12.9"}, state="compare", title="t"
    )
    (pitch,) = [d for d in opened(write_dxf(scene)).modelspace().query("DIMENSION") if d.dxf.text.startswith("P")]
    assert pitch.dxf.text == "P <>\\P12.9"


def test_the_same_figure_gives_the_same_bytes() -> None:
    scene = subject_figure(SUBJECTS["roller"])
    assert write_dxf(scene) == write_dxf(scene)


@pytest.mark.parametrize("hostile", ["a\nb", "\x00\x1b[31m", "{\\H9;} %%d ^J", "漢字 Ø ½", "<>"])
def test_no_text_breaks_the_file(hostile: str) -> None:
    scene = figure("leaf", {"pitch": 12.7}, values={"pitch": hostile}, title=hostile)
    document = opened(write_dxf(scene))
    assert not document.audit().errors
    assert len(document.modelspace().query("DIMENSION")) == len(scene.dimensions)


def test_attachments_have_a_layer_and_their_own_dimensions() -> None:
    subject = subject_named("16B-1", CATALOG)
    attachment = listed_attachment(subject, "K2", OnLink.INNER)
    scene = subject_attachment(subject, attachment, state=State.SPECIFIED)
    document = opened(write_dxf(scene))
    assert not document.audit().errors
    assert document.modelspace().query('*[layer=="ATTACHMENTS"]')
    measured = [d.get_measurement() for d in document.modelspace().query("DIMENSION")]
    assert measured == pytest.approx([attachment.sizes[line.name] for line in scene.dimensions])
    assert {"platform_height", "transverse_hole_spacing"} <= {line.name for line in scene.dimensions}


def test_a_diagram_has_lines_and_no_dimensions() -> None:
    document = opened(write_dxf(spacing_figure(parse_pattern("K2@4"), title="t", joint=2), measured=False))
    assert not document.audit().errors
    assert not document.modelspace().query("DIMENSION")
    assert "4 P" in {text.dxf.text for text in document.modelspace().query("TEXT")}


def scene_of(*shapes: Line | Circle) -> Scene:
    return Scene("", "", shapes, Box(-10.0, -10.0, 10.0, 10.0), 1.0, ())


def test_a_plate_in_front_cuts_circle_and_line_behind_it() -> None:
    # Plane geometry: a strip of half height 3 covers a circle of radius 5 up to the angle asin(3/5).
    strip = rectangle((-8.0, 8.0), (-3.0, 3.0), Stroke.VISIBLE, "plate")
    seen = visible(
        scene_of(Circle(Point(0, 0), 5.0, Stroke.VISIBLE), Line(Point(0, -9), Point(0, 9), Stroke.THIN), strip)
    )
    curves = [piece for piece in seen if isinstance(piece, Curve)]
    assert sum(curve.last - curve.first for curve in curves) == pytest.approx(
        2 * (math.pi - 2 * math.asin(0.6)), rel=1e-6
    )
    lines = sorted((p.start.y, p.end.y) for p in seen if isinstance(p, Segment) and p.stroke is Stroke.THIN)
    assert lines == [(-9.0, -3.0), (3.0, 9.0)]


def test_what_is_in_front_or_unfilled_hides_nothing() -> None:
    line = Line(Point(-9, 0), Point(9, 0), Stroke.VISIBLE)
    in_front = visible(scene_of(rectangle((-3, 3), (-3, 3), Stroke.VISIBLE, "plate"), line))
    hollow = visible(scene_of(line, rectangle((-3, 3), (-3, 3), Stroke.VISIBLE, "plate", filled=False)))
    for seen in (in_front, hollow):
        assert Segment(line.start, line.end, Stroke.VISIBLE, "") in seen


def test_paper_without_an_edge_is_not_drawn_but_hides() -> None:
    line = Line(Point(-9, 0), Point(9, 0), Stroke.VISIBLE)
    seen = visible(scene_of(line, rectangle((-3, 3), (-3, 3), Stroke.ERASED, "paper")))
    assert [(piece.start.x, piece.end.x) for piece in seen if isinstance(piece, Segment)] == [(-9.0, -3.0), (3.0, 9.0)]
