"""The field page where it is hard: plain http, two tabs, no room, signed out, large pictures, odd texts, a file."""

import io
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect, sync_playwright

import web_app
from chaincase.cli.main import run
from chaincase.register.accounts import Role
from chaincase.web.import_reading import FieldEvents, read_upload
from chaincase.web.server import Server
from serving import until

pytestmark = pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")

PLANT = "plant.example"
ODD = "חגורה שחוקה \u202bعربي\u202c \U0001f517\U0001f468\u200d\U0001f527 Kettenlänge " + "ohneLeerzeichen" * 40
"""Right to left, joined emoji, and a word as wide as ten phones."""
STATES = """async () => {
  const script = document.querySelector("script[src$='phone.js']").src;
  const kept = await import(script.replace("phone.js", "phone-store.js"));
  return (await kept.all("events")).map((each) => each.state);
}"""
FULL = """() => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...given) {
    if (window.full) throw new DOMException("Quota exceeded.", "QuotaExceededError");
    return put.apply(this, given);
  };
}"""


@contextmanager
def serving(folder: Path, **how: Any) -> Iterator[Server]:
    with web_app.running(folder, **how) as server:
        content = {"schema": "chaincase/case-1", "case": "T-1", "title": "Drag conveyor"}
        server.register.cases.create("T-1", by="test", content=content)
        yield server


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with sync_playwright() as playwright:
        args = ["--no-sandbox", f"--host-resolver-rules=MAP {PLANT} 127.0.0.1"]
        made = playwright.chromium.launch(executable_path=web_app.CHROMIUM, args=args)
        yield made
        made.close()


@contextmanager
def phone(browser: Any) -> Iterator[BrowserContext]:
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, accept_downloads=True)
    context.set_default_timeout(30_000)
    try:
        yield context
    finally:
        context.close()


def opened(context: BrowserContext, server: Server) -> Page:
    page = context.new_page()
    page.goto(f"{server.settings.address}/?token={server.settings.token}")
    page.goto(f"{server.settings.address}/phone/T-1")
    page.wait_for_selector("#phone[data-ready]")
    return page


def signed_in(context: BrowserContext, server: Server) -> Page:
    email = web_app.add_person(server, Role.FIELD, password=web_app.PASSWORD)
    page = context.new_page()
    page.goto(f"{server.settings.address}/sign-in?to=/phone/T-1")
    sign_in(page, email)
    return page


def sign_in(page: Page, email: str = "field.day.shift@example.com") -> None:
    page.fill("#email", email)
    page.fill("#password", web_app.PASSWORD)
    page.press("#password", "Enter")
    page.wait_for_selector("#phone[data-ready]")


def step(page: Page, name: str) -> None:
    page.get_by_role("navigation", name="Steps").get_by_role("link", name=name).click()


def measured(page: Page, value: str) -> None:
    """Enter a pitch; the first time the kind is chosen, too."""
    step(page, "Measure")
    kind = page.locator("button.kind", has_text="welded steel mill chain")
    if kind.count():
        kind.click()
    page.locator("input.value").fill(value)
    page.keyboard.press("Enter")


def stamped(page: Page, character: str) -> None:
    step(page, "Stamp")
    page.get_by_label("Character 1", exact=True).fill(character)
    page.get_by_role("button", name="Keep this stamp").click()


def arrived(page: Page, entries: int) -> None:
    for _ in range(300):
        states = page.evaluate(STATES)
        if len(states) == entries and set(states) == {"sent"}:
            return
        page.wait_for_timeout(100)
    raise AssertionError(states)


def readings(server: Server) -> list[str]:
    return [each["value"] for each in server.register.cases.open("T-1").content["evidence"].get("readings", [])]


