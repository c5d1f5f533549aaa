"""A file that somebody sends, looked through before anything is kept: samples, a whole case, or a phone's events.

What was read goes back with the preview, packed, and is read again from there when somebody confirms: the server keeps
nothing in between, and whoever confirms is not believed more than whoever sent the file.
"""

import base64
import binascii
import csv
import io
import json
import re
import tempfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Final

from chaincase.case.form import Case
from chaincase.catalog.sheets import MIB, Limits, Sheet, check_text, read_sheet
from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, json_from
from chaincase.register import Register
from chaincase.register.events import Event
from chaincase.register.faults import Missing
from chaincase.register.photographs import shown_name
from chaincase.survey.chunks import sample_rows
from chaincase.survey.columns import PASSED, Layout, read_layout
from chaincase.survey.samples import cell, evidence_of

EVENTS: Final = "chaincase/events-1"
CASE: Final = "chaincase/case-1"
MOST_SAMPLES: Final = 2_000
"""Samples of one file; each becomes a case."""
MOST_EVENTS: Final = 1_000
MOST_PACKED: Final = 900 * 1024
"""Characters that a form may carry back."""
LIMITS: Final = Limits(text_bytes=20 * MIB, workbook_bytes=20 * MIB, lines=20_000, cells=500_000)
_NO_ID: Final = re.compile(r"[^A-Za-z0-9_.\-]+")
_ADVICE: Final = Advice(
    constant="can be kept",
    number="leave it out",
    text="write it with fewer digits",
    nested="give a file that this program wrote",
    shape=f"give {CASE} or {EVENTS}",
)


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample of a file, and the case that it would be.

    Attributes
    ----------
    row : int
        Row of the sheet; 0 for a file of one case.
    sample : str
        Its id, as written.
    case : str
        Number of the case.
    content : dict
        What the case would hold; empty where there is a fault.
    says : str
        What is known of it, in a line.
    faults : tuple of str
        Why it is left out, with the columns.
    """

    row: int
    sample: str
    case: str
    content: dict[str, Any]
    says: str = ""
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Samples:
    """What a file of samples holds.

    Attributes
    ----------
    file : str
        Its name.
    packed : str
        Its content, to be sent back with the confirmation.
    samples : tuple of Sample
        In the order of the file.
    notices : tuple of str
        What a person should know about the columns.
    """

    file: str
    packed: str
    samples: tuple[Sample, ...]
    notices: tuple[str, ...]

    @property
    def good(self) -> tuple[Sample, ...]:
        """Those that become cases."""
        return tuple(each for each in self.samples if not each.faults)

    @property
    def bad(self) -> tuple[Sample, ...]:
        """Those that are left out."""
        return tuple(each for each in self.samples if each.faults)


@dataclass(frozen=True, slots=True)
class FieldEvents:
    """What a phone's file holds.

    Attributes
    ----------
    file, packed : str
        As for `Samples`.
    case : str
        Whose events they are.
    title : str
        Of that case.
    events : tuple of dict
        As they were made.
    known : frozenset of str
        Ids of those that the register has already.
    """

    file: str
    packed: str
    case: str
    title: str
    events: tuple[dict[str, Any], ...]
    known: frozenset[str]


def read_upload(name: str, data: bytes, register: Register, prefix: str = "") -> Samples | FieldEvents:
    """Read a file as it was sent: .csv, .xlsx, or .json.

    Raises
    ------
    BadInput
        If it is none of these, too large, or its columns mean nothing; every fault at once, with row and column.
    """
    called = shown_name(name) or "file"
    if called.lower().endswith(".json"):
        check_text(data, called)
        return read_json(called, str(data, "utf-8-sig"), register)
    return read_table(called, _as_csv(called, data), register, prefix)


def packed_samples(name: str, packed: str, register: Register, prefix: str = "") -> Samples:
    """Read samples that a preview sent back.

    Raises
    ------
    BadInput
        As for `read_upload`; if it was cut off, or holds something else.
    """
    found = _packed(name, packed, register, prefix)
    if isinstance(found, FieldEvents):
        raise BadInput("these are a phone's events", where=found.file, right="bring them into their case")
    return found


def packed_events(name: str, packed: str, register: Register) -> FieldEvents:
    """Read a phone's events that a preview sent back; raises as `packed_samples`."""
    found = _packed(name, packed, register, "")
    if isinstance(found, Samples):
        raise BadInput("this is no phone's file", where=found.file, right="bring it in as cases")
    return found


