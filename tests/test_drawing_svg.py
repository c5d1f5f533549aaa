"""SVG: well-formed, self-contained, text as text, and true to scale. Read by the standard library's parser."""

import re
from xml.etree import ElementTree as ET

import pytest

from chaincase.chains.kinds import KINDS
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg

SVG = "{http://www.w3.org/2000/svg}"
KNOWN_TAGS = {"svg", "title", "desc", "g", "path", "circle", "text", "rect"}


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own text, a moment ago


def parsed(kind: str, title: str = "t", **dimensions: float) -> ET.Element:
    return read(write_svg(figure(kind, dimensions, title=title)))


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_every_kind_is_well_formed_and_fetches_nothing(kind: str) -> None:
    text = write_svg(figure(kind, {"pitch": 50.0}, title=kind))
    root = read(text)
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= KNOWN_TAGS
    assert root.findtext(f"{SVG}title") == kind
    assert "two links" in (root.findtext(f"{SVG}desc") or "")
    assert text.count("http") == 1, "the name space, and no other address"
    assert not re.search(r"href|url\(|nan|inf\b", text)


def test_pins_are_one_pitch_apart_in_the_file() -> None:
    root = parsed("welded steel", pitch=101.6, pin_diameter=19.05)
    pins = [c for c in root.iter(f"{SVG}circle") if c.get("data-part") == "pin"]
    xs = [float(c.get("cx", "nan")) for c in pins]
    assert xs[1] - xs[0] == pytest.approx(101.6, abs=0.01)
    assert float(pins[0].get("r", "nan")) == pytest.approx(19.05 / 2, abs=0.005)


def test_the_natural_size_is_the_sheet_at_its_scale() -> None:
    scene = figure("roller", {"pitch": 12.7}, title="t")
    root = read(write_svg(scene))
    wide = float((root.get("viewBox") or "").split()[2])
    on_paper = float((root.get("width") or "").removesuffix("mm"))
    assert wide / on_paper == pytest.approx(scene.unit, rel=1e-3)
    assert 80 < on_paper < 200


def test_the_whole_sheet_is_in_the_view_box() -> None:
    root = parsed("conveyor flanged", pitch=160.0)
    _, _, wide, high = map(float, (root.get("viewBox") or "").split())
    for circle in root.iter(f"{SVG}circle"):
        x, y, r = (float(circle.get(name, "nan")) for name in ("cx", "cy", "r"))
        assert r < x < wide - r
        assert r < y < high - r


def test_a_dimension_can_be_found_by_its_name() -> None:
    root = parsed("roller", pitch=12.7)
    groups = {g.get("data-dimension"): g for g in root.iter(f"{SVG}g") if g.get("data-dimension")}
    assert [t.text for t in groups["pitch"].iter(f"{SVG}text")] == ["P"]
    assert groups["pitch"].get("class") == "dimension known"
    assert groups["pin_diameter"].get("class") == "dimension assumed"


@pytest.mark.parametrize(
    "hostile",
    [
        '<script>alert("x")</script>',
        "</title><image href='file:///x'/>",
        "a & b",
        "]]>",
        "\x00\x0b\x1f\ud800\ufffe",
        "漢字",
    ],
)
def test_hostile_texts_stay_texts(hostile: str) -> None:
    scene = figure("roller", {"pitch": 12.7}, values={"pitch": hostile}, title=hostile)
    text = write_svg(scene)
    root = read(text)
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= KNOWN_TAGS
    shown = re.sub("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe]", "\ufffd", hostile)
    assert root.findtext(f"{SVG}title") == shown
    text.encode("utf-8")
