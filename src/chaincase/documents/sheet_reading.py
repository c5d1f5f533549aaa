"""A measuring sheet that came back as a workbook, read into a piece of a case; nothing in it is dropped in silence."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

from chaincase.chains.features import component_named, feature_named
from chaincase.chains.kinds import kind_named
from chaincase.documents import sheet_workbook as book
from chaincase.documents.sheet import blank_heading, measuring_sheet
from chaincase.documents.sheet_cells import Faults, Line, lines
from chaincase.documents.sheet_rows import (
    ATTACHMENT_ROWS,
    END_CHOICES,
    FORM_CHOICES,
    LINK_CHOICES,
    SIDE_CHOICES,
    STATE_CHOICES,
    WHEEL_SIZES,
)
from chaincase.errors import BadInput
from chaincase.makeup.forms import SpacingEvidence
from chaincase.makeup.strand_length import taped_strand
from chaincase.measuring.reading import Reading
from chaincase.units import parse_length

UNITS: Final = frozenset({"", "in", "mm", "cm", "m", "ft"})
_YES: Final = {"yes": True, "no": False, "true": True, "false": False}
_HANDS: Final = ("alike", "handed pairs")
Fragment = dict[str, Any]


def read_sheet(path: str | Path) -> Fragment:
    """Read a measuring sheet that was filled in.

    Parameters
    ----------
    path : str or Path
        The workbook, made by `chaincase sheet KIND -o FILE.xlsx`.

    Returns
    -------
    dict
        A piece of `chaincase/case-1`: any of case, machine, position, notes, evidence, wheels, attachments, spacing,
        strands, quantity, features. Entries carry `by` and `on` of the first sheet.

    Raises
    ------
    BadInput
        If it is no such workbook, or a cell cannot be understood; every fault with file, sheet, row and column.
    """
    path = Path(path)
    faults = Faults()
    start = _start(path, faults)
    kind, unit = start.pop("Kind of chain"), start.pop(book.DEFAULT_UNIT)
    sheet = measuring_sheet(kind, blank_heading(date.min))
    said = {"by": start.pop("Measured by"), "on": start.pop("Date")}
    said = {key: value for key, value in said.items() if value}
    notes = [note for note in (start.pop("Remark"), _contact(start.pop("Telephone or mail"))) if note]
    grids = {grid.name: list(lines(path, grid, faults, unit)) for grid in book.grids(sheet)[1:]}
    fragment = _fragment(start, grids, said, notes, faults)
    faults.raise_any()
    return fragment


def _contact(text: str) -> str:
    return f"Telephone or mail: {text}" if text else ""


def _fragment(
    start: dict[str, str], grids: dict[str, list[Line]], said: dict[str, str], notes: list[str], faults: Faults
) -> Fragment:
    looks = [word.strip() for word in start.pop("What it looks like").split(",") if word.strip()]
    evidence = {
        "construction": looks,
        "marks": [{**each, **said} for each in _marks(grids[book.STAMPS], faults)],
        "readings": [{**each, **said} for each in _readings(grids[book.READINGS], notes, faults)],
    }
    strands, quantity = _strands(grids[book.STRANDS], said, faults)
    fragment: Fragment = {
        "case": start["Case"],
        "machine": start["Machine"],
        "position": start["Position"],
        "evidence": {key: value for key, value in evidence.items() if value},
        "wheels": [{**each, **said} for each in _wheels(grids[book.SPROCKETS], notes, faults)],
        "attachments": [{**each, **said} for each in _attachments(grids[book.ATTACHMENTS])],
        "spacing": {"observations": [{**each, **said} for each in _spacing(grids[book.SPACING], faults)]},
        "strands": strands,
        "quantity": quantity,
        "features": list(_features(grids[book.FEATURES], said, faults)),
        "notes": "\n".join(notes),
    }
    if not fragment["spacing"]["observations"]:
        del fragment["spacing"]
    return {key: value for key, value in fragment.items() if value}


def _answers(found: list[Line]) -> dict[str, Line]:
    return {line.text("What"): line for line in found}


def _start(path: Path, faults: Faults) -> dict[str, str]:
    """Read the first sheet; without its form and kind nothing else can be read."""
    head = book.start_grid()
    found = _answers(list(lines(path, head, faults)))
    _only(found, book.START_ROWS, faults)
    answers = {name: found[name].text("Answer") if name in found else "" for name in book.START_ROWS}
    if answers.pop("Form") != book.FORM:
        where = f"{path}, sheet {book.START!r}"
        raise BadInput(
            f"this is no measuring sheet of the form {book.FORM}", where=where, right="send the sheet itself back"
        )
    kind = answers["Kind of chain"]
    if faults.tried(lambda: kind_named(kind), _place(found, "Kind of chain", path)) is None:
        faults.raise_any()
    if answers[book.DEFAULT_UNIT] not in UNITS:
        right = "write in or mm, or leave it open"
        faults.add("that is no unit", _place(found, book.DEFAULT_UNIT, path), right)
    if answers["Date"]:
        answers["Date"] = faults.tried(lambda: _day(answers["Date"]), _place(found, "Date", path)) or ""
    return answers


def _place(found: dict[str, Line], name: str, path: Path) -> str:
    return found[name].place("Answer") if name in found else f"{path}, sheet {book.START!r}"


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text[:10]).isoformat()
    except ValueError:
        raise BadInput(f"{text[:40]!r} is not a date", right="write it like 2026-03-09") from None


def _only(found: dict[str, Line], known: tuple[str, ...], faults: Faults) -> None:
    """Refuse rows that are none of the sheet's own."""
    for name, line in found.items():
        if name not in known:
            right = "write remarks in the row Remark"
            faults.add(f"the row {name[:40]!r} is not one of this sheet", line.place("What"), right)


