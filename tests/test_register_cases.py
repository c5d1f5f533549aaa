"""Cases of the register: every change kept, none lost, the same on both engines."""

from datetime import UTC, datetime, timedelta

import pytest

from chaincase.errors import BadInput
from chaincase.register import Register
from chaincase.register.faults import Missing, Overtaken
from chaincase.register.ids import uuid7
from registers import Place, change

CONTENT = {
    "title": "Slat conveyor",
    "customer": "Paper mill",
    "evidence": {"construction": ["roller"], "readings": [{"dimension": "pitch", "value": "4.06 in"}]},
}


def made(register: Register, case: str = "HV-102") -> str:
    register.cases.create(case, by="lead", content=CONTENT)
    return case


def outcomes(register: Register, case: str, *events: dict, by: str = "lead") -> list[str]:
    return [result.outcome for result in register.cases.append(case, events, by=by).results]


def test_a_case_is_what_its_events_make(register: Register):
    opened = register.cases.create("HV-102", by="lead", content=CONTENT)
    assert opened.version == 1
    assert opened.content["schema"] == "chaincase/case-1"
    assert opened.content["case"] == "HV-102"
    assert opened.filing == {"state": "open"}
    first = opened.content["evidence"]["readings"][0]["id"]
    appended = register.cases.append(
        "HV-102",
        [
            change("set", f"evidence.readings[{first}].value", "4.07 in", 1),
            change("add", "evidence.readings", {"id": "r2", "dimension": "pin_diameter", "value": "18.9 mm"}, 1),
            change("set", "chosen", {"designation": "WR124", "why": "stamp"}, 1),
            change("set", "filing.state", "asked", 1),
            change("remove", "customer", None, 1),
        ],
        by="fitter",
    )
    assert [result.outcome for result in appended.results] == ["applied"] * 5
    now = register.cases.open("HV-102")
    assert now.content == appended.content
    assert [each["value"] for each in now.content["evidence"]["readings"]] == ["4.07 in", "18.9 mm"]
    assert now.content["chosen"]["why"] == "stamp"
    assert "customer" not in now.content
    assert now.filing == {"state": "asked"}
    assert (now.version, appended.version) == (6, 6)


def test_the_second_writer_of_a_place_is_told_and_nothing_is_lost(register: Register):
    case = made(register)
    assert outcomes(register, case, change("set", "title", "Feed conveyor", 1), by="desk") == ["applied"]
    (result,) = register.cases.append(case, [change("set", "title", "Wet end", 1)], by="phone").results
    assert (result.outcome, result.yours, result.theirs, result.theirs_by) == (
        "conflict",
        "Wet end",
        "Feed conveyor",
        "desk",
    )
    assert result.theirs_at
    opened = register.cases.open(case)
    assert opened.content["title"] == "Feed conveyor"
    (conflict,) = opened.conflicts
    assert (conflict.yours, conflict.theirs, conflict.by) == ("Wet end", "Feed conveyor", "phone")
    assert register.cases.list().lines[0].conflicts == 1
    settled = register.cases.append(case, [change("set", "title", "Wet end feed", opened.version)], by="phone")
    assert settled.results[0].outcome == "applied"
    assert register.cases.conflicts(case) == ()
    history = register.cases.history(case)
    assert [(each.value, each.outcome) for each in history[:3]] == [
        ("Wet end feed", "applied"),
        ("Wet end", "conflict"),
        ("Feed conveyor", "applied"),
    ]
    assert history[0].before == "Feed conveyor"
    assert [each.by for each in history] == ["phone", "phone", "desk", "lead"]


def test_a_conflict_can_be_let_stand(register: Register):
    case = made(register)
    outcomes(register, case, change("set", "title", "A", 1), change("set", "title", "B", 1))
    (conflict,) = register.cases.conflicts(case)
    assert outcomes(register, case, change("keep", "", conflict.id)) == ["applied"]
    assert register.cases.conflicts(case) == ()
    assert register.cases.open(case).content["title"] == "A"


def test_a_client_has_seen_its_own_changes(register: Register):
    case = made(register)
    batch = [change("set", "title", title, 1, client="phone") for title in ("A", "B", "C")]
    assert outcomes(register, case, *batch) == ["applied"] * 3
    assert register.cases.open(case).content["title"] == "C"
    assert outcomes(register, case, change("set", "title", "D", 1, client="other phone")) == ["conflict"]


def test_wanting_what_already_stands_is_no_conflict(register: Register):
    case = made(register)
    assert outcomes(register, case, change("set", "title", "A", 1), change("set", "title", "A", 1)) == ["applied"] * 2


