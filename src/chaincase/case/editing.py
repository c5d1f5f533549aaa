"""Adding to a case: each gives a new case, checked whole; the old one stays as it is."""

import re
from difflib import get_close_matches
from typing import Any, Final

from chaincase.case.entries import EvidencePart
from chaincase.case.form import SCHEMA, Case, DutyPart, QuantityPart, SpacingPart, StrandsPart
from chaincase.errors import BadInput
from chaincase.forms import Part

LISTS: Final = (
    "evidence.construction",
    "evidence.marks",
    "evidence.readings",
    "wheels",
    "attachments",
    "spacing.observations",
    "strands.observations",
    "features",
    "duty.sprockets",
    "records",
    "photographs",
    "assumptions",
)
"""Lists of a case that grow by entries."""
_ENTRY: Final = re.compile(r"([a-z_.]+)\[(\d{1,6})\]")
_PATH: Final = re.compile(r"[a-z_]+(\.[a-z_]+)?")


def new_case(number: str, **more: str) -> Case:
    """Give an empty case.

    Parameters
    ----------
    number : str
        Its number, such as HV-102.
    more : str
        title, customer, plant, machine, position; empty ones are left out.

    Raises
    ------
    BadInput
        If the number is none.

    >>> new_case("HV-1", title="Elevator").as_json()
    {'schema': 'chaincase/case-1', 'case': 'HV-1', 'title': 'Elevator'}
    """
    return Case.of({"schema": SCHEMA, "case": number, **{key: value for key, value in more.items() if value}})


def with_entry(case: Case, place: str, entry: Any) -> Case:
    """Give a case with one more entry in a list.

    Parameters
    ----------
    place : str
        One of `LISTS`.
    entry : dict or str
        As in the file form.

    Raises
    ------
    BadInput
        If there is no such list, or the entry is not what belongs there.

    >>> reading = {"dimension": "pitch", "value": "4 in"}
    >>> with_entry(new_case("X"), "evidence.readings", reading).evidence.readings[0].value
    '4 in'
    """
    if place not in LISTS:
        raise BadInput(f"{place!r:.60} is no list of a case", right=f"use one of: {', '.join(LISTS)}")
    data = case.as_json()
    folder, name = _folder(data, place)
    folder[name] = [*folder.get(name, ()), entry]
    return Case.of(data)


def with_more(case: Case, number: int, more: dict[str, Any]) -> Case:
    """Give a case whose attachment of that number, counted from 1, is said to have more.

    Raises
    ------
    BadInput
        If there is no such attachment, or what is said is not what belongs there.

    >>> seen = with_entry(new_case("X"), "attachments", {"form": "wing"})
    >>> with_more(seen, 1, {"details": {"fastening": "welded"}}).attachments[0].details
    {'fastening': 'welded'}
    """
    data = case.as_json()
    entries = list(data.get("attachments", ()))
    if not 1 <= number <= len(entries):
        right = f"the case has {len(entries)}; a new one has no number before it"
        raise BadInput(f"there is no attachment {number}", right=right)
    old = entries[number - 1]
    readings = [*old.get("readings", ()), *more.get("readings", ())]
    details = {**old.get("details", {}), **more.get("details", {})}
    joint = {**old, **more, **({"readings": readings} if readings else {}), **({"details": details} if details else {})}
    data["attachments"] = [*entries[: number - 1], joint, *entries[number:]]
    return Case.of(data)


def with_value(case: Case, place: str, value: Any) -> Case:
    """Give a case with a value set: `title`, `chosen`, `plain`, `pattern`, `strands.number`, `duty.length` ...

    None takes it away.

    Raises
    ------
    BadInput
        If the value is not what belongs there.

    >>> with_value(new_case("X"), "strands.number", 2).strands.number
    2
    """
    if not _PATH.fullmatch(place) or place in LISTS or place in {"schema", "case"}:
        raise BadInput(f"{place!r:.60} is no single value of a case", right="name one, such as strands.number")
    data = case.as_json()
    folder, name = _folder(data, place)
    if value is None:
        folder.pop(name, None)
    else:
        folder[name] = value
    return Case.of(data)


def without(case: Case, place: str) -> Case:
    """Give a case without one entry of a list: `evidence.readings[2]`, counted from 0 as in every message.

    Raises
    ------
    BadInput
        If there is no such entry.

    >>> marked = with_entry(new_case("X"), "evidence.marks", {"text": "WH132"})
    >>> without(marked, "evidence.marks[0]").evidence.marks
    ()
    """
    found = _ENTRY.fullmatch(place)
    if found is None or found[1] not in LISTS:
        right = "name one like evidence.readings[0]; to take a single value away: case add FILE --set PLACE="
        raise BadInput(f"{place[:60]!r} is no entry of a case", right=right)
    data = case.as_json()
    folder, name = _folder(data, found[1])
    entries = list(folder.get(name, ()))
    if int(found[2]) >= len(entries):
        right = f"it has {len(entries)}, counted from 0" if entries else "there is none"
        raise BadInput(f"there is no {place[:60]}", right=right)
    del entries[int(found[2])]
    folder[name] = entries
    return Case.of(data)


def check_place(place: str) -> None:
    """Refuse a place that means nothing in a case, so that a misspelled one is not kept unread.

    Raises
    ------
    BadInput
        With the place that may be meant.

    >>> check_place("strands.number")
    """
    known = _places()
    if place not in known:
        near = get_close_matches(place, known, n=1)
        right = f"did you mean {near[0]}" if near else f"use one of: {', '.join(known)}"
        raise BadInput(f"{place[:60]!r} means nothing in a case", right=right)


def _places() -> list[str]:
    """Give every place of a case that takes a single value."""
    folders: dict[str, type[Part]] = {
        "spacing": SpacingPart, "strands": StrandsPart, "quantity": QuantityPart, "evidence": EvidencePart,
    }  # fmt: skip
    inner = [f"{folder}.{name}" for folder, part in folders.items() for name in part.model_fields]
    duty = [f"duty.{name}" for name in DutyPart.model_fields]
    plain = [name for name, field in Case.model_fields.items() if field.annotation is str]
    every = [*plain, "chosen", "plain", "pattern", *inner, *duty]
    return [name for name in every if name not in {*LISTS, "case"} and not name.endswith("schema_")]


def joined(case: Case, fragment: dict[str, Any]) -> Case:
    """Give a case with all that a part of another says: lists and notes are added at the end, other values set.

    What is empty in the part changes nothing.

    Raises
    ------
    BadInput
        If the result is no case.

    >>> joined(new_case("X"), {"strands": {"number": 2}, "records": [{"text": "WH132"}]}).records[0].text
    'WH132'
    """
    data = case.as_json()
    for key, value in fragment.items():
        if key in {"schema", "case"}:
            continue
        old = data.get(key)
        notes = key == "notes" and old and value
        data[key] = f"{old}\n{value}" if notes else _added(old, value)
    return Case.of({key: value for key, value in data.items() if value is not None})


def _added(old: Any, new: Any) -> Any:
    if new in ("", None):
        return old
    if isinstance(old, list) and isinstance(new, list):
        return [*old, *new]
    if isinstance(old, dict) and isinstance(new, dict):
        return {**old, **{key: _added(old.get(key), value) for key, value in new.items()}}
    return new


def _folder(data: dict[str, Any], place: str) -> tuple[dict[str, Any], str]:
    """Give the part of a case that a value stands in, made where it is not there yet, and the value's name."""
    head, _, name = place.partition(".")
    if not name:
        return data, head
    if not isinstance(data.get(head), dict):
        data[head] = {}
    folder: dict[str, Any] = data[head]
    return folder, name
