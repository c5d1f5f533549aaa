"""What anybody may load: the style sheet, the scripts, the fonts, the look, and whether the server runs."""

from typing import Annotated, Any
from urllib.parse import urlsplit

from fastapi import Form, Request
from fastapi.responses import JSONResponse
from starlette.responses import RedirectResponse, Response

from chaincase import __version__
from chaincase.web.access import Right
from chaincase.web.faults import Refused
from chaincase.web.looks import LOOKS, edition, static_files, static_response
from chaincase.web.routing import api, pages

anyone = pages(Right.ANYONE)
api_anyone = api(Right.ANYONE, "server")


@anyone.get("/static/{of}/{name:path}")
def static_file(of: str, name: str) -> Response:
    """Give a static file; one of an older edition is given as it is now, and not kept."""
    if name not in static_files():
        raise Refused(404)
    return static_response(name, keep=of == edition())


@anyone.get("/favicon.ico")
def favicon() -> Response:
    """Give the sign that a browser shows beside the title."""
    return static_response("link.svg", keep=False)


@anyone.post("/look")
def choose_look(request: Request, look: Annotated[str, Form()] = "auto") -> Response:
    """Keep whether somebody wants pages light, dark, or as the device has it."""
    response = RedirectResponse(_back(request), 303)
    chosen = look if look in LOOKS else "auto"
    response.set_cookie("look", chosen, max_age=366 * 86400, httponly=True, samesite="lax")
    return response


@api_anyone.get("/server", summary="Whether the server runs")
def running() -> dict[str, str]:
    """Give the version, to anybody."""
    return {"chaincase": __version__}


@api_anyone.get("/openapi.json", include_in_schema=False)
def description(request: Request) -> JSONResponse:
    """Give the API's own description."""
    from chaincase.web.app import api_description

    described: dict[str, Any] = api_description(request.app)
    return JSONResponse(described)


def _back(request: Request) -> str:
    """Give the page somebody came from, on this server only."""
    return "/" + urlsplit(request.headers.get("referer", "")).path.lstrip("/\\")
