"""From a case to its findings."""

import math
from typing import Any

import pytest

from case_files import DUTY, K2, M112, STRANDS, case, full
from chaincase.case.answer import findings_json
from chaincase.case.changes import changes
from chaincase.case.editing import with_entry, with_value
from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.case.found import Findings
from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import Links
from chaincase.measuring.growth import Link

CATALOG = Catalog.standard()


def found(made: Case) -> Findings:
    return find(made, CATALOG)


def test_an_empty_case_has_no_findings_but_gaps():
    empty = found(case())
    assert (empty.identity, empty.base, empty.spacing, empty.pattern, empty.made, empty.duty) == (None,) * 5 + ({},)
    assert "identity" in {gap.key for gap in empty.gaps}


def test_evidence_settles_the_chain_at_95_percent():
    base = found(case(evidence=M112)).base
    assert base is not None
    assert (base.designation, base.pitch_mm, base.settled_by) == ("M112x160 flanged roller", 160.0, "evidence")
    assert base.probability is not None
    assert base.probability >= 0.95
    assert CATALOG.row(base.key) == base.row


def test_less_leaves_it_open():
    open_case = found(case(evidence={"readings": [{"dimension": "pitch", "value": "25.4 mm"}]}))
    assert open_case.identity is not None
    assert open_case.base is None


def test_a_person_may_choose_against_the_evidence_and_it_is_told():
    chosen = found(full(chosen={"designation": "W132", "by": "application engineer"}))
    assert chosen.base is not None
    assert chosen.base.settled_by == "a person"
    assert any("W132 was chosen, but the evidence points to M112x160" in words for words in chosen.conflicts)


def test_a_chain_of_no_table_may_be_chosen_and_then_needs_its_drawing():
    special = found(full(chosen={"designation": "our own", "by": "application engineer"}))
    assert special.base is not None
    assert special.base.row is None
    assert "identity.figures" in {gap.key for gap in special.gaps}
    assert special.made is not None
    assert special.made.length_mm is None


def test_a_contradiction_of_stamp_and_caliper_is_settled_by_a_person_only():
    evidence = {"marks": [{"text": "WH132", "legibility": "clear"}], "readings": M112["readings"]}
    torn = found(case(evidence=evidence))
    assert torn.base is None
    assert any(gap.key == "conflict.identity" and gap.settles for gap in torn.gaps)
    settled = found(case(evidence=evidence, chosen={"designation": "WH132", "by": "application engineer"}))
    assert not any(gap.key in {"conflict.identity", "identity"} for gap in settled.gaps)


def test_a_wheel_is_evidence_of_the_chain():
    readings = [{"dimension": "pitch", "value": "25.4 mm", "instrument": "caliper"}]
    wheel = {
        "teeth": 17,
        "readings": [
            {"dimension": "outside_diameter", "value": "151.2 mm", "instrument": "caliper"},
            {"dimension": "caliper_diameter", "value": "121.5 mm", "instrument": "caliper"},
        ],
    }
    without, with_it = (found(case(evidence={"readings": readings}, wheels=w)) for w in ([], [wheel]))
    assert share(with_it, "16A-1") > 2 * share(without, "16A-1")
    assert with_it.rests_on["identity"][-1] == "wheels[0]"
    # A pitch of 1 in with a roller of 0.4 in runs on quite another wheel.
    assert share(with_it, "12B-1") <= share(without, "12B-1")


def share(findings: Findings, name: str) -> float:
    assert findings.identity is not None
    return sum(each.probability for each in findings.identity.candidates if each.designation == name)


def test_a_wheel_of_another_chain_does_not_rule_the_right_one_out():
    wheel = {"teeth": 17, "text": "80B17"}
    assert share(found(case(evidence=M112, wheels=[wheel])), "M112x160 flanged roller") > 0.9


def test_probabilities_with_wheels_and_papers_add_to_one():
    known = found(
        case(
            evidence={"readings": [{"dimension": "pitch", "value": "1 in", "instrument": "caliper"}]},
            wheels=[{"teeth": 17, "text": "80B17"}],
            records=[{"text": "16B-1 roller chain"}],
        )
    ).identity
    assert known is not None
    total = math.fsum(each.probability for each in known.candidates) + known.unlisted + known.other
    assert total == pytest.approx(1.0)


def test_a_paper_names_the_chain_but_does_not_settle_it_alone():
    named = found(case(records=[{"text": "WR124 chain, K2 ea 4th", "where": "purchase order"}]))
    assert share(named, "W124") > 0.6
    assert named.base is None
    assert named.records[0].read.values("spacing_pitches") == [4]


