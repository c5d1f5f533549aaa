"""Adding to a case, and entries typed in one line."""

import pytest

from case_files import case
from chaincase.case import typed
from chaincase.case.editing import joined, new_case, with_entry, with_value


def test_adding_leaves_the_old_case_as_it_was():
    before = new_case("A")
    after = with_entry(before, "evidence.readings", {"dimension": "pitch", "value": "4 in", "id": "r1"})
    assert before.evidence.readings == ()
    assert after.as_json()["evidence"]["readings"][0]["id"] == "r1"
    assert with_value(with_value(after, "strands.number", 2), "strands.number", None).strands.number is None


def test_a_part_of_a_case_is_joined_without_wiping_anything_out():
    before = case(machine="mill", notes="first", evidence={"marks": [{"text": "A"}], "notes": "kept"})
    part = {"case": "other", "machine": "", "notes": "second", "evidence": {"marks": [{"text": "B"}]}, "chosen": None}
    after = joined(before, part)
    assert (after.case, after.machine, after.notes) == ("T-1", "mill", "first\nsecond")
    assert [mark.text for mark in after.evidence.marks] == ["A", "B"]
    assert after.evidence.notes == "kept"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("pitch 163.5 mm tape inner", {"value": "163.5 mm", "instrument": "tape", "link": "inner"}),
        ("pitch=163,5 mm, tape, inner, pins", {"value": "163,5 mm", "reference": "pins"}),
        ("Pitch 24 3/8 in same edge over 4 pitches tape", {"value": "24 3/8 in", "technique": "same edge", "over": 4}),
        ("pin diameter 18.9mm digital caliper", {"dimension": "pin_diameter", "instrument": "digital caliper"}),
        ("width 4 in", {"dimension": "width", "value": "4 in"}),
        ("barrel diameter: 1 in", {"dimension": "bush_diameter"}),
        ("pitch 4 in inside edges", {"value": "4 in", "technique": "inside edges"}),
    ],
)
def test_a_reading_in_one_line(line: str, expected: dict[str, object]):
    read = typed.reading(line)
    assert {key: read[key] for key in expected} == expected
    assert case(evidence={"readings": [read]}).evidence.readings[0].reading().value


def test_spacings_and_strands_in_one_line():
    assert typed.spacing("counted 12 pitches over 3 gaps") == {"counted": 12, "gaps": 3}
    assert typed.spacing("taped 4 ft 0 1/2 in") == {"taped": "4 ft 0 1/2 in"}
    assert typed.spacing("4, 4, 5") == {"counted_each": [4, 4, 5]}
    assert typed.spacing("piece of 7") == {"sample_links": 7, "attachments_at": []}
    assert typed.strand("counted 240 links") == {"counted": 240}


def test_an_attachment_in_one_line():
    read = typed.attachment("Bent; one side; inner link; no holes; code A-1; platform height 1 1/2 in caliper")
    assert (read["form"], read["sides"], read["link"], read["holes"], read["code"]) == (
        "bent",
        "one",
        "inner",
        0,
        "A-1",
    )
    assert case(attachments=[read]).attachments[0].lengths()[0].dimension == "platform_height"
