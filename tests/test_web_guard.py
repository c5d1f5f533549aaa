"""What stands in front of every request."""

import asyncio
import socket
from pathlib import Path
from typing import Any

import pytest
from starlette.requests import Request

import web_app
from chaincase.errors import BadInput
from chaincase.web import guard
from chaincase.web.settings import settings_for
from web_app import TestClient


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


def test_the_token_in_the_address_becomes_a_cookie_and_leaves_the_address(tmp_path: Path) -> None:
    client = web_app.client_of(web_app.server(tmp_path))
    token = client.app.state.server.settings.token
    assert client.get("/api/v1/account").status_code == 401
    answer = client.get(f"/api/v1/account?x=1&token={token}", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/api/v1/account?x=1")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert client.get("/api/v1/account").json()["role"] == "admin"


def test_a_wrong_token_lets_nobody_in(tmp_path: Path) -> None:
    client = web_app.client_of(web_app.server(tmp_path))
    answer = client.get("/?token=guessed", follow_redirects=False)
    assert answer.status_code == 401
    assert "set-cookie" not in answer.headers
    assert client.get("/api/v1/account", headers={"authorization": "Bearer guessed"}).status_code == 401


def test_the_redirect_stays_on_this_server(tmp_path: Path) -> None:
    settings = web_app.settings(tmp_path)
    query = f"token={settings.token}".encode()
    for path in ("//evil.example/x", "/\\evil.example/x", "///evil.example/x"):
        scope = {"type": "http", "method": "GET", "path": path, "query_string": query, "headers": []}
        answer = guard._admitted(Request({**scope, "server": ("127.0.0.1", 80), "scheme": "http"}), settings)
        assert answer.headers["location"] == "/evil.example/x"


def test_a_program_shows_the_token_of_the_run(tmp_path: Path) -> None:
    client = web_app.client_of(web_app.server(tmp_path))
    token = client.app.state.server.settings.token
    bare = TestClient(client.app, base_url=client.base_url)
    answer = bare.post("/api/v1/cases", json={"case": "HV-1"}, headers={"authorization": f"Bearer {token}"})
    assert answer.status_code == 201


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:81", "localhost:81", "", "127.0.0.1.evil.example"])
def test_another_name_for_this_server_is_not_answered(client: TestClient, host: str) -> None:
    answer = client.get("/", headers={"host": host}, follow_redirects=False)
    assert answer.status_code == 421
    assert "does not answer to that name" in answer.text


def test_a_body_that_says_it_is_too_large_is_refused_unread(client: TestClient) -> None:
    answer = client.post("/api/v1/read", content=b"{}", headers={"content-length": str(3 * 2**20)})
    assert answer.status_code == 413
    assert answer.json()["error"]["right"]


@pytest.mark.parametrize("length", ["-1", "1e9", "x", "\u0663"])
def test_a_length_that_is_no_number_is_refused(client: TestClient, length: str) -> None:
    assert client.post("/api/v1/read", content=b"{}", headers={"content-length": length.encode()}).status_code == 400


def test_a_body_of_unknown_length_is_cut_at_the_limit(tmp_path: Path) -> None:
    with web_app.running(tmp_path) as served:
        port = served.settings.port
        head = (
            f"POST /api/v1/read HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nAuthorization: Bearer {served.settings.token}\r\n"
            "Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
        )
        piece = b"10000\r\n" + b" " * 0x10000 + b"\r\n"
        with socket.create_connection(("127.0.0.1", port), timeout=20) as sending:
            sending.sendall(head.encode())
            sent = 0
            try:
                while sent < 4 * 2**30:
                    sending.sendall(piece)
                    sent += 0x10000
            except OSError:
                pass
            assert sent < 64 * 2**20


def _counted(messages: list[dict[str, Any]], kind: str = "application/json") -> tuple[guard._Counted, list[int]]:
    left = list(messages)
    asked: list[int] = []

    async def receive() -> dict[str, Any]:
        asked.append(1)
        if not left:
            await asyncio.sleep(60)
        return left.pop(0)

    scope = {"type": "http", "method": "POST", "path": "/", "headers": [(b"content-type", kind.encode())]}
    return guard._Counted(receive, Request(scope)), asked


async def _read_all(counted: guard._Counted) -> int:
    read = 0
    while True:
        message = await counted()
        read += len(message.get("body", b""))
        if not message.get("more_body"):
            return read


def _in_loop(messages: list[dict[str, Any]], kind: str = "application/json") -> tuple[Any, int]:
    async def run() -> tuple[Any, int]:
        counted, asked = _counted(messages, kind)
        try:
            return await _read_all(counted), len(asked)
        except Exception as fault:  # noqa: BLE001 - looked at by the test
            return fault, len(asked)

    return asyncio.run(run())


def _pieces(size: int, number: int) -> list[dict[str, Any]]:
    pieces = [{"type": "http.request", "body": b" " * size, "more_body": True} for _ in range(number)]
    return [*pieces, {"type": "http.request", "body": b"", "more_body": False}]


def test_what_is_read_is_counted_not_what_was_said() -> None:
    fault, asked = _in_loop(_pieces(2**19, 40))
    assert fault.status_code == 413
    assert asked == 5
    read, _ = _in_loop(_pieces(2**19, 4))
    assert read == guard.TEXT_BYTES
    read, _ = _in_loop(_pieces(2**19, 40), "image/jpeg")
    assert read == guard.FILE_BYTES
    fault, _ = _in_loop(_pieces(2**19, 42), "image/jpeg")
    assert fault.status_code == 413


def test_a_body_that_does_not_come_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(guard, "SLOWEST_SECONDS", 0.05)
    fault, _ = _in_loop([{"type": "http.request", "body": b"{", "more_body": True}])
    assert fault.status_code == 408


def test_other_computers_need_accounts(tmp_path: Path) -> None:
    for host in ("0.0.0.0", "::", "192.0.2.1", "plant.example"):  # noqa: S104 - refused
        with pytest.raises(BadInput, match="no accounts"):
            settings_for(tmp_path, port=1, host=host, environment={})
    assert settings_for(tmp_path, port=1, host="0.0.0.0", accounts=True, environment={}).token == ""  # noqa: S104


def test_the_secret_is_made_once_for_its_owner_only(tmp_path: Path) -> None:
    first = settings_for(tmp_path, port=1, environment={})
    assert settings_for(tmp_path, port=2, environment={}).secret == first.secret
    assert (tmp_path / "secret").stat().st_mode & 0o777 == 0o600
    assert settings_for(tmp_path, port=3, environment={}).token != first.token


@pytest.mark.parametrize("secret", ["change me", "x" * 64, "0123456789" * 2])
def test_an_easy_secret_is_refused(tmp_path: Path, secret: str) -> None:
    with pytest.raises(BadInput, match="too easy"):
        settings_for(tmp_path, port=1, environment={"CHAINCASE_SECRET": secret})


@pytest.mark.parametrize("address", ["chains", "ftp://x", "https://x/y", "https://x?y=1", "javascript:1"])
def test_an_address_that_is_none_is_refused(tmp_path: Path, address: str) -> None:
    with pytest.raises(BadInput, match="not an address"):
        settings_for(tmp_path, port=1, address=address, environment={})


def test_half_a_provider_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="CHAINCASE_OIDC_CLIENT"):
        settings_for(tmp_path, port=1, accounts=True, environment={"CHAINCASE_OIDC_ISSUER": "https://x"})


def test_static_files_are_kept_for_a_year_and_pages_never(client: TestClient) -> None:
    from chaincase.web.looks import static

    assert "immutable" in client.get(static("look.css")).headers["cache-control"]
    assert client.get("/static/older/look.css").headers["cache-control"] == "no-cache"
    assert client.get("/nothing").headers["cache-control"] == "no-store"
    for name in ("../settings.py", "%2e%2e/settings.py", "/etc/passwd", "..%2f..%2fsettings.py"):
        assert client.get(f"/static/x/{name}").status_code == 404


def test_the_look_is_kept_and_goes_back_to_its_page(client: TestClient) -> None:
    answer = client.post(
        "/look", data={"look": "dark"}, headers={"referer": "http://127.0.0.1/people?x=1"}, follow_redirects=False
    )
    assert answer.headers["location"] == "/people"
    assert 'data-look="dark"' in client.get("/nothing").text
    answer = client.post(
        "/look", data={"look": "<b>"}, headers={"referer": "https://evil.example//evil"}, follow_redirects=False
    )
    assert answer.headers["location"] == "/evil"
    assert 'data-look="auto"' in client.get("/nothing").text
