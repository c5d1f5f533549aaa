"""What must always hold of an identification, whatever the evidence."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import catalog, evidence, reading
from chaincase import Catalog, identify
from chaincase.catalog.table import concatenate
from chaincase.chains.dimensions import BY_NAME, UNNAMED
from chaincase.identifying.answer import Identification
from chaincase.identifying.posterior import posterior

ROWS = (
    (
        "S131",
        "bushed rollerless",
        {"pitch": 78.11, "bush_diameter": 31.75, "pin_diameter": 15.88, "sidebar_height": 38.1},
    ),
    ("W82", "welded steel", {"pitch": 78.11, "bush_diameter": 31.0, "pin_diameter": 14.29, "sidebar_height": 31.75}),
    (
        "S102B",
        "bushed rollerless",
        {"pitch": 101.6, "bush_diameter": 25.4, "pin_diameter": 15.88, "sidebar_height": 38.1},
    ),
    ("W124", "welded steel", {"pitch": 101.6, "bush_diameter": 36.6, "pin_diameter": 19.05, "sidebar_height": 38.1}),
    ("2010", "offset sidebar", {"pitch": 63.5, "roller_diameter": 31.75, "pin_diameter": 15.9}),
)
SMALL = catalog(*ROWS)

sizes = st.floats(min_value=1.0, max_value=400.0).map(lambda x: f"{x:.2f} mm")
bare = st.floats(min_value=1.0, max_value=400.0).map(lambda x: f"{x:.2f}")
one_reading = st.builds(
    reading,
    st.sampled_from([*BY_NAME, *UNNAMED]),
    st.one_of(sizes, bare),
    st.sampled_from(["tape", "steel rule", "caliper", "digital caliper", "gauge", "photograph", ""]),
)
marks = st.lists(st.text(alphabet="W1234S?*B-. X", min_size=1, max_size=12).filter(str.strip), max_size=2).map(tuple)
words = st.lists(st.sampled_from(["offset sidebar", "welded steel", "roller", "shiny"]), max_size=2).map(tuple)
evidences = st.builds(
    lambda readings, marks, words: evidence(*readings, marks=marks, construction=words),
    st.lists(one_reading, max_size=6),
    marks,
    words,
)


def total(answer: Identification) -> float:
    return sum(c.probability for c in answer.candidates) + answer.unlisted + answer.other


@given(evidences)
@settings(max_examples=60, deadline=None)
def test_probabilities_sum_to_one(evidence_given):
    for table in (SMALL, Catalog.standard()):
        answer = identify(evidence_given, table)
        assert total(answer) == pytest.approx(1.0, abs=1e-9)
        assert all(0.0 <= c.probability <= 1.0 for c in answer.candidates)


@given(evidences, st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_the_order_of_readings_and_marks_changes_nothing(given_evidence, random):
    readings, marks_given = list(given_evidence.readings), list(given_evidence.marks)
    random.shuffle(readings)
    random.shuffle(marks_given)
    shuffled = given_evidence.model_copy(update={"readings": tuple(readings), "marks": tuple(marks_given)})
    a, b = posterior(given_evidence, SMALL), posterior(shuffled, SMALL)
    np.testing.assert_allclose(a.probability, b.probability, atol=1e-9)
    assert a.unlisted == pytest.approx(b.unlisted, abs=1e-9)


@given(evidences, st.permutations(range(5)))
@settings(max_examples=40, deadline=None)
def test_the_order_of_rows_changes_nothing(given_evidence, order):
    mixed = catalog(*(ROWS[i] for i in order))
    a, b = posterior(given_evidence, SMALL), posterior(given_evidence, mixed)
    np.testing.assert_allclose(a.probability[list(order)], b.probability, atol=1e-9)
    assert a.unlisted == pytest.approx(b.unlisted, abs=1e-9)


def test_a_duplicate_row_splits_its_probability():
    twice = concatenate([SMALL, catalog(("W124 again", "welded steel", dict(SMALL.dimensions_of(3))))])
    given_evidence = evidence(reading("pitch", "101.7 mm"), reading("pin_diameter", "18.9 mm"))
    once, split = posterior(given_evidence, SMALL), posterior(given_evidence, twice)
    assert split.probability[3] == pytest.approx(split.probability[5])
    odds_before = once.probability[3] / once.probability[2]
    odds_after = (split.probability[3] + split.probability[5]) / split.probability[2]
    assert odds_after == pytest.approx(2 * odds_before)


def test_a_far_row_changes_nothing_beyond_its_prior_share():
    far = concatenate([SMALL, catalog(("far", "leaf", {"pitch": 6.35, "pin_diameter": 2.3}))])
    given_evidence = evidence(reading("pitch", "101.7 mm"), reading("pin_diameter", "18.9 mm"))
    before, after = posterior(given_evidence, SMALL), posterior(given_evidence, far)
    ratio = before.probability[0:5] / before.probability[3]
    np.testing.assert_allclose(after.probability[0:5] / after.probability[3], ratio, rtol=1e-9)
    assert after.probability[5] < 1e-6


def test_a_reading_that_every_row_predicts_alike_changes_nothing_between_them():
    alike = {"inner_width": 50.0}
    rows = catalog(
        ("A", "offset sidebar", {"pitch": 101.6, "pin_diameter": 15.88, **alike}),
        ("B", "offset sidebar", {"pitch": 101.6, "pin_diameter": 19.05, **alike}),
    )
    few = [reading("pin_diameter", "17.4 mm")]
    before = posterior(evidence(*few), rows).probability
    after = posterior(evidence(*few, reading("inner_width", "50.3 mm")), rows).probability
    # Another dimension taken by mistake is weighed by each row's own figures, hence not quite to the last digit.
    assert after[0] / after[1] == pytest.approx(before[0] / before[1], rel=0.02)


@given(st.floats(min_value=0.005, max_value=0.06))
@settings(max_examples=30, deadline=None)
def test_an_outer_link_between_pins_contradicts_growth(elongation):
    """Pins sit fast in the outer plates: wear never lengthens that pitch, so growth there speaks for another chain."""
    rows = catalog(
        ("A", "bushed rollerless", {"pitch": 100.0}), ("B", "bushed rollerless", {"pitch": 100.0 * (1 + elongation)})
    )
    value = f"{100.0 * (1 + elongation):.2f} mm"
    found = posterior(evidence(reading("pitch", value, link="outer", reference="pins")), rows).probability
    assert found[1] >= found[0] * (1 - 1e-6)


def test_unit_change_of_the_same_size_changes_nothing():
    """25.4 mm to the inch: the same reading written in either unit, with the same step, says the same.

    But for other digits, two of which may have changed places: a mistake that makes another size in either unit.
    """
    mm = posterior(evidence(reading("pin_diameter", "19.05 mm"), reading("pitch", "101.60 mm")), SMALL)
    inch = posterior(evidence(reading("pin_diameter", "0.7500 in"), reading("pitch", "4.0000 in")), SMALL)
    np.testing.assert_allclose(mm.probability, inch.probability, rtol=0.02, atol=1e-6)
