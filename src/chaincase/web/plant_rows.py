"""The rows of the plant as forms: what each holds, how it is written down, and what stands below it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput
from chaincase.register.plants import Installed
from chaincase.register.records import Record, Records
from chaincase.units import parse_length, show_length
from chaincase.web.server import Server


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form: `sort` is text, long, number, date or kind."""

    name: str
    label: str
    sort: str = "text"
    hint: str = ""
    required: bool = False


@dataclass(frozen=True, slots=True)
class RowKind:
    """One kind of row.

    Attributes
    ----------
    name : str
        In addresses, and the register's name of the rows.
    one : str
        One of them, in words.
    parent, parents : str
        The field that says what it belongs to, and the rows that that names; empty for customers.
    below : tuple of str and str
        The rows that belong to it, and their field; empty where none do.
    fields : tuple of Field
        What it holds.
    """

    name: str
    one: str
    parent: str
    parents: str
    below: tuple[str, str]
    fields: tuple[Field, ...]


_NOTE: Final = Field("note", "Note", "long")
CHAIN: Final = (
    Field("designation", "Chain number", hint="As on its paper; kind and pitch follow from the tables"),
    Field("kind", "Kind", "kind", "Needed for wear, where the tables do not say it"),
    Field("pitch", "Pitch", hint="4 in; 101.6 mm"),
    Field("strands", "Strands side by side", "number"),
    Field("pitches", "Pitches of a strand", "number"),
    Field("teeth", "Teeth of the largest wheel", "number", "Many teeth lower the limit of wear"),
    Field("pattern", "Attachments", hint="K2 every 4th pitch"),
    Field("case", "Case that it came from", hint="Its number, if there is one"),
)
KINDS_OF_ROWS: Final[Mapping[str, RowKind]] = {
    kind.name: kind
    for kind in (
        RowKind(
            "customers",
            "customer",
            "",
            "",
            ("sites", "customer"),
            (
                Field("name", "Name", required=True),
                Field("number", "Number", hint="Theirs in your books"),
                Field("contact", "Contact", hint="A desk or a role"),
                _NOTE,
            ),
        ),
        RowKind(
            "sites",
            "site",
            "customer",
            "customers",
            ("machines", "site"),
            (Field("name", "Name", required=True), Field("address", "Address", "long"), _NOTE),
        ),
        RowKind(
            "machines",
            "machine",
            "site",
            "sites",
            ("positions", "machine"),
            (
                Field("name", "Name", required=True, hint="As people at the plant call it"),
                Field("number", "Number", hint="Of the plant"),
                _NOTE,
            ),
        ),
        RowKind(
            "positions",
            "position",
            "machine",
            "machines",
            ("installed", "position"),
            (Field("name", "Name", required=True, hint="left strand; bucket chain; drive of the head shaft"), _NOTE),
        ),
        RowKind(
            "installed",
            "chain",
            "position",
            "positions",
            ("", ""),
            (*CHAIN, Field("since", "Runs since", "date"), Field("until", "Taken out on", "date"), _NOTE),
        ),
    )
}
INSTALL: Final = (Field("on", "Put in on", "date", required=True), *CHAIN, _NOTE)
"""What is asked when a chain is put in."""
KIND_CHOICES: Final = tuple((kind.name, kind.label) for kind in KINDS)


def rows_of(server: Server, kind: str) -> Records[Record]:
    """Give the rows of a kind."""
    found: Records[Record] = getattr(server.register, kind)
    return found


def values(row: Record | None, fields: tuple[Field, ...]) -> dict[str, str]:
    """Give what a form shows of a row."""
    said = row.model_dump() if row is not None else {}
    return {field.name: "" if said.get(field.name) is None else str(said[field.name]) for field in fields}


