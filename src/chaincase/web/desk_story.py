"""What changed in a case, in words: history with what stood before and after, what others did meanwhile, conflicts."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from chaincase.chains.dimensions import BY_NAME
from chaincase.register.cases import Conflict
from chaincase.register.journal import Change
from chaincase.web.desk_figure import entries_of

_PLACES: Final[Mapping[str, str]] = {
    "evidence.readings": "reading",
    "evidence.marks": "stamp",
    "evidence.construction": "what the eye sees",
    "evidence.notes": "notes on the evidence",
    "records": "old paper",
    "wheels": "sprocket",
    "attachments": "attachment",
    "spacing.observations": "spacing",
    "strands.observations": "strand length",
    "features": "feature",
    "photographs": "photograph",
    "assumptions": "assumption",
    "chosen": "chain that was chosen",
    "pattern": "pattern of attachments",
    "plain": "no attachment seen",
    "duty.sprockets": "sprocket of the duty",
    "duty.length": "chain length asked",
    "duty.pull": "conveyor",
    "duty.drive": "drive",
    "duty.wear": "wear",
    "duty.verdict": "replacement to judge",
    "filing.state": "state",
}
_FIRST: Final = ("dimension", "text", "value", "counted", "taped", "feature", "gap", "assumed", "designation", "file")
_UNSAID: Final = ("by", "on", "id", "sha256", "x", "y")
_LONGEST: Final = 160


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One change: who, when, where, what stood before and after, and what became of it."""

    id: str
    seq: int
    by: str
    day: str
    time: str
    what: str
    before: str
    after: str
    outcome: str
    undoes: bool
    can_be_undone: bool


@dataclass(frozen=True, slots=True)
class Clash:
    """A conflict: one place, both values in words, and each as JSON to be written again."""

    id: str
    path: str
    what: str
    yours: str
    yours_by: str
    yours_at: str
    yours_value: str
    theirs: str
    theirs_by: str
    theirs_at: str
    can_be_written: bool


def story(changes: Sequence[Change], content: Mapping[str, Any] | None = None) -> tuple[StoryLine, ...]:
    """Give changes, the newest first, as they are told."""
    undone = {each.undoes for each in changes if each.undoes and each.outcome == "applied"}
    return tuple(_line(each, undone, content) for each in changes)


def meanwhile(
    changes: Sequence[Change], base: int | None, client: str, content: Mapping[str, Any] | None = None
) -> tuple[str, ...]:
    """Say what others changed since a version, the oldest first; nothing of what the same tab did."""
    if base is None:
        return ()
    others = [each for each in changes if each.seq > base and (not client or each.client != client)]
    return tuple(_told(each, content) for each in reversed(others))


def clashes(conflicts: Sequence[Conflict], content: Mapping[str, Any]) -> tuple[Clash, ...]:
    """Give the conflicts of a case with both sides in words."""
    return tuple(_clash(each, content) for each in conflicts)


def in_words(value: Any) -> str:
    """Give a value of a case on one line, as a person reads it.

    >>> in_words({"dimension": "pitch", "value": "4.06 in", "instrument": "tape", "id": "x", "by": "millwright"})
    'pitch 4.06 in, tape'
    >>> in_words(None), in_words(["roller", "short pitch"]), in_words(True)
    ('', 'roller, short pitch', 'yes')
    """
    text = " ".join(_words(value).split())
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 4]} ..."


def place_in_words(path: str, content: Mapping[str, Any] | None = None) -> str:
    """Give a place of a case in words; with its content a reading is named by its dimension.

    >>> place_in_words("evidence.readings[0192].value"), place_in_words("strands.section_most")
    ('reading, value', 'strands, section most')
    """
    root, bracket, rest = path.partition("[")
    inner = rest.partition("]")[2].lstrip(".").replace(".", ", ").replace("_", " ")
    name = _PLACES.get(root) or _of_duty(root) or root.replace(".", ", ").replace("_", " ")
    if root == "evidence.readings" and content is not None:
        name = _reading_named(rest.partition("]")[0], content) or name
    return f"{name}, {inner}" if bracket and inner else name


