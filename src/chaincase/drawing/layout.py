"""From two views to one sheet: the scale, the places of the views, scale bar and note."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from chaincase.drawing.dimensioning import (
    LETTER,
    ROW,
    VALUE,
    Label,
    Sheet,
    columns_width,
    place_columns,
    place_rows,
    reach,
)
from chaincase.drawing.hatching import hatch
from chaincase.drawing.scene import (
    Anchor,
    Box,
    DimensionLine,
    Element,
    Line,
    Point,
    Scene,
    Shape,
    Stroke,
    Text,
    around,
    moved,
    shape_points,
    shifted,
    text_box,
)
from chaincase.drawing.view import Side, View, Views

WIDTH, HEIGHT = 176.0, 112.0
"""Natural size of a figure [paper mm]; long value texts make it wider."""
LEAST_WIDTH, LEAST_HEIGHT = 60.0, 36.0
"""The views get at least this much of it [paper mm]."""
VIEW_GAP, NOTE, MARGIN, OVER = 5.0, 2.8, 1.5, 2.2
"""Room between the views, height of notes, edge of the sheet, axes past the part [paper mm]."""
HATCH = 1.1
"""Between two lines of a hatching [paper mm]."""
THIN_NOTE = "Thin or dashed: size assumed for the drawing, not to scale."
BLANK_NOTE = "Shows where to measure; not to scale."


def note_of(*, assumed: bool, plain: bool) -> str:
    """Give the note below a figure: nothing where every size is known."""
    if not assumed:
        return ""
    return BLANK_NOTE if plain else THIN_NOTE


def sheet_of(views: Views, labels: Mapping[str, Label]) -> Sheet:
    """Give the layout that draws the part largest: one row for moved labels, or two where width is short."""
    return min((_fitted(views, labels, rows) for rows in (1, 2)), key=lambda sheet: sheet.unit)


def _fitted(views: Views, labels: Mapping[str, Label], rows: int) -> Sheet:
    """Give the scale that lets everything fit.

    What room the labels take depends on the scale: where a line is long enough its label stands in it. So the
    scale is found in a few steps; when they go to and fro, the sheet comes out a little wider or narrower.
    """
    both, boxes = (views.plan, views.side), (views.plan.bounds, views.side.bounds)
    wide = max(box.right for box in boxes) - min(box.left for box in boxes)
    tall = sum(box.high - box.low for box in boxes)
    beside = 2 * (ROW + rows * (LETTER + VALUE)) + VIEW_GAP + 4 * LETTER
    least = tall / max(LEAST_HEIGHT, HEIGHT - beside)
    sheet = Sheet(least, rows)
    for _ in range(4):
        taken = sum(max(columns_width(v, s, labels, sheet) for v in both) for s in (Side.LEFT, Side.RIGHT))
        sheet = Sheet(max(least, wide / max(LEAST_WIDTH, WIDTH - taken)), rows)
    return sheet


def lay_out(views: Views, labels: Mapping[str, Label], *, scaled: bool, note: str) -> Scene:
    """Lay the views out on one sheet, plan above side, pins in line; the side view keeps its coordinates.

    `scaled` draws a scale bar, `note` is written below it.
    """
    sheet = sheet_of(views, labels)
    unit = sheet.unit
    side, side_dimensions = _dimensioned(views.side, labels, sheet)
    plan, plan_dimensions = _dimensioned(views.plan, labels, sheet)
    up = _reach([*side, *side_dimensions]).high + VIEW_GAP * unit - _reach([*plan, *plan_dimensions]).low
    elements: list[Element] = [*(moved(shape, 0.0, up) for shape in plan), *side]
    elements += [*(_lifted(d, up) for d in plan_dimensions), *side_dimensions]
    box = _reach(elements)
    elements += _legend(box, unit, scaled=scaled, note=note)
    box, margin = _reach(elements), MARGIN * unit
    bounds = Box(box.left - margin, box.low - margin, box.right + margin, box.high + margin)
    return Scene("", "", tuple(elements), bounds, unit, ())


def _dimensioned(
    view: View, labels: Mapping[str, Label], sheet: Sheet
) -> tuple[tuple[Shape, ...], list[DimensionLine]]:
    """Give the shapes of a view, axes last, and its dimension lines, still in its own coordinates."""
    hatching = (line for cut in view.cuts for line in hatch(cut.corners, HATCH * sheet.unit, cut.degrees))
    shapes = (*view.shapes, *hatching, *view.over, *(_longer(line, OVER * sheet.unit) for line in view.axes))
    placed = [d for side in (Side.LEFT, Side.RIGHT) for d in place_columns(view, side, labels, sheet)]
    return shapes, placed + place_rows(view, labels, _reach([*shapes, *placed]).low, sheet.unit)


def _longer(line: Line, by: float) -> Line:
    """Give an axis a little longer at both ends."""
    dx, dy = line.end.x - line.start.x, line.end.y - line.start.y
    length = math.hypot(dx, dy)
    if length == 0.0:
        return line
    ex, ey = by * dx / length, by * dy / length
    return replace(line, start=shifted(line.start, -ex, -ey), end=shifted(line.end, ex, ey))


def _reach(elements: Iterable[Element]) -> Box:
    """Give the box around everything that is drawn."""
    points: list[Point] = []
    for element in elements:
        if isinstance(element, DimensionLine):
            points += reach(element)
        elif isinstance(element, Text):
            box = text_box(element)
            points += [Point(box.left, box.low), Point(box.right, box.high)]
        else:
            points += shape_points(element)
    return around(points)


def _lifted(dimension: DimensionLine, up: float) -> DimensionLine:
    """Give a dimension line that far up [mm]."""
    box = dimension.label
    return replace(
        dimension,
        start=shifted(dimension.start, 0.0, up),
        end=shifted(dimension.end, 0.0, up),
        at=dimension.at if dimension.upright else dimension.at + up,
        label=Box(box.left, box.low + up, box.right, box.high + up),
    )


def _legend(box: Box, unit: float, *, scaled: bool, note: str) -> list[Element]:
    """Give the scale bar, if the pitch is true, and the note on what is not."""
    left, low = box.left, box.low - 2.0 * unit
    legend: list[Element] = []
    if scaled:
        legend += _scale_bar(left, low - NOTE / 2 * unit, unit)
        low -= 1.5 * NOTE * unit
    if note:
        at = Point(left, low - NOTE / 2 * unit)
        legend.append(Text(at, note, 0.85 * NOTE * unit, Anchor.START, part="note"))
    return legend


def round_length(most: float) -> float:
    """Give the largest of 1, 2, 5, 10, 20, 50 ... that is not above `most` [mm].

    >>> round_length(37.0), round_length(0.7)
    (20.0, 0.5)
    """
    ten = 10.0 ** math.floor(math.log10(most))
    return max(step * ten for step in (1.0, 2.0, 5.0) if step * ten <= most * (1 + 1e-9))


def _scale_bar(left: float, y: float, unit: float) -> list[Element]:
    length = round_length(30.0 * unit)
    tick = 1.0 * unit
    ends = (left, left + length)
    ticks = [Line(Point(x, y - tick), Point(x, y + tick), Stroke.THIN, "scale bar") for x in ends]
    bar = Line(Point(ends[0], y), Point(ends[1], y), Stroke.THIN, "scale bar")
    text = Text(Point(ends[1] + 1.5 * unit, y), f"{length:g} mm", NOTE * unit, Anchor.START, part="scale bar")
    return [bar, *ticks, text]
