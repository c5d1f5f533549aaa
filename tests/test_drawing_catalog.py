"""Every chain of the packaged tables as a figure: drawn, true to its table, nothing on top of anything else."""

import numpy as np
import pytest

from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import BY_NAME as ATTACHMENT_DIMENSIONS
from chaincase.chains.attachments import OnLink
from chaincase.chains.kinds import KINDS
from chaincase.drawing.figure import State, figure
from chaincase.drawing.from_tables import (
    Subject,
    best_known,
    listed_attachment,
    size_text,
    subject_attachment,
    subject_figure,
    subject_named,
)
from chaincase.drawing.scene import Circle, Path, Scene, around, shape_points
from chaincase.errors import BadInput
from chaincase.makeup.attachment_listings import BaseChain, listed_for
from scene_checks import checked_svg, outside, overlapping

CATALOG = Catalog.standard()


def rows_of(kind: str) -> list[Subject]:
    rows = np.flatnonzero(CATALOG.kind == [each.name for each in KINDS].index(kind)).tolist()
    return [
        Subject(CATALOG.designations[row], kind, CATALOG.dimensions_of(row), int(CATALOG.strands[row])) for row in rows
    ]


def test_the_parts_together_are_the_whole_catalog() -> None:
    assert sum(len(rows_of(kind.name)) for kind in KINDS) == len(CATALOG) > 900


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_every_row_is_drawn_true_to_its_table_with_nothing_overlapping(kind: str) -> None:
    for subject in rows_of(kind):
        values = {name: size_text(size) for name, size in subject.sizes.items()}
        scene = figure(kind, subject.sizes, values=values, title=subject.name, strands=subject.strands)
        assert overlapping(scene) == [], subject.name
        assert outside(scene) == [], subject.name
        for line in scene.dimensions:
            drawn = line.end.y - line.start.y if line.upright else line.end.x - line.start.x
            if not line.assumed:
                assert drawn == pytest.approx(subject.sizes[line.name], rel=1e-9), (subject.name, line.name)
        _true_parts(scene, subject)
        checked_svg(scene)


def _true_parts(scene: Scene, subject: Subject) -> None:
    """The parts themselves, and not only their dimension lines, are as far apart and as wide as the table says."""
    pins = [part for part in scene.parts("pin") if isinstance(part, Circle)]
    if "pitch" in subject.sizes:
        assert pins[1].center.x - pins[0].center.x == pytest.approx(subject.sizes["pitch"], rel=1e-12)
    boxes = [around(shape_points(part)) for part in scene.parts("pin") if isinstance(part, Path)]
    for name, sides in (("pin_diameter", [2 * pin.radius for pin in pins]), ("pin_length", _heights(boxes))):
        if name in subject.sizes and sides and subject.kind not in {"rivetless", "detachable"}:
            assert subject.sizes[name] == pytest.approx(max(sides), rel=1e-9), (subject.name, name)
    plates = [around(shape_points(part)) for part in scene.parts("sidebar") if isinstance(part, Path)]
    if "sidebar_height" in subject.sizes and plates:
        assert any(abs(height - subject.sizes["sidebar_height"]) < 1e-9 for height in _heights(plates)), subject.name


def _heights(boxes: list) -> list[float]:
    return [box.high - box.low for box in boxes]


@pytest.mark.parametrize("state", list(State))
@pytest.mark.parametrize("units", ["mm", "in", "both"])
def test_one_chain_of_each_kind_in_every_state_and_unit(state: State, units: str) -> None:
    for subject in best_known(CATALOG):
        readings = {name: size_text(1.01 * size, units) for name, size in subject.sizes.items()}
        scene = figure(
            subject.kind,
            subject.sizes,
            values={name: size_text(size, units) for name, size in subject.sizes.items()},
            title=subject.name,
            state=state,
            asked=list(subject.sizes)[::2],
            found=readings,
        )
        assert overlapping(scene) == [], subject.name
        assert outside(scene) == [], subject.name
        checked_svg(scene)


def test_every_listed_attachment_is_drawn_on_its_chain_and_alone() -> None:
    """All codes of a few chains of each table of attachments."""
    drawn = 0
    for name in ("04B-1", "08A-1", "16B-1", "32B-1", "M112x160 small roller", "S32", "C2060H", "ANSI 80"):
        subject = subject_named(name, CATALOG)
        for code in {listing.code for listing in listed_for(BaseChain(subject.name)) if listing.sizes}:
            for link in (OnLink.OUTER, OnLink.INNER):
                _attachment_is_sound(subject, code, link)
                drawn += 1
    assert drawn > 40


def _attachment_is_sound(subject: Subject, code: str, link: OnLink) -> None:
    try:
        attachment = listed_attachment(subject, code, link)
    except BadInput:
        pytest.fail(f"{code} is listed for {subject.name}")
    with_it = subject_figure(subject, attachments=[attachment])
    alone = subject_attachment(subject, attachment, units="both")
    for scene in (with_it, alone):
        assert overlapping(scene) == [], (subject.name, code)
        assert outside(scene) == [], (subject.name, code)
        checked_svg(scene)
    assert with_it.parts("attachment")
    for line in alone.dimensions:
        drawn = line.end.y - line.start.y if line.upright else line.end.x - line.start.x
        assert drawn == pytest.approx(attachment.sizes[line.name], rel=1e-6), (subject.name, code, line.name)
        assert line.letter == ATTACHMENT_DIMENSIONS[line.name].letter
