"""What pages and API share: a case as it stands with what follows from it, and changes with who may make them."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from chaincase.case.answer import findings_json
from chaincase.case.findings import Findings, find
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput, BadInputs
from chaincase.register.cases import Appended, Opened, Result
from chaincase.register.service import summary_of
from chaincase.register.summaries import Summarize, Summary
from chaincase.web.access import Right, Visitor
from chaincase.web.faults import Fault, Refused, told
from chaincase.web.permits import link_refusal, refusal, signed_entry
from chaincase.web.server import Kept, Server

Event = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Standing:
    """A case as it stands.

    Attributes
    ----------
    opened : Opened
        As the register has it.
    form : Case or None
        As the form reads it; None while something typed cannot be read.
    findings : Findings or None
        What follows; None with the form.
    faults : tuple of Fault
        What cannot be read.
    """

    opened: Opened
    form: Case | None
    findings: Findings | None
    faults: tuple[Fault, ...]

    def known(self) -> tuple[Case, Findings]:
        """Give form and findings, for papers that need both.

        Raises
        ------
        BadInput
            If something typed cannot be read.
        """
        if self.form is None or self.findings is None:
            raise BadInputs([BadInput(each.what, where=each.where, right=each.right) for each in self.faults])
        return self.form, self.findings


def standing(server: Server, case: str, *, day: str = "") -> Standing:
    """Give a case as it stands, or stood at the end of a day, with its findings.

    Raises
    ------
    Missing
        If there is none.
    """
    opened = server.register.cases.at(case, day) if day else server.register.cases.open(case)
    return of_content(server.catalog, server.findings, opened)


def of_content(catalog: Catalog, kept: Kept, opened: Opened) -> Standing:
    """Give the findings of a case that is open; the same content is worked out once."""
    try:
        form, findings = found(catalog, kept, opened.content)
    except BadInput as fault:
        return Standing(opened, None, None, told(fault))
    return Standing(opened, form, findings, ())


def found(catalog: Catalog, kept: Kept, content: Mapping[str, Any]) -> tuple[Case, Findings]:
    """Give form and findings of a content, from those kept where the same content was asked before.

    Raises
    ------
    BadInput
        If it cannot be read as a case.
    """
    key = sha256(json.dumps(content, sort_keys=True).encode()).digest()
    known: tuple[Case, Findings] | None = kept.get(key)
    if known is None:
        case = Case.of(dict(content))
        known = case, find(case, catalog)
        kept.keep(key, known)
    return known


def summarizer(catalog: Catalog, kept: Kept) -> Summarize:
    """Give what the register's lists ask after a write; what it works out is there for the page that asks next."""

    def summary(content: dict[str, Any]) -> Summary:
        return summary_of(found(catalog, kept, content)[1])

    return summary


def findings_of(server: Server, case: str, *, day: str = "") -> dict[str, Any]:
    """Give the findings of a case as JSON, with its version and what cannot be read."""
    stands = standing(server, case, day=day)
    return {
        "version": stands.opened.version,
        "findings": stands.findings and findings_json(stands.findings),
        "faults": [each.model_dump() for each in stands.faults],
    }


def append(server: Server, who: Visitor, case: str, events: Sequence[Event]) -> Appended:
    """Bring events into a case; what their sender may not change is refused by itself, beside the others.

    Raises
    ------
    Missing
        If there is no such case.
    """
    why = [refusal(who, event) for event in events]
    return _appended(server, case, who.name, events, why)


def answer(server: Server, who: Visitor, asked: tuple[str, ...], events: Sequence[Event]) -> tuple[Result, ...]:
    """Bring in what the holder of a link answers; nothing of the case is given back but what became of it."""
    by = link_name(who)
    content = server.register.cases.open(who.case).content
    why = [link_refusal(by, asked, event, content) for event in events]
    results = _appended(server, who.case, by, [signed_entry(by, event) for event in events], why).results
    return tuple(Result(each.id, each.outcome, why=_own_words(each)) for each in results)


def link_name(who: Visitor) -> str:
    """Give what is written beside the answers of a link."""
    return f"customer, link {who.link[:8]}"


def undo(server: Server, who: Visitor, case: str, event: str | None) -> Appended:
    """Take back the last change of the sender, or for an engineer that of anybody.

    Raises
    ------
    Refused
        403 for another's change without the right to work on the case.
    Overtaken
        If its place was changed since.
    """
    if event is not None and not who.may(Right.WORK) and not _is_own(server, who, case, event):
        raise Refused(403, "Another's change is taken back by an engineer.", "Leave the event away to take back yours.")
    return server.register.cases.undo(case, by=who.name, event=event)


def _is_own(server: Server, who: Visitor, case: str, event: str) -> bool:
    return any(each.id == event and each.by == who.name for each in server.register.cases.history(case, limit=1000))


def _appended(server: Server, case: str, by: str, events: Sequence[Event], why: Sequence[str]) -> Appended:
    allowed = [event for event, reason in zip(events, why, strict=True) if not reason]
    if allowed or not events:
        done = server.register.cases.append(case, allowed, by=by)
    else:
        opened = server.register.cases.open(case)
        done = Appended(case, opened.version, (), opened.content, opened.filing)
    results = iter(done.results)
    merged = [_refused(event, reason) if reason else next(results) for event, reason in zip(events, why, strict=True)]
    return Appended(done.case, done.version, tuple(merged), done.content, done.filing)


def _refused(event: Event, why: str) -> Result:
    return Result(str(event.get("id", ""))[:80], "refused", path=str(event.get("path", ""))[:500], why=why)


def _own_words(result: Result) -> str:
    """Give why a link's event is not in force, without what others wrote."""
    return "somebody else answered this meanwhile" if result.outcome == "conflict" else result.why
