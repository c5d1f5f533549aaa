"""A batch of events on its way into a case, within one transaction, and what became of each."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import journal, keeping
from chaincase.register.events import Event, canonical, checked
from chaincase.register.faults import Missing
from chaincase.register.folded import CASE
from chaincase.register.folding import FILING, Folding, Noted, Touch
from chaincase.register.paths import ABSENT
from chaincase.register.schema import event as events_table

FORM: Final = "chaincase/case-1"


@dataclass(frozen=True, slots=True)
class Result:
    """What became of one event; `why` says it in words where it did not come into force."""

    id: str
    outcome: str
    seq: int = 0
    path: str = ""
    why: str = ""
    first: str = ""
    yours: Any = None
    theirs: Any = None
    theirs_by: str = ""
    theirs_at: str = ""


class Batch:
    """Events on their way into a case, within one transaction."""

    def __init__(self, connection: sa.Connection, case: str, by_at: tuple[str, str], folding: Folding) -> None:
        self.connection = connection
        self.folding = folding
        self.entries: list[journal.Entry] = []
        self._case = case
        self._by, self._at = by_at

    def take(self, event: Event | Result) -> Result:
        """Bring in one event and say what became of it."""
        if isinstance(event, Result):
            return event
        known = self._known(event)
        if known is not None:
            return known
        if event.kind == "create" and self.folding.version > 0:
            return Result(event.id, "refused", why=f"there is a case {self._case!r} already")
        if event.kind != "create" and self.folding.version == 0:
            raise Missing.of("case", self._case)
        if event.kind == "create":
            first = {"schema": FORM, "case": self._case}
            said = {name: each for name, each in event.value.items() if name not in (*first, FILING)}
            event = event.model_copy(update={"value": {**first, **said, FILING: event.value.get(FILING, {})}})
        return self._settled(event)

    def write(self) -> None:
        """Write what came in to the journal, and the case as it stands."""
        if self.entries:
            number = journal.write(self.connection, self._at, self.entries)
            keeping.keep_case(self.connection, self._case, self.folding, number, self._at)

    def _settled(self, event: Event) -> Result:
        seq = self.folding.version + 1
        noted_event = noted_as(event, seq, self._by, self._at)
        touched = len(self.folding.touches)
        outcome = self.folding.take(noted_event)
        if event.base is None and (outcome == "waiting" or (outcome == "conflict" and event.kind != "add")):
            self.folding.forget(noted_event)
            return Result(event.id, "refused", path=event.path, why=f"there is no place {event.path} in this case")
        clash = self.folding.clashes.get(event.id)
        before = self.folding.touches[touched].before if outcome == "applied" and event.kind != "keep" else ABSENT
        if clash is not None:
            before = clash.current
        self.entries.append(_entry(event, self._case, seq, self._by, outcome, before))
        return (
            Result(event.id, outcome, seq, event.path)
            if clash is None
            else _told(event, seq, outcome, clash.theirs, clash.current)
        )

    def _known(self, event: Event) -> Result | None:
        """Say what became of an event that was sent before."""
        entry = next((each for each in self.entries if each.id == event.id), None)
        if entry is not None:
            return _repeated(
                event, self._case, entry.key, entry.kind, entry.path, entry.value, entry.outcome, entry.seq
            )
        columns = (events_table.c.key, events_table.c.kind, events_table.c.path, events_table.c.value)
        wanted = sa.select(*columns, events_table.c.outcome, events_table.c.seq).where(events_table.c.id == event.id)
        row = self.connection.execute(wanted).first()
        return None if row is None else _repeated(event, self._case, *row)


def read_event(each: Event | Mapping[str, Any], number: int) -> Event | Result:
    """Check one event of a batch; a refusal is told beside the others' results."""
    try:
        return checked(Event.of(each, where=f"events[{number}]"))
    except BadInput as refused:
        name = each.id if isinstance(each, Event) else each.get("id", "") if isinstance(each, Mapping) else ""
        return Result(str(name)[:80], "refused", why=str(refused))


def noted_as(event: Event, seq: int, by: str, at: str) -> Noted:
    """Give an event as it will stand in the journal."""
    return Noted(
        seq=seq,
        id=event.id,
        kind=event.kind,
        path=event.path,
        value=event.value,
        base=event.base,
        client=event.client,
        by=by,
        at=at,
        client_at=event.client_at,
        undoes=event.undoes,
    )


def _entry(event: Event, case: str, seq: int, by: str, outcome: str, before: Any) -> journal.Entry:
    return journal.Entry(
        id=event.id,
        entity=CASE,
        key=case,
        seq=seq,
        by=by,
        kind=event.kind,
        path=event.path,
        value=None if event.kind == "remove" else canonical(event.value),
        before=None if before is ABSENT else json.dumps(before, ensure_ascii=True, separators=(",", ":")),
        base=event.base,
        client=event.client,
        client_at=event.client_at,
        undoes=event.undoes,
        outcome=outcome,
    )


def _told(event: Event, seq: int, outcome: str, theirs: Touch | None, current: Any) -> Result:
    by, at = (theirs.event.by, theirs.event.at) if theirs is not None else ("", "")
    why = f"{by or 'somebody else'} changed {event.path} since version {event.base}"
    return Result(event.id, outcome, seq, event.path, why, "", event.value, plain(current), by, at)


def _repeated(
    event: Event, case: str, key: str, kind: str, path: str, value: str | None, outcome: str, seq: int
) -> Result:
    """Tell an event that was sent again from another that took its id."""
    said = None if event.kind == "remove" else canonical(event.value)
    same = (key, kind, path) == (case, event.kind, event.path)
    if same and event.kind != "create" and value != said:
        same = json.loads(value or "null") == event.value
    if not same:
        return Result(event.id, "refused", path=event.path, why="this id was used for another change; make a new one")
    return Result(event.id, "repeated", seq, event.path, first=outcome)


def plain(value: Any) -> Any:
    """Give JSON for what stands at a place: null where nothing does."""
    return None if value is ABSENT else value
