"""Entries typed in one line, as somebody in a hurry writes them: `pitch 163.5 mm tape inner`."""

import re
from collections.abc import Iterator, Mapping
from enum import StrEnum
from typing import Any, Final

from chaincase.chains.attachments import ALIASES as ATTACHMENT_ALIASES
from chaincase.chains.attachments import BY_NAME as ATTACHMENT_DIMENSIONS
from chaincase.chains.attachments import Form, OnLink, Side, attachment_dimension_named
from chaincase.chains.dimensions import ALIASES, BY_NAME, UNNAMED
from chaincase.chains.features import feature_named
from chaincase.duty.sprocket_reading import PARTS
from chaincase.errors import BadInput
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.instruments import NAMES
from chaincase.measuring.reading import dimension_named
from chaincase.measuring.techniques import Technique
from chaincase.units import parse_length

_PARTS: Final = re.compile(r"\s*;\s*|,\s+")
"""A comma without a space after it may be a decimal one."""
_OVER: Final = re.compile(r"\s*\bover\s+(\d+)(?:\s+(?:pitches|pitch|gaps|gap))?\b", re.IGNORECASE)
_EXAMPLE: Final = "write it like: pitch 163.5 mm tape inner over 4"
_LONGEST_PHRASE: Final = 3
_DETAIL: Final = re.compile(r"(fastening|face|pin[ _]end|roller|sketch)\s*=\s*(.+)", re.IGNORECASE)
_ATTACHMENT: Final = (
    f"give, with commas between: a form ({', '.join(str(each) for each in Form if each != 'unknown')}); left, right,"
    " one or both sides; inner, outer, every or offset link; 2 holes; code K2; fastening=welded;"
    " sizes like platform height 40 mm caliper"
)
_WHEEL: Final = {
    **PARTS,
    "outside": PARTS["outside_diameter"],
    "tip": PARTS["tip_diameter"],
    "caliper": PARTS["caliper_diameter"],
    "root": PARTS["root_diameter"],
    "hub": PARTS["hub_diameter"],
}


def _words(choices: type[StrEnum]) -> dict[str, str]:
    return {str(each): str(each) for each in choices if each != "unknown"}


_MEANING: Final[Mapping[str, tuple[str, str]]] = {
    **{word: ("reference", value) for word, value in _words(Reference).items()},
    **{word: ("link", value) for word, value in _words(Link).items()},
    **{word: ("technique", value) for word, value in _words(Technique).items()},
    **{word: ("instrument", str(found)) for word, found in NAMES.items() if word and found != "unknown"},
}
"""What a word after a value says of the reading."""


def reading(text: str) -> dict[str, Any]:
    """Give a reading on the chain from one line: dimension, value, then instrument, technique, link, over how many.

    Raises
    ------
    BadInput
        If it has no dimension or no value, or a word after the value says nothing.

    >>> reading("pitch 24 3/8 in tape same edge over 4")["over"]
    4
    >>> reading("roller diameter=58.7 mm digital caliper")["instrument"]
    'digital caliper'
    """
    name, rest = _dimension(text, {*BY_NAME, *UNNAMED, *ALIASES})
    return {"dimension": dimension_named(name), **_measured(rest, text)}


def _dimension(text: str, known: set[str]) -> tuple[str, str]:
    """Give the dimension that a line begins with, as written where it is none, and the rest."""
    if "=" in text:
        name, _, rest = text.partition("=")
        return name.strip().lower().replace(" ", "_"), rest
    words = text.split()
    for size in range(min(len(words), 5), 0, -1):
        name = "_".join(words[:size]).lower().replace("-", "_").rstrip(":")
        if name in known:
            return name, " ".join(words[size:])
    if not words:
        raise BadInput("an empty line", right=_EXAMPLE)
    if words[0][:1].isdigit():
        raise BadInput(f"{text[:60]!r} begins with a value", right=f"name what was measured first; {_EXAMPLE}")
    return words[0], " ".join(words[1:])


def _measured(rest: str, text: str) -> dict[str, Any]:
    over = _OVER.search(rest)
    body = f"{rest[: over.start()]} {rest[over.end() :]}" if over else rest
    value, after = _value(body, text)
    said: dict[str, Any] = {"value": value}
    for field, word in _said(after, text):
        if field in said:
            raise BadInput(f"{text[:60]!r} says two things of the {field}", right="say it once")
        said[field] = word
    return said | ({"over": int(over[1])} if over else {})


def _value(body: str, text: str) -> tuple[str, list[str]]:
    """Give the longest beginning that is a length, and the words after it."""
    words = body.replace(", ", " ").split()
    for size in range(len(words), 0, -1):
        value = " ".join(words[:size])
        try:
            parse_length(value)
        except BadInput:
            continue
        return value, words[size:]
    raise BadInput(f"{text[:60]!r} has no value that can be read", right=_EXAMPLE)


