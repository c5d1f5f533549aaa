"""The dossier of a case: the complete request, what it rests on, and what must still be known.

Everything comes in as plain data, so that this room need not know how an identity is found.
"""

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any, Final, Literal

from chaincase.catalog.describe import FROM_MEMORY as MEMORY
from chaincase.documents.atomic import write_whole
from chaincase.documents.dossier_parts import (
    AssumptionRow,
    AttachmentPart,
    CandidateRow,
    DutyPart,
    EvidenceRow,
    FeatureRow,
    GapRow,
    MarkRow,
    NextRow,
    Picture,
    RequestRow,
    SizeRow,
    SourceRow,
    StrandRow,
)
from chaincase.documents.paper import Heading, Paper, check_picture, heading_data
from chaincase.documents.photographs import NOT_TO_SCALE, Photo
from chaincase.documents.typesetting import set_pdf
from chaincase.errors import BadInput

FROM_MEMORY: Final = f"{MEMORY[:1].upper()}{MEMORY[1:]}."
LEVELS: Final = {"quote": "Request for quote", "make": "Request to make"}


@dataclass(frozen=True, slots=True)
class Dossier:
    """What a dossier says.

    Attributes
    ----------
    heading : Heading
        Whose case it is.
    level : "quote" or "make"
        What it is to be good for.
    asked : str
        What was asked, in the customer's words.
    settled_by : str
        Who settled which chain it is, and why; empty while the evidence alone speaks.
    chosen : str
        Designation that a person chose; empty while nobody did.
    request : tuple of RequestRow
        What is to be quoted or made, in short.
    figure : Picture or None
        Keyed figure with the dimensions to order by.
    sizes : tuple of SizeRow
        These dimensions, with limit and source.
    attachments, spacing, spacing_words
        What the chain carries, the diagram over the repeat, and what it says.
    strands, strand_words
        Links, sections, joints, length, tolerance, matching.
    features, duty, assumptions, gaps
        What does not show, what was checked, what was accepted, what is open.
    evidence, marks, candidates, unlisted, warnings, next_steps
        What the identity rests on; `unlisted` is the probability that the chain stands in no table [-].
    photos : tuple of Photo
        Photographs, ready for print.
    sources : tuple of SourceRow
        Where the figures are from.
    """

    heading: Heading
    level: Literal["quote", "make"] = "quote"
    asked: str = ""
    settled_by: str = ""
    chosen: str = ""
    request: tuple[RequestRow, ...] = ()
    figure: Picture | None = None
    sizes: tuple[SizeRow, ...] = ()
    attachments: tuple[AttachmentPart, ...] = ()
    spacing: Picture | None = None
    spacing_words: tuple[str, ...] = ()
    strands: tuple[StrandRow, ...] = ()
    strand_words: tuple[str, ...] = ()
    features: tuple[FeatureRow, ...] = ()
    duty: tuple[DutyPart, ...] = ()
    assumptions: tuple[AssumptionRow, ...] = ()
    gaps: tuple[GapRow, ...] = ()
    evidence: tuple[EvidenceRow, ...] = ()
    marks: tuple[MarkRow, ...] = ()
    candidates: tuple[CandidateRow, ...] = ()
    unlisted: float = 0.0
    warnings: tuple[str, ...] = ()
    next_steps: tuple[NextRow, ...] = ()
    photos: tuple[Photo, ...] = ()
    sources: tuple[SourceRow, ...] = ()


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


def _checked(dossier: Dossier) -> Dossier:
    """Refuse what would print nonsense: no probability, no size, or a picture that fetches something."""
    if dossier.level not in LEVELS:
        raise BadInput(f"{dossier.level!r} is no level", where="level", right=f"use {' or '.join(LEVELS)}")
    for i, row in enumerate(dossier.candidates):
        _probability(row.probability, f"candidates[{i}].probability")
    _probability(dossier.unlisted, "unlisted")
    for i, reading in enumerate(dossier.evidence):
        for name in ("estimate", "uncertainty"):
            size = getattr(reading, name)
            if size is not None and not (math.isfinite(size) and size >= 0.0):
                raise BadInput(f"{size!r} is no size", where=f"evidence[{i}].{name}", right="give millimeters")
    for where, picture in _pictures(dossier):
        check_picture(picture.svg, f"{where}.svg")
    return dossier


def _pictures(dossier: Dossier) -> Iterator[tuple[str, Picture]]:
    """Give every figure with its place."""
    named = (("figure", dossier.figure), ("spacing", dossier.spacing))
    of_attachments = ((f"attachments[{i}].picture", part.picture) for i, part in enumerate(dossier.attachments))
    of_duty = (
        (f"duty[{i}].pictures[{k}]", picture)
        for i, part in enumerate(dossier.duty)
        for k, picture in enumerate(part.pictures)
    )
    for where, picture in (*named, *of_attachments, *of_duty):
        if picture is not None:
            yield where, picture


def _probability(value: float, where: str) -> None:
    if not 0.0 <= value <= 1.0:
        raise BadInput(f"{value!r} is no probability", where=where, right="give a number from 0 to 1")


def _data(dossier: Dossier, paper: Paper) -> dict[str, Any]:
    """Give what the template reads: the dossier as plain data, with every figure printed."""
    photos, heading = dossier.photos, dossier.heading
    data = {key: value for key, value in _plain(dossier).items() if key not in {"heading", "photos"}}
    data |= heading_data(heading, paper, LEVELS[dossier.level])
    data |= {
        "from_memory": FROM_MEMORY,
        "unlisted_percent": percent(dossier.unlisted),
        "not_to_scale": NOT_TO_SCALE,
        "photos": [{"file": _file(i), "name": each.name, "shows": each.shows} for i, each in enumerate(photos)],
    }
    for row in data["candidates"]:
        row["percent"] = percent(row["probability"])
    for row in data["evidence"]:
        known = row["estimate"] is not None and row["uncertainty"] is not None
        row["estimates"] = with_uncertainty(row["estimate"], row["uncertainty"]) if known else ()
    for row in data["next_steps"]:
        row["minutes"] = "" if row["minutes"] is None else f"{row['minutes']:g} min"
    return data


def _plain(dossier: Dossier) -> dict[str, Any]:
    """Give the dossier as plain data, without the bytes of its photographs."""
    return asdict(replace(dossier, photos=()))


def _file(i: int) -> str:
    return f"photo-{i + 1}.svg"


def dossier_pdf(dossier: Dossier, *, paper: Paper = "us-letter") -> bytes:
    """Give the dossier as PDF.

    Raises
    ------
    BadInput
        If a probability or size is not one, or a picture refers to something outside itself.
    """
    photos = {_file(i): each.svg for i, each in enumerate(dossier.photos)}
    return set_pdf("dossier.typ", _data(_checked(dossier), paper), photos)


def write_dossier(dossier: Dossier, path: Path, *, paper: Paper = "us-letter") -> Path:
    """Write the dossier as PDF, whole or not at all, and give its path.

    Raises
    ------
    BadInput
        As `dossier_pdf`, or if there is no such folder.
    """
    return write_whole(path, dossier_pdf(dossier, paper=paper))