def picture(width: int, height: int) -> dict[str, Any]:
    out = io.BytesIO()
    Image.effect_noise((width // 8, height // 8), 80).resize((width, height)).save(out, "JPEG")
    return {"name": "chain.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def test_plain_http_from_another_computer_keeps_and_sends_all_the_same(browser: Any, tmp_path: Path) -> None:
    with serving(tmp_path, accounts=True, name=PLANT) as server, phone(browser) as context:
        page = signed_in(context, server)
        missing = "[isSecureContext, 'locks' in navigator, 'serviceWorker' in navigator, 'randomUUID' in crypto]"
        assert page.evaluate(missing) == [False, False, False, False]
        expect(page.locator("#phone")).to_contain_text("cannot work without a signal")
        context.set_offline(True)
        measured(page, "6 1/16")
        expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 2")
        other = context.new_page()
        context.set_offline(False)
        other.goto(f"{server.settings.address}/phone/T-1")
        other.wait_for_selector("#phone[data-ready]")
        for each in (page, other):
            each.evaluate("dispatchEvent(new Event('online'))")
        arrived(page, 2)
        assert readings(server) == ["6 1/16 in"]
        until(lambda: page.evaluate("localStorage.getItem('phone sending')") is None)


def test_a_second_tab_does_not_send_the_same_again(browser: Any, tmp_path: Path) -> None:
    sent: list[str] = []

    def note(request: Any) -> None:
        if request.method == "POST" and request.url.endswith("/events"):
            sent.extend(each["id"] for each in json.loads(request.post_data)["events"])

    with serving(tmp_path) as server, phone(browser) as context:
        page, other = opened(context, server), opened(context, server)
        page.bring_to_front()  # one in the background draws seldom
        context.set_offline(True)
        measured(page, "4.06")
        for character in "WH":
            stamped(page, character)
        expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 4")
        context.on("request", note)
        context.set_offline(False)
        for each in (page, other, page, other):
            each.evaluate("dispatchEvent(new Event('online'))")
        arrived(other, 4)
        page.wait_for_timeout(300)
        assert len(sent) == len(set(sent)) == 4
        assert readings(server) == ["4.06 in"]


def test_signed_out_while_something_waits_one_is_shown_the_way_back(browser: Any, tmp_path: Path) -> None:
    with serving(tmp_path, accounts=True) as server, phone(browser) as context:
        page = signed_in(context, server)
        server.register.people.change(
            (row := server.register.people.find()[0]).id, row.version, by="test", disabled=True
        )
        measured(page, "4.06")
        door = page.get_by_role("status").filter(has_text="You are signed out.")
        expect(door).to_contain_text("Nothing is lost")
        expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 2")
        row = server.register.people.get(row.id)
        server.register.people.change(row.id, row.version, by="test", disabled=False)
        context.clear_cookies()
        door.get_by_role("link", name="Sign in").click()
        sign_in(page)
        assert page.url.endswith("/phone/T-1")
        arrived(page, 2)
        assert readings(server) == ["4.06 in"]


def test_no_room_on_the_phone_is_told_and_what_was_typed_stays(browser: Any, tmp_path: Path) -> None:
    with serving(tmp_path) as server, phone(browser) as context:
        context.add_init_script(f"({FULL})()")
        page = opened(context, server)
        faults: list[str] = []
        page.on("pageerror", lambda fault: faults.append(str(fault)))
        measured(page, "4.06")
        arrived(page, 2)
        page.evaluate("window.full = true")
        stamped(page, "W")
        expect(page.get_by_role("alert")).to_contain_text("NOT kept")
        expect(page.get_by_role("alert").locator("p")).to_be_in_viewport()
        expect(page.get_by_label("Character 1", exact=True)).to_have_value("W")
        step(page, "Photos")
        page.locator("#photo-pick").set_input_files(picture(400, 300))
        expect(page.get_by_text("Not kept.", exact=True)).to_be_visible()
        page.evaluate("window.full = false")
        step(page, "Stamp")
        page.get_by_role("button", name="Keep this stamp").click()
        arrived(page, 3)
        expect(page.get_by_role("alert").locator("p")).to_have_count(0)
        assert faults == []


def test_a_large_photograph_is_made_smaller_and_odd_texts_arrive_as_typed(browser: Any, tmp_path: Path) -> None:
    with serving(tmp_path) as server, phone(browser) as context:
        page = opened(context, server)
        step(page, "Photos")
        page.get_by_label("What does the next one show?").fill(ODD)
        page.locator("#photo-pick").set_input_files(picture(4000, 3000))
        expect(page.locator(".thumbs img")).to_have_count(1)
        step(page, "Send")
        page.get_by_label("Anything else the engineer should know?").fill(ODD * 20)
        page.get_by_role("button", name="Keep this note").click()
        arrived(page, 2)
        for name in ("Photos", "Send"):
            step(page, name)
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
        case = server.register.cases.open("T-1").content
        assert case["photographs"][0]["shows"] == ODD
        assert case["records"][0]["text"] == ODD * 20
        kept = server.register.photographs.get(case["photographs"][0]["sha256"])
        assert (kept.width, kept.height) == (2400, 1800)


def test_the_saved_file_goes_into_a_case_file_and_into_the_register(browser: Any, tmp_path: Path) -> None:
    with serving(tmp_path) as server, phone(browser) as context:
        page = opened(context, server)
        context.set_offline(True)
        measured(page, "6 1/16")
        step(page, "Photos")
        page.locator("#photo-pick").set_input_files(picture(400, 300))
        expect(page.locator(".thumbs img")).to_have_count(1)
        step(page, "Send")
        with page.expect_download() as saving:
            page.get_by_role("button", name="Save a file to mail").click()
        file = tmp_path / saving.value.suggested_filename
        saving.value.save_as(file)
        expect(page.get_by_text("1 photograph is not in it")).to_be_visible()
        found = read_upload(file.name, file.read_bytes(), server.register)
        assert isinstance(found, FieldEvents)
        assert [each["kind"] for each in found.events] == ["set", "add"]
        case = tmp_path / "case.json"
        case.write_text(json.dumps({"schema": "chaincase/case-1", "case": "T-1"}))
        assert run(["case", "add", str(case), "--from", str(file)]) == 0
        assert json.loads(case.read_text())["evidence"]["readings"][0]["value"] == "6 1/16 in"
        results = server.register.cases.append("T-1", found.events, by="desk").results
        assert {each.outcome for each in results} == {"applied"}
        context.set_offline(False)
        page.evaluate("dispatchEvent(new Event('online'))")
        arrived(page, 3)
        assert readings(server) == ["6 1/16 in"]
        assert len(server.register.cases.open("T-1").content["photographs"]) == 1
