"""What all papers share: whose case it is, on which paper, how dates are printed, which pictures are safe."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from chaincase.errors import BadInput

Paper = Literal["us-letter", "a4"]

MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
FOOT: Final = 32
"""Most characters of a case id or revision in the footer; they stand in full above."""

CAUTION: Final = (
    "Before you measure: shut the machine down, isolate every source of energy, lock and tag it, relieve or restrain"
    " stored energy (weight of an inclined strand, take-up weights and springs, hydraulics) and verify that nothing"
    " can move: 29 CFR 1910.147. Support the chain and block the sprockets before a joint is opened. Eye protection;"
    " hardened parts splinter when struck. Local codes and licensed practice govern."
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands above a paper: whose case it is.

    Attributes
    ----------
    title, case : str
        Title and id of the case; both may be empty on a sheet that is nobody's yet.
    plant : str
        The plant.
    day : date
        Date of the paper.
    marked : str
        A line such as "invented for a demonstration".
    revision : str
        Revision of the paper.
    customer, machine, position : str
        Who asks, and where the chain runs.
    """

    title: str
    case: str
    plant: str
    day: date
    marked: str = ""
    revision: str = "A"
    customer: str = ""
    machine: str = ""
    position: str = ""


def heading_data(heading: Heading, paper: Paper, kind: str) -> dict[str, Any]:
    """Give what the head and the foot of every template read.

    Parameters
    ----------
    heading : Heading
        Whose case it is.
    paper : "us-letter" or "a4"
        What it is printed on.
    kind : str
        What the paper is: "Measuring sheet".

    Raises
    ------
    BadInput
        If there is no such paper.

    >>> heading_data(Heading("Elevator", "HV-1", "", date(2026, 3, 9)), "a4", "Dossier")["foot"]
    'Case HV-1, revision A, March 9, 2026'
    """
    if paper not in {"us-letter", "a4"}:
        raise BadInput(f"{paper!r} is no paper that is printed here", where="paper", right="use us-letter or a4")
    day = heading.day
    case = f"Case {short(heading.case)}, revision {short(heading.revision)}" if heading.case else kind
    return {
        "kind": kind,
        "paper": paper,
        "title": heading.title,
        "case": heading.case,
        "plant": heading.plant,
        "marked": heading.marked,
        "revision": heading.revision,
        "customer": heading.customer,
        "machine": heading.machine,
        "position": heading.position,
        "day": day_in_words(day),
        "date": [day.year, day.month, day.day],
        "foot": f"{case}, {day_in_words(day)}",
        "caution": CAUTION,
    }


def day_in_words(day: date) -> str:
    """Print a date so that nobody takes the day for the month.

    >>> day_in_words(date(2026, 3, 9))
    'March 9, 2026'
    """
    return f"{MONTHS[day.month - 1]} {day.day}, {day.year}"


def short(text: str, most: int = FOOT) -> str:
    """Give a text on one line of at most `most` characters.

    >>> short("HV-102"), short("a very long name of a case", 12)
    ('HV-102', 'a very long…')
    """
    line = " ".join(text.split())
    return line if len(line) <= most else f"{line[: most - 1].rstrip()}…"


# What a picture could fetch something with: declarations, elements that refer, and references inside a tag. A text
# may say `href=`; it is no tag.
_FOREIGN = re.compile(
    r"<!DOCTYPE|<!ENTITY|<\?xml-stylesheet|<\s*(?:\w+:)?(?:image|use|script|foreignObject|style)\b"
    r"|<[^>]*(?:href\s*=|url\()",
    re.IGNORECASE,
)


def check_picture(svg: str, where: str) -> None:
    """Refuse a picture that is no SVG, or that fetches something.

    Raises
    ------
    BadInput
        With the place given.
    """
    if "<svg" not in svg or _FOREIGN.search(svg):
        right = "give one SVG that refers to nothing outside itself"
        raise BadInput("the picture cannot be printed", where=where, right=right)
