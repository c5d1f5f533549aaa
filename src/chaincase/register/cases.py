"""Cases: content as events, one row each for lists, and what each event came to."""

import json
import logging
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput, ChaincaseError
from chaincase.register import journal, keeping, listing
from chaincase.register.batch import Batch, Result, noted_as, plain, read_event
from chaincase.register.events import Event, case_id, checked
from chaincase.register.faults import Full, Missing, Overtaken, StoreFailed
from chaincase.register.folded import CASE, FoldedCases, noted
from chaincase.register.folding import FILING, Folding, fold
from chaincase.register.ids import end_of, uuid7
from chaincase.register.journal import Change
from chaincase.register.records import by_whom
from chaincase.register.schema import cases
from chaincase.register.store import Store
from chaincase.register.summaries import Summarize, Summary
from chaincase.register.undoing import inverse_of, to_undo

log = logging.getLogger("chaincase.register")

__all__ = ["Appended", "Cases", "Conflict", "Opened", "Result"]

MOST_EVENTS: Final = 1_000
"""Events of one batch at most; a phone that was away for weeks sends several."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A change that is kept beside, as somebody else had changed its place: both sides, for a person to settle."""

    id: str
    seq: int
    kind: str
    path: str
    yours: Any
    by: str
    at: str
    theirs: Any
    theirs_by: str
    theirs_at: str


@dataclass(frozen=True, slots=True)
class Opened:
    """A case as it stands, or stood.

    Attributes
    ----------
    case : str
        Its id.
    version : int
        Number of its events; what a change gives as `base`.
    content : dict
        The form `chaincase/case-1`.
    filing : dict
        What the register says of it: state, customer, site, machine, position, assigned.
    summary : Summary or None
        Findings in short, if they are those of this version.
    conflicts : tuple of Conflict
        Still to be settled.
    created, updated : str
        Moments in UTC.
    """

    case: str
    version: int
    content: dict[str, Any]
    filing: dict[str, Any]
    summary: Summary | None
    conflicts: tuple[Conflict, ...]
    created: str
    updated: str


@dataclass(frozen=True, slots=True)
class Appended:
    """The case after a batch, and what became of each event."""

    case: str
    version: int
    results: tuple[Result, ...]
    content: dict[str, Any]
    filing: dict[str, Any]


