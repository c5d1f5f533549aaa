"""What somebody typed on the page of a duty, beside what stood there when they began; nothing of it is kept yet."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from chaincase.duty.sprocket_reading import PARTS as READ
from chaincase.duty.sprocket_reading import Part as Size
from chaincase.errors import BadInput
from chaincase.web.desk_duty_fields import Field, List, entered, shown, unshown
from chaincase.web.desk_duty_parts import FORMS, SPROCKETS
from chaincase.web.desk_figure import entries_of

WHEELS: Final = SPROCKETS.lists[0]
LISTS: Final[Mapping[str, List]] = {
    "sprockets": WHEELS,
    **{f"{part.name}.{each.key}": each for part in FORMS for each in part.lists},
}
"""Lists of the page, by the beginning of the names of their fields."""
MOST_ROWS: Final = 200
_ROW: Final = re.compile(rf"({'|'.join(re.escape(key) for key in LISTS)})\.(\d{{1,3}})\.([a-z_.]+)")
_LONGEST: Final = 300
_SIZES: Final = {"outside": Size.OUTSIDE, "caliper": Size.CALIPER}
_UNTOLD: Final = ("id", "by", "on", "teeth", "readings", "text", "chain")


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a list: which one it came from, empty for a new one, what stands in it, and what else it holds."""

    came: str
    texts: Mapping[str, str]
    more: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing stands in it."""
        return not any(text.strip() for text in self.texts.values()) and not self.more


@dataclass(frozen=True, slots=True)
class Draft:
    """What stands on the page.

    Attributes
    ----------
    base : int
        Version of the case that was seen.
    was : mapping
        `duty` and `wheels` of the case at that version.
    texts : mapping of str to str
        What stands in each field, by its name (`pull.speed`).
    rows : mapping of str to tuple of Row
        Of each list.
    """

    base: int
    was: Mapping[str, Any]
    texts: Mapping[str, str]
    rows: Mapping[str, tuple[Row, ...]]

    @property
    def was_json(self) -> str:
        """What the page carries along, so that only what was changed is written."""
        return json.dumps(self.was)

    def part(self, name: str) -> dict[str, Any]:
        """Give a form of the duty as it was seen; empty where there was none."""
        return part_of(self.was, name)


def part_of(content: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Give a form of the duty of a case; empty where there is none."""
    duty = content.get("duty")
    found = duty.get(name) if isinstance(duty, Mapping) else None
    return dict(found) if isinstance(found, Mapping) else {}


def as_it_stands(content: Mapping[str, Any], version: int) -> Draft:
    """Give the page of a case as it stands."""
    was = {key: content[key] for key in ("duty", "wheels") if key in content}
    parts = [(part, part_of(content, part.name)) for part in FORMS]
    texts = {f"{part.name}.{each.key}": shown(each, data) for part, data in parts for each in part.fields}
    rows = {
        f"{part.name}.{each.key}": tuple(_rows(each, list(entries_of(data, each.key))))
        for part, data in parts
        for each in part.lists
    }
    return Draft(version, was, texts, {"sprockets": tuple(_wheels(content)), **rows})


def _rows(listed: List, entries: Sequence[Mapping[str, Any]]) -> Iterator[Row]:
    for at, entry in enumerate(entries):
        texts = {field.key: shown(field, entry) for field in listed.fields}
        yield Row(str(at), texts, unshown(listed, entry))


def _wheels(content: Mapping[str, Any]) -> Iterator[Row]:
    for path in ("wheels", "duty.sprockets"):
        for entry in entries_of(content, *path.split(".")):
            told = [*(key for key in entry if key not in _UNTOLD), *_further(entry)]
            yield Row(f"{path}[{entry.get('id', '')}]", texts_of_wheel(entry), ", ".join(told).replace("_", " "))


def _further(entry: Mapping[str, Any]) -> Iterator[str]:
    """Name readings of a wheel that have no field here."""
    seen: set[Size | None] = set()
    for each in entries_of(entry, "readings"):
        size = READ.get(str(each.get("dimension", "")))
        if size in seen or size not in _SIZES.values():
            yield f"{each.get('dimension', '')} {each.get('value', '')}"
        seen.add(size)


def reading_at(entry: Mapping[str, Any], name: str) -> int | None:
    """Give which reading of a wheel stands in the field `outside` or `caliper`; None where none does."""
    sizes = [READ.get(str(each.get("dimension", ""))) for each in entries_of(entry, "readings")]
    return sizes.index(_SIZES[name]) if _SIZES[name] in sizes else None


def texts_of_wheel(entry: Mapping[str, Any]) -> dict[str, str]:
    """Give what stands in the fields of a sprocket.

    >>> texts_of_wheel({"teeth": 17, "text": "80B17"})["stamp"]
    '80B17'
    """
    readings = list(entries_of(entry, "readings"))
    found = {name: reading_at(entry, name) for name in _SIZES}
    sizes = {name: "" if at is None else str(readings[at].get("value", "")) for name, at in found.items()}
    tools = [str(readings[at].get("instrument", "")) for at in found.values() if at is not None]
    return {
        "teeth": shown(Field("teeth", ""), entry),
        **sizes,
        "instrument": next(filter(None, tools), ""),
        "stamp": shown(Field("text", ""), entry),
        "chain": shown(Field("chain", ""), entry),
    }


