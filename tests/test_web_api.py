"""The API of cases and tables: what it gives, one shape for what goes wrong."""

import io
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from PIL import Image

import web_app
from chaincase.register.accounts import Role
from web_app import TestClient

EVIDENCE = {"schema": "chaincase/evidence-1", "marks": [{"text": "WH132"}]}
READING = {"dimension": "pitch", "value": "4.06 in", "instrument": "tape"}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    return web_app.client(tmp_path_factory.mktemp("api"))


def event(kind: str, path: str, value: Any = None, base: int | None = None) -> dict[str, Any]:
    return {"id": str(uuid4()), "kind": kind, "path": path, "value": value, "base": base, "client": "t"}


def begin(client: TestClient, case: str, **content: Any) -> int:
    answer = client.post("/api/v1/cases", json={"case": case, "content": content})
    assert answer.status_code == 201, answer.text
    return int(answer.json()["version"])


def append(client: TestClient, case: str, *events: dict[str, Any]) -> dict[str, Any]:
    answer = client.post(f"/api/v1/cases/{case}/events", json={"events": list(events)})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def test_a_case_from_empty_to_findings(client: TestClient) -> None:
    version = begin(client, "A-1", title="Ash drag")
    mark = event("add", "evidence.marks", {"text": "WH132"}, version)
    done = append(client, "A-1", mark, event("add", "evidence.readings", READING, version))
    assert [each["outcome"] for each in done["results"]] == ["applied", "applied"]
    assert [each["outcome"] for each in append(client, "A-1", mark)["results"]] == ["repeated"]
    found = client.get("/api/v1/cases/A-1/findings").json()
    assert found["version"] == done["version"]
    assert found["faults"] == []
    assert found["findings"]["identity"]["candidates"][0]["designation"] in {"WH132", "W132", "WR132"}
    assert found["findings"]["ready"] == {"quote": False, "make": False}
    line = client.get("/api/v1/cases", params={"text": "ash"}).json()["lines"][0]
    assert (line["case"], line["gaps_quote"] > 0) == ("A-1", True)


def test_what_cannot_be_read_is_kept_and_named(client: TestClient) -> None:
    begin(client, "A-2")
    assert (
        append(client, "A-2", event("add", "evidence.readings", {**READING, "value": "6 mmm"}))["results"][0]["outcome"]
        == "applied"
    )
    found = client.get("/api/v1/cases/A-2/findings").json()
    assert found["findings"] is None
    assert "readings[0]" in found["faults"][0]["where"]
    assert "6 mmm" in found["faults"][0]["what"]


def test_two_hands_on_one_place_lose_no_word(client: TestClient) -> None:
    version = begin(client, "A-3", title="old")
    append(client, "A-3", event("set", "title", "mine", version))
    late = append(client, "A-3", {**event("set", "title", "yours", version), "client": "other"})["results"][0]
    assert (late["outcome"], late["yours"], late["theirs"]) == ("conflict", "yours", "mine")
    assert client.get("/api/v1/cases/A-3").json()["conflicts"][0]["yours"] == "yours"


def test_undo_and_history(client: TestClient) -> None:
    begin(client, "A-4", title="old")
    append(client, "A-4", event("set", "title", "new"))
    assert client.post("/api/v1/cases/A-4/undo", json={}).json()["content"]["title"] == "old"
    kinds = [each["kind"] for each in client.get("/api/v1/cases/A-4/history").json()]
    assert kinds == ["set", "set", "create"]
    assert client.get("/api/v1/cases/A-4", params={"day": "2000-01-01"}).status_code == 404


def test_a_photograph_comes_back_without_what_was_hidden(client: TestClient) -> None:
    begin(client, "A-5")
    out = io.BytesIO()
    exif = Image.Exif()
    exif[0x010E] = "hidden words"
    Image.new("RGB", (40, 30), "gray").save(out, "JPEG", exif=exif)
    headers = {"content-type": "image/jpeg"}
    kept = client.post(
        "/api/v1/cases/A-5/photographs", content=out.getvalue(), headers=headers, params={"name": "a.jpg"}
    )
    assert kept.status_code == 201, kept.text
    answer = client.get(f"/api/v1/photographs/{kept.json()['id']}")
    assert answer.headers["content-type"] == "image/jpeg"
    assert "sandbox" in answer.headers["content-security-policy"]
    assert b"hidden words" not in answer.content
    assert [each["name"] for each in client.get("/api/v1/cases/A-5/photographs").json()] == ["a.jpg"]


