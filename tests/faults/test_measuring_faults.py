"""Readings that cannot be used: one clear message with what, where and what would be right."""

import math
from typing import Any

import pytest

from chaincase.errors import BadInput
from chaincase.measuring.estimate import estimate
from chaincase.measuring.instruments import Instrument, limit_mm, tape_limit_mm
from chaincase.measuring.reading import MOST_PITCHES, Reading
from chaincase.measuring.techniques import (
    Technique,
    caliper_covariance,
    center_distance,
    center_gradient,
    pitch_and_roller,
)
from chaincase.measuring.uncertainty import (
    from_bound,
    from_certificate,
    from_step,
    mean_of,
    propagate,
    student_factor,
    welch_satterthwaite,
)

GOOD: dict[str, Any] = {"dimension": "pitch", "value": "101.6 mm", "place": "readings[2]"}


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        ({"dimension": "pin_diametr"}, "readings[2].dimension", "did you mean pin_diameter"),
        ({"dimension": "???"}, "readings[2].dimension", "use one of: pitch"),
        ({"dimension": ""}, "readings[2].dimension", "is not a dimension"),
        ({"dimension": "x" * 5000}, "readings[2].dimension", "..."),
        ({"value": "6 mmm"}, "readings[2].value", "unknown unit"),
        ({"value": "-4 in"}, "readings[2].value", "negative"),
        ({"value": "0 mm"}, "readings[2].value", "zero"),
        ({"value": ""}, "readings[2].value", "empty"),
        ({"value": math.nan}, "readings[2].value", "length"),
        ({"value": True}, "readings[2].value", "not a length"),
        ({"instrument": "laser"}, "readings[2].instrument", "use one of: tape, steel rule"),
        ({"technique": "by eye"}, "readings[2].technique", "use one of: center to center"),
        ({"link": "middle"}, "readings[2].link", "use one of: inner, outer, offset, unknown"),
        ({"reference": "bolts"}, "readings[2].reference", "use one of: pins, rollers, holes, unknown"),
        ({"over": 0}, "readings[2].over", "whole number"),
        ({"over": -1}, "readings[2].over", "whole number"),
        ({"over": 2.5}, "readings[2].over", "'2.5'"),
        ({"over": "several"}, "readings[2].over", "'several'"),
        ({"over": "9" * 5000}, "readings[2].over", "whole number"),
        ({"over": MOST_PITCHES + 1}, "readings[2].over", str(MOST_PITCHES)),
        ({"over": True}, "readings[2].over", "'True'"),
        ({"over": math.nan}, "readings[2].over", "'nan'"),
        ({"over": math.inf}, "readings[2].over", "'inf'"),
        ({"repeats": ["101.5 mm", "x"]}, "readings[2].repeats[1]", "number"),
        ({"edge_diameters": ["19 mm", "0 mm"]}, "readings[2].edge_diameters[1]", "zero"),
        ({"edge_diameters": ["19 mm"] * 3}, "readings[2].edge_diameters", "one for equal parts or two"),
        ({"dimension": "pin_diameter", "over": 2}, "readings[2].over", "a pin_diameter over 2 pitches"),
        ({"dimension": "width", "technique": "zeroed on hole"}, "readings[2].technique", "zeroed on a hole"),
        ({"dimension": "width", "edge_diameters": ["19 mm"]}, "readings[2].edge_diameters", "leave it out"),
        ({"value": "4.06", "repeats": ["4.05 in"]}, "readings[2].value", "write the unit here too"),
    ],
)
def test_bad_reading(change: dict[str, Any], where: str, says: str) -> None:
    with pytest.raises(BadInput) as fault:
        Reading.parse(**{**GOOD, **change})
    text = str(fault.value)
    assert text.startswith(where)
    assert says in text
    assert fault.value.right
    assert len(text) < 700


def test_bare_number_without_a_hypothesis() -> None:
    with pytest.raises(BadInput) as fault:
        estimate(Reading.parse("pitch", "4.06", place="readings[0]"))
    assert str(fault.value) == "readings[0].value: '4.06' has no unit; write 4.06 mm or 4.06 in"


@pytest.mark.parametrize(
    ("technique", "value", "diameters"),
    [("outside edges", "19 mm", ["19 mm"]), ("zeroed on hole", "5 mm", ["10 mm", "30 mm"])],
)
def test_diameters_that_leave_no_distance(technique: str, value: str, diameters: list[str]) -> None:
    reading = Reading.parse("pitch", value, technique=technique, edge_diameters=diameters, place="readings[4]")
    with pytest.raises(BadInput, match=r"^readings\[4\]\.edge_diameters: .* leaves no distance"):
        estimate(reading)


@pytest.mark.parametrize("technique", [Technique.INSIDE_EDGES, Technique.OUTSIDE_EDGES])
def test_edges_without_a_diameter_are_no_center_distance(technique: Technique) -> None:
    with pytest.raises(BadInput, match="without a diameter"):
        center_distance(technique, 80.0)


@pytest.mark.parametrize("length", [0.0, -5.0, math.nan, math.inf])
@pytest.mark.parametrize("instrument", [i for i in Instrument if i is not Instrument.PHOTOGRAPH])
def test_no_limit_without_a_length(instrument: Instrument, length: float) -> None:
    with pytest.raises(BadInput, match="give a length above 0"):
        limit_mm(instrument, length)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: tape_limit_mm(100.0, "IV"), "I, II, III"),
        (lambda: center_gradient(Technique.SAME_EDGE, 3), "one for equal parts or two"),
        (lambda: caliper_covariance([], 0.01, 0.02), "no reading above 0"),
        (lambda: pitch_and_roller(60.0, 60.0), "is the larger one"),
        (lambda: pitch_and_roller(60.0, 80.0, 0), "whole number"),
        (lambda: mean_of([]), "no value"),
        (lambda: from_bound(-1.0), "0 or more"),
        (lambda: from_step(math.nan), "0 or more"),
        (lambda: from_certificate(-0.1), "0 or more"),
        (lambda: welch_satterthwaite([1.0], [1, 2]), "1 contributions but 2"),
        (lambda: welch_satterthwaite([1.0], [0]), "no degree of freedom"),
        (lambda: propagate([1.0], [[1.0, 0.0], [0.0, 1.0]]), "n by n"),
        (lambda: propagate([1.0, 1.0], [[1.0, 0.5], [0.0, 1.0]]), "not symmetric"),
        (lambda: propagate([1.0], [[-1.0]]), "negative variance"),
        (lambda: student_factor(0), "above 0"),
        (lambda: student_factor(3, 1.0), "between 0 and 1"),
    ],
)
def test_bad_figures(call: Any, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        call()