def read_table(name: str, text: str, register: Register, prefix: str = "") -> Samples:
    """Read samples from the text of a table, each row a case."""
    sheet = _sheet_of(name, text)
    layout = read_layout(sheet)
    rows = list(sample_rows(sheet, layout.row))
    if not rows:
        raise BadInput("there are no samples", where=name, right="add a row for each sample below the header")
    if len(rows) > MOST_SAMPLES:
        right = f"divide the table into files of at most {MOST_SAMPLES} samples"
        raise BadInput(f"there are {len(rows)} samples", where=name, right=right)
    read = (_sample(name, row, cells, layout, prefix) for row, cells in rows)
    return Samples(name, packed_of(text), tuple(_told_apart(read, register)), layout.notices)


def read_json(name: str, text: str, register: Register) -> Samples | FieldEvents:
    """Read a whole case, or the events of a phone."""
    data = json_from(text, _ADVICE, where=name)
    schema = data.get("schema") if isinstance(data, dict) else None
    if schema == EVENTS:
        return _events(name, data, register)
    if schema != CASE:
        raise BadInput(f"the schema is {str(schema)[:40]!r}", where=name, right=_ADVICE.shape)
    case = Case.of(data, where=name)
    said = ", ".join(filter(None, (case.title, case.machine, f"{len(case.evidence.readings)} readings")))
    one = Sample(0, case.case, case.case, data, said)
    return Samples(name, packed_of(text), tuple(_told_apart(iter([one]), register)), tuple(case.warnings()))


def packed_of(text: str) -> str:
    """Pack a text so that a form can carry it.

    Raises
    ------
    BadInput
        If it is too long for that.

    >>> unpacked(packed_of("sample,mark"))
    'sample,mark'
    """
    made = base64.urlsafe_b64encode(zlib.compress(text.encode("utf-8", "replace"), 6)).decode()
    if len(made) > MOST_PACKED:
        raise BadInput("the file holds too much for one import", right="divide it into several files")
    return made


def unpacked(packed: str) -> str:
    """Give a text that was packed.

    Raises
    ------
    BadInput
        If it was cut off, or is none of ours.
    """
    try:
        unpack = zlib.decompressobj()
        data = unpack.decompress(base64.urlsafe_b64decode(packed), LIMITS.text_bytes)
        text = str(data, "utf-8") if unpack.eof else None
    except (ValueError, binascii.Error, zlib.error):
        text = None
    if text is None:
        raise BadInput("the preview came back damaged", right="choose the file again")
    return text


def case_number(sample: str, prefix: str = "") -> str:
    """Give the number of the case of a sample.

    >>> case_number("A 17/3", "HV-"), case_number("-")
    ('HV-A-17-3', '-')
    """
    return _NO_ID.sub("-", f"{prefix.strip()}{sample.strip()}")[:64]


def _packed(name: str, packed: str, register: Register, prefix: str) -> Samples | FieldEvents:
    called, text = shown_name(name) or "file", unpacked(packed)
    if called.lower().endswith(".json"):
        return read_json(called, text, register)
    return read_table(called, text, register, prefix)


