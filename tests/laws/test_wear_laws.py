"""What must always hold of an estimate of wear."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import catalog, evidence, reading
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.expectation import expectation
from chaincase.identifying.posterior import posterior
from chaincase.identifying.wear import PitchSeen, elongation_law, loss_law, wear_of

PITCH, SPREAD = 25.4, 0.04
PRIOR = elongation_law([], PITCH, SPREAD)
TABLE = catalog(("16A", "roller", {"pitch": PITCH, "pin_diameter": 7.92, "bush_bore": 7.97}))
ONE = expectation(TABLE).only(0)

growths = st.floats(min_value=0.0, max_value=0.08)
sure = st.sampled_from([((1.0, 1.0),), ((2.0, 1.0),), ((2 / 3, 1.0),)])
unsure = st.sampled_from([((0.0, 0.5), (2.0, 0.5)), ((0.0, 0.15), (2.0, 0.85))])
uncertainties = st.floats(min_value=0.01, max_value=0.5)


@given(growths, growths, sure, uncertainties)
@settings(max_examples=60, deadline=None)
def test_more_growth_read_never_gives_less_elongation(a, b, grows, u):
    """Holds where it is known how often wear shows; a link not named may be the one that does not grow."""
    low, high = sorted((a, b))
    less, more = (elongation_law([PitchSeen(PITCH * (1 + e), u, grows)], PITCH, SPREAD) for e in (low, high))
    assert more.mean >= less.mean - 1e-9
    assert more.quantile(0.975) >= less.quantile(0.975) - 1e-9


@given(growths, st.one_of(sure, unsure), uncertainties)
@settings(max_examples=60, deadline=None)
def test_an_elongation_is_a_distribution_about_its_own_mean(e, grows, u):
    law = elongation_law([PitchSeen(PITCH * (1 + e), u, grows)], PITCH, SPREAD)
    assert 0.0 <= law.none <= 1.0
    assert 0.0 <= law.quantile(0.025) <= law.quantile(0.5) <= law.quantile(0.975) <= 0.2
    assert 0.0 <= law.mean <= 0.2


@given(growths, uncertainties)
@settings(max_examples=30, deadline=None)
def test_a_link_that_keeps_its_pitch_leaves_the_prior(e, u):
    law = elongation_law([PitchSeen(PITCH * (1 + e), u, ((0.0, 1.0),))], PITCH, SPREAD)
    assert law.mean == pytest.approx(PRIOR.mean)
    assert law.none == pytest.approx(PRIOR.none)
    assert law.quantile(0.975) == pytest.approx(PRIOR.quantile(0.975))


@given(st.integers(min_value=8, max_value=40).map(lambda n: 2 * n), st.floats(min_value=0.0, max_value=0.0015))
@settings(max_examples=30, deadline=None)
def test_a_new_chain_shows_next_to_no_elongation(over, tolerance):
    """New chain is 0 to +0.15 % long (ISO 606)."""
    taped = reading("pitch", f"{over * PITCH * (1 + tolerance):.1f} mm", "tape", over=over)
    (found,) = wear_of(0, posterior(evidence(taped), TABLE).measured, TABLE)
    assert found.elongation_percent < 0.4
    assert found.low == 0.0


@given(st.floats(min_value=7.0, max_value=8.0), st.floats(min_value=0.0, max_value=0.5), uncertainties)
@settings(max_examples=40, deadline=None)
def test_a_thinner_pin_has_lost_no_less_and_a_wider_bore_too(size, less, u):
    pin, bore = COLUMN["pin_diameter"], COLUMN["bush_bore"]
    assert loss_law([size - less], [u], ONE, pin).mean >= loss_law([size], [u], ONE, pin).mean - 1e-9
    assert loss_law([size + less], [u], ONE, bore).mean >= loss_law([size], [u], ONE, bore).mean - 1e-9
