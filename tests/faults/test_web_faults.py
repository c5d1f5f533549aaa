"""What can go wrong below the pages: told in one shape, nothing of the inside shown, nothing typed lost."""

from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import OperationalError

import web_app
from chaincase.errors import BadInput, BadInputs, ChaincaseError
from chaincase.register.faults import Full, Missing, Overtaken, StoreFailed
from chaincase.web import general
from web_app import TestClient

INSIDE = "the secret inside"
FAULTS: dict[str, tuple[BaseException, int]] = {
    "bad input": (BadInput("no length", where="row 3", right="write 4 in"), 422),
    "several": (BadInputs([BadInput("a", where="row 1"), BadInput("b", where="row 2")]), 422),
    "missing": (Missing.of("case", "X"), 404),
    "overtaken": (Overtaken("site", yours={"name": "a"}, theirs={"name": "b"}, version=3), 409),
    "full": (Full("no space"), 507),
    "store": (StoreFailed(INSIDE), 503),
    "sqlite full": (OperationalError(INSIDE, {}, Exception("database or disk is full")), 507),
    "sqlite": (OperationalError(INSIDE, {}, Exception(INSIDE)), 500),
    "disk": (OSError(28, INSIDE), 507),
    "quota": (OSError(122, INSIDE), 507),
    "system": (OSError(5, INSIDE), 500),
    "our own": (ChaincaseError(INSIDE), 500),
    "unforeseen": (ValueError(INSIDE), 500),
    "deep": (RecursionError(INSIDE), 500),
}


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    def fail(of: str, name: str) -> Any:
        raise FAULTS[name][0]

    route = next(each for each in general.anyone.routes if each.path.startswith("/static"))
    monkeypatch.setattr(route.dependant, "call", fail)
    return web_app.client(tmp_path)


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_becomes_a_page_that_can_be_read(client: TestClient, name: str) -> None:
    status = FAULTS[name][1]
    answer = client.get(f"/static/x/{name}")
    assert answer.status_code == status
    assert answer.headers["content-type"].startswith("text/html")
    assert "<h1>" in answer.text
    assert INSIDE not in answer.text
    assert "Traceback" not in answer.text
    assert "content-security-policy" in answer.headers


def test_several_faults_are_told_at_once(client: TestClient) -> None:
    text = client.get("/static/x/several").text
    assert "row 1" in text
    assert "row 2" in text


def test_a_conflict_shows_both(client: TestClient) -> None:
    text = client.get("/static/x/overtaken").text
    assert "Yours" in text
    assert "<td>a</td><td>b</td>" in text


def test_a_fault_in_the_guard_is_told_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client = web_app.client_of(web_app.server(tmp_path, accounts=True))
    monkeypatch.setattr("chaincase.register.accounts.session_of", lambda *given: 1 / 0)
    client.cookies.set("chaincase-session-80", "x")
    for path in ("/sign-in", "/api/v1/account"):
        answer = client.get(path)
        assert answer.status_code == 500
        assert "division" not in answer.text
        assert "content-security-policy" in answer.headers


def test_markup_in_what_was_typed_stays_text(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    answer = client.get("/api/v1/tables/chains/<script>alert(1)</script>")
    assert answer.headers["content-type"] == "application/json"
    text = client.get("/<script>alert(1)</script>").text
    assert "<script>alert" not in text


def test_the_server_heals_by_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client = web_app.client(tmp_path)
    cases = client.app.state.server.register.cases
    with monkeypatch.context() as broken:

        def full(*given: Any, **more: Any) -> Any:
            raise Full("no space")

        broken.setattr(cases, "append", full)
        answer = client.post("/api/v1/cases", json={"case": "F-1"})
        assert answer.status_code == 507
        assert answer.json()["error"]["what"] == "The disk of the server is full."
    assert client.post("/api/v1/cases", json={"case": "F-1"}).status_code == 201


def test_a_change_is_taken_though_the_program_fails_over_its_findings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = web_app.client(tmp_path)
    register = client.app.state.server.register
    client.post("/api/v1/cases", json={"case": "F-1"})
    event = {"id": "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e", "kind": "set", "path": "title", "value": "Kiln"}
    with monkeypatch.context() as broken:
        broken.setattr(register.cases, "_summarize", lambda content: 1 / 0)
        answer = client.post("/api/v1/cases/F-1/events", json={"events": [event]})
        assert answer.status_code == 200
        assert answer.json()["results"][0]["outcome"] == "applied"
        assert "F-1" in client.get("/register").text
    register.cases.summarize_anew("F-1")
    assert register.cases.open("F-1").summary is not None
