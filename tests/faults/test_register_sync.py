"""Phones and desks on one case over a network that drops, repeats and reorders: each event once, nothing lost."""

from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, rule

from chaincase.register.events import Event, checked
from chaincase.register.folding import Folding, Noted, fold
from chaincase.register.paths import get, steps_of

CLIENTS = ("phone a", "phone b", "desk")
FIELDS = ("title", "plant", "chosen.why", "chosen")
VALUES = st.sampled_from(["A", "B", "C"])


class Network(RuleBasedStateMachine):
    """The fold as the server uses it; each client changes its own copy, and its events arrive whenever they do."""

    changes = Bundle("changes")

    @initialize()
    def begin(self) -> None:
        self.log: list[Noted] = []
        self.ids: set[str] = set()
        self.made = 0
        self.sent: dict[str, Event] = {}
        self.own: dict[str, list[Event]] = {client: [] for client in CLIENTS}
        self.seen = dict.fromkeys(CLIENTS, 1)
        self.entries: dict[str, list[str]] = {client: [] for client in CLIENTS}
        create = Event.of({"id": self._id(), "kind": "create", "value": {"title": "new"}, "base": 0})
        self._arrives(create)

    def _id(self) -> str:
        self.made += 1
        return f"01900000-0000-7000-8000-{self.made:012x}"

    def _make(self, client: str, kind: str, path: str, value: Any = None) -> Event:
        data = {"id": self._id(), "kind": kind, "path": path, "value": value}
        event = checked(Event.of({**data, "base": self.seen[client], "client": client}))
        self.sent[event.id] = event
        self.own[client].append(event)
        return event

    def _arrives(self, event: Event) -> None:
        """Do what the server does: the same id again is nothing."""
        if event.id in self.ids:
            return
        self.ids.add(event.id)
        data = {name: getattr(event, name) for name in ("id", "kind", "path", "value", "base", "client")}
        self.log.append(Noted(seq=len(self.log) + 1, by=event.client, at="", **data))

    @rule(target=changes, client=st.sampled_from(CLIENTS), field=st.sampled_from(FIELDS), value=VALUES)
    def change_field(self, client: str, field: str, value: str) -> Event:
        return self._make(client, "set", field, {"why": value} if field == "chosen" else value)

    @rule(target=changes, client=st.sampled_from(CLIENTS), value=VALUES)
    def add_reading(self, client: str, value: str) -> Event:
        event = self._make(client, "add", "evidence.readings", {"value": value})
        self.entries[client].append(event.id)
        return event

    @rule(target=changes, client=st.sampled_from(CLIENTS), value=VALUES, which=st.integers(0, 50))
    def change_reading(self, client: str, value: str, which: int) -> Event:
        if not self.entries[client]:
            return self.change_field(client, "plant", value)
        entry = self.entries[client][which % len(self.entries[client])]
        return self._make(client, "set", f"evidence.readings[{entry}].value", value)

    @rule(target=changes, client=st.sampled_from(CLIENTS), which=st.integers(0, 50))
    def remove_reading(self, client: str, which: int) -> Event:
        if not self.entries[client]:
            return self.change_field(client, "plant", "gone")
        entry = self.entries[client].pop(which % len(self.entries[client]))
        return self._make(client, "remove", f"evidence.readings[{entry}]")

    @rule(event=changes)
    def arrives(self, event: Event) -> None:
        self._arrives(event)

    @rule(client=st.sampled_from(CLIENTS))
    def hears_from_the_server(self, client: str) -> None:
        """Take in the server's state; what was made before but has not arrived yet keeps its older base."""
        folding = fold(self.log)
        self.seen[client] = folding.version
        readings = get(folding.content, steps_of("evidence.readings"))
        others = [each["id"] for each in readings] if isinstance(readings, list) else []
        waiting = [entry for entry in self.entries[client] if entry not in self.ids]
        self.entries[client] = list(dict.fromkeys([*others, *waiting]))

    @invariant()
    def nothing_is_lost_or_doubled(self) -> None:
        folding = fold(self.log)
        assert folding.version == len(self.log) == len(self.ids)
        readings = get(folding.content, steps_of("evidence.readings"))
        names = [each["id"] for each in readings] if isinstance(readings, list) else []
        assert len(names) == len(set(names))
        states = {each.id: _state_of(folding, each) for each in self.log}
        assert set(states.values()) <= {"in force", "conflict", "waiting", "overwritten by its own client", "settled"}

    @invariant()
    def going_on_gives_what_folding_anew_gives(self) -> None:
        half = fold(self.log[: len(self.log) // 2])
        before = repr(half.content)
        on = half.copy()
        for event in self.log[len(self.log) // 2 :]:
            on.take(event)
        anew = fold(self.log)
        assert on.content == anew.content
        assert on.clashes.keys() == anew.clashes.keys()
        assert on.waiting.keys() == anew.waiting.keys()
        assert repr(half.content) == before

    def teardown(self) -> None:
        """In the end all arrives, in the worst order; a client alone on a case then has what it made."""
        if not hasattr(self, "log"):
            return
        for client in CLIENTS:
            alone = self.own[client]
            create = self.log[0]
            one = fold([create, *_noted(alone, client)]).content
            other = fold([create, *_noted(alone[::-1], client)]).content
            if not _leans_on_others(alone):
                assert _sorted(one) == _sorted(other)


def _noted(events: list[Event], client: str) -> list[Noted]:
    names = ("id", "kind", "path", "value", "client")
    return [
        Noted(seq=number, by=client, at="", base=1, **{name: getattr(each, name) for name in names})
        for number, each in enumerate(events, start=2)
    ]


def _leans_on_others(events: list[Event]) -> bool:
    """Say whether a client changed entries of another, which are not there when it is alone."""
    own = {each.id for each in events if each.kind == "add"}
    named = {each.path.split("[")[1].split("]")[0] for each in events if "[" in each.path}
    return not named <= own


def _sorted(content: dict[str, Any]) -> dict[str, Any]:
    """Give the content with readings in one order, as the network decides which comes first."""
    readings = get(content, steps_of("evidence.readings"))
    rest = {name: value for name, value in content.items() if name != "evidence"}
    return rest | {"readings": sorted(readings, key=lambda each: each["id"]) if isinstance(readings, list) else []}


def _state_of(folding: Folding, event: Noted) -> str:
    if event.id in folding.clashes:
        return "conflict"
    if event.id in folding.waiting:
        return "waiting"
    if folding.touch_of(event.id) is not None:
        return "in force"
    later = [touch for touch in folding.touches if touch.event.client == event.client and touch.event.id > event.id]
    return "overwritten by its own client" if later else "settled"


Network.TestCase.settings = settings(max_examples=60, stateful_step_count=30, deadline=None)
test_network = Network.TestCase