def merged(
    fields: tuple[Field, ...], sent: Mapping[str, str], theirs: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Give what a form shows after somebody else changed the row: both people's words, and theirs where both wrote.

    The form sends beside each field `was-` what it was; a field that its sender left alone becomes theirs.

    >>> both = (Field("name", "Name"), Field("note", "Note"))
    >>> sent = {"name": "DC 2", "was-name": "DC 1", "note": "", "was-note": ""}
    >>> merged(both, sent, {"name": "DC one", "note": "call first"})
    ({'name': 'DC 2', 'note': 'call first'}, {'name': 'DC one'})
    """
    typed: dict[str, str] = {}
    differs: dict[str, str] = {}
    for field in fields:
        mine, was, now = plain(sent, field.name), plain(sent, f"was-{field.name}"), plain(theirs, field.name)
        typed[field.name] = now if mine == was else mine
        if typed[field.name] != now and was != now:
            differs[field.name] = now
    return typed, differs


def plain(sent: Mapping[str, str], name: str) -> str:
    """Give a field as it is kept: without blanks around it, lines ended as everywhere here."""
    return sent.get(name, "").replace("\r\n", "\n").strip()


def written(server: Server, fields: tuple[Field, ...], sent: Mapping[str, str]) -> dict[str, Any]:
    """Give the fields of a row as a form sent them; those of a chain that the tables know are filled from there.

    Raises
    ------
    BadInput
        If a number is none, or a pitch is none.
    """
    said: dict[str, Any] = {}
    for field in fields:
        text = plain(sent, field.name)
        if field.required and not text:
            raise BadInput(f"{field.label.lower()} is missing", where=field.name)
        said[field.name] = _number(field, text) if field.sort == "number" else text
    if "designation" in said:
        said |= _of_tables(server, said)
        said["case"] = said["case"] or None
    return said


def takes_out(server: Server, kind: RowKind, id: str, version: int, *, by: str) -> Record:  # noqa: A002 - the field's name
    """Take a row out of the tree; what stands below it must be out first.

    Raises
    ------
    BadInput
        If something stands below it.
    Overtaken, Missing
        As for the rows.
    """
    below, field = kind.below
    belongs: dict[str, Any] = {field: id}
    if below and rows_of(server, below).find(limit=1, **belongs):
        one = KINDS_OF_ROWS[below].one
        right = f"take out each {one} first, or change it to belong elsewhere"
        raise BadInput(f"a {one} belongs to this {kind.one}", where=kind.name, right=right)
    return rows_of(server, kind.name).remove(id, version, by=by)


def _number(field: Field, text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and len(text) < 8):
        raise BadInput(f"{text[:20]!r} is no whole number", where=field.name, right="write digits only")
    return int(text)


def _of_tables(server: Server, said: Mapping[str, Any]) -> dict[str, Any]:
    """Give kind and pitch of a chain: as said, else as its table says."""
    if said["pitch"] and parse_length(said["pitch"], where="pitch").unit is None:
        raise BadInput(f"{said['pitch'][:20]!r} has no unit", where="pitch", right="write 4 in or 101.6 mm")
    try:
        row = server.catalog.row(said["designation"]) if said["designation"] else -1
    except BadInput:
        row = -1  # a chain in no table is a chain all the same
    if row < 0:
        return {}
    pitch = server.catalog.dimensions_of(row).get("pitch")
    kind = KINDS[int(server.catalog.kind[row])].name
    own = show_length(pitch, "mm") if pitch else ""
    return {"kind": said["kind"] or kind, "pitch": said["pitch"] or own}


def chain_words(row: Installed) -> str:
    """Give a chain in a line.

    >>> chain_words(Installed(id="i", version=1, moved=1, position="p", designation="WR124", pitches=240, strands=2))
    'WR124, 2 strands of 240 pitches'
    """
    length = f"{row.pitches} pitches" if row.pitches else ""
    strands = f"{row.strands} strands" if row.strands and row.strands > 1 else ""
    made = " of ".join(filter(None, (strands, length)))
    return ", ".join(filter(None, (row.designation or row.kind or "a chain that nobody has named", row.pattern, made)))
