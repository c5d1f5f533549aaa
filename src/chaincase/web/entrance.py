"""Who sends a request: by the run's token, a session, a program's token, or a customer's link."""

import hmac
from dataclasses import replace
from time import time
from typing import Final
from urllib.parse import unquote

from anyio.to_thread import run_sync
from starlette.requests import Request
from starlette.responses import Response

from chaincase.register import accounts, passes
from chaincase.register.accounts import Role
from chaincase.register.faults import Missing
from chaincase.web.access import Visitor
from chaincase.web.server import Server
from chaincase.web.settings import Settings
from chaincase.web.signing import LINK, opened

HERE: Final = "this computer"
"""What is written beside changes in local mode, until somebody says who they are."""
LONGEST_NAME: Final = 100


def name_from(text: str) -> str:
    r"""Give a name as it is written beside changes; empty if it is none.

    >>> name_from("  millwright,\n day shift "), name_from("\u202e")
    ('millwright, day shift', '')
    """
    plain = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return plain[:LONGEST_NAME].strip()


def cookie_name(settings: Settings, what: str = "session") -> str:
    """Give the name of a cookie; where there is https it can only come from this very host.

    Cookies do not know ports, so that two servers of one computer need two names.
    """
    return f"__Host-chaincase-{what}" if settings.https else f"chaincase-{what}-{settings.port}"


def set_cookie(response: Response, settings: Settings, name: str, value: str, lasts: int | None = None) -> None:
    """Set a cookie that no script can read and no other site's form can send."""
    response.set_cookie(name, value, max_age=lasts, path="/", secure=settings.https, httponly=True, samesite="lax")


def drop_cookie(response: Response, settings: Settings, name: str) -> None:
    """Take a cookie back."""
    response.delete_cookie(name, path="/", secure=settings.https, httponly=True, samesite="lax")


def seconds() -> int:
    """Give the time now [s since 1970 UTC]."""
    return int(time())


async def find_visitor(request: Request) -> Visitor:
    """Give who sends a request; somebody unknown is a visitor too."""
    server: Server = request.app.state.server
    found = _local(request, server.settings) if server.settings.local else await run_sync(_known, request, server)
    text = request.cookies.get(cookie_name(server.settings, "link"), "")
    if text:
        found = await run_sync(_with_link, found, text, server)
    return found


def _local(request: Request, settings: Settings) -> Visitor:
    given = _bearer(request) or request.cookies.get(cookie_name(settings), "")
    if given and hmac.compare_digest(given.encode(), settings.token.encode()):
        said = name_from(unquote(request.cookies.get(cookie_name(settings, "name"), "")))
        # The account stays the same: what the one person keeps here does not depend on how they call themselves.
        return Visitor(name=said or HERE, account=HERE, role=Role.ADMIN)
    return Visitor()


def _known(request: Request, server: Server) -> Visitor:
    token, session = _bearer(request), request.cookies.get(cookie_name(server.settings), "")
    if token:
        with server.register.store.read() as db:
            person = passes.token_person(db, token, seconds())
        return _of(server, person, by_token=True)
    if not session:
        return Visitor()
    with server.register.store.read() as db:
        found = accounts.session_of(db, session, seconds())
    if found is None:
        return Visitor()
    if found.stale:
        with server.register.store.write() as db:
            accounts.touch_session(db, found.digest, seconds())
    return replace(_of(server, found.person, by_token=False), session=found.digest)


def _of(server: Server, person: str | None, *, by_token: bool) -> Visitor:
    if person is None:
        return Visitor()
    try:
        row = server.register.people.get(person)
    except Missing:
        return Visitor()
    if row.disabled or row.removed:
        return Visitor()
    return Visitor(name=row.name, account=row.id, role=Role(row.role), by_token=by_token)


def _with_link(found: Visitor, text: str, server: Server) -> Visitor:
    named = opened(server.settings.secret, LINK, text, passes.LONGEST_LINK)
    if not isinstance(named, str):
        return found
    with server.register.store.read() as db:
        link = passes.link(db, named, seconds())
    return found if link is None else replace(found, link=link.id, case=link.case)


def _bearer(request: Request) -> str:
    scheme, _, token = request.headers.get("authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" else ""
