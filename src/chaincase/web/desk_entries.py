"""From what somebody enters on the bench to events of the case: one line, a form, or a place and a value."""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from chaincase.case import typed
from chaincase.case.editing import with_entry, with_value
from chaincase.case.form import Case
from chaincase.errors import BadInput
from chaincase.identifying.construction import known_words, unknown_words
from chaincase.units import parse_length

Fields = Mapping[str, Any]
Event = dict[str, Any]
PARTICULARS: Final = ("title", "customer", "plant", "machine", "position", "marked", "revision", "notes")
"""Of a case, besides its number."""
SETTABLE: Final = frozenset(
    {
        *PARTICULARS,
        "strands.number",
        "strands.hands",
        "strands.matched",
        "strands.ends",
        "strands.pitches",
        "strands.drawn",
        "strands.section_most",
        "strands.connecting_links",
        "strands.spare_links",
        "strands.spare_strands",
        "strands.length_tolerance",
        "quantity.strands",
        "quantity.spares",
        "filing.state",
    }
)
"""Places that one value stands in."""
_WORDS: Final = frozenset(
    {*PARTICULARS, "filing.state", "strands.drawn", "strands.length_tolerance", "quantity.spares"}
)
LINES: Final[Mapping[str, tuple[str, str]]] = {
    "stamp": ("mark", "stamp W?124"),
    "paper": ("record", "paper 120 ft WH132 with K2 every 4th"),
    "spacing": ("spacing", "spacing 12 over 3"),
    "attachment": ("attachment", "attachment bent, both sides, 2 holes, code K2"),
    "strand": ("strand", "strand 240"),
    "sprocket": ("wheel", "sprocket 17 teeth, outside diameter 151.2 mm caliper"),
    "feature": ("feature", "feature coating=none"),
    "set": ("set", "set strands.number=2"),
}
"""First words of a quick entry, what they begin, and an example; a line without one is a reading."""


@dataclass(frozen=True, slots=True)
class Author:
    """Who enters something, and when."""

    name: str
    on: str

    @classmethod
    def of(cls, name: str) -> "Author":
        """Give the author of an entry that is made now."""
        return cls(name, datetime.now(UTC).date().isoformat())

    @property
    def signed(self) -> dict[str, str]:
        """What stands in each entry."""
        return {"by": self.name, "on": self.on}


def event_of(fields: Fields, author: Author) -> Event:
    """Give kind, path and value of the event that an entry of the bench means.

    Parameters
    ----------
    fields : mapping
        `sort` names what it is (`SORTS`); the rest belongs to the sort.

    Raises
    ------
    BadInput
        If it cannot be read.

    >>> here = Author("millwright, day shift", "2026-03-01")
    >>> event_of({"sort": "line", "text": "stamp W?124"}, here)["value"]["text"]
    'W?124'
    >>> event_of({"sort": "reading", "dimension": "pitch", "value": "4.06 in", "instrument": "tape"}, here)["path"]
    'evidence.readings'
    """
    maker = SORTS.get(_text(fields, "sort"))
    if maker is None:
        raise BadInput(f"{_text(fields, 'sort')[:40]!r} is nothing to enter", right=f"use {', '.join(SORTS)}")
    return maker(fields, author)


def checked(form: Case | None, event: Event) -> Event:
    """Give the event back if the case can be read with it.

    Raises
    ------
    BadInput
        If its entry or value is not what belongs there; what was wrong before is no reason.
    """
    if form is None:
        return event
    if event["kind"] == "add" and "[" not in event["path"]:
        with_entry(form, event["path"], event["value"])
    elif event["kind"] == "set" and "[" not in event["path"] and not event["path"].startswith(("filing", "evidence")):
        with_value(form, event["path"], event["value"])
    elif (
        event["kind"] == "set" and event["path"].startswith("evidence.readings[") and event["path"].endswith("].value")
    ):
        _check_reading(form, event)
    return event


def _check_reading(form: Case, event: Event) -> None:
    entry = event["path"].partition("[")[2].partition("]")[0]
    data = form.as_json()
    for each in data.get("evidence", {}).get("readings", ()):
        if each.get("id") == entry:
            each["value"] = event["value"]
    Case.of(data)


def _text(fields: Fields, name: str) -> str:
    value = fields.get(name, "")
    return value.strip() if isinstance(value, str) else str(value)


