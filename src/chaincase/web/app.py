"""The application: every router, one shape of faults, and the guard in front."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib import import_module

from anyio.to_thread import run_sync
from fastapi import APIRouter, FastAPI
from starlette.middleware.gzip import GZipMiddleware

from chaincase import __version__
from chaincase.web import faults
from chaincase.web.entrance import find_visitor
from chaincase.web.guard import Guard
from chaincase.web.rooms import ROOMS, TAGS
from chaincase.web.routing import API, rights_of
from chaincase.web.server import Server
from chaincase.web.working import Hands

ABOUT = """What the pages do, as JSON: the same functions answer both.

Lengths are sent as people write them (`2 1/2 in`, `63,5 mm`) and come back in millimeters where a name ends in `_mm`.
Sign in with `Authorization: Bearer ...`: a token made under "Your account", or in local mode the token that
`chaincase serve` printed. Every error has one shape, `Problem`: what was found, where, and what would be right.
"""


def create_app(server: Server) -> FastAPI:
    """Give the application of a server.

    Raises
    ------
    TypeError
        If a route asks for no right: nothing is open by mistake.
    """

    @asynccontextmanager
    async def running(app: FastAPI) -> AsyncIterator[None]:  # noqa: ARG001 - FastAPI gives it
        hands = Hands(server.register, server.catalog) if server.settings.jobs else None
        if hands is not None:
            hands.start()
        yield
        if hands is not None:
            await run_sync(hands.stop)
        server.register.close()

    app = FastAPI(
        title="chaincase",
        version=__version__,
        description=ABOUT,
        openapi_url=None,
        docs_url=None,
        redoc_url=None,
        openapi_tags=list(TAGS),
        lifespan=running,
    )
    app.state.server = server
    for room in ROOMS:
        app.router.routes.extend(router_named(room).routes)
    rights_of(app.routes)
    faults.install(app)
    app.add_middleware(GZipMiddleware, minimum_size=1024)
    # Outside of everything, so that no answer leaves without its headers.
    app.middleware_stack = Guard(app.build_middleware_stack(), server.settings, find_visitor)
    return app


def router_named(name: str) -> APIRouter:
    """Give a router by the name it has in `web.rooms`.

    Raises
    ------
    TypeError
        If there is none.
    """
    module, attribute = name.split(":")
    found = getattr(import_module(f"chaincase.web.{module}"), attribute)
    if not isinstance(found, APIRouter):
        raise TypeError(f"{name} is no router")
    return found


def api_description(app: FastAPI) -> dict[str, object]:
    """Give the API in the form OpenAPI, with how one signs in."""
    if app.openapi_schema is None:
        schema = FastAPI.openapi(app)
        schemes = {"token": {"type": "http", "scheme": "bearer"}}
        schema.setdefault("components", {})["securitySchemes"] = schemes
        schema["security"] = [{"token": []}]
        schema["servers"] = [{"url": "/", "description": f"this server; all paths begin with {API}"}]
    return app.openapi_schema or {}
