"""`chaincase case add`: put readings, marks, attachments, features, records, photographs ... into a case file."""

import hashlib
from collections.abc import Iterator
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any, Final

import click

from chaincase.case import typed
from chaincase.case.changes import changes
from chaincase.case.editing import check_place, joined, with_entry, with_more, with_value, without
from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.case.found import Findings
from chaincase.catalog.sheets import read_text
from chaincase.cli import case_words
from chaincase.cli.case_file import one_at_a_time, read_case, write_case
from chaincase.cli.identify import with_user_catalogs
from chaincase.cli.terminal import printable
from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, check_object, json_from
from chaincase.identifying.construction import known_words, unknown_words

_MOST_BYTES: Final = 200_000_000
_ADVICE: Final = Advice(
    "can be used", "write a finite number", "write quantities as text", "", "write one object {...}"
)
_DUTIES: Final = {
    "chaincase/length-1": "duty.length",
    "chaincase/pull-1": "duty.pull",
    "chaincase/drive-1": "duty.drive",
    "chaincase/wear-1": "duty.wear",
    "chaincase/verdict-1": "duty.verdict",
    "chaincase/sprocket-1": "duty.sprockets",
}
_LINES: Final = {
    "readings": ("evidence.readings", typed.reading),
    "spacing": ("spacing.observations", typed.spacing),
    "strand": ("strands.observations", typed.strand),
    "attachment": ("attachments", typed.attachment),
    "wheel": ("wheels", typed.wheel),
}


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("places", nargs=-1, required=True, metavar="PLACE...")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
def drop(file: Path, places: tuple[str, ...], catalogs: tuple[str, ...]) -> None:
    """Take entries out of the case in FILE that were typed wrong: 'evidence.readings[2]', counted from 0."""
    with one_at_a_time(file):
        before = after = read_case(file)
        for place in sorted(set(places), key=_late_first):
            after = without(after, place)
        catalog = with_user_catalogs(catalogs)
        found = find(after, catalog)
        write_case(after, file)
    click.echo(printable("\n".join(case_words.changed(changes(find(before, catalog), found), found))))


def _late_first(place: str) -> tuple[str, int]:
    """Put later entries of a list first, so that the places of the others stay true."""
    head, _, number = place.rstrip("]").rpartition("[")
    return head, -int(number) if number.isdigit() else 0