class Cases:
    """The cases of a register.

    Parameters
    ----------
    store : Store
        Where they are.
    summarize : callable or None
        Gives the findings of a content in short; asked after each write, outside of it.
    """

    def __init__(self, store: Store, summarize: Summarize | None = None) -> None:
        self._store = store
        self._summarize = summarize
        self._folded = FoldedCases()

    def create(
        self,
        case: str,
        *,
        by: str,
        content: Mapping[str, Any] | None = None,
        filing: Mapping[str, Any] | None = None,
        event: str | None = None,
        client: str = "",
    ) -> Opened:
        """Begin a case, empty or with content; the same `event` again changes nothing.

        Raises
        ------
        BadInput
            If there is another case of that id, or the content cannot be kept.
        """
        value = {**(content or {}), FILING: {"state": "open", **(filing or {})}}
        first = Event.of({"id": event or uuid7(), "kind": "create", "value": value, "client": client})
        appended = self.append(case, [first], by=by)
        if appended.results[0].outcome == "refused":
            raise BadInput(appended.results[0].why, where="case", right="choose another id, or open that case")
        return self.open(case)

    def open(self, case: str) -> Opened:
        """Give a case as it stands.

        Raises
        ------
        Missing
            If there is none.
        """
        with self._store.read() as connection:
            row = keeping.row_of(connection, case)
            if row is None:
                raise Missing.of("case", str(case)[:80])
            folding = self._folded.up_to_date(connection, case) if row["conflicts"] else None
        content, filing = _parted(json.loads(row["content"]))
        return Opened(
            case=case,
            version=row["version"],
            content=content,
            filing=filing,
            summary=keeping.summary_in(row),
            conflicts=_conflicts(folding) if folding is not None else (),
            created=row["created"],
            updated=row["updated"],
        )

    def append(self, case: str, events: Sequence[Event | Mapping[str, Any]], *, by: str) -> Appended:
        """Bring a batch of events into a case; one that cannot be used does not keep the others out.

        Raises
        ------
        Missing
            If there is no such case, and the first event does not create it.
        BadInput
            If the id of the case or `by` cannot be used, or there are more than `MOST_EVENTS`.
        """
        case_id(case)
        by_whom(by)
        if len(events) > MOST_EVENTS:
            raise BadInput(f"{len(events)} events at once", right=f"send up to {MOST_EVENTS} at a time")
        read = [read_event(each, number) for number, each in enumerate(events)]
        with self._store.write() as connection:
            at = journal.now(connection, self._store.clock)
            batch = Batch(connection, case, (by, at), self._folded.up_to_date(connection, case))
            results = tuple(batch.take(each) for each in read)
            if batch.folding.version == 0:
                raise Missing.of("case", case)
            batch.write()
        self._folded.keep(case, batch.folding)
        if batch.entries:
            self._summarize_now(case, batch.folding)
        content, filing = _parted(json.loads(canonical_content(batch.folding)))
        return Appended(case, batch.folding.version, results, content, filing)

    def undo(self, case: str, *, by: str, event: str | None = None) -> Appended:
        """Take back an event, or the last one of `by` that is not taken back yet, by a further event.

        Raises
        ------
        Overtaken
            If its place was changed since; nothing is written.
        BadInput
            If there is nothing to take back.
        """
        with self._store.read() as connection:
            folding = self._folded.up_to_date(connection, case)
        if folding.version == 0:
            raise Missing.of("case", str(case)[:80])
        touch = to_undo(folding, by, event)
        inverse = inverse_of(touch)
        trial = folding.copy()
        if trial.take(noted_as(checked(inverse), folding.version + 1, by, "")) != "applied":
            theirs = trial.clashes.get(inverse.id)
            stands = {"path": inverse.path, "value": None if theirs is None else plain(theirs.current)}
            raise Overtaken(inverse.path or case, yours=inverse.model_dump(), theirs=stands, version=folding.version)
        return self.append(case, [inverse], by=by)

    def at(self, case: str, day: date | str) -> Opened:
        """Give a case as it stood at the end of a day (UTC).

        Raises
        ------
        Missing
            If there was no such case.
        BadInput
            If the day is none.
        """
        with self._store.read() as connection:
            events = noted(connection, case, until=end_of(day))
        if not events:
            raise Missing.of(f"case on {day}", str(case)[:80])
        folding = fold(events)
        content, filing = _parted(json.loads(canonical_content(folding)))
        return Opened(case, folding.version, content, filing, None, _conflicts(folding), events[0].at, events[-1].at)

    def history(self, case: str, *, before: int | None = None, limit: int = 100) -> tuple[Change, ...]:
        """Give the changes of a case, newest first: who, when, what before and after, and what became of each.

        `before` is the `seq` of the last one seen.
        """
        with self._store.read() as connection:
            found = journal.history(connection, CASE, case, before=before, limit=min(limit, MOST_EVENTS))
        if not found and before is None:
            raise Missing.of("case", str(case)[:80])
        return found

    def conflicts(self, case: str) -> tuple[Conflict, ...]:
        """Give what is still to be settled."""
        return self.open(case).conflicts

    def list(self, only: listing.Filter | None = None, *, after: str = "", limit: int = 50) -> listing.CasePage:
        """Give a page of the cases that a filter lets through, last changed first.

        Raises
        ------
        BadInput
            If the filter, the place or the limit cannot be used.
        """
        with self._store.read() as connection:
            return listing.lines(connection, only or listing.Filter(), after=after, limit=limit)

    def search(self, text: str, *, after: str = "", limit: int = 50) -> listing.CasePage:
        """Give a page of the cases that hold words beginning with those of a text."""
        return self.list(listing.Filter(text=text), after=after, limit=limit)

    def summarize_late(self, limit: int = 100) -> int:
        """Summarize cases whose summary is of an older version, as after a kill or a new catalog; give how many."""
        with self._store.read() as connection:
            wanted = sa.select(cases.c.key).where(cases.c.summarized < cases.c.version).limit(limit)
            late = list(connection.execute(wanted).scalars())
        for case in late:
            with self._store.read() as connection:
                folding = self._folded.up_to_date(connection, case)
            self._summarize_now(case, folding)
        return len(late)

    def summarize_anew(self, case: str) -> None:
        """Summarize a case again, as after a change of the catalog."""
        with self._store.read() as connection:
            folding = self._folded.up_to_date(connection, case)
        self._summarize_now(case, folding)

    def _summarize_now(self, case: str, folding: Folding) -> None:
        if self._summarize is None:
            return
        content, _ = _parted(json.loads(canonical_content(folding)))
        try:
            summary, fault = self._summarize(content), ""
        except ChaincaseError as refused:  # half-typed content is kept all the same
            summary, fault = Summary(), str(refused)
        except Exception:  # whoever sent the change must not send it for ever because the program cannot read it
            log.exception("the findings of case %s cannot be worked out", case)
            summary, fault = Summary(), "the findings could not be worked out: a fault of this program"
        # The change itself is safe by now; findings that cannot be kept are made up for by `summarize_late`.
        with suppress(Full, StoreFailed), self._store.write() as connection:
            keeping.keep_summary(connection, case, folding.version, summary, fault)


def canonical_content(folding: Folding) -> str:
    """Give the content of a case with its filing as JSON text."""
    return json.dumps(folding.content, ensure_ascii=True, separators=(",", ":"))


def _conflicts(folding: Folding) -> tuple[Conflict, ...]:
    return tuple(
        Conflict(
            id=each.event.id,
            seq=each.event.seq,
            kind=each.event.kind,
            path=each.event.path,
            yours=each.event.value,
            by=each.event.by,
            at=each.event.at,
            theirs=plain(each.current),
            theirs_by=each.theirs.event.by if each.theirs else "",
            theirs_at=each.theirs.event.at if each.theirs else "",
        )
        for each in folding.clashes.values()
    )


def _parted(content: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    filing = content.pop(FILING, None)
    return content, filing if isinstance(filing, dict) else {}
