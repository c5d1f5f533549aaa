"""A case in a file: read, changed by one at a time, written whole."""

import contextlib
import json
import os
from collections.abc import Iterator
from pathlib import Path

from chaincase.case.form import Case
from chaincase.catalog.sheets import read_text
from chaincase.documents.atomic import write_whole


def read_case(path: Path) -> Case:
    """Read a case.

    Raises
    ------
    BadInput
        If the file is none; every fault is named with its place.
    """
    return Case.parse(read_text(path), where=str(path))


def write_case(made: Case, path: Path) -> None:
    """Write a case whole or not at all; a link to a file stays one."""
    target = path.resolve() if path.is_symlink() else path
    write_whole(target, (json.dumps(made.as_json(), ensure_ascii=False, indent=2) + "\n").encode())


@contextlib.contextmanager
def one_at_a_time(path: Path) -> Iterator[None]:
    """Wait until nobody else changes the file, so that two who add at once both keep what they added.

    The file itself is locked, not one beside it, so that nothing stays behind when a process is killed. A writer
    puts another file in its place; whoever waited for the old one takes the new one then.
    """
    try:
        import fcntl
    except ImportError:  # Windows: nobody is kept waiting there
        yield
        return
    while True:
        try:
            file = os.open(path, os.O_RDONLY)
        except OSError:  # the reader tells what is wrong with it
            yield
            return
        try:
            fcntl.flock(file, fcntl.LOCK_EX)
            if _still_there(path, file):
                yield
                return
        finally:
            os.close(file)


def _still_there(path: Path, file: int) -> bool:
    try:
        now = path.stat()
    except OSError:
        return False
    held = os.fstat(file)
    return (now.st_dev, now.st_ino) == (held.st_dev, held.st_ino)
