"""Very large catalogs: the first stage, and that two stages give what scoring every row gives."""

import numpy as np
import pytest

from builders import SOURCE, evidence, reading
from chaincase import Catalog, identify
from chaincase.calibration.samples import sample_of
from chaincase.catalog.table import Row, build
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.columns import STEP, bin_of, coded_column, coded_name, no_cell, size_of
from chaincase.identifying.evidence import Evidence, Mark
from chaincase.identifying.expectation import expectation
from chaincase.identifying.identification import summarize
from chaincase.identifying.likelihood import Case, grouped, likelihoods
from chaincase.identifying.near_names import near_names
from chaincase.identifying.posterior import hypotheses, posterior
from chaincase.identifying.proposal import FULL, SCORED_WHOLE, Question, propose
from chaincase.identifying.right_readings import KIND_LINKS
from chaincase.identifying.scanning import above, look_up, look_up_all
from chaincase.identifying.sizes import Measured
from chaincase.identifying.surrogate import construction_surrogate, surrogates
from grown import grown

LARGE = grown(20_000)
SEED = 3000


def sampled(index: int, catalog: Catalog = LARGE) -> tuple[Evidence, int | None]:
    drawn = sample_of(SEED, index, catalog)
    return Evidence.of(drawn.evidence), drawn.row


def ones(given: Evidence) -> tuple[Measured, ...]:
    return hypotheses(given.parsed_readings())[0][1]


FIVE = evidence(
    reading("pitch", "101.9 mm", "tape"),
    reading("pin_diameter", "15.7 mm"),
    reading("sidebar_height", "38.2 mm"),
    reading("width", "60.1 mm"),
    reading("roller_diameter", "44.0 mm"),
    construction=("offset sidebar",),
)


def test_small_catalogs_are_scored_whole():
    standard = Catalog.standard()
    assert len(standard) <= SCORED_WHOLE
    for index in range(12):
        given = Evidence.of(sample_of(SEED, index, standard).evidence)
        found, whole = posterior(given, standard), posterior(given, standard, whole=True)
        assert found.catalog is standard
        assert found.other == 0.0
        np.testing.assert_array_equal(found.rows, np.arange(len(standard)))
        np.testing.assert_allclose(found.probability, whole.probability, atol=1e-12)
        assert found.unlisted == pytest.approx(whole.unlisted, abs=1e-12)


def test_two_stages_agree_with_scoring_every_row():
    """Rows keep their odds exactly; what is left out is within its bound; "unlisted" is estimated to some percent."""
    off = []
    for index in range(24):
        given, _ = sampled(index)
        found, whole = posterior(given, LARGE), posterior(given, LARGE, whole=True)
        count = int(np.count_nonzero(found.probability))
        proposed = found.rows[:count]
        assert found.probability.sum() + found.unlisted + found.other == pytest.approx(1.0, abs=1e-12)
        left_out = 1.0 - whole.probability[proposed].sum() - whole.unlisted
        assert left_out <= found.other_bound * (1 + 1e-9) + 1e-12
        assert found.other <= found.other_bound * (1 + 1e-9)
        assert found.from_readings[:count] == pytest.approx(whole.from_readings[proposed], rel=1e-9, abs=1e-9)
        both = whole.probability[proposed] > 1e-9
        gap = np.abs(found.probability[:count][both] - whole.probability[proposed][both])
        assert gap.max() <= max(found.other_bound, 0.05)
        off.append(found.unlisted - whole.unlisted)
    assert np.sqrt(np.mean(np.square(off))) < 0.015


def test_a_survey_takes_less_trouble_and_names_the_same_chain():
    for index in range(12):
        given, _ = sampled(index)
        whole = posterior(given, LARGE, whole=True)
        best = int(whole.probability.argmax())
        if whole.probability[best] > 0.6:
            assert summarize(given, LARGE).designation == LARGE.designations[best]


def test_the_true_row_is_proposed():
    """Whenever three readings or more were taken; one or two leave thousands of rows alike."""
    asked = [sampled(index) for index in range(150)]
    told = [(given, row) for given, row in asked if row is not None and len(ones(given)) >= 3]
    assert len(told) > 60
    for given, row in told:
        proposal = propose(
            Question([each for _, each in hypotheses(given.parsed_readings())], given.marks, given.construction), LARGE
        )
        assert row in proposal.rows[: proposal.proposed]


@pytest.mark.parametrize("given", [evidence(), evidence(construction=("roller",)), evidence(marks=("???",))])
def test_evidence_that_says_next_to_nothing_leaves_all_rows_to_others(given: Evidence):
    answer = identify(given, LARGE)
    assert sum(each.probability for each in answer.candidates) + answer.unlisted + answer.other == pytest.approx(1.0)
    assert answer.other > 0.7
    assert 0 < len(answer.candidates) <= FULL.rows


