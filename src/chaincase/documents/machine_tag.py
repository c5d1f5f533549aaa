"""The tag that hangs on a machine: a square code that opens what is known of its chains."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from chaincase.documents.paper import Heading, heading_data
from chaincase.documents.qr import code_of
from chaincase.documents.typesetting import set_pdf
from chaincase.errors import BadInput

SIZES: Final = {"4x6": (101.6, 152.4), "a6": (105.0, 148.0), "a7": (74.0, 105.0)}
"""Width and height [mm]: the usual label of 4 by 6 in, ISO 216 A6 and A7."""
_MOST_POSITIONS: Final = 6
CAUTION: Final = (
    "This tag is no permit. Before you measure: shut down, lock out and tag every source of energy, restrain what is"
    " stored, verify that nothing can move. Local codes and licensed practice govern."
)


@dataclass(frozen=True, slots=True)
class MachineTag:
    """What a machine's tag shows.

    Attributes
    ----------
    name, number : str
        Of the machine.
    where : str
        Customer and site.
    tag : str
        Text of the tag, to be typed where no camera reads.
    address : str
        What the code opens.
    positions : tuple of str
        Places where a chain runs; which chain that is changes, so that the tag does not say it.
    """

    name: str
    number: str
    where: str
    tag: str
    address: str
    positions: tuple[str, ...] = ()


def machine_tag_pdf(tag: MachineTag, *, label: str = "a6") -> bytes:
    """Give the tag as PDF of one page.

    Raises
    ------
    BadInput
        If there is no such label, or the address is none.
    """
    if label not in SIZES:
        raise BadInput(f"{label!r} is no label", where="label", right=f"use {', '.join(SIZES)}")
    more = len(tag.positions) - _MOST_POSITIONS
    heading = Heading(tag.name, "", tag.where, date(2000, 1, 1))  # a tag that hangs for years has no date
    data: dict[str, Any] = heading_data(heading, "us-letter", "Machine tag") | {
        "width": SIZES[label][0],
        "height": SIZES[label][1],
        "number": tag.number,
        "tag": tag.tag,
        "code": code_of(tag.address),
        "address": tag.address,
        "positions": list(tag.positions[:_MOST_POSITIONS]) + ([f"and {more} more"] if more > 0 else []),
        "caution": CAUTION,
    }
    return set_pdf("machine_tag.typ", data)
