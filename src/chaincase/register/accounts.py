"""Signing in to a served register: roles, sessions, and tries that failed; the people are `register.people`.

Nothing secret is stored as it is: sessions and tokens as SHA-256 of 256 random bits, which cannot be guessed back.
All times are whole seconds since 1970 UTC.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from secrets import token_urlsafe
from typing import Final

from sqlalchemy import BigInteger, Column, Connection, Integer, Table, Text, delete, insert, select, update

from chaincase.errors import BadInput
from chaincase.register.schema import metadata

IDLE: Final = 12 * 3600
"""Seconds without a request after which a session ends: a shift. Plant use justifies more than the usual half hour."""
LONGEST: Final = 7 * 86400
"""Seconds after which a session ends in any case."""
_SEEN_EVERY: Final = 60
"""A session's last use is written at most so often, so that reading pages does not write all the time."""

SESSIONS = Table(
    "account_sessions",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("person", Text, nullable=False, index=True),
    Column("made", BigInteger, nullable=False),
    Column("seen", BigInteger, nullable=False),
)
TRIES = Table(
    "account_tries",
    metadata,
    Column("key", Text, primary_key=True),
    Column("failed", Integer, nullable=False),
    Column("last", BigInteger, nullable=False),
)
SUBJECTS = Table(
    "account_subjects",
    metadata,
    Column("subject", Text, primary_key=True),
    Column("person", Text, nullable=False, index=True),
)


class Role(StrEnum):
    """What somebody is in the register; what each may do stands in `web.access`."""

    READER = "reader"
    FIELD = "field"
    ENGINEER = "engineer"
    ADMIN = "admin"


@dataclass(frozen=True, slots=True)
class Session:
    """Somebody signed in.

    Attributes
    ----------
    digest : str
        What is stored of its token.
    person : str
        Identifier of the person.
    stale : bool
        Whether its last use should be written again.
    """

    digest: str
    person: str
    stale: bool


def digest_of(token: str) -> str:
    """Give what is stored of a random token."""
    return sha256(token.encode()).hexdigest()


def email_from(text: str) -> str:
    """Give an address as it is kept.

    Raises
    ------
    BadInput
        If it is none.

    >>> email_from(" Lead@Example.COM ")
    'lead@example.com'
    """
    email = text.strip().casefold()
    name, at, host = email.rpartition("@")
    if not (name and at and host) or len(email) > 254 or any(c.isspace() or not c.isprintable() for c in email):
        raise BadInput(f"{text[:80]!r} is not an address", where="email", right="write it as name@example.com")
    return email


def person_of_subject(db: Connection, subject: str) -> str | None:
    """Give the person that signs in elsewhere as this subject."""
    return db.execute(select(SUBJECTS.c.person).where(SUBJECTS.c.subject == subject)).scalar()


def has_subject(db: Connection, person: str) -> bool:
    """Say whether somebody signs in elsewhere already."""
    return db.execute(select(SUBJECTS.c.subject).where(SUBJECTS.c.person == person)).first() is not None


def bind_subject(db: Connection, subject: str, person: str) -> None:
    """Remember who signs in elsewhere as this subject; an address may change hands, a subject does not."""
    db.execute(insert(SUBJECTS).values(subject=subject, person=person))


def open_session(db: Connection, person: str, now: int) -> str:
    """Open a session and give its token, which is stored nowhere."""
    token = token_urlsafe(32)
    db.execute(delete(SESSIONS).where((SESSIONS.c.seen < now - IDLE) | (SESSIONS.c.made < now - LONGEST)))
    db.execute(insert(SESSIONS).values(digest=digest_of(token), person=person, made=now, seen=now))
    return token


def session_of(db: Connection, token: str, now: int) -> Session | None:
    """Give the session of a token, if it has not ended."""
    alive = SESSIONS.c.digest == digest_of(token), SESSIONS.c.seen >= now - IDLE, SESSIONS.c.made >= now - LONGEST
    row = db.execute(select(SESSIONS).where(*alive)).first()
    return None if row is None else Session(row.digest, row.person, stale=row.seen < now - _SEEN_EVERY)


def touch_session(db: Connection, digest: str, now: int) -> None:
    """Write that a session was used."""
    db.execute(update(SESSIONS).where(SESSIONS.c.digest == digest).values(seen=now))


def close_session(db: Connection, digest: str) -> None:
    """End a session."""
    db.execute(delete(SESSIONS).where(SESSIONS.c.digest == digest))


def close_sessions(db: Connection, person: str) -> None:
    """End all sessions of a person: after another password or role, and for whoever is disabled."""
    db.execute(delete(SESSIONS).where(SESSIONS.c.person == person))


@dataclass(frozen=True, slots=True)
class Patience:
    """How long somebody waits after tries that failed.

    Attributes
    ----------
    free : int
        So many may fail without a wait.
    first, most : int
        The wait after that [s]; it doubles with each failure up to the most.
    """

    free: int
    first: int
    most: int

    def wait(self, failed: int) -> int:
        """Give the wait [s] after so many failures.

        >>> [Patience(3, 15, 3600).wait(failed) for failed in (0, 2, 3, 4, 5, 20)]
        [0, 0, 15, 30, 60, 3600]
        """
        return 0 if failed < self.free else int(min(self.first * 2 ** min(failed - self.free, 30), self.most))


OF_ACCOUNT: Final = Patience(free=3, first=15, most=3600)
"""At most ten guesses in the first hour, then one an hour."""
OF_ADDRESS: Final = Patience(free=20, first=40, most=40)
"""At most about a hundred guesses an hour from one address."""
_FORGOTTEN: Final = 86400


def begin_try(db: Connection, keys: Mapping[str, Patience], now: int) -> int:
    """Count a try as failed before it is made, so that many at once do not slip through; give the wait [s].

    A wait of zero lets the try be made; otherwise nothing is counted.
    """
    kept = {digest_of(key): patience for key, patience in keys.items()}
    db.execute(delete(TRIES).where(TRIES.c.last < now - _FORGOTTEN))
    rows = db.execute(select(TRIES).where(TRIES.c.key.in_(kept))).all()
    wait = max((row.last + kept[row.key].wait(row.failed) - now for row in rows), default=0)
    if wait > 0:
        return int(wait)
    known = {row.key for row in rows}
    for key in kept:
        counted = update(TRIES).where(TRIES.c.key == key).values(failed=TRIES.c.failed + 1, last=now)
        db.execute(counted if key in known else insert(TRIES).values(key=key, failed=1, last=now))
    return 0


def end_try(db: Connection, forget: Collection[str], take_back: Collection[str]) -> None:
    """After a try that did not fail: forget the failures of some keys, take back only this one of others."""
    db.execute(delete(TRIES).where(TRIES.c.key.in_([digest_of(key) for key in forget])))
    others = TRIES.c.key.in_([digest_of(key) for key in take_back]), TRIES.c.failed > 0
    db.execute(update(TRIES).where(*others).values(failed=TRIES.c.failed - 1))
