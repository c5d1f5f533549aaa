"""Small charts in the hand of the figures: hatched bars, solid marks, thin axes; black on white, text as text.

Each function gives the text of an SVG with title and description, drawn in paper millimeters. The same data
give the same bytes. Nothing is said by color alone.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from chaincase.drawing.chart_marks import (
    SMALL,
    TEXT,
    finite,
    hatched,
    line,
    month_steps,
    round_steps,
    sheet,
    solid,
    text,
)
from chaincase.drawing.hatching import hatch
from chaincase.drawing.scene import Anchor, Circle, Element, Point, Stroke, text_width
from chaincase.errors import BadInput

_ROW, _BAR, _LONG = 6.4, 3.6, 78.0
_WIDE, _TALL = 120.0, 58.0
_CELL, _BAND = 34.0, (0.28, 0.72)


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: what it stands for, its size in the unit of the chart, what is written beside it."""

    label: str
    value: float
    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Span:
    """How far a result moves when one input does: from `low` to `high`, and what is written beside it."""

    label: str
    low: float
    high: float
    text: str


@dataclass(frozen=True, slots=True)
class WearReading:
    """One elongation that was measured: day, percent, its standard uncertainty in percent, what is said of it."""

    on: date
    percent: float
    u: float = 0.0
    label: str = ""


@dataclass(frozen=True, slots=True)
class Forecast:
    """Elongation that is expected on a day: the middle and the two ends of the band, in percent."""

    on: date
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True)
class StripMark:
    """One reading held against a candidate.

    Attributes
    ----------
    letter, label : str
        Key letter and name of the dimension.
    low, high : float
        What the candidate allows [mm].
    found : float or None
        What was measured [mm]; None where it was not.
    u : float
        Standard uncertainty of the reading [mm].
    text : str
        What is written below; may be empty.
    """

    letter: str
    label: str
    low: float
    high: float
    found: float | None
    u: float = 0.0
    text: str = ""

    @property
    def fits(self) -> bool | None:
        """Whether the reading may lie in the range, two standard uncertainties allowed; None without one."""
        if self.found is None:
            return None
        return self.low - 2 * self.u <= self.found <= self.high + 2 * self.u


def bars(
    rows: Sequence[Bar], *, title: str, description: str = "", limit: float | None = None, limit_text: str = ""
) -> str:
    """Draw horizontal bars from zero, as contributions to a sum are shown.

    Parameters
    ----------
    rows : sequence of Bar
        From the top down.
    limit : float, optional
        Where an upright line marks what is allowed, in the unit of the bars.
    limit_text : str
        Written above that line.

    Raises
    ------
    BadInput
        If there is no bar, or a figure is not finite.

    >>> chart = bars([Bar("lift", 800.0, "800 N"), Bar("slide", 400.0, "400 N")], title="Chain pull")
    >>> "<title>Chain pull</title>" in chart, "lift: 800 N; slide: 400 N" in chart
    (True, True)
    """
    values = [finite(row.value, row.label) for row in rows]
    if not rows:
        raise BadInput("no bar to draw", right="give at least one")
    ends = [0.0, *values, *([] if limit is None else [finite(limit, "limit")])]
    scale = _Scale(min(ends), max(ends), 0.0, _LONG)
    elements = list(_rows([(row.label, row.text) for row in rows]))
    for at, row in enumerate(rows):
        y = -at * _ROW
        spacing = 0.7 if row.strong else 1.5
        if scale.of(row.value) != scale.of(0.0):
            span = (scale.of(0.0), scale.of(row.value))
            elements += hatched(span, (y - _BAR / 2, y + _BAR / 2), spacing=spacing, part="bar")
    elements.append(_upright(scale.of(0.0), len(rows), Stroke.VISIBLE, "zero"))
    if limit is not None:
        elements += _marked(scale.of(limit), len(rows), limit_text or "limit", "limit")
    return sheet(title, description or _listing([(row.label, row.text) for row in rows]), elements)


def spans(rows: Sequence[Span], *, base: float, base_text: str, title: str, description: str = "") -> str:
    """Draw how far a result moves with each of its inputs: one bar each about the result itself.

    Parameters
    ----------
    rows : sequence of Span
        From the top down; put the widest first.
    base, base_text : float, str
        The result with every input as given, and how it is written.

    Raises
    ------
    BadInput
        If there is no bar, or a figure is not finite.
    """
    if not rows:
        raise BadInput("no bar to draw", right="give at least one")
    ends = [finite(end, row.label) for row in rows for end in (row.low, row.high)] + [finite(base, "base")]
    scale = _Scale(min(ends), max(ends), 0.0, _LONG)
    elements = list(_rows([(row.label, row.text) for row in rows]))
    for at, row in enumerate(rows):
        y, (low, high) = -at * _ROW, sorted((scale.of(row.low), scale.of(row.high)))
        if high > low:
            elements += hatched((low, high), (y - _BAR / 2, y + _BAR / 2), spacing=1.5, part="bar")
    elements += _marked(scale.of(base), len(rows), base_text, "base")
    said = f"About {base_text}. {_listing([(row.label, row.text) for row in rows])}"
    return sheet(title, description or said, elements)


