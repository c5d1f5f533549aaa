"""The pages in a real browser: nothing refused by the policy, nothing from elsewhere, usable by keyboard."""

from collections.abc import Iterator
from pathlib import Path

import pytest

import web_app
from chaincase.register.accounts import Role
from web_app import PASSWORD

pytestmark = pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")


@pytest.fixture(scope="module")
def browser() -> Iterator[web_app.Browser]:
    with web_app.browser() as made:
        yield made


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("size", [(1280, 800), (390, 844)])
def test_sign_in_by_keyboard_only(browser: web_app.Browser, tmp_path: Path, look: str, size: tuple[int, int]) -> None:
    with web_app.running(tmp_path, accounts=True) as served:
        email = web_app.add_person(served, Role.ADMIN, password=PASSWORD)
        with web_app.page(browser, served, look=look, size=size) as page:
            page.goto("/sign-in?to=/account")
            page.focus("#email")
            page.keyboard.type(email)
            page.keyboard.press("Tab")
            page.keyboard.type(PASSWORD)
            page.keyboard.press("Enter")
            page.locator("h1", has_text="Your account").wait_for()
            wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0
            page.goto("/people")
            assert page.locator("h1").inner_text() == "People"
            assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
            page.click("text=Sign out") if size[0] > 1000 else page.goto("/account")
            if size[0] <= 1000:
                page.click("main >> text=Sign out")
            page.wait_for_url("**/sign-in")


def test_the_printed_address_opens_the_pages(browser: web_app.Browser, tmp_path: Path) -> None:
    with web_app.running(tmp_path) as served, web_app.page(browser, served, signed_in=False) as page:
        page.goto(f"/static/x/look.css?token={served.settings.token}")
        assert "token" not in page.url
        page.goto("/api/v1/account")
        assert "admin" in page.content()


def test_marks_in_every_field_stay_text(browser: web_app.Browser, tmp_path: Path) -> None:
    mark = "<img src=x onerror=document.title='hit'>\"'><script>document.title='hit'</script>"
    with web_app.running(tmp_path, accounts=True) as served:
        email = web_app.add_person(served, Role.ADMIN, name="keeper", password=PASSWORD)
        served.register.people.add(by="test", email="marks@example.com", name=mark, role="reader")
        with web_app.page(browser, served) as page:
            page.goto("/sign-in?to=/account")
            page.fill("#email", email)
            page.fill("#password", PASSWORD)
            page.press("#password", "Enter")
            page.wait_for_url("**/account")
            page.goto("/people")
            assert mark in page.locator("tbody").inner_text()
            assert page.title() == "People - chaincase"


def test_modules_make_ids_that_the_register_takes(browser: web_app.Browser, tmp_path: Path) -> None:
    with web_app.running(tmp_path) as served, web_app.page(browser, served) as page:
        served.register.cases.create("HV-1", by="test")
        page.goto("/nothing", missing=True)
        script = """async () => {
            const address = document.querySelector('link[rel=stylesheet]').href.replace('look.css', 'events.js');
            const { append, event, uuid7, ask, Refused } = await import(address);
            const ids = Array.from({ length: 2000 }, uuid7);
            const sorted = ids.every((id, index) => index === 0 || ids[index - 1] < id);
            const first = await append('HV-1', [event('set', 'title', 'from the page', 1)]);
            let refused = '';
            try { await ask('GET', '/cases/none'); }
            catch (fault) { refused = fault instanceof Refused ? fault.what : ''; }
            const outcome = first.results[0].outcome, title = first.content.title;
            return { sorted, ids: ids.slice(0, 3), outcome, title, refused };
        }"""
        found = page.evaluate(script)
        assert found["sorted"]
        assert all(each[14] == "7" and each[19] in "89ab" for each in found["ids"])
        assert (found["outcome"], found["title"]) == ("applied", "from the page")
        assert "there is no case" in found["refused"]
        page.forgive("404")
