"""Charts: what they say in shapes is what they say in words, and refuse what cannot be drawn."""

import re
import xml.etree.ElementTree as ET
from datetime import date

import pytest

from chaincase.drawing.chart_marks import month_steps, round_steps
from chaincase.drawing.charts import Bar, Forecast, Span, StripMark, WearReading, bars, spans, strip, wear_plot
from chaincase.drawing.hatching import hatch
from chaincase.errors import BadInput

SVG = "{http://www.w3.org/2000/svg}"
NAN = float("nan")


def texts(svg: str) -> list[str]:
    root = ET.fromstring(svg)  # noqa: S314 - our own file
    assert root[0].tag == f"{SVG}title"
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def part_spans(svg: str, part: str) -> list[tuple[float, float]]:
    """Left and right of each closed outline of a part."""
    root = ET.fromstring(svg)  # noqa: S314 - our own file
    found = []
    for path in root.iter(f"{SVG}path"):
        if path.attrib.get("data-part") == part and path.attrib["d"].endswith("Z"):
            xs = [float(pair.split()[0]) for pair in re.findall(r"[ML]([-\d.]+ [-\d.]+)", path.attrib["d"])]
            found.append((min(xs), max(xs)))
    return found


def test_bars_are_as_long_as_their_values_and_start_at_zero() -> None:
    chart = bars([Bar("a", 30.0, "30 N"), Bar("b", -10.0, "-10 N"), Bar("c", 0.0, "0 N")], title="t")
    (left, right), (low, zero) = part_spans(chart, "bar")
    assert left == pytest.approx(zero)
    assert (right - left) == pytest.approx(3 * (zero - low), abs=0.02)
    assert {"a", "30 N", "b", "-10 N", "c", "0 N"} <= set(texts(chart))


def test_a_limit_beyond_all_bars_is_still_on_the_chart() -> None:
    chart = bars([Bar("a", 1.0, "1")], title="t", limit=4.0, limit_text="allowed 4")
    ((left, right),) = part_spans(chart, "bar")
    assert right - left == pytest.approx(78.0 / 4, abs=0.02)
    assert "allowed 4" in texts(chart)


def test_spans_stand_about_the_result() -> None:
    chart = spans(
        [Span("friction", 2.0, 4.0, "2 to 4"), Span("load", 2.5, 3.5, "2.5 to 3.5")],
        base=3.0,
        base_text="3 kN",
        title="t",
    )
    (a, b), (c, d) = part_spans(chart, "bar")
    assert (a + b) / 2 == pytest.approx((c + d) / 2, abs=0.02)
    assert b - a == pytest.approx(2 * (d - c), abs=0.02)
    assert "About 3 kN." in chart


def test_a_wear_plot_says_its_readings_limit_and_forecast() -> None:
    chart = wear_plot(
        [WearReading(date(2024, 3, 1), 0.3, 0.05, "left"), WearReading(date(2025, 3, 1), 1.1)],
        title="t",
        limit=2.0,
        forecast=[Forecast(date(2025, 3, 1), 1.0, 1.1, 1.2), Forecast(date(2026, 3, 1), 1.6, 1.9, 2.3)],
    )
    said = texts(chart)
    assert "limit 2 %" in said
    assert "2025-01" in said
    assert "2024-03-01: 0.30 % (left); 2025-03-01: 1.10 %; limit 2 %; expected on 2026-03-01: 1.90 %" in chart


@pytest.mark.parametrize("readings", [[WearReading(date(2025, 1, 1), 0.0)], [WearReading(date(2025, 1, 1), -0.2, 0.1)]])
def test_one_reading_is_enough_for_a_wear_plot(readings: list[WearReading]) -> None:
    assert texts(wear_plot(readings, title="t"))


@pytest.mark.parametrize(
    ("found", "word"), [(10.2, ""), (12.0, "too large"), (2.0, "too small"), (None, "not measured"), (10.58, "")]
)
def test_a_misfit_is_said_in_words(found: float | None, word: str) -> None:
    mark = StripMark("P", "pitch", 10.0, 10.5, found, 0.05)
    said = texts(strip([mark], title="t"))
    assert [text for text in said if text in {"too large", "too small", "not measured"}] == ([word] if word else [])
    assert mark.fits is (None if found is None else not word)


@pytest.mark.parametrize(
    ("draw", "message"),
    [
        (lambda: bars([], title="t"), "no bar"),
        (lambda: bars([Bar("a", NAN, "")], title="t"), "a: nan cannot be drawn"),
        (lambda: spans([], base=0.0, base_text="", title="t"), "no bar"),
        (lambda: wear_plot([], title="t"), "no reading"),
        (lambda: wear_plot([WearReading(date(2025, 1, 1), NAN)], title="t"), "nan cannot be drawn"),
        (lambda: strip([], title="t"), "no dimension"),
        (lambda: strip([StripMark("P", "pitch", 2.0, 2.0, 2.0)], title="t"), "pitch: a range from 2 to 2"),
    ],
)
def test_what_cannot_be_drawn_is_refused(draw, message: str) -> None:
    with pytest.raises(BadInput, match=message):
        draw()


def test_the_same_data_give_the_same_bytes() -> None:
    rows = [Bar("a", 3.0, "3"), Bar("b", 1.0, "1", strong=True)]
    assert bars(rows, title="t") == bars(list(rows), title="t")


def test_markup_in_a_label_is_text() -> None:
    assert "<b>&" in texts(bars([Bar("<b>&", 1.0, '"1"')], title="<t>"))


@pytest.mark.parametrize("degrees", [0.0, 30.0, 45.0, -45.0, 90.0])
def test_a_hatching_covers_its_area_evenly(degrees: float) -> None:
    # Lines a spacing apart cover an area of length / spacing (plane geometry).
    corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (20.0, 30.0), (0.0, 10.0)]
    lines = hatch(corners, 0.5, degrees)
    length = sum(((a.end.x - a.start.x) ** 2 + (a.end.y - a.start.y) ** 2) ** 0.5 for a in lines)
    assert length * 0.5 == pytest.approx(40 * 10 + 40 * 20 / 2, rel=0.02)


@pytest.mark.parametrize(("low", "high"), [(0.0, 1e-6), (-3.0, 2.0), (0.0, 9.99), (99.0, 100.0)])
def test_steps_at_an_axis_are_round_and_few(low: float, high: float) -> None:
    steps = round_steps(low, high)
    assert 1 <= len(steps) <= 7
    assert all(low - 1e-9 <= step <= high + 1e-9 for step in steps)


@pytest.mark.parametrize("years", [0, 1, 3, 30, 900])
def test_months_at_an_axis_are_few(years: int) -> None:
    assert len(month_steps(date(1990, 5, 20), date(1990 + years, 11, 3))) <= 7
