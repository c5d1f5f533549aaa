"""Signing in and out, invitations, and what an administrator changes of people."""

from dataclasses import dataclass
from secrets import token_urlsafe
from typing import TYPE_CHECKING, Final

from anyio.to_thread import run_sync

from chaincase.errors import BadInput
from chaincase.register import accounts, passes
from chaincase.register.accounts import OF_ACCOUNT, OF_ADDRESS, Patience, Role
from chaincase.web import passwords
from chaincase.web.entrance import seconds
from chaincase.web.faults import Refused
from chaincase.web.server import Server
from chaincase.web.signing import DEVICE, INVITATION, opened, signed

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from chaincase.register.people import Person

DEVICE_LASTS: Final = 366 * 86400
"""Seconds that a device is remembered from which somebody signed in: guessing elsewhere cannot lock it out."""
_SERVER: Final = "chaincase serve"
"""What is written beside the first invitation."""


@dataclass(frozen=True, slots=True)
class Entry:
    """Somebody signed in: what their browser must keep."""

    session: str
    device: str


async def sign_in(server: Server, *, email: str, password: str, address: str, device: str) -> Entry:
    """Sign somebody in by password.

    Raises
    ------
    Refused
        429 after too many failures, 401 for anything that does not match; which of them is not told.
    """
    typed = email.strip().casefold()[:254]
    keys = _keys(server, typed, address, device)
    wait = await run_sync(_begin, server, keys)
    if wait:
        raise Refused(
            429, "Too many tries.", f"Wait {_in_words(wait)} and try again.", headers={"retry-after": str(wait)}
        )
    person, stored = await run_sync(_stored, server, typed)
    right = await passwords.matches(password, stored)
    if person is None or not right or person.disabled:
        raise Refused(401, "The address or the password is not right.", "Type both again.")
    return await run_sync(_enter, server, person.id, keys, typed)


def enter(server: Server, person: str, email: str) -> Entry:
    """Sign somebody in who showed who they are elsewhere."""
    return _enter(server, person, {}, email)


def sign_out(server: Server, digest: str) -> None:
    """End one session."""
    with server.register.store.write() as db:
        accounts.close_session(db, digest)


async def change_password(server: Server, account: str, *, old: str, new: str, address: str) -> Entry:
    """Change the own password; all sessions end, a new one begins.

    Raises
    ------
    Refused
        401 if the old password is not right, 429 after too many tries.
    BadInput
        If the new one is easy to guess.
    """
    person = server.register.people.get(account)
    passwords.check_password(new, person.email, person.name, person.email.partition("@")[0])
    await sign_in(server, email=person.email, password=old, address=address, device="")
    made = await passwords.hashed(new)
    return await run_sync(_set_password, server, person, made)


def invitation_address(server: Server, *, email: str, role: Role, by: str) -> str:
    """Give the address that lets somebody make an account."""
    with server.register.store.write() as db:
        made = passes.invite(db, email=email, role=role, by=by, now=seconds())
    return f"{server.settings.address}/invitation/{signed(server.settings.secret, INVITATION, made.id)}"


def first_invitation(server: Server) -> str:
    """Give the address for the first administrator; empty when there is one."""
    if any(person.role == Role.ADMIN and not person.disabled for person in server.register.people.find()):
        return ""
    return invitation_address(server, email="", role=Role.ADMIN, by=_SERVER)


def invitation(server: Server, text: str) -> passes.Invitation:
    """Give the invitation of a signed text.

    Raises
    ------
    Refused
        404 if it is none, ended, or used.
    """
    named = opened(server.settings.secret, INVITATION, text, passes.INVITED_FOR)
    with server.register.store.read() as db:
        found = passes.invitation(db, named, seconds()) if isinstance(named, str) else None
    if found is None:
        raise Refused(404, "This invitation is not valid any more.", "Ask for a new one.")
    return found


async def accept(server: Server, text: str, *, email: str, name: str, password: str) -> Entry:
    """Make the account that somebody was invited to, and sign them in.

    Raises
    ------
    Refused
        404 if the invitation is none.
    BadInput
        If a field cannot be used.
    """
    found = await run_sync(invitation, server, text)
    address, called = accounts.email_from(found.email or email), " ".join(name.split())[:100]
    if not called:
        raise BadInput("the name is empty", where="name", right="give the name that is written beside changes")
    passwords.check_password(password, address, called, address.partition("@")[0])
    made = await passwords.hashed(password)
    return await run_sync(_make_account, server, found, address, called, made)


def set_role(server: Server, account: str, version: int, *, role: Role, disabled: bool, by: str) -> None:
    """Change what somebody is; they are signed out everywhere.

    Raises
    ------
    BadInput
        If nobody would be left to administer.
    """
    server.register.people.change(account, version, by=by, role=role.value, disabled=disabled)
    with server.register.store.write() as db:
        accounts.close_sessions(db, account)


def person_by_email(server: Server, email: str) -> "Person | None":
    """Give the person of an address."""
    return next(iter(server.register.people.find(email=email.strip().casefold())), None)


def _keys(server: Server, email: str, address: str, device: str) -> dict[str, Patience]:
    known = opened(server.settings.secret, DEVICE, device, DEVICE_LASTS)
    if isinstance(known, list) and len(known) == 2 and known[0] == email:
        return {f"device {known[1]}": OF_ACCOUNT}
    return {f"account {email}": OF_ACCOUNT, f"address {address}": OF_ADDRESS}


def _begin(server: Server, keys: dict[str, Patience]) -> int:
    with server.register.store.write() as db:
        return accounts.begin_try(db, keys, seconds())


def _stored(server: Server, email: str) -> "tuple[Person | None, str]":
    person = person_by_email(server, email)
    return person, "" if person is None else server.register.people.password_hash(person.id)


def _enter(server: Server, person: str, keys: dict[str, Patience], email: str) -> Entry:
    own = [key for key in keys if not key.startswith("address ")]
    with server.register.store.write() as db:
        accounts.end_try(db, own, keys.keys() - set(own))
        session = accounts.open_session(db, person, seconds())
    return Entry(session, signed(server.settings.secret, DEVICE, [email, token_urlsafe(12)]))


def _set_password(server: Server, person: "Person", made: str) -> Entry:
    server.register.people.set_password_hash(person.id, made, by=person.name)
    with server.register.store.write() as db:
        accounts.close_sessions(db, person.id)
    return enter(server, person.id, person.email)


def _make_account(server: Server, found: passes.Invitation, email: str, name: str, made: str) -> Entry:
    if person_by_email(server, email) is not None:
        raise BadInput(f"{email} has an account already", where="email", right="sign in with it instead")

    def admit(db: "Connection") -> None:
        if not passes.take_invitation(db, found.id, seconds()):
            raise Refused(404, "This invitation is not valid any more.", "Ask for a new one.")

    # All in one: a kill in between would leave an administrator without a password, and no invitation for another.
    person = server.register.people.enroll(made, by=name, admit=admit, email=email, name=name, role=found.role.value)
    return enter(server, person.id, email)


def _in_words(wait: int) -> str:
    """Give a wait as people say it.

    >>> _in_words(30), _in_words(90)
    ('30 seconds', '2 minutes')
    """
    return f"{wait} seconds" if wait < 60 else f"{-(-wait // 60)} minutes"
