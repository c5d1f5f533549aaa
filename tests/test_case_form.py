"""The form `chaincase/case-1`: kept as it came, checked whole."""

import json
from importlib import resources

import pytest

from case_files import M112, case, full
from chaincase.case.form import Case
from chaincase.errors import BadInput


def test_a_case_is_given_back_as_it_came():
    data = {
        "schema": "chaincase/case-1",
        "case": "HV-1",
        "evidence": {
            "readings": [{"id": "a1", "dimension": "pitch", "value": 4.06, "by": "millwright", "on": "2025-03-01"}]
        },
        "duty": {"length": {"teeth": [17, 51], "centers": "800 mm", "id": "d1"}},
        "wheels": [{"teeth": 17, "text": "80B17"}],
        "of another kind": 1,
    }
    assert Case.of(data).as_json() == data
    assert Case.of(json.loads(json.dumps(data))) == Case.of(data)


def test_what_is_given_back_can_be_changed_without_changing_the_case():
    made = full()
    made.as_json()["evidence"]["readings"].clear()
    assert len(made.evidence.readings) == 4


def test_keys_that_mean_nothing_are_named_with_their_place():
    made = case(
        titel="x",
        evidence={"readings": [{"dimension": "pitch", "value": "4 in", "instument": "tape"}]},
        spacing={"observations": [{"counted": 4, "gap": 2}]},
        attachments=[{"form": "bent", "color": "red"}],
    )
    places = {"titel", "evidence.readings[0].instument", "spacing.observations[0].gap", "attachments[0].color"}
    assert {words.removesuffix(" means nothing here and was left out") for words in made.warnings()} == places


def test_who_and_when_of_a_reading_reach_the_evidence():
    made = case(
        evidence={"readings": [{"dimension": "pitch", "value": "4 in", "by": "millwright", "on": "2025-03-01"}]}
    )
    reading = made.identity_evidence().readings[0]
    assert (reading.who, reading.when) == ("millwright", "2025-03-01")


def test_the_number_on_a_wheel_counts_as_its_mark():
    assert case(wheels=[{"teeth": 17, "text": "80B17"}]).wheels[0].marks == ("80B17",)


def test_spacing_takes_pitch_and_construction_from_the_identity_only_where_they_are_not_given():
    part = case(spacing={"observations": [{"counted": 4, "by": "x"}]}).spacing
    assert part.evidence("160 mm", ("roller",)).pitch == "160 mm"
    own = case(spacing={"pitch": "4 in", "construction": ["welded steel"]}).spacing.evidence("160 mm", ("roller",))
    assert (own.pitch, own.construction) == ("4 in", ("welded steel",))


def test_the_invented_cases_are_cases_without_doubt():
    folder = resources.files("chaincase.demo") / "cases"
    opened = [Case.parse(file.read_text(encoding="utf-8")) for file in folder.iterdir() if file.name.endswith(".json")]
    assert sorted(each.case for each in opened) == ["HV-101", "HV-102", "HV-103"]
    assert all(each.warnings() == [] and "invented" in each.marked for each in opened)


@pytest.mark.parametrize("number", ["", "a b", "../x", "-a", "a" * 65, ".", 7])
def test_a_number_that_could_be_no_file_name_is_refused(number: object):
    with pytest.raises(BadInput, match="is not the number of a case"):
        Case.of({"schema": "chaincase/case-1", "case": number})


def test_evidence_may_carry_its_own_schema():
    assert case(evidence={"schema": "chaincase/evidence-1", **M112}).warnings() == []