def _unit(line: Line) -> str:
    unit = line.text(book.UNIT)
    if unit not in UNITS:
        line.faults.add(f"{unit[:40]!r} is no unit", line.place(book.UNIT), "write in or mm, or leave it open")
        return ""
    return unit


def _readings(found: list[Line], notes: list[str], faults: Faults) -> Iterator[Fragment]:
    for line in found:
        first, second = line.text("First reading"), line.text("Second reading")
        unit, remark = _unit(line), line.text(book.REMARK)
        if not first and not second:
            if remark:
                notes.append(f"{line.text('Dimension') or 'reading'}: {remark}")
            elif _is_added(line):
                faults.add("the row has no reading", line.place("First reading"), "write it, or empty the row")
            continue
        values = [line.length(title, unit) for title in ("First reading", "Second reading") if line.text(title)]
        if all(values) and (reading := _reading(line, values, remark)):
            yield reading


def _is_added(line: Line) -> bool:
    """Tell whether a person wrote into one of the empty rows below the printed ones."""
    return not line.text("What and how") and bool(line.text("Dimension"))


def _reading(line: Line, values: list[str], remark: str) -> Fragment | None:
    over = line.whole("Over pitches") if line.text("Over pitches") else None
    if over is None and not line.text("Over pitches"):
        if "several" in line.text("What and how"):
            line.faults.add(
                "the number of pitches is missing", line.place("Over pitches"), "write over how many it was taken"
            )
            return None
        over = 1
    fields: Fragment = {
        "dimension": line.text("Dimension"),
        "value": values[0],
        "instrument": line.text("Instrument"),
        "technique": line.text("Technique"),
        "link": line.text("Link"),
        "reference": line.text("Between"),
        "over": over,
        "repeats": values[1:],
        "note": remark,
    }
    if over is None or _checked(line, fields) is None:
        return None
    return {key: value for key, value in fields.items() if value not in ("", [], 1)}


_COLUMN_OF: Final = {
    "dimension": "Dimension",
    "value": "First reading",
    "repeats": "Second reading",
    "instrument": "Instrument",
    "technique": "Technique",
    "link": "Link",
    "reference": "Between",
    "over": "Over pitches",
}


def _checked(line: Line, fields: Fragment) -> Reading | None:
    """Parse a reading for its faults' sake, each told at the column that it comes from."""
    try:
        return Reading.parse(**fields, place="")
    except BadInput as fault:
        name = fault.where.lstrip(".").split("[")[0].split(".")[-1]
        line.faults.add(fault.what, line.place(_COLUMN_OF.get(name, "First reading")), fault.right)
        return None


def _marks(found: list[Line], faults: Faults) -> Iterator[Fragment]:
    for line in found:
        if not line.text("Stamp"):
            faults.add("the row has no stamp", line.place("Stamp"), "write what can be read, ? for what cannot")
            continue
        mark = {"text": line.text("Stamp"), "where": _joined(line.text("Where"), line.text(book.REMARK))}
        yield {**mark, "legibility": line.text("Legibility")}