def typed(sent: Mapping[str, str], now: Draft) -> Draft:
    """Give the page as it was sent back.

    Parameters
    ----------
    sent : mapping of str to str
        Fields of the page; what is not among them counts as left alone.
    now : Draft
        The case as it stands, for what was not sent.

    Raises
    ------
    BadInput
        If what the page carried along is not what it was given.
    """
    was, base = _was(sent.get("was", ""), now), sent.get("base", "")
    seen = replace(as_it_stands(was, 0), was=was, base=int(base) if base.isdigit() and len(base) < 16 else now.base)
    texts = {name: sent.get(name, text)[:_LONGEST] for name, text in seen.texts.items()}
    lists = {name for name in LISTS if f"{name}.listed" in sent}
    rows = {name: tuple(_sent_rows(sent, name)) if name in lists else known for name, known in seen.rows.items()}
    return replace(seen, texts=texts, rows={name: _marked(seen.rows[name], each) for name, each in rows.items()})


def _was(text: str, now: Draft) -> Mapping[str, Any]:
    if not text:
        return now.was
    try:
        found = json.loads(text)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise BadInput("the page cannot be read any more", right="open it again; what stands in the case is safe")
    return {key: found[key] for key in ("duty", "wheels") if key in found}


def _sent_rows(sent: Mapping[str, str], name: str) -> Iterator[Row]:
    found: dict[int, dict[str, str]] = {}
    for key, text in sent.items():
        place = _ROW.fullmatch(key)
        if place is not None and place[1] == name:
            found.setdefault(int(place[2]), {})[place[3]] = text[:_LONGEST]
    for at in sorted(found)[:MOST_ROWS]:
        came = found[at].pop("came", "")
        yield Row(came, {field.key: found[at].get(field.key, "") for field in LISTS[name].fields})


def _marked(known: Sequence[Row], rows: Sequence[Row]) -> tuple[Row, ...]:
    """Give rows with what else the one holds that each came from."""
    more = {row.came: row.more for row in known}
    return tuple(replace(row, more=more.get(row.came, "")) for row in rows)


def arranged(draft: Draft, order: str) -> Draft:
    """Give the page with a row added, taken away or moved: `pull.runs.add`, `pull.runs.2.up`, `.down`, `.away`.

    Anything else leaves it as it is.
    """
    found = re.fullmatch(r"([a-z.]+?)(?:\.(\d{1,3}))?\.(add|up|down|away)", order)
    if found is None or found[1] not in LISTS:
        return draft
    rows, at = list(draft.rows[found[1]]), int(found[2] or 0)
    if found[3] == "add":
        rows.append(blank_row(LISTS[found[1]]))
    elif at < len(rows):
        row = rows.pop(at)
        if found[3] != "away":
            rows.insert(max(at + (-1 if found[3] == "up" else 1), 0), row)
    return replace(draft, rows={**draft.rows, found[1]: tuple(rows[:MOST_ROWS])})


def blank_row(listed: List) -> Row:
    """Give a row in which nothing stands yet."""
    return Row("", {field.key: "" for field in listed.fields})


def part_typed(draft: Draft, name: str) -> tuple[dict[str, Any], dict[str, tuple[int, ...]]]:
    """Give a form of the duty with what was typed, and for each list which row of the page each entry is."""
    part = next(each for each in FORMS if each.name == name)
    was = draft.part(name)
    data: dict[str, Any] = was
    for field in part.fields:
        text = draft.texts[f"{name}.{field.key}"]
        if text.strip() != shown(field, was):
            data = entered(field, text, data)
    places = {}
    for listed in part.lists:
        known = list(entries_of(was, listed.key))
        entries, places[listed.key] = _entries(listed, known, draft.rows[f"{name}.{listed.key}"])
        if entries != known:
            data = {**data, listed.key: entries}
            if not entries:
                data.pop(listed.key)
    return data, places


def _entries(listed: List, was: Sequence[Mapping[str, Any]], rows: Sequence[Row]) -> tuple[list[Any], tuple[int, ...]]:
    entries, places = [], []
    for at, row in enumerate(rows):
        if row.blank:
            continue
        known = row.came.isdigit() and int(row.came) < len(was)
        entry: Any = was[int(row.came)] if known else {}
        for field in listed.fields:
            if row.texts[field.key].strip() != shown(field, entry):
                entry = entered(field, row.texts[field.key], entry)
        entries.append(entry)
        places.append(at)
    return entries, tuple(places)


def wheel_typed(was: Mapping[str, Any], texts: Mapping[str, str]) -> dict[str, Any]:
    """Give a sprocket with what was typed.

    >>> wheel_typed({}, {**texts_of_wheel({}), "teeth": "17", "outside": "151.2 mm", "instrument": "caliper"})
    {'teeth': 17, 'readings': [{'dimension': 'outside_diameter', 'value': '151.2 mm', 'instrument': 'caliper'}]}
    """
    before = texts_of_wheel(was)
    data = dict(was)
    for field in WHEELS.fields:
        if field.key in {"teeth", "chain"} and texts[field.key].strip() != before[field.key]:
            data = entered(field, texts[field.key], data)
    if any(texts[name].strip() != before[name] for name in (*_SIZES, "instrument")):
        data["readings"] = _readings(was, texts)
    if texts["stamp"].strip() != before["stamp"]:
        data["text"] = texts["stamp"].strip()
    return {key: value for key, value in data.items() if value not in ("", [])}


def _readings(was: Mapping[str, Any], texts: Mapping[str, str]) -> list[dict[str, Any]]:
    readings = [dict(each) for each in entries_of(was, "readings")]
    away = []
    for name, size in _SIZES.items():
        text, at = texts[name].strip(), reading_at(was, name)
        if not text:
            away += [] if at is None else [readings[at]]
            continue
        if at is None:
            readings.append({"dimension": size.value})
        entry = readings[-1 if at is None else at]
        entry["value"] = text
        entry.pop("instrument", None)
        if texts["instrument"].strip():
            entry["instrument"] = texts["instrument"].strip()
    return [each for each in readings if each not in away]
