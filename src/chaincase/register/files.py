"""Files by the hash of what is in them: written once, never changed, the same content once.

What a file was called elsewhere never becomes part of a path here.
"""

import contextlib
import os
import re
import secrets
import sys
from collections.abc import Container, Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any, Protocol

from chaincase.errors import BadInput
from chaincase.register.faults import Full, Missing, StoreFailed

_HASH = re.compile(r"[0-9a-f]{64}")
_NO_SPACE = (28, 122)
"""ENOSPC, EDQUOT."""


class Files(Protocol):
    """Where files are."""

    def put(self, content: bytes) -> str:
        """Keep a file and give its hash, when it is safe on the disk."""

    def get(self, name: str) -> bytes:
        """Give a file by its hash."""

    def names(self) -> Iterator[str]:
        """Give the hashes of all files."""

    def drop(self, name: str) -> None:
        """Take away a file that nothing refers to."""


def hash_of(content: bytes) -> str:
    """Give the SHA-256 by which a file is known."""
    return sha256(content).hexdigest()


def checked_name(name: str) -> str:
    """Give the hash of a file.

    Raises
    ------
    Missing
        If it is not written like one, so that no path can be made of it.
    """
    if not isinstance(name, str) or not _HASH.fullmatch(name):
        raise Missing.of("file", str(name)[:80])
    return name


class Folder:
    """Files in a folder, 256 folders below it.

    Parameters
    ----------
    root : Path
        Made if it is not there.
    """

    def __init__(self, root: Path) -> None:
        self.root = root

    def put(self, content: bytes) -> str:
        """Write beside, sync, move to its place, sync the folder; a kill leaves the file whole or not at all.

        Raises
        ------
        Full
            If no space is left.
        """
        name = hash_of(content)
        path = self._path(name)
        if path.exists():
            return name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            self._write(path, content)
        except OSError as fault:
            if fault.errno in _NO_SPACE:
                raise Full("no space is left on the disk; the file was not kept") from fault
            raise StoreFailed(f"the file cannot be kept: {fault.strerror}") from fault
        return name

    def get(self, name: str) -> bytes:
        """Give a file, checked against its hash.

        Raises
        ------
        Missing
            If there is none.
        StoreFailed
            If it is not what was written.
        """
        try:
            content = self._path(checked_name(name)).read_bytes()
        except FileNotFoundError:
            raise Missing.of("file", name) from None
        return _sound(name, content)

    def names(self) -> Iterator[str]:
        """Give the hashes of all files."""
        for path in sorted(self.root.glob("??/*")):
            if _HASH.fullmatch(path.name):
                yield path.name

    def drop(self, name: str) -> None:
        """Take away a file."""
        self._path(checked_name(name)).unlink(missing_ok=True)

    def sweep(self, older_than: float, known: Container[str]) -> int:
        """Take away what kills left before a moment (seconds since 1970): half-written files, and those not `known`."""
        left = [path for path in self.root.glob("??/.*.part") if path.stat().st_mtime < older_than]
        for name in self.names():
            path = self._path(name)
            if name not in known and path.stat().st_mtime < older_than:
                left.append(path)
        for path in left:
            path.unlink(missing_ok=True)
        return len(left)

    def _path(self, name: str) -> Path:
        return self.root / name[:2] / name

    @staticmethod
    def _write(path: Path, content: bytes) -> None:
        part = path.with_name(f".{secrets.token_hex(6)}.part")
        try:
            with part.open("xb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        finally:
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)
        sync_folder(path.parent)
        sync_folder(path.parent.parent)


class Elsewhere:
    """Files in any store that fsspec knows, such as object storage; it writes a file whole or not at all.

    Parameters
    ----------
    url : str
        Such as `s3://bucket/folder` (which needs its own driver).
    """

    def __init__(self, url: str) -> None:
        import fsspec  # type: ignore[import-untyped]  # only here, as most registers keep files in a folder

        try:
            found = fsspec.core.url_to_fs(url)
        except (ValueError, ImportError) as fault:
            raise BadInput(f"files cannot be kept at {url!r}: {fault}", where="files") from None
        self._system: Any = found[0]
        self._root = str(found[1]).rstrip("/")

    def put(self, content: bytes) -> str:
        """Keep a file and give its hash."""
        name = hash_of(content)
        path = self._path(name)
        if not self._system.exists(path):
            self._system.makedirs(path.rsplit("/", 1)[0], exist_ok=True)
            self._system.pipe_file(path, content)
        return name

    def get(self, name: str) -> bytes:
        """Give a file, checked against its hash.

        Raises
        ------
        Missing
            If there is none.
        StoreFailed
            If it is not what was written.
        """
        try:
            return _sound(name, bytes(self._system.cat_file(self._path(checked_name(name)))))
        except FileNotFoundError:
            raise Missing.of("file", name) from None

    def names(self) -> Iterator[str]:
        """Give the hashes of all files."""
        for path in sorted(self._system.find(self._root)):
            if _HASH.fullmatch(path.rsplit("/", 1)[-1]):
                yield path.rsplit("/", 1)[-1]

    def drop(self, name: str) -> None:
        """Take away a file."""
        with contextlib.suppress(FileNotFoundError):
            self._system.rm_file(self._path(checked_name(name)))

    def _path(self, name: str) -> str:
        return f"{self._root}/{name[:2]}/{name}"


def files_at(place: str | Path) -> Files:
    """Open a folder, or what a URL of fsspec names."""
    return Elsewhere(place) if isinstance(place, str) and "://" in place else Folder(Path(place))


def sync_folder(folder: Path) -> None:
    """Make names in a folder safe on the disk; Windows needs and allows nothing of the kind."""
    if sys.platform == "win32":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _sound(name: str, content: bytes) -> bytes:
    if hash_of(content) != name:
        raise StoreFailed(f"the file {name[:12]}... is not what was written; take it from a backup")
    return content
