"""The lists of a register show what the room `case` finds."""

from pathlib import Path

from chaincase.catalog.table import Catalog
from chaincase.register import open_register
from chaincase.register.listing import Filter
from chaincase.register.service import summarize
from registers import change

CONTENT = {
    "title": "Slat conveyor",
    "evidence": {
        "marks": [{"text": "WR124"}],
        "readings": [{"dimension": "pitch", "value": "4.06 in", "instrument": "tape", "technique": "same edge"}],
    },
}


def test_a_case_is_found_by_what_it_lacks(tmp_path: Path):
    with open_register(tmp_path / "register", summarize=summarize(Catalog.standard())) as register:
        opened = register.cases.create("HV-1", by="lead", content=CONTENT)
        assert opened.summary is not None
        assert opened.summary.ready == "no"
        assert "quantity" in opened.summary.gaps
        assert [line.case for line in register.cases.list(Filter(gap="quantity")).lines] == ["HV-1"]
        register.cases.append("HV-1", [change("set", "quantity", {"strands": 2}, 1)], by="lead")
        assert register.cases.list(Filter(gap="quantity")).lines == ()
        chosen = {"designation": "WR124", "by": "lead", "on": "2026-03-01", "why": "stamp"}
        register.cases.append("HV-1", [change("set", "chosen", chosen, 2)], by="lead")
        assert [line.case for line in register.cases.list(Filter(designation="W124")).lines] == ["HV-1"]


def test_half_typed_content_is_kept_and_the_list_says_nothing_of_it(tmp_path: Path):
    with open_register(tmp_path / "register", summarize=summarize(Catalog.standard())) as register:
        register.cases.create("HV-1", by="lead", content=CONTENT)
        broken = change("add", "evidence.readings", {"dimension": "pitch", "value": "four or so"}, 1)
        (result,) = register.cases.append("HV-1", [broken], by="lead").results
        assert result.outcome == "applied"
        opened = register.cases.open("HV-1")
        assert opened.content["evidence"]["readings"][1]["value"] == "four or so"
        assert opened.summary is None
        assert register.cases.list().lines[0].ready == ""
