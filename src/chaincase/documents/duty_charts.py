"""Charts of the answers about a duty, for papers and pages: what a pull is made of, how near each limit is, wear."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from chaincase.drawing.charts import Bar, Forecast, Span, WearReading, bars, spans, wear_plot
from chaincase.duty.result import Result
from chaincase.units import show_force

_MOST: Final = 24
"""Bars of one chart; the rest stands in the table."""
_LONGEST_BAR: Final = 4.0
"""Margins beyond it end there: how far a check is passed matters less than which is the nearest."""
QUESTIONS: Final[Mapping[str, str]] = {"fits": "Fits", "carries": "Carries", "lasts": "Lasts"}


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart as SVG, what is said below it, and what it shows in words, for screens on which it has no room."""

    svg: str
    caption: str
    rows: tuple[tuple[str, str], ...] = ()
    folded: bool = False


def charts_of(sort: str, found: Result) -> tuple[Chart, ...]:
    """Give the charts of an answer; `sort` is the sort of question."""
    makers = {"pull": _pull, "verdict": _verdict, "wear": _wear}
    return tuple(makers[sort](found)) if sort in makers else ()


def _rows(found: Result, name: str) -> list[dict[str, Any]]:
    return [dict(row) for table in found.tables if table.name == name for row in table.records()]


def _pull(found: Result) -> Iterator[Chart]:
    parts = _rows(found, "contributions")[:_MOST]
    if parts:
        made = [Bar(f"{row['name']}: {row['part']}", row["force_n"], show_force(row["force_n"])) for row in parts]
        yield _bars(made, "What the pull of all strands is made of")
    points = _rows(found, "tensions")[:_MOST]
    if any(row["tension_n"] for row in points):
        most = max(row["tension_n"] for row in points)
        made = [
            Bar(row["at"], row["tension_n"], show_force(row["tension_n"]), strong=row["tension_n"] == most)
            for row in points
        ]
        yield _bars(made, "Tension round the loop, the largest hatched closely")


def _verdict(found: Result) -> Iterator[Chart]:
    checks = _rows(found, "checks")[:_MOST]
    if checks:
        made = [
            Bar(
                row["check"],
                _length(row["margin"]),
                _times(row["margin"]),
                strong=row["margin"] < 1.0,
            )
            for row in checks
        ]
        caption = f"Margin of every check: 1 is just enough; bars end at {_LONGEST_BAR:g}"
        yield _bars(made, caption, limit=1.0, limit_text="just enough")
    swings = _rows(found, "sensitivity")
    for question, words in QUESTIONS.items():
        own = [row for row in swings if row["question"] == question and row["margin_from"] != row["margin_to"]]
        if own:
            made_spans = [
                Span(row["assumption"], row["margin_from"], row["margin_to"], f"x {row['from']:g} to {row['to']:g}")
                for row in own[:_MOST]
            ]
            base = own[0]["margin"]
            title = f"{words}: smallest margin, one assumption at a time"
            chart = spans(made_spans, base=base, base_text=f"margin {_times(base)}", title=title)
            said = (f"{_times(row['margin_from'])} to {_times(row['margin_to'])}" for row in own)
            pairs = tuple((each.label, text) for each, text in zip(made_spans, said, strict=False))
            yield Chart(chart, title, pairs, folded=True)


def _bars(made: list[Bar], caption: str, **limit: Any) -> Chart:
    return Chart(bars(made, title=caption, **limit), caption, tuple((each.label, each.text) for each in made))


def _length(margin: float) -> float:
    return min(max(margin, 0.0), _LONGEST_BAR)


def _times(margin: float) -> str:
    """Give a margin as it is written beside its bar.

    >>> _times(0.8498), _times(58.0), _times(0.00006)
    ('0.85', '58', 'below 0.01')
    """
    if margin < 0.01:
        return "below 0.01"
    return f"{margin:.2f}" if margin < 10.0 else f"{margin:.0f}"


def _wear(found: Result) -> Iterator[Chart]:
    plot = wear_plot_of(found, found.title)
    if plot:
        yield Chart(plot, "Elongation, with the interval of one further reading")


def wear_plot_of(found: Result, title: str) -> str:
    """Give the plot of an answer about wear as SVG; empty without a reading that can be used."""
    readings = [
        WearReading(date.fromisoformat(row["on"]), row["elongation_percent"], row["u_percent"], row["strand"] or "")
        for row in _rows(found, "readings")
    ]
    if not readings:
        return ""
    rows = _rows(found, "forecast")
    forecast = [
        Forecast(date.fromisoformat(row["on"]), row["low_percent"], row["percent"], row["high_percent"]) for row in rows
    ]
    limit = found.number("limit_percent") if "limit_percent" in found else None
    return wear_plot(readings, title=title, limit=limit, forecast=forecast)
