"""Routers whose every route asks for one right before it reads anything of the request."""

from collections.abc import Sequence
from enum import Enum
from typing import Annotated, Any, ClassVar

from fastapi import APIRouter, Depends
from fastapi.responses import HTMLResponse
from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.types import Receive, Scope, Send

from chaincase.web.access import Right, Visitor
from chaincase.web.faults import RESPONSES, Refused
from chaincase.web.server import Server, server_of

API = "/api/v1"


class GuardedRoute(APIRoute):
    """A route that refuses who lacks its right, before the body is read."""

    right: ClassVar[Right]

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or refuse it."""
        refuse_without(self.right, Request(scope))
        await super().handle(scope, receive, send)


_ROUTES: dict[Right, type[GuardedRoute]] = {
    right: type(f"{right.name.title().replace('_', '')}Route", (GuardedRoute,), {"right": right}) for right in Right
}


def pages(right: Right, *, prefix: str = "") -> APIRouter:
    """Give a router for pages: HTML, not in the API's description.

    >>> [route.right.value for route in pages(Right.READ).routes]
    []
    """
    return APIRouter(
        prefix=prefix, route_class=_ROUTES[right], default_response_class=HTMLResponse, include_in_schema=False
    )


def api(right: Right, tag: str, *, prefix: str = "") -> APIRouter:
    """Give a router for the API below `/api/v1`, described under a tag."""
    tags: list[str | Enum] = [tag]
    responses: dict[int | str, dict[str, Any]] = dict(RESPONSES)
    return APIRouter(prefix=API + prefix, tags=tags, route_class=_ROUTES[right], responses=responses)


def visitor(request: Request) -> Visitor:
    """Give who sends a request; use it as `Annotated[Visitor, Depends(visitor)]` (`web.routing.Who`)."""
    found = request.scope["state"]["visitor"]
    if not isinstance(found, Visitor):
        raise TypeError(found)
    return found


def refuse_without(right: Right, request: Request) -> None:
    """Refuse a request whose sender lacks a right.

    Raises
    ------
    Refused
        401 for somebody unknown, 403 for somebody known.
    """
    who = visitor(request)
    if who.may(right):
        return
    if right is Right.ANSWER:
        raise Refused(401, "This link is not valid any more.", "Ask the person who sent it for a new one.")
    if who.role is None:
        raise Refused(401, "You are not signed in.", "Open the address that `chaincase serve` printed, or sign in.")
    raise Refused(403, f"This needs the right to {right.value}.", "Ask an administrator for another role.")


def rights_of(routes: Sequence[Any]) -> dict[tuple[str, str], Right]:
    """Give the right of every method and path; the tests go through all of them.

    Raises
    ------
    TypeError
        If a route asks for no right.
    """
    found: dict[tuple[str, str], Right] = {}
    for route in routes:
        if not isinstance(route, GuardedRoute):
            raise TypeError(f"{route} asks for no right")
        found |= {(method, route.path): route.right for method in sorted(route.methods or ())}
    return found


Who = Annotated[Visitor, Depends(visitor)]
"""Type of a route's parameter that gets who sends the request."""
Here = Annotated[Server, Depends(server_of)]
"""Type of a route's parameter that gets the running server."""
