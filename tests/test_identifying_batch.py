"""Samples identified together: each gets what it gets alone."""

import numpy as np
import pytest

from builders import evidence, reading
from chaincase.calibration.samples import sample_of
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import summaries, summarize
from chaincase.identifying.posterior import Posterior, posterior, posteriors
from chaincase.identifying.proposal import FULL, QUICK
from grown import grown

LARGE = grown(9_000)
SEED = 3100

EDGES = evidence(
    reading("pitch", "118.3 mm", "", technique="outside edges"),
    reading("pitch", "101.9 mm", "tape", over=4, technique="same edge"),
    reading("pin_diameter", "15.7 mm"),
    marks=("W1?4*", "124"),
)
BARE = evidence(reading("pitch", "4"), reading("width", "2.4"), reading("height", "1.5"))
NOTHING = evidence(construction=("roller",))


def drawn(first: int, count: int, catalog: Catalog = LARGE) -> list[Evidence]:
    found = []
    for index in range(first, first + count):
        try:
            found.append(Evidence.of(sample_of(SEED, index, catalog).evidence))
        except BadInput:  # a slip that the tool refuses, and asks to be mended
            continue
    return found


def assert_alike(one: Posterior, other: Posterior) -> None:
    np.testing.assert_array_equal(one.rows, other.rows)
    np.testing.assert_allclose(one.probability, other.probability, rtol=0, atol=1e-9)
    np.testing.assert_allclose(one.relatives, other.relatives, rtol=0, atol=1e-9)
    np.testing.assert_allclose(one.from_readings, other.from_readings, rtol=1e-9, atol=1e-9)
    for name in ("unlisted", "other", "other_bound", "unit_probability"):
        assert getattr(one, name) == pytest.approx(getattr(other, name), abs=1e-9)
    assert one.unit == other.unit
    assert [each.value for each in one.measured] == [each.value for each in other.measured]
    assert one.catalog.designations == other.catalog.designations


@pytest.mark.parametrize("effort", [QUICK, FULL])
def test_a_lot_gives_what_each_gives_alone(effort):
    given = [*drawn(0, 14), EDGES, BARE, NOTHING, evidence(marks=("?",)), *drawn(20, 6)]
    for alone, together in zip(given, posteriors(given, LARGE, effort), strict=True):
        assert_alike(posterior(alone, LARGE, whole=False, effort=effort), together)


def test_it_does_not_matter_with_which_others():
    given = [*drawn(40, 12), EDGES, BARE]
    forward = posteriors(given, LARGE, QUICK)
    backward = posteriors(given[::-1], LARGE, QUICK)[::-1]
    for one, other in zip(forward, backward, strict=True):
        assert_alike(one, other)


def test_small_catalogs_are_scored_whole_in_lots_too():
    standard = Catalog.standard()
    given = [*drawn(60, 6, standard), EDGES]
    for alone, together in zip(given, posteriors(given, standard, QUICK), strict=True):
        assert_alike(posterior(alone, standard, whole=True), together)
        assert together.catalog is standard


def test_summaries_are_those_of_each():
    given = [*drawn(80, 10), EDGES, BARE]
    for alone, together in zip(given, summaries(given, LARGE), strict=True):
        same = summarize(alone, LARGE)
        assert (same.designation, same.second, same.next, same.warnings) == (
            together.designation,
            together.second,
            together.next,
            together.warnings,
        )
        assert same.probability == pytest.approx(together.probability, abs=1e-9)


def test_no_samples_give_no_answers():
    assert summaries([], LARGE) == []
    assert summaries([], Catalog.standard()) == []
