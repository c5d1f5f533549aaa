"""The register's pages: the list, its filters and kept views, a new case; what each role may."""

import re
from pathlib import Path

import pytest

import web_app
from chaincase.register.accounts import Role
from chaincase.register.listing import Filter
from chaincase.web import register_list
from plants_for_web import Ids, cases, plant
from web_app import TestClient


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


def register_of(client: TestClient):
    return client.app.state.server.register


@pytest.fixture
def ids(client: TestClient) -> Ids:
    made = plant(register_of(client))
    cases(register_of(client), made)
    return made


def shown(client: TestClient, address: str) -> list[str]:
    """Give the cases that a list shows."""
    answer = client.get(address)
    assert answer.status_code == 200, answer.text
    return re.findall(r'class="number" href="/bench/([^"]+)"', answer.text)


def test_an_empty_register_says_what_to_do_first(client: TestClient):
    page = client.get("/register").text
    assert "There is no case yet" in page
    assert 'href="/register/new"' in page
    assert 'href="/register/import"' in page


def test_the_list_shows_chain_odds_gaps_and_who_changed_it(client: TestClient, ids: Ids):
    register_of(client).cases.append(
        "HV-105",
        [{"id": "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e", "kind": "set", "path": "title", "value": "Rake"}],
        by="millwright, day shift",
    )
    page = client.get("/register").text
    lines = re.findall(r"<tr>(.*?)</tr>", page, re.DOTALL)[1:]
    assert [re.search(r"HV-\d+", line)[0] for line in lines] == ["HV-105", "HV-104", "HV-103", "HV-102"]
    assert "millwright, day shift" in lines[0]
    assert "not settled" in lines[0]
    assert "16B-1" in lines[1]
    assert re.search(r"<strong>\d+</strong>.*whether it carries attachments", lines[1], re.DOTALL)
    assert re.search(r"W124.*in 100", lines[3], re.DOTALL)


@pytest.mark.parametrize(
    ("query", "wanted"),
    [
        ("text=drag", ["HV-102"]),
        ("text=hv+10", ["HV-105", "HV-104", "HV-103", "HV-102"]),
        ("state=asked", ["HV-103"]),
        ("text=log&state=open", []),
        ("gap=identity", ["HV-105", "HV-103"]),
        ("ready=no&text=dryer", ["HV-104"]),
        ("customer={customer}", ["HV-102"]),
        ("site={site}", ["HV-102"]),
        ("machine={machine}", ["HV-102"]),
        ("customer=nobody", []),
    ],
)
def test_filters_and_words(client: TestClient, ids: Ids, query: str, wanted: list[str]):
    address = query.format(customer=ids.customer, site=ids.site, machine=ids.machine)
    assert shown(client, f"/register?{address}") == wanted


def test_a_search_without_a_word_says_so_and_keeps_what_was_typed(client: TestClient, ids: Ids):
    answer = client.get("/register?text=%3F%3F")
    assert answer.status_code == 422
    assert "holds no word" in answer.text
    assert 'value="??"' in answer.text


