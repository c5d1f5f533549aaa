"""A case from its events: what is in force, what conflicts, what waits.

The outcome of each event follows from the events before it and from nothing else, neither a clock nor the order in
which the network brought what one client made: a client's later change of a place wins over its earlier one, also when
it arrives first. What two clients changed at one place without having seen each other is never decided here: the
second is kept beside, and a person settles it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from chaincase.register.paths import ABSENT, Misfit, NoEntry, Steps, add, drop, get, index_of, overlap, put, steps_of

Outcome = Literal["applied", "conflict", "waiting", "superseded"]
FILING: Final = "filing"


@dataclass(frozen=True, slots=True)
class Noted:
    """An event as it stands in the journal of a case.

    Attributes
    ----------
    seq : int
        Version of the case that it made.
    id, kind, path, value, base, client, undoes
        As in `events.Event`; `value` has its ids.
    by, at, client_at : str
        Who, when here, when there.
    """

    seq: int
    id: str
    kind: str
    path: str
    value: Any
    base: int | None
    client: str
    by: str
    at: str
    client_at: str = ""
    undoes: str = ""

    @property
    def steps(self) -> Steps:
        """What it is about: the entry for add and insert."""
        if self.kind in ("create", "keep"):
            return ()
        steps = steps_of(self.path)
        if self.kind == "add":
            return (*steps, f"[{self.value['id']}]")
        return (*steps, f"[{self.value['entry']['id']}]") if self.kind == "insert" else steps


@dataclass(frozen=True, slots=True)
class Touch:
    """A change in force: since which version, at which place, and what stood there before."""

    seq: int
    steps: Steps
    event: Noted
    before: Any
    place: int | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """An event that conflicts, and what stood there in its stead."""

    event: Noted
    theirs: Touch | None
    current: Any


@dataclass(slots=True)
class Folding:
    """A case while its events are folded; `take` them in order of `seq`."""

    content: dict[str, Any] = field(default_factory=dict)
    version: int = 0
    touches: list[Touch] = field(default_factory=list)
    waiting: dict[str, Noted] = field(default_factory=dict)
    clashes: dict[str, Clash] = field(default_factory=dict)

    def copy(self) -> "Folding":
        """Give one that can go on without changing this one."""
        return replace(self, touches=list(self.touches), waiting=dict(self.waiting), clashes=dict(self.clashes))

    def take(self, event: Noted) -> Outcome:
        """Bring the next event into the case and say what became of it."""
        self.version = event.seq
        outcome = self._keep(event) if event.kind == "keep" else self._settle(event)
        if self.waiting and outcome in ("applied", "superseded"):
            self._wake(event)
        return outcome

    def forget(self, event: Noted) -> None:
        """Take an event back that came to nothing, as if it had not been sent."""
        self.version = event.seq - 1
        self.waiting.pop(event.id, None)
        self.clashes.pop(event.id, None)

    def touch_of(self, event: str) -> Touch | None:
        """Give the change in force that an event made, if it did."""
        return next((touch for touch in reversed(self.touches) if touch.event.id == event), None)

    def _settle(self, event: Noted) -> Outcome:
        steps = event.steps
        theirs, own_later = self._since(event, steps)
        if any(touch.steps == steps[: len(touch.steps)] for touch in own_later):
            return "superseded"
        current = ABSENT if event.kind == "create" else get(self.content, steps)
        if theirs is not None and not self._agrees(event, current):
            return self._clash(event, theirs, current)
        try:
            return self._apply(event, steps, current, own_later)
        except Misfit:
            return self._clash(event, theirs, current)
        except NoEntry:
            if theirs is None:
                self.waiting[event.id] = event
        return "waiting" if theirs is None else self._clash(event, theirs, current)

    def _since(self, event: Noted, steps: Steps) -> tuple[Touch | None, list[Touch]]:
        """Give the last change by others that the writer had not seen, and the writer's own later ones."""
        theirs: Touch | None = None
        own_later: list[Touch] = []
        for touch in reversed(self.touches):
            if event.base is None or touch.seq <= event.base:
                break
            own = event.client != "" and touch.event.client == event.client
            if not overlap(touch.steps, steps):
                continue
            if not own and theirs is None and _bears_on(event, touch, steps):
                theirs = touch
            elif own and touch.event.id > event.id:
                own_later.insert(0, touch)
        return theirs, own_later

    @staticmethod
    def _agrees(event: Noted, current: Any) -> bool:
        """Say whether the event wants what already stands."""
        if event.kind == "remove":
            return current is ABSENT
        wanted = event.value["entry"] if event.kind == "insert" else event.value
        return current is not ABSENT and _same(current, wanted)

    def _apply(self, event: Noted, steps: Steps, current: Any, own_later: list[Touch]) -> Outcome:
        place = index_of(self.content, steps) if steps and steps[-1][0] == "[" else None
        if event.kind in ("add", "insert") and current is not ABSENT:
            if not self._agrees(event, current):
                return self._clash(event, None, current)
        elif not (event.kind == "remove" and self._is_gone(steps)):
            self.content = _changed(self.content, event, steps)
            self._again(own_later)
        self.touches.append(Touch(self.version, steps, event, current, place))
        self._close(event, steps)
        return "applied"

    def _again(self, own_later: list[Touch]) -> None:
        """Put back what the same client changed inside this place later, and what arrived before."""
        for touch in own_later:
            try:
                self.content = _changed(self.content, touch.event, touch.steps)
            except (NoEntry, Misfit):
                self._clash(touch.event, None, get(self.content, touch.steps))

    def _is_gone(self, steps: Steps) -> bool:
        """Say whether an entry that is to be removed was there and has been removed already."""
        if steps[-1][0] != "[" or get(self.content, steps) is not ABSENT:
            return False
        return any(touch.steps == steps and touch.event.kind == "remove" for touch in self.touches)

    def _clash(self, event: Noted, theirs: Touch | None, current: Any) -> Outcome:
        self.clashes[event.id] = Clash(event, theirs, current)
        return "conflict"

    def _keep(self, event: Noted) -> Outcome:
        self.clashes.pop(event.value, None)
        self.waiting.pop(event.value, None)
        return "applied"

    def _close(self, event: Noted, steps: Steps) -> None:
        """Take a conflict as settled when somebody who saw it writes to its place."""
        for each in list(self.clashes.values()):
            seen = event.base is None or event.base >= each.event.seq
            if seen and overlap(each.event.steps, steps):
                del self.clashes[each.event.id]

    def _wake(self, event: Noted) -> None:
        """Bring in what waited for the entry that has come."""
        steps = event.steps if event.kind != "keep" else ("",)
        ready = [each for each in self.waiting.values() if each.steps[: len(steps)] == steps]
        for each in sorted(ready, key=lambda noted: noted.id):
            del self.waiting[each.id]
            self._settle(each)