def test_changes_of_different_places_never_conflict(register: Register):
    case = made(register)
    entries = [change("add", "evidence.readings", {"dimension": "pitch", "value": f"{n} in"}, 1) for n in range(3)]
    assert outcomes(register, case, *entries, change("set", "plant", "North", 1)) == ["applied"] * 4
    assert len(register.cases.open(case).content["evidence"]["readings"]) == 4


def test_a_change_inside_what_another_replaced_conflicts(register: Register):
    case = made(register)
    first = register.cases.open(case).content["evidence"]["readings"][0]["id"]
    place = f"evidence.readings[{first}]"
    assert outcomes(register, case, change("remove", place, None, 1)) == ["applied"]
    assert outcomes(register, case, change("set", f"{place}.value", "5 in", 1)) == ["conflict"]
    assert outcomes(register, case, change("remove", place, None, 1)) == ["applied"]
    assert register.cases.open(case).content["evidence"]["readings"] == []


def test_the_same_event_again_changes_nothing(register: Register):
    case = made(register)
    event = change("add", "evidence.marks", {"text": "W?124"}, 1)
    assert outcomes(register, case, event, event) == ["applied", "repeated"]
    version = register.cases.open(case).version
    (again,) = register.cases.append(case, [event], by="lead").results
    assert (again.outcome, again.first, again.seq) == ("repeated", "applied", 2)
    assert register.cases.open(case).version == version
    assert outcomes(register, case, {**event, "value": {"text": "other"}}) == ["refused"]
    other = made(register, "HV-103")
    assert outcomes(register, other, event) == ["refused"]


def test_a_change_waits_for_its_entry(register: Register):
    case = made(register)
    later = change("set", "evidence.marks[m1].where", "inner sidebar", 1, client="phone")
    assert outcomes(register, case, later) == ["waiting"]
    assert "marks" not in register.cases.open(case).content["evidence"]
    entry = change("add", "evidence.marks", {"id": "m1", "text": "W?124"}, 1, client="phone")
    entry["id"] = "00" + entry["id"][2:]  # made before the change that waits
    assert outcomes(register, case, entry) == ["applied"]
    assert register.cases.open(case).content["evidence"]["marks"] == [
        {"id": "m1", "text": "W?124", "where": "inner sidebar"}
    ]


@pytest.mark.parametrize(
    "event",
    [
        change("set", "case", "X", 1),
        change("set", "", "X", 1),
        change("set", "a..b", 1, 1),
        change("set", "a[../x].y", 1, 1),
        change("set", "title", float("nan"), 1),
        change("set", "filing.state", "lost", 1),
        change("set", "filing.color", "red", 1),
        change("add", "evidence.construction", "roller", 1),
        change("add", "evidence.marks", {"id": "a/b"}, 1),
        change("insert", "evidence.marks", {"entry": {}}, 1),
        change("keep", "", "nothing", 1),
        change("set", "title", "x" * 300_000, 1),
        change("set", "title", [[[[[[[[[[[[[[[[[[[[[[[[[[[[[[1]]]]]]]]]]]]]]]]]]]]]]]]]]]]]], 1),
        change("set", "title", "A", -1),
        change("set", "title", "A", 1, extra="field"),
        change("set", "evidence.readings[none].value", "1 in"),
        {"id": "not a uuid", "kind": "set", "path": "title", "value": "A"},
        {"kind": "set", "path": "title"},
        "title",
        None,
    ],
)
def test_what_cannot_be_used_keeps_nothing_else_out(register: Register, event: object):
    case = made(register)
    results = register.cases.append(case, [event, change("set", "plant", "North", 1)], by="lead").results
    assert [result.outcome for result in results] == ["refused", "applied"]
    assert results[0].why
    assert register.cases.open(case).version == 2
    assert register.verify(deep=True).fault is None


def test_undo_is_a_further_event(register: Register):
    case = made(register)
    before = register.cases.open(case).content
    first = before["evidence"]["readings"][0]["id"]
    events = [
        change("set", "title", "Other", 1),
        change("add", "evidence.readings", {"value": "1 in"}, 1),
        change("remove", f"evidence.readings[{first}]", None, 1),
        change("set", "plant", "North", 1),
        change("remove", "customer", None, 1),
    ]
    outcomes(register, case, *events)
    states = [register.cases.undo(case, by="lead").content for _ in events]
    assert states[0]["customer"] == "Paper mill"
    assert "plant" not in states[1]
    assert states[2]["evidence"]["readings"][0]["id"] == first
    assert states[4] == before
    assert register.cases.open(case).version == 11
    with pytest.raises(BadInput, match="nothing to take back"):
        register.cases.undo(case, by="lead")
    last = register.cases.history(case)[0]
    assert register.cases.undo(case, by="lead", event=last.id).content["title"] == "Other"


