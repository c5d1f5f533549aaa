"""A photograph made anew, and the process apart in which a server does it; it needs pillow alone, to start quickly.

Only JPEG, PNG and WebP by their first bytes; at most 40 million pixels, known before anything is decoded; written anew,
so that nothing that was hidden in the file survives: neither the place where it was taken nor a page behind the
picture. The direction in which the camera was held is applied first.
"""

import io
import json
import struct
import sys
import warnings
from typing import IO, Final

from PIL import Image, ImageOps, UnidentifiedImageError

from chaincase.errors import BadInput, BadInputs

MOST_BYTES: Final = 20 * 1024 * 1024
MOST_PIXELS: Final = 40_000_000
LONGEST_SIDE: Final = 20_000
_JPEG_QUALITY: Final = 90
_FORMATS: Final = {
    "JPEG": (b"\xff\xd8\xff", "image/jpeg"),
    "PNG": (b"\x89PNG\r\n\x1a\n", "image/png"),
    "WEBP": (b"RIFF", "image/webp"),
}
_RIGHT: Final = "send a JPEG, PNG or WebP photograph"
_LENGTH: Final = struct.Struct(">I")
Taken = tuple[bytes, str, int, int]


def taken_in(data: bytes) -> tuple[bytes, str, int, int]:
    """Make a photograph anew.

    Returns
    -------
    tuple of bytes, str, int and int
        The file, its media type, width and height (pixels, as it is looked at).

    Raises
    ------
    BadInput
        If it is too large, of another kind, cut off or damaged.
    """
    if len(data) > MOST_BYTES:
        raise BadInput(f"the photograph has {len(data) / 1e6:.0f} MB", right=f"keep it under {MOST_BYTES >> 20} MB")
    kind = _kind(data)
    try:
        with warnings.catch_warnings(action="ignore"), Image.open(io.BytesIO(data), formats=(kind,)) as image:
            _check_size(*image.size)
            return _made_anew(image, kind)
    except BadInput:
        raise
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError, Image.DecompressionBombError):
        raise BadInput("the photograph is damaged or cut off", right=_RIGHT) from None


def _kind(data: bytes) -> str:
    for kind, (magic, _) in _FORMATS.items():
        if data.startswith(magic) and (kind != "WEBP" or data[8:12] == b"WEBP"):
            return kind
    raise BadInput("this is no photograph that can be read", right=_RIGHT)


def _check_size(width: int, height: int) -> None:
    if width * height > MOST_PIXELS or max(width, height) > LONGEST_SIDE:
        limit = f"keep it under {MOST_PIXELS // 1_000_000} million pixels"
        raise BadInput(f"the photograph has {width} x {height} pixels", right=limit)


def _made_anew(image: Image.Image, kind: str) -> tuple[bytes, str, int, int]:
    image.load()
    ImageOps.exif_transpose(image, in_place=True)
    has_alpha = kind != "JPEG" and ("A" in image.getbands() or "transparency" in image.info)
    mode = "RGBA" if has_alpha else "RGB"
    plain = image if image.mode == mode else image.convert(mode)  # a copy of 40 million pixels is 160 MB
    plain.info.clear()  # comments, color profiles, everything that a writer would carry over
    out = io.BytesIO()
    if kind == "PNG":
        plain.save(out, "PNG", compress_level=6)
    else:
        plain.save(out, kind, quality=_JPEG_QUALITY)
    return out.getvalue(), _FORMATS[kind][1], *plain.size


def send(pipe: IO[bytes], data: bytes) -> None:
    """Send one message."""
    pipe.write(_LENGTH.pack(len(data)))
    pipe.write(data)
    pipe.flush()


def received(pipe: IO[bytes]) -> bytes | None:
    """Give the next message; None at the end."""
    head = pipe.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    length = int(_LENGTH.unpack(head)[0])
    data = pipe.read(length)
    return data if len(data) == length else None


def _serve(asking: IO[bytes], answering: IO[bytes]) -> None:
    """Be the process: decode one photograph after another until the pipe is closed."""
    while (data := received(asking)) is not None:
        content = b""
        said: dict[str, str | int] = {"what": "", "where": "", "right": ""}
        try:
            content, media_type, width, height = taken_in(data)
            said |= {"media_type": media_type, "width": width, "height": height}
        except MemoryError:
            said["what"] = "memory"
        except BadInput as fault:
            first = fault.faults[0] if isinstance(fault, BadInputs) else fault
            said = {"what": first.what, "where": first.where, "right": first.right}
        send(answering, json.dumps(said).encode())
        send(answering, content)


def _limit(memory: int) -> None:
    """Let this process have so much address space, and open no file to write; Windows has no such limits."""
    if sys.platform == "win32":
        return
    import resource

    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


if __name__ == "__main__":
    _limit(int(sys.argv[1]))
    _serve(sys.stdin.buffer, sys.stdout.buffer)
