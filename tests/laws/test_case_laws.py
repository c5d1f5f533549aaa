"""What must hold for every case."""

import random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from case_files import FEATURES, K2, M112, STRANDS, full
from chaincase.case.editing import with_entry
from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.case.found import Findings
from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import Links
from chaincase.makeup.patterns import Sides, constant
from chaincase.makeup.strands import Strand, count_links

CATALOG = Catalog.standard()
few = settings(max_examples=8, deadline=None)

PARTS: dict[str, Any] = {
    "evidence": M112,
    "attachments": [K2, {"form": "wing", "code": "F4"}],
    "spacing": {"observations": [{"counted": 4}, {"taped": "3.23 m", "gaps": 5}, {"on_links": "outer"}]},
    "pattern": {"notation": "K2@4", "by": "application engineer"},
    "strands": {**STRANDS, "pitches": None, "observations": [{"counted": 240}, {"taped": "38.8 m"}]},
    "quantity": {"strands": 2},
    "features": FEATURES[:6],
    "records": [{"text": "M112 chain"}, {"text": "K2 ea 4th"}],
    "wheels": [{"teeth": 8, "readings": [{"dimension": "outside_diameter", "value": "430 mm", "instrument": "tape"}]}],
    "duty": None,
}


def some_case(without: set[str]) -> Case:
    return full(**{key: None if key in without else value for key, value in PARTS.items()})


missing = st.sets(st.sampled_from(sorted(PARTS)))


@few
@given(missing)
def test_findings_are_the_same_every_time(without: set[str]):
    assert find(some_case(without), CATALOG) == find(Case.of(some_case(without).as_json()), CATALOG)


@few
@given(missing, st.data())
def test_an_accepted_assumption_closes_exactly_its_gap(without: set[str], data: st.DataObject):
    made = some_case(without)
    before = find(made, CATALOG)
    if not before.gaps:
        return
    key = data.draw(st.sampled_from([gap.key for gap in before.gaps]))
    after = find(with_entry(made, "assumptions", {"gap": key, "assumed": "so", "by": "application engineer"}), CATALOG)
    assert {gap.key for gap in before.open_gaps} - {gap.key for gap in after.open_gaps} == {key}
    assert [gap.key for gap in before.gaps] == [gap.key for gap in after.gaps]
    assert (before.base, before.pattern, before.made) == (after.base, after.pattern, after.made)


@few
@given(missing, st.integers(0, 10_000))
def test_the_order_of_entries_changes_no_finding(without: set[str], seed: int):
    made = some_case(without)
    other_order = shuffled(made.as_json(), random.Random(seed))  # noqa: S311 - no secret
    one, other = find(made, CATALOG), find(Case.of(other_order), CATALOG)
    assert told(one) == told(other)
    if one.identity is not None and other.identity is not None:
        shares = [{each.designation: each.probability for each in f.candidates} for f in (one.identity, other.identity)]
        assert shares[0] == pytest.approx(shares[1], abs=1e-9)


def shuffled(data: Any, draw: random.Random) -> Any:
    """Give a case whose lists of entries stand in another order."""
    if isinstance(data, dict):
        return {key: shuffled(value, draw) for key, value in data.items()}
    if isinstance(data, list) and data and all(isinstance(each, dict) for each in data):
        return draw.sample([shuffled(each, draw) for each in data], len(data))
    return data


def told(found: Findings) -> dict[str, Any]:
    return {
        "base": found.base and (found.base.key, found.base.settled_by),
        "attachments": sorted(each.words for each in found.attachments),
        "spacing": found.spacing and [(each.pitches, round(each.probability, 9)) for each in found.spacing.spacing[:3]],
        "pattern": found.pattern and found.pattern.notation,
        "strand": found.strand and [(n, round(p, 9)) for n, p in found.strand.pitches[:3]],
        "made": found.made and (found.made.counts, found.made.sections, found.made.joints),
        "features": sorted((each.key, str(each.part), str(each.state), each.value) for each in found.features),
        "gaps": [(gap.key, gap.level) for gap in found.gaps if not gap.key.startswith("attachments.dimensions")],
    }


@given(st.integers(2, 600), st.integers(2, 12), st.sampled_from(Links))
def test_link_counts_add_up_to_the_strand(pitches: int, spacing: int, links: Links):
    from chaincase.measuring.growth import Link

    on = Link.OFFSET if links is Links.ALIKE else Link.OUTER
    counts = count_links(Strand(pitches, links, constant(spacing, "K1", Sides.BOTH, on)))
    assert counts.total == pitches


@given(st.integers(1, 12), st.integers(1, 20))
def test_a_pattern_repeated_n_times_has_n_times_the_attachments(spacing: int, times: int):
    assert len(constant(spacing).repeated(times).positions) == times
