"""Lists and searches: the same lines on both engines, each once, last changed first."""

import json

import pytest

from chaincase.errors import BadInput
from chaincase.register import Register
from chaincase.register.listing import Filter
from chaincase.register.summaries import Summary
from registers import Place, change

TITLES = {"HV-1": "Slat conveyor", "HV-2": "Log haul", "HV-3": "Förderkette", "HV-4": "Slat lift"}


def filled(register: Register) -> None:
    for number, (case, title) in enumerate(TITLES.items()):
        filing = {"state": ("open", "asked")[number % 2], "customer": f"c{number // 2}"}
        register.cases.create(case, by="lead", content={"title": title, "notes": "guide rail"}, filing=filing)


def found(register: Register, **only: str) -> list[str]:
    return [line.case for line in register.cases.list(Filter(**only)).lines]


def test_filters(register: Register):
    filled(register)
    assert found(register) == ["HV-4", "HV-3", "HV-2", "HV-1"]
    assert found(register, state="asked") == ["HV-4", "HV-2"]
    assert found(register, customer="c0") == ["HV-2", "HV-1"]
    assert found(register, customer="c0", state="open") == ["HV-1"]
    assert found(register, text="slat") == ["HV-4", "HV-1"]
    assert found(register, text="SLA gui") == ["HV-4", "HV-1"]
    assert found(register, text="slat", state="asked") == ["HV-4"]
    assert found(register, text="forder") == ["HV-3"]
    assert found(register, text="hv-2") == ["HV-2"]
    assert found(register, text="nothing like it") == []
    register.cases.append("HV-1", [change("set", "title", "Apron feeder")], by="lead")
    assert found(register) == ["HV-1", "HV-4", "HV-3", "HV-2"]
    assert found(register, text="slat") == ["HV-4"]
    assert found(register, text="apron") == ["HV-1"]


def test_pages_show_each_line_once_also_while_others_write(register: Register):
    filled(register)
    first = register.cases.list(limit=2)
    register.cases.append("HV-1", [change("set", "title", "Apron feeder")], by="lead")
    second = register.cases.list(after=first.next, limit=2)
    assert [line.case for line in first.lines + second.lines] == ["HV-4", "HV-3", "HV-2"]
    assert second.next == ""
    searched = register.cases.search("guide", limit=3)
    rest = register.cases.search("guide", after=searched.next, limit=3)
    assert [line.case for line in searched.lines + rest.lines] == ["HV-1", "HV-4", "HV-3", "HV-2"]


def test_findings_are_what_a_list_shows(place: Place):
    def summarize(content: dict) -> Summary:
        if content["title"] == "broken":
            raise BadInput("cannot be read", where="title")
        gaps = ("length", "features.material") if content["title"].startswith("Slat") else ()
        return Summary(gaps, len(gaps), 0, f"WR{len(content['title'])}", 0.9)

    with place.open(summarize=summarize) as register:
        filled(register)
        assert found(register, gap="length") == ["HV-4", "HV-1"]
        assert found(register, gap="length", text="lift") == ["HV-4"]
        assert found(register, gap="length", customer="c1") == ["HV-4"]
        assert found(register, ready="make") == ["HV-3", "HV-2"]
        assert found(register, designation="WR9") == ["HV-4"]
        assert found(register, text="wr9") == ["HV-4"]
        line = register.cases.list().lines[0]
        assert (line.gaps, line.gaps_quote, line.probability) == (("length", "features.material"), 2, 0.9)
        assert register.cases.open("HV-4").summary == Summary(("length", "features.material"), 2, 0, "WR9", 0.9)
        register.cases.append("HV-4", [change("set", "title", "Log lift")], by="lead")
        assert found(register, gap="length") == ["HV-1"]
        register.cases.append("HV-4", [change("set", "title", "broken")], by="lead")
        assert register.cases.open("HV-4").summary is None
        assert found(register, ready="make") == ["HV-3", "HV-2"]


def test_what_was_not_summarized_is_made_up_for(place: Place):
    with place.open() as plain:
        filled(plain)
        assert plain.cases.open("HV-1").summary is None
    with place.open(summarize=lambda content: Summary(("length",), 1)) as register:
        assert register.cases.summarize_late(limit=3) == 3
        assert register.cases.summarize_late() == 1
        assert register.cases.summarize_late() == 0
        assert found(register, gap="length") == ["HV-4", "HV-3", "HV-2", "HV-1"]


@pytest.mark.parametrize(
    "ask",
    [
        lambda cases: cases.list(limit=0),
        lambda cases: cases.list(limit=501),
        lambda cases: cases.list(after="; DROP"),
        lambda cases: cases.list(after="9" * 30),
        lambda cases: cases.search("?!"),
        lambda cases: cases.list(Filter.of({"color": "red"})),
        lambda cases: cases.list(Filter.of({"state": 1})),
    ],
)
def test_a_list_that_cannot_be_is_refused(register: Register, ask: object):
    with pytest.raises(BadInput):
        ask(register.cases)


@pytest.mark.parametrize(
    "text", ["'", '"', "a' OR '1'='1", "wr*:(", "NEAR(a b)", "a & !b | c", "\x00", "%_", "ß½Ⅷ", "a" * 5000]
)
def test_no_text_breaks_a_search(register: Register, text: str):
    filled(register)
    register.search(text)
    if any(c.isalnum() for c in text):
        register.cases.search(text)


def test_a_view_keeps_a_filter(register: Register):
    only = Filter(state="asked", text="slat")
    view = register.views.add(by="lead", owner="lead", name="To call", filter=only.as_json())
    assert Filter.of(json.loads(register.views.get(view.id).filter)) == only
