"""The field page in a real browser: no signal, a dead battery, a cable caliper, two phones, a customer's link."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Playwright, expect, sync_playwright

import web_app
from chaincase.chains.kinds import KINDS
from chaincase.web.phone_kit import phone_kit
from chaincase.web.server import Server

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
AXE = resources.files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
STATES = """async () => {
  const script = document.querySelector("script[src$='phone.js']").src;
  const kept = await import(script.replace("phone.js", "phone-store.js"));
  return (await kept.all("events")).map((each) => each.state);
}"""
SMALL = """() => [
  ...document.querySelectorAll("button, a, select, input:not([type=checkbox]):not(.unseen), label.tap")
].filter((each) => each.checkVisibility() && !each.classList.contains("skip"))
 .map((each) => [each.outerHTML.slice(0, 80), each.getBoundingClientRect()])
 .filter(([, box]) => box.height < 48 || box.width < 44)
 .map(([html, box]) => `${html} ${box.width}x${box.height}`)"""
"""What is too small for a glove; 48 px by the design, 44 where six stand side by side."""


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Server]:
    with web_app.running(tmp_path) as server:
        content = {"schema": "chaincase/case-1", "case": "T-1", "title": "Drag conveyor"}
        server.register.cases.create("T-1", by="test", content=content)
        yield server


@contextmanager
def phone(playwright: Playwright, folder: Path, *, offline: bool = False) -> Iterator[BrowserContext]:
    """Open a browser whose storage outlives it, as a phone's does."""
    opened = playwright.chromium.launch_persistent_context(
        folder,
        executable_path=web_app.CHROMIUM,
        args=["--no-sandbox"],
        service_workers="allow",
        offline=offline,
        **PHONE,
    )
    try:
        yield opened
    finally:
        opened.close()


def ready(page: Page) -> None:
    page.wait_for_selector("#phone[data-ready]")


def enter(server: Server, page: Page) -> None:
    page.goto(f"{server.settings.address}/?token={server.settings.token}")
    page.goto(f"{server.settings.address}/phone/T-1")
    ready(page)


def step(page: Page, name: str) -> None:
    page.get_by_role("navigation", name="Steps").get_by_role("link", name=name).click()


def content(server: Server) -> dict[str, Any]:
    return server.register.cases.open("T-1").content


def arrived(page: Page, entries: int) -> None:
    """Wait until so many changes of this phone have reached the register."""
    for _ in range(150):
        states = page.evaluate(STATES)
        if len(states) == entries and set(states) <= {"sent", "conflict"}:
            return
        page.wait_for_timeout(100)
    raise AssertionError(states)


def picture(color: str) -> dict[str, Any]:
    kept = BytesIO()
    Image.new("RGB", (400, 300), color).save(kept, "JPEG")
    return {"name": "chain.jpg", "mimeType": "image/jpeg", "buffer": kept.getvalue()}


def test_kit_has_every_kind_with_its_figure_and_rows() -> None:
    kit = phone_kit()
    assert [each["name"] for each in kit["kinds"]] == [kind.name for kind in KINDS]
    for kind in kit["kinds"]:
        assert kind["figure"].startswith("<svg")
        assert {row["pictogram"] for row in kind["rows"]} <= set(kit["pictograms"])
    assert json.loads(json.dumps(kit)) == kit


def test_caliper_with_a_cable_goes_from_dimension_to_dimension(served: Server, tmp_path: Path) -> None:
    with sync_playwright() as playwright, phone(playwright, tmp_path / "phone") as context:
        page = context.new_page()
        enter(served, page)
        step(page, "Measure")
        page.locator("button.kind", has_text="offset-sidebar roller chain").click()
        page.locator("input.value").focus()
        for value in ("4.063", "24 3/8"):
            page.keyboard.type(value)
            page.keyboard.press("Enter")
            if value == "24 3/8":
                page.keyboard.type("6")
                page.keyboard.press("Enter")
        page.keyboard.type("2 1/4")
        page.keyboard.press("Enter")
        arrived(page, 4)
        readings = content(served)["evidence"]["readings"]
        assert [(each["dimension"], each["value"], each["over"]) for each in readings] == [
            ("pitch", "4.063 in", 1), ("pitch", "24 3/8 in", 6), ("roller_diameter", "2 1/4 in", 1),
        ]  # fmt: skip
        assert content(served)["evidence"]["construction"] == ["offset sidebar"]


def test_no_signal_a_dead_battery_and_then_everything_arrives_once(served: Server, tmp_path: Path) -> None:
    with sync_playwright() as playwright:
        with phone(playwright, tmp_path / "phone") as context:
            page = context.new_page()
            enter(served, page)
            page.wait_for_function("document.documentElement.dataset.offline === 'ready'")
            page.wait_for_function("navigator.serviceWorker.controller !== null")
            page.reload()
            ready(page)
            context.set_offline(True)
            step(page, "Measure")
            page.locator("button.kind", has_text="welded steel mill chain").click()
            page.locator("input.value").fill("6 1/16")
            page.keyboard.press("Enter")
            step(page, "Photos")
            page.locator("#photo-pick").set_input_files(picture("gray"))
            expect(page.locator(".thumbs img")).to_have_count(1)
            step(page, "Stamp")
            for character in "W?124":
                page.keyboard.type(character) if character != "W" else page.get_by_label(
                    "Character 1", exact=True
                ).fill("W")
            expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 3")
        with phone(playwright, tmp_path / "phone", offline=True) as context:
            page = context.new_page()
            page.goto(f"{served.settings.address}/phone/T-1")
            ready(page)
            expect(page.locator(".boxes input").first).to_have_value("W")
            expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 3")
            page.get_by_role("button", name="Keep this stamp").click()
            expect(page.locator("#phone-unsent")).to_contain_text("not sent yet: 4")
            assert "readings" not in content(served).get("evidence", {})
            context.set_offline(False)
            page.evaluate("dispatchEvent(new Event('online'))")
            arrived(page, 4)
            page.evaluate("dispatchEvent(new Event('online'))")
            page.wait_for_timeout(300)
    case = content(served)
    assert [each["value"] for each in case["evidence"]["readings"]] == ["6 1/16 in"]
    assert [each["text"] for each in case["evidence"]["marks"]] == ["W?124"]
    assert len(case["photographs"]) == 1
    assert served.register.photographs.content(case["photographs"][0]["sha256"])