def test_undo_tells_what_was_changed_since(register: Register):
    case = made(register)
    event = change("set", "title", "A", 1)
    outcomes(register, case, event)
    outcomes(register, case, change("set", "title", "B", 2), by="other")
    with pytest.raises(Overtaken) as caught:
        register.cases.undo(case, by="lead", event=event["id"])
    assert caught.value.theirs == {"path": "title", "value": "B"}
    assert caught.value.version == register.cases.open(case).version == 3


def test_a_case_as_of_any_day(place: Place):
    now = [datetime(2026, 3, 1, 12, tzinfo=UTC)]
    with place.open(clock=lambda: now[0]) as register:
        case = made(register)
        for day in range(1, 4):
            now[0] += timedelta(days=1)
            outcomes(register, case, change("set", "title", f"day {day}", day))
        now[0] -= timedelta(days=3)  # somebody put the clock back: history keeps its order all the same
        outcomes(register, case, change("set", "title", "day 4", 4))
        assert register.cases.at(case, "2026-03-01").content["title"] == "Slat conveyor"
        assert register.cases.at(case, "2026-03-03").content["title"] == "day 2"
        assert register.cases.at(case, "2026-03-04").content["title"] == "day 4"
        assert register.cases.at(case, "2026-03-03").version == 3
        with pytest.raises(Missing):
            register.cases.at(case, "2026-02-28")
        with pytest.raises(BadInput, match="is not a day"):
            register.cases.at(case, "March")


def test_history_comes_in_pages(register: Register):
    case = made(register)
    outcomes(register, case, *(change("set", "title", str(n)) for n in range(7)))
    first = register.cases.history(case, limit=5)
    rest = register.cases.history(case, before=first[-1].seq, limit=5)
    assert [each.seq for each in first + rest] == [8, 7, 6, 5, 4, 3, 2, 1]
    assert rest[-1].was_absent


def test_what_is_not_there_is_missing(register: Register):
    for ask in (register.cases.open, register.cases.history, lambda case: register.cases.undo(case, by="lead")):
        with pytest.raises(Missing):
            ask("HV-1")
    with pytest.raises(Missing):
        register.cases.append("HV-1", [change("set", "title", "A")], by="lead")
    with pytest.raises(BadInput):
        register.cases.create("../HV", by="lead")
    with pytest.raises(BadInput):
        register.cases.create("HV-1", by="a\nb")
    made(register)
    with pytest.raises(BadInput, match="there is a case"):
        register.cases.create("HV-102", by="lead")


def test_creating_twice_by_one_event_is_once(register: Register):
    event = uuid7()
    first = register.cases.create("HV-1", by="lead", event=event)
    assert register.cases.create("HV-1", by="lead", event=event) == first


def test_a_phone_can_begin_a_case(register: Register):
    batch = [
        change("create", "", {"title": "New"}, 0, client="phone"),
        change("set", "title", "Newer", 0, client="phone"),
    ]
    appended = register.cases.append("F-1", batch, by="fitter")
    assert [each.outcome for each in appended.results] == ["applied", "applied"]
    assert register.cases.open("F-1").content == {"schema": "chaincase/case-1", "case": "F-1", "title": "Newer"}


def test_text_of_any_kind_comes_back_as_it_was(register: Register):
    case = made(register)
    texts = [
        "nul \x00 in it",
        "Förderkette ½ in ×",
        "\ud83d\ude00".encode("utf-16", "surrogatepass").decode("utf-16"),
        "'; DROP TABLE event; --",
        "\ud800 half",
    ]
    for text in texts:
        outcomes(register, case, change("set", "notes", text))
        assert register.cases.open(case).content["notes"] == text
        outcomes(register, case, change("set", "title", text))
        assert register.cases.list().lines[0].title.isprintable()
    assert register.verify(deep=True).fault is None


def test_two_registers_open_at_once_see_each_other(place: Place):
    with place.open() as one, place.open() as other:
        case = made(one)
        assert outcomes(other, case, change("set", "title", "A", 1)) == ["applied"]
        assert outcomes(one, case, change("set", "title", "B", 1)) == ["conflict"]
        assert outcomes(other, case, change("set", "title", "C", 3)) == ["applied"]
        assert one.cases.conflicts(case) == ()
        assert one.cases.open(case) == other.cases.open(case)
