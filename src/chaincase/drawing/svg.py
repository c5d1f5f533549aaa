"""A scene as SVG 1.1: text stays text, nothing is fetched from elsewhere, y turned downward.

One SVG unit is one millimeter of the real part; `width` and `height` give the natural size on paper.
"""

import re
from collections.abc import Iterable
from html import escape
from itertools import groupby

from chaincase.drawing.dimensioning import strokes
from chaincase.drawing.scene import (
    Anchor,
    Arc,
    Circle,
    DimensionLine,
    Element,
    Line,
    Path,
    Point,
    Scene,
    Shape,
    Stroke,
    Text,
)

INK, ACCENT, PAPER = "#1a1d21", "#1d4e7a", "#ffffff"
"""Color of the part, of dimensions, and of the sheet."""
FONT = "Inter, sans-serif"
WEIGHT = {Stroke.VISIBLE: 0.5, Stroke.THIN: 0.25, Stroke.HIDDEN: 0.25, Stroke.CENTER: 0.18}
"""Line weights [paper mm], the two of ISO 128-2 in the ratio 2 : 1; axes a little lighter."""
DASHES = {Stroke.HIDDEN: (2.0, 1.0), Stroke.CENTER: (6.0, 1.0, 0.7, 1.0)}
"""Dash and gap [paper mm]."""
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(text: str) -> str:
    """Give a text as XML may hold it: markup escaped, characters that XML forbids replaced.

    >>> clean('<b> & "x"')
    '&lt;b&gt; &amp; &quot;x&quot;'
    """
    return escape(_NOT_XML.sub("\ufffd", text))


def write_svg(scene: Scene) -> str:
    """Give the scene as the text of an SVG file.

    >>> from chaincase.drawing.figure import figure
    >>> write_svg(figure("detachable", {"pitch": 22.96}, title="steel 25")).splitlines()[1]
    '<title>steel 25</title>'
    """
    pen = _Pen(scene)
    wide, high = scene.bounds.right - scene.bounds.left, scene.bounds.high - scene.bounds.low
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {pen.number(wide)} {pen.number(high)}"'
        f' width="{wide / scene.unit:.4g}mm" height="{high / scene.unit:.4g}mm" role="img">'
    )
    lines = [head, f"<title>{clean(scene.title)}</title>", f"<desc>{clean(scene.description)}</desc>"]
    lines.append(
        f'<g fill="none" stroke="{INK}" stroke-linecap="round" stroke-linejoin="round"'
        f' font-family="{FONT}" text-anchor="middle">'
    )
    lines += pen.elements(scene.elements)
    return "\n".join([*lines, "</g>", "</svg>", ""])


def figure_anchors(scene: Scene) -> dict[str, tuple[float, float, float, float]]:
    """Give where the label of each dimension stands: left, top, width, height in units of the SVG's viewBox.

    >>> from chaincase.drawing.figure import figure
    >>> scene = figure("detachable", {"pitch": 22.96}, title="steel 25")
    >>> {name: [round(side, 1) for side in place] for name, place in figure_anchors(scene).items()}["pitch"][0] > 0
    True
    """
    left, top = scene.bounds.left, scene.bounds.high
    return {
        d.name: (d.label.left - left, top - d.label.high, d.label.right - d.label.left, d.label.high - d.label.low)
        for d in scene.dimensions
    }


