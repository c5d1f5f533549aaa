"""Whether the register is what was written to it."""

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from chaincase.register import journal
from chaincase.register.faults import Missing, StoreFailed
from chaincase.register.folded import noted
from chaincase.register.folding import fold
from chaincase.register.journal import Verdict
from chaincase.register.schema import cases, document, photograph

if TYPE_CHECKING:
    from chaincase.register.opening import Register


def verify(register: "Register", *, known: tuple[int, str] | None = None, deep: bool = False) -> Verdict:
    """Find the first fault: of the journal, then of what follows from it."""
    reached = [0]
    try:
        with register.store.read() as connection:
            verdict = journal.check(_counted(connection, reached), known)
            verdict = journal.check_head(verdict, journal.head_of(connection))
            if deep and verdict.fault is None:
                verdict = _check_cases(connection, verdict)
    except StoreFailed as fault:
        return Verdict(reached[0], "", f"entry {reached[0] + 1} of the journal cannot be read: {fault}", reached[0] + 1)
    return _check_files(register, verdict) if deep and verdict.fault is None else verdict


def _counted(connection: sa.Connection, reached: list[int]) -> Iterator[dict[str, Any]]:
    for row in journal.rows_from(connection):
        yield row
        reached[0] = row["number"]


def _check_cases(connection: sa.Connection, verdict: Verdict) -> Verdict:
    for case, content in connection.execute(sa.select(cases.c.key, cases.c.content)):
        if json.loads(content) != fold(noted(connection, case)).content:
            return Verdict(verdict.sound, verdict.hash, f"case {case} is not what its events say")
    return verdict


def _check_files(register: "Register", verdict: Verdict) -> Verdict:
    for name in files_known(register):
        try:
            register.files.get(name)
        except (Missing, StoreFailed) as fault:
            return Verdict(verdict.sound, verdict.hash, str(fault))
    return verdict


def files_known(register: "Register") -> frozenset[str]:
    """Give the hashes of all files to which something refers."""
    with register.store.read() as connection:
        photographs = connection.execute(sa.select(photograph.c.id)).scalars().all()
        papers = connection.execute(sa.select(document.c.sha256)).scalars().all()
    return frozenset([*photographs, *papers])
