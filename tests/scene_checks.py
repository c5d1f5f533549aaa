"""What must hold of any drawing, whatever it shows; used by several tests."""

import re
import xml.etree.ElementTree as ET
from itertools import combinations

from chaincase.drawing.dimensioning import reach
from chaincase.drawing.scene import Box, DimensionLine, Scene, Text, around, label_boxes, shape_points, text_box
from chaincase.drawing.svg import figure_anchors, write_svg

SVG = "{http://www.w3.org/2000/svg}"


def overlapping(scene: Scene) -> list[tuple[Box, Box]]:
    """Pairs of labels that have area in common."""
    return [(one, other) for one, other in combinations(label_boxes(scene), 2) if one.overlaps(other)]


def outside(scene: Scene) -> list[object]:
    """Elements that stick out of the sheet."""
    left, low, right, high = scene.bounds
    slack = 1e-9 * max(right - left, high - low)
    found: list[object] = []
    for element in scene.elements:
        if isinstance(element, DimensionLine):
            box = around(reach(element))
        elif isinstance(element, Text):
            box = text_box(element)
        else:
            box = around(shape_points(element))
        if box.left < left - slack or box.low < low - slack or box.right > right + slack or box.high > high + slack:
            found.append(element)
    return found


def checked_svg(scene: Scene) -> ET.Element:
    """Write the scene, parse it again, and hold the file against the scene."""
    written = write_svg(scene)
    root = ET.fromstring(written)  # noqa: S314 - our own file
    assert root.tag == f"{SVG}svg"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert root[0].text == scene.title
    left, top, wide, high = (float(side) for side in root.attrib["viewBox"].split())
    assert (left, top) == (0.0, 0.0)
    assert wide > 0.0
    assert high > 0.0
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert all(dimension.letter in texts for dimension in scene.dimensions), "text is text"
    groups = [group.attrib["data-dimension"] for group in root.iter(f"{SVG}g") if "data-dimension" in group.attrib]
    assert groups == [dimension.name for dimension in scene.dimensions]
    assert not re.search(r"href|url\(|<script|<style|<foreignObject|nan|inf\b", written)
    for x, y, w, h in figure_anchors(scene).values():
        assert 0.0 <= x <= x + w <= wide * (1 + 1e-3)
        assert 0.0 <= y <= y + h <= high * (1 + 1e-3)
    return root
