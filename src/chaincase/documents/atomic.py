"""Files that are there whole or not at all."""

import secrets
from pathlib import Path

from chaincase.errors import BadInput


def write_whole(path: Path, content: bytes) -> Path:
    """Write a file beside its place and then move it there, so that nobody ever finds half of it.

    Raises
    ------
    BadInput
        If its folder does not exist, or the path is a folder.
    """
    if not path.parent.is_dir():
        raise BadInput(f"there is no folder {path.parent}", where=str(path), right="name a folder that exists")
    if path.is_dir():
        raise BadInput("this is a folder", where=str(path), right="name a file")
    part = path.with_name(f".{secrets.token_hex(6)}.part")
    try:
        with part.open("xb") as file:
            file.write(content)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return path
