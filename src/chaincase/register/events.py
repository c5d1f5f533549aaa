"""One change of a case, as a phone, a page or a command sends it."""

import json
import re
from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from chaincase.errors import BadInput
from chaincase.register.faults import bad_input
from chaincase.register.paths import ENTRY_ID, steps_of, with_ids

Kind = Literal["create", "set", "add", "insert", "remove", "keep"]

LARGEST: Final = 262_144
"""Characters of a value as JSON: some hundred times the largest entry that a person makes."""
DEEPEST: Final = 24
"""Nesting of a value: the form of a case needs 6."""
FIXED: Final = frozenset({"schema", "case"})
STATES: Final = ("open", "asked", "ordered", "closed")
"""Of a case in the register: in work, waiting for an answer, chain ordered, done."""

_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_CASE = re.compile(r"[A-Za-z0-9_.\-]{1,64}")
_FILED = ("state", "customer", "site", "machine", "position", "assigned")


def _uuid(text: str) -> str:
    if not _UUID.fullmatch(text.lower()):
        raise ValueError("an id is a UUID, such as 0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e")
    return text.lower()


def printable(text: str) -> str:
    """Refuse control characters and halves of surrogate pairs in a short text."""
    if any(c < " " or "\ud800" <= c <= "\udfff" or c == "\x7f" for c in text):
        raise ValueError("holds a character that cannot be printed")
    return text


ShortText = Annotated[str, Field(max_length=200), AfterValidator(printable)]


