"""Register, plant and tables in a real browser: accessible in both sizes and looks, without scripts too."""

from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest

import web_app
from chaincase.register.ids import uuid7
from chaincase.web import import_reading, import_work
from chaincase.web.server import Server
from plants_for_web import Ids, cases, plant

pytestmark = pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")

AXE = resources.files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
WCAG = """async () => {
  const found = await axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] });
  return found.violations.map((each) => `${each.id}: ${each.nodes.map((node) => node.html.slice(0, 160)).join(" | ")}`);
}"""
TABLE = "sample,mark,pitch\nA-1,W?124,4.06 in\nA-2,,four\n"


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    with web_app.running(tmp_path_factory.mktemp("lists")) as server:
        cases(server.register, plant(server.register))
        yield server


@pytest.fixture(scope="module")
def ids(served: Server) -> Ids:
    register = served.register
    machine = register.machines.by_tag("M-DC02")
    site = register.sites.get(machine.site)
    left, right = register.positions.find(machine=machine.id)
    return Ids(site.customer, site.id, machine.id, left.id, right.id, register.installed.find(position=left.id)[0].id)


@pytest.fixture(scope="module")
def browser() -> Iterator[web_app.Browser]:
    with web_app.browser() as made:
        yield made


@pytest.mark.parametrize("size", [(1440, 900), (390, 844)])
@pytest.mark.parametrize("look", ["light", "dark"])
def test_every_page_is_accessible_and_no_wider_than_the_screen(
    browser: web_app.Browser, served: Server, ids: Ids, look: str, size: tuple[int, int]
) -> None:
    job = import_work.put_down(
        served,
        import_reading.read_table("a.csv", TABLE.replace("A-", f"{uuid7()}-"), served.register),
        by="desk",
        customer="",
        job="",
    )
    import_work.work(served)
    paths = (
        "/register",
        "/register?text=zzz&state=open",
        f"/register/new?position={ids.left}",
        "/register/import",
        f"/register/import/jobs/{job.id}",
        "/plant",
        "/plant?text=drag",
        "/m/M-DC02",
        f"/plant/machines/{ids.machine}/edit",
        f"/plant/positions/{ids.right}/install",
        "/tables?text=124",
        "/tables/iso606_b/16B-1",
        "/tables/compare?one=16B-1&other=16A-1",
    )
    with web_app.page(browser, served, look=look, size=size) as page:
        page.emulate_media(reduced_motion="reduce")
        for path in paths:
            page.goto(path)
            for folded in page.query_selector_all("details:not([open]) > summary"):
                folded.click()
            assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, path
            page.evaluate(AXE)
            assert page.evaluate(WCAG) == [], path


def test_the_list_follows_what_is_typed_and_the_field_keeps_the_focus(browser: web_app.Browser, served: Server) -> None:
    with web_app.page(browser, served) as page:
        page.goto("/register")
        page.focus("#text")
        page.keyboard.type("log ha")
        page.wait_for_url("**/register?text=log+ha")
        assert page.locator(".cases .number").inner_text() == "HV-103"
        assert page.evaluate("document.activeElement.id") == "text"
        page.fill("#text", "")
        page.select_option("#state", "asked")
        page.wait_for_url("**/register?state=asked")
        page.fill("#view-name", "asked, by nobody")
        page.press("#view-name", "Enter")
        page.wait_for_selector(".chips li.shown")
        assert page.locator(".chips li.shown a").inner_text() == "asked, by nobody"


def test_without_scripts_forms_do_all_of_it(browser: web_app.Browser, served: Server, ids: Ids, tmp_path: Path) -> None:
    table = tmp_path / "survey.csv"
    table.write_text(TABLE, encoding="utf-8")
    with web_app.page(browser, served, java_script_enabled=False) as page:
        page.goto("/register")
        page.fill("#text", "log haul")
        page.click("button.show")
        assert page.locator(".cases .number").all_inner_texts() == ["HV-103"]
        page.goto("/register/import")
        page.set_input_files("#file", table)
        page.fill("#prefix", "NS-")
        page.click("main form button")
        assert "row 3" in page.locator("main").inner_text()
        page.click("text=Make 1 case, leave 1 out")
        page.wait_for_url("**/register/import/jobs/*")
        for _ in range(50):
            if page.locator("text=Done:").count():
                break
            page.wait_for_timeout(100)
            page.click("text=Look again")
        assert page.locator(".chips a").all_inner_texts() == ["NS-A-1"]
        page.goto(f"/plant/machines/{ids.machine}")
        page.click("text=Add a wear reading")
        page.fill(f"#on-{ids.chain}", "2025-09-03")
        page.fill(f"#length-{ids.chain}", "60 3/4 in")
        page.fill(f"#over-{ids.chain}", "15")
        page.click("text=Keep the reading")
        assert "September 3, 2025" in page.locator(".said").inner_text()
    assert served.register.cases.open("NS-A-1").summary is not None


def test_an_import_that_runs_is_watched_until_it_is_done(browser: web_app.Browser, served: Server) -> None:
    found = import_reading.read_table("b.csv", "sample,mark\nW-1,W124\n", served.register)
    job = import_work.put_down(served, found, by="desk", customer="", job="")
    with web_app.page(browser, served) as page:
        page.goto(f"/register/import/jobs/{job.id}")
        assert page.locator("#job").get_attribute("data-ended") == "false"
        import_work.work(served)
        page.wait_for_selector("#job[data-ended=true]")
        assert page.locator(".chips a").all_inner_texts() == ["W-1"]