def test_bare_numbers_are_looked_for_in_both_units():
    row = int(np.flatnonzero(~np.isnan(LARGE.values[:, [COLUMN["pitch"], COLUMN["pin_diameter"]]]).any(axis=1))[5])
    pitch, pin = LARGE.values[row, COLUMN["pitch"]], LARGE.values[row, COLUMN["pin_diameter"]]
    given = evidence(reading("pitch", f"{pitch / 25.4:.3f}"), reading("pin_diameter", f"{pin / 25.4:.3f}"))
    found, whole = posterior(given, LARGE), posterior(given, LARGE, whole=True)
    assert found.unit == whole.unit == "in"
    assert row in found.rows[np.flatnonzero(found.probability)]


def test_a_clear_stamp_brings_a_row_in_that_the_readings_rule_out():
    row = 12_345
    given = FIVE.model_copy(update={"marks": evidence(marks=(LARGE.designations[row],)).marks})
    proposal = propose(Question([ones(given)], given.marks, given.construction), LARGE)
    assert row in proposal.rows[: proposal.proposed]
    assert row not in propose(Question([ones(FIVE)], (), FIVE.construction), LARGE).rows


def test_the_quick_score_is_the_likelihood_but_for_mistaken_dimensions():
    expected, links = expectation(LARGE), KIND_LINKS[LARGE.kind]
    every = np.arange(len(LARGE))
    groups = grouped(ones(FIVE))
    for group, says in zip(groups, surrogates(groups, LARGE), strict=True):
        full = likelihoods([Case(group, expected, links)])[0].listed
        quick = look_up(says, every)
        near = full > full.max() - 3
        assert np.abs(quick[near] - full[near]).mean() < 0.5
        assert (np.logaddexp(quick, says.ceiling) > full - 1.0).mean() > 0.995


@pytest.mark.parametrize("quantile", [0.5, 0.9, 0.999])
def test_no_row_above_the_least_score_is_missed(quantile: float):
    says = [*surrogates(grouped(ones(FIVE)), LARGE), construction_surrogate(FIVE.construction, LARGE)]
    looked = look_up_all(says, np.arange(len(LARGE)), len(LARGE))
    score = looked.sum(axis=0)
    least = float(np.quantile(score, quantile))
    found = above(says, len(LARGE), least, looked.mean(axis=1))
    assert set(np.flatnonzero(score > least + 1e-4)) <= set(found.tolist())
    assert len(found) < 2 * (1 - quantile) * len(LARGE) + 100


def test_codes_keep_sizes():
    column = COLUMN["pin_diameter"]
    coded = coded_column(LARGE, column)
    listed = np.flatnonzero(~np.isnan(LARGE.values[:, column]))
    assert (coded.codes[listed] < no_cell(column)).all()
    sizes = LARGE.values[listed, column]
    np.testing.assert_allclose(size_of(bin_of(np.log(sizes))), sizes, rtol=STEP)


def test_a_height_is_looked_up_on_either_plate_where_there_is_no_sidebar():
    rows = [
        Row("A", "offset sidebar", {"pitch": 100.0, "sidebar_height": 40.0}),
        Row("B", "roller", {"pitch": 25.4, "inner_plate_height": 24.0, "outer_plate_height": 21.0}),
        Row("C", "detachable", {"pitch": 30.0}),
    ]
    looks = coded_name(build(SOURCE, rows), "sidebar_height")
    none = no_cell(COLUMN["sidebar_height"])
    assert len(looks) == 2
    assert [look[0] == none for look in looks] == [False, True]
    assert [look[1] == none for look in looks] == [False, False]
    assert [look[2] == none for look in looks] == [True, True]


@pytest.mark.parametrize(
    "mark",
    ["W124", "w-124", "W?24", "*124", "W12*", "W1Z4", "WI24", "W132 9/88", "KOP W124", "W?2?", "W1244", "V124"],
)
def test_names_near_a_damaged_stamp_are_found(mark: str):
    names = [f"X{i}" for i in range(3000)] + ["W124", "W132"]
    catalog = build(SOURCE, [Row(designation=name, kind="welded steel", values={"pitch": 100.0}) for name in names])
    wanted = 3001 if "132" in mark else 3000
    assert wanted in near_names([Mark(text=mark, legibility="corroded")], catalog)[0].rows


def test_leaf_chain_is_found_by_its_other_number():
    """ISO 4347:2015 clause 3: LH and BL number one chain, pitch in 1/16 or 1/8 in."""
    rows = [Row(designation=name, kind="leaf", values={"pitch": 12.7}) for name in ("AL544", "LH0822", "LH1234")]
    assert 1 in near_names([Mark(text="BL422", legibility="clear")], build(SOURCE, rows))[0].rows


def test_a_stamp_without_pairs_of_characters_names_nobody():
    for mark in ("?", "??*", "W", "W*4", "W??4"):
        assert not len(near_names([Mark(text=mark, legibility="clear")], LARGE)[0].rows)


def test_taking_rows_gives_those_rows():
    rows = np.array([7, 3, 3, 19_999])
    part = LARGE.take(rows)
    assert part.designations == tuple(LARGE.designations[row] for row in rows)
    np.testing.assert_array_equal(part.values, LARGE.values[rows])
    np.testing.assert_array_equal(part.kind, LARGE.kind[rows])
    assert part.sources == LARGE.sources
