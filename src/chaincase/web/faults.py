"""What goes wrong, in one shape: JSON for the API, a page that can be read for people.

    {"error": {"status": 422, "what": "...", "where": "...", "right": "...", "faults": [{"what", "where", "right"}]}}

`what` was found, `where`, and what would be `right`. Nothing of the inside is told.
"""

import errno
import logging
from collections.abc import Mapping, Sequence
from typing import Any, Final

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from sqlalchemy.exc import DBAPIError, OperationalError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from chaincase.errors import BadInput, BadInputs, ChaincaseError
from chaincase.register.faults import Full, Missing, Overtaken, StoreFailed
from chaincase.web.looks import page

log = logging.getLogger("chaincase.web")

WORDS: Final[Mapping[int, tuple[str, str]]] = {
    400: ("This request cannot be read.", "Go back, reload the page and try again."),
    401: ("You are not signed in.", "Open the address that `chaincase serve` printed, or sign in."),
    403: ("You may not do this.", "Ask an administrator for another role."),
    404: ("There is nothing here.", "Check the address, or search the register."),
    405: ("This address does not take that.", "Go back and use the page's own buttons."),
    408: ("The request took too long to arrive.", "Try again where the signal is better; nothing was kept."),
    409: ("Somebody else changed this meanwhile.", "Look at what changed, then enter yours again."),
    413: ("This is too large.", "Send at most 2 MiB of text, or one photograph or table of at most 20 MiB."),
    421: ("This server does not answer to that name.", "Open the address that `chaincase serve` printed."),
    422: ("Something in this cannot be used.", "Mend what is marked and send it again."),
    429: ("Too many tries.", "Wait a little and try again."),
    500: ("Something went wrong in this program.", "What you entered before is kept. Try again; if it stays, tell us."),
    503: ("The store of the server does not answer.", "Nothing of this was kept. Try again in a while."),
    507: ("The disk of the server is full.", "Nothing of this was kept. Make room, then send it again."),
}
"""What each status says when nothing better is known, and what would be right."""


class Fault(BaseModel):
    """One thing that cannot be used."""

    what: str = Field(description="What was found.", examples=["'6 mmm' ends in an unknown unit"])
    where: str = Field(description="File, row, field or place; empty when it is clear.", examples=["readings[0].value"])
    right: str = Field(description="What would be right.", examples=["use mm, in or ft"])


class Both(BaseModel):
    """What two people wrote in one place."""

    yours: dict[str, Any] = Field(description="What was to be written.")
    theirs: dict[str, Any] = Field(description="What stands.")
    version: int = Field(description="Version of what stands, to be given with the next try.")


class Error(Fault):
    """What went wrong with a request."""

    status: int = Field(description="Status of the answer.", examples=[422])
    faults: list[Fault] = Field(default=[], description="Several faults of one request, all at once.")
    both: Both | None = Field(default=None, description="With 409: what you and somebody else wrote.")


class Problem(BaseModel):
    """The one shape of every error of the API."""

    error: Error


RESPONSES: Final[dict[int | str, dict[str, Any]]] = {
    status: {"model": Problem, "description": WORDS[status][0]}
    for status in (400, 401, 403, 404, 408, 409, 413, 421, 422, 429, 503, 507)
}


class Refused(ChaincaseError):
    """A request that is refused with a status of its own."""

    def __init__(
        self, status: int, what: str = "", right: str = "", *, where: str = "", headers: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(what or WORDS[status][0])
        self.status, self.where = status, where
        self.what, self.right = what or WORDS[status][0], right or WORDS[status][1]
        self.headers = dict(headers or {})


def install(app: FastAPI) -> None:
    """Let an app answer every fault in the one shape."""
    app.add_exception_handler(Refused, _refused)
    app.add_exception_handler(BadInput, _bad_input)
    app.add_exception_handler(Missing, _missing)
    app.add_exception_handler(Overtaken, _overtaken)
    app.add_exception_handler(Full, _full)
    app.add_exception_handler(StoreFailed, _store_failed)
    app.add_exception_handler(RequestValidationError, _not_valid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(DBAPIError, _database)
    app.add_exception_handler(OSError, _system)
    app.add_exception_handler(Exception, unforeseen)


def answer(
    request: Request,
    status: int,
    what: str = "",
    right: str = "",
    *,
    where: str = "",
    faults: Sequence[Fault] = (),
    both: Both | None = None,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Give the answer to a fault: JSON below `/api/`, else a page."""
    usual = WORDS.get(status, WORDS[500 if status >= 500 else 400])
    error = Error(
        status=status, what=what or usual[0], right=right or usual[1], where=where, faults=list(faults), both=both
    )
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": error.model_dump()}, status, headers)
    return page(request, "error.html", {"error": error, "title": error.what}, status=status, headers=headers)


def told(fault: BadInput) -> tuple[Fault, ...]:
    """Give what cannot be used as the API tells it, several things one by one."""
    several = fault.faults if isinstance(fault, BadInputs) else (fault,)
    return tuple(Fault(what=each.what, where=each.where, right=each.right) for each in several)


def _refused(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, Refused):
        raise fault
    return answer(request, fault.status, fault.what, fault.right, where=fault.where, headers=fault.headers)


def _bad_input(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, BadInput):
        raise fault
    return answer(request, 422, fault.what, fault.right, where=fault.where, faults=told(fault))


def _missing(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, Missing):
        raise fault
    return answer(request, 404, fault.what, fault.right, where=fault.where)


def _overtaken(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, Overtaken):
        raise fault
    both = Both(yours=fault.yours, theirs=fault.theirs, version=fault.version)
    return answer(request, 409, str(fault), both=both)


def _full(request: Request, fault: Exception) -> Response:  # noqa: ARG001 - the page says it better
    return answer(request, 507)


def _store_failed(request: Request, fault: Exception) -> Response:
    log.error("the store failed", exc_info=fault)
    return answer(request, 503)


def _not_valid(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, RequestValidationError):
        raise fault
    listed = fault.errors()
    status = 400 if any(each["type"] == "json_invalid" for each in listed) else 422
    faults = [Fault(what=str(each["msg"]), where=_place(each["loc"]), right="") for each in listed]
    return answer(request, status, where=faults[0].where if faults else "", faults=faults)


def _place(parts: Sequence[int | str]) -> str:
    """Give a place as people write it.

    >>> _place(("body", "readings", 0, "value"))
    'readings[0].value'
    """
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts[1:])
    return text.removeprefix(".") or str(parts[0])


def _http(request: Request, fault: Exception) -> Response:
    if not isinstance(fault, HTTPException):
        raise fault
    return answer(request, fault.status_code, headers=fault.headers)


def _database(request: Request, fault: Exception) -> Response:
    if isinstance(fault, OperationalError) and _disk_full(str(fault.orig)):
        return answer(request, 507)
    return unforeseen(request, fault)


def _disk_full(words: str) -> bool:
    """Say whether a database's own words mean a full disk: SQLite's, then PostgreSQL's."""
    return "disk is full" in words or "No space left on device" in words


def _system(request: Request, fault: Exception) -> Response:
    if isinstance(fault, OSError) and fault.errno in {errno.ENOSPC, errno.EDQUOT}:
        return answer(request, 507)
    return unforeseen(request, fault)


def unforeseen(request: Request, fault: Exception) -> Response:
    """Write what happened into the log, and tell nothing of it."""
    log.error("%s %s failed", request.method, request.url.path, exc_info=fault)
    return answer(request, 500)
