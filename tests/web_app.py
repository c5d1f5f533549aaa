"""A running application for tests: in this process, or a real server on loopback with a real browser."""

import shutil
import socket
import threading
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import uvicorn

from chaincase.catalog.table import Catalog
from chaincase.register import open_register
from chaincase.register.accounts import Role
from chaincase.web import passwords
from chaincase.web.app import create_app
from chaincase.web.entrance import cookie_name
from chaincase.web.server import Kept, Server
from chaincase.web.service import summarizer
from chaincase.web.settings import Oidc, Settings, settings_for

if TYPE_CHECKING:
    from playwright.sync_api import Browser
else:
    Browser = Any

with warnings.catch_warnings():
    # It would like a successor of httpx that is in no lock file of ours.
    warnings.simplefilter("ignore")
    from starlette.testclient import TestClient

PASSWORD = "warm gravel under nine boots"  # noqa: S105 - of nobody
"""Of everybody in the tests."""
CHROMIUM = "/usr/bin/chromium"
"""Debian's."""
SAME_SITE = {"sec-fetch-site": "same-origin"}


def settings(
    folder: Path, *, port: int = 80, accounts: bool = False, https: bool = False, name: str = "127.0.0.1"
) -> Settings:
    """Give settings of a server that is reached as http://127.0.0.1 with a port, or https://chains.example."""
    address = "https://chains.example" if https else f"http://{name}:{port}"
    return settings_for(folder / "data", port=port, accounts=accounts, address=address, environment={})


def server(
    folder: Path,
    *,
    catalog: Catalog | None = None,
    oidc: Oidc | None = None,
    place: tuple[str, str] | None = None,
    **how: Any,
) -> Server:
    """Give a server on a fresh register: in the folder, or at a place of `registers` (its URL, its files)."""
    made = replace(settings(folder, **how), oidc=oidc)
    tables = catalog or Catalog.standard()
    kept = Kept()
    where, files = place or (str(made.data), None)
    return Server(made, open_register(where, files=files, summarize=summarizer(tables, kept)), tables, kept)


def client(folder: Path, **how: Any) -> TestClient:
    """Give a client of a local server, let in by the token; it sends what a browser sends from our own pages."""
    made = client_of(server(folder, **how))
    made.get(f"/?token={made.app.state.server.settings.token}", follow_redirects=False)
    return made


def client_of(served: Server) -> TestClient:
    """Give a client of a server, not signed in."""
    return TestClient(
        create_app(served), base_url=served.settings.address, headers=SAME_SITE, raise_server_exceptions=False
    )


def add_person(served: Server, role: Role, *, name: str = "", password: str = "") -> str:
    """Make an account; give its address. Without a password there is none to sign in with."""
    name = name or f"{role.value}, day shift"
    email = f"{name.replace(',', '').replace(' ', '.')}@example.com"
    person = served.register.people.add(by="test", email=email, name=name, role=role.value)
    if password:
        served.register.people.set_password_hash(person.id, passwords._hasher.hash(password), by="test")
    return email


def signed_in(served: Server, role: Role) -> TestClient:
    """Give a client that is signed in as somebody new."""
    email = add_person(served, role, password=PASSWORD)
    made = client_of(served)
    answer = made.post("/sign-in", data={"email": email, "password": PASSWORD}, follow_redirects=False)
    assert answer.status_code == 303, answer.text
    return made


@contextmanager
def running(folder: Path, **how: Any) -> Iterator[Server]:
    """Run a real server on loopback; it stops at the end."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        served = server(folder, port=listening.getsockname()[1], **how)
        listening.listen(64)
        config = uvicorn.Config(create_app(served), log_level="error", access_log=False, timeout_graceful_shutdown=1)
        answering = uvicorn.Server(config)
        thread = threading.Thread(target=answering.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        try:
            for _ in range(500):
                if answering.started:
                    break
                time.sleep(0.02)
            yield served
        finally:
            answering.should_exit = True
            thread.join(10)


CHROMIUM = shutil.which("chromium")
"""Debian's browser, or None."""


@contextmanager
def browser() -> Iterator[Browser]:
    """Start the browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()


class WatchedPage:
    """A page that remembers what went wrong on it; besides, all of Playwright's page, with addresses of the server."""

    def __init__(self, page: Any, address: str) -> None:
        self._page, self._address, self.faults = page, address, []
        page.on("console", lambda message: message.type == "error" and self.faults.append(message.text))
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        page.on("request", lambda request: self._check(request.url))

    def __getattr__(self, name: str) -> Any:
        return getattr(self._page, name)

    def goto(self, path: str, *, missing: bool = False) -> Any:
        """Open an address of the server; `missing` expects that there is nothing."""
        answer = self._page.goto(self._address + path)
        if missing:
            self.forgive("404")
        return answer

    def forgive(self, words: str) -> None:
        """Leave out faults that a test expects."""
        self.faults = [fault for fault in self.faults if words not in fault]

    def _check(self, address: str) -> None:
        if not address.startswith((self._address, "data:", "blob:")):
            self.faults.append(f"loads {address}")


@contextmanager
def page(
    made: Browser,
    served: Server,
    *,
    look: str = "light",
    size: tuple[int, int] = (1280, 800),
    signed_in: bool = True,
    **more: Any,
) -> Iterator[Any]:
    """Open a page of a server, let in by the token in local mode; at the end nothing must have gone wrong on it."""
    context = made.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=look, **more)
    context.set_default_timeout(15_000)
    if served.settings.local and signed_in:
        cookie = {"name": cookie_name(served.settings), "value": served.settings.token, "url": served.settings.address}
        context.add_cookies([cookie])
    watched = WatchedPage(context.new_page(), served.settings.address)
    try:
        yield watched
        assert watched.faults == []
    finally:
        context.close()
