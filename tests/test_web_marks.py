"""Marks in every text that people can write, shown on every page in a real browser: they stay text."""

import re
from collections.abc import Iterator
from typing import Any

import pytest

import web_app
from chaincase.register import passes
from chaincase.register.ids import uuid7
from chaincase.web.import_reading import packed_of
from chaincase.web.papers import MAKERS
from chaincase.web.routing import rights_of
from chaincase.web.server import Server

MARK = "\"'><img src=x onerror=window.hit=1><script>window.hit=1</script><svg onload=window.hit=1>{{7*7}}</textarea>zq"
"""What would run, if any page let it; short enough for a name."""
ADDRESS = "javascript:window.hit=1"
NOT_SHOWN = {"/static/{of}/{name:path}", "/favicon.ico", "/phone-worker.js", "/phone.webmanifest", "/phone/kit.json"}
ELSEWHERE = {"/sign-in", "/sign-in/back", "/sign-in/elsewhere", "/account", "/people", "/invitation/{text}"}
"""Of a company's server; tested there."""
READABLE: dict[str, Any] = {
    "title": MARK,
    "customer": MARK,
    "plant": MARK,
    "machine": MARK,
    "position": MARK,
    "notes": MARK * 3,
    "evidence": {
        "notes": MARK,
        "marks": [{"text": "WH132", "where": MARK, "by": MARK}, {"text": MARK, "by": MARK}],
        "readings": [{"dimension": "pitch", "value": "6.05 in", "instrument": "tape", "note": MARK, "by": MARK}],
    },
    "records": [{"text": MARK, "where": MARK, "by": MARK}],
    "attachments": [{"form": "bent", "code": MARK, "note": MARK, "by": MARK}],
    "features": [{"feature": "material", "text": MARK, "state": "reported", "how": MARK, "by": MARK}],
    "assumptions": [{"gap": "features.coating", "assumed": MARK, "why": MARK, "by": MARK}],
    "photographs": [{"file": MARK, "shows": MARK, "by": MARK}, {"file": ADDRESS, "shows": ADDRESS}],
}


def marked_everywhere(value: Any) -> Any:
    """Give a content with marks also where only certain words can be read."""
    if isinstance(value, dict):
        return {key: marked_everywhere(each) for key, each in value.items()}
    return [marked_everywhere(each) for each in value] if isinstance(value, list) else MARK


def filled(server: Server) -> dict[str, str]:
    """Put marks into everything, and give what stands in the places of addresses."""
    register = server.register
    by = MARK[:200]
    register.cases.create("M-1", by=by, content=READABLE)
    register.cases.create("M-2", by=by, content=marked_everywhere(READABLE))
    customer = register.customers.add(by=by, name=MARK, number=MARK, contact=MARK, note=MARK)
    site = register.sites.add(by=by, customer=customer.id, name=MARK, address=ADDRESS, note=MARK)
    machine = register.machines.add(by=by, site=site.id, name=MARK, number=MARK, tag="M-1", note=MARK)
    position = register.positions.add(by=by, machine=machine.id, name=MARK, note=MARK)
    chain = register.installed.install(
        position.id, on="2025-01-01", by=by, designation=MARK, kind="roller", pitch="4 in", note=MARK, case="M-1"
    )
    for on, length in (("2025-02-01", "60.1 in"), ("2025-08-01", "60.4 in")):
        register.wear.add(by=by, installed=chain.id, on=on, length=length, over=15, instrument="tape", note=MARK)
    register.views.add(by=by, owner="this computer", name=MARK, filter='{"text": "zq"}')
    register.documents.put("M-1", MARK, b"%PDF-1.7", kind="dossier", by=by)
    with register.store.write() as db:
        passes.add_link(db, case="M-1", asked=["quantity", MARK[:80]], note=MARK, by=by, now=0)
    row = {"row": 2, "sample": MARK, "why": MARK}
    job = register.jobs.start("import", [{"by": by, "rows": [row]}], by=by)
    return {
        "case": "M-1",
        "machine": machine.id,
        "position": position.id,
        "installed": chain.id,
        "job": job.id,
        "tag": "M-1",
        "table": "iso606_b",
        "designation:path": "16B-1",
        "text": "none",
    }


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, dict[str, str]]]:
    with web_app.running(tmp_path_factory.mktemp("marks")) as server:
        yield server, filled(server)


