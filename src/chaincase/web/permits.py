"""Which places of a case an event may change, by who sends it."""

from collections.abc import Mapping
from typing import Any, Final

from chaincase.errors import BadInput
from chaincase.register.paths import ABSENT, get, steps_of
from chaincase.web.access import Right, Visitor

SETTLING: Final = frozenset({"chosen", "assumptions", "pattern", "filing", "revision"})
"""What settles a case; needs the right to work on it, not only to measure."""
_SEEN: Final = ("evidence", "wheels", "photographs")
ANSWERS: Final[Mapping[str, tuple[str, ...]]] = {
    "identity": _SEEN,
    "attachments": ("attachments", "photographs"),
    "spacing": ("spacing", "photographs"),
    "length": ("strands",),
    "strands": ("strands",),
    "tolerance": ("strands",),
    "quantity": ("quantity",),
    "features": ("features", "photographs"),
    "sprockets": ("wheels", "duty", "photographs"),
    "machine": ("machine", "position", "plant", "marked"),
    "photographs": ("photographs",),
}
"""Places that a customer may fill in, by the gap's key up to its first dot; anything else is a dimension."""


def refusal(who: Visitor, event: Mapping[str, Any]) -> str:
    """Say why somebody signed in may not make a change; empty if they may.

    >>> from chaincase.register.accounts import Role
    >>> hand = Visitor(name="millwright, day shift", role=Role.FIELD)
    >>> refusal(hand, {"kind": "set", "path": "quantity.strands", "value": 2})
    ''
    >>> refusal(hand, {"kind": "set", "path": "chosen", "value": {}})
    'chosen is settled by an engineer'
    """
    if who.may(Right.WORK):
        return ""
    value = event.get("value")
    touched = set(value) if event.get("kind") == "create" and isinstance(value, dict) else {_root(event)}
    # A case that is begun is filed as open by itself.
    if event.get("kind") == "create" and isinstance(value, dict) and not value.get("filing"):
        touched.discard("filing")
    settled = sorted(touched & SETTLING)
    return f"{settled[0]} is settled by an engineer" if settled else ""


def link_refusal(by: str, asked: tuple[str, ...], event: Mapping[str, Any], content: Mapping[str, Any]) -> str:
    """Say why the holder of a customer's link may not make a change; empty if they may.

    They may add entries and fill in fields where they were asked, and mend what they added; nothing else.

    Parameters
    ----------
    by : str
        What is written beside entries of this link.
    asked : tuple of str
        Keys of gaps, or dimensions.
    event : mapping
        As sent.
    content : mapping
        Of the case, as it stands.
    """
    places = places_asked(asked)
    kind, path = event.get("kind"), event.get("path")
    if kind not in {"add", "set", "remove"} or not isinstance(path, str) or _root(event) not in places:
        return "this was not asked"
    if kind == "add":
        return ""
    try:
        steps = steps_of(path)
    except BadInput as fault:
        return str(fault)
    entry = next((index for index, step in enumerate(steps) if step.startswith("[")), None)
    if entry is not None:
        owner = get(content, steps[: entry + 1])
        return "" if owner is ABSENT or _by(owner) == by else "somebody else wrote this"
    if kind == "remove" or get(content, steps) not in (ABSENT, None, "", []):
        return "this is answered already"
    return ""


def places_asked(asked: tuple[str, ...]) -> frozenset[str]:
    """Give the places of a case that the holder of a link may fill in.

    >>> sorted(places_asked(("quantity", "pitch")))
    ['evidence', 'photographs', 'quantity']
    """
    return frozenset(
        place for each in asked for place in ANSWERS.get(each.partition(".")[0], ("evidence", "photographs"))
    )


def signed_entry(by: str, event: Mapping[str, Any]) -> dict[str, Any]:
    """Give an event of a link with its sender written into the entry that it adds."""
    value = event.get("value")
    if event.get("kind") == "add" and isinstance(value, dict):
        return {**event, "value": {**value, "by": by}}
    return dict(event)


def _by(entry: Any) -> str:
    return str(entry.get("by", "")) if isinstance(entry, dict) else ""


def _root(event: Mapping[str, Any]) -> str:
    path = event.get("path")
    return path.partition(".")[0].partition("[")[0] if isinstance(path, str) else ""
