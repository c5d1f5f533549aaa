"""The bench as one picture: all that a page shows of a case, from the case as it stands."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from chaincase.case.findings import Findings
from chaincase.case.gap import Gap
from chaincase.chains.attachments import Form, OnLink, Side
from chaincase.chains.dimensions import BY_NAME as DIMENSIONS
from chaincase.chains.features import FEATURES
from chaincase.chains.kinds import KINDS
from chaincase.documents.compose_drawings import attachment_figures, spacing_drawn
from chaincase.documents.compose_request import strand_part
from chaincase.documents.sheet_rows import INSTRUMENT_CHOICES, LEGIBILITY_CHOICES, STATE_CHOICES
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.identifying.answer import NextStep
from chaincase.identifying.construction import known_words
from chaincase.makeup.strands import Ends
from chaincase.measuring.growth import Link
from chaincase.measuring.techniques import Technique
from chaincase.register.events import STATES
from chaincase.web.access import Right, Visitor
from chaincase.web.desk_duty_answers import duty_in_words
from chaincase.web.desk_entries import LINES
from chaincase.web.desk_figure import BenchFigure, Chip, bench_figure, chip_of, entries_of, uncertainties
from chaincase.web.desk_lineup import LineUp, line_up
from chaincase.web.desk_story import Clash, clashes, in_words
from chaincase.web.server import Server
from chaincase.web.service import Standing

PARTS: Final = ("head", "trouble", "evidence", "figure", "made", "lineup", "next", "gaps")
"""Parts of the page that are brought up to date by themselves."""
SHOWN_STEPS: Final = 3
PAPERS: Final = (
    ("sheet.pdf", "Measuring sheet", "to print"),
    ("sheet.xlsx", "Measuring sheet", "to fill in and mail back"),
    ("letter.pdf", "Question letter", "what is still open"),
    ("letter.txt", "Question letter", "as plain text for a mail"),
    ("dossier.pdf", "Dossier", "the complete request"),
    ("dossier.zip", "Dossier with tables and drawings", "all in one ZIP"),
    ("tag.pdf", "Sample tag", "for the piece that is sent in"),
    ("inspection.pdf", "Receiving inspection sheet", "for the chain that arrives"),
)
"""File, name, and what it is for."""


@dataclass(frozen=True, slots=True)
class Item:
    """An entry of a list: where it stands, what it says, who wrote it, and what was made of it."""

    path: str
    text: str
    by: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReadingItem:
    """A reading in the list of all readings."""

    chip: Chip
    letter: str
    label: str


@dataclass(frozen=True, slots=True)
class Photo:
    """A photograph of a case; `at` is its address, empty where the register does not have its file."""

    path: str
    sha256: str
    file: str
    shows: str
    at: str


@dataclass(frozen=True, slots=True)
class FeatureLine:
    """A feature that does not show."""

    key: str
    label: str
    said: str
    open: bool
    path: str


@dataclass(frozen=True, slots=True)
class Board:
    """All that the bench shows."""

    case: str
    version: int
    content: Mapping[str, Any]
    filing: Mapping[str, Any]
    may_measure: bool
    may_work: bool
    name: str
    figure: BenchFigure
    line_up: LineUp
    steps: tuple[NextStep, ...]
    gaps: tuple[Gap, ...]
    open_quote: int
    open_make: int
    base: str
    base_words: str
    settled_by: str
    faults: tuple[Any, ...]
    clashes: tuple[Clash, ...]
    warnings: tuple[str, ...]
    duty_words: str
    words: tuple[str, ...]
    records: tuple[Item, ...]
    marks: tuple[Item, ...]
    readings: tuple[ReadingItem, ...]
    wheels: tuple[Item, ...]
    photos: tuple[Photo, ...]
    features: tuple[FeatureLine, ...]
    attachments: tuple[Item, ...]
    attachment_svgs: tuple[tuple[str, str], ...]
    spacing: tuple[Item, ...]
    spacing_said: str
    pattern: str
    pattern_words: str
    spacing_svg: str
    lengths: tuple[Item, ...]
    strands: Mapping[str, Any]
    quantity: Mapping[str, Any]
    plain: Mapping[str, Any]
    notation: str
    strand_rows: tuple[Any, ...]
    strand_words: tuple[str, ...]

    @property
    def ready(self) -> str:
        """What the case is good for, in words."""
        if self.faults:
            return "cannot be read yet"
        if not self.open_make:
            return "ready to make"
        return "ready to quote" if not self.open_quote else "not ready to quote"


def choices() -> dict[str, Any]:
    """Give what the fields of the bench let somebody choose."""
    return {
        "kinds": [(each.name, each.label) for each in KINDS],
        "words": known_words(),
        "instruments": INSTRUMENT_CHOICES,
        "techniques": [each.value for each in Technique],
        "links": [each.value for each in Link],
        "legibility": LEGIBILITY_CHOICES,
        "feature_states": STATE_CHOICES,
        "features": [(each.key, each.label) for each in FEATURES],
        "forms": [each.value for each in Form],
        "sides": [each.value for each in Side],
        "on_links": [each.value for each in OnLink],
        "ends": [each.value for each in Ends],
        "states": STATES,
        "papers": PAPERS,
        "lines": [example for _, example in LINES.values()],
    }


def board(server: Server, who: Visitor, stands: Standing, *, kind: str = "") -> Board:
    """Give the bench of a case as it stands."""
    content = stands.opened.content
    found = stands.findings or Findings(stands.opened.case)
    shared = _shared(who, stands, found)
    return Board(
        **shared,
        figure=bench_figure(server, stands, kind),
        line_up=line_up(found, uncertainties(stands.form)),
        **_evidence(content, found),
        **_carried(content, found, server),
    )


def _shared(who: Visitor, stands: Standing, found: Findings) -> dict[str, Any]:
    opened, base = stands.opened, found.base
    return {
        "case": opened.case,
        "version": opened.version,
        "content": opened.content,
        "filing": opened.filing,
        "may_measure": who.may(Right.MEASURE),
        "may_work": who.may(Right.WORK),
        "name": who.name,
        "steps": found.identity.next[:SHOWN_STEPS] if found.identity is not None else (),
        "gaps": found.gaps,
        "open_quote": sum(1 for gap in found.open_gaps if gap.level == "quote"),
        "open_make": len(found.open_gaps),
        "base": base.designation if base is not None else "",
        "base_words": base.words if base is not None else "",
        "settled_by": base.settled_by if base is not None else "",
        "faults": stands.faults,
        "clashes": clashes(opened.conflicts, opened.content),
        "warnings": found.warnings,
        "duty_words": duty_in_words(found, opened.content),
    }


def _evidence(content: Mapping[str, Any], found: Findings) -> dict[str, Any]:
    seen = content.get("evidence")
    words = seen.get("construction") if isinstance(seen, Mapping) else None
    return {
        "words": tuple(str(each) for each in words) if isinstance(words, list) else (),
        "records": _records(content, found),
        "marks": _items(content, "evidence", "marks"),
        "readings": tuple(_reading(each) for each in entries_of(content, "evidence", "readings")),
        "wheels": _with_notes(_items(content, "wheels"), [each.words for each in found.wheels]),
        "photos": tuple(_photo(each) for each in entries_of(content, "photographs")),
        "features": _features(content),
    }


def _items(content: Mapping[str, Any], *steps: str) -> tuple[Item, ...]:
    root = ".".join(steps)
    return tuple(
        Item(f"{root}[{each.get('id', '')}]", in_words(each), str(each.get("by", "")))
        for each in entries_of(content, *steps)
    )


def _with_notes(items: tuple[Item, ...], notes: list[str]) -> tuple[Item, ...]:
    """Give entries with what was made of each; without the notes where something cannot be read."""
    if len(items) != len(notes):
        return items
    return tuple(Item(each.path, each.text, each.by, note) for each, note in zip(items, notes, strict=True))


def _records(content: Mapping[str, Any], found: Findings) -> tuple[Item, ...]:
    notes = [
        ", ".join(f"{item.field.replace('_', ' ')} {item.value}" for item in each.read.items)
        or "nothing was read in it"
        for each in found.records
    ]
    return _with_notes(_items(content, "records"), notes)


def _reading(entry: Mapping[str, Any]) -> ReadingItem:
    name = str(entry.get("dimension", ""))
    known = DIMENSIONS.get(name)
    return ReadingItem(chip_of(entry), known.letter if known else "", known.label if known else name.replace("_", " "))


def _photo(entry: Mapping[str, Any]) -> Photo:
    digest = str(entry.get("sha256", "")).lower()
    at = f"/api/v1/photographs/{digest}" if digest else ""
    return Photo(
        f"photographs[{entry.get('id', '')}]", digest, str(entry.get("file", "")), str(entry.get("shows", "")), at
    )


def _features(content: Mapping[str, Any]) -> tuple[FeatureLine, ...]:
    """Give every feature: what was said of it, each statement by itself, else that nobody asked."""
    lines = []
    for feature in FEATURES:
        said = [each for each in entries_of(content, "features") if each.get("feature") == feature.key]
        for each in said:
            words = " ".join(str(each.get(name, "")) for name in ("part", "state", "value") if each.get(name))
            lines.append(
                FeatureLine(feature.key, feature.label, words, open=False, path=f"features[{each.get('id', '')}]")
            )
        if not said:
            lines.append(FeatureLine(feature.key, feature.label, "not asked", open=True, path=""))
    return tuple(lines)


def _carried(content: Mapping[str, Any], found: Findings, server: Server) -> dict[str, Any]:
    rows, words = strand_part(found)
    pattern = found.pattern
    return {
        "attachments": _with_notes(_items(content, "attachments"), [each.words for each in found.attachments]),
        "attachment_svgs": _attachment_svgs(found, server),
        "spacing": _items(content, "spacing", "observations"),
        "spacing_said": _spacing_said(found),
        "pattern": pattern.notation if pattern is not None else "",
        "pattern_words": pattern.words if pattern is not None else "",
        "spacing_svg": _spacing_svg(found),
        "lengths": _items(content, "strands", "observations"),
        "strands": _part(content, "strands"),
        "quantity": _part(content, "quantity"),
        "plain": _part(content, "plain"),
        "notation": str(_part(content, "pattern").get("notation", "")),
        "strand_rows": rows,
        "strand_words": words,
    }


def _attachment_svgs(found: Findings, server: Server) -> tuple[tuple[str, str], ...]:
    if not found.attachments:
        return ()
    try:
        drawn = attachment_figures(found, server.catalog)
    except BadInput:
        return ()
    return tuple((write_svg(each.scene), each.caption) for each in drawn if each is not None)


def _part(content: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    """Give a part of a case; an empty one where something else stands there."""
    part = content.get(name)
    return part if isinstance(part, Mapping) else {}


def _spacing_svg(found: Findings) -> str:
    try:
        drawn = spacing_drawn(found)
    except BadInput:
        return ""
    return write_svg(drawn.scene) if drawn is not None else ""


def _spacing_said(found: Findings) -> str:
    if found.spacing is None or not found.spacing.spacing:
        return ""
    best = found.spacing.spacing[0]
    return f"Likeliest every {best.pitches} pitches, {best.probability:.0%}."
