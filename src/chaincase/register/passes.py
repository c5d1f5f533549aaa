"""What lets somebody in without a password: tokens of programs, invitations, and links for customers.

Invitations and links are signed by the server (`web.signing`) and carry only an identifier; whether one is still good
is decided here, so that each can be revoked and ends by itself.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from secrets import token_urlsafe
from typing import Final
from uuid import uuid4

from sqlalchemy import BigInteger, Column, Connection, Row, Table, Text, insert, select, update

from chaincase.errors import BadInput
from chaincase.register.accounts import Role, digest_of, email_from
from chaincase.register.schema import metadata

INVITED_FOR: Final = 7 * 86400
"""Seconds in which an invitation can be taken."""
LONGEST_LINK: Final = 90 * 86400
"""Seconds that a customer's link lasts at most."""
LONGEST_TOKEN: Final = 366 * 86400
"""Seconds that a program's token lasts at most."""

TOKENS = Table(
    "account_tokens",
    metadata,
    Column("id", Text, primary_key=True),
    Column("digest", Text, nullable=False, unique=True),
    Column("person", Text, nullable=False, index=True),
    Column("label", Text, nullable=False),
    Column("made", BigInteger, nullable=False),
    Column("ends", BigInteger, nullable=False),
    Column("revoked", BigInteger, nullable=True),
)
INVITATIONS = Table(
    "invitations",
    metadata,
    Column("id", Text, primary_key=True),
    Column("email", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("made", BigInteger, nullable=False),
    Column("ends", BigInteger, nullable=False),
    Column("used", BigInteger, nullable=True),
)
LINKS = Table(
    "customer_links",
    metadata,
    Column("id", Text, primary_key=True),
    Column("case_id", Text, nullable=False, index=True),
    Column("asked", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("by", Text, nullable=False),
    Column("made", BigInteger, nullable=False),
    Column("ends", BigInteger, nullable=False),
    Column("revoked", BigInteger, nullable=True),
)


@dataclass(frozen=True, slots=True)
class Token:
    """A program's token, without the token itself."""

    id: str
    label: str
    made: int
    ends: int
    revoked: bool


@dataclass(frozen=True, slots=True)
class Invitation:
    """Somebody asked to make an account."""

    id: str
    email: str
    role: Role
    by: str
    ends: int


@dataclass(frozen=True, slots=True)
class Link:
    """A customer's way to answer what was asked in one case.

    Attributes
    ----------
    asked : tuple of str
        Keys of gaps, or dimensions, that the customer is asked for.
    note : str
        A line from whoever sent it.
    """

    id: str
    case: str
    asked: tuple[str, ...]
    note: str
    by: str
    made: int
    ends: int
    revoked: bool


def add_token(db: Connection, person: str, label: str, *, now: int, lasts: int = LONGEST_TOKEN) -> tuple[Token, str]:
    """Make a token for a program and give it; it is shown once and stored nowhere.

    Raises
    ------
    BadInput
        If the label is empty or it would last too long.
    """
    called = " ".join(label.split())[:100]
    if not called:
        raise BadInput("the label is empty", where="label", right="say what the token is for")
    _check_lasting(lasts, LONGEST_TOKEN)
    token = f"cc_{token_urlsafe(32)}"
    made = Token(uuid4().hex, called, now, now + lasts, revoked=False)
    row = {"id": made.id, "digest": digest_of(token), "person": person, "label": called}
    db.execute(insert(TOKENS).values(**row, made=now, ends=made.ends))
    return made, token


def token_person(db: Connection, token: str, now: int) -> str | None:
    """Give for whom a program acts; None if the token is none or ended."""
    good = TOKENS.c.digest == digest_of(token), TOKENS.c.revoked.is_(None), TOKENS.c.ends > now
    return db.execute(select(TOKENS.c.person).where(*good)).scalar()


def tokens_of(db: Connection, person: str) -> tuple[Token, ...]:
    """Give the tokens of a person, the newest first."""
    rows = db.execute(select(TOKENS).where(TOKENS.c.person == person).order_by(TOKENS.c.made.desc(), TOKENS.c.id))
    return tuple(Token(row.id, row.label, row.made, row.ends, row.revoked is not None) for row in rows)


def revoke_token(db: Connection, person: str, token: str, now: int) -> bool:
    """Revoke a token of a person by its identifier; False if there is none such."""
    own = TOKENS.c.id == token, TOKENS.c.person == person
    return db.execute(update(TOKENS).where(*own).values(revoked=now)).rowcount > 0


def invite(db: Connection, *, email: str, role: Role, by: str, now: int) -> Invitation:
    """Write down that somebody is asked to make an account.

    Raises
    ------
    BadInput
        If the address is none.
    """
    made = Invitation(uuid4().hex, email_from(email) if email else "", role, by, now + INVITED_FOR)
    row = {"id": made.id, "email": made.email, "role": role.value, "by": by}
    db.execute(insert(INVITATIONS).values(**row, made=now, ends=made.ends))
    return made


def invitation(db: Connection, named: str, now: int) -> Invitation | None:
    """Give an invitation that can still be taken."""
    good = INVITATIONS.c.id == named, INVITATIONS.c.used.is_(None), INVITATIONS.c.ends > now
    row = db.execute(select(INVITATIONS).where(*good)).first()
    return None if row is None else Invitation(row.id, row.email, Role(row.role), row.by, row.ends)


def take_invitation(db: Connection, named: str, now: int) -> bool:
    """Use an invitation up; False if somebody else was quicker."""
    fresh = INVITATIONS.c.id == named, INVITATIONS.c.used.is_(None)
    return db.execute(update(INVITATIONS).where(*fresh).values(used=now)).rowcount > 0


def add_link(
    db: Connection, *, case: str, asked: Sequence[str], note: str, by: str, now: int, lasts: int = 30 * 86400
) -> Link:
    """Make a customer's link to one case.

    Raises
    ------
    BadInput
        If nothing is asked or it would last too long.
    """
    if not asked:
        raise BadInput("nothing is asked", where="asked", right="name the gaps that the customer can close")
    _check_lasting(lasts, LONGEST_LINK)
    made = Link(uuid4().hex, case, tuple(asked), note[:2000], by, now, now + lasts, revoked=False)
    row = {"id": made.id, "case_id": case, "asked": json.dumps(list(asked)), "note": made.note, "by": by}
    db.execute(insert(LINKS).values(**row, made=now, ends=made.ends))
    return made


def link(db: Connection, named: str, now: int) -> Link | None:
    """Give a link that is still good."""
    row = db.execute(select(LINKS).where(LINKS.c.id == named, LINKS.c.revoked.is_(None), LINKS.c.ends > now)).first()
    return None if row is None else _link(row)


def links_of(db: Connection, case: str) -> tuple[Link, ...]:
    """Give the links of a case, the newest first."""
    rows = db.execute(select(LINKS).where(LINKS.c.case_id == case).order_by(LINKS.c.made.desc(), LINKS.c.id))
    return tuple(_link(row) for row in rows)


def revoke_link(db: Connection, case: str, named: str, now: int) -> bool:
    """Revoke a link of a case; False if there is none such."""
    own = LINKS.c.id == named, LINKS.c.case_id == case
    return db.execute(update(LINKS).where(*own).values(revoked=now)).rowcount > 0


def _link(row: Row[tuple[object, ...]]) -> Link:
    asked = tuple(json.loads(row.asked))
    return Link(row.id, row.case_id, asked, row.note, row.by, row.made, row.ends, row.revoked is not None)


def _check_lasting(lasts: int, most: int) -> None:
    if not 0 < lasts <= most:
        days = most // 86400
        raise BadInput(f"{lasts} seconds is no usable time", where="lasts", right=f"give up to {days} days")
