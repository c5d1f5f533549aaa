"""What a running server holds: its settings, the register, the tables, and findings it worked out before."""

from collections import OrderedDict
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING, Any, Final

from fastapi import Request

from chaincase.catalog.table import Catalog
from chaincase.web.settings import Settings

if TYPE_CHECKING:
    from chaincase.register import Register

_MOST_KEPT: Final = 64


class Kept:
    """Answers by key, the most recently used; safe for several threads."""

    def __init__(self, most: int = _MOST_KEPT) -> None:
        self._answers: OrderedDict[Any, Any] = OrderedDict()
        self._most, self._lock = most, Lock()

    def get(self, key: Any) -> Any | None:
        """Give the answer kept under a key."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
            return self._answers.get(key)

    def keep(self, key: Any, answer: Any) -> None:
        """Keep an answer; the one unused for longest goes."""
        with self._lock:
            self._answers[key] = answer
            self._answers.move_to_end(key)
            while len(self._answers) > self._most:
                self._answers.popitem(last=False)


@dataclass(frozen=True, slots=True)
class Server:
    """What a running server holds.

    Attributes
    ----------
    settings : Settings
        What it was started with.
    register : Register
        What is kept.
    catalog : Catalog
        The tables: the packaged ones and those of the data folder.
    findings : Kept
        Findings by case and version.
    """

    settings: Settings
    register: "Register"
    catalog: Catalog
    findings: Kept = field(default_factory=Kept)


def server_of(request: Request) -> Server:
    """Give the running server; use it as `Annotated[Server, Depends(server_of)]` (`web.routing.Here`)."""
    found = request.app.state.server
    if not isinstance(found, Server):
        raise TypeError(found)
    return found
