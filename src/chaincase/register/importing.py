"""Bringing in an archive: checked whole first, then all of it or nothing.

The journal comes in word for word, with its numbers and hashes; everything else is made from it. So it goes into an
empty register, or into one whose journal is the beginning of the archive's.
"""

import json
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import archive, journal, keeping, schema, searching
from chaincase.register.folded import CASE, noted
from chaincase.register.folding import fold
from chaincase.register.summaries import Summary

if TYPE_CHECKING:
    from chaincase.register.opening import Register

_FILE = re.compile(r"files/[0-9a-f]{64}")
_MEMBER = re.compile(r"(journal|cases|secrets|tables/[a-z_]{1,40})\.jsonl|files/[0-9a-f]{64}")
_LONGEST_LINE: Final = 8_000_000
_LARGEST_MANIFEST: Final = 200_000_000
_LOT: Final = 1_000
_RIGHT: Final = "take another archive; nothing was changed"


@dataclass(frozen=True, slots=True)
class Brought:
    """What came in: entries of the journal, cases that they made or changed, files."""

    entries: int
    cases: int
    files: int


def bring_in(register: "Register", path: Path) -> Brought:
    """Bring in an archive.

    Raises
    ------
    BadInput
        If it cannot be read, is damaged, or is from another register; nothing is changed.
    """
    try:
        with zipfile.ZipFile(path) as opened:
            manifest = _manifest(opened, str(path))
            _check_members(opened, manifest, str(path))
            return _bring_in(register, opened, manifest, str(path))
    except FileNotFoundError:
        raise BadInput("there is no such file", where=str(path)) from None
    except IsADirectoryError:
        raise BadInput("this is a folder", where=str(path), right="name an archive") from None
    except (zipfile.BadZipFile, zipfile.LargeZipFile, EOFError, NotImplementedError, RuntimeError) as fault:
        raise BadInput(f"this is no sound archive ({fault})", where=str(path), right=_RIGHT) from None


def _manifest(opened: zipfile.ZipFile, where: str) -> archive.Manifest:
    try:
        with opened.open(archive.MANIFEST) as member:
            data = json.loads(member.read(_LARGEST_MANIFEST))
        manifest = archive.Manifest(**data)
    except (KeyError, ValueError, TypeError):
        raise BadInput("this is no archive of a register", where=where, right=_RIGHT) from None
    if manifest.schema != archive.SCHEMA:
        raise BadInput(f"{str(manifest.schema)[:60]!r} is not a form known here", where=where, right="update chaincase")
    return manifest


def _check_members(opened: zipfile.ZipFile, manifest: archive.Manifest, where: str) -> None:
    """Read every member once, by its stated size, and hold it against its hash."""
    named = set(opened.namelist()) - {archive.MANIFEST}
    if named != set(manifest.members) or not {archive.JOURNAL, archive.CASES} <= named:
        raise BadInput("members are missing or were added", where=where, right=_RIGHT)
    for name, said in manifest.members.items():
        if not _MEMBER.fullmatch(name) or _digest(opened, name, said) != said["sha256"]:
            raise BadInput(f"{name[:80]!r} is not as it was written", where=where, right=_RIGHT)
        if _FILE.fullmatch(name) and said["sha256"] != name.removeprefix("files/"):
            raise BadInput(f"{name} holds another file", where=where, right=_RIGHT)


def _digest(opened: zipfile.ZipFile, name: str, said: dict[str, Any]) -> str:
    digest, left = sha256(), int(said["bytes"])
    with opened.open(name) as member:
        while block := member.read(1 << 20):
            left -= len(block)
            if left < 0:  # more than stated: whatever it is, it is not read on
                return ""
            digest.update(block)
    return digest.hexdigest()


def _bring_in(register: "Register", opened: zipfile.ZipFile, manifest: archive.Manifest, where: str) -> Brought:
    files = [name for name in manifest.members if _FILE.fullmatch(name)]
    for name in files:
        register.files.put(opened.read(name))
    with register.store.write() as connection:
        before = journal.head_of(connection)
        _check_same(opened, manifest, before, where)
        entries = _add_journal(connection, opened, before, where)
        cases = _make_cases(connection, opened, before.number)
        _make_records(register, connection, before.number)
        if before.number == 0 and archive.SECRETS in manifest.members:
            _keep_secrets(connection, opened)
    return Brought(entries, cases, len(files))


def _check_same(opened: zipfile.ZipFile, manifest: archive.Manifest, before: journal.Head, where: str) -> None:
    verdict = journal.check(_lines(opened, archive.JOURNAL), (manifest.entries, manifest.hash))
    if verdict.fault is not None or verdict.sound != manifest.entries:
        raise BadInput(verdict.fault or "the journal is longer than stated", where=where, right=_RIGHT)
    if before.number == 0:
        return
    same = next((row for row in _lines(opened, archive.JOURNAL) if row["number"] == before.number), None)
    if same is None or same["hash"] != before.hash:
        right = "bring it into an empty register"
        raise BadInput("the archive is not a later state of this register", where=where, right=right)


