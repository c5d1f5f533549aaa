"""The sample tag: a label for the piece of chain itself when it is sent in."""

from dataclasses import dataclass
from typing import Any, Final, Literal

from chaincase.documents.paper import Heading, heading_data
from chaincase.documents.qr import code_of
from chaincase.documents.typesetting import set_pdf
from chaincase.errors import BadInput

Label = Literal["4x6", "a6"]

SIZES: Final = {"4x6": (101.6, 152.4), "a6": (105.0, 148.0)}
"""Width and height [mm]: the usual label of 4 by 6 in, and ISO 216 A6."""

# Common practice, no source.
PACK: Final = (
    "a length with at least one inner and one outer link, or two whole links where all are alike",
    "one link of every sort that carries an attachment, with what is bolted to it if that fits the box",
    "the connecting link with its fastener, if the chain has one",
    "the piece with the best stamp, marks left as they are: no grinding, no paint",
)
MARK: Final = "Draw an arrow for the direction of travel on the piece, and write left or right strand beside it."
CAUTION_TAG: Final = (
    "Lock out and tag the machine, relieve stored energy and support the chain before a piece is taken out. Cut and"
    " press with eye protection. Wipe off product and oil, bag the piece; tell the carrier of anything hazardous. A box"
    " over 50 lb (23 kg) needs two people."
)


@dataclass(frozen=True, slots=True)
class Tag:
    """What a tag shows: whose case, what to pack, where the case opens, and the address it goes to, if known."""

    heading: Heading
    pack: tuple[str, ...] = PACK
    address: str = ""
    send_to: str = ""


def tag_pdf(tag: Tag, *, label: Label = "4x6") -> bytes:
    """Give the tag as PDF of one page.

    Raises
    ------
    BadInput
        If there is no such label, or the address of the case is none.
    """
    if label not in SIZES:
        raise BadInput(f"{label!r} is no label", where="label", right=f"use {' or '.join(SIZES)}")
    data: dict[str, Any] = heading_data(tag.heading, "us-letter", "Sample tag") | {
        "width": SIZES[label][0],
        "height": SIZES[label][1],
        "pack": list(tag.pack),
        "mark": MARK,
        "caution": CAUTION_TAG,
        "send_to": tag.send_to,
        "address": tag.address,
        "code": code_of(tag.address),
    }
    return set_pdf("tag.typ", data)