def _as_csv(name: str, data: bytes) -> str:
    """Give a table as text, each row where it was, so that a preview and its confirmation read the same."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    for _, block in opened_table(name, data).blocks():
        writer.writerows(block)
    return out.getvalue()


def opened_table(name: str, data: bytes) -> Sheet:
    """Read a table by the one reader of files, which wants a path; the path is not told."""
    with tempfile.TemporaryDirectory(prefix="chaincase-") as folder:
        path = Path(folder) / f"table{Path(name).suffix.lower()[:10]}"
        path.write_bytes(data)
        try:
            opened = read_sheet(path, limits=LIMITS)
            blocks = list(opened.blocks())
        except BadInput as fault:
            raise _named(fault, str(path), name) from None
    return replace(opened, file=name, read=lambda: (cells for _, block in blocks for cells in block))


def _sheet_of(name: str, text: str) -> Sheet:
    return Sheet(name, "", (), lambda: csv.reader(io.StringIO(text, newline="")), LIMITS)


def _named(fault: BadInput, path: str, name: str) -> BadInput:
    if isinstance(fault, BadInputs):
        return BadInputs([_named(each, path, name) for each in fault.faults])
    return BadInput(fault.what.replace(path, name), where=fault.where.replace(path, name), right=fault.right)


def _sample(name: str, row: int, cells: list[str], layout: Layout, prefix: str) -> Sample:
    sample = cell(cells, layout.sample)
    case = case_number(sample, prefix)
    if not sample:
        return Sample(row, "", "", {}, "", (f"{layout.place(layout.sample)}: the sample has no id; give it one",))
    try:
        evidence = evidence_of(cells, layout)
    except BadInput as fault:
        several = fault.faults if isinstance(fault, BadInputs) else (fault,)
        return Sample(row, sample, case, {}, "", tuple(str(each) for each in several))
    passed = {named: cell(cells, column) for named, column in layout.passed}
    site, machine, position, notes = (passed.get(each, "") for each in PASSED)
    said = evidence.model_dump(mode="json", by_alias=True, exclude_defaults=True)
    content = {
        "title": ", ".join(filter(None, (f"sample {sample}", machine or site))),
        "plant": site,
        "machine": machine,
        "position": position,
        "notes": " ".join(filter(None, (notes, f"Brought in from {name}, row {row}."))),
        "evidence": {key: value for key, value in said.items() if key != "schema"},
    }
    says = ", ".join([*(m.text for m in evidence.marks), *evidence.construction, *_readings(evidence.readings)])
    return Sample(row, sample, case, {key: value for key, value in content.items() if value}, says)


def _readings(readings: Any) -> Iterator[str]:
    for each in readings:
        yield f"{each.dimension.replace('_', ' ')} {each.value}"


def _told_apart(samples: Iterator[Sample], register: Register) -> Iterator[Sample]:
    """Leave out what would be a case of the same number as another."""
    seen: dict[str, str] = {}
    for each in samples:
        place = f"row {each.row}" if each.row else "this file"
        if each.case in seen:
            yield replace(each, faults=(*each.faults, f"case {each.case} is that of {seen[each.case]} already"))
        elif each.case and _is_taken(register, each.case):
            yield replace(each, faults=(*each.faults, f"there is a case {each.case} in the register already"))
        else:
            yield each
        if each.case:
            seen.setdefault(each.case, place)


def _is_taken(register: Register, case: str) -> bool:
    try:
        register.cases.open(case)
    except Missing:
        return False
    return True


def _events(name: str, data: dict[str, Any], register: Register) -> FieldEvents:
    case, events = data.get("case"), data.get("events")
    if not isinstance(case, str) or not isinstance(events, list):
        raise BadInput("case or events are missing", where=name, right="give the file as the phone wrote it")
    if len(events) > MOST_EVENTS:
        raise BadInput(f"there are {len(events)} events", where=name, right=f"give up to {MOST_EVENTS} in one file")
    faults: list[BadInput] = []
    for number, each in enumerate(events):
        try:
            Event.of(each, where=f"{name}: events[{number}]")
        except BadInput as fault:
            faults += fault.faults if isinstance(fault, BadInputs) else [fault]
    if faults:
        raise faults[0] if len(faults) == 1 else BadInputs(faults)
    opened = register.cases.open(case)
    known = frozenset(change.id for change in register.cases.history(case, limit=MOST_EVENTS))
    title = str(opened.content.get("title", ""))
    return FieldEvents(name, packed_of(json.dumps(data)), case, title, tuple(events), known)
