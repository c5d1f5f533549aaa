"""A scene as DXF (R2010): model space at 1:1 in millimeters, one layer per line type, real dimensions.

What a picture hides by painting paper over it is left out here. Each DIMENSION measures the part itself: what it
says is computed from its two points by the program that opens the file.
"""

import io
import math
import re
from typing import Final

import ezdxf
from ezdxf.document import Drawing
from ezdxf.entities import Dimension
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new as new_drawing
from ezdxf.layouts.layout import Modelspace

from chaincase.drawing.dimensioning import ARROW, GAP, OVERSHOOT, TAIL, VALUE, strokes
from chaincase.drawing.scene import Anchor, Circle, DimensionLine, Path, Point, Scene, Stroke, Text
from chaincase.drawing.svg import DASHES, WEIGHT
from chaincase.drawing.visible import Curve, Segment, visible

DIMENSIONS, TEXTS, HATCHING, ATTACHMENTS = "DIMENSIONS", "TEXTS", "HATCHING", "ATTACHMENTS"
_LAYER: Final = {
    Stroke.VISIBLE: "OUTLINES",
    Stroke.THIN: "THIN",
    Stroke.HIDDEN: "HIDDEN",
    Stroke.CENTER: "CENTERS",
}
_COLOR: Final = {Stroke.VISIBLE: 7, Stroke.THIN: 8, Stroke.HIDDEN: 8, Stroke.CENTER: 8}
_CAPITAL: Final = 0.72
"""Height of a capital over the font size; DXF gives the height of a capital."""
_STYLE: Final = "FIGURE"
_MEASURED: Final = re.compile(r"\d[\d.,]*(?P<unit> mm)?(?P<rest> [\[(].*)?")
_ALIGNED: Final = {
    Anchor.START: TextEntityAlignment.MIDDLE_LEFT,
    Anchor.MIDDLE: TextEntityAlignment.MIDDLE_CENTER,
    Anchor.END: TextEntityAlignment.MIDDLE_RIGHT,
}


def write_dxf(scene: Scene, *, measured: bool = True) -> bytes:
    """Give a scene as the bytes of a DXF file; the same scene gives the same bytes.

    Parameters
    ----------
    scene : Scene
        A figure of a chain or of an attachment.
    measured : bool
        False for a diagram whose lengths on paper mean nothing: its dimensions are drawn as lines and texts.

    >>> from chaincase.drawing.figure import figure
    >>> write_dxf(figure("detachable", {"pitch": 22.96}, title="steel 25"))[:12].split()
    [b'0', b'SECTION']
    """
    # Dates and random numbers of the file would make two files of one scene differ.
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]
    doc = _document(scene)
    space = doc.modelspace()
    for piece in visible(scene):
        _draw(space, piece)
    for element in scene.elements:
        if isinstance(element, Text):
            _write(space, element)
        elif isinstance(element, DimensionLine):
            _dimension(space, element) if measured else _as_strokes(space, element)
        elif isinstance(element, Path | Circle) and element.solid:
            _fill(space, element)
    stream = io.StringIO()
    doc.write(stream)
    return doc.encode(stream.getvalue())


def _document(scene: Scene) -> Drawing:
    doc = new_drawing("R2010", units=4)
    doc.header["$LTSCALE"] = scene.unit
    doc.header["$LWDISPLAY"] = 1
    doc.header["$MEASUREMENT"] = 1
    doc.header["$EXTMIN"] = (scene.bounds.left, scene.bounds.low, 0.0)
    doc.header["$EXTMAX"] = (scene.bounds.right, scene.bounds.high, 0.0)
    if scene.title:
        doc.header.custom_vars.append("Title", _one_line(scene.title))
    doc.styles.add(_STYLE, font="isocpeur.ttf")
    for stroke, dashes in DASHES.items():
        pattern = [length if i % 2 == 0 else -length for i, length in enumerate(dashes)]
        doc.linetypes.add(_LAYER[stroke], [sum(dashes), *pattern], description=stroke.value)
    _layers(doc)
    _dimension_style(doc, scene.unit)
    center = ((scene.bounds.left + scene.bounds.right) / 2, (scene.bounds.low + scene.bounds.high) / 2)
    doc.set_modelspace_vport(1.05 * (scene.bounds.high - scene.bounds.low), center)
    return doc


def _layers(doc: Drawing) -> None:
    for stroke, name in _LAYER.items():
        linetype = name if stroke in DASHES else "Continuous"
        doc.layers.add(name, color=_COLOR[stroke], linetype=linetype, lineweight=_lineweight(WEIGHT[stroke]))
    for name, color in ((DIMENSIONS, 5), (TEXTS, 7), (HATCHING, 8), (ATTACHMENTS, 7)):
        weight = WEIGHT[Stroke.VISIBLE if name == ATTACHMENTS else Stroke.THIN]
        doc.layers.add(name, color=color, lineweight=_lineweight(weight))


def _lineweight(weight: float) -> int:
    """Give a line weight as DXF counts it: one of its steps, in hundredths of a millimeter."""
    return min((13, 18, 25, 35, 50, 70), key=lambda step: abs(step - 100 * weight))


def _dimension_style(doc: Drawing, unit: float) -> None:
    """Set sizes in millimeters of the part; every scale factor stays 1, so that what is measured is what is written."""
    style = doc.dimstyles.add(_STYLE)
    style.dxf.dimtxsty = _STYLE
    for name, value in {
        "dimtxt": _CAPITAL * VALUE * unit,
        "dimasz": ARROW * unit,
        "dimexo": GAP * unit,
        "dimexe": OVERSHOOT * unit,
        "dimgap": 0.4 * unit,
        "dimscale": 1.0,
        "dimlfac": 1.0,
        "dimtad": 0,
        "dimtih": 1,
        "dimtoh": 1,
        "dimdec": 2,
        "dimzin": 8,
        "dimdsep": ord("."),
        "dimclrd": 5,
        "dimclre": 5,
        "dimclrt": 5,
    }.items():
        style.dxf.set(name, value)


