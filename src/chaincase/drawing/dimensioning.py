"""Where dimension lines and their labels stand, and the strokes that one is made of (habits of ISO 129-1).

Heights stand in columns left and right of their view, the smallest nearest. A label stands in a break of its
line; where the line is too short for that, it moves into a row beyond the view, clear of every extension line.
Wide labels take turns between two such rows where that leaves more room for the part. Columns stand so far
apart that no label meets another one, nor a line beside it. Lengths along the travel stand in rows below.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache

from chaincase.drawing.scene import Anchor, Box, DimensionLine, Line, Point, Stroke, Text, text_width
from chaincase.drawing.view import Side, View, Wanted

LETTER, VALUE = 4.2, 3.0
"""Height of key letter and value [paper mm]."""
ARROW, ARROW_HALF = 2.6, 0.5
"""Length and half width of an arrowhead [paper mm]."""
FIRST, BETWEEN = 4.5, 2.0
"""Room before the first column, and between columns [paper mm]."""
CLEAR, TIGHT, WIDE_LABEL = 1.2, 3.4, 8.0
"""Room between a label and a line beside it, least room between lines, width from which labels are staggered."""
GAP, OVERSHOOT, TAIL = 0.9, 1.3, 4.4
"""Start of an extension line off the part, its end past the dimension line, length of an outside arrow."""
ROW = TAIL + 1.2
"""Distance of the row of moved labels from the view [paper mm]."""
PADDING, FRAMED, LEADING = 0.5, 1.0, 1.15
"""Room around the texts of a label, the same inside a frame, and the distance of its lines over their height."""


def stacked_lines(text: str) -> list[str]:
    """Give the lines of a value below its letter: a second size in brackets stands on a line of its own.

    >>> stacked_lines("12.7 [1/2 in]"), stacked_lines("12.7"), stacked_lines("")
    (['12.7', '[1/2 in]'], ['12.7'], [])
    """
    head, bracket, tail = text.partition(" [")
    return [line for line in (head, f"[{tail}" if bracket else "") if line]


@dataclass(frozen=True, slots=True)
class Label:
    """What is written at a dimension.

    Attributes
    ----------
    letter, value : str
        Key letter, and the size as text; the value may be empty.
    assumed : bool
        Whether the size is only assumed.
    found : str
        A reading, written under the value below a rule; may be empty.
    asked : bool
        Whether the dimension is asked for, which a frame around its label shows.
    """

    letter: str
    value: str
    assumed: bool
    found: str = ""
    asked: bool = False

    @property
    def pad(self) -> float:
        """Room around the texts, a frame needs more [paper mm]."""
        return FRAMED if self.asked else PADDING

    @property
    def stacked(self) -> tuple[float, float]:
        """Width and height with the values below the letter [paper mm]."""
        return _stacked(self)

    @property
    def inline(self) -> tuple[float, float]:
        """Width and height with the values beside the letter [paper mm]."""
        rows = [row for row in (self.value, self.found) if row]
        value = 1.0 + max(text_width(row, VALUE) for row in rows) if rows else 0.0
        high = max(LETTER, LEADING * VALUE * len(rows))
        return text_width(self.letter, LETTER) + value + 2 * self.pad, high + 2 * self.pad


@lru_cache(maxsize=1024)
def _stacked(label: Label) -> tuple[float, float]:
    # Asked for at every step of the search for a scale.
    rows = [*stacked_lines(label.value), *stacked_lines(label.found)]
    width = max([text_width(label.letter, LETTER), *(text_width(row, VALUE) for row in rows)])
    return width + 2 * label.pad, LETTER + LEADING * VALUE * len(rows) + 2 * label.pad


@dataclass(frozen=True, slots=True)
class Sheet:
    """How a figure is laid out: millimeters of the part per millimeter of paper, rows for moved labels (1 or 2)."""

    unit: float
    rows: int


class _Level(IntEnum):
    """Where the label of a column stands: in its own line, or in one of two rows beyond the view."""

    IN_LINE = 0
    LOWER = 1
    UPPER = 2


@dataclass(frozen=True, slots=True)
class _Column:
    """One upright dimension in its column; `out` is how far the column is from the view [paper mm]."""

    wanted: Wanted
    label: Label
    level: _Level
    out: float

    @property
    def half(self) -> float:
        return self.label.stacked[0] / 2


def _room(wanted: Wanted, unit: float) -> float:
    """Give how much of a dimension line its two arrows leave free [paper mm]."""
    return wanted.size / unit - 2 * (ARROW + 0.8)


def _levels(wanted: Sequence[Wanted], labels: Mapping[str, Label], sheet: Sheet) -> list[_Level]:
    """Give each column its level; wide labels that must move take turns between the rows, if there are two."""
    stagger = sheet.rows == 2 and any(labels[w.name].stacked[0] > WIDE_LABEL for w in wanted)
    levels: list[_Level] = []
    for w in wanted:
        if _room(w, sheet.unit) >= labels[w.name].stacked[1]:
            levels.append(_Level.IN_LINE)
        else:
            before = next((level for level in reversed(levels) if level), _Level.UPPER)
            levels.append(_Level.LOWER if before is _Level.UPPER or not stagger else _Level.UPPER)
    return levels


def _apart(one: _Column, label: Label, level: _Level) -> float:
    """Give how far a label's column must stand from an earlier one: labels of a level, and lines that pass by."""
    half = label.stacked[0] / 2
    least = TIGHT
    if level is one.level:
        least = max(least, one.half + half + BETWEEN)
    # A line passes every label that stands in a line or in a row below its own label.
    if level < one.level or level is _Level.IN_LINE:
        least = max(least, half + CLEAR)
    if one.level < level or one.level is _Level.IN_LINE:
        least = max(least, one.half + CLEAR)
    return least


