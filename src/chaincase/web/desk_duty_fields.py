"""What a field of a duty is, how a value of a form stands in it, and how what is typed goes back into the form."""

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

Steps = tuple[str | int, ...]
_STEP: Final = re.compile(r"([a-z_]+)|\[(\d{1,3})\]")
_SLOPE: Final = re.compile(r"\s*(rise|fall)\s+(.+)", re.IGNORECASE)


class Kind(StrEnum):
    """What stands in a field."""

    TEXT = "text"
    COUNT = "count"
    NUMBER = "number"
    TICK = "tick"
    CHOICE = "choice"
    YES_NO = "yes or no"
    FRICTION = "friction"
    SLOPE = "slope"
    DAY = "day"


@dataclass(frozen=True, slots=True)
class Field:
    """One field: `key` is its place in the form of the part, `example` stands in it while it is empty."""

    key: str
    label: str
    example: str = ""
    kind: Kind = Kind.TEXT
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together; a folded one opens where something stands in it."""

    title: str
    fields: tuple[Field, ...]
    folded: bool = False


@dataclass(frozen=True, slots=True)
class List:
    """A list of rows: `one` names a row; rows of an ordered list can be moved."""

    key: str
    title: str
    one: str
    fields: tuple[Field, ...]
    hint: str = ""
    ordered: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """One question about a duty: its name in the case, what it answers, what it asks."""

    name: str
    title: str
    lead: str
    groups: tuple[Group, ...] = ()
    lists: tuple[List, ...] = ()

    @property
    def fields(self) -> tuple[Field, ...]:
        """All single fields."""
        return tuple(field for group in self.groups for field in group.fields)


def steps_of(key: str) -> Steps:
    """Give the steps of a key.

    >>> steps_of("teeth[1]"), steps_of("material.flow")
    (('teeth', 1), ('material', 'flow'))
    """
    return tuple(name or int(index) for name, index in _STEP.findall(key))


def at(data: Any, steps: Steps) -> Any:
    """Give what stands at a place of a form; None where nothing does."""
    for step in steps:
        if isinstance(step, int):
            data = data[step] if isinstance(data, list) and step < len(data) else None
        else:
            data = data.get(step) if isinstance(data, Mapping) else None
    return data


def with_value(data: Any, steps: Steps, value: Any) -> Any:
    """Give a form with a value at a place; None takes it away, with what is empty then."""
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    if isinstance(step, int):
        whole = list(data) if isinstance(data, list) else []
        whole += [None] * (step + 1 - len(whole))
        whole[step] = with_value(whole[step], rest, value)
        return whole if any(each is not None for each in whole) else None
    if not isinstance(data, Mapping) and value is None:
        return data
    inner = dict(data) if isinstance(data, Mapping) else {}
    held = with_value(inner.get(step), rest, value)
    if held is None:
        inner.pop(step, None)
    else:
        inner[step] = held
    return inner or None


def shown(field: Field, data: Any) -> str:
    """Give what stands in a field.

    >>> shown(Field("loss", "loss"), {"loss": 0.1}), shown(Field("slope", "", "", Kind.SLOPE), {"rise": "9 m"})
    ('0.1', 'rise 9 m')
    """
    if field.kind is Kind.SLOPE:
        return next((text for text in _slopes(data)), "")
    value = at(data, steps_of(field.key))
    if isinstance(value, bool):
        return "yes" if value else "no" if field.kind is Kind.YES_NO else ""
    if isinstance(value, float):
        return f"{value:.12g}"
    return str(value) if isinstance(value, str | int) else ""


def _slopes(data: Any) -> Iterator[str]:
    for name in ("angle", "rise", "fall"):
        text = shown(Field(name, ""), data)
        if text:
            yield text if name == "angle" else f"{name} {text}"


def entered(field: Field, text: str, data: Any) -> Any:
    """Give a form with what was typed into a field; what is no number stays as it was typed, for the form to refuse.

    >>> entered(Field("teeth", "", "", Kind.COUNT), "17", {})
    {'teeth': 17}
    >>> entered(Field("slope", "", "", Kind.SLOPE), "rise 9 m", {"angle": "3"})
    {'rise': '9 m'}
    """
    text = text.strip()
    if field.kind is Kind.SLOPE:
        for name in ("angle", "rise", "fall"):
            data = with_value(data, (name,), None)
        way = _SLOPE.fullmatch(text)
        name, text = (way[1].lower(), way[2]) if way else ("angle", text)
        return with_value(data, (name,), text or None) or {}
    return with_value(deepcopy(data), steps_of(field.key), _value(field.kind, text) if text else None) or {}


def _value(kind: Kind, text: str) -> Any:
    if kind in {Kind.TICK, Kind.YES_NO}:
        return text == "yes"
    if kind is Kind.COUNT and re.fullmatch(r"\d{1,9}", text):
        return int(text)
    if kind in {Kind.COUNT, Kind.NUMBER, Kind.FRICTION}:
        plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
        return float(plain) if re.fullmatch(r"-?(\d{1,12}\.?\d{0,12}|\.\d{1,12})", plain) else text
    return text


def unshown(listed: List, row: Mapping[str, Any]) -> str:
    """Name what else stands in a row and has no field here; it stays as it is."""
    known = {str(steps_of(field.key)[0]) for field in listed.fields} | {"angle", "rise", "fall", "id", "by", "on"}
    return ", ".join(key.replace("_", " ") for key in row if key not in known)