def test_pages_follow_each_other_and_no_case_is_left_out(client: TestClient, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(register_list, "LINES", 4)
    for number in range(10):
        register_of(client).cases.create(f"C-{number}", by="desk", content={"title": "kiln"})
    found, address = [], "/register?text=kiln"
    while address:
        page = client.get(address).text
        found += re.findall(r'class="number" href="/bench/([^"]+)"', page)
        following = re.search(r'href="([^"]+)" rel="next"', page)
        address = following[1].replace("&amp;", "&") if following else ""
        assert not address or "text=kiln" in address
    assert found == [f"C-{number}" for number in reversed(range(10))]


def test_a_place_in_the_list_that_is_none_is_told(client: TestClient):
    answer = client.get("/register?after=x")
    assert answer.status_code == 422
    assert "no place in a list" in answer.text


def test_a_view_is_kept_shown_replaced_and_dropped(client: TestClient, ids: Ids):
    kept = {"name": " waiting for customers ", "filter": Filter(state="asked").as_json()}
    answer = client.post("/register/views", data=kept, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/register?state=asked")
    page = client.get("/register?state=asked").text
    assert re.search(r'href="/register\?state=asked" aria-current="true">waiting for customers', page)
    client.post("/register/views", data={**kept, "filter": Filter(state="open").as_json()})
    (view,) = register_of(client).views.find()
    assert (view.name, view.filter, view.version) == ("waiting for customers", '{"state": "open"}', 2)
    assert client.post(f"/register/views/{view.id}/remove", data={"version": 1}).status_code == 409
    client.post(f"/register/views/{view.id}/remove", data={"version": 2})
    assert register_of(client).views.find() == ()
    assert client.post(f"/register/views/{view.id}/remove", data={"version": 3}).status_code == 404


@pytest.mark.parametrize(
    "sent", [{"name": "", "filter": "{}"}, {"name": "x", "filter": "["}, {"name": "x", "filter": '{"a":"b"}'}]
)
def test_a_view_that_cannot_be_is_refused(client: TestClient, sent: dict[str, str]):
    assert client.post("/register/views", data=sent).status_code == 422
    assert register_of(client).views.find() == ()


def test_a_case_is_begun_once_however_often_the_form_is_sent(client: TestClient, ids: Ids):
    form = client.get(f"/register/new?position={ids.left}").text
    fields = dict(re.findall(r'name="(\w+)"[^>]* value="([^"]*)"', form))
    assert (fields["title"], fields["plant"], fields["position"]) == (
        "Drag conveyor 2, left strand",
        "North quay",
        "left strand",
    )
    for _ in range(2):
        answer = client.post("/register/new", data=fields, follow_redirects=False)
        assert (answer.status_code, answer.headers["location"]) == (303, f"/bench/{fields['case']}")
    opened = register_of(client).cases.open(fields["case"])
    assert (opened.version, opened.content["customer"]) == (1, "River Terminal")
    assert opened.filing == {
        "state": "open",
        "customer": ids.customer,
        "site": ids.site,
        "machine": ids.machine,
        "position": ids.left,
    }


def test_a_number_that_is_taken_keeps_what_was_typed(client: TestClient, ids: Ids):
    answer = client.post("/register/new", data={"case": "HV-102", "title": "Feeder <b>9</b>", "notes": "wet"})
    assert answer.status_code == 422
    assert "there is a case" in answer.text
    assert "Feeder &lt;b&gt;9&lt;/b&gt;" in answer.text
    assert ">wet</textarea>" in answer.text


def test_a_case_begun_with_a_chain_of_the_tables_has_it_settled(client: TestClient):
    assert "16B-1" in client.get("/register/new?chain=iso606_b/16B-1").text
    client.post("/register/new", data={"case": "HV-9", "chain": "iso606_b/16B-1"})
    opened = register_of(client).cases.open("HV-9")
    assert opened.content["chosen"]["designation"] == "iso606_b/16B-1"
    assert opened.summary.designation == "16B-1"
    assert client.get("/register/new?chain=nothing").status_code == 422
    assert client.get("/register/new?machine=nothing").status_code == 404


def test_a_customer_of_the_same_name_is_filed(client: TestClient, ids: Ids):
    client.post("/register/new", data={"case": "HV-9", "customer": "River Terminal"})
    assert register_of(client).cases.open("HV-9").filing["customer"] == ids.customer


def test_roles(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    ids = plant(served.register)
    reader, field = web_app.signed_in(served, Role.READER), web_app.signed_in(served, Role.FIELD)
    page = reader.get("/register").text
    assert "New case" not in page
    assert reader.get("/register/new").status_code == 403
    assert reader.post("/register/new", data={"case": "HV-1"}).status_code == 403
    # A field hand begins a case; what only an engineer settles is kept as a note.
    sent = {"case": "HV-1", "of_machine": ids.machine, "chain": "iso606_b/16B-1"}
    assert field.post("/register/new", data=sent, follow_redirects=False).status_code == 303
    opened = served.register.cases.open("HV-1")
    assert "chosen" not in opened.content
    assert opened.content["records"][0]["text"] == "16B-1"
    assert opened.filing == {"state": "open"}


def test_views_are_ones_own(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    reader, field = web_app.signed_in(served, Role.READER), web_app.signed_in(served, Role.FIELD)
    reader.post("/register/views", data={"name": "mine alone", "filter": '{"state": "open"}'})
    (view,) = served.register.views.find()
    assert "mine alone" in reader.get("/register").text
    assert "mine alone" not in field.get("/register").text
    assert field.post(f"/register/views/{view.id}/remove", data={"version": 1}).status_code == 404


def test_a_customers_link_sees_none_of_these_pages(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    ids = plant(served.register)
    served.register.cases.create("HV-1", by="desk")
    engineer = web_app.signed_in(served, Role.ENGINEER)
    made = engineer.post("/api/v1/cases/HV-1/links", json={"asked": ["quantity"]}).json()
    holder = web_app.client_of(served)
    holder.get(made["address"].removeprefix(served.settings.address))
    paths = (
        "/register",
        "/register/new",
        "/register/import",
        "/plant",
        f"/plant/machines/{ids.machine}",
        "/m/M-DC02",
        "/tables",
    )
    for path in paths:
        answer = holder.get(path, follow_redirects=False)
        assert answer.status_code == 401, path
        assert "River Terminal" not in answer.text
