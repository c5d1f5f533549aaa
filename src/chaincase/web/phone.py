"""The field hand's page: installable, works without a signal once opened; a customer's link shows the same page."""

from hashlib import sha256
from json import dumps
from typing import Any

from fastapi import Request
from starlette.responses import Response

from chaincase.web.access import Right
from chaincase.web.looks import edition, page, static, static_files
from chaincase.web.permits import places_asked
from chaincase.web.phone_kit import phone_kit
from chaincase.web.routing import Here, Who, pages

anyone = pages(Right.ANYONE)
measure = pages(Right.MEASURE)
answer = pages(Right.ANSWER)


@anyone.get("/phone-worker.js")
def worker() -> Response:
    """Give the service worker; it must stand at the top, to be allowed to answer for every page."""
    body = static_files()["phone-worker.js"].replace(b"EDITION", edition().encode())
    return Response(body, media_type="text/javascript; charset=utf-8", headers={"cache-control": "no-cache"})


@anyone.get("/phone.webmanifest")
def manifest() -> Response:
    """Say how the page is installed on a phone."""
    icons = [
        {"src": static("phone-192.png"), "sizes": "192x192", "type": "image/png"},
        {"src": static("phone-512.png"), "sizes": "512x512", "type": "image/png"},
    ]
    data = {
        "name": "chaincase",
        "short_name": "chaincase",
        "start_url": "/phone",
        "scope": "/",
        "display": "standalone",
        "background_color": "#f6f4ee",
        "theme_color": "#fdfcf9",
        "icons": icons,
    }
    return Response(dumps(data), media_type="application/manifest+json", headers={"cache-control": "no-cache"})


@anyone.get("/phone/kit.json")
def kit(request: Request) -> Response:
    """Give figures, rows and questions for use without a signal; nothing of any case."""
    body = dumps(phone_kit(), ensure_ascii=False).encode()
    tag = f'"{sha256(body).hexdigest()[:16]}"'
    headers = {"etag": tag, "cache-control": "no-cache"}
    if request.headers.get("if-none-match") == tag:
        return Response(status_code=304, headers=headers)
    return Response(body, media_type="application/json", headers=headers)


@measure.get("/phone")
def start(request: Request) -> Response:
    """Show the cases that this phone holds, and take the number of another."""
    return _field_page(request, case="", version=0)


@measure.get("/phone/{case}")
def one_case(request: Request, here: Here, case: str) -> Response:
    """Show the field page of a case."""
    return _field_page(request, case=case, version=here.register.cases.open(case).version)


@answer.get("/answer")
def customer(request: Request, here: Here, who: Who) -> Response:
    """Show the field page to the holder of a link: what is asked, and nothing of what the case holds."""
    from chaincase.web.links import link_named  # links also sends people here

    found = link_named(here, who.link)
    asked = () if found is None else tuple(found.asked)
    version = here.register.cases.open(who.case).version
    given = {"mode": "answer", "asked": list(asked), "places": sorted(places_asked(asked))}
    return _field_page(request, case=who.case, version=version, note="" if found is None else found.note, **given)


def _field_page(request: Request, *, case: str, version: int, **given: Any) -> Response:
    shared: dict[str, Any] = {"mode": "work", "asked": [], "places": None, "note": ""}
    return page(request, "phone.html", {"case": case, "version": version, **shared, **given})
