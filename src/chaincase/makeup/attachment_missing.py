"""What is still needed to make an attachment to measure, and what to look at next to tell which one it is."""

from collections.abc import Sequence
from typing import Final

from chaincase.chains.attachments import BY_NAME, Form, OnLink, Side, needed
from chaincase.makeup.attachment_form import AttachmentObservation, KnownDimension, MissingDimension
from chaincase.makeup.attachment_words import Ranked

_CLEAR: Final = 0.90
_SAME_LOOK: Final = 0.80
"""From this probability on a listing stands for the form, sides and holes that nobody wrote down."""

_QUESTIONS: Final = {
    "link": "On which links does it sit: inner, outer, every link, or offset links?",
    "sides": "Is it on one side of the chain (left or right, seen along the travel) or on both?",
    "form": "What does it look like: bent to a platform, straight, an extended pin, a wing, a pusher, something else?",
    "holes": "How many holes has one attachment on one side? Write 0 for none.",
    "fastening": "How is it fastened: one piece with the sidebar, welded, riveted, bolted?",
    "pin_end": "What is at the end of the pin: plain, drilled for a cotter, threaded, with flats? Which size?",
    "face": "Which way does the face look, and is it flat, curved or hinged?",
    "roller": "Is the roller plain, flanged or crowned; of which material; on a bush or a bearing?",
    "sketch": "Send a sketch or a drawing with all sizes, seen from the side and along the travel.",
}
_FACTS: Final[dict[Form, tuple[str, ...]]] = {
    Form.EXTENDED_PIN: ("pin_end",),
    Form.WING: ("fastening", "face"),
    Form.PUSHER: ("fastening", "face"),
    Form.SCRAPER: ("fastening", "face"),
    Form.SLAT: ("fastening",),
    Form.BUCKET: ("fastening", "sketch"),
    Form.OUTRIGGER: ("roller",),
    Form.OTHER: ("fastening", "sketch"),
    Form.UPRIGHT: ("fastening",),
}


def missing(
    seen: AttachmentObservation, known: Sequence[KnownDimension], ranked: Sequence[Ranked]
) -> tuple[MissingDimension, ...]:
    """Give what must still be known before the attachment can be made by its sizes alone."""
    form, sides, holes = _look(seen, ranked)
    facts = [
        name
        for name, absent in (
            ("form", form is Form.UNKNOWN),
            ("link", seen.link_seen is OnLink.UNKNOWN),
            ("sides", sides is Side.UNKNOWN),
            ("holes", holes is None and form in {Form.BENT, Form.STRAIGHT, Form.UPRIGHT, Form.UNKNOWN}),
        )
        if absent
    ]
    facts += [name for name in _FACTS.get(form, ()) if name not in seen.details]
    have = {entry.dimension for entry in known}
    sizes = [name for name in needed(form, sides, holes) if name not in have]
    return (
        *(MissingDimension(dimension=name, question=_QUESTIONS[name]) for name in facts),
        *(_size(name) for name in sizes if not _follows(name, have, sides)),
    )


def _look(seen: AttachmentObservation, ranked: Sequence[Ranked]) -> tuple[Form, Side, int | None]:
    """Give form, sides and holes as seen, or as the listing has them that it surely is."""
    form, sides, holes = seen.form_seen, seen.sides_seen, seen.holes
    if ranked and ranked[0].probability >= _SAME_LOOK:
        listing = ranked[0].listing
        form = listing.form if form is Form.UNKNOWN else form
        sides = listing.side if sides is Side.UNKNOWN else sides
        holes = listing.holes if holes is None else holes
    return form, sides, holes


def _follows(name: str, have: set[str], sides: Side) -> bool:
    """Tell whether a size follows from another: half the distance across is the distance from the chain's middle."""
    pair = {"transverse_hole_spacing": "hole_offset", "hole_offset": "transverse_hole_spacing"}
    return pair.get(name) in have and sides is not Side.ONE


def _size(name: str) -> MissingDimension:
    dimension = BY_NAME[name]
    question = f"How large is the {dimension.label} ({dimension.letter})? Measure {dimension.how}."
    return MissingDimension(dimension=name, letter=dimension.letter, question=question)


def next_look(
    seen: AttachmentObservation, known: Sequence[KnownDimension], ranked: Sequence[Ranked], special: float
) -> str:
    """Give what to look at or measure next; empty where the answer is clear."""
    if not ranked or max(special, ranked[0].probability) >= _CLEAR:
        return ""
    first = ranked[0]
    rival = ranked[1] if len(ranked) > 1 and ranked[1].probability > special else None
    if rival is not None:
        return _tells_apart(seen, known, first, rival)
    if not first.listing.sizes:
        return "measure it: no table has its sizes"
    if special > first.probability and known:
        return "take the readings that do not fit anew, on another link"
    have = {entry.dimension for entry in known}
    order = ("platform_height", "hole_height", "transverse_hole_spacing", "longitudinal_hole_spacing", "hole_diameter")
    left = [name for name in order if name in first.listing.sizes and name not in have]
    if left:
        return f"measure the {BY_NAME[left[0]].label} ({BY_NAME[left[0]].letter}), {BY_NAME[left[0]].how}"
    return "take the readings that do not fit anew, on another link"


def _tells_apart(seen: AttachmentObservation, known: Sequence[KnownDimension], first: Ranked, rival: Ranked) -> str:
    one, other = first.listing, rival.listing
    if one.holes != other.holes and None not in {one.holes, other.holes}:
        again = "" if seen.holes is None else "again "
        return f"count the holes {again}on one side alone: {one.holes} says {one.code}, {other.holes} says {other.code}"
    if one.side is not other.side and Side.UNKNOWN not in {one.side, other.side}:
        again = "" if seen.sides_seen is Side.UNKNOWN else "again "
        sides = f"{one.code} is on {one.side}, {other.code} on {other.side}"
        return f"look {again}whether it is on one side or on both: {sides}"
    if seen.form_seen is Form.UNKNOWN and one.form is not other.form:
        return f"look at its form: {one.code} is {one.form}, {other.code} {other.form}"
    have = {entry.dimension for entry in known}
    best = max(
        (name for name in one.sizes if name in other.sizes and name not in have),
        key=lambda name: _apart(first, rival, name),
        default="",
    )
    if best and _apart(first, rival, best) > 1.0:
        return f"measure the {BY_NAME[best].label} ({BY_NAME[best].letter}), {BY_NAME[best].how}"
    return f"nothing listed tells {one.label} from {other.label}: treat them as one, or ask for the drawing"


def _apart(first: Ranked, rival: Ranked, name: str) -> float:
    one, other = first.listing.sizes[name], rival.listing.sizes[name]
    return abs(one.mean - other.mean) / (one.spread + other.spread)