def test_a_paper_of_another_chain_is_told_as_a_conflict():
    torn = found(full(records=[{"text": "roller chain 16B-1"}]))
    assert "records[0] names 16B-1, the chain is M112x160 flanged roller" in torn.conflicts


def test_spacing_takes_the_pitch_of_the_chain_and_proposes_a_pattern():
    observed = {"observations": [{"taped": "3.232 m", "gaps": 5}, {"counted": 4}, {"on_links": "inner"}]}
    proposed = found(full(pattern=None, spacing=observed, attachments=[{**K2, "link": "unknown"}]))
    assert proposed.spacing is not None
    assert proposed.spacing.spacing[0].length_mm == 640.0
    assert proposed.pattern is not None
    assert (proposed.pattern.notation, proposed.pattern.settled_by) == ("K2@4 on inner", "proposed")
    assert proposed.pattern.closing is not None
    assert proposed.pattern.closing.closes
    assert "base" in proposed.rests_on["spacing"]


def test_gaps_counted_one_by_one_become_a_repeat():
    counted = {"observations": [{"counted_each": [4, 4, 5, 4, 4, 5]}]}
    carried = found(full(pattern=None, spacing=counted)).pattern
    assert carried is not None
    assert carried.pattern.gaps == (4, 4, 5)


def test_two_kinds_of_attachment_have_an_order_that_only_a_person_tells():
    two = [K2, {**K2, "code": "A1", "form": "straight", "readings": []}]
    assert found(full(pattern=None, attachments=two, spacing={"observations": [{"counted": 4}]})).pattern is None


def test_links_all_alike_follow_from_the_chain():
    evidence = {"marks": [{"text": "WH132", "legibility": "clear"}], "construction": ["welded steel"]}
    made = found(
        case(
            evidence=evidence,
            chosen={"designation": "WH132", "by": "x"},
            attachments=[{"form": "wing"}],
            spacing={"observations": [{"counted": 3}, {"counted": 3}]},
            strands={"pitches": 99},
        )
    )
    assert made.base is not None
    assert made.base.links is Links.ALIKE
    assert made.pattern is not None
    assert made.pattern.pattern.positions[0].link is Link.OFFSET
    assert made.made is not None
    assert made.made.offset_links == 0


def test_the_strand_table():
    table = found(full()).made
    assert table is not None
    assert (table.counts.total, table.counts.with_attachment, table.total.total) == (240, 60, 480)
    assert table.sections == (60, 60, 60, 60)
    assert len(table.joints) == table.counts.connecting == 4
    assert table.length_mm == 240 * 160.0
    assert table.matched_within_mm == 5.0


def test_spare_strands_are_made_too():
    table = found(full(strands={**STRANDS, "spare_strands": 1})).made
    assert table is not None
    assert table.total.total == 3 * 240


def test_an_odd_strand_tells_what_the_offset_link_costs():
    table = found(full(strands={**STRANDS, "pitches": 241}, pattern=None, attachments=None)).made
    assert table is not None
    assert table.offset_links == 1
    assert table.strength_with_offset_kn == pytest.approx((0.65 * 112.0, 0.80 * 112.0))


def test_a_taped_strand_is_corrected_by_the_wear_that_the_readings_show():
    taped = {"observations": [{"taped": "38.79 m"}]}
    odds = found(full(strands={**STRANDS, "pitches": None, **taped}, pattern=None)).strand
    assert odds is not None
    assert odds.pitches[0][0] == 240
    assert "base" in found(full(strands=taped)).rests_on["strand"]


def test_a_drawn_length_and_a_path_over_sprockets_give_a_length_too():
    drawn = found(full(strands={"drawn": "38.4 m"})).made
    over = found(full(strands={}, duty={"length": {"teeth": [8, 8], "centers": "18.56 m"}})).made
    assert drawn is not None
    assert over is not None
    assert (drawn.makeup.strand.pitches, drawn.settled) == (240, True)
    assert (over.makeup.strand.pitches, over.settled) == (240, False)


def test_a_strand_that_cannot_be_made_is_a_conflict():
    torn = found(full(strands={**STRANDS, "hands": "handed pairs"}))
    assert torn.made is None
    assert any("cannot be made so" in words for words in torn.conflicts)