@click.command(short_help="Add what is known to a case file.")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("readings", nargs=-1, metavar="[READING]...")
@click.option("--mark", multiple=True, metavar="TEXT", help="A stamp: ? one illegible character, * any number missing.")
@click.option("--saw", multiple=True, metavar="KIND", help="What the eye sees, such as 'offset sidebar'.")
@click.option("--wheel", multiple=True, metavar="WHAT", help="'17 teeth, outside diameter 151.2 mm, stamped 80B17'.")
@click.option("--attachment", multiple=True, metavar="WHAT", help="'bent, both sides, 2 holes, code K2, width 3 in'.")
@click.option("--plain", is_flag=True, help="Somebody looked along the whole chain: no attachments.")
@click.option("--spacing", multiple=True, metavar="WHAT", help="'12', '48 1/2 in over 2', '4 4 5', 'on outer'.")
@click.option("--pattern", metavar="NOTATION", help="Settle the pattern, such as K2@4.")
@click.option("--strand", multiple=True, metavar="LENGTH", help="'240' pitches counted, or '20.4 m' taped.")
@click.option("--feature", multiple=True, metavar="NAME=VALUE", help="'material=304 stainless', 'coating=none'.")
@click.option("--part", default="", help="Part that the features are of: pins, sidebars ...")
@click.option("--state", type=click.Choice(["reported", "observed", "ruled out", "unknown"]), help="Of the features.")
@click.option("--how", default="", help="By which check or paper.")
@click.option("--record", multiple=True, metavar="TEXT", help="A line out of old papers, as it stands there.")
@click.option("--photo", multiple=True, type=click.Path(path_type=Path), help="A photograph; kept by its content.")
@click.option("--where", default="", help="Where the mark stands, which paper it is, or what the photograph shows.")
@click.option("--duty", multiple=True, type=click.Path(path_type=Path), help="A duty form: length, pull, drive, wear.")
@click.option("--candidate", metavar="CHAIN", help="Hold this replacement against the duty, not the chain of the case.")
@click.option("--working-load", metavar="FORCE", help="What the maker lets one strand of it pull, such as 31 kN.")
@click.option("--choose", metavar="CHAIN", help="Settle which chain it is.")
@click.option("--set", "settings", multiple=True, metavar="PLACE=VALUE", help="'strands.number=2', 'title=Elevator'.")
@click.option("--assume", multiple=True, metavar="GAP=TEXT", help="Accept an assumption instead of an answer.")
@click.option("--why", default="", help="Why it is chosen or assumed.")
@click.option("--from", "sheet", type=click.Path(path_type=Path), help="A filled-in sheet, or a phone's file.")
@click.option("--by", default="", help="Who says so; needed to settle or to assume something.")
@click.option("--on", default="", help="When, such as 2025-03-01; today if not given.")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
def add(file: Path, catalogs: tuple[str, ...], **given: Any) -> None:
    """Add to the case in FILE, and say what that changed.

    A READING is one line in quotes: 'pitch 163.5 mm tape inner', 'roller diameter 58.7 mm digital caliper',
    'pitch 24 3/8 in tape same edge over 4'. Nothing is written unless all of it can be used.
    """
    with one_at_a_time(file):
        before = read_case(file)
        after = _added(before, given)
        if after == before:
            raise BadInput("nothing to add", right="give a reading or an option; see: chaincase case add --help")
        catalog = with_user_catalogs(catalogs)
        was, found = find(before, catalog), find(after, catalog)
        _check_gaps(given["assume"], found)
        write_case(after, file)
    said = changes(was, found)
    mind = [words for words in found.warnings if words not in was.warnings]
    click.echo(printable("\n".join(case_words.changed(said, found, mind))))


def _check_gaps(assumed: tuple[str, ...], found: Findings) -> None:
    """Refuse an assumption on something that is no gap, which would close nothing."""
    keys = {gap.key for gap in found.gaps}
    for text in assumed:
        key = typed.assumption(text)["gap"]
        if key not in keys:
            near = get_close_matches(key, keys, n=1)
            right = f"did you mean {near[0]}" if near else f"use one of: {', '.join(sorted(keys))}"
            raise BadInput(f"{key[:60]!r} is no gap of this case", where="--assume", right=right)


def _added(before: Case, given: dict[str, Any]) -> Case:
    """Give the case with all that was given; every fault is told at once."""
    who = {key: value for key, value in (("by", given["by"]), ("on", given["on"] or _today())) if value}
    case = before
    for place, entry in _typed(given, who):
        case = with_more(case, place, entry) if isinstance(place, int) else with_entry(case, place, entry)
    for where, other in _others(given, who):
        case = with_entry(case, where, other)
    for single, value in _settled(before, given, who):
        case = with_value(case, single, value)
    for single, value in map(typed.setting, given["settings"]):
        check_place(single)
        case = with_value(case, single, value)
    if given["sheet"] is not None and given["sheet"].suffix.lower() == ".json":
        from chaincase.cli.case_events import with_events  # only this option needs the register's rules

        return with_events(case, given["sheet"])
    for fragment in _from_sheet(given["sheet"], case.case):
        case = joined(case, fragment)
    return case


def _typed(given: dict[str, Any], who: dict[str, str]) -> list[tuple[str | int, dict[str, Any]]]:
    """Give what was typed in lines, each with its list, or the number of the attachment that it says more of."""
    entries, faults = list[tuple[str | int, dict[str, Any]]](), list[BadInput]()
    for name, (place, read) in _LINES.items():
        for line in given[name]:
            number, rest = typed.numbered(line) if name == "attachment" else (None, line)
            try:
                told = read(rest)
            except BadInput as fault:
                faults.append(fault.within(name.removesuffix("s")))
                continue
            entries.append((_place(place, told), {**told, **who}) if number is None else (number, told))
    if faults:
        raise faults[0] if len(faults) == 1 else BadInputs(faults)
    return entries