def wear_plot(
    readings: Sequence[WearReading],
    *,
    title: str,
    limit: float | None = None,
    forecast: Sequence[Forecast] = (),
    description: str = "",
) -> str:
    """Draw elongation over time, the limit, and the band in which it is expected to go on.

    Parameters
    ----------
    readings : sequence of WearReading
        What was measured; the bar through each is two standard uncertainties long either way.
    limit : float, optional
        Elongation at which the chain is to be replaced [percent].
    forecast : sequence of Forecast
        Days in rising order.

    Raises
    ------
    BadInput
        If there is nothing to draw, or a figure is not finite.
    """
    days = [*(r.on for r in readings), *(f.on for f in forecast)]
    if not days:
        raise BadInput("no reading to draw", right="give at least one")
    first, last = min(days), max(days)
    if first == last:
        first, last = first - timedelta(days=30), last + timedelta(days=30)
    ends = [0.0, *(finite(limit, "limit") for _ in range(limit is not None) if limit is not None)]
    for r in readings:
        ends += [finite(r.percent - 2 * r.u, "readings"), finite(r.percent + 2 * r.u, "readings")]
    for f in forecast:
        ends += [finite(f.low, "forecast"), finite(f.middle, "forecast"), finite(f.high, "forecast")]
    low, high = min(ends), max(ends)
    high = high + 0.08 * (high - low) if high > low else low + 1.0
    x = _Scale(first.toordinal(), last.toordinal(), 0.0, _WIDE)
    y = _Scale(low, high, 0.0, _TALL)
    elements = [*_band(forecast, x, y), *_frame(x, y, first, last)]
    if limit is not None:
        elements.append(line((0.0, _WIDE), (y.of(limit),) * 2, Stroke.VISIBLE, "limit"))
        words = f"limit {limit:g} %"
        elements.append(text(_WIDE + 1.5, y.of(limit), words, Anchor.START, part="limit"))
    for r in readings:
        elements += _reading(r, x, y)
    return sheet(title, description or _wear_words(readings, limit, forecast), elements)


def strip(marks: Sequence[StripMark], *, title: str, description: str = "") -> str:
    """Draw one candidate of a line-up: per dimension the range that it allows, and the reading as a mark on it.

    Every range is drawn equally long. A reading far outside stands at the end with an arrow; one that does not
    fit is an open mark and says so, so that black and white tell it too.

    Raises
    ------
    BadInput
        If there is nothing to draw, a range is empty, or a figure is not finite.
    """
    if not marks:
        raise BadInput("no dimension to draw", right="give at least one")
    elements: list[Element] = []
    for at, mark in enumerate(marks):
        elements += _cell(mark, at * _CELL)
    return sheet(title, description or "; ".join(map(_mark_words, marks)), elements)


@dataclass(frozen=True, slots=True)
class _Scale:
    """From figures of the data to paper millimeters."""

    low: float
    high: float
    start: float
    end: float

    def of(self, value: float) -> float:
        if self.high <= self.low:
            return (self.start + self.end) / 2
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def _rows(rows: Sequence[tuple[str, str]]) -> Iterator[Element]:
    """Give the labels left and the texts right of the bars."""
    for at, (label, words) in enumerate(rows):
        yield text(-2.0, -at * _ROW, label, Anchor.END, part="label")
        yield text(_LONG + 2.0, -at * _ROW, words, Anchor.START, part="value")


def _listing(rows: Sequence[tuple[str, str]]) -> str:
    return "; ".join(f"{label}: {words}" for label, words in rows) + "."


def _upright(x: float, rows: int, stroke: Stroke, part: str) -> Element:
    return line((x, x), (_ROW / 2, -(rows - 0.5) * _ROW), stroke, part)


def _marked(x: float, rows: int, words: str, part: str) -> list[Element]:
    return [_upright(x, rows, Stroke.CENTER, part), text(x, _ROW / 2 + TEXT, words, part=part)]


def _frame(x: _Scale, y: _Scale, first: date, last: date) -> Iterator[Element]:
    """Give the two axes with their figures."""
    yield line((0.0, _WIDE), (0.0, 0.0))
    yield line((0.0, 0.0), (0.0, _TALL))
    for value in round_steps(y.low, y.high):
        yield line((-1.0, 0.0), (y.of(value),) * 2)
        yield text(-2.0, y.of(value), f"{value:g} %", Anchor.END, height=SMALL, part="tick")
    for day in month_steps(first, last):
        at = x.of(day.toordinal())
        yield line((at, at), (-1.0, 0.0))
        yield text(at, -3.2, f"{day:%Y-%m}", height=SMALL, part="tick")