def _columns(view: View, side: Side, labels: Mapping[str, Label], sheet: Sheet) -> list[_Column]:
    """Give the columns of one side of a view, nearest first: smaller dimensions nearer, as they nest."""
    here = [w for w in view.wanted if w.side is side and w.name in labels]
    here.sort(key=lambda w: (round(max(abs(w.low.y), abs(w.high.y)), 9), w.size))
    columns: list[_Column] = []
    for wanted, level in zip(here, _levels(here, labels, sheet), strict=True):
        label = labels[wanted.name]
        out = FIRST + label.stacked[0] / 2
        out = max([out, *(one.out + _apart(one, label, level) for one in columns)])
        columns.append(_Column(wanted, label, level, out))
    return columns


def columns_width(view: View, side: Side, labels: Mapping[str, Label], sheet: Sheet) -> float:
    """Give the room that the columns of one side of a view take at a scale [paper mm]."""
    return max((column.out + column.half for column in _columns(view, side, labels, sheet)), default=0.0) + BETWEEN


def place_columns(view: View, side: Side, labels: Mapping[str, Label], sheet: Sheet) -> list[DimensionLine]:
    """Place the heights of one side of a view, in the view's own coordinates."""
    columns, unit = _columns(view, side, labels, sheet), sheet.unit
    box = view.bounds
    sign, edge = (-1, box.left) if side is Side.LEFT else (1, box.right)
    tall = max((column.label.stacked[1] for column in columns), default=0.0)
    # Moved labels hang from the top of their row, so that their letters stand in line, with values or without.
    top = max([box.high, *(c.wanted.high.y for c in columns)]) + (ROW + tall) * unit
    tops = (top, top, top + (tall + 0.6) * unit)
    # Farthest first: an extension line that crosses a nearer column then lies under that column's label.
    return [_upright(c, edge + sign * c.out * unit, tops[c.level], unit) for c in reversed(columns)]


def _upright(column: _Column, at: float, top: float, unit: float) -> DimensionLine:
    wanted, label = column.wanted, column.label
    width, height = (side * unit for side in label.stacked)
    broken = column.level is _Level.IN_LINE
    low = (wanted.low.y + wanted.high.y - height) / 2 if broken else top - height
    return DimensionLine(
        name=wanted.name,
        letter=label.letter,
        value=label.value,
        start=wanted.low,
        end=wanted.high,
        upright=True,
        at=at,
        label=Box(at - width / 2, low, at + width / 2, low + height),
        broken=broken,
        outside=_room(wanted, unit) < 0.5,
        assumed=label.assumed,
        unit=unit,
        found=label.found,
        asked=label.asked,
    )