def _needed(fields: Fields, name: str, right: str) -> str:
    text = _text(fields, name)
    if not text:
        raise BadInput("nothing is entered", where=name, right=right)
    return text


def _some(fields: Fields, *names: str) -> dict[str, str]:
    return {name: _text(fields, name) for name in names if _text(fields, name)}


def _added(path: str, value: dict[str, Any], author: Author) -> Event:
    return {"kind": "add", "path": path, "value": {**value, **author.signed}}


def _set(path: str, value: Any) -> Event:
    return {"kind": "set", "path": path, "value": value}


def _reading(fields: Fields, author: Author) -> Event:
    """Read what was typed at a dimension, and add how one measures as it was chosen for all of them."""
    value = _with_unit(_needed(fields, "value", "type a size, like 4.06 in"), _text(fields, "unit"))
    said = typed.reading(f"{_needed(fields, 'dimension', 'name the dimension')} {value}")
    habits = {k: v for k, v in _some(fields, "instrument", "technique", "link").items() if v != "unknown"}
    if _text(fields, "over").isdigit() and int(_text(fields, "over")) > 1 and said["dimension"] == "pitch":
        habits["over"] = int(_text(fields, "over"))  # type: ignore[assignment]
    return _added("evidence.readings", {**habits, **said}, author)


def _with_unit(value: str, unit: str) -> str:
    """Give a bare number the unit that the display shows; anything else stays as it was typed.

    >>> _with_unit("18.92", "mm"), _with_unit("3/4 in", "mm"), _with_unit("18.92", "")
    ('18.92 mm', '3/4 in', '18.92')
    """
    if unit not in {"mm", "in"}:
        return value
    try:
        bare = parse_length(value).unit is None
    except BadInput:
        return value
    return f"{value} {unit}" if bare else value


def _line(fields: Fields, author: Author) -> Event:
    text = _needed(fields, "text", "type one line, like: pitch 163.5 mm tape inner over 4")
    word, _, rest = text.partition(" ")
    sort, _ = LINES.get(word.lower().rstrip(":"), ("", ""))
    if not sort:
        return _added("evidence.readings", typed.reading(text), author)
    if sort == "set":
        path, value = typed.setting(rest)
        return _place({"path": path, "value": value}, author)
    return SORTS[sort]({"text": rest}, author)


def _mark(fields: Fields, author: Author) -> Event:
    text = _needed(fields, "text", "type what can be read; ? for one lost character, * for any number")
    return _added("evidence.marks", {"text": text, **_some(fields, "where", "legibility")}, author)


def _record(fields: Fields, author: Author) -> Event:
    text = _needed(fields, "text", "paste the line as it stands on the paper")
    return _added("records", {"text": text, **_some(fields, "where")}, author)


def _construction(fields: Fields, _: Author) -> Event:
    said = fields.get("word", [])
    words = [said] if isinstance(said, str) else [str(each) for each in said]
    if unknown := unknown_words(tuple(words)):
        raise BadInput(f"{unknown[0][:40]!r} is no kind of chain", right=f"use one of: {', '.join(known_words())}")
    return _set("evidence.construction", words)


def _feature(fields: Fields, author: Author) -> Event:
    if "text" in fields:
        return _added("features", typed.feature(_text(fields, "text")), author)
    state, value = _text(fields, "state"), _text(fields, "value")
    if not value and state not in {"ruled out", "unknown"}:
        raise BadInput("nothing is entered", where="value", right="say what it is, or choose ruled out or unknown")
    key = _needed(fields, "feature", "choose a feature")
    told = typed.feature(f"{key}={value or state}", part=_text(fields, "part"), state=state, how=_text(fields, "how"))
    return _added("features", told if value else {**told, "value": ""}, author)


def _attachment(fields: Fields, author: Author) -> Event:
    parts = [_text(fields, "form"), _counted(fields, "sides", "sides"), _counted(fields, "link", "link")]
    if _text(fields, "holes"):
        parts.append(f"{_text(fields, 'holes')} holes")
    if _text(fields, "code"):
        parts.append(f"code {_text(fields, 'code')}")
    said = ", ".join(part for part in [*parts, _text(fields, "text")] if part)
    if not said:
        raise BadInput("nothing is entered", right="choose what it looks like, or type its sizes")
    return _added("attachments", typed.attachment(said), author)


def _counted(fields: Fields, name: str, noun: str) -> str:
    word = _text(fields, name)
    return f"{word} {noun}" if word and word != "unknown" else ""


