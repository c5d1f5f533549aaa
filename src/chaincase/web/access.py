"""Who may do what: one table, and one right for every route.

A route gets its right from the router that it stands in (`web.routing`). A route without one cannot be made.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.register.accounts import Role


class Right(StrEnum):
    """What a route lets somebody do."""

    ANYONE = "anyone"
    """Sign in, take an invitation, load the style sheet: nothing of the register."""
    SIGNED_IN = "signed in"
    """What concerns only oneself: sign out, change the own password, make and revoke own tokens."""
    READ = "read"
    """See cases, plants, tables and documents, and compute with what one types; keeps nothing."""
    MEASURE = "measure"
    """Add evidence, photographs, wear readings and notes to a case."""
    WORK = "work"
    """Start cases, settle them, accept assumptions, import surveys and tables, send links to customers."""
    ADMINISTER = "administer"
    """People, roles, invitations, backups."""
    ANSWER = "answer"
    """A customer's link: write what was asked in one case, see nothing else."""


MATRIX: Final[Mapping[Role, frozenset[Right]]] = {
    Role.READER: frozenset({Right.ANYONE, Right.SIGNED_IN, Right.READ}),
    Role.FIELD: frozenset({Right.ANYONE, Right.SIGNED_IN, Right.READ, Right.MEASURE}),
    Role.ENGINEER: frozenset({Right.ANYONE, Right.SIGNED_IN, Right.READ, Right.MEASURE, Right.WORK}),
    Role.ADMIN: frozenset({Right.ANYONE, Right.SIGNED_IN, Right.READ, Right.MEASURE, Right.WORK, Right.ADMINISTER}),
}
"""The access matrix. `Right.ANSWER` is nobody's role: it comes with a link."""

NEVER_BY_TOKEN: Final = frozenset({Right.ADMINISTER, Right.SIGNED_IN})
"""A program that holds a token cannot make itself more tokens, nor change people."""


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who sends a request.

    Attributes
    ----------
    name : str
        What is written beside what they change; empty for somebody unknown.
    account : str
        Identifier of the account; a constant in local mode, empty for customers.
    role : Role or None
        None for somebody not signed in.
    by_token : bool
        Whether a program does this with a token.
    session : str
        Digest of the session, to end it.
    link, case : str
        A customer's link and the one case it is for.
    """

    name: str = ""
    account: str = ""
    role: Role | None = None
    by_token: bool = False
    session: str = ""
    link: str = ""
    case: str = ""

    def may(self, right: Right) -> bool:
        """Say whether this visitor has a right.

        >>> Visitor(name="millwright, day shift", role=Role.FIELD).may(Right.MEASURE)
        True
        >>> Visitor(name="millwright, day shift", role=Role.FIELD).may(Right.WORK)
        False
        """
        if right is Right.ANYONE:
            return True
        if right is Right.ANSWER:
            return bool(self.link)
        if self.role is None or (self.by_token and right in NEVER_BY_TOKEN):
            return False
        return right in MATRIX[self.role]