class Event(BaseModel):
    """One change of a case.

    Attributes
    ----------
    id : str
        UUID made by whoever makes the change, version 7, so that later ones sort behind; the same id again is the
        same change.
    kind : str
        create (whole content), set, add (to a list), insert (back to a list), remove, keep (let a conflict stand).
    path : str
        Place, such as `evidence.readings[id].value`; for add and insert that of the list; for keep and create empty.
    value : object
        JSON. For insert `{"place": 2, "entry": {...}}`, for keep the id of the event that conflicts.
    base : int or None
        Version of the case that the writer saw; None if it has seen everything.
    client : str
        Tab or phone that made it: its own earlier events count as seen.
    client_at : str
        The clock there; kept, never used to decide.
    undoes : str
        Event that this one takes back.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    id: Annotated[str, AfterValidator(_uuid)]
    kind: Kind
    path: str = Field(default="", max_length=500)
    value: Any = None
    base: int | None = Field(default=None, ge=0, le=2**53)
    client: ShortText = ""
    client_at: ShortText = ""
    undoes: ShortText = ""

    @classmethod
    def of(cls, data: "Mapping[str, Any] | Event", *, where: str = "") -> "Event":
        """Give the event that JSON data say.

        Raises
        ------
        BadInput
            If a field is missing, unknown or of the wrong kind.

        >>> Event.of({"id": "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e", "kind": "set", "path": "title", "value": "X"}).path
        'title'
        """
        if isinstance(data, Event):
            return data
        if not isinstance(data, Mapping):
            raise BadInput(f"an event is an object, not {type(data).__name__}", where=where)
        try:
            return cls.model_validate(dict(data))
        except ValidationError as fault:
            raise bad_input(fault, where=where) from None
        except RecursionError:
            raise BadInput("nested too deeply", where=where) from None


def case_id(case: str) -> str:
    """Give the id of a case.

    Raises
    ------
    BadInput
        If it is not written like one.
    """
    if not isinstance(case, str) or not _CASE.fullmatch(case):
        raise BadInput(f"{str(case)[:80]!r} is no id of a case", right="use up to 64 letters, digits, - _ and .")
    return case


def canonical(value: Any) -> str:
    """Give JSON as it is stored and hashed: one line, plain ASCII, keys as they came.

    Raises
    ------
    BadInput
        If it is no JSON, too long or nested too deeply.
    """
    try:
        text = json.dumps(value, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    except (ValueError, TypeError, RecursionError) as fault:
        raise BadInput(f"not JSON that can be kept: {str(fault)[:80]}", where="value") from None
    if len(text) > LARGEST:
        raise BadInput(f"holds {len(text)} characters", where="value", right=f"keep it under {LARGEST}")
    if _depth(value) > DEEPEST:
        raise BadInput("nested too deeply", where="value", right=f"keep it within {DEEPEST} levels")
    return text


def checked(event: Event) -> Event:
    """Give the event with ids for the entries in its value.

    Raises
    ------
    BadInput
        If its place or value do not go with its kind.
    """
    if event.kind == "keep":
        return _checked_keep(event)
    if event.kind == "create":
        return _checked_create(event)
    steps = steps_of(event.path)
    if steps[0] in FIXED:
        raise BadInput(f"{steps[0]} of a case stays as it is", where="path")
    if event.kind in ("add", "insert"):
        return _checked_entry(event)
    if event.kind == "remove":
        value = None
    else:
        value = with_ids(event.value, event.id)
        if steps[-1] == "id" or (steps[-1][0] == "[" and not _keeps_id(value, steps[-1])):
            raise BadInput("the id of an entry stays as it is", where="path")
    _check_filing(steps, value)
    canonical(value)
    return event.model_copy(update={"value": value})


def _checked_keep(event: Event) -> Event:
    if not isinstance(event.value, str) or event.path:
        raise BadInput("keep names the event that conflicts", where="value", right="give its id, and no path")
    return event.model_copy(update={"value": _own_id(event.value)})


def _checked_create(event: Event) -> Event:
    if event.path or not isinstance(event.value, dict):
        raise BadInput("create holds the whole content of a case", where="value", right="give an object, and no path")
    value = with_ids(event.value, event.id)
    for key, each in value.get("filing", {}).items() if isinstance(value.get("filing", {}), dict) else ():
        _check_filing(("filing", key), each)
    if not isinstance(value.get("filing", {}), dict):
        raise BadInput("filing is an object", where="value")
    canonical(value)
    return event.model_copy(update={"value": value})


def _checked_entry(event: Event) -> Event:
    inner = event.value
    if event.kind == "insert":
        whole = isinstance(inner, dict) and set(inner) == {"place", "entry"} and type(inner["place"]) is int
        if not whole or inner["place"] < 0:
            raise BadInput(
                "insert needs a place and an entry", where="value", right='give {"place": 2, "entry": {...}}'
            )
        inner = inner["entry"]
    if not isinstance(inner, dict):
        raise BadInput("an entry is an object", where="value", right="set lists of plain words as a whole")
    if event.path.startswith("filing"):
        raise BadInput("filing has no lists", where="path")
    entry = with_ids([{"id": event.id, **inner}], event.id)[0]
    if not re.fullmatch(ENTRY_ID, str(inner.get("id", event.id))):
        raise BadInput(f"{str(inner['id'])[:80]!r} is no id of an entry", where="value.id")
    value = {"place": event.value["place"], "entry": entry} if event.kind == "insert" else entry
    canonical(value)
    return event.model_copy(update={"value": value})


def _keeps_id(value: Any, step: str) -> bool:
    return isinstance(value, dict) and value.get("id") == step[1:-1]


def _check_filing(steps: tuple[str, ...], value: Any) -> None:
    if steps[0] != "filing":
        return
    if len(steps) != 2 or steps[1] not in _FILED:
        raise BadInput(f"filing has no place {'.'.join(steps[1:])!r}", where="path", right=f"use {', '.join(_FILED)}")
    if value is not None and not isinstance(value, str):
        raise BadInput("a text is needed", where="value")
    if steps[1] == "state" and value is not None and value not in STATES:
        raise BadInput(f"there is no state {value!r}", where="value", right=f"use {', '.join(STATES)}")


def _own_id(text: str) -> str:
    try:
        return _uuid(text)
    except ValueError as fault:
        raise BadInput(str(fault), where="value") from None


def _depth(value: Any) -> int:
    level, layer = 0, [value]
    while layer := [
        inner
        for each in layer
        if isinstance(each, (dict, list))
        for inner in (each.values() if isinstance(each, dict) else each)
    ]:
        level += 1
    return level
