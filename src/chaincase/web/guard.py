"""What stands in front of every request: whose name is asked for, where it comes from, who sends it, how much.

Wraps the whole application, so that no answer leaves without the headers, error pages included.
"""

import asyncio
import hmac
from collections.abc import Awaitable, Callable, Mapping
from typing import Final
from urllib.parse import parse_qsl, quote, urlencode

from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from chaincase.register.accounts import LONGEST
from chaincase.web.access import Visitor
from chaincase.web.entrance import cookie_name, set_cookie
from chaincase.web.faults import Refused, answer, unforeseen
from chaincase.web.settings import Settings

CSP: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "font-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; "
    "base-uri 'none'"
)
HEADERS: Final[Mapping[str, str]] = {
    "content-security-policy": CSP,
    "x-content-type-options": "nosniff",
    # `no-referrer` would make browsers send `Origin: null` with our own forms.
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""On every answer, unless a route sets its own."""
HSTS: Final = "max-age=31536000"
TEXT_BYTES: Final = 2 * 2**20
"""A body of JSON or a form: more is a mistake, and memory."""
FILE_BYTES: Final = 20 * 2**20
"""A photograph or a table."""
SLACK: Final = 64 * 2**10
"""Boundaries and headers of a form with files."""
SLOWEST_SECONDS: Final = 30
SLOWEST_BYTES: Final = 16 * 2**10
"""A body may take half a minute, and a second more for each 16 KiB that came."""
_SAFE: Final = frozenset({"GET", "HEAD", "OPTIONS"})

FindVisitor = Callable[[Request], Awaitable[Visitor]]


class Guard:
    """The application behind its guard."""

    def __init__(self, app: ASGIApp, settings: Settings, find_visitor: FindVisitor) -> None:
        self._app, self._settings, self._find_visitor = app, settings, find_visitor

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await (self._app(scope, receive, send) if scope["type"] == "lifespan" else _closed(send))
            return
        scope.setdefault("state", {})
        request = Request(scope)
        sending = self._with_headers(send)
        refused = await self._refused(request)
        if refused is not None:
            await refused(scope, receive, sending)
            return
        await self._app(scope, _Counted(receive, request), sending)

    async def _refused(self, request: Request) -> Response | None:
        """Give the answer to a request that goes no further."""
        settings = self._settings
        try:
            check_host(request, settings)
            check_origin(request, settings)
            if settings.local and "token" in request.query_params and request.method in _SAFE:
                return _admitted(request, settings)
            request.scope["state"]["visitor"] = await self._find_visitor(request)
            check_length(request)
        except Refused as fault:
            return answer(request, fault.status, fault.what, fault.right, headers=fault.headers)
        except Exception as fault:  # noqa: BLE001 - nothing of the inside may reach the sender
            return unforeseen(request, fault)
        return None

    def _with_headers(self, send: Send) -> Send:
        async def sending(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.add_vary_header("Cookie")
                if self._settings.https:
                    headers["strict-transport-security"] = HSTS
            await send(message)

        return sending


def check_host(request: Request, settings: Settings) -> None:
    """Refuse a request that asks another name for its pages: a hostile page that points its name at us.

    Raises
    ------
    Refused
        421.
    """
    if request.headers.get("host", "").lower() not in settings.hosts:
        raise Refused(421)


def check_origin(request: Request, settings: Settings) -> None:
    """Refuse a change that another site's page sends.

    A program without a browser shows a token instead; a browser never adds that by itself.

    Raises
    ------
    Refused
        403.
    """
    if request.method in _SAFE:
        return
    origin, site = request.headers.get("origin"), request.headers.get("sec-fetch-site")
    by_program = request.headers.get("authorization", "").startswith("Bearer ")
    if (origin is None and site is None and not by_program) or (
        (origin is not None and origin.lower() not in settings.origins) or (site is not None and site != "same-origin")
    ):
        raise Refused(403, "This did not come from a page of this server.", "Open the page here and send it again.")


def check_length(request: Request) -> None:
    """Refuse a body that says itself that it is too large.

    Raises
    ------
    Refused
        413, or 400 for a length that is no number.
    """
    length = request.headers.get("content-length", "0")
    if not (length.isascii() and length.isdigit()):
        raise Refused(400)
    if int(length) > most_bytes(request):
        raise Refused(413)


def most_bytes(request: Request) -> int:
    """Give how long the body of a request may be, by what it says it is."""
    kind = request.headers.get("content-type", "").split(";")[0].strip().lower()
    small = kind in {"", "application/x-www-form-urlencoded"} or kind.endswith("json")
    return TEXT_BYTES if small else FILE_BYTES + SLACK


class _Counted:
    """Receives a body, and stops when it grows too large or comes too slowly, whatever its headers said."""

    def __init__(self, receive: Receive, request: Request) -> None:
        self._receive, self._most, self._read, self._done = receive, most_bytes(request), 0, False
        self._started = asyncio.get_running_loop().time()

    async def __call__(self) -> Message:
        if self._done:
            return await self._receive()
        left = self._started + SLOWEST_SECONDS + self._read / SLOWEST_BYTES - asyncio.get_running_loop().time()
        try:
            message = await asyncio.wait_for(self._receive(), max(left, 0.01))
        except TimeoutError:
            raise _http(408) from None
        self._read += len(message.get("body", b""))
        self._done = message["type"] != "http.request" or not message.get("more_body", False)
        if self._read > self._most:
            raise _http(413)
        return message


def _http(status: int) -> HTTPException:
    """Give the one exception that passes through the reading of a body unchanged."""
    return HTTPException(status, headers={"connection": "close"})


def _admitted(request: Request, settings: Settings) -> Response:
    """Exchange the token in the address for a cookie, and take it out of the address."""
    given = request.query_params["token"]
    if not hmac.compare_digest(given.encode(), settings.token.encode()):
        raise Refused(401, "The token in this address is not the one of this run.")
    rest = urlencode([(k, v) for k, v in parse_qsl(request.url.query, keep_blank_values=True) if k != "token"])
    path = quote("/" + request.scope["path"].lstrip("/\\"))
    response = RedirectResponse(f"{path}?{rest}" if rest else path, 303)
    set_cookie(response, settings, cookie_name(settings), settings.token, LONGEST)  # a phone's browser gets killed
    return response


async def _closed(send: Send) -> None:
    """Refuse a web socket; there are none."""
    await send({"type": "websocket.close", "code": 1000})
