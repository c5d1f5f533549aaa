"""People who may work with the register, and the lists that they keep."""

import re
from collections.abc import Callable
from typing import Annotated, Any

import sqlalchemy as sa
from pydantic import AfterValidator

from chaincase.errors import BadInput
from chaincase.register import journal, schema
from chaincase.register.events import ShortText
from chaincase.register.faults import Missing
from chaincase.register.ids import uuid7
from chaincase.register.plants import LongText, Named
from chaincase.register.records import Record, Records, by_whom, refusing

_EMAIL = re.compile(r"[^@\s]{1,64}@[^@\s]{1,190}")
ROLES = ("engineer", "field", "reader", "admin")


def _email(text: str) -> str:
    if not _EMAIL.fullmatch(text):
        raise ValueError("write an address such as name@plant.example")
    return text.lower()


def _role(text: str) -> str:
    if text not in ROLES:
        raise ValueError(f"a role is one of {', '.join(ROLES)}")
    return text


class Person(Record):
    """Somebody who may log in; the password's hash is kept beside, in no event and no export."""

    email: Annotated[ShortText, AfterValidator(_email)]
    name: ShortText = ""
    role: Annotated[ShortText, AfterValidator(_role)] = "reader"
    disabled: bool = False


class View(Record):
    """A list that somebody keeps: a filter, as JSON of `listing.Filter`, under a name."""

    owner: ShortText
    name: Named
    filter: LongText = "{}"
    order: ShortText = ""


class People(Records[Person]):
    """People by id and by address."""

    def by_email(self, email: str) -> Person | None:
        """Give somebody by address, whatever its case."""
        found = self.find(email=email.lower())
        return found[0] if found else None

    def password_hash(self, id: str) -> str:  # noqa: A002 - the field's name
        """Give the hash of somebody's password; empty if there is none.

        Raises
        ------
        Missing
            If there is no such person.
        """
        with self.store.read() as connection:
            wanted = sa.select(schema.person.c.password_hash).where(schema.person.c.id == id)
            found = connection.execute(wanted).scalar_one_or_none()
        if found is None:
            raise Missing.of("person", id)
        return str(found)

    def set_password_hash(self, id: str, password_hash: str, *, by: str) -> None:  # noqa: A002 - as above
        """Keep the hash of a new password; the journal says that it was changed and by whom, nothing more."""
        with self.store.write() as connection:
            self._write_hash(connection, self._known(connection, id), password_hash, by)

    def enroll(self, password_hash: str, *, by: str, admit: Callable[[sa.Connection], None], **fields: Any) -> Person:
        """Make an account with its password, all of it or nothing; `admit` refuses by raising, inside of the write.

        Raises
        ------
        BadInput
            If a field cannot be used, or somebody has the address already.
        """
        row = self._new(fields)
        with refusing(self.kind), self.store.write() as connection:
            admit(connection)
            person = self._write(connection, None, row, "create", by)
            return self._write_hash(connection, person, password_hash, by)

    def _write_hash(self, connection: sa.Connection, person: Person, password_hash: str, by: str) -> Person:
        entry = journal.Entry(
            id=uuid7(),
            entity=self.kind,
            key=person.id,
            seq=person.version + 1,
            by=by_whom(by),
            kind="password",
            value="{}",
        )
        at = journal.now(connection, self.store.clock)
        number = journal.write(connection, at, [entry])
        moved = {"version": entry.seq, "moved": number}
        values: dict[str, Any] = {**moved, "password_hash": password_hash}
        connection.execute(sa.update(schema.person).where(schema.person.c.id == person.id).values(values))
        changed = person.model_copy(update=moved)
        self._keep_words(connection, changed, at)
        return changed

    def _check(self, connection: sa.Connection, known: Person, row: Person) -> None:
        """Keep somebody who administers, also when two take it from each other in the same instant."""
        if not _administers(known) or _administers(row):
            return
        others = schema.person.c
        able = sa.select(others.id).where(
            others.role == "admin", others.disabled.is_(False), others.removed.is_(False), others.id != row.id
        )
        if connection.execute(able.limit(1)).first() is None:
            raise BadInput("nobody would be left to administer", where="role", right="make another administrator first")


def _administers(person: Person) -> bool:
    return person.role == "admin" and not person.disabled and not person.removed
