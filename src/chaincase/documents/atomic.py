"""Files that are there whole or not at all."""

import os
import secrets
import shutil
from pathlib import Path

from chaincase.errors import BadInput


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file beside its place and then move it there, so that nobody ever finds half of it.

    Raises
    ------
    BadInput
        If its folder does not exist, the path is a folder, or a file is there that may not be written.
    OSError
        If it cannot be written for another reason: a full disk, a folder that may not be written; it names the file.
    """
    if not path.parent.is_dir():
        raise BadInput(f"there is no folder {path.parent}", where=str(path), right="name a folder that exists")
    if path.is_dir():
        raise BadInput("this is a folder", where=str(path), right="name a file")
    if path.exists() and not os.access(path, os.W_OK):
        raise BadInput("this file may not be written", where=str(path), right="name another one, or change its rights")
    part = path.with_name(f".{secrets.token_hex(6)}.part")
    try:
        with part.open("xb") as file:
            file.write(content)
        if path.exists():
            shutil.copymode(path, part)
        part.replace(path)
    except OSError as fault:
        # Names the file, not the part beside it, which nobody knows.
        raise OSError(fault.errno, fault.strerror or str(fault), str(path)) from fault
    finally:
        part.unlink(missing_ok=True)
    return path
