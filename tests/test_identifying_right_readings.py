"""Densities worked out together must be those worked out one by one, and by quadrature."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from builders import evidence, reading
from chaincase import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.density import density_of_worn, log_density, log_sum, log_sum_at
from chaincase.identifying.expectation import expectation
from chaincase.identifying.likelihood import Case, grouped, likelihoods, readings_likelihood
from chaincase.identifying.next_step import next_steps
from chaincase.identifying.posterior import posterior
from chaincase.identifying.right_readings import KIND_LINKS
from chaincase.identifying.rough_gain import rough_gains

STANDARD = Catalog.standard()
LINKS = KIND_LINKS[STANDARD.kind]
READINGS = evidence(
    reading("pitch", "103.1 mm", "tape", over=1),
    reading("pitch", "305.2 mm", "tape", over=3, link="inner"),
    reading("pin_diameter", "15.7 mm"),
    reading("width", "60 mm", "steel rule"),
    reading("sidebar_height", "38.4 mm"),
    reading("pitch", "84.2 mm", "caliper", technique="inside edges"),
)


def test_cases_together_are_the_cases_one_by_one():
    expected = expectation(STANDARD)
    cases = [Case(group, expected, LINKS) for group in grouped(posterior(READINGS, STANDARD).measured)]
    assert len(cases) > 3
    for case, found in zip(cases, likelihoods(cases), strict=True):
        alone = likelihoods([case])[0]
        np.testing.assert_allclose(found.listed, alone.listed, rtol=1e-12)
        np.testing.assert_allclose(found.changed, alone.changed, rtol=1e-12)


def test_no_readings_say_nothing():
    found = readings_likelihood([], expectation(STANDARD), LINKS)
    assert not found.listed.any()
    assert not found.unlisted.any()


@given(
    off=st.floats(-40.0, 40.0),
    sd=st.floats(0.01, 3.0),
    wear=st.floats(-5.0, 5.0).filter(lambda wear: abs(wear) > 0.02),
)
@settings(max_examples=200, deadline=None)
def test_density_of_a_worn_part_is_that_of_the_joint_form(off: float, sd: float, wear: float):
    one = np.ones(1)
    ours = float(density_of_worn(one * off, one * sd, one * wear)[0])
    joint = float(log_density(one * off * sd, one * sd, one, one * 0.0, one * 0.0, one * wear)[0])
    assert ours == pytest.approx(np.exp(joint), rel=1e-7, abs=1e-300)


@pytest.mark.parametrize(
    ("off", "sd", "wear"), [(0.5, 0.4, 1.0), (-2.0, 0.4, -1.0), (30.0, 0.05, 2.0), (3.0, 1.0, -0.5)]
)
def test_density_of_a_worn_part_is_the_convolution(off: float, sd: float, wear: float):
    """By adaptive quadrature (QUADPACK) of the normal density over the exponential wear."""
    reading_at = off * sd

    def both(amount: float) -> float:
        normal = np.exp(-0.5 * ((reading_at - np.sign(wear) * amount) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
        return float(normal * np.exp(-amount / abs(wear)) / abs(wear))

    near = abs(reading_at)
    found, _ = quad(both, 0.0, 12 * abs(wear) + near, points=[near], epsabs=0, limit=400)
    assert float(density_of_worn(np.array([off]), np.array([sd]), np.array([wear]))[0]) == pytest.approx(
        found, rel=1e-6
    )


@given(st.lists(st.lists(st.floats(-700, 700), min_size=1, max_size=4), min_size=1, max_size=6))
@settings(max_examples=60, deadline=None)
def test_sums_along_stretches_are_sums_of_each(stretches: list[list[float]]):
    found = log_sum_at(np.concatenate(stretches), [len(stretch) for stretch in stretches])
    np.testing.assert_allclose(found, [log_sum(np.array(stretch)) for stretch in stretches], rtol=1e-12, atol=1e-12)


def test_the_rough_gain_is_near_the_one_worked_out():
    found = posterior(READINGS, STANDARD)
    steps = {step.dimension: step.gain_bits for step in next_steps(found, READINGS, STANDARD) if step.dimension}
    rows = np.argsort(-found.probability, kind="stable")[:20]
    rows = rows[found.probability[rows] > 1e-4]
    kin = np.argsort(-found.relatives.sum(axis=0), kind="stable")[:20]
    prior = np.append(found.probability[rows], found.unlisted)
    columns = np.array([COLUMN[name] for name in steps])
    _, rough = rough_gains(columns, rows, kin, found.relatives[:, kin], prior / prior.sum(), expectation(STANDARD))
    assert len(steps) > 1
    np.testing.assert_allclose(rough, list(steps.values()), rtol=0.35, atol=0.05)
