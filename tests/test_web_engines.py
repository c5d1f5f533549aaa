"""The main ways through the pages and the API once on each engine; what each does in detail is tested elsewhere."""

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

import web_app
from chaincase.register.accounts import Role
from chaincase.register.ids import uuid7
from chaincase.register.jobs import work_off
from chaincase.web.import_reading import packed_of
from chaincase.web.server import Server
from chaincase.web.working import works
from registers import Place
from web_app import TestClient

SAMPLES = "sample,mark,pitch\nS1,WH132,6.05 in\nS2,WR124,4 in\n"


@pytest.fixture
def served(place: Place, tmp_path: Path) -> Iterator[Server]:
    made = web_app.server(tmp_path, place=(place.place, place.files), accounts=True)
    yield made
    made.register.close()


@pytest.fixture
def lead(served: Server) -> TestClient:
    return web_app.signed_in(served, Role.ADMIN)


def done(answer: Any, status: int = 200) -> Any:
    assert answer.status_code == status, answer.text
    return answer.json() if "json" in answer.headers.get("content-type", "") else answer


def event(kind: str, path: str, value: Any = None, base: int | None = None, client: str = "t") -> dict[str, Any]:
    return {"id": uuid7(), "kind": kind, "path": path, "value": value, "base": base, "client": client}


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "gray").save(out, "JPEG")
    return out.getvalue()


def test_a_case_from_its_form_to_its_papers(lead: TestClient) -> None:
    form = {"case": "E-1", "title": "Kiln feed", "event": uuid7()}
    for _ in range(2):
        assert lead.post("/register/new", data=form, follow_redirects=False).headers["location"] == "/bench/E-1"
    reading = {"dimension": "pitch", "value": "6.05 in", "instrument": "tape"}
    batch = [event("add", "evidence.marks", {"text": "WH132"}, 1), event("add", "evidence.readings", reading, 1)]
    results = done(lead.post("/api/v1/cases/E-1/events", json={"events": batch}))["results"]
    assert [each["outcome"] for each in results] == ["applied", "applied"]
    late = {"events": [event("set", "title", "mine", 3), event("set", "title", "yours", 3, "other")]}
    assert done(lead.post("/api/v1/cases/E-1/events", json=late))["results"][1]["outcome"] == "conflict"
    assert done(lead.get("/api/v1/cases/E-1/findings"))["findings"]["identity"]
    headers = {"content-type": "image/jpeg"}
    kept = done(lead.post("/api/v1/cases/E-1/photographs", content=picture(), headers=headers), 201)
    assert done(lead.get(f"/api/v1/photographs/{kept['id']}")).content.startswith(b"\xff\xd8\xff")
    paper = done(lead.post("/api/v1/cases/E-1/papers/dossier.pdf"), 201)
    assert done(lead.get(f"/api/v1/papers/{paper['id']}")).content.startswith(b"%PDF")
    done(lead.post("/api/v1/cases/E-1/undo", json={}))
    assert len(done(lead.get("/api/v1/cases/E-1/history"))) >= 6
    for page in ("/bench/E-1", "/phone/E-1", "/register?text=kiln", "/register?state=open&ready=no"):
        assert "E-1" in done(lead.get(page)).text, page
    assert [each["key"] for each in done(lead.get("/api/v1/search", params={"text": "kiln"}))] == ["E-1"]


def test_a_plant_and_the_chain_that_runs_there(lead: TestClient) -> None:
    place = ""
    for kind, parent in (("customers", ""), ("sites", "customer"), ("machines", "site"), ("positions", "machine")):
        fields = {"name": f"{kind} of the north", **({parent: place} if parent else {})}
        place = done(lead.post(f"/api/v1/plants/{kind}", json=fields), 201)["id"]
    put_in = {"on": "2026-01-01", "fields": {"designation": "WH132", "pitch": "6.05 in", "kind": "roller"}}
    chain = done(lead.post(f"/api/v1/plants/positions/{place}/install", json=put_in), 201)["id"]
    for day, length in (("2026-02-01", "60.6 in"), ("2026-03-01", "60.8 in")):
        reading = {"on": day, "length": length, "over": 10}
        done(lead.post(f"/api/v1/plants/installed/{chain}/wear", json=reading), 201)
    assert done(lead.get(f"/api/v1/plants/installed/{chain}/wear"))["answer"]
    assert "of the north" in done(lead.get("/plant")).text
    row = done(lead.get(f"/api/v1/plants/positions/{place}"))
    change = {"version": row["version"], "fields": {"note": "left"}}
    done(lead.put(f"/api/v1/plants/positions/{place}", json=change))
    assert done(lead.put(f"/api/v1/plants/positions/{place}", json=change), 409)["error"]["both"]


def test_jobs_links_views_and_what_is_kept(served: Server, lead: TestClient) -> None:
    imported = {"name": "a.csv", "packed": packed_of(SAMPLES), "job": uuid7()}
    assert lead.post("/register/import/samples", data=imported, follow_redirects=False).status_code == 303
    survey = done(lead.post("/api/v1/surveys", params={"name": "a.csv"}, content=SAMPLES), 201)
    work_off(served.register, works(served.catalog))
    assert len(done(lead.get(f"/api/v1/surveys/{survey['id']}/answers.csv")).text.splitlines()) == 3
    assert {each["case"] for each in done(lead.get("/api/v1/cases"))["lines"]} == {"S1", "S2"}
    wanted = {"asked": ["quantity"], "note": "please"}
    link = done(lead.post("/api/v1/cases/S1/links", json=wanted), 201)["address"]
    customer = web_app.client_of(served)
    assert customer.get(link.removeprefix(served.settings.address)).status_code == 200
    answer = {"events": [event("set", "quantity.strands", 2)]}
    assert done(customer.post("/api/v1/answer/events", json=answer))[0]["outcome"] == "applied"
    done(lead.post("/api/v1/views", json={"name": "open", "filter": {"state": "open"}}), 201)
    assert "open" in done(lead.get("/register")).text
    assert done(lead.get("/api/v1/keeping/verdict", params={"deep": True}))["fault"] is None
    backup = done(lead.get("/api/v1/keeping/backup")).content
    assert "manifest.json" in zipfile.ZipFile(io.BytesIO(backup)).namelist()


def test_people_come_and_go(served: Server, lead: TestClient) -> None:
    wanted = {"email": "hand@example.com", "role": "field"}
    address = done(lead.post("/api/v1/people/invitations", json=wanted), 201)["address"]
    hand, page = web_app.client_of(served), address.removeprefix(served.settings.address)
    form = {"name": "millwright, day shift", "password": web_app.PASSWORD}
    assert hand.post(page, data=form, follow_redirects=False).status_code == 303
    assert hand.post(page, data=form).status_code == 404
    assert done(hand.get("/api/v1/account")) == {"name": "millwright, day shift", "role": "field"}
    row = next(each for each in done(lead.get("/api/v1/people")) if each["role"] == "field")
    change = {"version": row["version"], "role": "reader", "disabled": False}
    assert done(lead.put(f"/api/v1/people/{row['id']}", json=change))["role"] == "reader"
    assert hand.get("/api/v1/account").status_code == 401
    me = next(each for each in done(lead.get("/api/v1/people")) if each["role"] == "admin")
    change = {"version": me["version"], "role": "reader", "disabled": False}
    assert "left to administer" in done(lead.put(f"/api/v1/people/{me['id']}", json=change), 422)["error"]["what"]