def _joined(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _wheels(found: list[Line], notes: list[str], faults: Faults) -> Iterator[Fragment]:
    for line in found:
        teeth, readings = line.whole("Teeth", 1000), list(_wheel_readings(line, faults))
        stamped, note = line.text("Number stamped"), _joined(line.text("Where"), line.text(book.REMARK))
        if not line.text("Teeth"):
            faults.add("the number of teeth is missing", line.place("Teeth"), "count them")
        elif not readings and not stamped:
            faults.add("nothing but teeth", line.place(), "give a diameter or the number stamped on it")
        elif teeth is not None:
            if note:
                notes.append(f"Sprocket of {teeth} teeth: {note}")
            wheel = {"teeth": teeth, "readings": readings, "text": stamped}
            yield {key: value for key, value in wheel.items() if value}


def _wheel_readings(line: Line, faults: Faults) -> Iterator[Fragment]:
    unit = _unit(line)
    for (name, _), (title, _) in zip(WHEEL_SIZES, book.wheel_columns(), strict=True):
        size = line.length(title, unit)
        if size and parse_length(size).unit is None:
            faults.add(f"{size!r} has no unit", line.place(title), "write it, or name in or mm under Unit")
        elif size:
            yield {"dimension": name, "value": size}


def _attachments(found: list[Line]) -> Iterator[Fragment]:
    for line in found:
        unit = _unit(line)
        sizes = ((row, line.length(row.label.capitalize(), unit)) for row in ATTACHMENT_ROWS)
        readings = [
            {"dimension": row.dimension, "value": size, "instrument": "caliper", "technique": row.technique}
            for row, size in sizes
            if size
        ]
        entry: Fragment = {
            "link": _one_of(line, LINK_CHOICES, "On links"),
            "sides": _one_of(line, SIDE_CHOICES, "Sides"),
            "form": _one_of(line, FORM_CHOICES, "Form"),
            "code": line.text("Code"),
            "holes": _holes(line),
            "readings": readings,
            "note": line.text(book.REMARK),
        }
        yield {key: value for key, value in entry.items() if value not in ("", [], None)}


def _holes(line: Line) -> int | None:
    return 0 if line.text("Holes per side") == "0" else line.whole("Holes per side", 50)


def _spacing(found: list[Line], faults: Faults) -> Iterator[Fragment]:
    for line in found:
        entry: Fragment = {
            "counted": line.whole("Counted"),
            "taped": line.length("Taped"),
            "gaps": line.whole("Gaps", 1000),
            "counted_each": line.wholes("Gaps in a row"),
            "sample_links": line.whole("Links in the piece", 2000),
            "attachments_at": line.wholes("Attachments on links"),
            "on_links": line.text("On links"),
            "note": line.text(book.REMARK),
        }
        entry = {key: value for key, value in entry.items() if value is not None and value != ""}
        if entry and faults.tried(lambda entry=entry: _one_spacing(entry), line.place()) is not None:  # type: ignore[misc]
            yield entry


def _one_spacing(entry: Fragment) -> SpacingEvidence:
    evidence = SpacingEvidence.of({"pitch": "1 in", "observations": [entry]})
    if nothing := evidence.observations[0].says_nothing():
        raise BadInput(nothing, right="fill in what belongs together, or empty the row")
    return evidence


def _strands(found: list[Line], said: dict[str, str], faults: Faults) -> tuple[Fragment, Fragment]:
    lines_of = _answers(found)
    _only(lines_of, tuple(words for _, words in book.STRAND_ROWS), faults)
    at = {key: lines_of[words] for key, words in book.STRAND_ROWS if words in lines_of}
    number = {key: line.whole("Answer") for key, line in at.items() if key in _NUMBERS}
    texts = {key: line.text("Answer") for key, line in at.items() if key not in _NUMBERS}
    strands: Fragment = {key: number.get(key) for key in ("number", "connecting_links", "spare_links", "spare_strands")}
    taped = at["taped"].length("Answer") if "taped" in at else ""
    if taped and faults.tried(lambda: taped_strand(taped), at["taped"].place("Answer")) is None:
        taped = ""
    observed: list[Fragment] = [{"counted": number.get("counted")}, {"taped": taped, "instrument": "tape"}]
    strands |= {
        "ends": _one_of(at.get("ends"), END_CHOICES),
        "hands": _one_of(at.get("hands"), _HANDS),
        "matched": _YES.get(_one_of(at.get("matched"), tuple(_YES))),
        "length_tolerance": texts.get("length_tolerance", ""),
        "note": texts.get("note", ""),
        "observations": [{**each, **said} for each in observed if each.get("counted") or each.get("taped")],
    }
    quantity = {"strands": number["buy"]} if number.get("buy") else {}
    return {key: value for key, value in strands.items() if value not in (None, "", [])}, quantity


_NUMBERS: Final = frozenset({"number", "buy", "counted", "connecting_links", "spare_links", "spare_strands"})


def _one_of(line: Line | None, choices: tuple[str, ...], title: str = "Answer") -> str:
    """Give an answer that is one of some choices; empty where nothing or something else stands."""
    text = line.text(title).lower() if line is not None else ""
    if line is None or text in {"", *choices}:
        return text
    line.faults.add(f"{text[:40]!r} is none of the answers", line.place(title), f"write one of: {', '.join(choices)}")
    return ""


def _features(found: list[Line], said: dict[str, str], faults: Faults) -> Iterator[Fragment]:
    for line in found:
        state = _one_of(line, STATE_CHOICES, "State")
        texts = {key: line.text(title) for key, title in _FEATURE_COLUMNS.items()}
        if not line.text("State"):
            if any(texts.values()):
                right = f"write one of: {', '.join(STATE_CHOICES)}"
                faults.add("the state is missing", line.place("State"), right)
            continue
        if not line.text("Feature"):
            faults.add("the feature is missing", line.place("Feature"), "write which it is")
        elif state and _is_known(line, faults):
            entry = {"feature": line.text("Feature"), "state": state, **said, **{k: v for k, v in texts.items() if v}}
            yield entry


def _is_known(line: Line, faults: Faults) -> bool:
    feature = faults.tried(lambda: feature_named(line.text("Feature")), line.place("Feature"))
    part = faults.tried(lambda: component_named(line.text("Part")), line.place("Part"))
    return feature is not None and part is not None


_FEATURE_COLUMNS: Final = {
    "part": "Part",
    "value": "What it is",
    "how": "How it is known",
    "by": "Who says so",
}
