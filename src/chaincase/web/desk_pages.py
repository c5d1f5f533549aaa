"""The pages beside the bench: history, conflicts, two candidates on one figure, photographs, asking the customer."""

from typing import Annotated, Final

from fastapi import Form, Query, Request
from starlette.responses import RedirectResponse, Response

from chaincase.web import service
from chaincase.web.access import Right
from chaincase.web.desk_compare import compare
from chaincase.web.desk_photographs import photographs, ruler_error
from chaincase.web.desk_story import clashes, days_of, in_words, story
from chaincase.web.links import LinkWanted, list_links, make_link, revoke_link
from chaincase.web.looks import drawn, page
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server

read = pages(Right.READ, prefix="/bench/{case}")
write = pages(Right.MEASURE, prefix="/bench/{case}")
work = pages(Right.WORK, prefix="/bench/{case}")

LINES: Final = 100
"""Changes of one page of the history."""
_DAY = r"^(\d{4}-\d{2}-\d{2})?$"


@read.get("/history")
def history(
    request: Request,
    here: Here,
    who: Who,
    case: str,
    before: Annotated[int | None, Query(ge=0, le=2**53)] = None,
) -> Response:
    """Show who changed what and when, with what stood before and after."""
    changes = here.register.cases.history(case, before=before, limit=LINES)
    older = changes[-1].seq if len(changes) == LINES and changes[-1].seq > 1 else None
    content = here.register.cases.open(case).content
    context = {"case": case, "lines": story(changes, content), "days": tuple(days_of(changes)), "older": older}
    return page(request, "bench_history.html", context | {"may_measure": who.may(Right.MEASURE)})


@write.post("/history/undo")
def take_back(here: Here, who: Who, case: str, event: Annotated[str, Form(max_length=80)]) -> Response:
    """Take a named change back."""
    service.undo(here, who, case, event)
    return RedirectResponse(f"/bench/{case}/history", 303)


@read.get("/day")
def as_of(request: Request, here: Here, case: str, day: Annotated[str, Query(pattern=_DAY)] = "") -> Response:
    """Show a case as it stood at the end of a day, with what followed from it then by the tables of today."""
    if not day:
        return RedirectResponse(f"/bench/{case}/history", 303)
    then, now = service.standing(here, case, day=day), service.standing(here, case)
    keys = [key for key in (*then.opened.content, *now.opened.content) if key not in {"schema", "case"}]
    rows = [(key, then.opened.content.get(key), now.opened.content.get(key)) for key in dict.fromkeys(keys)]
    told = [(key.replace("_", " "), _listed(old), _listed(new), old != new) for key, old, new in rows]
    return page(request, "bench_day.html", {"case": case, "day": day, "then": then, "now": now, "rows": told})


def _listed(value: object) -> tuple[str, ...]:
    """Give a part of a case as lines."""
    if isinstance(value, dict):
        return tuple(
            line
            for key, each in value.items()
            if key != "schema"
            for line in (_listed(each) if isinstance(each, list) else (f"{key.replace('_', ' ')}: {in_words(each)}",))
        )
    if isinstance(value, list):
        return tuple(in_words(each) for each in value)
    return (in_words(value),) if value not in (None, "") else ()


@read.get("/conflicts")
def conflicts(request: Request, here: Here, who: Who, case: str) -> Response:
    """Show what two people wrote in one place, side by side, to be settled."""
    opened = here.register.cases.open(case)
    context = {"case": case, "version": opened.version, "clashes": clashes(opened.conflicts, opened.content)}
    return page(request, "bench_conflicts.html", context | {"may_measure": who.may(Right.MEASURE)})


@read.get("/compare")
def compared(
    request: Request,
    here: Here,
    case: str,
    one: Annotated[str, Query(max_length=200)] = "",
    other: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Show two candidates on one figure, and the readings beside them."""
    shown = compare(here, service.standing(here, case), one, other)
    return page(request, "bench_compare.html", {"case": case, "shown": shown, "drawn": drawn})


@read.get("/photographs")
def photograph_page(
    request: Request, here: Here, who: Who, case: str, shown: Annotated[str, Query(max_length=80)] = ""
) -> Response:
    """Show the photographs of a case with the marks on them; none of them is a ruler."""
    opened = here.register.cases.open(case)
    context = {"case": case, "version": opened.version, "photos": photographs(opened.content), "shown": shown}
    return page(request, "bench_photographs.html", context | {"may_measure": who.may(Right.MEASURE)})


@read.get("/ruler")
def ruler(
    request: Request,
    case: str,
    distance: Annotated[str, Query(max_length=40)] = "500 mm",
    nearer: Annotated[str, Query(max_length=40)] = "20 mm",
    tilt: Annotated[str, Query(max_length=10)] = "10",
    length: Annotated[str, Query(max_length=40)] = "4 in",
) -> Response:
    """Show how wrong a ruler in a photograph would be, with the geometry of one's own picture."""
    told = ruler_error(distance, nearer, tilt, length)
    fields = {"distance": distance, "nearer": nearer, "tilt": tilt, "length": length}
    return page(request, "bench_ruler.html", {"case": case, "told": told, **fields}, status=422 if told.fault else 200)


@work.get("/ask")
def ask(request: Request, here: Here, case: str) -> Response:
    """Show what can be asked of the customer, and the links that are out."""
    return _asking(request, here, case, "")


@work.post("/ask")
async def send(request: Request, here: Here, who: Who, case: str) -> Response:
    """Make a link for what was chosen; its address is shown once."""
    from anyio.to_thread import run_sync

    form = await request.form()
    asked = [str(each) for each in form.getlist("asked")]
    days = str(form.get("days", "30"))
    if not asked or not days.isdigit() or not 1 <= int(days) <= 90:
        what = "Nothing is asked yet: choose at least one question, and 1 to 90 days."
        return await run_sync(lambda: _asking(request, here, case, "", fault=what))
    wanted = LinkWanted(asked=asked[:60], note=str(form.get("note", ""))[:2000], days=int(days))
    made = await run_sync(make_link, here, who, case, wanted)
    return await run_sync(lambda: _asking(request, here, case, made.address))


@work.post("/ask/{link}/revoke")
def revoke(here: Here, case: str, link: str) -> Response:
    """Revoke a link."""
    revoke_link(here, case, link)
    return RedirectResponse(f"/bench/{case}/ask", 303)


def _asking(request: Request, here: Server, case: str, address: str, *, fault: str = "") -> Response:
    stands = service.standing(here, case)
    found = stands.findings
    gaps = [gap for gap in found.open_gaps if not gap.settles] if found is not None else []
    steps = [step for step in found.identity.next if step.dimension] if found is not None and found.identity else []
    context = {"case": case, "gaps": gaps, "steps": steps, "links": list_links(here, case), "address": address}
    return page(request, "bench_ask.html", context | {"fault": fault}, status=422 if fault else 200)
