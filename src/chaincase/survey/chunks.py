"""The rows of a survey in chunks, and the journal of those that are done, which lets a stopped survey go on.

The journal is a folder beside the output, `OUT.part`. Each line of its file holds one chunk's answers behind a
checksum, so that a line cut off by a kill is known and dropped; lines stand in the order in which chunks were
done. The first line says what the answers belong to: if that changed, the survey starts anew.
"""

import json
import os
import shutil
import sys
import zlib
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import asdict, dataclass
from hashlib import sha256
from itertools import islice
from pathlib import Path
from time import monotonic
from types import TracebackType
from typing import Any, BinaryIO, Final, Self

from chaincase.catalog.sheets import Sheet
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.survey.answering import Answer, NumberedRow

CHUNK_ROWS = 25
"""Rows done together, between two lines of the journal: few enough that little is lost in a kill."""
SCHEMA: Final = "chaincase/survey-journal-1"
_FILE = "answers.jsonl"
_WRITING = "writing"
_SYNC_SECONDS = 1.0
"""A kill loses nothing that was handed to the system; only a power cut does, and at most this much."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """Some rows of the sheet: the `index`-th lot of `CHUNK_ROWS`, each with its row number."""

    index: int
    rows: tuple[NumberedRow, ...]


@dataclass(frozen=True, slots=True)
class Origin:
    """What the answers of a journal belong to.

    Attributes
    ----------
    input, catalog : str
        Digests of the sheet's cells and of the tables searched.
    program : str
        Version that computes.
    rows : int
        Samples.
    chunk_rows : int
        Rows per chunk.
    """

    input: str
    catalog: str
    program: str
    rows: int
    chunk_rows: int = CHUNK_ROWS

    @property
    def chunks(self) -> int:
        """Number of chunks."""
        return -(-self.rows // self.chunk_rows)

    def changes(self, before: dict[str, Any]) -> str:
        """Say what is not as it was when a journal was begun."""
        words = {"input": "the input", "catalog": "the catalog", "program": "the program"}
        now = asdict(self)
        return " and ".join(word for name, word in words.items() if now[name] != before.get(name)) or "its form"


def sample_rows(sheet: Sheet, header_row: int) -> Iterator[NumberedRow]:
    """Give the rows below the header with their numbers, without the empty ones."""
    for row, cells in sheet.rows():
        if row > header_row and any(cell and not cell.isspace() for cell in cells):
            yield row, cells


def chunks_of(rows: Iterator[NumberedRow], size: int = CHUNK_ROWS) -> Iterator[Chunk]:
    """Give the rows in chunks.

    >>> [len(chunk.rows) for chunk in chunks_of(iter([(2, ["A"]), (3, ["B"]), (5, ["C"])]), 2)]
    [2, 1]
    """
    index = 0
    while lot := tuple(islice(rows, size)):
        yield Chunk(index, lot)
        index += 1


def digest_of_catalog(catalog: Catalog) -> str:
    """Give a digest of everything in a catalog that an answer can depend on."""
    found = sha256()
    for array in (catalog.source, catalog.kind, catalog.strands, catalog.values, catalog.limits, catalog.trust):
        found.update(array.tobytes())
    sources = [[source.name, source.title] for source in catalog.sources]
    found.update(json.dumps([catalog.designations, catalog.alternatives, sources]).encode())
    return found.hexdigest()


class Journal:
    """The chunks that are done, on disk; a context that is left with the file closed.

    Attributes
    ----------
    anew : str
        What changed since an earlier journal that was thrown away; empty if there was none or it goes on.
    """

    def __init__(self, output: Path, origin: Origin) -> None:
        """Open the journal beside an output, or begin one.

        Raises
        ------
        BadInput
            If the folder cannot be written, or another survey is writing the same output.
        """
        self.folder = output.with_name(f"{output.name}.part")
        self._origin = origin
        self._place: dict[int, int] = {}
        self._synced = monotonic()
        self.anew = ""
        try:
            self.folder.mkdir(exist_ok=True)
            self._file = _opened(self.folder / _FILE)
        except OSError as fault:
            reason = fault.strerror or str(fault)
            right = "name an output in a folder that exists and can be written"
            raise BadInput(f"nothing can be written beside it ({reason})", where=str(output), right=right) from None
        try:
            _lock(self._file, output)
            self._go_on_or_begin()
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, value: BaseException | None, at: TracebackType | None) -> None:
        self._file.close()

    @property
    def done(self) -> frozenset[int]:
        """Indexes of the chunks that are done."""
        return frozenset(self._place)

    def add(self, index: int, answers: Sequence[Answer]) -> None:
        """Keep the answers of one chunk."""
        if index in self._place:
            return
        self._file.seek(0, os.SEEK_END)
        place = self._file.tell()
        self._file.write(_line([index, [answer.cells() for answer in answers]]))
        self._file.flush()
        self._place[index] = place
        if monotonic() - self._synced > _SYNC_SECONDS:
            os.fsync(self._file.fileno())
            self._synced = monotonic()

    def answers(self) -> Iterator[Answer]:
        """Give the answers in the order of the rows.

        Raises
        ------
        KeyError
            If a chunk is not done yet.
        """
        for index in range(self._origin.chunks):
            self._file.seek(self._place[index])
            _, answers = json.loads(self._file.readline()[9:])
            yield from map(Answer.of_cells, answers)

    def workroom(self) -> Path:
        """Give a folder for files that are being written, empty."""
        room = self.folder / _WRITING
        shutil.rmtree(room, ignore_errors=True)
        room.mkdir()
        return room

    def remove(self) -> None:
        """Remove the journal, when the output stands in its place; what is not ours stays."""
        shutil.rmtree(self.folder / _WRITING, ignore_errors=True)
        self._file.close()
        with suppress(OSError):
            (self.folder / _FILE).unlink()
            self.folder.rmdir()

    def _go_on_or_begin(self) -> None:
        head = _read_line(self._file.readline())
        now = {"schema": SCHEMA, **asdict(self._origin)}
        if head == now:
            self._find_chunks()
            return
        if isinstance(head, dict):
            self.anew = self._origin.changes(head)
        self._file.seek(0)
        self._file.truncate()
        self._file.write(_line(now))
        self._file.flush()

    def _find_chunks(self) -> None:
        """Find where each chunk stands, and cut off a last line that was not written to its end."""
        place = self._file.tell()
        while isinstance(found := _read_line(line := self._file.readline()), list):
            self._place[found[0]] = place
            place += len(line)
        self._file.truncate(place)


def _line(content: object) -> bytes:
    text = json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode()
    return b"%08x %s\n" % (zlib.crc32(text), text)


def _read_line(line: bytes) -> Any:
    """Give what a line holds; None if it is not whole."""
    checksum, _, text = line.removesuffix(b"\n").partition(b" ")
    whole = line.endswith(b"\n") and checksum == b"%08x" % zlib.crc32(text)
    return json.loads(text) if whole else None


def _opened(path: Path) -> BinaryIO:
    """Open a file for reading and writing, made if it is not there, without emptying it."""
    return os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644), "r+b")


def _lock(file: BinaryIO, output: Path) -> None:
    """Keep a second survey away from the same output; the system lifts the lock when this process ends.

    Raises
    ------
    BadInput
        If another process has it.
    """
    busy = BadInput("another survey is writing this output", where=str(output), right="wait for it, or name another")
    try:
        if sys.platform == "win32":
            import msvcrt

            file.seek(2**40)  # a byte far behind the end, as a locked one cannot be read
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
            file.seek(0)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        raise busy from None
    except OSError:
        return  # some network drives have no locks
    if os.fstat(file.fileno()).st_nlink == 0:  # the other one ended, and removed the file, in this instant
        raise busy