def _add_journal(connection: sa.Connection, opened: zipfile.ZipFile, before: journal.Head, where: str) -> int:
    lot: list[dict[str, Any]] = []
    added = 0
    columns = {column.name for column in schema.event.columns}
    for row in _lines(opened, archive.JOURNAL):
        if row.keys() != columns:
            raise BadInput("an entry of the journal has other fields", where=where, right=_RIGHT)
        if row["number"] > before.number:
            lot.append(row)
        if len(lot) == _LOT:
            journal.add_rows(connection, lot)
            added, lot = added + len(lot), []
    if lot:
        journal.add_rows(connection, lot)
    return added + len(lot)


def _make_cases(connection: sa.Connection, opened: zipfile.ZipFile, after: int) -> int:
    """Make the rows of the cases that have new events, with the findings that the archive has for this version."""
    event = schema.event
    newest = sa.select(event.c.key, sa.func.max(event.c.number), sa.func.max(event.c.at))
    newest = newest.where(event.c.entity == CASE, event.c.number > after).group_by(event.c.key)
    changed = {key: (number, at) for key, number, at in connection.execute(newest)}
    wanted = (line for line in _lines(opened, archive.CASES) if line["case"] in changed)
    while lot := [_row_of(connection, line, changed[line["case"]]) for line in islice(wanted, _LOT)]:
        rows = [row for row, _ in lot]
        if after:
            rows = _written_over(connection, rows)
        if rows:
            connection.execute(sa.insert(schema.cases), rows)
        gaps = [gap for row, _ in lot for gap in _gaps_of(row)]
        if gaps:
            connection.execute(sa.insert(schema.case_gap), gaps)
        searching.keep_new(connection, [page for _, page in lot])
    return len(changed)


def _row_of(
    connection: sa.Connection, line: dict[str, Any], newest: tuple[int, str]
) -> tuple[dict[str, Any], searching.Page]:
    """Give the row of a case from its events, and its words; `newest` is number and moment of the last."""
    events = noted(connection, line["case"])
    folding = fold(events)
    fits = line["version"] == folding.version
    found = (
        {name: line["summary"][name] for name in archive.SUMMARY}
        if fits
        else {**keeping.columns_of(Summary(), 0), "ready": ""}
    )
    row = keeping.said_of(folding) | {"key": line["case"], "moved": newest[0], "updated": newest[1], **found}
    row["created"] = events[0].at
    return row, keeping.page_of(line["case"], folding.content, row)


def _gaps_of(row: dict[str, Any]) -> list[dict[str, Any]]:
    found = dict.fromkeys(json.loads(row["gaps"]))
    return [{"gap": gap, "moved": row["moved"], "case": row["key"]} for gap in found]


def _written_over(connection: sa.Connection, rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Write over the rows of cases that are there, clear what hangs on them, and give the rows of the others."""
    names = [row["key"] for row in rows]
    searching.forget(connection, [(CASE, name) for name in names])
    connection.execute(sa.delete(schema.case_gap).where(schema.case_gap.c.case.in_(names)))
    table = schema.cases
    known = set(connection.execute(sa.select(table.c.key).where(table.c.key.in_(names))).scalars())
    for row in rows:
        if row["key"] in known:
            connection.execute(sa.update(table).where(table.c.key == row["key"]).values(row))
    return [row for row in rows if row["key"] not in known]


def _make_records(register: "Register", connection: sa.Connection, after: int) -> None:
    of_kind = {records.kind: records for records in register.records}
    for row in journal.rows_from(connection, after, besides=CASE):
        of_kind[row["entity"]].replay(connection, row)


def _keep_secrets(connection: sa.Connection, opened: zipfile.ZipFile) -> None:
    for line in _lines(opened, archive.SECRETS):
        name, row = line["table"], line["row"]
        if name == "person":
            person = schema.person
            changed = sa.update(person).where(person.c.id == row["id"]).values(password_hash=row["password_hash"])
            connection.execute(changed)
        elif name in archive.SECRET_TABLES:
            connection.execute(sa.insert(sa.table(name, *(sa.column(column) for column in row))).values(row))


def _lines(opened: zipfile.ZipFile, name: str) -> Iterator[dict[str, Any]]:
    with opened.open(name) as member:
        while line := member.readline(_LONGEST_LINE):
            try:
                row = json.loads(line)
            except (ValueError, RecursionError):
                raise BadInput(f"a line of {name} cannot be read", right=_RIGHT) from None
            if not isinstance(row, dict):
                raise BadInput(f"a line of {name} is no object", right=_RIGHT)
            yield row
