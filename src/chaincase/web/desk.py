"""The bench: one case on one screen. Every entry is an event; the answer brings the parts of the page up to date."""

import re
from collections.abc import Mapping
from typing import Annotated, Any, Final

from fastapi import Body, Query, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import JSONResponse, RedirectResponse, Response

from chaincase.case.changes import changes
from chaincase.errors import BadInput
from chaincase.register.cases import Result
from chaincase.register.ids import uuid7
from chaincase.web import service
from chaincase.web.access import Right, Visitor
from chaincase.web.desk_board import PARTS, Board, board, choices
from chaincase.web.desk_entries import PARTICULARS, Author, checked, event_of
from chaincase.web.desk_story import in_words, meanwhile, place_in_words
from chaincase.web.looks import drawn, fragment, page
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server
from chaincase.web.service import Standing

read = pages(Right.READ, prefix="/bench")
write = pages(Right.MEASURE, prefix="/bench")

_SAID: Final = 3
_NOTHING_SAID: Final = "Entered; the findings stay as they were."
_HEAD_LINES: Final = 60
Kind = Annotated[str, Query(max_length=80, description="Drawn as this kind; else as the likeliest.")]


class Entry(BaseModel):
    """One entry from the bench: its id made there, what was seen when it was made, and what was entered."""

    model_config = ConfigDict(extra="forbid")

    id: str = Field(max_length=80)
    base: int | None = Field(default=None, ge=0, le=2**53)
    client: str = Field(default="", max_length=200)
    client_at: str = Field(default="", max_length=200)
    fields: dict[str, Any]


class Entries(BaseModel):
    """Entries in their order; the version and the tab of the page that waits for the answer."""

    model_config = ConfigDict(extra="forbid")

    entries: list[Entry] = Field(max_length=200)
    version: int | None = Field(default=None, ge=0, le=2**53)
    client: str = Field(default="", max_length=200)
    kind: str = Field(default="", max_length=80)


@read.get("/{case}")
def bench(
    request: Request, here: Here, who: Who, case: str, kind: Annotated[str, Query(max_length=80)] = ""
) -> Response:
    """Show the bench of a case."""
    return _page(request, board(here, who, service.standing(here, case), kind=kind), kind)


@read.get("/{case}/parts")
def parts(
    here: Here,
    who: Who,
    case: str,
    version: Annotated[int, Query(ge=0)] = 0,
    client: Annotated[str, Query(max_length=200)] = "",
    kind: Kind = "",
    anyway: bool = False,
) -> Response:
    """Give the parts of the bench anew if somebody changed the case since a version."""
    stands = service.standing(here, case)
    if stands.opened.version == version and not anyway:
        return JSONResponse({"version": version, "parts": {}, "meanwhile": []})
    told = _meanwhile(here, stands, version, client) if version else ()
    return JSONResponse(_answer(board(here, who, stands, kind=kind), kind) | {"meanwhile": told})


@write.post("/{case}/entries")
def enter(here: Here, who: Who, case: str, sent: Annotated[Entries, Body()]) -> Response:
    """Bring entries into a case; each is answered by itself, and the parts of the page come with the answer."""
    before = service.standing(here, case)
    results = _taken(here, who, before, sent.entries)
    after = service.standing(here, case)
    told = (
        _meanwhile(here, after, sent.version, sent.client)
        if after.opened.version - (sent.version or 0) > len(results)
        else ()
    )
    answer = _answer(board(here, who, after, kind=sent.kind), sent.kind)
    return JSONResponse(answer | {"results": results, "said": _said(before, after), "meanwhile": told})


@write.post("/{case}/undo")
def undo(here: Here, who: Who, case: str, sent: Annotated[Entries, Body()]) -> Response:
    """Take back one's last change, and bring the page up to date."""
    before = service.standing(here, case)
    service.undo(here, who, case, None)
    after = service.standing(here, case)
    said = _said(before, after)
    answer = _answer(board(here, who, after, kind=sent.kind), sent.kind)
    return JSONResponse(answer | {"results": [], "said": f"Taken back. {said}", "meanwhile": []})


@write.post("/{case}/entry")
async def enter_by_form(request: Request, here: Here, who: Who, case: str) -> Response:
    """Take an entry from a page without scripts, and show the page again; what cannot be read is shown with it."""
    from anyio.to_thread import run_sync

    form = await request.form()
    fields: dict[str, Any] = {name: form.getlist(name) if name == "word" else form[name] for name in form}
    return await run_sync(_entered_by_form, request, here, who, case, fields)