def _wheel(fields: Fields, author: Author) -> Event:
    return _added("wheels", typed.wheel(_text(fields, "text")), author)


def _spacing(fields: Fields, author: Author) -> Event:
    text = _needed(fields, "text", "write 12, 12 over 3, 48 1/2 in, on outer, or piece of 7 at 2 6")
    return _added("spacing.observations", typed.spacing(text), author)


def _strand(fields: Fields, author: Author) -> Event:
    text = _needed(fields, "text", "write 240 for pitches counted, or 20.4 m for a length taped")
    return _added("strands.observations", typed.strand(text), author)


def _photograph(fields: Fields, author: Author) -> Event:
    value = {"file": _needed(fields, "file", "name the photograph"), **_some(fields, "sha256", "shows")}
    return _added("photographs", value, author)


def _photo_mark(fields: Fields, author: Author) -> Event:
    """Give a mark on a photograph: a point in shares of its width and height, and what is to be seen there."""
    try:
        x, y = (min(max(float(fields.get(name, "")), 0.0), 1.0) for name in ("x", "y"))
    except (TypeError, ValueError):
        raise BadInput("no point is marked", right="click into the photograph") from None
    note = _needed(fields, "note", "write what is to be seen there")
    return _added(
        f"photographs[{_text(fields, 'photograph')}].marks", {"x": round(x, 4), "y": round(y, 4), "note": note}, author
    )


def _place(fields: Fields, _: Author) -> Event:
    """Set one of the places that hold a single value; empty takes it away."""
    path = _text(fields, "path")
    if path not in SETTABLE:
        raise BadInput(f"{path[:60]!r} is not set here", right=f"use one of: {', '.join(sorted(SETTABLE))}")
    text = _text(fields, "value")
    if not text:
        return {"kind": "remove", "path": path, "value": None}
    return _set(path, text if path in _WORDS else typed.setting(f"{path}={text}")[1])


def _chosen(fields: Fields, author: Author) -> Event:
    name = _text(fields, "designation")
    if not name:
        return {"kind": "remove", "path": "chosen", "value": None}
    return _set("chosen", {"designation": name, **author.signed, **_some(fields, "by", "why")})


def _plain(fields: Fields, author: Author) -> Event:
    return _set("plain", {**author.signed, **_some(fields, "by", "how")})


def _pattern(fields: Fields, author: Author) -> Event:
    notation = _text(fields, "notation")
    if not notation:
        return {"kind": "remove", "path": "pattern", "value": None}
    return _set("pattern", {"notation": notation, **author.signed, **_some(fields, "by")})


def _assume(fields: Fields, author: Author) -> Event:
    told = {
        "gap": _needed(fields, "gap", "name the gap"),
        "assumed": _needed(fields, "assumed", "write what is taken for granted"),
        "by": _needed(fields, "by", "say who accepts it"),
    }
    return {"kind": "add", "path": "assumptions", "value": {**told, "on": author.on, **_some(fields, "why")}}


def _remove(fields: Fields, _: Author) -> Event:
    return {"kind": "remove", "path": _needed(fields, "path", "name the entry"), "value": None}


def _change(fields: Fields, _: Author) -> Event:
    return _set(_needed(fields, "path", "name the place"), _needed(fields, "value", "type the right value"))


def _keep(fields: Fields, _: Author) -> Event:
    return {"kind": "keep", "path": "", "value": _text(fields, "conflict")}


def _settle(fields: Fields, _: Author) -> Event:
    """Settle a conflict by writing one of its sides, as JSON, on top of what stands."""
    try:
        value = json.loads(_text(fields, "value"))
    except ValueError:
        raise BadInput("the value cannot be read", where="value", right="open the page of conflicts again") from None
    return _set(_text(fields, "path"), value)


SORTS: Final[Mapping[str, Callable[[Fields, Author], Event]]] = {
    "reading": _reading,
    "line": _line,
    "mark": _mark,
    "record": _record,
    "construction": _construction,
    "feature": _feature,
    "attachment": _attachment,
    "wheel": _wheel,
    "spacing": _spacing,
    "strand": _strand,
    "photograph": _photograph,
    "photo mark": _photo_mark,
    "set": _place,
    "chosen": _chosen,
    "plain": _plain,
    "pattern": _pattern,
    "assume": _assume,
    "remove": _remove,
    "change": _change,
    "keep": _keep,
    "settle": _settle,
}
"""What can be entered on the bench."""
