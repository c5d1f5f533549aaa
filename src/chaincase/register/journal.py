"""The journal: every change of everything, only ever added to, each entry sealed with the hash of the one before.

An entry's hash is the SHA-256 of the hash before it and of all that the entry says, as one line of JSON. Whoever
changes, drops or adds an entry afterwards breaks the chain there; whoever seals the rest anew ends at another hash,
which a backup, an export or a note on paper shows (`verify(known=...)`). Triggers refuse UPDATE and DELETE.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Final

import sqlalchemy as sa

from chaincase.register import schema
from chaincase.register.ids import Clock, moment

ORIGIN: Final = "0" * 64
_SEALED: Final = tuple(c.name for c in schema.event.columns if c.name not in ("previous", "hash"))
_LOT: Final = 2_000


@dataclass(frozen=True, slots=True)
class Entry:
    """What is to be written to the journal; `value` and `before` as JSON text."""

    id: str
    entity: str
    key: str
    seq: int
    by: str
    kind: str
    path: str = ""
    value: str | None = None
    before: str | None = None
    base: int | None = None
    client: str = ""
    client_at: str = ""
    undoes: str = ""
    outcome: str = "applied"


@dataclass(frozen=True, slots=True)
class Head:
    """The end of the journal: number, hash and moment of its last entry."""

    number: int
    hash: str
    at: str


@dataclass(frozen=True, slots=True)
class Change:
    """One entry of a history.

    Attributes
    ----------
    number : int
        In the whole journal.
    entity, key, seq
        Of what, and the version that it made.
    id, by, at, client, client_at, kind, path, base, undoes, outcome
        As written.
    value, before : object
        What was written, and what stood there; None also where nothing stood (`was_absent`).
    """

    number: int
    entity: str
    key: str
    seq: int
    id: str
    by: str
    at: str
    client: str
    client_at: str
    kind: str
    path: str
    value: Any
    before: Any
    was_absent: bool
    base: int | None
    undoes: str
    outcome: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What checking the journal found: how many entries are sound, the hash of the last, and the first fault."""

    sound: int
    hash: str
    fault: str | None = None
    number: int | None = None


def head_of(connection: sa.Connection) -> Head:
    """Give the end of the journal."""
    row = connection.execute(sa.select(schema.head.c.number, schema.head.c.hash, schema.head.c.at)).one()
    return Head(*row)


def now(connection: sa.Connection, clock: Clock) -> str:
    """Give the moment of a change that is being made.

    It never lies before that of the last entry, so that a clock that was put back does not disorder history.
    """
    return max(moment(clock()), head_of(connection).at)


def write(connection: sa.Connection, at: str, entries: Sequence[Entry]) -> int:
    """Add entries of a moment to the journal; give the number of the last."""
    last = head_of(connection)
    rows = []
    number, seal = last.number, last.hash
    for entry in entries:
        number += 1
        row = {"number": number, "at": at, **{name: getattr(entry, name) for name in Entry.__slots__}}
        row |= {"previous": seal, "hash": seal_of(seal, row)}
        seal = row["hash"]
        rows.append(row)
    if rows:
        add_rows(connection, rows)
    return number


def add_rows(connection: sa.Connection, rows: Sequence[dict[str, Any]]) -> None:
    """Add sealed rows, and move the head to the last of them."""
    connection.execute(sa.insert(schema.event), list(rows))
    last = rows[-1]
    connection.execute(sa.update(schema.head).values(number=last["number"], hash=last["hash"], at=last["at"]))


def seal_of(previous: str, row: Any) -> str:
    """Give the hash of an entry behind another; of what never was an entry, none."""
    try:
        said = json.dumps([previous, *(row[name] for name in _SEALED)], ensure_ascii=True, separators=(",", ":"))
    except TypeError:  # bytes where text was: the file was changed from outside
        return ""
    return sha256(said.encode()).hexdigest()


def rows_from(connection: sa.Connection, after: int = 0, besides: str = "") -> Iterator[dict[str, Any]]:
    """Give the rows of the journal behind a number, in order, all but those of one entity."""
    wanted = sa.select(schema.event).order_by(schema.event.c.number).limit(_LOT)
    if besides:
        wanted = wanted.where(schema.event.c.entity != besides)
    while lot := connection.execute(wanted.where(schema.event.c.number > after)).mappings().all():
        yield from (dict(row) for row in lot)
        after = lot[-1]["number"]


def check(rows: Iterator[dict[str, Any]], known: tuple[int, str] | None = None) -> Verdict:
    """Follow the chain to the first entry that is not as it was written.

    Parameters
    ----------
    rows : iterator
        In order of `number`.
    known : tuple of int and str
        Number and hash of an entry, from a backup or an earlier check.
    """
    sound, seal = 0, ORIGIN
    for row in rows:
        number = row["number"]
        if number != sound + 1:
            return Verdict(sound, seal, f"entry {sound + 1} of the journal is missing", sound + 1)
        if row["previous"] != seal or row["hash"] != seal_of(seal, row):
            return Verdict(sound, seal, f"entry {number} of the journal is not as it was written", number)
        sound, seal = number, row["hash"]
        if known is not None and known[0] == sound and known[1] != seal:
            return Verdict(sound, seal, f"the journal up to entry {sound} is not the one that was known", number)
    if known is not None and known[0] > sound:
        return Verdict(sound, seal, f"entry {sound + 1} of the journal is missing", sound + 1)
    return Verdict(sound, seal)


def check_head(verdict: Verdict, last: Head) -> Verdict:
    """Hold the end of the chain against what the register keeps as its end."""
    if verdict.fault is not None or (verdict.sound, verdict.hash) == (last.number, last.hash):
        return verdict
    number = min(verdict.sound, last.number) + 1
    return Verdict(
        verdict.sound, verdict.hash, f"the journal does not end where it should, at entry {last.number}", number
    )


def history(
    connection: sa.Connection, entity: str, key: str, *, before: int | None = None, limit: int = 100
) -> tuple[Change, ...]:
    """Give the changes of one thing, newest first; `before` is a seq."""
    wanted = sa.select(schema.event).where(schema.event.c.entity == entity, schema.event.c.key == key)
    if before is not None:
        wanted = wanted.where(schema.event.c.seq < before)
    rows = connection.execute(wanted.order_by(schema.event.c.seq.desc()).limit(limit)).mappings()
    return tuple(change(dict(row)) for row in rows)


def change(row: dict[str, Any]) -> Change:
    """Give a row of the journal as an entry of a history."""
    said = {name: row[name] for name in Change.__slots__ if name not in ("value", "before", "was_absent")}
    return Change(**said, value=_read(row["value"]), before=_read(row["before"]), was_absent=row["before"] is None)


def _read(text: str | None) -> Any:
    return None if text is None else json.loads(text)