def _entered_by_form(request: Request, here: Server, who: Visitor, case: str, fields: Mapping[str, Any]) -> Response:
    before = service.standing(here, case)
    if fields.get("sort") == "undo":
        service.undo(here, who, case, None)
        return RedirectResponse(f"/bench/{case}", 303)
    base = int(fields["base"]) if str(fields.get("base", "")).isdigit() else None
    wanted = [Entry(id=uuid7(), base=base, fields=each) for each in _parted(fields)]
    wrong = [each for each in _taken(here, who, before, wanted) if each["outcome"] in {"refused", "conflict"}]
    if not wrong:
        back = str(fields.get("back", ""))
        return RedirectResponse(back if _is_ours(back, case) else f"/bench/{case}", 303)
    why = " ".join(f"{each['why']}." for each in wrong)
    shown = board(here, who, service.standing(here, case))
    return _page(request, shown, "", typed=fields, fault=why, status=422)


def _is_ours(back: str, case: str) -> bool:
    """Tell whether an address to go back to lies below the bench of the case."""
    return re.fullmatch(rf"/bench/{re.escape(case)}(/[a-z0-9/?=&.-]*)?", back) is not None


def _parted(fields: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give a form of many fields as one entry for each that is filled in: readings at the figure, particulars."""
    sort = fields.get("sort")
    if sort == "readings":
        habits = {name: fields.get(name, "") for name in ("instrument", "technique", "link", "over", "unit")}
        filled = {name: value for name, value in fields.items() if name.startswith("size.") and str(value).strip()}
        return [{"sort": "reading", "dimension": n[5:], "value": v, **habits} for n, v in filled.items()]
    if sort == "particulars":
        places = [name for name in (*PARTICULARS, "filing.state") if name in fields]
        changed = [name for name in places if fields[name] != fields.get(f"was.{name}", "")]
        return [{"sort": "set", "path": name, "value": fields[name]} for name in changed]
    return [dict(fields)]


def _taken(server: Server, who: Visitor, before: Standing, entries: list[Entry]) -> list[dict[str, Any]]:
    """Bring in what can be read; give what became of each entry, in their order."""
    author, events, refused = Author.of(who.name), [], {}
    for each in entries:
        try:
            event = checked(before.form, event_of(each.fields, author))
        except BadInput as fault:
            refused[each.id] = {"id": each.id, "outcome": "refused", "why": _plain(fault), "where": fault.where}
            continue
        stamps = {"id": each.id, "base": each.base, "client": each.client, "client_at": each.client_at}
        events.append(event | stamps)
    done = service.append(server, who, before.opened.case, events).results if events else ()
    told = {each.id: _result(each, before.opened.content) for each in done}
    return [refused.get(each.id) or told.get(each.id.lower()) or told[each.id] for each in entries]


def _plain(fault: BadInput) -> str:
    right = f"; {fault.right}" if fault.right else ""
    return f"{fault.what}{right}"


def _result(each: Result, content: Mapping[str, Any]) -> dict[str, Any]:
    told: dict[str, Any] = {"id": each.id, "outcome": each.outcome, "why": each.why, "first": each.first}
    if each.outcome == "conflict":
        told |= {
            "what": place_in_words(each.path, content),
            "yours": in_words(each.yours),
            "theirs": in_words(each.theirs),
            "theirs_by": each.theirs_by,
        }
    return told


def _meanwhile(server: Server, stands: Standing, version: int | None, client: str) -> tuple[str, ...]:
    changes = server.register.cases.history(stands.opened.case, limit=_HEAD_LINES)
    return meanwhile(changes, version, client, stands.opened.content)[-_SAID:]


def _said(before: Standing, after: Standing) -> str:
    """Say what an entry changed in the findings, short enough to be read out."""
    if before.findings is None or after.findings is None:
        return (
            "Entered; something in the case cannot be read yet."
            if after.findings is None
            else "The case can be read again."
        )
    told = changes(before.findings, after.findings)
    return ". ".join(each[:1].upper() + each[1:] for each in told[:_SAID]) + "." if told else _NOTHING_SAID


def _context(shown: Board, kind: str) -> dict[str, Any]:
    return {"board": shown, "case": shown.case, "of": choices(), "kind": kind, "typed": {}, "fault": "", "drawn": drawn}


def _answer(shown: Board, kind: str) -> dict[str, Any]:
    context = _context(shown, kind)
    return {"version": shown.version, "parts": {name: fragment(f"bench_{name}.html", context) for name in PARTS}}


def _page(
    request: Request,
    shown: Board,
    kind: str,
    *,
    typed: Mapping[str, Any] | None = None,
    fault: str = "",
    status: int = 200,
) -> Response:
    context = _context(shown, kind) | {"typed": typed or {}, "fault": fault, "parts": PARTS}
    return page(request, "bench.html", context, status=status)
