"""Customers' links: one case, only what was asked, nothing to be seen, an end."""

from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

import web_app
from chaincase.register.accounts import Role
from chaincase.web import links
from chaincase.web.server import Server
from web_app import TestClient


@pytest.fixture
def served(tmp_path: Path) -> Server:
    made = web_app.server(tmp_path, accounts=True)
    content = {
        "title": "Ash drag",
        "evidence": {"readings": [{"id": "r1", "dimension": "pitch", "value": "4 in", "by": "desk"}]},
    }
    made.register.cases.create("HV-1", by="desk", content=content)
    made.register.cases.create("HV-2", by="desk")
    return made


def link(served: Server, asked: list[str], days: int = 3) -> tuple[dict[str, Any], TestClient]:
    engineer = web_app.signed_in(served, Role.ENGINEER)
    made = engineer.post("/api/v1/cases/HV-1/links", json={"asked": asked, "days": days, "note": "please"}).json()
    holder = web_app.client_of(served)
    answer = holder.get(made["address"].removeprefix(served.settings.address), follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/answer")
    return made, holder


def event(kind: str, path: str, value: Any = None) -> dict[str, Any]:
    return {"id": str(uuid4()), "kind": kind, "path": path, "value": value}


def send(holder: TestClient, *events: dict[str, Any]) -> list[str]:
    answer = holder.post("/api/v1/answer/events", json={"events": list(events)})
    assert answer.status_code == 200, answer.text
    assert {*answer.json()[0]} >= {"id", "outcome", "why"}
    assert all(not each["theirs"] and not each["theirs_by"] for each in answer.json())
    return [each["outcome"] for each in answer.json()]


def test_a_holder_sees_what_is_asked_and_nothing_else(served: Server) -> None:
    _, holder = link(served, ["quantity", "pitch"])
    asked = holder.get("/api/v1/answer").json()
    assert asked["asked"] == ["quantity", "pitch"]
    assert "Ash drag" not in str(asked)
    for path in (
        "/api/v1/cases",
        "/api/v1/cases/HV-1",
        "/api/v1/cases/HV-1/findings",
        "/api/v1/cases/HV-1/history",
        "/account",
    ):
        assert holder.get(path).status_code == 401, path
    assert holder.post("/api/v1/cases/HV-1/events", json={"events": []}).status_code == 401


def test_a_holder_adds_and_mends_own_entries_where_asked(served: Server) -> None:
    _, holder = link(served, ["quantity", "pitch"])
    reading = event("add", "evidence.readings", {"dimension": "pitch", "value": "4.1 in", "by": "desk"})
    assert send(holder, reading, event("set", "quantity.strands", 2)) == ["applied", "applied"]
    assert send(holder, reading) == ["repeated"]
    assert send(holder, event("set", f"evidence.readings[{reading['id']}].value", "4.06 in")) == ["applied"]
    content = served.register.cases.open("HV-1").content
    assert content["quantity"] == {"strands": 2}
    mine = content["evidence"]["readings"][1]
    assert mine["value"] == "4.06 in"
    assert mine["by"].startswith("customer, link ")
    assert send(holder, event("remove", f"evidence.readings[{reading['id']}]")) == ["applied"]


@pytest.mark.parametrize(
    ("kind", "path", "value"),
    [
        ("set", "chosen", {"designation": "WH124"}),
        ("set", "filing.state", "closed"),
        ("add", "assumptions", {"gap": "identity"}),
        ("set", "spacing.pitch", "4 in"),
        ("set", "title", "x"),
        ("set", "evidence.readings[r1].value", "5 in"),
        ("remove", "evidence.readings[r1]", None),
        ("set", "evidence.readings", []),
        ("remove", "evidence", None),
        ("set", "evidence", {}),
        ("create", "", {"title": "x"}),
        ("keep", "", "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e"),
        ("insert", "evidence.readings", {"place": 0, "entry": {}}),
        ("set", "", 1),
        ("add", "evidence..readings", {}),
    ],
)
def test_a_holder_changes_nothing_else(served: Server, kind: str, path: str, value: Any) -> None:
    _, holder = link(served, ["quantity", "pitch"])
    before = served.register.cases.open("HV-1").content
    assert send(holder, event(kind, path, value)) == ["refused"]
    assert served.register.cases.open("HV-1").content == before


def test_what_is_answered_is_not_answered_over(served: Server) -> None:
    _, holder = link(served, ["quantity"])
    assert send(holder, event("set", "quantity.strands", 2)) == ["applied"]
    assert send(holder, event("set", "quantity.strands", 3)) == ["refused"]


def test_a_link_ends_and_is_revoked(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    made, holder = link(served, ["quantity"])
    engineer = web_app.client_of(served)
    data = {"email": "engineer.day.shift@example.com", "password": web_app.PASSWORD}
    engineer.post("/sign-in", data=data)
    assert [each["id"] for each in engineer.get("/api/v1/cases/HV-1/links").json()] == [made["id"]]
    assert engineer.delete(f"/api/v1/cases/HV-2/links/{made['id']}").status_code == 404
    assert holder.get("/api/v1/answer").status_code == 200
    assert engineer.delete(f"/api/v1/cases/HV-1/links/{made['id']}").status_code == 204
    assert holder.get("/api/v1/answer").status_code == 401
    path = made["address"].removeprefix(served.settings.address)
    assert web_app.client_of(served).get(path).status_code == 404


def test_a_link_ends_by_itself(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    from chaincase.web import entrance

    _, holder = link(served, ["quantity"], days=1)
    now = entrance.seconds()
    monkeypatch.setattr(entrance, "seconds", lambda: now + 86401)
    assert holder.get("/api/v1/answer").status_code == 401


def test_a_link_cannot_be_made_up(served: Server) -> None:
    from chaincase.web.signing import signed

    made, _ = link(served, ["quantity"])
    other = web_app.client_of(served)
    for text in (
        made["id"],
        signed("x" * 40, "link", made["id"]),
        signed(served.settings.secret, "invitation", made["id"]),
        "x" * 9000,
    ):
        assert other.get(f"/link/{text}").status_code == 404
    assert links.link_named(served, "none") is None
