"""Every route, found by enumeration: what each role may, where a change may come from, headers of every answer."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.routing import APIRoute
from starlette.requests import Request

import web_app
from chaincase.register.accounts import Role
from chaincase.web import app as application
from chaincase.web.access import MATRIX, Right, Visitor
from chaincase.web.guard import CSP
from chaincase.web.rooms import ROOMS
from chaincase.web.routing import rights_of
from web_app import TestClient

_WRITTEN = {
    Right.ANYONE: {"", "reader", "field", "engineer", "admin", "link"},
    Right.SIGNED_IN: {"reader", "field", "engineer", "admin"},
    Right.READ: {"reader", "field", "engineer", "admin"},
    Right.MEASURE: {"field", "engineer", "admin"},
    Right.WORK: {"engineer", "admin"},
    Right.ADMINISTER: {"admin"},
    Right.ANSWER: {"link"},
}
"""The matrix once more, written the other way round."""
VISITORS = {
    "": Visitor(),
    **{role.value: Visitor(name=role.value, account="nobody", role=role) for role in Role},
    "link": Visitor(link="l1", case="HV-1"),
}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    async def told(request: Request) -> Visitor:
        return VISITORS[request.headers.get("x-visitor", "")]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(application, "find_visitor", told)
        yield web_app.client_of(web_app.server(tmp_path_factory.mktemp("access"), accounts=True))


def routes(client: TestClient) -> dict[tuple[str, str], Right]:
    return rights_of(client.app.routes)


def filled(path: str) -> str:
    """Put something that is not there into the places of a path."""
    return re.sub(r"\{[^}]*\}", "none", path)


def test_matrix_says_the_same_both_ways() -> None:
    for right, who in _WRITTEN.items():
        assert {name for name, visitor in VISITORS.items() if visitor.may(right)} == who
    assert set(_WRITTEN) == set(Right)
    assert set(MATRIX) == set(Role)


@pytest.mark.parametrize("who", VISITORS)
def test_each_route_lets_in_who_has_its_right_and_nobody_else(client: TestClient, who: str) -> None:
    for (method, path), right in routes(client).items():
        answer = client.request(method, filled(path), headers={"x-visitor": who}, follow_redirects=False)
        place = (method, path, who, answer.status_code, answer.text[:200])
        if who in _WRITTEN[right]:
            assert answer.status_code < 500, place
            assert "This needs the right" not in answer.text, place
        else:
            assert answer.status_code == (401 if who in {"", "link"} or right is Right.ANSWER else 403), place


def test_a_token_can_neither_administer_nor_make_tokens() -> None:
    program = Visitor(name="a program", role=Role.ADMIN, by_token=True)
    assert {right for right in Right if program.may(right)} == {Right.ANYONE, Right.READ, Right.MEASURE, Right.WORK}


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"sec-fetch-site": "none"},
        {"origin": "https://evil.example"},
        {"origin": "http://127.0.0.1:81"},
        {"origin": "null"},
        {},
        {"sec-fetch-site": "same-origin", "origin": "https://evil.example"},
        {"sec-fetch-site": "cross-site", "authorization": "Bearer x"},
        {"origin": "https://evil.example", "authorization": "Bearer x"},
    ],
)
def test_no_other_page_changes_anything(client: TestClient, headers: dict[str, str]) -> None:
    foreign = TestClient(client.app, base_url=client.base_url)
    for method, path in routes(client):
        if method in {"GET", "HEAD"}:
            continue
        for body in ({"data": {"a": "1"}}, {"json": {}}):
            answer = foreign.request(method, filled(path), headers={**headers, "x-visitor": "admin"}, **body)
            assert answer.status_code == 403, (method, path)
            assert "did not come from a page of this server" in answer.text


def test_every_answer_has_the_headers(client: TestClient) -> None:
    asked = [*routes(client), ("GET", "/nothing/at/all"), ("GET", "/api/v1/nothing"), ("DELETE", "/")]
    for method, path in asked:
        answer = client.request(method, filled(path), headers={"x-visitor": "engineer"}, follow_redirects=False)
        place = (method, path, answer.status_code)
        policy = answer.headers["content-security-policy"]
        assert policy == CSP or ("sandbox" in policy and "default-src 'none'" in policy), place
        assert answer.headers["x-content-type-options"] == "nosniff", place
        assert answer.headers["cross-origin-opener-policy"] == "same-origin", place
        assert answer.headers["referrer-policy"] == "same-origin", place
        assert "Cookie" in answer.headers["vary"], place
        assert answer.headers["cache-control"], place
        assert "strict-transport-security" not in answer.headers, place


def test_https_is_insisted_on_where_it_is(tmp_path: Path) -> None:
    client = web_app.client_of(web_app.server(tmp_path, accounts=True, https=True))
    assert client.get("/sign-in").headers["strict-transport-security"].startswith("max-age=31536000")


def test_policy_is_the_strict_one() -> None:
    assert "unsafe" not in CSP
    assert {"default-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"} <= set(CSP.split("; "))


def test_a_route_without_a_right_stops_the_server(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from fastapi import APIRouter

    open_by_mistake = APIRouter()
    open_by_mistake.get("/open")(lambda: None)
    monkeypatch.setattr(application, "router_named", lambda name: open_by_mistake)
    with pytest.raises(TypeError, match="asks for no right"):
        application.create_app(web_app.server(tmp_path))


def test_every_router_is_listed_once_and_no_two_routes_are_alike(client: TestClient) -> None:
    assert len(set(ROOMS)) == len(ROOMS)
    known = [
        (method, route.path) for route in client.app.routes if isinstance(route, APIRoute) for method in route.methods
    ]
    assert len(known) == len(set(known))


def test_every_operation_of_the_api_is_described(client: TestClient) -> None:
    described = client.get("/api/v1/openapi.json").json()
    tags = {tag["name"] for tag in described["tags"]}
    for path, operations in described["paths"].items():
        for method, operation in operations.items():
            assert operation["summary"], (method, path)
            assert operation["description"], (method, path)
            assert set(operation["tags"]) <= tags, (method, path)
