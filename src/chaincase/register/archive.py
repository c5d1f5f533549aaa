"""The archive of a register: one ZIP that holds everything and explains itself.

| member | holds |
|---|---|
| `manifest.json` | form, program, moment, end of the journal, and of each member its SHA-256 and size |
| `journal.jsonl` | every entry of the journal, in order: all that was ever changed |
| `cases.jsonl` | each case as it stands: content (`chaincase/case-1`), filing, findings in short |
| `tables/<kind>.jsonl` | customers, machines and the like as they stand |
| `secrets.jsonl` | in a backup only: what lets people in |
| `files/<SHA-256>` | photographs and papers |

What stands in `cases.jsonl` and `tables/` follows from the journal; it is there for readers.
"""

import json
import os
import secrets as chance
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from hashlib import sha256
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from chaincase import __version__
from chaincase.errors import BadInput
from chaincase.register import journal, schema
from chaincase.register.faults import Full
from chaincase.register.files import sync_folder
from chaincase.register.ids import moment

if TYPE_CHECKING:
    from chaincase.register.opening import Register

SCHEMA: Final = "chaincase/register-archive-1"
MANIFEST: Final = "manifest.json"
JOURNAL: Final = "journal.jsonl"
CASES: Final = "cases.jsonl"
SECRETS: Final = "secrets.jsonl"
SECRET_TABLES: Final = ("account_subjects", "account_tokens", "invitations", "customer_links")
"""Of `accounts` and `passes`; sessions end with a move, and failed tries are forgotten."""
SUMMARY: Final = (
    "gaps",
    "gaps_quote",
    "gaps_make",
    "ready",
    "designation",
    "probability",
    "summarized",
    "summary_fault",
)


@dataclass(frozen=True, slots=True)
class Manifest:
    """What an archive holds.

    Attributes
    ----------
    schema, program, made, kind : str
        Form, version, moment, and `backup` or `export`.
    entries, hash
        Number and hash of the last entry of the journal: to be kept apart, and given to `verify` later.
    members : dict
        Name to SHA-256 and size.
    """

    schema: str
    program: str
    made: str
    kind: str
    entries: int
    hash: str
    members: dict[str, dict[str, Any]]


def write(register: "Register", path: Path, *, secrets: bool) -> Manifest:
    """Write an archive beside its place and move it there when it is whole and safe.

    Raises
    ------
    BadInput
        If its folder does not exist, or the path is a folder.
    Full
        If no space is left.
    """
    if path.is_dir() or not path.parent.is_dir():
        raise BadInput("this is no place for a file", where=str(path), right="name a file in a folder that exists")
    part = path.with_name(f".{chance.token_hex(6)}.part")
    try:
        with part.open("xb") as file:
            os.chmod(part, 0o600)  # noqa: PTH101 - it may hold what lets people in
            manifest = _write_members(register, file, secrets=secrets)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        sync_folder(path.parent)
    except OSError as fault:
        if fault.errno in (28, 122):
            raise Full("no space is left for the archive; nothing was written") from fault
        raise
    finally:
        part.unlink(missing_ok=True)
    return manifest


def _write_members(register: "Register", file: IO[bytes], *, secrets: bool) -> Manifest:
    members: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
        with register.store.read() as connection:
            last = journal.head_of(connection)
            members[JOURNAL] = _lines(archive, JOURNAL, journal.rows_from(connection))
            members[CASES] = _lines(archive, CASES, _cases(connection))
            for records in register.records:
                name = f"tables/{records.kind}.jsonl"
                members[name] = _lines(archive, name, _rows(connection, schema.metadata.tables[records.kind]))
            if secrets:
                members[SECRETS] = _lines(archive, SECRETS, _secrets(connection))
            names = _file_names(connection)
        for name in names:
            members[f"files/{name}"] = _file(archive, f"files/{name}", register.files.get(name))
        made = moment(register.store.clock())
        kind = "backup" if secrets else "export"
        manifest = Manifest(SCHEMA, __version__, made, kind, last.number, last.hash, members)
        archive.writestr(MANIFEST, json.dumps(asdict(manifest), indent=1))
    return manifest


def _lines(archive: zipfile.ZipFile, name: str, rows: Iterable[dict[str, Any]]) -> dict[str, Any]:
    digest, size = sha256(), 0
    with archive.open(name, "w", force_zip64=True) as member:
        for row in rows:
            line = json.dumps(row, ensure_ascii=True, separators=(",", ":")).encode() + b"\n"
            digest.update(line)
            size += len(line)
            member.write(line)
    return {"sha256": digest.hexdigest(), "bytes": size}


def _file(archive: zipfile.ZipFile, name: str, content: bytes) -> dict[str, Any]:
    archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_STORED)  # photographs are packed already
    return {"sha256": sha256(content).hexdigest(), "bytes": len(content)}


def _cases(connection: sa.Connection) -> Iterator[dict[str, Any]]:
    for row in _rows(connection, schema.cases):
        content = json.loads(row["content"])
        filing = content.pop("filing", {})
        summary = {name: row[name] for name in SUMMARY}
        yield {"case": row["key"], "version": row["version"], "content": content, "filing": filing, "summary": summary}


def _rows(connection: sa.Connection, table: sa.Table) -> Iterator[dict[str, Any]]:
    columns = [column for column in table.columns if column.name != "password_hash"]
    key = next(iter(table.primary_key.columns))
    found = connection.execution_options(yield_per=1_000).execute(sa.select(*columns).order_by(key))
    yield from (dict(row) for row in found.mappings())


def _secrets(connection: sa.Connection) -> Iterator[dict[str, Any]]:
    person = schema.person
    for row in connection.execute(sa.select(person.c.id, person.c.password_hash)).mappings():
        yield {"table": "person", "row": dict(row)}
    for name in SECRET_TABLES:
        for row in connection.execute(sa.text(f"SELECT * FROM {name}")).mappings():  # noqa: S608 - a constant
            yield {"table": name, "row": dict(row)}


def _file_names(connection: sa.Connection) -> list[str]:
    names = set(connection.execute(sa.select(schema.photograph.c.id)).scalars())
    names |= set(connection.execute(sa.select(schema.document.c.sha256)).scalars())
    return sorted(names)
