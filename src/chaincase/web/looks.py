"""Pages from templates: everything a page shows is escaped, and nothing comes from elsewhere."""

from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from chaincase.units import show_length

HERE: Final = Path(__file__).parent
STATIC: Final = HERE / "static"
TYPES: Final[Mapping[str, str]] = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".woff": "font/woff",
}
"""What is served as a static file, and as what."""
ALONE: Final = "default-src 'none'; frame-ancestors 'none'; sandbox"
"""Security policy of a picture that somebody opens by itself: nothing in it runs."""
LOOKS: Final = ("auto", "light", "dark")


@cache
def static_files() -> Mapping[str, bytes]:
    """Give the content of every static file by its name below `static/`."""
    files = (path for path in sorted(STATIC.rglob("*")) if path.suffix in TYPES)
    return {path.relative_to(STATIC).as_posix(): path.read_bytes() for path in files}


@cache
def edition() -> str:
    """Give a short hash over all static files; one for all, so that modules can import each other by `./name.js`."""
    digest = sha256()
    for name, content in static_files().items():
        digest.update(f"{name}\0{len(content)}\0".encode() + content)
    return digest.hexdigest()[:12]


def static(name: str) -> str:
    """Give the address of a static file; it changes when any of them changes, so that it can be kept for a year.

    Raises
    ------
    KeyError
        If there is no such file.
    """
    if name not in static_files():
        raise KeyError(name)
    return f"/static/{edition()}/{name}"


def static_response(name: str, *, keep: bool = True) -> Response:
    """Give a static file; `keep=False` for one whose address never changes, such as a service worker."""
    headers = {"cache-control": "public, max-age=31536000, immutable" if keep else "no-cache"}
    return Response(static_files()[name], media_type=TYPES[Path(name).suffix], headers=headers)


def svg_response(svg: str) -> Response:
    """Give a figure as a file of its own; it may hold no script even where it is opened by itself."""
    headers = {"content-security-policy": ALONE, "cache-control": "private, max-age=60"}
    return Response(svg, media_type="image/svg+xml", headers=headers)


def drawn(svg: str) -> Markup:
    """Let a figure that `drawing.svg.write_svg` wrote stand in a page as it is; never give it anything else."""
    return Markup(svg)  # noqa: S704 - the writer escapes every text


def page(
    request: Request,
    template: str,
    context: Mapping[str, Any] | None = None,
    *,
    status: int = 200,
    headers: Mapping[str, str] | None = None,
) -> HTMLResponse:
    """Give a page; every template finds `who` (a `Visitor`), `here` (the path), `look` and `local`."""
    shared = {
        "who": request.scope["state"].get("visitor"),
        "here": request.url.path,
        "look": look_of(request),
        "local": request.app.state.server.settings.local,
    }
    html = _environment().get_template(template).render({**shared, **(context or {})})
    return HTMLResponse(html, status, headers)


def fragment(template: str, context: Mapping[str, Any]) -> str:
    """Give a piece of a page by itself, as a page that is open takes it in; only what is in the context is there."""
    return _environment().get_template(template).render(context)


def look_of(request: Request) -> str:
    """Give the look that somebody chose: auto, light or dark."""
    look = request.cookies.get("look", "")
    return look if look in LOOKS else "auto"


def day(seconds: int) -> str:
    """Give the day of a time [s since 1970 UTC].

    >>> day(0)
    '1970-01-01'
    """
    return datetime.fromtimestamp(seconds, UTC).strftime("%Y-%m-%d")


def odds(probability: float) -> str:
    """Give a probability as people say it.

    >>> odds(0.934), odds(0.9999), odds(0.001)
    ('93 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if probability > 0.995:
        return "more than 99 in 100"
    if probability < 0.005:
        return "less than 1 in 100"
    return f"{probability * 100:.0f} in 100"


@cache
def _environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals["static"] = static
    made.filters |= {"day": day, "odds": odds, "size": size}
    return made


def size(millimeters: float) -> str:
    """Give a length in both systems.

    >>> size(25.4)
    '25.4 mm (1 in)'
    """
    return show_length(millimeters)
