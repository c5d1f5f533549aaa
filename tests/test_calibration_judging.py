"""Answers against the truth, the plain methods, and the diagram, on cases worked by hand."""

import xml.etree.ElementTree as ET

import pytest

from chaincase.calibration.baselines import ToleranceFilter, nearest, sizes_of
from chaincase.calibration.diagram import reliability_svg
from chaincase.calibration.judging import judge, rows_by_name
from chaincase.calibration.scores import reliability
from chaincase.catalog.table import Catalog, Row, Source, build
from chaincase.identifying.answer import Candidate, Identification


def table(name: str, *rows: Row) -> Catalog:
    return build(Source(name, name, "", ""), rows)


def catalog() -> Catalog:
    """Two tables with one designation twice, and a row without any figure."""
    return table(
        "one",
        Row("A", "leaf", {"pitch": 12.7, "pin_diameter": 5.0}),
        Row("B", "leaf", {"pitch": 12.7, "pin_length": 20.0}),
        Row("C", "leaf", {}),
    ) + table("two", Row("A", "leaf", {"pitch": 25.4, "pin_diameter": 8.0}))


def answer(*stated: tuple[str, str, float], unlisted: float, other: float = 0.0, ties: object = ()) -> Identification:
    candidates = [Candidate(designation=name, table=where, probability=p, kind="leaf") for name, where, p in stated]
    return Identification(candidates=tuple(candidates), unlisted=unlisted, other=other, ties=ties)  # type: ignore[arg-type]


def test_rows_are_told_apart_by_table() -> None:
    rows = rows_by_name(catalog())
    given = answer(("A", "two", 0.6), ("A", "one", 0.3), unlisted=0.1)
    assert judge(given, 3, rows).right
    assert not judge(given, 0, rows).right
    assert judge(given, 0, rows).of_truth == 0.3


def test_a_listed_truth_must_be_above_unlisted() -> None:
    rows = rows_by_name(catalog())
    given = answer(("A", "one", 0.4), unlisted=0.6)
    listed, unlisted = judge(given, 0, rows), judge(given, None, rows)
    assert not listed.right
    assert unlisted.right
    assert listed.stated == unlisted.stated == 0.6
    assert listed.of_truth == 0.4
    assert unlisted.of_truth == unlisted.unlisted == 0.6


def test_brier_counts_all_rows() -> None:
    rows = rows_by_name(catalog())
    given = answer(("A", "one", 0.5), ("B", "one", 0.3), unlisted=0.1, other=0.1)
    # The two rows that are not shown get 0.05 each.
    shown = 0.5**2 + 0.3**2 + 0.1**2
    assert judge(given, 0, rows).brier == pytest.approx(0.5**2 + 0.3**2 + 0.1**2 + 2 * 0.05**2)
    assert judge(given, 2, rows).brier == pytest.approx(shown + 0.05**2 + 0.95**2)
    assert judge(given, 2, rows).of_truth == pytest.approx(0.05)


def test_ties_count_only_with_the_top_candidate() -> None:
    rows = rows_by_name(catalog())
    tied = answer(("A", "one", 0.4), ("B", "one", 0.4), ("A", "two", 0.1), unlisted=0.1, ties=(("A", "B"),))
    assert judge(tied, 1, rows).in_tie
    assert not judge(tied, 1, rows).right
    assert not judge(tied, 2, rows).in_tie
    assert not judge(tied, None, rows).in_tie
    below = answer(("A", "one", 0.2), ("B", "one", 0.2), unlisted=0.6, ties=(("A", "B"),))
    assert not judge(below, 1, rows).in_tie


def evidence(*readings: dict[str, object], text: str = "") -> dict[str, object]:
    return {"readings": list(readings), "marks": [{"text": text}] if text else []}


def test_sizes_for_the_plain_methods() -> None:
    given = evidence({"dimension": "pitch", "value": "50.8", "over": 2}, {"dimension": "diameter", "value": "1/2 in"})
    (pitch, size), (names, diameter) = sizes_of(given)
    assert (pitch, size) == (("pitch",), 25.4)
    assert "pin_diameter" in names
    assert diameter == pytest.approx(12.7)


def test_nearest_neighbor_by_hand() -> None:
    given = evidence({"dimension": "pitch", "value": "13 mm"}, {"dimension": "pin_diameter", "value": "5.5 mm"})
    # Of A (0.0236 + 0.1) / 2, of B 0.0236 over its one figure, of the other A far more.
    assert nearest(given, catalog()) == 1
    assert nearest(given, catalog(), empty=0.2) == 0
    assert nearest(evidence({"dimension": "plate_width", "value": "9 mm"}), catalog()) is None
    # The key of B names row 1, that of A both of its rows, the nearer first.
    far = evidence({"dimension": "pitch", "value": "26 mm"}, text="B")
    assert nearest(far, catalog()) == 3
    assert nearest(far, catalog(), marks=True) == 1


def test_tolerance_filter_by_hand() -> None:
    asked = ToleranceFilter(catalog())
    both = evidence({"dimension": "pitch", "value": "12.8 mm"}, {"dimension": "pin_length", "value": "20.5 mm"})
    assert asked.best(both) == 1
    # Row A and B are as near in pitch; the earlier goes first.
    assert asked.best(evidence({"dimension": "pitch", "value": "12.8 mm"})) == 0
    assert asked.best(evidence({"dimension": "pitch", "value": "12.8 mm"}, text="B"), marks=True) == 1
    assert asked.best(evidence({"dimension": "pitch", "value": "18 mm"})) is None
    assert asked.best(evidence()) is None
    within = asked.best(evidence({"dimension": "pitch", "value": "26.15 mm"}))
    beyond = asked.best(evidence({"dimension": "pitch", "value": "26.25 mm"}))
    assert (within, beyond) == (3, None)


def test_diagram_is_whole_and_draws_every_bin() -> None:
    bins = reliability([0.2, 0.4, 0.7, 0.95], [0, 1, 1, 1], bins=4)
    root = ET.fromstring(reliability_svg(bins, "Stated & true"))  # noqa: S314 (our own text)
    circles = list(root.iter("{http://www.w3.org/2000/svg}circle"))
    assert len(circles) == 4
    assert root.findtext("{http://www.w3.org/2000/svg}title") == "Stated & true"
    # Higher shares are drawn higher up.
    assert float(circles[3].get("cy", "")) < float(circles[0].get("cy", ""))
    assert float(circles[3].get("cx", "")) > float(circles[0].get("cx", ""))
