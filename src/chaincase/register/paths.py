"""Places in the content of a case, and values put there: copies along the way, the rest is shared.

A place is written `evidence.readings[0192f0c1].value`: keys with dots between, an entry of a list by its id in
brackets.
As steps an entry keeps its brackets: `("evidence", "readings", "[0192f0c1]", "value")`.
"""

import re
from collections.abc import Iterator
from itertools import count
from typing import Any, Final

from chaincase.errors import BadInput

Steps = tuple[str, ...]

_KEY = r"[A-Za-z_][A-Za-z0-9_\- ]{0,63}"
ENTRY_ID: Final = r"[A-Za-z0-9_.:\-]{1,80}"
_PATH = re.compile(rf"{_KEY}(\[{ENTRY_ID}\])?(\.{_KEY}(\[{ENTRY_ID}\])?)*")
_NAME = re.compile(ENTRY_ID)
_STEP = re.compile(rf"\[{ENTRY_ID}\]|{_KEY}")
_LONGEST = 500


class _Absent:
    """Nothing stands there, which is not the same as null."""

    __slots__ = ()

    def __repr__(self) -> str:
        return "ABSENT"


ABSENT: Final = _Absent()


class Misfit(Exception):
    """The way to a place goes through something that holds no places."""


class NoEntry(Exception):
    """The way to a place goes through an entry that is not there."""


def steps_of(path: str) -> Steps:
    """Give the steps of a place.

    Raises
    ------
    BadInput
        If it is not written like one.

    >>> steps_of("evidence.readings[r1].value")
    ('evidence', 'readings', '[r1]', 'value')
    """
    if len(path) > _LONGEST or not _PATH.fullmatch(path):
        raise BadInput(f"{path[:80]!r} is not a place", where="path", right="write evidence.readings[id].value")
    return tuple(_STEP.findall(path))


def path_of(steps: Steps) -> str:
    """Give a place as it is written.

    >>> path_of(("evidence", "readings", "[r1]", "value"))
    'evidence.readings[r1].value'
    """
    return ".".join(steps).replace(".[", "[")


def overlap(one: Steps, other: Steps) -> bool:
    """Say whether one place holds the other, or is the same."""
    shared = min(len(one), len(other))
    return one[:shared] == other[:shared]


def get(content: Any, steps: Steps) -> Any:
    """Give what stands at a place, or `ABSENT`."""
    for step in steps:
        if step[0] == "[":
            found = _index(content, step) if isinstance(content, list) else None
            if found is None:
                return ABSENT
            content = content[found]
        elif isinstance(content, dict) and step in content:
            content = content[step]
        else:
            return ABSENT
    return content


def put(content: Any, steps: Steps, value: Any) -> Any:
    """Give the content with a value at a place; objects on the way are made where they are absent.

    Raises
    ------
    NoEntry
        If an entry on the way is not there.
    Misfit
        If something on the way holds no places.
    """
    if not steps:
        return value
    step, rest = steps[0], steps[1:]
    if step[0] == "[":
        entries, index = _entry(content, step)
        return [*entries[:index], put(entries[index], rest, value), *entries[index + 1 :]]
    if content is None or content is ABSENT:
        content = {}
    if not isinstance(content, dict):
        raise Misfit
    return {**content, step: put(content.get(step, ABSENT), rest, value)}


def drop(content: Any, steps: Steps) -> Any:
    """Give the content without what stands at a place; a field that is absent may stay so.

    Raises
    ------
    NoEntry
        If an entry on the way, or the one to drop, is not there.
    Misfit
        If something on the way holds no places.
    """
    parent = get(content, steps[:-1])
    if steps[-1][0] == "[":
        entries, index = _entry(parent, steps[-1])
        return put(content, steps[:-1], [*entries[:index], *entries[index + 1 :]])
    if parent is ABSENT or parent is None:
        put(content, steps, None)  # for its faults
        return content
    if not isinstance(parent, dict):
        raise Misfit
    return put(content, steps[:-1], {key: value for key, value in parent.items() if key != steps[-1]})


def add(content: Any, steps: Steps, entry: dict[str, Any], place: int | None = None) -> Any:
    """Give the content with an entry more in a list, at its end or at a place.

    Raises
    ------
    NoEntry
        If an entry on the way is not there.
    Misfit
        If no list stands there.
    """
    found = get(content, steps)
    entries = [] if found is ABSENT or found is None else found
    if not isinstance(entries, list):
        raise Misfit
    at = len(entries) if place is None else place
    return put(content, steps, [*entries[:at], entry, *entries[at:]])


def with_ids(value: Any, stem: str) -> Any:
    """Give a value in which each object of a list has an id; those that lack one are numbered behind `stem`.

    >>> with_ids({"readings": [{"value": "4 in"}, {"id": "a"}], "construction": ["roller"]}, "e1")
    {'readings': [{'value': '4 in', 'id': 'e1.1'}, {'id': 'a'}], 'construction': ['roller']}
    """
    return _numbered(value, stem, count(1))


def _numbered(value: Any, stem: str, numbers: Iterator[int]) -> Any:
    if isinstance(value, dict):
        return {key: _numbered(each, stem, numbers) for key, each in value.items()}
    if not isinstance(value, list):
        return value
    made: list[Any] = []
    taken: set[str] = set()
    for each in value:
        if isinstance(each, dict):
            name = each.get("id")
            if not isinstance(name, str) or name in taken or not _NAME.fullmatch(name):
                name = f"{stem}.{next(numbers)}"
            taken.add(name)
            made.append({**_numbered(each, stem, numbers), "id": name})
        else:
            made.append(_numbered(each, stem, numbers))
    return made


def index_of(content: Any, steps: Steps) -> int | None:
    """Give where in its list an entry stands."""
    entries = get(content, steps[:-1])
    return _index(entries, steps[-1]) if isinstance(entries, list) else None


def _entry(content: Any, step: str) -> tuple[list[Any], int]:
    if content is ABSENT or content is None:
        raise NoEntry
    if not isinstance(content, list):
        raise Misfit
    index = _index(content, step)
    if index is None:
        raise NoEntry
    return content, index


def _index(entries: list[Any], step: str) -> int | None:
    name = step[1:-1]
    for index, entry in enumerate(entries):
        if isinstance(entry, dict) and entry.get("id") == name:
            return index
    return None