def _said(words: list[str], text: str) -> Iterator[tuple[str, str]]:
    at = 0
    while at < len(words):
        for size in range(_LONGEST_PHRASE, 0, -1):
            phrase = " ".join(words[at : at + size]).lower().replace("-", " ").strip(",")
            if phrase in _MEANING:
                yield _MEANING[phrase]
                at += size
                break
        else:
            right = f"after the value come instrument, technique, link or over; {_EXAMPLE}"
            raise BadInput(f"{words[at][:40]!r} in {text[:60]!r} says nothing", right=right)


def spacing(text: str) -> dict[str, Any]:
    """Give a spacing observation: `12`, `12 over 3`, `48 1/2 in`, `4 4 5 4 4 5`, `on outer`, `piece of 7 at 2 6`.

    Raises
    ------
    BadInput
        If it is none of these.

    >>> spacing("48 1/2 in over 2"), spacing("on outer links"), spacing("piece of 7 at 2, 6")
    ({'taped': '48 1/2 in', 'gaps': 2}, {'on_links': 'outer'}, {'sample_links': 7, 'attachments_at': [2, 6]})
    """
    line = " ".join(text.lower().split())
    over = _OVER.search(line)
    body = (line[: over.start()] if over else line).removeprefix("counted ").removeprefix("taped ").strip()
    gaps = {"gaps": int(over[1])} if over else {}
    if piece := re.fullmatch(r"piece of (\d+)(?: links)?(?: at ([\d ,]+)| without)?", line):
        return {"sample_links": int(piece[1]), "attachments_at": [int(n) for n in re.findall(r"\d+", piece[2] or "")]}
    if on := re.fullmatch(r"on (inner|outer|both)(?: links?)?", line):
        return {"on_links": on[1]}
    if re.fullmatch(r"\d+( pitches| pitch)?", body):
        return {"counted": int(body.split()[0]), **gaps}
    if re.fullmatch(r"\d+([ ,]+\d+)+", body):
        return {"counted_each": [int(n) for n in re.findall(r"\d+", body)]}
    try:
        parse_length(body)
    except BadInput:
        right = "write 12, 12 over 3, 48 1/2 in, 4 4 5 4 4 5, on outer, or piece of 7 at 2 6"
        raise BadInput(f"{text[:60]!r} is no observation of a spacing", right=right) from None
    return {"taped": body, **gaps}


def strand(text: str) -> dict[str, Any]:
    """Give an observation of a strand's length: `240` counted pitches, or `20 m` taped, with an instrument.

    Raises
    ------
    BadInput
        If it is neither.

    >>> strand("240 pitches"), strand("20.4 m tape")
    ({'counted': 240}, {'taped': '20.4 m', 'instrument': 'tape'})
    """
    body = text.strip().lower().removeprefix("counted ").removeprefix("taped ")
    if re.fullmatch(r"\d+( pitch(es)?| links?)?", body):
        return {"counted": int(body.split()[0])}
    try:
        value, after = _value(body, text)
        return {"taped": value, **dict(_said(after, text))}
    except BadInput as fault:
        raise BadInput(fault.what, right="write 240 for pitches counted, or 20.4 m tape for a length taped") from None


def feature(text: str, *, part: str = "", state: str = "", how: str = "") -> dict[str, Any]:
    """Give what is known of a feature: `material=304 stainless`, `coating=none`, `seals=unknown`.

    Parameters
    ----------
    state : str
        reported, observed, ruled out or unknown; without it, reported, or what the value says.

    Raises
    ------
    BadInput
        If there is no `=`, no value or no such feature.

    >>> feature("coating=none")["state"], feature("material = 304", part="pins")["value"]
    ('ruled out', '304')
    """
    key, equals, value = (piece.strip() for piece in text.partition("="))
    if not equals or not value:
        raise BadInput(f"{text[:60]!r} is no feature with its value", right="write it like: material=304 stainless")
    meant = {"none": "ruled out", "no": "ruled out", "unknown": "unknown", "?": "unknown"}.get(value.lower(), "")
    told = {"feature": feature_named(key).key, "state": state or meant or "reported", "value": "" if meant else value}
    return told | {name: word for name, word in (("part", part), ("how", how)) if word}


