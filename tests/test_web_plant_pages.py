"""The plant's pages: the tree, a machine with its chains and their wear, forms that lose no word, tags."""

import re
from datetime import date
from pathlib import Path

import pytest

import web_app
from chaincase.duty.result import Result, Value
from chaincase.register.accounts import Role
from chaincase.web import plant_wear
from pdf_reading import opened, words
from plants_for_web import Ids, cases, plant
from web_app import TestClient


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


def register_of(client: TestClient):
    return client.app.state.server.register


@pytest.fixture
def ids(client: TestClient) -> Ids:
    return plant(register_of(client))


def machine_page(client: TestClient, ids: Ids) -> str:
    return client.get(f"/plant/machines/{ids.machine}").text


def test_an_empty_plant_says_what_to_do_first(client: TestClient):
    assert "No plant is written down yet" in client.get("/plant").text


def test_the_tree_shows_what_runs_where(client: TestClient, ids: Ids):
    page = client.get("/plant").text
    order = [page.index(each) for each in ("River Terminal", "North quay", "Drag conveyor 2", "left strand", "W124")]
    assert order == sorted(order)
    assert "no chain written down" in page
    assert client.get("/plant?customer=nobody").status_code == 200


@pytest.mark.parametrize("text", ["drag con", "M-DC02", "W124", "left", "north", "river", "10442"])
def test_a_search_leads_to_where_it_runs(client: TestClient, ids: Ids, text: str):
    found = re.search(
        r'<ul class="plain sheet">(.*?)</ul>', client.get("/plant", params={"text": text}).text, re.DOTALL
    )
    (address,) = re.findall(r'href="([^"]+)"', found[1])
    assert client.get(address).status_code == 200
    assert "Drag conveyor 2" in client.get(address).text


def test_a_search_that_finds_nothing_says_so(client: TestClient, ids: Ids):
    for text in ("zzz", "?"):
        assert "Nothing in the plant" in client.get("/plant", params={"text": text}).text


def test_a_plant_is_written_down_by_forms_alone(client: TestClient):
    def add(kind: str, of: str, **fields: str) -> str:
        form = client.get(f"/plant/{kind}/new?of={of}").text
        sent = {**dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form)), **fields}
        for _ in range(2):  # sent twice, made once
            assert client.post(f"/plant/{kind}/new", data=sent, follow_redirects=False).status_code == 303
        (row,) = getattr(register_of(client), kind).find()
        return row.id

    customer = add("customers", "", name="Saw mill")
    site = add("sites", customer, name="Yard", address="Mill lane 2")
    machine = add("machines", site, name="Log haul")
    position = add("positions", machine, name="haul chain")
    answer = client.post(
        f"/plant/positions/{position}/install", data={"on": "2024-02-01", "designation": "WR124", "pitches": "240"}
    )
    assert answer.status_code == 200
    (row,) = register_of(client).installed.find()
    assert (row.designation, row.kind, row.pitch, row.pitches) == ("WR124", "welded steel", "101.6 mm", 240)
    assert "WR124" in client.get("/plant").text


def test_the_tag_opens_the_machine(client: TestClient, ids: Ids):
    cases(register_of(client), ids)
    page = client.get("/m/M-DC02").text
    assert "Drag conveyor 2" in page
    assert "HV-102" in page
    assert client.get("/m/none").status_code == 404


def test_wear_is_plotted_with_limit_and_forecast_in_honest_words(client: TestClient, ids: Ids):
    page = machine_page(client, ids)
    assert "<title>Wear of W124, 240 pitches</title>" in page
    assert 'data-part="band"' in page or "band" in page
    assert re.search(r"1\.04 % longer than new on March 1, 2025, give or take 0\.\d\d %", page)
    assert "The limit is 2 %" in page
    assert "If it goes on so, the limit is reached" in page


@pytest.mark.parametrize(
    ("dates", "words"),
    [
        ({}, "cannot be told yet"),
        ({"early": "2027-01-02"}, "may be reached from January 2027 on; no likely date"),
        (
            {"early": "2027-01-02", "middle": "2027-08-01"},
            "from January 2027 on, most likely about August 2027; no latest",
        ),
        (
            {"early": "2027-01-02", "middle": "2027-08-01", "late": "2028-12-01"},
            "between January 2027 and December 2028, most likely about August 2027.",
        ),
        ({"middle": "2027-08-01", "late": "2028-12-01"}, "before December 2028, most likely"),
    ],
)
def test_when_the_limit_is_reached_is_said_as_surely_as_it_is_known(dates: dict[str, str], words: str):
    values = [Value(f"limit_on_{name}", "", day) for name, day in dates.items()]
    assert words in plant_wear._when(Result("s", "t", tuple(values)))


def test_one_reading_gives_no_date(client: TestClient, ids: Ids):
    row = register_of(client).installed.install(
        ids.right, on="2024-01-01", by="desk", designation="W124", kind="welded steel", pitch="4 in"
    )
    sent = {"on": "2025-01-01", "length": "60 1/4 in", "over": "15", "instrument": "tape"}
    assert client.post(f"/plant/installed/{row.id}/wear", data=sent).status_code == 200
    page = machine_page(client, ids)
    assert "When it is reached cannot be told yet" in page
    (reading,) = register_of(client).wear.find(installed=row.id)
    assert (reading.length, reading.over, reading.on) == ("60 1/4 in", 15, "2025-01-01")
    client.post(f"/plant/wear/{reading.id}/remove", data={"version": 1})
    assert register_of(client).wear.find(installed=row.id) == ()


