"""The bench in a real browser: a case from empty to dossier, two tabs, the keyboard alone, a lost connection."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
from PIL import Image

import case_files
import web_app
from chaincase.register.accounts import Role
from chaincase.web.desk_entries import SORTS, Author, event_of
from chaincase.web.server import Server

needs_browser = pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")
AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js")
LEVEL = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
HERE = Author("millwright, day shift", "2026-03-01")
READY = "#bench[data-ready]"


@pytest.fixture(scope="module")
def browser() -> Iterator[web_app.Browser]:
    with web_app.browser() as made:
        yield made


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Server]:
    with web_app.running(tmp_path) as made:
        yield made


def start(served: Server, **content: Any) -> None:
    served.register.cases.create("T-1", by="test", content=content)


def content(served: Server) -> dict[str, Any]:
    return served.register.cases.open("T-1").content


def open_bench(page: Any) -> None:
    page.goto("/bench/T-1")
    page.wait_for_selector(READY)


def entered(page: Any, version: int) -> None:
    """Wait until the page shows a version or a later one."""
    page.wait_for_function(f"() => Number(document.getElementById('bench').dataset.version) >= {version}")


def fill(page: Any, field: str, text: str, version: int) -> None:
    page.fill(field, text)
    page.press(field, "Enter")
    entered(page, version)


def violations(page: Any) -> list[str]:
    # By the debugging protocol, as the policy of the page lets no script in.
    page.evaluate(AXE.read_text())
    found = page.evaluate(f"() => axe.run(document, {{ runOnly: {LEVEL} }})")
    return [f"{each['id']}: {each['nodes'][0]['html'][:160]}" for each in found["violations"]]


def desk(browser: web_app.Browser, served: Server) -> Any:
    return web_app.page(browser, served, size=(1440, 900))


def picture() -> bytes:
    kept = BytesIO()
    Image.new("RGB", (400, 300), "gray").save(kept, "JPEG")
    return kept.getvalue()


@needs_browser
def test_from_an_empty_case_to_the_dossier(browser: web_app.Browser, served: Server) -> None:
    start(served, title="Slat conveyor")
    with desk(browser, served) as page:
        open_bench(page)
        fill(page, "#e-mark", "M112", 2)
        page.click("#words-drop summary")
        page.check("#words-drop input[value='flanged roller']")
        entered(page, 3)
        page.keyboard.press("Escape")
        page.select_option("#h-instrument", "digital caliper")
        fill(page, "#size-pitch", "160.6 mm", 4)
        fill(page, "#size-roller_diameter", "58.7 mm", 5)
        fill(page, "#size-flange_diameter", "70 mm", 6)
        assert "M112x160 flanged roller" in page.locator(".settled").inner_text()
        page.select_option("#at-form", "bent")
        page.select_option("#at-sides", "both")
        page.select_option("#at-link", "outer")
        page.fill("#at-holes", "2")
        page.fill("#at-code", "K2")
        fill(page, "#at-text", "platform height 40 mm caliper, longitudinal hole spacing 65 mm caliper", 7)
        fill(page, "#e-spacing", "4", 8)
        fill(page, "#e-pattern", "K2@4", 9)
        assert page.locator(".spacing-figure svg").count() == 1
        fill(page, "#f-strands\\.number", "2", 10)
        fill(page, "#f-strands\\.pitches", "240", 11)
        fill(page, "#f-quantity\\.strands", "2", 12)
        page.check("#level-make")
        version = 12
        while page.locator(".gaps > .open").count():
            gap = page.locator(".gaps > .open").first
            if gap.locator("details[open]").count() == 0:
                gap.locator("summary").click()
            gap.locator("input[name=assumed]").fill("as the catalog has it")
            gap.get_by_role("button", name="Accept in writing").click()
            version += 1
            entered(page, version)
        assert page.locator(".ready").inner_text() == "ready to make"
        page.click("#papers-drop summary")
        with page.expect_download() as waiting:
            page.click("button[data-file='dossier.pdf']")
        assert Path(waiting.value.path()).read_bytes().startswith(b"%PDF")
    reading = content(served)["evidence"]["readings"][0]
    assert (reading["value"], reading["instrument"], reading["by"]) == ("160.6 mm", "digital caliper", "this computer")


@needs_browser
def test_a_cable_caliper_and_nothing_but_keys(browser: web_app.Browser, served: Server) -> None:
    start(served, evidence={"construction": ["roller"]})
    with desk(browser, served) as page:
        open_bench(page)
        page.select_option("#h-unit", "mm")
        page.select_option("#h-instrument", "digital caliper")
        page.keyboard.press("Alt+1")
        names = []
        for number, size in enumerate(("25.43", "15.81", "8.22")):
            names.append(page.evaluate("document.activeElement.id.slice(5)"))
            page.keyboard.type(size)
            page.keyboard.press("Enter")
            entered(page, 2 + number)
        assert len(set(names)) == 3
        page.keyboard.press("Control+z")
        entered(page, 5)
        page.keyboard.press("Alt+2")
        page.keyboard.type("stamp 16B")
        page.keyboard.press("Enter")
        entered(page, 6)
        page.wait_for_function("() => document.getElementById('said').textContent.length > 10")
        assert page.evaluate("document.activeElement.id") == "e-line"
    kept = content(served)["evidence"]
    assert [each["value"] for each in kept["readings"]] == ["25.43 mm", "15.81 mm"]
    assert [each["dimension"] for each in kept["readings"]] == names[:2]
    assert kept["marks"][0]["text"] == "16B"


@needs_browser
def test_two_tabs_write_in_one_place(browser: web_app.Browser, served: Server) -> None:
    start(served, evidence={"readings": [{"id": "r1", "dimension": "pitch", "value": "4 in"}]})
    field = "[id='c-evidence.readings[r1]']"
    with (
        web_app.page(browser, served, size=(1440, 900)) as one,
        web_app.page(browser, served, size=(1440, 900)) as other,
    ):
        for page in (one, other):
            open_bench(page)
            page.focus("#size-pitch")
        one.fill(field, "4.06 in")
        other.fill(field, "4.08 in")
        one.press(field, "Enter")
        entered(one, 2)
        other.press(field, "Enter")
        other.wait_for_selector("#settle:not([hidden])")
        said = other.locator("#settle").inner_text()
        assert "reading of the pitch" in said
        assert "4.06 in" in said
        assert "4.08 in" in said
        assert content(served)["evidence"]["readings"][0]["value"] == "4.06 in"
        one.goto("/bench/T-1/conflicts")
        assert one.locator(".side .value").all_inner_texts() == ["4.06 in", "4.08 in"]
        other.click("#settle >> text=Take mine")
        entered(other, 4)
        other.wait_for_function("() => document.getElementById('settle').hidden")
    opened = served.register.cases.open("T-1")
    assert opened.content["evidence"]["readings"][0]["value"] == "4.08 in"
    assert opened.conflicts == ()


@needs_browser
def test_two_tabs_merge_what_does_not_clash(browser: web_app.Browser, served: Server) -> None:
    start(served)
    with (
        web_app.page(browser, served, size=(1440, 900)) as one,
        web_app.page(browser, served, size=(1440, 900)) as other,
    ):
        open_bench(one)
        open_bench(other)
        fill(one, "#size-pitch", "25.4 mm", 2)
        fill(other, "#size-roller_diameter", "15.88 mm", 3)
        assert "25.4 mm" in other.locator("#meanwhile").inner_text()
        assert other.get_attribute("#size-pitch", "placeholder") == "25.4 mm"
    assert len(content(served)["evidence"]["readings"]) == 2


@needs_browser
def test_what_is_entered_without_a_connection_outlives_a_reload(browser: web_app.Browser, served: Server) -> None:
    start(served)
    with desk(browser, served) as page:
        open_bench(page)
        page.route("**/entries", lambda route: route.abort())
        page.fill("#size-pitch", "4.06 in")
        page.press("#size-pitch", "Enter")
        page.fill("#e-record", "120 ft WH132, K2 every 4th")
        page.wait_for_selector("#unsent:not([hidden])")
        assert "Not saved yet: 1" in page.locator("#unsent").inner_text()
        page.reload()
        page.wait_for_selector(READY)
        assert page.input_value("#e-record") == "120 ft WH132, K2 every 4th"
        page.wait_for_selector("#unsent:not([hidden])")
        assert "readings" not in content(served).get("evidence", {})
        page.unroute("**/entries")
        page.click("text=Try now")
        entered(page, 2)
        page.wait_for_function("() => document.getElementById('unsent').hidden")
        page.forgive("ERR_FAILED")
    assert [each["value"] for each in content(served)["evidence"]["readings"]] == ["4.06 in"]


@needs_browser
def test_what_cannot_be_read_stays_with_its_reason(browser: web_app.Browser, served: Server) -> None:
    start(served)
    with desk(browser, served) as page:
        open_bench(page)
        page.fill("#size-pitch", "4.06 bananas")
        page.press("#size-pitch", "Enter")
        page.wait_for_selector("#size-pitch[aria-invalid]")
        assert page.input_value("#size-pitch") == "4.06 bananas"
        assert "bananas" in page.locator("#strip-how").inner_text()
        assert served.register.cases.open("T-1").version == 1


@needs_browser
@pytest.mark.parametrize(("look", "size"), [("light", (1440, 900)), ("dark", (390, 844))])
def test_every_page_of_the_bench_is_accessible(
    browser: web_app.Browser, served: Server, look: str, size: tuple[int, int]
) -> None:
    full = case_files.full().as_json()
    start(served, **{key: value for key, value in full.items() if key not in {"schema", "case", "features"}})
    with web_app.page(browser, served, look=look, size=size) as page:
        open_bench(page)
        page.focus("#size-pitch")
        assert violations(page) == []
        for name in ("papers-drop", "particulars-drop", "words-drop"):
            page.click(f"#{name} summary")
            assert violations(page) == [], name
            page.keyboard.press("Escape")
        for path in ("history", "day?day=2030-01-01", "conflicts", "compare", "photographs", "ruler", "ask"):
            page.goto(f"/bench/T-1/{path}")
            assert violations(page) == [], path
            assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0, (
                path
            )


@needs_browser
def test_nothing_moves_while_one_types_and_the_page_is_light(browser: web_app.Browser, served: Server) -> None:
    start(served, evidence=case_files.M112)
    with desk(browser, served) as page:
        open_bench(page)
        weights = page.evaluate("""() => ["navigation", "resource"]
          .flatMap((sort) => performance.getEntriesByType(sort)).map((each) => each.decodedBodySize)""")
        assert 50_000 < sum(weights) < 300_000
        page.evaluate("""() => { self.shift = 0; new PerformanceObserver((list) => {
          for (const each of list.getEntries()) self.shift += each.value; }).observe({ type: "layout-shift" }); }""")
        page.focus("#size-pin_diameter")
        page.keyboard.type("20.94 mm", delay=20)
        page.keyboard.press("Enter")
        entered(page, 2)
        assert page.evaluate("self.shift") < 0.01


@needs_browser
def test_a_photograph_is_marked_and_never_measured(browser: web_app.Browser, served: Server) -> None:
    start(served)
    with desk(browser, served) as page:
        page.goto("/bench/T-1/photographs")
        page.fill("#photo-shows", "outer link")
        page.set_input_files("#photo-file", {"name": "link.jpg", "mimeType": "image/jpeg", "buffer": picture()})
        page.wait_for_selector(".look img")
        page.wait_for_selector(".photo-tools:not([hidden])")
        page.wait_for_function("() => document.querySelector('.plate').style.transform")
        page.focus(".look")
        page.keyboard.press("+")
        page.keyboard.press("Enter")
        page.keyboard.type("riveted end")
        page.keyboard.press("Enter")
        page.wait_for_selector(".marks li")
        page.goto("/bench/T-1/ruler?distance=500+mm&nearer=20+mm&tilt=10&length=4+in")
        assert page.locator(".big").inner_text() == "2.6 % too long"
    mark = content(served)["photographs"][0]["marks"][0]
    assert (mark["note"], mark["x"], mark["y"]) == ("riveted end", 0.5, 0.5)
    found = web_app.client_of(served)
    assert found.get("/bench/T-1").status_code == 401


def test_the_bench_works_without_scripts(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "T-1", "content": {}})
    sizes = {"sort": "readings", "size.pitch": "25.4 mm", "size.roller_diameter": "15.88 mm", "instrument": "caliper"}
    done = client.post("/bench/T-1/entry", data=sizes, follow_redirects=False)
    assert done.status_code == 303
    shown = client.get("/bench/T-1").text
    assert "15.88 mm" in shown
    wrong = client.post("/bench/T-1/entry", data={"sort": "readings", "size.pitch": "long"})
    assert wrong.status_code == 422
    assert 'value="long"' in wrong.text
    client.post("/bench/T-1/entry", data={"sort": "particulars", "title": "Elevator", "was.title": ""})
    client.post("/bench/T-1/entry", data={"sort": "undo"})
    assert client.get("/api/v1/cases/T-1").json()["content"].get("title", "") == ""


def test_parts_tell_what_others_changed(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "T-1", "content": {}})
    assert client.get("/bench/T-1/parts?version=1").json()["parts"] == {}
    client.post("/bench/T-1/entry", data={"sort": "line", "text": "pitch 25.4 mm caliper"})
    anew = client.get("/bench/T-1/parts?version=1").json()
    assert anew["version"] == 2
    assert anew["meanwhile"] == ["this computer: added reading: pitch 25.4 mm, caliper"]
    assert set(anew["parts"]) == {"head", "trouble", "evidence", "figure", "made", "lineup", "next", "gaps"}
    as_leaf = client.get("/bench/T-1?kind=leaf").text
    assert "Leaf chain" in as_leaf


@pytest.mark.parametrize(
    "content",
    [
        {"strands": [], "quantity": "two", "plain": True, "pattern": 4},
        {
            "evidence": {
                "readings": [{"dimension": ["x"], "value": {"a": 1}}],
                "marks": "none",
                "construction": "roller",
            }
        },
        {"evidence": [], "features": [{"feature": {}}], "photographs": [{"marks": [{"x": "left"}], "sha256": 5}]},
        {"attachments": [3, None], "records": {"text": "x"}, "title": {"a": "b"}, "wheels": [{"teeth": "many"}]},
        {"evidence": {"readings": [{"dimension": "pitch", "value": "4 bananas"}]}},
    ],
)
def test_what_cannot_be_read_is_shown_and_can_be_removed(tmp_path: Path, content: dict[str, Any]) -> None:
    client = web_app.client(tmp_path)
    assert client.post("/api/v1/cases", json={"case": "T-1", "content": content}).status_code == 201
    shown = client.get("/bench/T-1")
    assert shown.status_code == 200
    assert "cannot be read yet" in shown.text
    for path in ("history", "photographs", "day?day=2999-01-01", "compare", "ask"):
        assert client.get(f"/bench/T-1/{path}").status_code == 200, path


def test_history_and_the_case_as_of_a_day(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    reading = {"id": "r1", "dimension": "pitch", "value": "4 in"}
    client.post("/api/v1/cases", json={"case": "T-1", "content": {"evidence": {"readings": [reading]}}})
    change = {"sort": "change", "path": "evidence.readings[r1].value", "value": "4.06 in"}
    client.post("/bench/T-1/entry", data=change)
    shown = client.get("/bench/T-1/history").text
    assert "<del>4 in</del>" in shown
    assert "<ins>4.06 in</ins>" in shown
    assert client.get("/bench/T-1/day?day=2999-01-01").status_code == 200
    assert client.get("/bench/T-1/day?day=1999-01-01").status_code == 404
    assert client.get("/bench/T-1/day?day=yesterday").status_code == 422


def test_a_link_for_the_customer_asks_what_was_chosen(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "T-1", "content": {}})
    assert client.post("/bench/T-1/ask", data={"days": "30"}).status_code == 422
    made = client.post("/bench/T-1/ask", data={"asked": ["quantity", "length"], "days": "14", "note": "Thank you"})
    assert "/link/" in made.text
    (link,) = client.get("/api/v1/cases/T-1/links").json()
    assert link["asked"] == ["quantity", "length"]
    client.post(f"/bench/T-1/ask/{link['id']}/revoke")
    assert client.get("/api/v1/cases/T-1/links").json()[0]["revoked"]


def test_two_chains_on_one_figure(tmp_path: Path) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "T-1", "content": {"evidence": case_files.M112}})
    shown = client.get("/bench/T-1/compare?one=iso606_b/16B-1&other=iso606_a/16A-1").text
    assert "16B-1 and 16A-1" in shown
    assert "<svg" in shown
    assert client.get("/bench/T-1/compare?one=nothing&other=iso606_a/16A-1").status_code == 422


def test_a_reader_sees_the_bench_and_cannot_write(tmp_path: Path) -> None:
    served = web_app.server(tmp_path, accounts=True)
    served.register.cases.create("T-1", by="test", content={})
    reader = web_app.signed_in(served, Role.READER)
    shown = reader.get("/bench/T-1")
    assert shown.status_code == 200
    assert "data-writes" not in shown.text
    assert "data-entry" not in shown.text
    assert reader.post("/bench/T-1/entry", data={"sort": "mark", "text": "W124"}).status_code == 403
    hand = web_app.signed_in(served, Role.FIELD)
    refused = hand.post("/bench/T-1/entry", data={"sort": "chosen", "designation": "W124"})
    assert refused.status_code == 422
    assert "settled by an engineer" in refused.text


@pytest.mark.parametrize(
    ("fields", "kind", "path"),
    [
        ({"sort": "line", "text": "pitch 163.5 mm tape inner over 4"}, "add", "evidence.readings"),
        ({"sort": "line", "text": "feature coating=none"}, "add", "features"),
        ({"sort": "line", "text": "set strands.number=2"}, "set", "strands.number"),
        ({"sort": "construction", "word": []}, "set", "evidence.construction"),
        ({"sort": "set", "path": "title", "value": ""}, "remove", "title"),
        ({"sort": "chosen", "designation": ""}, "remove", "chosen"),
        ({"sort": "feature", "feature": "seals", "state": "unknown", "value": ""}, "add", "features"),
        ({"sort": "strand", "text": "240 pitches"}, "add", "strands.observations"),
    ],
)
def test_an_entry_is_one_event(fields: dict[str, Any], kind: str, path: str) -> None:
    event = event_of(fields, HERE)
    assert (event["kind"], event["path"]) == (kind, path)


@pytest.mark.parametrize("sort", sorted(set(SORTS) - {"chosen", "pattern", "plain", "keep", "construction"}))
def test_an_entry_that_says_nothing_is_refused(tmp_path: Path, sort: str) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "T-1", "content": {}})
    assert client.post("/bench/T-1/entry", data={"sort": sort}).status_code == 422
    assert client.get("/api/v1/cases/T-1").json()["version"] == 1