def _draw(space: Modelspace, piece: Segment | Curve) -> None:
    layer = _LAYER[piece.stroke]
    if piece.part == "hatch":
        layer = HATCHING
    elif piece.part == "attachment" and piece.stroke in {Stroke.VISIBLE, Stroke.THIN}:
        layer = ATTACHMENTS
    attributes = {"layer": layer}
    if isinstance(piece, Segment):
        space.add_line(piece.start, piece.end, dxfattribs=attributes)
    elif piece.last - piece.first >= math.tau * (1 - 1e-9):
        space.add_circle(piece.center, piece.radius, dxfattribs=attributes)
    else:
        first, last = math.degrees(piece.first), math.degrees(piece.last)
        space.add_arc(piece.center, piece.radius, first, last, dxfattribs=attributes)


def _write(space: Modelspace, text: Text) -> None:
    entity = space.add_text(
        _one_line(text.text), height=_CAPITAL * text.height, dxfattribs={"layer": TEXTS, "style": _STYLE}
    )
    entity.set_placement(text.at, align=_ALIGNED[text.anchor])


def _fill(space: Modelspace, shape: Path | Circle) -> None:
    hatching = space.add_hatch(color=256, dxfattribs={"layer": HATCHING})
    if isinstance(shape, Circle):
        hatching.paths.add_edge_path().add_arc(shape.center, shape.radius, 0.0, 360.0)
    else:
        hatching.paths.add_polyline_path([shape.start, *(piece.end for piece in shape.pieces)], is_closed=True)


def _dimension(space: Modelspace, line: DimensionLine) -> None:
    """Add a DIMENSION that measures the part between its two points."""
    middle = Point((line.label.left + line.label.right) / 2, (line.label.low + line.label.high) / 2)
    base = Point(line.at, line.start.y) if line.upright else Point(line.start.x, line.at)
    made = space.add_linear_dim(
        base=base,
        p1=line.start,
        p2=line.end,
        location=middle,
        angle=90.0 if line.upright else 0.0,
        text=_dimension_text(line),
        dimstyle=_STYLE,
        dxfattribs={"layer": DIMENSIONS},
    )
    made.render()
    if line.upright and line.broken:
        _break(made.dimension, line)
    elif line.upright:
        # The way to a label that stands beyond the line.
        start = Point(line.at, line.end.y + (TAIL * line.unit if line.outside else 0.0))
        space.add_line(start, Point(line.at, line.label.low), dxfattribs={"layer": DIMENSIONS})


def _break(dimension: Dimension, line: DimensionLine) -> None:
    """Break the drawn dimension line for its whole label; the library breaks it for a text of one line."""
    block = dimension.get_geometry_block()
    if block is None:
        return
    near = 1e-6 * line.unit
    for drawn in list(block.query("LINE")):
        (x0, y0, _), (x1, y1, _) = drawn.dxf.start, drawn.dxf.end
        low, high = min(y0, y1), max(y0, y1)
        if max(abs(x0 - line.at), abs(x1 - line.at)) > near or low >= line.label.high or high <= line.label.low:
            continue
        attributes = {"layer": drawn.dxf.layer, "color": drawn.dxf.color, "lineweight": drawn.dxf.lineweight}
        for a, b in ((low, min(high, line.label.low)), (max(low, line.label.high), high)):
            if b - a > near:
                block.add_line((line.at, a), (line.at, b), dxfattribs=attributes)
        block.delete_entity(drawn)


def _dimension_text(line: DimensionLine) -> str:
    """Give the text of a dimension, `<>` where the opening program writes what it measures.

    Inches in brackets behind the millimeters, or alone, stand as they were given; a size that is not known has its
    letter alone.
    Beside an upright line the value stands below its letter, as in the picture.
    """
    metric = _MEASURED.fullmatch(line.value)
    value = _escaped(line.value) if metric is None else f"<>{metric['unit'] or ''}{_escaped_rest(metric['rest'], line)}"
    seam = "\\P" if line.upright else " "
    text = f"{_escaped(line.letter)}{seam}{value}" if line.value else _escaped(line.letter)
    return f"{text}\\P{_escaped(line.found)}" if line.found else text


def _escaped_rest(rest: str | None, line: DimensionLine) -> str:
    """Give what stands behind the millimeters: on a line of its own beside an upright line."""
    if not rest:
        return ""
    return f"\\P{_escaped(rest)}" if line.upright else f" {_escaped(rest)}"


def _as_strokes(space: Modelspace, line: DimensionLine) -> None:
    drawn = strokes(line)
    for stroke in (*drawn.lines, *drawn.label_lines):
        space.add_line(stroke.start, stroke.end, dxfattribs={"layer": DIMENSIONS})
    for tip, one, other in drawn.arrows:
        space.add_solid([tip, one, other], dxfattribs={"layer": DIMENSIONS})
    for text in drawn.texts:
        _write(space, text)


def _one_line(text: str) -> str:
    r"""Give a text as a DXF string may hold it: one line, nothing that cannot be printed.

    >>> _one_line("a\nb\x00")
    'a b�'
    """
    joined = " ".join(text.split())
    return "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in joined)


def _escaped(text: str) -> str:
    """Give a text whose characters mean nothing to a formatted DXF text."""
    marked = "".join(f"\\{c}" if c in "\\{}" else c for c in " ".join(text.split()))
    return _one_line(marked)
