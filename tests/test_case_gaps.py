"""What is missing: levels, rank, what closes a gap."""

from typing import Any

import pytest

from case_files import FEATURES, K2, M112, STRANDS, case, full
from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.case.gap import Gap
from chaincase.catalog.table import Catalog

CATALOG = Catalog.standard()


def gaps(made: Case) -> dict[str, Gap]:
    return {gap.key: gap for gap in find(made, CATALOG).gaps}


def test_a_full_case_is_ready():
    findings = find(full(), CATALOG)
    assert findings.gaps == ()
    assert findings.ready("quote")
    assert findings.ready("make")


@pytest.mark.parametrize(
    ("instead", "gap", "level"),
    [
        ({"evidence": None}, "identity", "quote"),
        ({"attachments": None, "pattern": None}, "attachments", "quote"),
        ({"pattern": None}, "spacing", "quote"),
        ({"pattern": None, "spacing": {"observations": [{"counted": 4}, {"counted": 4}]}}, "pattern", "make"),
        ({"strands": {**STRANDS, "pitches": 242}}, "closing", "make"),
        ({"strands": {**STRANDS, "pitches": 241}}, "offset link", "make"),
        ({"strands": {**STRANDS, "pitches": None}}, "length", "quote"),
        ({"strands": {**STRANDS, "number": None}}, "strands", "quote"),
        ({"strands": {**STRANDS, "matched": None}}, "matched", "quote"),
        ({"strands": {**STRANDS, "ends": None}}, "ends", "make"),
        ({"strands": {**STRANDS, "section_most": None}}, "sections", "make"),
        ({"strands": {**STRANDS, "length_tolerance": ""}}, "features.length_tolerance", "make"),
        ({"quantity": None}, "quantity", "quote"),
        ({"features": FEATURES[1:]}, "features.coating", "quote"),
        ({"duty": {"pull": full().duty.pull}}, "sprockets", "make"),
        ({"duty": {"sprockets": [{"teeth": 8}]}}, "load", "make"),
        ({"attachments": [{**K2, "code": "", "readings": []}]}, "attachments.dimensions", "quote"),
    ],
)
def test_what_is_missing_is_a_gap_of_its_level(instead: dict[str, Any], gap: str, level: str):
    found = gaps(full(**instead))
    assert found[gap].level == level
    assert found[gap].question
    assert found[gap].easiest
    assert found[gap].consequence


def test_a_gap_of_making_does_not_bar_a_quote():
    findings = find(full(strands={**STRANDS, "ends": None}), CATALOG)
    assert findings.ready("quote")
    assert not findings.ready("make")


def test_gaps_are_ranked_by_consequence():
    ranks = [gap.rank for gap in find(case(), CATALOG).gaps]
    assert ranks == sorted(ranks, reverse=True)
    assert next(iter(gaps(case()))) == "identity"


def test_the_gap_of_the_identity_asks_for_the_next_reading():
    asked = gaps(case(evidence={"readings": M112["readings"][:2]}))["identity"]
    assert asked.easiest != gaps(case())["identity"].easiest


def test_a_plain_chain_needs_no_spacing_and_no_attachment():
    plain = gaps(full(attachments=None, pattern=None, plain={"by": "millwright, day shift"}))
    assert plain == {}


def test_a_feature_of_some_parts_leaves_the_others_open():
    told = [each for each in FEATURES if each["feature"] != "material"]
    told.append({"feature": "material", "part": "pins", "state": "observed", "value": "carbon steel"})
    asked = gaps(full(features=told))["features.material"]
    assert "rollers" in asked.title
    assert "pins" not in asked.title


def test_asked_and_unknown_stays_open_but_ranks_lower():
    told = [{**each, "state": "unknown", "value": ""} if each["feature"] == "seals" else each for each in FEATURES]
    silent = [each for each in FEATURES if each["feature"] != "seals"]
    asked, never = (gaps(full(features=each))["features.seals"] for each in (told, silent))
    assert asked.rank < never.rank
    assert "nobody knew" in asked.title


def test_two_statements_that_cannot_both_be_true_are_a_gap_that_a_person_settles():
    torn = gaps(full(features=[*FEATURES, {"feature": "coating", "state": "observed", "value": "zinc"}]))
    assert torn["conflict.features.coating"].settles


def test_contradicting_spacing_is_a_gap_until_a_person_settles_the_pattern():
    torn = {"observations": [{"counted": 4, "gaps": 1}, {"counted": 9, "gaps": 1}]}
    assert gaps(full(pattern=None, spacing=torn))["conflict.spacing"].settles
    assert "conflict.spacing" not in gaps(full(spacing=torn))


def test_contradicting_lengths_are_a_gap_until_a_person_settles_them():
    torn = {**STRANDS, "pitches": None, "observations": [{"counted": 240}, {"counted": 120}]}
    assert "conflict.length" in gaps(full(strands=torn))
    assert "conflict.length" not in gaps(full(strands={**torn, "pitches": 240}))


def test_an_accepted_assumption_closes_its_gap_and_is_kept():
    accepted = {"gap": "quantity", "assumed": "2 strands", "by": "application engineer", "on": "2025-03-10"}
    findings = find(full(quantity=None, assumptions=[accepted]), CATALOG)
    assert findings.ready("quote")
    (gap,) = findings.gaps
    assert gap.accepted is not None
    assert (gap.accepted.by, gap.accepted.assumed) == ("application engineer", "2 strands")


def test_an_assumption_that_names_no_gap_is_told():
    unused = find(full(assumptions=[{"gap": "colour", "assumed": "red", "by": "x"}]), CATALOG)
    assert any("assumptions[0] names 'colour'" in words for words in unused.warnings)


def test_of_two_assumptions_on_one_gap_the_later_stands():
    early, late = ({"gap": "quantity", "assumed": day, "by": "x", "on": day} for day in ("2025-01-01", "2025-02-01"))
    for order in ([early, late], [late, early]):
        accepted = gaps(full(quantity=None, assumptions=order))["quantity"].accepted
        assert accepted is not None
        assert accepted.assumed == "2025-02-01"
