"""An unlisted chain differs from its relative in whole features; and a reading that cannot be carries no weight."""

import numpy as np
import pytest

from builders import catalog, evidence, reading
from chaincase import identify
from chaincase.identifying.constants import PINS_ALONE, UNLISTED
from chaincase.identifying.expectation import expectation
from chaincase.identifying.likelihood import Case, grouped, likelihoods, readings_likelihood
from chaincase.identifying.posterior import hypotheses, posterior
from chaincase.identifying.right_readings import KIND_LINKS

ONE = catalog(
    ("M", "conveyor bush", {"pitch": 160.0, "inner_width": 32.0, "pin_length": 73.0, "pin_diameter": 15.0}),
)
WIDER = (reading("inner_width", "36.0 mm"), reading("pin_length", "77.0 mm"))


def unlisted(*readings: dict[str, object]) -> float:
    return posterior(evidence(*readings), ONE).unlisted


def test_sizes_of_one_feature_change_together() -> None:
    """By hand: both the same, or both changed, or the pins alone; never the width alone."""
    ones = hypotheses(evidence(*WIDER).parsed_readings())[0][1]
    expected, links = expectation(ONE), KIND_LINKS[ONE.kind]
    width, length = likelihoods([Case(group, expected, links) for group in grouped(ones)])
    together = readings_likelihood(ones, expected, links).unlisted[:, 0]
    for i, sort in enumerate(UNLISTED):
        pins = PINS_ALONE * sort.same * (1 - sort.same)
        same = (sort.same - pins) * np.exp(width.listed[0] + length.listed[0])
        changed = (1 - sort.same) * np.exp(width.changed[i, 0] + length.changed[i, 0])
        alone = pins * np.exp(width.listed[0] + length.changed[i, 0])
        assert np.exp(together[i]) == pytest.approx(same + changed + alone, rel=1e-12)


def test_features_change_each_for_itself() -> None:
    ones = hypotheses(evidence(WIDER[0], reading("pin_diameter", "15.0 mm")).parsed_readings())[0][1]
    expected, links = expectation(ONE), KIND_LINKS[ONE.kind]
    each = [readings_likelihood([one], expected, links).unlisted for one in ones]
    np.testing.assert_allclose(readings_likelihood(ones, expected, links).unlisted, sum(each), rtol=1e-12)


def test_a_second_size_of_a_feature_that_agrees_confirms_a_special() -> None:
    """A wider inner link with a longer pin is a special chain; with the usual pin it may be a misread width."""
    fits = unlisted(WIDER[0], reading("pin_length", "72.5 mm"))
    assert unlisted(WIDER[0]) < unlisted(*WIDER)
    assert fits < unlisted(*WIDER)


EDGES = reading("pitch", "7 1/8 mm", technique="outside edges", edge_diameters=["15/16 in"])


def test_a_reading_that_leaves_no_distance_carries_no_weight_and_is_named() -> None:
    plain = evidence(reading("pin_diameter", "15.0 mm"))
    answer = identify(evidence(reading("pin_diameter", "15.0 mm"), EDGES), ONE)
    assert answer.candidates[0].probability == pytest.approx(identify(plain, ONE).candidates[0].probability)
    said = [warning for warning in answer.warnings if warning.startswith("readings[1]")]
    assert len(said) == 1
    assert "leaves no distance" in said[0]


def test_a_unit_under_which_a_reading_leaves_no_distance_is_not_meant() -> None:
    bare = reading("pitch", "7.13", technique="outside edges", edge_diameters=["15/16 in"])
    found = hypotheses(evidence(bare).parsed_readings())
    assert [unit for unit, _ in found] == ["in"]
