"""On one's own computer: who sits there says a name, and it stands beside what they change."""

from pathlib import Path

import pytest

import web_app
from chaincase.register.accounts import Role
from web_app import TestClient


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("millwright, day shift", "millwright, day shift"),
        ("  quality \n desk ", "quality desk"),
        ("工場 保全", "工場 保全"),
        ("", "this computer"),
        ("\u202e\u2066", "this computer"),
        ("<b>x</b>; a=b", "<b>x</b>; a=b"),
        ("n" * 500, "n" * 100),
    ],
)
def test_the_name_is_written_beside_changes(client: TestClient, typed: str, kept: str) -> None:
    answer = client.post("/name", data={"name": typed, "to": "/register"}, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/register")
    assert "HttpOnly" in answer.headers["set-cookie"]
    assert client.get("/api/v1/account").json()["name"] == kept
    assert client.post("/api/v1/cases", json={"case": "N-1"}).status_code == 201
    assert client.get("/api/v1/cases/N-1/history").json()[0]["by"] == kept


def test_the_page_shows_it_and_goes_back_where_one_was(client: TestClient) -> None:
    client.post("/name", data={"name": "quality <desk>"})
    text = client.get("/name", headers={"referer": "http://127.0.0.1/register?x=1"}).text
    assert 'value="quality &lt;desk&gt;"' in text
    assert 'name="to" value="/register"' in text
    assert "quality &lt;desk&gt;" in client.get("/register").text
    answer = client.post("/name", data={"to": "//evil.example"}, follow_redirects=False)
    assert answer.headers["location"] == "/evil.example"


def test_views_stay_whatever_one_is_called(client: TestClient) -> None:
    wanted = {"name": "open ones", "filter": {"state": "open"}}
    assert client.post("/api/v1/views", json=wanted).status_code == 201
    client.post("/name", data={"name": "quality desk"})
    assert [each["name"] for each in client.get("/api/v1/views").json()] == ["open ones"]


def test_a_company_has_names_from_accounts(tmp_path: Path) -> None:
    client = web_app.signed_in(web_app.server(tmp_path, accounts=True), Role.ENGINEER)
    assert client.get("/name").status_code == 404
    client.cookies.set("chaincase-name-80", "somebody%20else")
    assert client.get("/api/v1/account").json()["name"] == "engineer, day shift"
