"""The first page."""

from starlette.responses import RedirectResponse, Response

from chaincase.web.access import Right
from chaincase.web.routing import pages

pages_read = pages(Right.READ)


@pages_read.get("/")
def first() -> Response:
    """Go to the register, where cases are found and begun."""
    return RedirectResponse("/register", 303)
