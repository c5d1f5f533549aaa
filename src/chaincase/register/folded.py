"""Cases folded lately, so that a change needs not fold all events before it again."""

import json
import threading
from collections import OrderedDict
from typing import Any, Final

import sqlalchemy as sa

from chaincase.register.folding import Folding, Noted
from chaincase.register.schema import event

CASE: Final = "case"
_KEPT: Final = 64
_COLUMNS = (
    event.c.seq,
    event.c.id,
    event.c.kind,
    event.c.path,
    event.c.value,
    event.c.base,
    event.c.client,
    event.c.by,
    event.c.at,
    event.c.client_at,
    event.c.undoes,
)


class FoldedCases:
    """The last cases that were changed, each as folded up to a version.

    A version only ever means one state, as the journal is only added to; so whoever else wrote in between, folding goes
    on from there.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[str, Folding] = OrderedDict()

    def up_to_date(self, connection: sa.Connection, case: str) -> Folding:
        """Give a case folded up to what the transaction sees; the caller may go on with it."""
        with self._lock:
            known = self._kept.get(case)
        folding = known.copy() if known is not None else Folding()
        for each in noted(connection, case, after=folding.version):
            folding.take(each)
        return folding

    def keep(self, case: str, folding: Folding) -> None:
        """Keep a case for the next change; only what has been committed."""
        with self._lock:
            self._kept[case] = folding
            self._kept.move_to_end(case)
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)


def noted(connection: sa.Connection, case: str, *, after: int = 0, until: str = "") -> list[Noted]:
    """Give the events of a case behind a version, in order, and before a moment if one is given."""
    wanted = sa.select(*_COLUMNS).where(event.c.entity == CASE, event.c.key == case, event.c.seq > after)
    if until:
        wanted = wanted.where(event.c.at < until)
    return [noted_of(dict(row)) for row in connection.execute(wanted.order_by(event.c.seq)).mappings()]


def noted_of(row: dict[str, Any]) -> Noted:
    """Give an event of a case from its row of the journal."""
    value = None if row["value"] is None else json.loads(row["value"])
    return Noted(**{name: row[name] for name in Noted.__slots__ if name != "value"}, value=value)