def addresses(server: Server, places: dict[str, str]) -> Iterator[str]:
    """Give an address of every page: a new one is looked at by itself, or asks for what to put into it."""
    app = web_app.client_of(server).app
    paths = {path for method, path in rights_of(app.routes) if method == "GET" and not path.startswith("/api/")}
    kinds = {"customers": "customers", "sites": "sites", "machines": "machines", "positions": "positions"}
    for path in sorted(paths - NOT_SHOWN - ELSEWHERE):
        if path.endswith(".pdf"):
            continue
        if "{kind}" not in path:
            yield re.sub(r"\{([^}]*)\}", lambda found: places[found[1]], path)
            continue
        for kind in kinds:
            row = getattr(server.register, kind).find()[0]
            yield path.replace("{kind}", kind).replace("{id}", row.id)
    yield from ("/bench/M-2", "/bench/M-2/history", "/register?text=zq", "/register/new?machine=" + places["machine"])
    yield from (f"/register?text={MARK}", f"/tables?text={MARK}", f"/no/{MARK.replace('/', '')}", "/bench/M-2/parts")


@pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")
def test_marks_run_on_no_page(served: tuple[Server, dict[str, str]]) -> None:
    server, places = served
    seen = 0
    with web_app.browser() as browser, web_app.page(browser, server) as page:
        page.goto("/name")
        page.fill("#name", MARK[:100])
        page.press("#name", "Enter")
        for path in addresses(server, places):
            page.goto(path)
            page.forgive("the server responded with a status of 4")
            assert page.evaluate("window.hit") is None, path
            assert page.faults == [], path
            text = page.content()
            assert "<script>window.hit" not in text, path
            assert '<img src="x" onerror' not in text, path
            seen += "zq" in page.inner_text("body")
    assert seen >= 10


def test_marks_in_papers_are_set_as_text(served: tuple[Server, dict[str, str]]) -> None:
    server, _ = served
    client = web_app.client_of(server)
    client.get(f"/?token={server.settings.token}", follow_redirects=False)
    for paper in MAKERS:
        answer = client.get(f"/api/v1/cases/M-1/papers/{paper}")
        assert answer.status_code == 200, (paper, answer.text[:300])
        assert "attachment" in answer.headers["content-disposition"]
        assert "sandbox" in answer.headers["content-security-policy"]
        if paper == "letter.html":
            assert "<script>window" not in answer.text
            assert "onerror=window" not in answer.text.replace("&gt;&lt;img src=x onerror=window", "")
        assert client.get(f"/api/v1/cases/M-2/papers/{paper}").status_code in {200, 422}, paper
    machine = server.register.machines.find()[0]
    assert client.get(f"/plant/machines/{machine.id}/tag.pdf").status_code == 200


def test_nothing_that_is_only_looked_at_changes_anything(served: tuple[Server, dict[str, str]]) -> None:
    server, places = served
    client = web_app.client_of(server)
    client.get(f"/?token={server.settings.token}", follow_redirects=False)
    before = server.register.verify()
    for path in addresses(server, places):
        assert client.get(path).status_code < 500, path
    for method, path in rights_of(client.app.routes):
        if method == "GET" and path.startswith("/api/") and "backup" not in path and "export" not in path:
            assert client.get(re.sub(r"\{([^}]*)\}", lambda f: places.get(f[1], "none"), path)).status_code < 500, path
    assert server.register.verify() == before


def test_marks_in_a_file_of_samples_stay_text(served: tuple[Server, dict[str, str]]) -> None:
    server, _ = served
    client = web_app.client_of(server)
    client.get(f"/?token={server.settings.token}", follow_redirects=False)
    cell = f'"{MARK.replace(chr(34), chr(34) * 2)}"'
    sheet = f"sample,mark,notes,{cell}\nX-1,WH132,{cell},a\n"
    answer = client.post("/register/import", files={"file": (f"{MARK}.csv", sheet)})
    assert answer.status_code in {200, 422}
    assert "<script>window" not in answer.text
    form = {"name": MARK, "packed": packed_of("sample,mark\n<script>window.hit=1</script>,W\n"), "job": uuid7()}
    assert "<script>window" not in client.post("/register/import/samples", data=form).text