def place_rows(view: View, labels: Mapping[str, Label], low: float, unit: float) -> list[DimensionLine]:
    """Place the lengths below a view, in rows downward from `low` [mm], in the view's own coordinates."""
    placed: list[DimensionLine] = []
    start = view.bounds.low - 2 * GAP * unit
    for wanted in (w for w in view.wanted if w.side is Side.BELOW and w.name in labels):
        placed.append(_level(wanted, labels[wanted.name], start, low, unit))
        low = placed[-1].label.low
    return placed


def _level(wanted: Wanted, label: Label, start: float, low: float, unit: float) -> DimensionLine:
    """Place one length below `low`; its extension lines begin at `start`, where the axes end."""
    width, height = (side * unit for side in label.inline)
    at = low - (2.0 * unit + height / 2)
    broken = _room(wanted, unit) >= label.inline[0]
    x, y = (wanted.low.x + wanted.high.x) / 2, at if broken else at - height
    return DimensionLine(
        name=wanted.name,
        letter=label.letter,
        value=label.value,
        start=wanted.low if wanted.pointed else Point(wanted.low.x, start),
        end=wanted.high if wanted.pointed else Point(wanted.high.x, start),
        upright=False,
        at=at,
        label=Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2),
        broken=broken,
        outside=_room(wanted, unit) < 0.5,
        assumed=label.assumed,
        unit=unit,
        found=label.found,
        asked=label.asked,
    )


@dataclass(frozen=True, slots=True)
class Strokes:
    """What a dimension line is drawn with.

    Attributes
    ----------
    lines : tuple of Line
        Extension lines and dimension line.
    arrows : tuple of three points each
        Solid arrowheads, tip and two corners.
    texts : tuple of Text
        Letter, value and reading, in the room of the label.
    label_lines : tuple of Line
        What is drawn in that room, above its paper: a frame, a rule between value and reading.
    """

    lines: tuple[Line, ...]
    arrows: tuple[tuple[Point, Point, Point], ...]
    texts: tuple[Text, ...]
    label_lines: tuple[Line, ...] = ()


def strokes(dimension: DimensionLine) -> Strokes:
    """Give the strokes of a dimension line, which any writer can draw."""
    lines = (*_extensions(dimension), *_measure(dimension))
    inside = (*_frame(dimension), *_rule(dimension))
    return Strokes(lines, _arrows(dimension), _texts(dimension), inside)


def reach(dimension: DimensionLine) -> list[Point]:
    """Give points whose bounding box holds everything of a dimension line."""
    ends = [point for line in strokes(dimension).lines for point in (line.start, line.end)]
    box = dimension.label
    return [*ends, Point(box.left, box.low), Point(box.right, box.high)]


def _swap(point: Point) -> Point:
    return Point(point.y, point.x)


def _along(dimension: DimensionLine, value: float) -> Point:
    """Give the point of the dimension line at a height (upright) or a length along the travel."""
    return Point(dimension.at, value) if dimension.upright else Point(value, dimension.at)


def _ends(dimension: DimensionLine) -> tuple[float, float]:
    if dimension.upright:
        return dimension.start.y, dimension.end.y
    return dimension.start.x, dimension.end.x


def _extensions(dimension: DimensionLine) -> list[Line]:
    lines, unit = [], dimension.unit
    for point in (dimension.start, dimension.end):
        away, value = (point.x, point.y) if dimension.upright else (point.y, point.x)
        sign = 1.0 if dimension.at >= away else -1.0
        near, far = away + sign * GAP * unit, dimension.at + sign * OVERSHOOT * unit
        first, last = Point(near, value), Point(far, value)
        if not dimension.upright:
            first, last = _swap(first), _swap(last)
        lines.append(Line(first, last, Stroke.THIN, "dimension"))
    return lines


