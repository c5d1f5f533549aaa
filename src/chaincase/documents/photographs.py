"""Photographs for print: looked at before they are decoded, scaled, and stripped of all that they say of their place.

A photograph shows construction, attachments and duty; perspective makes it worthless as a ruler, so every print says
that it is not to scale.
"""

import io
import warnings
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image, ImageOps

from chaincase.catalog.sheets import MIB, read_bytes
from chaincase.errors import BadInput

FORMATS: Final = ("JPEG", "PNG", "WEBP")
MOST_PIXELS: Final = 40_000_000
"""A picture of more pixels is refused before it is decoded."""
MOST_BYTES: Final = 20 * MIB
LONG_SIDE: Final = 1000
"""Pixels of the longer side on paper: 85 mm at 300 dots per inch."""
_QUALITY: Final = 80
NOT_TO_SCALE: Final = "not to scale, not for dimensions"

# What decoders of damaged files raise.
_BROKEN: Final = (OSError, ValueError, SyntaxError, EOFError, IndexError, TypeError, OverflowError, MemoryError)


@dataclass(frozen=True, slots=True)
class Photo:
    """One photograph, ready for print.

    Attributes
    ----------
    name : str
        Name of its file.
    shows : str
        What it shows.
    jpeg : bytes
        The picture, at most 1000 pixels on its longer side, without any data about camera, time or place.
    size : (int, int)
        Width and height in pixels.
    """

    name: str
    shows: str
    jpeg: bytes
    size: tuple[int, int]

    @property
    def svg(self) -> bytes:
        """The same inside an SVG: the typesetter takes files in memory only as text, and keeps the JPEG as it is."""
        (width, height), data = self.size, b64encode(self.jpeg).decode()
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}">'
            f'<image width="{width}" height="{height}" href="data:image/jpeg;base64,{data}"/></svg>'
        ).encode()


def photo(data: bytes, name: str, shows: str = "") -> Photo:
    """Give a photograph for print from the bytes of its file.

    Parameters
    ----------
    data : bytes
        A JPEG, PNG or WEBP file, of at most 20 MB and 40 million pixels.
    name, shows : str
        Name of the file, and what it shows.

    Raises
    ------
    BadInput
        If it is no such picture, too large, or damaged.
    """
    if len(data) > MOST_BYTES:
        raise BadInput(f"the photograph has {len(data) / MIB:.1f} MB", where=name, right="send one of at most 20 MB")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=FORMATS) as picture:
                _check_pixels(picture, name)
                return Photo(name, shows, *_jpeg(picture))
    except BadInput:
        raise
    except (*_BROKEN, Image.DecompressionBombError) as fault:
        right = "send a sound JPEG, PNG or WEBP file"
        raise BadInput(f"this is no photograph that can be read ({_reason(fault)})", where=name, right=right) from None


def _reason(fault: BaseException) -> str:
    return "of no known format" if "cannot identify" in str(fault) else str(fault)[:80] or type(fault).__name__


def _check_pixels(picture: Image.Image, name: str) -> None:
    width, height = picture.size
    if width * height > MOST_PIXELS:
        what = f"the photograph has {width} x {height} pixels"
        raise BadInput(what, where=name, right="send one of at most 40 million pixels")


def _jpeg(picture: Image.Image) -> tuple[bytes, tuple[int, int]]:
    """Scale and write anew; only the pixels come along, turned the way the camera was held."""
    # A JPEG is decoded at a half or a quarter of its size where that is enough.
    picture.draft("RGB", (2 * LONG_SIDE, 2 * LONG_SIDE))
    picture.thumbnail((LONG_SIDE, LONG_SIDE), Image.Resampling.BICUBIC, reducing_gap=2.0)
    upright = ImageOps.exif_transpose(picture)
    plain = Image.new("RGB", upright.size, "white")
    if upright.mode in {"RGBA", "LA", "PA"} or "transparency" in upright.info:
        with_alpha = upright.convert("RGBA")
        plain.paste(with_alpha, mask=with_alpha.getchannel("A"))
    else:
        plain.paste(upright.convert("RGB"))
    target = io.BytesIO()
    plain.save(target, "JPEG", quality=_QUALITY, optimize=True)
    return target.getvalue(), plain.size


def photos_of(folder: Path, named: tuple[tuple[str, str], ...]) -> Iterator[Photo]:
    """Give the photographs that a case names, from the folder that its file lies in, one after the other.

    Parameters
    ----------
    folder : Path
        Where the files are.
    named : tuple of (file, shows)
        As in the case.

    Raises
    ------
    BadInput
        If a name leads out of the folder, or a file is missing or no photograph.
    """
    for name, shows in named:
        yield photo(read_bytes(_inside(folder, name), MOST_BYTES), name, shows)


def _inside(folder: Path, name: str) -> Path:
    """Give the path of a file in a folder or below; a name that leads out of it is refused."""
    right = "put the file beside the case and name it without a path"
    if not name.isprintable() or not name.strip() or "\\" in name:
        raise BadInput(f"{name[:60]!r} is no name of a file", where="photographs", right=right)
    home = folder.resolve()
    path = (home / name).resolve()
    if not path.is_relative_to(home):
        raise BadInput(f"{name[:60]!r} leads out of the folder of the case", where="photographs", right=right)
    return path