def test_what_was_settled_against_what_was_observed_is_told():
    spaced = found(full(spacing={"observations": [{"counted": 6}, {"counted": 18, "gaps": 3}]}))
    assert any("K2@4 was settled, but the spacing observed is 6" in words for words in spaced.conflicts)
    counted = {**STRANDS, "observations": [{"counted": 200}]}
    assert "240 pitches were settled, but 200 were observed" in found(full(strands=counted)).conflicts
    alike = found(full(pattern={"notation": "K2@4 on offset", "by": "x"}))
    assert any("is for a chain whose links are alike" in words for words in alike.conflicts)


def test_duty_is_answered_for_the_chain_of_the_case():
    wear = {"readings": [{"on": "2024-01-01", "length": "1.61 m", "over": 10, "instrument": "tape"}]}
    duty = {**DUTY, "length": {"teeth": [8, 8], "centers": "18 m"}, "wear": wear}
    answers = found(full(duty=duty))
    assert list(answers.duty) == ["sprockets[0]", "length", "pull", "wear", "verdict"]
    assert answers.duty["sprockets[0]"].number("pitch_diameter_mm") == pytest.approx(160.0 / math.sin(math.pi / 8))
    assert answers.wear is answers.duty["wear"]


def test_duty_waits_for_the_chain():
    waiting = found(case(duty={"length": {"teeth": [8, 8], "centers": "18 m"}}))
    assert not waiting.duty
    assert any("duty.length cannot be answered before the chain is known" in words for words in waiting.warnings)


def test_a_drive_that_names_its_chain_keeps_it():
    drive = {"power": "5 kW", "rpm": 100, "teeth": 19, "chain": {"designation": "16B-1"}}
    answer = found(full(duty={"drive": drive})).duty["drive"]
    assert "16B-1" in str(answer.as_json())


def test_features_keep_who_and_how():
    made = full(features=[{"feature": "material", "part": "pins", "state": "observed", "value": "x", "how": "magnet"}])
    first, *silent = found(made).features
    assert (first.key, str(first.part), first.state, first.how, first.rests_on) == (
        "material", "pins", "observed", "magnet", ("features[0]",),
    )  # fmt: skip
    assert all(each.state == "not asked" for each in silent)


def test_every_place_that_a_finding_rests_on_is_there():
    made = full(
        spacing={"observations": [{"counted": 4}]}, records=[{"text": "M112"}], wheels=[{"teeth": 8, "text": "M112 Z8"}]
    )
    findings = found(made)
    data = made.as_json()
    for place in (place for places in findings.rests_on.values() for place in places):
        assert place in {"identity", "base", "spacing", "strand"} or reached(data, place)


def reached(data: Any, place: str) -> bool:
    for step in place.replace("[", ".[").split("."):
        data = data[int(step[1:-1])] if step.startswith("[") else data[step]
    return data is not None


def test_the_json_of_findings_is_plain():
    import json

    answer = findings_json(found(full(spacing={"observations": [{"counted": 4}]})))
    again = json.loads(json.dumps(answer, allow_nan=False))
    assert again["schema"] == "chaincase/findings-1"
    assert again["base"]["designation"] == "M112x160 flanged roller"
    assert again["made"]["links"]["outer_with_attachment"] == 60
    assert "row" not in again["base"]


def test_a_change_of_evidence_says_what_changed():
    before = case()
    after = before
    for reading in M112["readings"]:
        after = with_entry(after, "evidence.readings", reading)
    after = with_entry(after, "evidence.marks", M112["marks"][0])
    after = with_value(after, "strands.pitches", 240)
    said = changes(found(before), found(after))
    assert said[0].startswith("the chain is M112x160 flanged roller (the evidence gives it ")
    assert "the length of a strand: open, now 240 pitches (settled)" in said
    assert "gap closed: which chain it is" in said
    back = changes(found(after), found(before))
    assert "the chain is open again" in back
    assert "new gap: which chain it is" in back


def test_changes_name_patterns_features_duty_conflicts_and_assumptions():
    before = full(pattern=None, attachments=None, features=None, duty=None)
    after = full(
        assumptions=[{"gap": "sprockets", "assumed": "8 teeth", "by": "engineer"}], duty={"pull": DUTY["pull"]}
    )
    said = "\n".join(changes(found(before), found(after)))
    for words in ("the pattern is K2@4", "attachment: ", "material of the whole chain", "answered: chain pull",
                  "links with attachment in a strand: 0, now 60", "gap accepted by engineer"):  # fmt: skip
        assert words in said
    assert changes(found(after), found(after)) == ()