def _measure(dimension: DimensionLine) -> list[Line]:
    """Give the dimension line itself, with its break, its tails, and the way to a label that was moved."""
    low, high = _ends(dimension)
    stroke, tail = Stroke.HIDDEN if dimension.assumed else Stroke.THIN, TAIL * dimension.unit
    box = dimension.label
    spans = [(low, high)]
    if dimension.broken:
        near, far = (box.low, box.high) if dimension.upright else (box.left, box.right)
        spans = [(low, near), (far, high)]
    elif dimension.outside:
        spans = [(low - tail, low), (low, high), (high, high + tail)]
    if dimension.upright and not dimension.broken:
        spans[-1] = (spans[-1][0], box.low)
    return [Line(_along(dimension, a), _along(dimension, b), stroke, "dimension") for a, b in spans]


def _arrows(dimension: DimensionLine) -> tuple[tuple[Point, Point, Point], ...]:
    low, high = _ends(dimension)
    inward = 1.0 if not dimension.outside else -1.0
    length, half = ARROW * dimension.unit, ARROW_HALF * dimension.unit
    heads = []
    for tip, sign in ((low, inward), (high, -inward)):
        base = tip + sign * length
        corners = [Point(dimension.at + side * half, base) for side in (-1, 1)]
        if not dimension.upright:
            corners = [_swap(corner) for corner in corners]
        heads.append((_along(dimension, tip), corners[0], corners[1]))
    return tuple(heads)


def _texts(dimension: DimensionLine) -> tuple[Text, ...]:
    box, unit = dimension.label, dimension.unit
    letter, pad = LETTER * unit, (FRAMED if dimension.asked else PADDING) * unit
    middle = Point((box.left + box.right) / 2, (box.low + box.high) / 2)
    rows = _rows(dimension)
    if not rows:
        return (Text(middle, dimension.letter, letter, bold=True, part="letter"),)
    if dimension.upright:
        first = Text(Point(middle.x, box.high - pad - letter / 2), dimension.letter, letter, bold=True, part="letter")
        return (first, *_values(rows, unit, middle.x, box.high - pad - letter, Anchor.MIDDLE))
    seam = box.left + pad + text_width(dimension.letter, letter)
    first = Text(Point(seam, middle.y), dimension.letter, letter, Anchor.END, bold=True, part="letter")
    top = middle.y + LEADING * VALUE * unit * len(rows) / 2
    return (first, *_values(rows, unit, seam + unit, top, Anchor.START))


def _rows(dimension: DimensionLine) -> list[tuple[str, str]]:
    """Give the lines of value and reading, each with what it is."""
    both = (("value", dimension.value), ("found", dimension.found))
    if dimension.upright:
        return [(part, line) for part, text in both for line in stacked_lines(text)]
    return [(part, text) for part, text in both if text]


def _values(rows: Sequence[tuple[str, str]], unit: float, x: float, top: float, anchor: Anchor) -> list[Text]:
    """Give lines one below the other from `top` downward."""
    high, step = VALUE * unit, LEADING * VALUE * unit
    return [
        Text(Point(x, top - (i + 0.5) * step), text, high, anchor, part=part) for i, (part, text) in enumerate(rows)
    ]


def _rule(dimension: DimensionLine) -> list[Line]:
    """Give the rule between value and reading."""
    drawn = [text for text in _texts(dimension) if text.part in {"value", "found"}]
    first = next((text for text in drawn if text.part == "found"), None)
    if first is None:
        return []
    wide = max(text_width(text.text, text.height) for text in drawn)
    left = first.at.x - (wide / 2 if first.anchor is Anchor.MIDDLE else 0.0)
    y = first.at.y + LEADING * VALUE * dimension.unit / 2
    return [Line(Point(left, y), Point(left + wide, y), Stroke.THIN, "rule")]


def _frame(dimension: DimensionLine) -> list[Line]:
    """Give the frame around the label of a dimension that is asked for."""
    if not dimension.asked:
        return []
    box = dimension.label
    corners = [
        Point(box.left, box.low),
        Point(box.right, box.low),
        Point(box.right, box.high),
        Point(box.left, box.high),
    ]
    return [Line(a, b, Stroke.VISIBLE, "frame") for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