def attachment(text: str) -> dict[str, Any]:
    """Give an attachment: `bent, both sides, outer link, 2 holes, code K2, platform height 15.9 mm caliper`.

    Raises
    ------
    BadInput
        If a part of it says nothing.

    >>> seen = attachment("bent, both sides, 2 holes, platform height 15.9 mm caliper")
    >>> seen["holes"], seen["readings"][0]["dimension"]
    (2, 'platform_height')
    """
    found: dict[str, Any] = {}
    readings: list[dict[str, Any]] = []
    details: dict[str, str] = {}
    for piece in filter(None, _PARTS.split(text)):
        plain = re.sub(r"\s+(sides?|links?)$", "", piece.strip().lower())
        if plain in set(Form):
            found["form"] = plain
        elif plain in set(Side) and plain != "unknown":
            found["sides"] = plain
        elif plain in set(OnLink):
            found["link"] = plain
        elif holes := re.fullmatch(r"(\d+) holes?|no holes?", plain):
            found["holes"] = int(holes[1] or 0)
        elif code := re.fullmatch(r"code\s+(\S+)", piece.strip(), re.IGNORECASE):
            found["code"] = code[1]
        elif detail := _DETAIL.fullmatch(piece.strip()):
            details[detail[1].lower().replace(" ", "_")] = detail[2]
        else:
            readings.append(_attachment_size(piece))
    if not found and not readings and not details:
        raise BadInput("nothing is said of the attachment", right=_ATTACHMENT)
    return found | ({"readings": readings} if readings else {}) | ({"details": details} if details else {})


def numbered(text: str) -> tuple[int | None, str]:
    """Give the number of the entry that a line adds to, counted from 1, and the rest; None where it is a new one.

    >>> numbered("2: width 3 in"), numbered("bent, both sides")
    ((2, 'width 3 in'), (None, 'bent, both sides'))
    """
    found = re.match(r"\s*(\d{1,3})\s*:\s*", text)
    return (int(found[1]), text[found.end() :]) if found else (None, text)


def _attachment_size(piece: str) -> dict[str, Any]:
    name, rest = _dimension(piece, {*ATTACHMENT_DIMENSIONS, *ATTACHMENT_ALIASES})
    try:
        dimension = attachment_dimension_named(name).name
    except BadInput:
        raise BadInput(f"{piece[:60]!r} says nothing of an attachment", right=_ATTACHMENT) from None
    if dimension == "angle_deg":
        return {"dimension": dimension, "value": rest.strip()}
    return {"dimension": dimension, **_measured(rest, piece)}


def wheel(text: str) -> dict[str, Any]:
    """Give a sprocket: `17 teeth, outside diameter 151.2 mm caliper, stamped 80B17`.

    Raises
    ------
    BadInput
        If the teeth are missing or a part of it says nothing.

    >>> wheel("17 teeth, outside diameter 151.2 mm caliper, stamped 80B17")["text"]
    '80B17'
    """
    found: dict[str, Any] = {}
    readings: list[dict[str, Any]] = []
    for piece in filter(None, _PARTS.split(text)):
        if teeth := re.fullmatch(r"(\d{1,9})\s*(?:teeth|t)?|(?:teeth|t|z)\s*=?\s*(\d{1,9})", piece.strip().lower()):
            found["teeth"] = int(teeth[1] or teeth[2])
        elif stamp := re.fullmatch(r"(?:stamped|mark)\s+(.+)", piece.strip(), re.IGNORECASE):
            found["text"] = stamp[1]
        else:
            readings.append(_wheel_size(piece))
    if "teeth" not in found:
        right = "write it like: 17 teeth, outside diameter 151.2 mm caliper, stamped 80B17"
        raise BadInput(f"{text[:60]!r} has no number of teeth", right=right)
    return found | ({"readings": readings} if readings else {})


def _wheel_size(piece: str) -> dict[str, Any]:
    """Give a reading on a wheel; over pins with `over pins 162.1 mm pin 15.9 mm`."""
    name, rest = _dimension(piece, set(_WHEEL))
    if name not in _WHEEL:
        raise BadInput(f"{name[:60]!r} is not read on a wheel", right=f"use one of: {', '.join(PARTS)}")
    size, word, pin = rest.partition(" pin ")
    return {"dimension": _WHEEL[name].value, **_measured(size, piece), **({"pin": pin.strip()} if word else {})}


def assumption(text: str) -> dict[str, Any]:
    """Give an assumption: `features.material=carbon steel`.

    Raises
    ------
    BadInput
        If there is no `=` or nothing is assumed.

    >>> assumption("features.material=carbon steel")["gap"]
    'features.material'
    """
    key, equals, value = (piece.strip() for piece in text.partition("="))
    if not equals or not key or not value:
        raise BadInput(f"{text[:60]!r} is no gap with what is assumed", right="write it like: features.coating=none")
    return {"gap": key, "assumed": value}


def setting(text: str) -> tuple[str, Any]:
    """Give place and value: `strands.number=2`, `strands.matched=yes`, `title=Elevator`.

    Raises
    ------
    BadInput
        If there is no `=`.

    >>> setting("strands.matched=yes"), setting("quantity.strands=2")
    (('strands.matched', True), ('quantity.strands', 2))
    """
    place, equals, value = (piece.strip() for piece in text.partition("="))
    if not equals or not place:
        raise BadInput(f"{text[:60]!r} sets nothing", right="write it like: strands.number=2")
    if re.fullmatch(r"\d{1,9}", value):
        return place, int(value)
    return place, {"yes": True, "no": False, "true": True, "false": False, "": None}.get(value.lower(), value)
