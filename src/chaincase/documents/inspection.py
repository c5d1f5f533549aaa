"""The receiving inspection sheet: what to measure on the chain that is delivered, with limits, accept and reject."""

from dataclasses import asdict, dataclass
from typing import Final

from chaincase.documents.paper import Heading, Paper, check_picture, heading_data
from chaincase.documents.typesetting import set_pdf

HOW_LENGTH: Final = (
    "Length: supported over its whole length, new and oiled lightly as delivered, under the measuring load that the"
    " standard or the maker names, from pin to pin over as many pitches as can be reached."
)
CAUTION_RECEIVING: Final = (
    "Chain is heavy and a coil can run off: lift with gear that is rated for it, keep hands and feet clear, cut bands"
    " from the side, eye protection. Local codes govern."
)


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to check.

    Attributes
    ----------
    letter, what : str
        Key letter, where there is one, and what to look at or measure.
    specified : str
        What was ordered.
    limits : str
        Lowest and highest that is accepted, or how that is judged.
    boxes : int
        How many readings there is room for; 0 for a look only.
    """

    letter: str
    what: str
    specified: str
    limits: str = ""
    boxes: int = 1


@dataclass(frozen=True, slots=True)
class CheckGroup:
    """Checks that belong together, under a title."""

    title: str
    checks: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class Inspection:
    """What an inspection sheet shows.

    Attributes
    ----------
    heading : Heading
        Whose case it is.
    chain : str
        What was ordered, in a line.
    groups : tuple of CheckGroup
        What to check.
    figure : str
        Keyed figure as SVG; empty for none.
    sources : tuple of str
        Where the limits are from.
    open : tuple of str
        What the order left open, so that nothing can be accepted or rejected by it.
    """

    heading: Heading
    chain: str
    groups: tuple[CheckGroup, ...]
    figure: str = ""
    sources: tuple[str, ...] = ()
    open: tuple[str, ...] = ()


def inspection_pdf(sheet: Inspection, *, paper: Paper = "us-letter") -> bytes:
    """Give the inspection sheet as PDF.

    Raises
    ------
    BadInput
        If the figure refers to something outside itself, or there is no such paper.
    """
    if sheet.figure:
        check_picture(sheet.figure, "figure")
    data = heading_data(sheet.heading, paper, "Receiving inspection") | {
        "chain": sheet.chain,
        "figure": sheet.figure,
        "groups": [asdict(group) for group in sheet.groups],
        "sources": list(sheet.sources),
        "open": list(sheet.open),
        "how_length": HOW_LENGTH,
        "caution": CAUTION_RECEIVING,
    }
    return set_pdf("inspection.typ", data)