@pytest.mark.parametrize(
    ("field", "text"),
    [("length", "sixty"), ("length", "-3 in"), ("over", "many"), ("over", "0"), ("on", "2025-13-40"), ("on", "")],
)
def test_a_reading_that_cannot_be_used_is_told_and_what_was_typed_stays(
    client: TestClient, ids: Ids, field: str, text: str
):
    sent = {"on": "2025-09-03", "length": "60 3/4 in", "over": "15", "strand": "<i>left", field: text}
    before = len(register_of(client).wear.find(installed=ids.chain))
    answer = client.post(f"/plant/installed/{ids.chain}/wear", data=sent)
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert "&lt;i&gt;left" in answer.text
    assert len(register_of(client).wear.find(installed=ids.chain)) == before


def test_a_chain_of_unknown_kind_says_what_is_missing(client: TestClient, ids: Ids):
    row = register_of(client).installed.install(ids.right, on="2024-01-01", by="desk", designation="special")
    sent = {"on": "2025-01-01", "length": "60 1/4 in", "over": "15", "instrument": "tape"}
    client.post(f"/plant/installed/{row.id}/wear", data=sent)
    page = machine_page(client, ids)
    assert "say the pitch of this chain" in page
    assert "say the kind of this chain" in page


def test_two_people_on_one_row_lose_no_word(client: TestClient, ids: Ids):
    address = f"/plant/machines/{ids.machine}/edit"
    assert 'name="version" value="1"' in client.get(address).text
    client.post(address, data={"version": "1", "name": "Drag conveyor 2", "number": "DC-02", "note": "call first"})
    was = {"was-name": "Drag conveyor 2", "was-number": "", "was-note": ""}
    mine = {"version": "1", "name": "Drag conveyor two", "number": "", "note": "mine"}
    late = client.post(address, data=was | mine)
    assert late.status_code == 409
    # What the second left alone is what the first wrote; where both wrote, both stand.
    assert 'name="number" type="text" value="DC-02"' in late.text
    assert 'value="Drag conveyor two"' in late.text
    assert ">mine</textarea>" in late.text
    assert re.search(r"Theirs, in force now:</strong>.*call first", late.text)
    assert late.text.count("Theirs, in force now") == 1
    assert 'name="version" value="2"' in late.text
    assert register_of(client).machines.get(ids.machine).note == "call first"
    settled = {"version": "2", "name": "Drag conveyor two", "number": "DC-02", "note": "call first; mine"}
    assert client.post(address, data=settled, follow_redirects=False).status_code == 303
    assert register_of(client).machines.get(ids.machine).note == "call first; mine"


def test_a_second_chain_ends_the_first(client: TestClient, ids: Ids):
    address = f"/plant/positions/{ids.left}/install"
    early = client.post(address, data={"on": "2020-01-01", "designation": "H78"})
    assert early.status_code == 422
    assert "before the chain that runs there" in early.text
    for sent in ({"on": ""}, {"on": "2025-01-01", "pitch": "4"}, {"on": "2025-01-01", "strands": "two"}):
        assert client.post(address, data={"designation": "H78", **sent}).status_code == 422
    client.post(address, data={"on": "2025-06-01", "designation": "H78"})
    old = register_of(client).installed.get(ids.chain)
    assert old.until == "2025-06-01"
    assert "Before: 1 chain" in machine_page(client, ids)


def test_what_others_belong_to_is_not_taken_out(client: TestClient, ids: Ids):
    refused = client.post(f"/plant/customers/{ids.customer}/remove", data={"version": 1})
    assert refused.status_code == 422
    assert "a site belongs to this customer" in refused.text
    assert (
        client.post(f"/plant/positions/{ids.right}/remove", data={"version": 1}, follow_redirects=False).status_code
        == 303
    )
    assert "right strand" not in machine_page(client, ids)
    assert client.post(f"/plant/positions/{ids.left}/remove", data={"version": 9}).status_code == 422


@pytest.mark.parametrize("label", ["a6", "a7", "4x6"])
def test_the_tag_is_one_page_with_the_code(client: TestClient, ids: Ids, label: str):
    address = f"/plant/machines/{ids.machine}/tag.pdf?label={label}&address=https://chains.example/"
    answer = client.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    assert "attachment" in answer.headers["content-disposition"]
    text = words(answer.content)
    assert len(opened(answer.content)) == 1
    assert "Drag conveyor 2" in text
    assert "M-DC02" in text
    assert "left strand" in text


def test_a_tag_for_nowhere_is_refused(client: TestClient, ids: Ids):
    assert client.get(f"/plant/machines/{ids.machine}/tag.pdf?label=a0").status_code == 422
    assert client.get(f"/plant/machines/{ids.machine}/tag.pdf?address=javascript:x").status_code == 422
    assert "no phone can open the code" in machine_page(client, ids)


def test_roles(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    ids = plant(served.register)
    reader, field = web_app.signed_in(served, Role.READER), web_app.signed_in(served, Role.FIELD)
    page = reader.get(f"/plant/machines/{ids.machine}").text
    assert "Add a wear reading" not in page
    assert "Put another in" not in page
    sent = {"on": date(2025, 9, 3).isoformat(), "length": "60 3/4 in", "over": "15", "instrument": "tape"}
    assert reader.post(f"/plant/installed/{ids.chain}/wear", data=sent).status_code == 403
    assert field.post(f"/plant/installed/{ids.chain}/wear", data=sent, follow_redirects=False).status_code == 303
    assert served.register.wear.find(installed=ids.chain)[-1].length == "60 3/4 in"
    for address in (
        "/plant/customers/new",
        f"/plant/machines/{ids.machine}/edit",
        f"/plant/positions/{ids.left}/install",
    ):
        for visitor in (reader, field):
            assert visitor.get(address).status_code == 403
            assert visitor.post(address, data={"name": "x"}).status_code == 403