def _of_duty(root: str) -> str:
    """Give a key of a form of the duty in words: `duty.pull.speed` is "conveyor, speed"."""
    part, _, key = root.removeprefix("duty.").partition(".")
    head = _PLACES.get(f"duty.{part}") if root.startswith("duty.") and key else None
    return f"{head}, {key.replace('.', ', ').replace('_', ' ')}" if head else ""


def _reading_named(entry: str, content: Mapping[str, Any]) -> str:
    found = next((each for each in entries_of(content, "evidence", "readings") if each.get("id") == entry), {})
    known = BY_NAME.get(str(found.get("dimension", "")))
    return f"reading of the {known.label}" if known is not None else ""


def _words(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(filter(None, (in_words(each) for each in value)))
    if isinstance(value, dict):
        return _entry(value)
    return str(value)


def _entry(entry: dict[str, Any]) -> str:
    names = [*(name for name in _FIRST if name in entry), *(n for n in entry if n not in (*_FIRST, *_UNSAID))]
    said = [_field(name, entry[name]) for name in names if entry[name] not in (None, "", [], {})]
    if {"dimension", "value"} <= entry.keys():
        said = [f"{said[0]} {said[1]}", *said[2:]]
    return ", ".join(said)


def _field(name: str, value: Any) -> str:
    words = in_words(value)
    if name == "dimension":
        return BY_NAME[words].label if words in BY_NAME else words.replace("_", " ")
    if name in {"holes", "teeth"}:
        return f"{words} {name}"
    if name in {"link", "sides"}:
        return f"{words} {name}"
    if name == "readings":
        return words
    plain = {"text", "value", "instrument", "technique", "assumed", "designation", "file", "code", "form", "note"}
    return words if name in plain else f"{name.replace('_', ' ')} {words}"


def _line(each: Change, undone: set[str], content: Mapping[str, Any] | None) -> StoryLine:
    day, _, time = each.at.partition("T")
    before, after = _sides(each)
    free = each.kind not in {"create", "keep"} and each.outcome == "applied" and each.id not in undone
    return StoryLine(
        id=each.id,
        seq=each.seq,
        by=each.by,
        day=day,
        time=time[:5],
        what=_what(each, content),
        before=before,
        after=after,
        outcome={"conflict": "waits to be settled", "waiting": "waits for its entry"}.get(each.outcome, ""),
        undoes=bool(each.undoes),
        can_be_undone=free and not each.undoes,
    )


def _sides(each: Change) -> tuple[str, str]:
    if each.kind == "create":
        return "", "case begun"
    if each.kind == "keep":
        return "", "left as it stands"
    value = each.value["entry"] if each.kind == "insert" and isinstance(each.value, dict) else each.value
    return in_words(each.before), "" if each.kind == "remove" else in_words(value)


def _what(each: Change, content: Mapping[str, Any] | None) -> str:
    if each.kind == "keep":
        return "conflict settled"
    verb = {"create": "case", "add": "added", "insert": "put back", "remove": "removed", "set": ""}[each.kind]
    name = place_in_words(each.path, content)
    return f"{verb} {name}".strip() if each.kind != "set" else name


def _told(each: Change, content: Mapping[str, Any] | None) -> str:
    before, after = _sides(each)
    change = f"{before} is now {after}" if before and after else after or f"{before} was removed"
    return f"{each.by}: {_what(each, content)}: {change}"


def _clash(each: Conflict, content: Mapping[str, Any]) -> Clash:
    inner = each.yours["entry"] if each.kind == "insert" and isinstance(each.yours, dict) else each.yours
    yours = in_words(inner) if each.kind != "remove" else "removed"
    return Clash(
        id=each.id,
        path=each.path,
        what=place_in_words(each.path, content),
        yours=yours,
        yours_by=each.by,
        yours_at=_moment(each.at),
        yours_value=json.dumps(each.yours),
        theirs=in_words(each.theirs) or "nothing stands there any more",
        theirs_by=each.theirs_by,
        theirs_at=_moment(each.theirs_at),
        can_be_written=each.kind == "set" and each.theirs is not None,
    )


def _moment(at: str) -> str:
    return at[:16].replace("T", " ")


def days_of(changes: Sequence[Change]) -> Iterator[str]:
    """Give the days on which something changed, the newest first, each once."""
    yield from dict.fromkeys(each.at[:10] for each in changes)
