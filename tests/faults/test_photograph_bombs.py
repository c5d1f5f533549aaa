"""Files sent as photographs that are meant to do harm: refused, in a process of its own that may end over it."""

import io
import os
import random
import struct
import sys
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from chaincase.decoding import MOST_BYTES, taken_in
from chaincase.errors import BadInput
from chaincase.register import open_register
from chaincase.register.decoding import Apart


@pytest.fixture(scope="module")
def apart() -> Iterator[Apart]:
    made = Apart(1)
    yield made
    made.close()


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width: int, height: int, *more: bytes, pixels: bytes | None = None, bits: int = 1) -> bytes:
    """Give a PNG of gray pixels that says it is so large, whatever it holds."""
    head = struct.pack(">IIBBBBB", width, height, bits, 0, 0, 0, 0)
    row = b"\0" + b"\0" * -(-width * bits // 8)
    body = zlib.compress(row * height if pixels is None else pixels, 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + b"".join(more) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def saved(kind: str, size: tuple[int, int] = (64, 48), **more: object) -> bytes:
    out = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, kind, **more)
    return out.getvalue()


def frames(kind: str) -> bytes:
    first, *others = (Image.new("RGB", (300, 300), (n, n, n)) for n in range(60))
    out = io.BytesIO()
    first.save(out, kind, save_all=True, append_images=others)
    return out.getvalue()


def turned_oddly() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = 77
    return saved("JPEG", exif=exif)


BOMBS = {
    "81 million pixels in few bytes": png(9000, 9000),
    "3.6 billion pixels said": png(60_000, 60_000, pixels=b""),
    "a side without end": png(2**31 - 1, 1, pixels=b""),
    "no side": png(0, 0, pixels=b""),
    "text that unpacks to 300 MB": png(8, 8, chunk(b"zTXt", b"a\0\0" + zlib.compress(b"x" * 300_000_000, 9))),
    "profile that unpacks to 300 MB": png(8, 8, chunk(b"iCCP", b"a\0\0" + zlib.compress(b"x" * 300_000_000, 9))),
    "a chunk longer than the file": png(8, 8)[:-30] + struct.pack(">I", 2**31 - 1) + b"IDAT",
    "cut off": saved("JPEG", (800, 600))[:900],
    "cut off, PNG": saved("PNG")[:-40],
    "cut off, WebP": saved("WEBP")[:-20],
    "only a head": b"\xff\xd8\xff\xe0",
    "a page": b"<html><script>alert(1)</script>",
    "a drawing": b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
    "GIF": saved("GIF"),
    "TIFF": saved("TIFF"),
    "BMP": saved("BMP"),
    "HEIC": b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + b"\0" * 200,
    "AVIF": b"\0\0\0\x1cftypavif\0\0\0\0avifmif1" + b"\0" * 200,
    "a RIFF that is none": b"RIFF\xff\xff\xff\xffWAVEfmt ",
    "EPS": b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n",
    "empty": b"",
    "21 MB": b"\xff\xd8\xff" + b"\0" * MOST_BYTES,
}
HARMLESS = {
    "pixels that unpack to far more than was said": png(100, 100, pixels=b"\0" * 300_000_000),
    "a page behind the picture": saved("JPEG") + b"<html><script>alert(1)</script>",
    "turned in no known way": turned_oddly(),
    "many frames": frames("PNG"),
    "many frames, WebP": frames("WEBP"),
    "one pixel": saved("PNG", (1, 1)),
}


@pytest.mark.parametrize("name", BOMBS)
def test_what_is_meant_to_do_harm_is_refused(apart: Apart, name: str) -> None:
    with pytest.raises(BadInput) as refused:
        apart(BOMBS[name])
    assert refused.value.right


@pytest.mark.parametrize("name", HARMLESS)
def test_what_only_looks_odd_is_made_anew(apart: Apart, name: str) -> None:
    content, media_type, width, height = apart(HARMLESS[name])
    assert b"<script" not in content
    with Image.open(io.BytesIO(content)) as image:
        assert image.size == (width, height)
        assert image.get_format_mimetype() == media_type
        assert getattr(image, "n_frames", 1) == 1
    assert (content, media_type, width, height) == taken_in(HARMLESS[name])


def test_files_changed_at_random_end_nothing(apart: Apart) -> None:
    chance = random.Random(8)  # noqa: S311
    originals = [saved(kind, (40, 30)) for kind in ("JPEG", "PNG", "WEBP")]
    apart(originals[0])
    process = apart._idle.queue[0]
    for turn in range(240):
        changed = bytearray(originals[turn % 3])
        for _ in range(chance.randint(1, 12)):
            changed[chance.randrange(12, len(changed))] = chance.randrange(256)
        try:
            content, _, width, height = apart(bytes(changed))
        except BadInput:
            continue
        assert content
        assert width * height <= 40_000_000
    assert apart._idle.queue[0] is process
    assert process is not None
    assert process.runs


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="there is no /proc")
def test_a_photograph_that_needs_too_much_is_told_and_the_next_one_is_taken() -> None:
    small = Apart(1, memory=120 << 20)
    try:
        with pytest.raises(BadInput, match=r"cannot be decoded within|damaged"):
            small(png(6000, 6000))
        assert small(saved("JPEG"))[2:] == (64, 48)
    finally:
        small.close()


def test_one_that_takes_too_long_or_whose_process_ends_harms_no_other() -> None:
    hasty = Apart(1, seconds=0.0)
    with pytest.raises(BadInput, match="cannot be decoded within"):
        hasty(saved("JPEG", (3000, 2000)))
    hasty.close()
    apart = Apart(1)
    assert apart(saved("JPEG"))[2:] == (64, 48)
    process = apart._idle.queue[0]
    assert process is not None
    process._process.kill()
    process._process.wait()
    assert apart(saved("JPEG"))[2:] == (64, 48)
    apart.close()
    apart.close()


@pytest.mark.skipif(sys.platform == "win32", reason="there are no such limits")
def test_a_register_takes_them_in_apart(tmp_path: Path) -> None:
    apart = Apart(1)
    with open_register(tmp_path, take_in=apart) as register:
        kept = register.photographs.put(saved("JPEG"), by="test", name="a.jpg")
        assert register.photographs.content(kept.id).startswith(b"\xff\xd8\xff")
        process = apart._idle.queue[0]
        assert process is not None
        assert process._process.pid != os.getpid()
    apart.close()