def test_two_phones_on_one_case_lose_nothing(served: Server, tmp_path: Path) -> None:
    with (
        sync_playwright() as playwright,
        phone(playwright, tmp_path / "one") as one,
        phone(playwright, tmp_path / "two") as two,
    ):
        pages = [context.new_page() for context in (one, two)]
        for page in pages:
            enter(served, page)
        for page, value, strands in zip(pages, ("4.06", "4.08"), ("2", "3"), strict=True):
            step(page, "Measure")
            page.locator("button.kind", has_text="welded steel mill chain").click()
            page.locator("input.value").fill(value)
            page.keyboard.press("Enter")
            step(page, "Questions")
            page.get_by_label("Strands side by side on the machine").fill(strands)
            page.keyboard.press("Enter")
            arrived(page, 3)
        step(pages[1], "Send")
        expect(pages[1].locator("ul.faults")).to_contain_text("somebody else entered 2 first")
    case = content(served)
    assert sorted(each["value"] for each in case["evidence"]["readings"]) == ["4.06 in", "4.08 in"]
    assert case["strands"]["number"] == 2
    conflicts = served.register.cases.conflicts("T-1")
    assert [each.yours for each in conflicts if each.path == "strands.number"] == [3]


def test_what_is_half_typed_comes_back(served: Server, tmp_path: Path) -> None:
    with sync_playwright() as playwright, phone(playwright, tmp_path / "phone") as context:
        page = context.new_page()
        enter(served, page)
        step(page, "Count")
        page.get_by_label("Taped from one attachment").fill("48 1/")
        page.get_by_role("button", name="Plain link", exact=True).click()
        page.get_by_role("button", name="Link with attachment").click()
        page.reload()
        ready(page)
        expect(page.get_by_label("Taped from one attachment")).to_have_value("48 1/")
        expect(page.get_by_text("2 links; attachments on 2")).to_be_visible()


def test_targets_are_large_enough_for_gloves(served: Server, tmp_path: Path) -> None:
    with sync_playwright() as playwright, phone(playwright, tmp_path / "phone") as context:
        page = context.new_page()
        enter(served, page)
        for name in ("Stamp", "Photos", "Measure", "Count", "Questions", "Send"):
            step(page, name)
            small = page.evaluate(SMALL)
            assert small == [], name
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name


def test_a_customer_sees_only_what_is_asked_and_answers_it(served: Server, tmp_path: Path) -> None:
    asker = web_app.client_of(served)
    asker.get(f"/?token={served.settings.token}", follow_redirects=False)
    wanted = {"asked": ["quantity", "spacing"], "note": "Please count on the machine."}
    address = asker.post("/api/v1/cases/T-1/links", json=wanted).json()["address"]
    with sync_playwright() as playwright, phone(playwright, tmp_path / "customer") as context:
        page = context.new_page()
        page.goto(address)
        ready(page)
        links = page.get_by_role("navigation", name="Steps").get_by_role("link")
        assert links.all_inner_texts() == ["Photos", "Count", "Questions", "Send"]
        step(page, "Count")
        page.get_by_label("Pitches from one attachment to the next").fill("12")
        page.keyboard.press("Enter")
        step(page, "Questions")
        page.get_by_label("Strands to buy").fill("2")
        page.keyboard.press("Enter")
        arrived(page, 2)
        assert page.request.get(f"{served.settings.address}/api/v1/cases/T-1").status == 401
        assert page.request.get(f"{served.settings.address}/phone/T-1").status == 401
    case = content(served)
    assert [each["counted"] for each in case["spacing"]["observations"]] == [12]
    assert case["quantity"]["strands"] == 2


def test_every_step_can_be_used_by_everybody(served: Server, tmp_path: Path) -> None:
    """WCAG 2.2 AA, as far as a program can tell; axe-core brings the rules."""
    with sync_playwright() as playwright, phone(playwright, tmp_path / "phone") as context:
        page = context.new_page()
        enter(served, page)
        page.evaluate(AXE)
        step(page, "Measure")
        page.locator("button.kind", has_text="leaf chain").click()
        for look in ("light", "dark"):
            page.emulate_media(color_scheme=look)
            for name in ("Stamp", "Photos", "Measure", "Count", "Questions", "Send"):
                step(page, name)
                found = page.evaluate("axe.run({runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa']})")["violations"]
                told = [(each["id"], [node["html"] for node in each["nodes"]][:3]) for each in found]
                assert told == [], f"{name}, {look}"