def fold(events: Iterable[Noted]) -> Folding:
    """Give the case that its events make.

    >>> first = Noted(1, "a", "create", "", {"title": "Slat conveyor"}, None, "", "fitter", "")
    >>> second = Noted(2, "b", "set", "title", "Slat conveyor 2", 1, "", "fitter", "")
    >>> fold([first, second]).content
    {'title': 'Slat conveyor 2'}
    """
    folding = Folding()
    for event in events:
        folding.take(event)
    return folding


def _bears_on(event: Noted, touch: Touch, steps: Steps) -> bool:
    """Say whether another's change makes this event doubtful: a new entry only minds changes of itself."""
    return len(touch.steps) >= len(steps) or event.kind not in ("add", "insert")


def _changed(content: dict[str, Any], event: Noted, steps: Steps) -> dict[str, Any]:
    made: dict[str, Any]
    if event.kind == "create":
        made = event.value
    elif event.kind == "set":
        made = put(content, steps, event.value)
    elif event.kind == "remove":
        made = drop(content, steps)
    elif get(content, steps) is not ABSENT:
        made = content
    elif event.kind == "add":
        made = add(content, steps[:-1], event.value)
    else:
        made = add(content, steps[:-1], event.value["entry"], event.value["place"])
    return made


def _same(one: Any, other: Any) -> bool:
    """Compare as JSON does: true is not 1."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other) and isinstance(one, bool) == isinstance(other, bool)
