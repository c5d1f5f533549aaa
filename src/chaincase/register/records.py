"""Customers, machines, people and the like: one row each as it stands, every change an entry of the journal."""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Generic, TypeVar, cast

import sqlalchemy as sa
from pydantic import BaseModel, ConfigDict, ValidationError
from sqlalchemy.exc import IntegrityError

from chaincase.errors import BadInput
from chaincase.register import journal, searching
from chaincase.register.events import ShortText, canonical
from chaincase.register.faults import Missing, Overtaken, bad_input
from chaincase.register.ids import uuid7
from chaincase.register.store import Store


class Record(BaseModel):
    """What all rows have: a name for ever, a version to change it by, and the number of its last change."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: ShortText
    version: int
    moved: int
    removed: bool = False


R = TypeVar("R", bound=Record)
_OWN = frozenset(Record.model_fields)


class Records(Generic[R]):
    """The rows of one kind.

    Parameters
    ----------
    store : Store
        Where they are.
    row_type : type
        What a row is; its fields are the columns.
    table : sqlalchemy.Table
        Their table; its name is the kind.
    title : str
        Field that names a row in a search; empty if it is not searched.
    """

    def __init__(self, store: Store, row_type: type[R], table: sa.Table, *, title: str = "name") -> None:
        self.store = store
        self.kind = table.name
        self._row_type = row_type
        self._table = table
        self._title = title
        self._columns = [table.c[name] for name in row_type.model_fields]

    def add(self, *, by: str, **fields: Any) -> R:
        """Add a row; with the `id` of one that is there and says the same, give that one.

        Raises
        ------
        BadInput
            If a field is missing, unknown or of the wrong kind, or refers to nothing.
        """
        row = self._new(fields)
        with refusing(self.kind), self.store.write() as connection:
            known = self._find(connection, row.id)
            if known is not None:
                return self._same(known, row)
            return self._write(connection, None, row, "create", by)

    def change(self, id: str, version: int, *, by: str, **fields: Any) -> R:  # noqa: A002 - the field's name
        """Change fields of the version that was seen.

        Raises
        ------
        Overtaken
            If somebody else changed it since.
        Missing
            If there is none.
        BadInput
            If a field cannot be used.
        """
        if _OWN & fields.keys():
            raise BadInput(f"{min(_OWN & fields.keys())} is not yours to change", where=self.kind)
        return self._rewrite(id, version, fields, "change", by)

    def remove(self, id: str, version: int, *, by: str) -> R:  # noqa: A002 - as above
        """Take a row out of use; it stays readable by its id.

        Raises
        ------
        Overtaken, Missing
            As for `change`.
        """
        return self._rewrite(id, version, {"removed": True}, "remove", by)

    def get(self, id: str) -> R:  # noqa: A002 - as above
        """Give a row, also one out of use.

        Raises
        ------
        Missing
            If there is none.
        """
        with self.store.read() as connection:
            return self._known(connection, id)

    def find(self, *, removed: bool = False, limit: int = 1_000, **equal: Any) -> tuple[R, ...]:
        """Give the rows whose fields are as said, the oldest first."""
        unknown = equal.keys() - self._row_type.model_fields.keys()
        if unknown:
            raise BadInput(f"{self.kind} has no field {min(unknown)!r}")
        wanted = sa.select(*self._columns).where(*(self._table.c[name] == value for name, value in equal.items()))
        if not removed:
            wanted = wanted.where(self._table.c.removed.is_(False))
        with self.store.read() as connection:
            rows = connection.execute(wanted.order_by(self._table.c.id).limit(limit)).mappings()
            return tuple(self._stored(dict(row)) for row in rows)

    def history(self, id: str, *, limit: int = 100) -> tuple[journal.Change, ...]:  # noqa: A002 - as above
        """Give the changes of a row, newest first."""
        with self.store.read() as connection:
            return journal.history(connection, self.kind, id, limit=limit)

    def replay(self, connection: sa.Connection, row: Mapping[str, Any]) -> None:
        """Bring an entry of the journal into the table, as it was brought in when it was made."""
        value = json.loads(row["value"])
        known = self._find(connection, row["key"])
        before = known.model_dump() if known is not None else {}
        own = {"id": row["key"], "version": row["seq"], "moved": row["number"]}
        made = self._stored({**before, "removed": False, **value, **own})
        self._put_row(connection, made)
        self._keep_words(connection, made, row["at"])

    def _rewrite(self, name: str, version: int, fields: Mapping[str, Any], kind: str, by: str) -> R:
        with refusing(self.kind), self.store.write() as connection:
            known = self._known(connection, name)
            if known.version != version:
                theirs = known.model_dump(mode="json")
                raise Overtaken(self.kind, yours=fields, theirs=theirs, version=known.version)
            row = self._made({**known.model_dump(), **fields, "version": version + 1})
            self._check(connection, known, row)
            return self._write(connection, known, row, kind, by)

    def _check(self, connection: sa.Connection, known: R, row: R) -> None:
        """Refuse a change that would leave the rows together as they must not be; called inside of the write."""

    def _write(self, connection: sa.Connection, known: R | None, row: R, kind: str, by: str) -> R:
        after = self._said(row)
        before = self._said(known) if known is not None else None
        if before is not None:
            changed = [name for name in after if after[name] != before[name]]
            after, before = {name: after[name] for name in changed}, {name: before[name] for name in changed}
        entry = journal.Entry(
            id=uuid7(),
            entity=self.kind,
            key=row.id,
            seq=row.version,
            by=by_whom(by),
            kind=kind,
            value=canonical(after),
            before=None if before is None else canonical(before),
        )
        at = journal.now(connection, self.store.clock)
        row = row.model_copy(update={"moved": journal.write(connection, at, [entry])})
        self._put_row(connection, row)
        self._keep_words(connection, row, at)
        return row

    def _put_row(self, connection: sa.Connection, row: R) -> None:
        said = row.model_dump()
        if row.version == 1:
            connection.execute(sa.insert(self._table).values(said))
        else:
            connection.execute(sa.update(self._table).where(self._table.c.id == row.id).values(said))

    def _keep_words(self, connection: sa.Connection, row: R, at: str) -> None:
        if not self._title:
            return
        said = self._said(row)
        if row.removed:
            searching.forget(connection, [(self.kind, row.id)])
            return
        texts = [value for name, value in said.items() if isinstance(value, str) and not name.startswith("sha")]
        title = str(said.get(self._title) or "")
        words = searching.words_of(texts)
        searching.keep(connection, [searching.Page(row.moved, self.kind, row.id, title, at, words)])

    def _said(self, row: R) -> dict[str, Any]:
        return row.model_dump(exclude={"id", "version", "moved"})

    def _made(self, fields: Mapping[str, Any]) -> R:
        try:
            return self._row_type.model_validate(dict(fields))
        except ValidationError as fault:
            raise bad_input(fault, where=self.kind) from None

    def _new(self, fields: Mapping[str, Any]) -> R:
        return self._made({"id": uuid7(), **fields, "version": 1, "moved": 0, "removed": False})

    def _same(self, known: R, row: R) -> R:
        if known.version == 1 and self._said(known) != self._said(row):
            raise BadInput(f"there is another {self.kind} with this id", where="id", right="make a new id")
        return known

    def _stored(self, row: Mapping[str, Any]) -> R:
        """Give a row that was checked when it was written."""
        return cast("R", self._row_type.model_construct(**row))

    def _known(self, connection: sa.Connection, name: str) -> R:
        found = self._find(connection, name)
        if found is None:
            raise Missing.of(self.kind, name)
        return found

    def _find(self, connection: sa.Connection, name: str) -> R | None:
        row = connection.execute(sa.select(*self._columns).where(self._table.c.id == name)).mappings().first()
        return None if row is None else self._stored(dict(row))


def by_whom(by: str) -> str:
    """Give who makes a change.

    Raises
    ------
    BadInput
        If it is too long or cannot be printed.
    """
    if not isinstance(by, str) or len(by) > 200 or not by.isprintable():
        raise BadInput(
            f"{str(by)[:80]!r} says nobody", where="by", right="give a name or an id of up to 200 characters"
        )
    return by


@contextmanager
def refusing(kind: str) -> Iterator[None]:
    """Say what the engine refuses in our own words."""
    try:
        yield
    except IntegrityError as fault:
        said = str(fault.orig).lower()
        if "foreign key" in said:
            raise BadInput(f"this {kind} refers to something that is not in the register", where=kind) from None
        raise BadInput(f"there is another {kind} like this", where=kind, right="change what must be its own") from None
