"""From what was typed on the page of a duty to events of the case, or to what must be put right, field by field."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from chaincase.case.duties import check_duty
from chaincase.case.entries import WheelEntry
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput, BadInputs
from chaincase.register.ids import uuid7
from chaincase.register.paths import Misfit, NoEntry, add, drop, put, steps_of
from chaincase.web.desk_duty_draft import WHEELS, Draft, part_of, part_typed, reading_at, wheel_typed
from chaincase.web.desk_duty_fields import Field, Kind, Part
from chaincase.web.desk_duty_parts import FORMS
from chaincase.web.desk_entries import Author, Event
from chaincase.web.desk_figure import entries_of

_NAMED: Final = ("candidate", "old", "chain.designation")
"""Fields that hold a chain of the tables."""
_COUNTED: Final = re.compile(r"\b(run|reading|part|wheel)s\[(\d+)\]")


@dataclass(frozen=True, slots=True)
class FieldFault:
    """What is wrong, with the name of the field where it stands, or of its part."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """What keeping a page would do: events, the case with them, and what stands in the way."""

    events: tuple[Event, ...]
    content: Mapping[str, Any]
    faults: tuple[FieldFault, ...]


def proposal(draft: Draft, content: Mapping[str, Any], catalog: Catalog, author: Author) -> Proposal:
    """Give what keeping the page would do to the case as it stands.

    Only what was changed on the page is written: a form that is new as one value, else key by key, so that the changes
    of two people go in where they do not meet.
    """
    events: list[Event] = []
    faults: list[FieldFault] = []
    for event, fault in (*_wheel_changes(draft, catalog, author), *_part_changes(draft, content, catalog)):
        events += [event] if event is not None else []
        faults += fault
    told = tuple({each.words + each.name: each for each in faults}.values())
    after = content
    for event in events:
        after = _with(after, event)
    return Proposal(tuple(events), after, told or tuple(_whole(content, after)))


def _whole(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[FieldFault]:
    """Give what the case as a whole cannot hold, where it could be read before."""
    try:
        Case.of(dict(before))
    except BadInput:
        return
    try:
        Case.of(dict(after))
    except BadInput as fault:
        yield from (FieldFault("", _words(each)) for each in _each(fault))


def _with(content: Mapping[str, Any], event: Event) -> Mapping[str, Any]:
    """Give the case with an event; as it is where the event finds no place, which the register will say."""
    steps = steps_of(event["path"])
    try:
        if event["kind"] == "add":
            changed = add(content, steps, {"id": uuid7(), **event["value"]})
        elif event["kind"] == "remove":
            changed = drop(content, steps)
        else:
            changed = put(content, steps, event["value"])
    except (Misfit, NoEntry):
        return content
    return dict(changed)


_Step = tuple[Event | None, list[FieldFault]]


def _part_changes(draft: Draft, content: Mapping[str, Any], catalog: Catalog) -> Iterator[_Step]:
    for part in FORMS:
        was, (new, places) = draft.part(part.name), part_typed(draft, part.name)
        if new == was:
            continue
        stands = part_of(content, part.name)
        merged = new if stands == was else _merged(stands, was, new)
        yield None, list(_part_faults(part, merged, places, draft, catalog))
        for event in _written(part.name, stands, was, new):
            yield event, []


def _merged(stands: dict[str, Any], was: dict[str, Any], new: dict[str, Any]) -> dict[str, Any]:
    kept = {key: value for key, value in stands.items() if key in new or key not in was}
    return {**kept, **{key: new[key] for key in new if new[key] != was.get(key)}}


def _written(name: str, stands: dict[str, Any], was: dict[str, Any], new: dict[str, Any]) -> Iterator[Event]:
    if not stands or not new:
        yield _put(f"duty.{name}", new or None)
        return
    for key in dict.fromkeys((*was, *new)):
        if new.get(key) != was.get(key):
            yield _put(f"duty.{name}.{key}", new.get(key))


def _put(path: str, value: Any) -> Event:
    return {"kind": "remove" if value is None else "set", "path": path, "value": value}


def _part_faults(
    part: Part, data: dict[str, Any], places: Mapping[str, Sequence[int]], draft: Draft, catalog: Catalog
) -> Iterator[FieldFault]:
    if not data:
        return
    if draft.texts.get("pull.friction", "").strip() and part.name == "pull":
        rollers = [field for field in part.fields if field.key.startswith("friction.")]
        if any(draft.texts[f"pull.{field.key}"].strip() for field in rollers):
            yield FieldFault("pull.friction", "friction is said twice; leave this or the rollers empty")
            return
    for fault in _caught(lambda: check_duty({part.name: (part.name, data)})):
        yield FieldFault(_field_of(part, fault.where.removeprefix(f".{part.name}").lstrip("."), places), _words(fault))
    for field in part.fields:
        if field.key in _NAMED:
            name = f"{part.name}.{field.key}"
            yield from _unknown_chain(name, draft.texts[name].strip(), catalog)


def _unknown_chain(name: str, text: str, catalog: Catalog) -> Iterator[FieldFault]:
    if text:
        yield from (FieldFault(name, _words(fault)) for fault in _caught(lambda: catalog.row(text)))


def _caught(check: Callable[[], object]) -> tuple[BadInput, ...]:
    try:
        check()
    except BadInput as fault:
        return _each(fault)
    return ()


def _each(fault: BadInput) -> tuple[BadInput, ...]:
    return fault.faults if isinstance(fault, BadInputs) else (fault,)


def _words(fault: BadInput) -> str:
    """Give a fault as a person reads it at its field: rows counted from 1, keys as words."""
    text = f"{fault.what}; {fault.right}" if fault.right else fault.what
    counted = _COUNTED.sub(lambda found: f"{found[1]} {int(found[2]) + 1}", text)
    return "it is missing" if counted.startswith("is missing") else counted.replace("_", " ")


def _field_of(part: Part, where: str, places: Mapping[str, Sequence[int]]) -> str:
    """Give the name of the field on the page that a place of a form means; that of the part where none does."""
    where = where.partition(":")[0]
    for listed in part.lists:
        found = re.fullmatch(rf"{listed.key}(?:\[(\d+)\]\.?(.*))?", where)
        if found is not None:
            rows = places.get(listed.key, ())
            row = rows[int(found[1])] if found[1] and int(found[1]) < len(rows) else 0
            key = _nearest(listed.fields, found[2] or "") or listed.fields[1].key
            return f"{part.name}.{listed.key}.{row}.{key}"
    key = _nearest(part.fields, where)
    return f"{part.name}.{key}" if key else part.name


def _nearest(fields: Sequence[Field], where: str) -> str:
    """Give the field at a place, else the first below it or above it."""
    if not where:
        return ""
    if where in {"angle", "rise", "fall"}:
        return next((field.key for field in fields if field.kind is Kind.SLOPE), "")
    exact = [field.key for field in fields if field.key == where]
    below = [field.key for field in fields if field.key.startswith((f"{where}.", f"{where}["))]
    above = [field.key for field in fields if where.startswith((f"{field.key}.", f"{field.key}["))]
    return next(iter((*exact, *below, *above)), "")


def _wheel_changes(draft: Draft, catalog: Catalog, author: Author) -> Iterator[_Step]:
    """Give the sprockets that were added, changed or taken away: what was measured stands with the evidence."""
    known = {
        f"{path}[{each.get('id', '')}]": (path, each)
        for path in ("wheels", "duty.sprockets")
        for each in entries_of(draft.was, *path.split("."))
    }
    for at, row in enumerate(draft.rows["sprockets"]):
        path, was = known.pop(row.came, ("", {}))
        new = {} if row.blank else wheel_typed(was, row.texts)
        if new == was:
            continue
        if not new.keys() - {"id", "by", "on"}:
            yield (_put(row.came, None) if was else None), []
            continue
        home = "wheels" if any(new.get(key) for key in ("readings", "text", "marks")) else "duty.sprockets"
        yield None, list(_wheel_faults(new, home, f"sprockets.{at}", catalog))
        if home == path:
            yield _put(row.came, new), []
            continue
        yield (_put(row.came, None) if was else None), []
        fresh = {key: value for key, value in new.items() if key != "id"}
        yield {"kind": "add", "path": home, "value": {**author.signed, **fresh}}, []
    yield from ((_put(place, None), []) for place in known)


def _wheel_faults(data: Mapping[str, Any], home: str, name: str, catalog: Catalog) -> Iterator[FieldFault]:
    entry = {key: value for key, value in data.items() if key not in {"id", "by", "on"}}
    if home == "wheels":
        # Readings are looked at only where the teeth can be read; both are to be told at once.
        found = (*_caught(lambda: WheelEntry.of(entry)), *_caught(lambda: WheelEntry.of({**entry, "teeth": 17})))
    else:
        found = _caught(lambda: check_duty({"sprockets[0]": ("sprocket", entry)}))
    sizes = {reading_at(data, key): key for key in ("outside", "caliper")}
    for fault in found:
        where = fault.where.removeprefix(".sprockets[0]").lstrip(".")
        reading = re.match(r"readings\[(\d+)\]", where)
        key = sizes.get(int(reading[1]), "") if reading else _nearest(WHEELS.fields, where.partition(":")[0])
        yield FieldFault(f"{name}.{key or 'teeth'}", _words(fault))
    yield from _unknown_chain(f"{name}.chain", str(data.get("chain", "")), catalog)
