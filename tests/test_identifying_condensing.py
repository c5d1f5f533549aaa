"""Many pitch readings of one sample: bounded work, and nothing that they say is lost."""

import numpy as np
import pytest

from builders import evidence, reading
from chaincase import Catalog, identify
from chaincase.identifying.condensing import MOST, condensed
from chaincase.identifying.posterior import posterior


def taped(*values: float, **more: str) -> list[dict[str, object]]:
    return [reading("pitch", f"{value:.1f} mm", "tape", **more) for value in values]


def groups(*readings: dict[str, object]):
    return condensed(posterior(evidence(*readings), Catalog.standard()).measured)


def test_few_readings_stay_as_they_are():
    (only,) = groups(*taped(160.0, 161.0, 160.5))
    assert [each.value for each in only] == pytest.approx([160.0, 161.0, 160.5])


def test_many_alike_become_few_and_sharper():
    values = 160.0 + 0.1 * np.arange(40)
    (few,) = groups(*taped(*values, link="inner"))
    assert len(few) == MOST
    weights = np.array([1 / each.u**2 for each in few])
    assert weights @ [each.value for each in few] / weights.sum() == pytest.approx(values.mean(), abs=0.5)
    assert min(each.u for each in few) < 0.4


def test_a_stray_reading_is_not_mixed_into_the_others():
    (few,) = groups(*taped(*[160.0] * 12, 320.0))
    assert max(round(each.value) for each in few) == 320


def test_what_was_taken_differently_is_kept_apart():
    ways = [(link, part) for link in ("inner", "outer", "offset") for part in ("pins", "rollers", "holes")]
    readings = [r for link, part in ways for r in taped(160.0, link=link, reference=part)]
    assert sum(len(group) for group in groups(*readings)) == len(ways)


def test_hundreds_of_readings_give_an_answer():
    """Common practice, no source: a chain measured link by link along the strand."""
    readings = [r for i in range(150) for r in taped(160.2 + 0.01 * i, link="outer", reference="pins")]
    answer = identify(evidence(*readings, *taped(*[163.0] * 150, link="inner", reference="pins")), Catalog.standard())
    assert "x160" in answer.candidates[0].designation