def _band(forecast: Sequence[Forecast], x: _Scale, y: _Scale) -> list[Element]:
    """Give the band of the forecast, hatched, and its middle, dashed."""
    if len(forecast) < 2:
        return []
    at = [x.of(f.on.toordinal()) for f in forecast]
    lows = [(a, y.of(f.low)) for a, f in zip(at, forecast, strict=True)]
    highs = [(a, y.of(f.high)) for a, f in zip(at, forecast, strict=True)]
    middle = [(a, y.of(f.middle)) for a, f in zip(at, forecast, strict=True)]
    elements: list[Element] = list(hatch([*lows, *reversed(highs)], 1.8, 45.0, "band"))
    for row, stroke in ((lows, Stroke.THIN), (highs, Stroke.THIN), (middle, Stroke.HIDDEN)):
        for (x0, y0), (x1, y1) in pairwise(row):
            elements.append(line((x0, x1), (y0, y1), stroke, "forecast"))
    return elements


def _reading(reading: WearReading, x: _Scale, y: _Scale) -> Iterator[Element]:
    at, height = x.of(reading.on.toordinal()), y.of(reading.percent)
    if reading.u > 0:
        low, high = y.of(reading.percent - 2 * reading.u), y.of(reading.percent + 2 * reading.u)
        yield line((at, at), (low, high), part="uncertainty")
        for end in (low, high):
            yield line((at - 0.8, at + 0.8), (end, end), part="uncertainty")
    yield Circle(Point(at, height), 0.9, Stroke.THIN, "reading", solid=True)


def _wear_words(readings: Sequence[WearReading], limit: float | None, forecast: Sequence[Forecast]) -> str:
    said = [f"{r.on.isoformat()}: {r.percent:.2f} %{f' ({r.label})' if r.label else ''}" for r in readings]
    if limit is not None:
        said.append(f"limit {limit:g} %")
    if forecast:
        f = forecast[-1]
        said.append(f"expected on {f.on.isoformat()}: {f.middle:.2f} %, between {f.low:.2f} and {f.high:.2f} %")
    return "; ".join(said) + "."


def _cell(mark: StripMark, left: float) -> Iterator[Element]:
    """Give one dimension of a strip, in a cell that begins at `left`."""
    low, high = finite(mark.low, mark.label), finite(mark.high, mark.label)
    if high <= low:
        raise BadInput(f"a range from {low:g} to {high:g}", where=mark.label, right="give a rising range")
    wide = _CELL - 4.0
    scale = _Scale(low, high, left + _BAND[0] * wide, left + _BAND[1] * wide)
    head = (
        f"{mark.letter} {mark.text}".strip() if text_width(f"{mark.letter} {mark.text}", TEXT) < wide else mark.letter
    )
    yield text(left, 6.0, head, Anchor.START, part="label")
    yield line((left, left + wide), (0.0, 0.0))
    yield from hatched((scale.start, scale.end), (-1.1, 1.1), spacing=1.5, part="range")
    if mark.found is None:
        yield text(left + wide / 2, -3.6, "not measured", height=SMALL, part="note")
        return
    yield from _found(mark, scale, (left, left + wide))


def _found(mark: StripMark, scale: _Scale, ends: tuple[float, float]) -> Iterator[Element]:
    """Give the mark of a reading, its uncertainty, and what is wrong with it."""
    found = finite(mark.found or 0.0, mark.label)
    at = min(max(scale.of(found), ends[0]), ends[1])
    low, high = (min(max(scale.of(found + s * 2 * mark.u), ends[0]), ends[1]) for s in (-1, 1))
    yield line((low, high), (2.4, 2.4), Stroke.THIN, "uncertainty")
    corners = [(at, 0.0), (at - 1.2, 3.2), (at + 1.2, 3.2)]
    if mark.fits:
        yield solid(corners, "fits")
        return
    points = (line((a[0], b[0]), (a[1], b[1]), Stroke.VISIBLE, "misfit") for a, b in _around(corners))
    yield from points
    side = "too large" if found > mark.high else "too small"
    yield text((ends[0] + ends[1]) / 2, -3.6, side, height=SMALL, part="misfit")


def _around(corners: Sequence[tuple[float, float]]) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    return zip(corners, [*corners[1:], corners[0]], strict=True)


def _mark_words(mark: StripMark) -> str:
    fits = {None: "not measured", True: "fits", False: "does not fit"}[mark.fits]
    found = "" if mark.found is None else f" {mark.found:g} mm,"
    return f"{mark.label} {mark.low:g} to {mark.high:g} mm,{found} {fits}"
