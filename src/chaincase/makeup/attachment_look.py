"""How probable the look of an attachment and its code are: form, sides, holes, and what the customer calls it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from chaincase.chains.attachments import STANDING, Form, Side
from chaincase.chains.designation import key
from chaincase.makeup import attachment_constants as c
from chaincase.makeup.attachment_form import AttachmentObservation
from chaincase.makeup.attachment_listings import Listing

_OTHER_FORMS: Final = len(Form) - 2.0
_OTHER_HOLES: Final = 6.0


@dataclass(frozen=True, slots=True)
class Looks:
    """Log probabilities of all that was seen and said but not measured.

    Attributes
    ----------
    listed, related : tuple of float, one per listing
        On the listing itself, and on a special made from it.
    own : float
        On a special of its own make.
    """

    listed: tuple[float, ...]
    related: tuple[float, ...]
    own: float


def looks(seen: AttachmentObservation, listings: Sequence[Listing]) -> Looks:
    """Judge form, sides, holes and code."""
    codes = {key(name) for listing in listings for name in (listing.code, *listing.names)}
    own = math.log(_special_look(seen)) + math.log(_code_of_special(seen.code, codes))
    listed, related = [], []
    for listing in listings:
        parts = _parts(seen, listing)
        special = _special_parts(seen)
        listed.append(math.fsum(map(math.log, parts)) + math.log(_code(seen.code, listing, 1.0 - c.CODE_SLIP)))
        changed = [(1.0 - c.LOOK_CHANGED) * p + c.LOOK_CHANGED * q for p, q in zip(parts, special, strict=True)]
        called = math.log(_code(seen.code, listing, c.CODE_OF_RELATIVE))
        related.append(math.fsum(map(math.log, changed)) + called)
    return Looks(tuple(listed), tuple(related), own)


def _parts(seen: AttachmentObservation, listing: Listing) -> tuple[float, float, float]:
    return _form(seen.form_seen, listing), _side(seen.sides_seen, listing.side), _holes(seen.holes, listing)


def _special_look(seen: AttachmentObservation) -> float:
    return math.prod(_special_parts(seen))


def _special_parts(seen: AttachmentObservation) -> tuple[float, float, float]:
    return _special_form(seen.form_seen), _special_side(seen.sides_seen), _special_holes(seen.holes)


def _form(seen: Form, listing: Listing) -> float:
    if seen is Form.UNKNOWN:
        return 1.0
    if listing.form is Form.UNKNOWN:
        return _special_form(seen)
    if listing.form in STANDING and seen in STANDING:
        return (1.0 - c.FORM_WRONG) / len(STANDING)
    if listing.form is Form.OTHER and seen not in STANDING | {Form.BENT}:  # angled plates are wings or pushers to many
        return (1.0 - c.FORM_WRONG) / (_OTHER_FORMS - 2.0)
    return 1.0 - c.FORM_WRONG if seen is listing.form else c.FORM_WRONG / _OTHER_FORMS


def _special_form(seen: Form) -> float:
    return 1.0 if seen is Form.UNKNOWN else c.SPECIAL_FORM.get(str(seen), c.SPECIAL_FORM_OTHER)


def _side(seen: Side, listed: Side) -> float:
    if seen is Side.UNKNOWN:
        return 1.0
    if listed is Side.UNKNOWN:
        return _special_side(seen)
    alike = seen.single == listed.single
    return 1.0 - c.SIDES_WRONG if alike else c.SIDES_WRONG


def _special_side(seen: Side) -> float:
    if seen is Side.UNKNOWN:
        return 1.0
    return 1.0 - c.SPECIAL_BOTH if seen.single else c.SPECIAL_BOTH


def _holes(seen: int | None, listing: Listing) -> float:
    if seen is None:
        return 1.0
    if listing.holes is None:
        return _special_holes(seen)
    both = c.HOLES_OF_BOTH_SIDES if listing.holes and listing.side is not Side.ONE else 0.0
    if seen == listing.holes:
        return 1.0 - c.HOLES_WRONG - both
    return both if both and seen == 2 * listing.holes else c.HOLES_WRONG / _OTHER_HOLES


def _special_holes(seen: int | None) -> float:
    return 1.0 if seen is None else c.SPECIAL_HOLES.get(seen, c.SPECIAL_HOLES_OTHER)


def _code(said: str, listing: Listing, right: float) -> float:
    """Give the probability of the customer's code; one without a number, such as K, speaks for its whole family."""
    if not key(said):
        return 1.0
    names = [key(name) for name in (listing.code, *listing.names)]
    if key(said) in names:
        return right
    if any(name.rstrip("0123456789") == key(said) for name in names):
        return right / 2.0
    return (1.0 - right) / c.CODES_KNOWN


def _code_of_special(said: str, codes: set[str]) -> float:
    if not key(said):
        return 1.0
    return (c.CODE_LISTED if key(said) in codes else 1.0 - c.CODE_LISTED) / c.CODES_KNOWN
