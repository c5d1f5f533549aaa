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
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import archive, journal, keeping, schema, searching
from chaincase.register.folded import CASE, noted
from chaincase.register.folding import fold

if TYPE_CHECKING:
    from chaincase.register.opening import Register

_FILE = re.compile(r"files/[0-9a-f]{64}")
_MEMBER = re.compile(r"(journal|cases|secrets|tables/[a-z_]{1,40})\.jsonl|files/[0-9a-f]{64}")
_LONGEST_LINE: Final = 8_000_000
_LARGEST_MANIFEST: Final = 200_000_000
_LOT: Final = 2_000
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
    newest = sa.select(event.c.key, sa.func.max(event.c.number), sa.func.max(event.c.at), sa.func.min(event.c.at))
    newest = newest.where(event.c.entity == CASE, event.c.number > after).group_by(event.c.key)
    changed = {key: (number, at, first) for key, number, at, first in connection.execute(newest)}
    for line in _lines(opened, archive.CASES):
        if line["case"] in changed:
            number, at, first = changed[line["case"]]
            _make_case(connection, line, number, (first, at))
    return len(changed)


def _make_case(connection: sa.Connection, line: dict[str, Any], number: int, moments: tuple[str, str]) -> None:
    case = line["case"]
    folding = fold(noted(connection, case))
    said = keeping.said_of(folding) | {"moved": number, "updated": moments[1]}
    summary = {name: line["summary"][name] for name in archive.SUMMARY} if line["version"] == folding.version else {}
    gaps = json.loads(summary.get("gaps", "[]"))
    table, row = schema.cases, {"gaps": "[]", "designation": "", "ready": "", **said, **summary}
    if connection.execute(sa.update(table).where(table.c.key == case).values({**said, **summary})).rowcount == 0:
        connection.execute(sa.insert(table).values({**said, **summary, "key": case, "created": moments[0]}))
    connection.execute(sa.delete(schema.case_gap).where(schema.case_gap.c.case == case))
    if gaps:
        rows = [{"gap": gap, "moved": number, "case": case} for gap in dict.fromkeys(gaps)]
        connection.execute(sa.insert(schema.case_gap), rows)
    searching.keep(connection, [keeping.page_of(case, folding.content, row)])


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
