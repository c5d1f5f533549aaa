"""The dossier of a case: what was found, what the chain is, what must still be known before it can be quoted.

Everything comes in as plain data, so that this room need not know how an identity is found.
"""

import math
import re
from dataclasses import asdict, dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal

from chaincase.catalog.describe import FROM_MEMORY as MEMORY
from chaincase.documents.atomic import write_whole
from chaincase.documents.typesetting import set_pdf
from chaincase.errors import BadInput

Paper = Literal["us-letter", "a4"]

MONTHS = [
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
]
FOOT = 32
"""Most characters of a case id or revision in the footer; they stand in full above."""
FROM_MEMORY = f"{MEMORY[:1].upper()}{MEMORY[1:]}."
CAUTION = (
    "Before you measure: shut the machine down, isolate every source of energy, lock and tag it, relieve or restrain"
    " stored energy (weight of an inclined strand, take-up weights and springs, hydraulics) and verify that nothing"
    " can move: 29 CFR 1910.147. Support the chain and block the sprockets before a joint is opened. Eye protection;"
    " hardened parts splinter when struck. Local codes and licensed practice govern."
)


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """One reading.

    Attributes
    ----------
    letter, dimension : str
        Key letter on the figure and name of the dimension.
    as_written : str
        As it came in, with instrument and place as far as known.
    estimate, uncertainty : float or None
        What it says about the part, with one standard uncertainty [mm]; None if it carries no weight.
    expected : str
        What the best candidate leads one to expect.
    verdict : str
        What that means, in words.
    """

    letter: str
    dimension: str
    as_written: str
    estimate: float | None
    uncertainty: float | None
    expected: str
    verdict: str


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One mark read on the chain: its text, where it stands, how well it can be read, what it says."""

    text: str
    where: str
    legibility: str
    verdict: str


@dataclass(frozen=True, slots=True)
class CandidateRow:
    """One chain that fits, with its probability [-] and how far its table can be trusted."""

    designation: str
    also_known_as: tuple[str, ...]
    probability: float
    table: str
    trust: str
    from_memory: bool


@dataclass(frozen=True, slots=True)
class NextRow:
    """What to find out next: where, with what, what it decides, and what it costs [min]."""

    what: str
    instrument: str
    where: str
    decides: str
    minutes: float | None


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One table that was used: its standard, and what was read where."""

    table: str
    standard: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure as SVG text, with a caption."""

    svg: str
    caption: str


@dataclass(frozen=True, slots=True)
class Dossier:
    """What a dossier says.

    Attributes
    ----------
    title, case : str
        Title and id of the case.
    plant, marked : str
        The plant, and a line that marks it, such as "invented for this demonstration"; may be empty.
    day : date
        Date of the dossier.
    revision : str
        Revision of the dossier.
    customer : str
        What was asked, in the customer's words.
    unlisted : float
        Probability that the chain stands in no table [-].
    open_questions : tuple of str
        What is still open before the chain can be quoted.
    """

    title: str
    case: str
    plant: str
    marked: str
    day: date
    revision: str
    customer: str
    evidence: tuple[EvidenceRow, ...]
    marks: tuple[MarkRow, ...]
    candidates: tuple[CandidateRow, ...]
    unlisted: float
    warnings: tuple[str, ...]
    next_steps: tuple[NextRow, ...]
    open_questions: tuple[str, ...]
    sources: tuple[SourceRow, ...]
    figures: tuple[Picture, ...]


def percent(probability: float) -> str:
    """Print a probability without claiming certainty that rounding alone made.

    >>> percent(0.932), percent(0.0004), percent(0.9996), percent(1.0)
    ('93 %', 'under 1 %', 'over 99 %', '100 %')
    """
    whole = round(100 * probability)
    if whole == 0 and probability > 0.0:
        return "under 1 %"
    if whole == 100 and probability < 1.0:
        return "over 99 %"
    return f"{whole} %"


def with_uncertainty(millimeters: float, uncertainty: float) -> tuple[str, str]:
    """Print a size and its standard uncertainty, both [mm], in millimeters and in inches.

    The uncertainty keeps two significant digits and the size stops at the same place (JCGM 100, 7.2.6);
    past a micrometer, or a ten-thousandth of an inch, no caliper says more.

    >>> with_uncertainty(103.124, 0.41)
    ('103.12 ± 0.41 mm', '4.060 ± 0.016 in')
    """
    return _pair(millimeters, uncertainty, "mm", 3), _pair(millimeters / 25.4, uncertainty / 25.4, "in", 4)


def _pair(size: float, uncertainty: float, unit: str, most: int) -> str:
    places = most if uncertainty <= 0.0 else min(most, max(0, 1 - math.floor(math.log10(uncertainty))))
    return f"{size:.{places}f} ± {uncertainty:.{places}f} {unit}"


# What a picture could fetch something with: declarations, elements that refer, and references inside a tag. A text
# may say `href=`; it is no tag.
_FOREIGN = re.compile(
    r"<!DOCTYPE|<!ENTITY|<\?xml-stylesheet|<\s*(?:\w+:)?(?:image|use|script|foreignObject|style)\b"
    r"|<[^>]*(?:href\s*=|url\()",
    re.IGNORECASE,
)


def _checked(dossier: Dossier) -> Dossier:
    """Refuse what would print nonsense: no probability, no size, or a picture that fetches something."""
    for i, row in enumerate(dossier.candidates):
        _probability(row.probability, f"candidates[{i}].probability")
    _probability(dossier.unlisted, "unlisted")
    for i, reading in enumerate(dossier.evidence):
        for name in ("estimate", "uncertainty"):
            size = getattr(reading, name)
            if size is not None and not (math.isfinite(size) and size >= 0.0):
                raise BadInput(f"{size!r} is no size", where=f"evidence[{i}].{name}", right="give millimeters")
    for i, picture in enumerate(dossier.figures):
        if "<svg" not in picture.svg or _FOREIGN.search(picture.svg):
            right = "give one SVG that refers to nothing outside itself"
            raise BadInput("the picture cannot be printed", where=f"figures[{i}].svg", right=right)
    return dossier


def _probability(value: float, where: str) -> None:
    if not 0.0 <= value <= 1.0:
        raise BadInput(f"{value!r} is no probability", where=where, right="give a number from 0 to 1")


def _data(dossier: Dossier, paper: Paper) -> dict[str, Any]:
    """Give what the template reads: the dossier as plain data, with every figure printed."""
    data = asdict(dossier)
    day = dossier.day
    day_words = f"{MONTHS[day.month - 1]} {day.day}, {day.year}"
    data |= {
        "paper": paper,
        "day": day_words,
        "foot": f"Case {_short(dossier.case)}, revision {_short(dossier.revision)}, {day_words}",
        "date": [day.year, day.month, day.day],
        "caution": CAUTION,
        "from_memory": FROM_MEMORY,
        "unlisted_percent": percent(dossier.unlisted),
    }
    for row in data["candidates"]:
        row["percent"] = percent(row["probability"])
    for row in data["evidence"]:
        known = row["estimate"] is not None and row["uncertainty"] is not None
        row["estimates"] = with_uncertainty(row["estimate"], row["uncertainty"]) if known else ()
    for row in data["next_steps"]:
        row["minutes"] = "" if row["minutes"] is None else f"{row['minutes']:g} min"
    return data


def _short(text: str) -> str:
    """Give a text on one line that leaves room for the rest of a footer."""
    line = " ".join(text.split())
    return line if len(line) <= FOOT else line[: FOOT - 1] + "…"


def dossier_pdf(dossier: Dossier, *, paper: Paper = "us-letter") -> bytes:
    """Give the dossier as PDF.

    Raises
    ------
    BadInput
        If a probability or size is not one, or a picture refers to something outside itself.
    """
    return set_pdf("dossier.typ", _data(_checked(dossier), paper))


def write_dossier(dossier: Dossier, path: Path, *, paper: Paper = "us-letter") -> Path:
    """Write the dossier as PDF, whole or not at all, and give its path.

    Raises
    ------
    BadInput
        As `dossier_pdf`, or if there is no such folder.
    """
    return write_whole(path, dossier_pdf(dossier, paper=paper))
