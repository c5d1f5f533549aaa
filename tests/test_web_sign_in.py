"""Accounts of the served mode: passwords, sessions, invitations, tokens, and what guessing meets."""

import re
from pathlib import Path

import pytest

import web_app
from chaincase.errors import BadInput
from chaincase.register.accounts import IDLE, LONGEST, OF_ACCOUNT, OF_ADDRESS, Role
from chaincase.web import entrance, passwords, people
from chaincase.web.server import Server
from web_app import PASSWORD, TestClient

COOKIE = "chaincase-session-80"


@pytest.fixture
def served(tmp_path: Path) -> Server:
    return web_app.server(tmp_path, accounts=True)


def sign_in(client: TestClient, email: str, password: str = PASSWORD, **more: str) -> int:
    data = {"email": email, "password": password, **more}
    return client.post("/sign-in", data=data, follow_redirects=False).status_code


def who(client: TestClient) -> int:
    return client.get("/api/v1/account").status_code


def test_signing_in_and_out(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    client = web_app.client_of(served)
    assert sign_in(client, email.upper()) == 303
    assert client.get("/api/v1/account").json() == {"name": "field, day shift", "role": "field"}
    session = client.cookies[COOKIE]
    answer = client.post("/sign-out", follow_redirects=False)
    assert answer.headers["clear-site-data"] == '"cache"'
    assert who(client) == 401
    client.cookies.set(COOKIE, session)
    assert who(client) == 401


def test_the_session_is_new_at_each_sign_in_and_hashed_at_rest(served: Server, tmp_path: Path) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    client = web_app.client_of(served)
    client.cookies.set(COOKIE, "planted")
    assert sign_in(client, email) == 303
    sessions = {cookie.value for cookie in client.cookies.jar if cookie.name == COOKIE}
    first = next(iter(sessions - {"planted"}))
    assert len(first) >= 43
    kept = b"".join(path.read_bytes() for path in (tmp_path / "data").rglob("*") if path.is_file())
    assert first.encode() not in kept
    assert PASSWORD.encode() not in kept


def test_cookies_are_for_this_host_alone_where_there_is_https(tmp_path: Path) -> None:
    served = web_app.server(tmp_path, accounts=True, https=True)
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    client = web_app.client_of(served)
    answer = client.post("/sign-in", data={"email": email, "password": PASSWORD}, follow_redirects=False)
    for cookie in answer.headers.get_list("set-cookie"):
        assert cookie.startswith("__Host-chaincase-")
        assert "Secure" in cookie
        assert "HttpOnly" in cookie
        assert "SameSite=lax" in cookie
        assert "Domain" not in cookie


@pytest.mark.parametrize("later", [IDLE + 1, LONGEST + 1])
def test_a_session_ends_by_itself(served: Server, monkeypatch: pytest.MonkeyPatch, later: int) -> None:
    client = web_app.signed_in(served, Role.FIELD)
    now = entrance.seconds()
    monkeypatch.setattr(entrance, "seconds", lambda: now + later)
    assert who(client) == 401


def test_a_session_in_use_lasts_a_week_and_no_longer(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    client = web_app.signed_in(served, Role.FIELD)
    now = entrance.seconds()
    for later in range(IDLE // 2, LONGEST, IDLE // 2):
        monkeypatch.setattr(entrance, "seconds", lambda later=later: now + later)
        assert who(client) == 200
    monkeypatch.setattr(entrance, "seconds", lambda: now + LONGEST + 1)
    assert who(client) == 401


def test_another_password_ends_all_sessions(served: Server) -> None:
    client = web_app.signed_in(served, Role.FIELD)
    other = web_app.client_of(served)
    assert sign_in(other, "field.day.shift@example.com") == 303
    new = "seven quiet anvils in rain"
    answer = client.post("/account/password", data={"old": PASSWORD, "new": new}, follow_redirects=False)
    assert answer.status_code == 303
    assert who(client) == 200
    assert who(other) == 401
    assert sign_in(other, "field.day.shift@example.com") == 401
    assert sign_in(other, "field.day.shift@example.com", new) == 303


def test_the_old_password_is_needed(served: Server) -> None:
    client = web_app.signed_in(served, Role.FIELD)
    answer = client.post("/account/password", data={"old": "not this one at all", "new": "seven quiet anvils in rain"})
    assert answer.status_code == 401
    assert "is not right" in answer.text
    assert who(client) == 200


def test_closing_an_account_or_changing_its_role_ends_its_sessions(served: Server) -> None:
    admin = web_app.signed_in(served, Role.ADMIN)
    hand = web_app.signed_in(served, Role.FIELD)
    person = served.register.people.by_email("field.day.shift@example.com")
    answer = admin.put(f"/api/v1/people/{person.id}", json={"version": person.version, "role": "engineer"})
    assert answer.json()["role"] == "engineer"
    assert who(hand) == 401
    assert sign_in(hand, person.email) == 303
    form = {"version": str(answer.json()["version"]), "role": ""}
    assert admin.post(f"/people/{person.id}", data=form, follow_redirects=False).status_code == 303
    assert who(hand) == 401
    assert sign_in(hand, person.email) == 401


def test_two_administrators_do_not_overwrite_each_other(served: Server) -> None:
    admin = web_app.signed_in(served, Role.ADMIN)
    web_app.add_person(served, Role.FIELD)
    person = served.register.people.by_email("field.day.shift@example.com")
    address = f"/api/v1/people/{person.id}"
    assert admin.put(address, json={"version": person.version, "role": "reader"}).status_code == 200
    late = admin.put(address, json={"version": person.version, "role": "engineer"})
    assert late.status_code == 409
    assert late.json()["error"]["both"]["theirs"]["role"] == "reader"


def test_somebody_is_left_to_administer(served: Server) -> None:
    admin = web_app.signed_in(served, Role.ADMIN)
    me = served.register.people.by_email("admin.day.shift@example.com")
    answer = admin.put(f"/api/v1/people/{me.id}", json={"version": me.version, "role": "reader"})
    assert answer.status_code == 422
    assert "nobody would be left" in answer.text
    assert who(admin) == 200


def test_nothing_tells_whether_an_account_exists(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    web_app.add_person(served, Role.READER, name="elsewhere only")
    answers = []
    for typed in (email, "nobody@example.com", "elsewhere.only@example.com", "no address"):
        answer = web_app.client_of(served).post("/sign-in", data={"email": typed, "password": "wrong wrong wrong"})
        answers.append((answer.status_code, answer.text.replace(typed, "")))
    assert len(set(answers)) == 1
    assert answers[0][0] == 401


def test_a_hash_is_worked_out_for_nobody_too(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    worked: list[str] = []
    hasher = passwords._hasher

    class Watched:
        def verify(self, stored: str, password: str) -> bool:
            worked.append(stored)
            return hasher.verify(stored, password)

        def hash(self, password: str) -> str:
            return hasher.hash(password)

    monkeypatch.setattr(passwords, "_hasher", Watched())
    email = web_app.add_person(served, Role.FIELD)
    client = web_app.client_of(served)
    sign_in(client, email)
    sign_in(client, "nobody@example.com")
    sign_in(client, "nobody@example.com", "x" * 4000)
    assert len(worked) == 3
    assert all(each.startswith("$argon2id$v=19$m=19456,t=2,p=1$") for each in worked)


def test_guessing_is_slowed_down(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    start = entrance.seconds()
    guesses = 0
    for second in range(0, 3600, 5):
        monkeypatch.setattr(people, "seconds", lambda second=second: start + second)
        wait = people._begin(served, people._keys(served, email, f"192.0.2.{second % 250}", ""))
        guesses += wait == 0
    assert 3 <= guesses <= 10
    answer = web_app.client_of(served).post("/sign-in", data={"email": email, "password": PASSWORD})
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) > 0


def test_one_address_cannot_try_many_accounts(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    start = entrance.seconds()
    guesses = 0
    for number in range(720):
        monkeypatch.setattr(people, "seconds", lambda number=number: start + 5 * number)
        keys = people._keys(served, f"somebody{number}@example.com", "192.0.2.1", "")
        guesses += people._begin(served, keys) == 0
    assert guesses <= 120


def test_the_owner_still_gets_in_from_a_known_device(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    owner = web_app.client_of(served)
    assert sign_in(owner, email) == 303
    guesser = web_app.client_of(served)
    codes = [sign_in(guesser, email, "wrong wrong wrong") for _ in range(6)]
    assert codes[-1] == 429
    assert sign_in(web_app.client_of(served), email) == 429
    owner.post("/sign-out")
    assert sign_in(owner, email) == 303


def test_a_device_of_another_account_opens_no_back_door(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    thief = web_app.signed_in(served, Role.READER)
    thief.post("/sign-out")
    codes = [sign_in(thief, email, "wrong wrong wrong") for _ in range(6)]
    assert codes[-1] == 429


def test_the_right_password_forgets_failures(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    client = web_app.client_of(served)
    for _ in range(3):
        client.cookies.clear()
        assert sign_in(client, email, "wrong wrong wrong") == 401
        assert sign_in(client, email) == 303


def test_waits_grow_and_end() -> None:
    waits = [OF_ACCOUNT.wait(failed) for failed in range(40)]
    assert waits == sorted(waits)
    assert max(waits) == 3600
    assert OF_ADDRESS.wait(1000) == 40


def invited(served: Server, admin: TestClient, email: str = "new@example.com", role: str = "field") -> str:
    answer = admin.post("/api/v1/people/invitations", json={"email": email, "role": role})
    assert answer.status_code == 201
    return answer.json()["address"].removeprefix(served.settings.address)


def test_an_invitation_is_taken_once(served: Server) -> None:
    path = invited(served, web_app.signed_in(served, Role.ADMIN))
    client = web_app.client_of(served)
    assert "new@example.com" in client.get(path).text
    form = {"name": "millwright, night shift", "password": PASSWORD}
    assert client.post(path, data=form, follow_redirects=False).status_code == 303
    assert client.get("/api/v1/account").json() == {"name": "millwright, night shift", "role": "field"}
    assert web_app.client_of(served).get(path).status_code == 404
    assert web_app.client_of(served).post(path, data=form).status_code == 404


def test_what_was_typed_stays_when_a_password_is_refused(served: Server) -> None:
    path = invited(served, web_app.signed_in(served, Role.ADMIN))
    answer = web_app.client_of(served).post(path, data={"name": "millwright, night shift", "password": "short"})
    assert answer.status_code == 422
    assert "millwright, night shift" in answer.text
    assert "12 characters" in answer.text


def test_an_invitation_ends_and_cannot_be_made_up(served: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    path = invited(served, web_app.signed_in(served, Role.ADMIN))
    client = web_app.client_of(served)
    assert client.get(path[:-2] + ("AA" if not path.endswith("AA") else "BB")).status_code == 404
    now = entrance.seconds()
    monkeypatch.setattr(people, "seconds", lambda: now + 8 * 86400)
    assert client.get(path).status_code == 404


def test_the_first_administrator_makes_an_account_by_the_printed_address(served: Server) -> None:
    path = people.first_invitation(served).removeprefix(served.settings.address)
    client = web_app.client_of(served)
    form = {"name": "register keeper", "email": "keeper@example.com", "password": PASSWORD}
    assert client.post(path, data=form, follow_redirects=False).status_code == 303
    assert client.get("/people").status_code == 200
    assert people.first_invitation(served) == ""


def test_a_token_acts_for_its_maker_until_revoked(served: Server) -> None:
    maker = web_app.signed_in(served, Role.FIELD)
    page = maker.post("/account/tokens", data={"label": "caliper logger"}).text
    token = re.search(r"cc_[\w-]{43}", page)[0]
    program = TestClient(maker.app, base_url=served.settings.address, headers={"authorization": f"Bearer {token}"})
    assert program.get("/api/v1/account").json()["role"] == "field"
    assert program.post("/api/v1/cases", json={"case": "HV-1"}).status_code == 201
    assert program.get("/account").status_code == 403
    assert token not in maker.get("/account").text
    revoke = re.search(r"/account/tokens/\w+/revoke", page)[0]
    assert maker.post(revoke, follow_redirects=False).status_code == 303
    assert program.get("/api/v1/account").status_code == 401


def test_nobody_revokes_anothers_token(served: Server) -> None:
    page = web_app.signed_in(served, Role.FIELD).post("/account/tokens", data={"label": "logger"}).text
    revoke = re.search(r"/account/tokens/\w+/revoke", page)[0]
    assert web_app.signed_in(served, Role.ADMIN).post(revoke).status_code == 404


@pytest.mark.parametrize(
    "password",
    [
        "short",
        "passwordpassword",
        "1234 1234 1234",
        "aaaaaaaaaaaaaaaa",
        "x" * 1025,
        "field.day.shift",
        "fielddayshift99",
    ],
)
def test_easy_passwords_are_refused(password: str) -> None:
    with pytest.raises(BadInput):
        passwords.check_password(password, "field.day.shift@example.com", "field day shift", "field.day.shift")


def test_long_and_odd_passwords_are_fine() -> None:
    for password in (PASSWORD, "p" * 3 + "ä rost und kette \N{GEAR}", "correct " * 60 + "x"):
        passwords.check_password(password, "a@example.com", "somebody")


def test_a_sign_in_goes_back_to_where_it_was_asked_for_and_nowhere_else(served: Server) -> None:
    email = web_app.add_person(served, Role.FIELD, password=PASSWORD)
    for to, place in (
        ("/bench/HV-1?x=1", "/bench/HV-1?x=1"),
        ("//evil.example", "/evil.example"),
        ("https://evil.example", "/"),
    ):
        data = {"email": email, "password": PASSWORD, "to": to}
        answer = web_app.client_of(served).post("/sign-in", data=data, follow_redirects=False)
        assert answer.headers["location"] == place


def test_local_mode_has_no_accounts(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    for path in ("/account", "/people"):
        assert client.get(path).status_code == 404
    assert client.post("/sign-in", data={"email": "a@example.com", "password": PASSWORD}).status_code == 404
