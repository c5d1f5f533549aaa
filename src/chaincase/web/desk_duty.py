"""The duty of a case: sprockets, length, pull, drive, wear, and whether a chain fits, carries and lasts there."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final

from anyio.to_thread import run_sync
from fastapi import Query, Request
from starlette.responses import RedirectResponse, Response

from chaincase.case.findings import Findings
from chaincase.duty.cautions import MEASURING
from chaincase.duty.friction import TRACK
from chaincase.duty.result import Result
from chaincase.errors import BadInput, BadInputs
from chaincase.register.ids import uuid7
from chaincase.web import service
from chaincase.web.access import Right, Visitor
from chaincase.web.desk_duty_answers import Answer, Question, answer_of, questions_of, trouble_of, wheel_answers
from chaincase.web.desk_duty_changes import FieldFault, proposal
from chaincase.web.desk_duty_draft import Draft, arranged, as_it_stands, blank_row, part_of, typed
from chaincase.web.desk_duty_fields import Part
from chaincase.web.desk_duty_parts import FORMS, PARTS, VERDICT
from chaincase.web.desk_entries import Author
from chaincase.web.desk_figure import entries_of
from chaincase.web.desk_story import Clash, clashes
from chaincase.web.looks import drawn, page
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server
from chaincase.web.service import Standing

read = pages(Right.READ, prefix="/bench/{case}/duty")
write = pages(Right.MEASURE, prefix="/bench/{case}/duty")

_MOST_FIELDS: Final = 6000
_MEASURED: Final = frozenset({"sprockets", "wear"})
"""Parts for which somebody measures on the machine."""


@dataclass(frozen=True, slots=True)
class Told:
    """One answer of a part: what it is about, the answer, why there is none, and what stood before it already."""

    about: str
    answer: Answer | None
    trouble: str
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PartShown:
    """A part of the page: what it asks, how it stands in words, its answers, and what to put right."""

    part: Part
    state: str
    short: str
    open: bool
    told: tuple[Told, ...]
    fault: str
    caution: str


@dataclass(frozen=True, slots=True)
class DutyPage:
    """All that the page of a duty shows."""

    case: str
    title: str
    base: str
    heading: str
    draft: Draft
    parts: tuple[PartShown, ...]
    questions: tuple[Question, ...]
    verdict: Told | None
    faults: Mapping[str, str]
    labels: Mapping[str, str]
    clashes: tuple[Clash, ...]
    trouble: tuple[Any, ...]
    may_measure: bool
    tried: bool


@read.get("")
def duty(
    request: Request, here: Here, who: Who, case: str, kept: Annotated[int, Query(ge=0, le=10_000)] = 0
) -> Response:
    """Show the duty of a case."""
    stands = service.standing(here, case)
    draft = as_it_stands(stands.opened.content, stands.opened.version)
    return _page(request, _shown(who, stands, stands.findings, draft), kept=kept)


@write.post("")
async def keep(request: Request, here: Here, who: Who, case: str) -> Response:
    """Keep what was changed on the page, all of it or nothing; what cannot be read is shown at its field."""
    return await run_sync(_keep, request, here, who, case, await _sent(request))


@read.post("/try")
async def try_out(request: Request, here: Here, who: Who, case: str) -> Response:
    """Show the page with what was typed: with a row more or less, or with the answers it would have."""
    return await run_sync(_try, request, here, who, case, await _sent(request))


async def _sent(request: Request) -> dict[str, str]:
    form = await request.form(max_fields=_MOST_FIELDS, max_files=0)
    # A box that is not ticked sends the empty value before it; the last one counts.
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


def _keep(request: Request, here: Server, who: Visitor, case: str, sent: Mapping[str, str]) -> Response:
    stands = service.standing(here, case)
    draft = typed(sent, as_it_stands(stands.opened.content, stands.opened.version))
    wanted = proposal(draft, stands.opened.content, here.catalog, Author.of(who.name))
    faults = wanted.faults
    if not faults and wanted.events:
        stamp = {"base": draft.base, "client": sent.get("client", "")[:200]}
        events = [{**event, **stamp, "id": uuid7()} for event in wanted.events]
        done = service.append(here, who, case, events).results
        faults = tuple(FieldFault("", each.why) for each in done if each.outcome == "refused")
    if faults:
        return _page(request, _shown(who, stands, stands.findings, draft, faults=faults), status=422)
    part = sent.get("do", "").removeprefix("keep").lstrip(":")
    place = f"#{part}" if any(part == each.name for each in PARTS) else ""
    return RedirectResponse(f"/bench/{case}/duty?kept={len(wanted.events)}{place}", 303)


def _try(request: Request, here: Server, who: Visitor, case: str, sent: Mapping[str, str]) -> Response:
    stands = service.standing(here, case)
    order = sent.get("do", "")
    draft = arranged(typed(sent, as_it_stands(stands.opened.content, stands.opened.version)), order)
    if order != "try":
        return _page(request, _shown(who, stands, stands.findings, draft))
    wanted = proposal(draft, stands.opened.content, here.catalog, Author.of(who.name))
    faults, findings = wanted.faults, stands.findings
    if not faults:
        try:
            _, findings = service.found(here.catalog, here.findings, wanted.content)
        except BadInput as fault:
            several = fault.faults if isinstance(fault, BadInputs) else (fault,)
            faults = tuple(FieldFault("", str(each)) for each in several)
    tried = replace(stands, opened=replace(stands.opened, content=dict(wanted.content)))
    shown = _shown(who, stands if faults else tried, findings, draft, faults=faults)
    return _page(request, replace(shown, tried=not faults), status=422 if faults else 200)


def _page(request: Request, shown: DutyPage, *, kept: int = 0, status: int = 200) -> Response:
    context = {
        "shown": shown,
        "case": shown.case,
        "kept": kept,
        "typed": request.method != "GET",
        "drawn": drawn,
        "blank_row": blank_row,
        "verdict_part": VERDICT,
        "pairs": tuple(TRACK),
    }
    return page(request, "bench_duty.html", context, status=status)


def _shown(
    who: Visitor, stands: Standing, found: Findings | None, draft: Draft, *, faults: tuple[FieldFault, ...] = ()
) -> DutyPage:
    known = found or Findings(stands.opened.case)
    content, seen = stands.opened.content, {MEASURING}  # which stands where one enters what was measured
    verdict = known.verdict
    told = None
    if verdict is not None or part_of(content, "verdict"):
        answer = answer_of("verdict", verdict) if verdict is not None else None
        told = _once(Told("", answer, trouble_of(known, "verdict")), seen)
    by_name = _by_name(faults)
    parts = (each for each in PARTS if each is not VERDICT)
    return DutyPage(
        case=stands.opened.case,
        title=str(content.get("title", "") or ""),
        base=known.base.designation if known.base is not None else "",
        heading=_heading(verdict, part_of(content, "verdict")),
        draft=draft,
        parts=tuple(_part(each, known, content, draft, by_name, seen) for each in parts),
        questions=questions_of(verdict) if verdict is not None else (),
        verdict=told,
        faults=by_name,
        labels={name: _label(name) for name in by_name},
        clashes=tuple(c for c in clashes(stands.opened.conflicts, content) if c.path.startswith(("duty", "wheels"))),
        trouble=stands.faults,
        may_measure=who.may(Right.MEASURE),
        tried=False,
    )


def _heading(verdict: Result | None, asked: Mapping[str, Any]) -> str:
    if verdict is None:
        return ""
    name = str(verdict["candidate"])
    return f"{name} as a replacement" if asked.get("candidate") else f"{name}, the chain of the case, on this duty"


def _by_name(faults: tuple[FieldFault, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for each in faults:
        found[each.name] = f"{found[each.name]}; {each.words}" if each.name in found else each.words
    return found


def _label(name: str) -> str:
    """Give a field in words.

    >>> _label("pull.runs.2.length"), _label("pull"), _label("sprockets.0.teeth")
    ('Conveyor pull, run 3, straight: length', 'Conveyor pull', 'Sprockets that stay, sprocket 1, teeth')
    """
    part = next((each for each in PARTS if name == each.name or name.startswith(f"{each.name}.")), None)
    if part is None:
        return "The case"
    for listed in part.lists:
        head = "sprockets." if part.name == "sprockets" else f"{part.name}.{listed.key}."
        row, _, key = name.removeprefix(head).partition(".") if name.startswith(head) else ("", "", "")
        label = next((each.label for each in listed.fields if each.key == key), "")
        if row.isdigit() and label:
            return f"{part.title}, {listed.one} {int(row) + 1}, {label[0].lower()}{label[1:]}"
    label = next((each.label for each in part.fields if name == f"{part.name}.{each.key}"), "")
    return f"{part.title}, {label[0].lower()}{label[1:]}" if label else part.title


def _part(
    part: Part, found: Findings, content: Mapping[str, Any], draft: Draft, faults: Mapping[str, str], seen: set[str]
) -> PartShown:
    told = tuple(_once(each, seen) for each in _told(part, found, content))
    typed_in = any(text.strip() for name, text in draft.texts.items() if name.startswith(f"{part.name}."))
    rows = any(each for name, each in draft.rows.items() if name.partition(".")[0] == part.name)
    faulty = any(name == part.name or name.startswith(f"{part.name}.") for name in faults)
    state, short = _state(part, told, content)
    return PartShown(
        part=part,
        state=state,
        short=short,
        open=bool(told) or typed_in or rows or faulty or part.name == "sprockets",
        told=told,
        fault=faults.get(part.name, ""),
        caution=MEASURING if part.name in _MEASURED else "",
    )


def _told(part: Part, found: Findings, content: Mapping[str, Any]) -> Iterator[Told]:
    if part not in FORMS:
        yield from (Told(*each) for each in wheel_answers(found, content))
    elif part_of(content, part.name):
        result = found.duty.get(part.name)
        answer = answer_of(part.name, result) if result is not None else None
        yield Told("", answer, trouble_of(found, part.name))


def _once(told: Told, seen: set[str]) -> Told:
    """Give an answer with those cautions that do not stand further up on the page."""
    if told.answer is None:
        return told
    fresh = tuple(each for each in told.answer.cautions if each not in seen)
    seen.update(fresh)
    return replace(told, cautions=fresh)


def _state(part: Part, told: tuple[Told, ...], content: Mapping[str, Any]) -> tuple[str, str]:
    """Say how a part stands, in a few words and in one or two."""
    if part not in FORMS:
        number = sum(1 for path in ("wheels", "duty.sprockets") for _ in entries_of(content, *path.split(".")))
        return (f"{number} entered", str(number)) if number else ("none entered", "none")
    if not told:
        return "not asked", "not asked"
    answer = told[0].answer
    if answer is None:
        return "no answer yet", "no answer yet"
    return (answer.says or (f"{answer.lines[0].label}: {answer.short}",))[0], answer.short