class _Pen:
    """Writes elements of one scene: knows where its sheet begins and how fine its figures must be."""

    def __init__(self, scene: Scene) -> None:
        self.unit = scene.unit
        self.left, self.top = scene.bounds.left, scene.bounds.high
        # A hundredth of a paper millimeter is finer than any line, and keeps the file short.
        self.step = 10.0 ** round(-3 + _magnitude(scene.unit))
        self.decimals = max(0, -_magnitude(self.step))

    def number(self, value: float) -> str:
        text = f"{round(value / self.step) * self.step:.{self.decimals}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        return "0" if text == "-0" else text

    def at(self, point: Point) -> str:
        return f"{self.number(point.x - self.left)} {self.number(self.top - point.y)}"

    def elements(self, elements: Iterable[Element]) -> list[str]:
        lines: list[str] = []
        for group, members in groupby(elements, key=_group):
            if group is None:
                for member in members:
                    lines += self.dimension(member) if isinstance(member, DimensionLine) else []
            elif group == "text":
                texts = [self.text(m, INK) for m in members if isinstance(m, Text)]
                lines += [f'<g class="text" fill="{INK}" stroke="none">', *texts, "</g>"]
            else:
                shapes = [self.shape(m) for m in members if isinstance(m, Line | Path | Circle)]
                lines += [f"<g{self.style(Stroke(group))}>", *shapes, "</g>"]
        return lines

    def style(self, stroke: Stroke) -> str:
        if stroke is Stroke.ERASED:
            return ' class="erased" stroke="none"'
        style = f' class="{stroke.value}" stroke-width="{self.number(WEIGHT[stroke] * self.unit)}"'
        if stroke in DASHES:
            dashes = " ".join(self.number(dash * self.unit) for dash in DASHES[stroke])
            style += f' stroke-dasharray="{dashes}" stroke-linecap="butt"'
        return style

    def shape(self, shape: Shape) -> str:
        part = f' data-part="{clean(shape.part)}"' if shape.part else ""
        if isinstance(shape, Line):
            return f'<path{part} d="M{self.at(shape.start)}L{self.at(shape.end)}"/>'
        fill = f' fill="{INK}"' if shape.solid else f' fill="{PAPER}"' if shape.filled else ""
        if isinstance(shape, Circle):
            x, y = self.at(shape.center).split()
            return f'<circle{part}{fill} cx="{x}" cy="{y}" r="{self.number(shape.radius)}"/>'
        pieces = "".join(self.arc(p) if isinstance(p, Arc) else f"L{self.at(p.end)}" for p in shape.pieces)
        end = "Z" if shape.closed else ""
        return f'<path{part}{fill} d="M{self.at(shape.start)}{pieces}{end}"/>'

    def arc(self, arc: Arc) -> str:
        r = self.number(arc.radius)
        return f"A{r} {r} 0 {int(arc.large)} {int(arc.clockwise)} {self.at(arc.end)}"

    def text(self, text: Text, color: str) -> str:
        # Half of a capital's height puts its middle on the point; `dominant-baseline` is not drawn alike everywhere.
        x, y = self.at(Point(text.at.x, text.at.y - 0.36 * text.height)).split()
        anchor = "" if text.anchor is Anchor.MIDDLE else f' text-anchor="{text.anchor.value}"'
        weight = ' font-weight="600"' if text.bold else ""
        size = self.number(text.height)
        body = clean(text.text)
        return f'<text x="{x}" y="{y}" font-size="{size}"{anchor}{weight} fill="{color}">{body}</text>'

    def dimension(self, dimension: DimensionLine) -> list[str]:
        drawn = strokes(dimension)
        known = "assumed" if dimension.assumed else "known"
        asked = " asked" if dimension.asked else ""
        lines = [f'<g class="dimension {known}{asked}" data-dimension="{clean(dimension.name)}" stroke="{ACCENT}">']
        lines += self.strokes(drawn.lines)
        heads = "".join(f"M{self.at(a)}L{self.at(b)}L{self.at(c)}Z" for a, b, c in drawn.arrows)
        lines.append(f'<path fill="{ACCENT}" stroke="none" d="{heads}"/>')
        lines += [self.label_room(dimension), *self.strokes(drawn.label_lines), '<g stroke="none">']
        return [*lines, *(self.text(text, ACCENT) for text in drawn.texts), "</g>", "</g>"]

    def strokes(self, lines: Iterable[Line]) -> list[str]:
        paths = []
        for stroke, members in groupby(lines, key=lambda line: line.stroke):
            shapes = "".join(f"M{self.at(line.start)}L{self.at(line.end)}" for line in members)
            paths.append(f'<path{self.style(stroke)} d="{shapes}"/>')
        return paths

    def label_room(self, dimension: DimensionLine) -> str:
        """Give the paper under a label; it also is what a finger or pointer hits."""
        box = dimension.label
        x, y = self.at(Point(box.left, box.high)).split()
        wide, high = self.number(box.right - box.left), self.number(box.high - box.low)
        return f'<rect class="label" x="{x}" y="{y}" width="{wide}" height="{high}" fill="{PAPER}" stroke="none"/>'


def _magnitude(value: float) -> int:
    """Give the power of ten of a number, as in its scientific notation."""
    return int(f"{value:e}".split("e")[1])


def _group(element: Element) -> str | None:
    """Give what may stand in one group of the file: shapes of one stroke, texts; dimensions stand alone."""
    if isinstance(element, DimensionLine):
        return None
    return "text" if isinstance(element, Text) else element.stroke.value