def _place(place: str, told: dict[str, Any]) -> str:
    """Give the list an entry belongs to: a wheel of which only the teeth are known says nothing of the identity."""
    counted = place == "wheels" and not told.keys() & {"readings", "text"}
    return "duty.sprockets" if counted else place


def _today() -> str:
    return date.today().isoformat()  # noqa: DTZ011 - the day of whoever types


def _others(given: dict[str, Any], who: dict[str, str]) -> Iterator[tuple[str, Any]]:
    where = {"where": given["where"]} if given["where"] else {}
    for text in given["mark"]:
        yield "evidence.marks", {"text": text, **where, **who}
    for kind in given["saw"]:
        if unknown_words((kind,)):
            raise BadInput(f"--saw {kind!r:.60} is no kind of chain", right=f"use one of: {', '.join(known_words())}")
        yield "evidence.construction", kind
    for text in given["feature"]:
        told = typed.feature(text, part=given["part"], state=given["state"] or "", how=given["how"])
        yield "features", {**told, **who}
    for text in given["record"]:
        yield "records", {"text": text, **where, **who}
    for photo in given["photo"]:
        yield "photographs", {**_photograph(photo), **({"shows": given["where"]} if where else {}), **who}
    for text in given["assume"]:
        yield "assumptions", {**typed.assumption(text), **_named(given, who, "--assume"), **_why(given)}
    for path in given["duty"]:
        place, form = _form(path)
        if place == "duty.sprockets":
            yield place, {**form, **who}


def _settled(before: Case, given: dict[str, Any], who: dict[str, str]) -> Iterator[tuple[str, Any]]:
    if given["choose"]:
        yield "chosen", {"designation": given["choose"], **_named(given, who, "--choose"), **_why(given)}
    if given["pattern"]:
        yield "pattern", {"notation": given["pattern"], **_named(given, who, "--pattern")}
    verdict = {key: given[key] for key in ("candidate", "working_load") if given[key]}
    if verdict:
        yield "duty.verdict", {**(before.duty.verdict or {}), **verdict}
    if given["plain"]:
        yield "plain", {**_named(given, who, "--plain"), **({"how": given["how"]} if given["how"] else {})}
    for path in given["duty"]:
        place, form = _form(path)
        if place != "duty.sprockets":
            yield place, form


def _named(given: dict[str, Any], who: dict[str, str], option: str) -> dict[str, str]:
    if not given["by"].strip():
        raise BadInput(f"{option} settles something, and nobody is named", right="say who decides: --by NAME")
    return who


def _why(given: dict[str, Any]) -> dict[str, str]:
    return {"why": given["why"]} if given["why"] else {}


def _photograph(path: Path) -> dict[str, str]:
    try:
        if not path.is_file():
            what = "this is not a file" if path.exists() else "there is no such file"
            raise BadInput(what, where=str(path), right="name a photograph")
        if path.stat().st_size > _MOST_BYTES:
            raise BadInput("is larger than 200 MB", where=str(path), right="give a photograph")
        content = path.read_bytes()
    except OSError as fault:
        raise BadInput(f"cannot be read: {fault.strerror}", where=str(path), right="name a photograph") from None
    return {"file": path.name, "sha256": hashlib.sha256(content).hexdigest()}


def _form(path: Path) -> tuple[str, dict[str, Any]]:
    """Give the place of a duty form in a case, by its schema, and the form."""
    data = json_from(read_text(path), _ADVICE, where=str(path))
    check_object(data, _ADVICE, where=str(path))
    place = _DUTIES.get(str(data.get("schema")))
    if place is None:
        right = f"its schema must be one of: {', '.join(_DUTIES)}"
        raise BadInput(f"schema {data.get('schema')!r:.60}", where=str(path), right=right)
    return place, data


def _from_sheet(sheet: Path | None, number: str) -> list[dict[str, Any]]:
    if sheet is None:
        return []
    from chaincase.documents.sheet_reading import read_sheet  # only this option needs workbooks

    fragment = read_sheet(sheet)
    other = fragment.get("case", "")
    if other not in {"", number}:
        right = "add it to the file of its own case"
        raise BadInput(f"this sheet is of case {other}, not {number}", where=str(sheet), right=right)
    return [fragment]
