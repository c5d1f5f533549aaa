"""Who changed cases last: for lists, one question for a whole page."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import sqlalchemy as sa

from chaincase.register.schema import cases, event

if TYPE_CHECKING:
    from chaincase.register.opening import Register


def changed_by(register: "Register", names: Sequence[str]) -> dict[str, str]:
    """Give who made the last change of each case, by the case's id; one that is not there is left out."""
    if not names:
        return {}
    joined = sa.join(cases, event, event.c.number == cases.c.moved)
    wanted = sa.select(cases.c.key, event.c.by).select_from(joined).where(cases.c.key.in_(names))
    with register.store.read() as connection:
        return {row.key: row.by for row in connection.execute(wanted)}