@pytest.mark.parametrize(
    "data", [b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\xff\xd8\xff" + b"x" * 100, b"GIF89a"]
)
def test_what_is_no_photograph_is_refused(client: TestClient, data: bytes) -> None:
    if client.get("/api/v1/cases/A-6").status_code == 404:
        begin(client, "A-6")
    answer = client.post("/api/v1/cases/A-6/photographs", content=data, headers={"content-type": "image/jpeg"})
    assert answer.status_code == 422
    assert answer.json()["error"]["right"]


def test_the_figure_of_a_case_follows_its_readings(client: TestClient) -> None:
    begin(client, "A-7", evidence={"marks": [{"text": "WH132"}], "readings": [READING]})
    for state in ("blank", "measured", "specified", "compare"):
        answer = client.get("/api/v1/cases/A-7/figure.svg", params={"state": state})
        assert answer.status_code == 200, (state, answer.text)
        assert answer.headers["content-type"] == "image/svg+xml"
    assert "4.06 in" in client.get("/api/v1/cases/A-7/figure.svg").text
    begin(client, "A-8")
    assert client.get("/api/v1/cases/A-8/figure.svg").status_code == 422


@pytest.mark.parametrize(
    ("method", "path", "body", "status"),
    [
        ("GET", "/api/v1/cases/none", None, 404),
        ("GET", "/api/v1/cases/none/findings", None, 404),
        ("GET", "/api/v1/cases/none/history", None, 404),
        ("GET", "/api/v1/photographs/none", None, 404),
        ("GET", "/api/v1/tables/chains/none", None, 422),
        ("GET", "/api/v1/figures/kinds/none.svg", None, 422),
        ("GET", "/api/v1/cases?limit=0", None, 422),
        ("GET", "/api/v1/cases?after=x", None, 422),
        ("POST", "/api/v1/cases", {"case": "a b"}, 422),
        ("POST", "/api/v1/cases", {"case": "A-9", "more": 1}, 422),
        ("POST", "/api/v1/cases/none/events", {"events": [event("set", "title", "x")]}, 404),
        ("POST", "/api/v1/cases/none/undo", {}, 404),
        (
            "POST",
            "/api/v1/identify",
            {"schema": "chaincase/evidence-1", "readings": [{"dimension": "pitch", "value": "6 mmm"}]},
            422,
        ),
        ("POST", "/api/v1/identify", [], 422),
        ("POST", "/api/v1/duty/none", {}, 422),
        ("POST", "/api/v1/duty/length", {}, 422),
        ("POST", "/api/v1/read", {"text": ""}, 422),
        ("DELETE", "/api/v1/cases", None, 405),
        ("GET", "/api/v2", None, 404),
    ],
)
def test_what_goes_wrong_has_one_shape(client: TestClient, method: str, path: str, body: Any, status: int) -> None:
    answer = client.request(method, path, json=body)
    assert answer.status_code == status, answer.text
    assert set(answer.json()) == {"error"}
    error = answer.json()["error"]
    assert set(error) == {"what", "where", "right", "status", "faults", "both"}
    assert error["status"] == status
    assert error["what"]


@pytest.mark.parametrize("body", [b"{", b"\xff", b'{"text": NaN', b"[" * 100_000, b""])
def test_a_body_that_is_no_json_is_refused(client: TestClient, body: bytes) -> None:
    answer = client.post("/api/v1/read", content=body, headers={"content-type": "application/json"})
    assert answer.status_code in {400, 422}
    assert answer.json()["error"]["what"]


def test_what_one_computes_is_the_same_as_by_command(client: TestClient) -> None:
    found = client.post(
        "/api/v1/identify", json={"schema": "chaincase/evidence-1", "marks": [{"text": "WH132"}]}
    ).json()
    assert found["schema"] == "chaincase/identification-1"
    answer = client.post(
        "/api/v1/duty/length", json={"pitch": "19.05 mm", "teeth": [17, 51], "centers": "800 mm"}
    ).json()
    assert answer["pitches"] == 120
    assert client.post("/api/v1/read", json={"text": "WR124"}).json()["items"][0]["field"] == "designation"
    spaced = client.post(
        "/api/v1/spacing", json={"schema": "chaincase/spacing-1", "observations": [{"counted": 12}]}
    ).json()
    assert spaced["spacing"][0]["pitches"] == 12


def test_tables_are_looked_up(client: TestClient) -> None:
    names = {each["name"] for each in client.get("/api/v1/tables").json()}
    assert "iso606_a" in names
    assert client.get("/api/v1/tables/chains", params={"text": "16b"}).json()[0]["designation"].startswith("16B")
    assert client.get("/api/v1/tables/chains/iso606_b/16B-1").json()["dimensions"]["pitch"]["mm"] == 25.4
    assert client.get("/api/v1/interchange/16B-1").json()
    assert "<svg" in client.get("/api/v1/figures/chains/iso606_b/16B-1.svg").text


def test_a_field_hand_measures_and_does_not_settle(tmp_path: Path) -> None:
    served = web_app.server(tmp_path, accounts=True)
    hand, engineer = web_app.signed_in(served, Role.FIELD), web_app.signed_in(served, Role.ENGINEER)
    begin(hand, "B-1")
    chosen = event("set", "chosen", {"designation": "WH132", "by": "hand", "on": "2026-03-01", "why": "looks so"})
    done = append(
        hand, "B-1", event("add", "evidence.readings", READING), chosen, event("set", "filing.state", "closed")
    )
    assert [each["outcome"] for each in done["results"]] == ["applied", "refused", "refused"]
    assert "settled by an engineer" in done["results"][1]["why"]
    assert append(engineer, "B-1", {**chosen, "id": str(uuid4())})["results"][0]["outcome"] == "applied"
    last = engineer.get("/api/v1/cases/B-1/history").json()[0]
    assert last["by"] == "engineer, day shift"
    assert hand.post("/api/v1/cases/B-1/undo", json={"event": last["id"]}).status_code == 403
    assert hand.post("/api/v1/cases/B-1/undo", json={}).status_code == 200
    assert (
        hand.post("/api/v1/cases", json={"case": "B-2", "content": {"chosen": {"designation": "WH132"}}}).status_code
        == 403
    )
    reader = web_app.signed_in(served, Role.READER)
    assert reader.post("/api/v1/cases/B-1/events", json={"events": []}).status_code == 403


def test_the_same_findings_are_worked_out_once(client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    from chaincase.web import service

    begin(client, "A-10", evidence={"marks": [{"text": "WH132"}]})
    first = client.get("/api/v1/cases/A-10/findings").json()
    monkeypatch.setattr(service, "find", None)
    assert client.get("/api/v1/cases/A-10/findings").json() == first


def test_every_paper_of_a_case(client: TestClient) -> None:
    from chaincase.web.papers import MAKERS, TYPES

    begin(client, "P-1", title="Ash drag", evidence={"marks": [{"text": "WH132"}], "readings": [READING]})
    for name in MAKERS:
        answer = client.get(f"/api/v1/cases/P-1/papers/{name}")
        assert answer.status_code == 200, (name, answer.text)
        assert answer.headers["content-type"] == TYPES[name.partition(".")[2]]
        assert answer.headers["content-disposition"].startswith("attachment")
        assert "sandbox" in answer.headers["content-security-policy"]
        assert len(answer.content) > 500
    assert client.get("/api/v1/cases/P-1/papers/tag.zip").status_code == 422
    assert client.get("/api/v1/cases/none/papers/tag.pdf").status_code == 404
    assert client.get("/api/v1/sheets/roller.pdf").content.startswith(b"%PDF")


def test_a_kept_paper_stays_as_it_was_sent(client: TestClient) -> None:
    begin(client, "P-2", evidence={"marks": [{"text": "WH132"}]})
    kept = client.post("/api/v1/cases/P-2/papers/letter.txt").json()
    append(client, "P-2", event("set", "quantity.strands", 2))
    before = client.get(f"/api/v1/papers/{kept['id']}").text
    assert before != client.get("/api/v1/cases/P-2/papers/letter.txt").text
    assert [each["name"] for each in client.get("/api/v1/cases/P-2/papers").json()] == ["P-2-letter.txt"]


def test_plants_from_customer_to_wear(client: TestClient) -> None:
    def add(kind: str, **fields: Any) -> dict[str, Any]:
        answer = client.post(f"/api/v1/plants/{kind}", json=fields)
        assert answer.status_code == 201, answer.text
        return dict(answer.json())

    customer = add("customers", name="Terminal, north")
    site = add("sites", customer=customer["id"], name="Wharf 2")
    machine = add("machines", site=site["id"], name="Ash drag")
    position = add("positions", machine=machine["id"], name="lower run")
    body = {"on": "2025-01-01", "fields": {"designation": "WH132", "pitch": "6.05 in", "kind": "welded steel"}}
    chain = client.post(f"/api/v1/plants/positions/{position['id']}/install", json=body).json()
    for on, length in (("2025-03-01", "60 3/4 in"), ("2025-09-01", "61 in")):
        reading = {"on": on, "length": length, "over": 10, "instrument": "tape"}
        assert client.post(f"/api/v1/plants/installed/{chain['id']}/wear", json=reading).status_code == 201
    found = client.get(f"/api/v1/plants/installed/{chain['id']}/wear").json()
    assert len(found["form"]["readings"]) == 2
    assert found["answer"]["schema"].startswith("chaincase/duty-wear")
    assert client.get(f"/api/v1/plants/tags/{machine['tag']}").json()["id"] == machine["id"]
    branch = client.get("/api/v1/plants/tree").json()[0]["sites"][0]["machines"][0]["positions"][0]
    assert branch["runs"]["designation"] == "WH132"
    sites = client.get("/api/v1/plants/sites", params={"of": customer["id"]}).json()
    assert [each["id"] for each in sites] == [site["id"]]
    change = {"version": site["version"], "fields": {"name": "Wharf 3"}}
    assert client.put(f"/api/v1/plants/sites/{site['id']}", json=change).json()["name"] == "Wharf 3"
    assert client.put(f"/api/v1/plants/sites/{site['id']}", json=change).status_code == 409


@pytest.mark.parametrize("name", ["by", "version", "moved", "removed", "id", "unknown"])
def test_what_the_register_writes_itself_is_not_the_senders(client: TestClient, name: str) -> None:
    row = client.post("/api/v1/plants/customers", json={"name": "x"}).json()
    answer = client.put(f"/api/v1/plants/customers/{row['id']}", json={"version": 1, "fields": {name: "me"}})
    assert answer.status_code == 422


def test_an_archive_is_given_and_leaves_nothing_behind(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    begin(client, "K-1", title="kept")
    for what in ("backup", "export"):
        answer = client.get(f"/api/v1/keeping/{what}")
        assert answer.status_code == 200
        assert answer.content[:2] == b"PK"
    assert not list((tmp_path / "data").glob("archive-*"))
    assert client.get("/api/v1/keeping/verdict").json()["fault"] is None


@pytest.mark.parametrize(("ending", "magic"), [("svg", b"<"), ("png", b"\x89PNG"), ("dxf", b"  0\nSECTION")])
def test_figures_come_as_pictures_and_as_drawings(client: TestClient, ending: str, magic: bytes) -> None:
    if client.get("/api/v1/cases/A-10").status_code == 404:
        begin(client, "A-10", evidence={"marks": [{"text": "WH132"}], "readings": [READING]})
    for path in ("figures/kinds/roller", "figures/chains/16B-1", "figures/chains/iso606_b/16B-1", "cases/A-10/figure"):
        answer = client.get(f"/api/v1/{path}.{ending}")
        assert answer.status_code == 200, (path, answer.text)
        assert answer.content.startswith(magic), answer.content[:20]
        assert "sandbox" in answer.headers["content-security-policy"]
    assert client.get("/api/v1/figures/kinds/roller.exe").status_code == 422


def test_an_attachment_is_identified(client: TestClient) -> None:
    seen = {"form": "bent", "code": "K2"}
    form = {"schema": "chaincase/attachment-1", "chain": "16B-1", "attachment": seen}
    answer = client.post("/api/v1/attachment", json=form)
    assert answer.status_code == 200, answer.text
    assert answer.json()["candidates"][0]["code"] == "K2"
    assert client.post("/api/v1/attachment", json={"schema": "x"}).status_code == 422
