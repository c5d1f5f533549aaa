"""Taking a change back by a further event: nothing is ever taken out of a journal."""

from typing import Any

from chaincase.errors import BadInput
from chaincase.register.events import Event
from chaincase.register.folding import Folding, Touch
from chaincase.register.ids import uuid7
from chaincase.register.paths import ABSENT


def to_undo(folding: Folding, by: str, event: str | None) -> Touch:
    """Give the change to take back: of an event, or the last one of `by` that was not taken back yet.

    Raises
    ------
    BadInput
        If there is none.
    """
    taken_back = {touch.event.undoes for touch in folding.touches if touch.event.undoes}
    for touch in reversed(folding.touches):
        wanted = touch.event.id == event if event else touch.event.by == by and not touch.event.undoes
        if wanted and touch.event.id not in taken_back and touch.event.kind != "create":
            return touch
    raise BadInput(
        "there is nothing to take back", where="event", right="name an event of the history that is in force"
    )


def inverse_of(touch: Touch) -> Event:
    """Give the event that takes a change back, as by somebody who saw nothing after it."""
    event, before = touch.event, touch.before
    said: dict[str, Any] = {"id": uuid7(), "base": touch.seq, "undoes": event.id}
    list_path = event.path[: event.path.rfind("[")] if event.path.endswith("]") else ""
    if event.kind in ("add", "insert"):
        entry = event.value["entry"] if event.kind == "insert" else event.value
        said |= {"kind": "remove", "path": f"{event.path}[{entry['id']}]"}
    elif before is ABSENT:
        said |= {"kind": "remove", "path": event.path}
    elif event.kind == "remove" and list_path:
        said |= {"kind": "insert", "path": list_path, "value": {"place": touch.place or 0, "entry": before}}
    else:
        said |= {"kind": "set", "path": event.path, "value": before}
    return Event.of(said)
