"""Signing in elsewhere, against a small provider on loopback that checks what it is sent."""

import hashlib
import json
import threading
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from joserfc import jwt
from joserfc.jwk import RSAKey

import web_app
from chaincase.register.accounts import Role
from chaincase.web.entrance import seconds
from chaincase.web.settings import Oidc
from web_app import TestClient

KEY = RSAKey.generate_key(2048, {"kid": "k1", "use": "sig", "alg": "RS256"})
OTHER_KEY = RSAKey.generate_key(2048, {"kid": "k1", "use": "sig", "alg": "RS256"})


class Provider:
    """Says who somebody is; `lies` change what the token says, `key` signs it."""

    def __init__(self) -> None:
        self.email, self.verified, self.subject = "field.day.shift@example.com", True, "s-1"
        self.lies: dict[str, Any] = {}
        self.key, self.algorithm = KEY, "RS256"
        self.asked: dict[str, str] = {}
        self.issuer = ""

    def configuration(self) -> dict[str, str]:
        places = {"authorization_endpoint": "authorize", "token_endpoint": "token", "jwks_uri": "keys"}
        return {"issuer": self.issuer, **{name: f"{self.issuer}/{place}" for name, place in places.items()}}

    def token(self, form: dict[str, str]) -> dict[str, str]:
        challenge = urlsafe_b64encode(hashlib.sha256(form["code_verifier"].encode()).digest()).rstrip(b"=").decode()
        assert challenge == self.asked["code_challenge"]
        assert form["code"] == "the code"
        assert form["redirect_uri"] == self.asked["redirect_uri"]
        claims = {
            "iss": self.issuer,
            "aud": "chaincase",
            "sub": self.subject,
            "nonce": self.asked["nonce"],
            "iat": seconds(),
            "exp": seconds() + 300,
            "email": self.email,
            "email_verified": self.verified,
            **self.lies,
        }
        return {"id_token": jwt.encode({"alg": self.algorithm, "kid": "k1"}, claims, self.key)}


@pytest.fixture
def provider() -> Iterator[Provider]:
    made = Provider()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            keys = {"keys": [KEY.as_dict(private=False)]}
            self._say(keys if self.path.endswith("/keys") else made.configuration())

        def do_POST(self) -> None:
            assert self.headers["authorization"].startswith("Basic ")
            sent = parse_qs(self.rfile.read(int(self.headers["content-length"])).decode())
            self._say(made.token({name: values[0] for name, values in sent.items()}))

        def _say(self, data: dict[str, Any]) -> None:
            body = json.dumps(data).encode()
            self.send_response(200)
            self.send_header("content-type", "application/json")
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *args: object) -> None:
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as answering:
        made.issuer = f"http://127.0.0.1:{answering.server_port}"
        thread = threading.Thread(target=answering.serve_forever, daemon=True)
        thread.start()
        yield made
        answering.shutdown()
        thread.join(5)


@pytest.fixture
def client(tmp_path: Path, provider: Provider) -> TestClient:
    oidc = Oidc(provider.issuer, "chaincase", "provider's secret", "Sign in with the plant's account")
    served = web_app.server(tmp_path, accounts=True, oidc=oidc)
    web_app.add_person(served, Role.FIELD)
    return web_app.client_of(served)


def go(client: TestClient, provider: Provider) -> str:
    """Go to the provider; give the state to come back with."""
    answer = client.get("/sign-in/elsewhere", follow_redirects=False)
    assert answer.status_code == 303
    asked = parse_qs(urlsplit(answer.headers["location"]).query)
    provider.asked = {name: values[0] for name, values in asked.items()}
    assert provider.asked["code_challenge_method"] == "S256"
    assert provider.asked["response_type"] == "code"
    return provider.asked["state"]


def back(client: TestClient, state: str) -> int:
    return client.get("/sign-in/back", params={"code": "the code", "state": state}, follow_redirects=False).status_code


def test_somebody_with_an_account_signs_in(client: TestClient, provider: Provider) -> None:
    assert "the plant&#39;s account" in client.get("/sign-in").text
    assert back(client, go(client, provider)) == 303
    assert client.get("/api/v1/account").json()["name"] == "field, day shift"


def test_the_account_stays_with_the_subject_when_an_address_moves(client: TestClient, provider: Provider) -> None:
    assert back(client, go(client, provider)) == 303
    provider.email = "renamed@example.com"
    client.cookies.clear()
    assert back(client, go(client, provider)) == 303
    assert client.get("/api/v1/account").json()["name"] == "field, day shift"
    provider.email, provider.subject = "field.day.shift@example.com", "s-2"
    client.cookies.clear()
    assert back(client, go(client, provider)) == 403


@pytest.mark.parametrize(("field", "value"), [("email", "nobody@example.com"), ("verified", False), ("email", "")])
def test_without_a_verified_account_nobody_gets_in(
    client: TestClient, provider: Provider, field: str, value: Any
) -> None:
    setattr(provider, field, value)
    assert back(client, go(client, provider)) == 403
    assert client.get("/api/v1/account").status_code == 401


def test_a_closed_account_stays_closed(client: TestClient, provider: Provider) -> None:
    people = client.app.state.server.register.people
    person = people.by_email(provider.email)
    people.change(person.id, person.version, by="test", disabled=True)
    assert back(client, go(client, provider)) == 403


@pytest.mark.parametrize(
    "lies",
    [{"iss": "http://evil.example"}, {"aud": "another"}, {"nonce": "old"}, {"exp": 1}, {"sub": None}, {"iat": 2**40}],
)
def test_a_token_that_says_something_else_is_not_believed(
    client: TestClient, provider: Provider, lies: dict[str, Any]
) -> None:
    provider.lies = lies
    assert back(client, go(client, provider)) == 401
    assert client.get("/api/v1/account").status_code == 401


def test_a_token_of_another_key_is_not_believed(client: TestClient, provider: Provider) -> None:
    provider.key = OTHER_KEY
    assert back(client, go(client, provider)) == 401


def test_a_trip_that_did_not_begin_here_ends_nowhere(client: TestClient, provider: Provider) -> None:
    state = go(client, provider)
    assert back(client, "another state") == 401
    client.cookies.clear()
    assert back(client, state) == 401


def test_a_provider_that_does_not_answer_is_told(tmp_path: Path) -> None:
    oidc = Oidc("http://127.0.0.1:9", "chaincase", "secret", "Sign in")
    client = web_app.client_of(web_app.server(tmp_path, accounts=True, oidc=oidc))
    assert client.get("/sign-in/elsewhere").status_code == 503


def test_without_a_provider_there_is_no_such_page(tmp_path: Path) -> None:
    client = web_app.client_of(web_app.server(tmp_path, accounts=True))
    assert client.get("/sign-in/elsewhere").status_code == 404
    assert client.get("/sign-in/back").status_code == 404
