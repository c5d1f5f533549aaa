"""Photographs: looked at before they are decoded, scaled, turned upright, and stripped of where they were taken."""

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from chaincase.documents.photographs import LONG_SIDE, MOST_BYTES, photo, photos_of
from chaincase.errors import BadInput
from paper_cases import picture


def read(jpeg: bytes) -> Image.Image:
    return Image.open(io.BytesIO(jpeg), formats=["JPEG"])


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_any_of_the_three_forms_becomes_a_small_jpeg(form: str) -> None:
    made = photo(picture((2400, 1200), form), "p", "the stamp")
    assert read(made.jpeg).size == (LONG_SIDE, LONG_SIDE // 2) == made.size
    left, right = (read(made.jpeg).getpixel((x, 100)) for x in (100, 900))
    assert left[0] > 200  # type: ignore[index]
    assert left[1] < 60  # type: ignore[index]
    assert min(right) > 240  # type: ignore[arg-type, type-var]


def test_place_and_camera_are_gone_and_the_picture_stands_upright() -> None:
    exif = Image.Exif()
    exif[0x0112], exif[0x010F] = 6, "a camera"
    exif.get_ifd(0x8825).update({1: "N", 2: (52.0, 1.0, 2.0), 3: "E", 4: (8.0, 1.0, 2.0)})
    given = picture((80, 60), exif=exif)
    assert b"Exif" in given
    made = photo(given, "p")
    assert not dict(read(made.jpeg).getexif())
    assert b"Exif" not in made.jpeg
    assert b"a camera" not in made.jpeg
    # Held on its right side: what was left is now above.
    assert made.size == (60, 80)
    assert read(made.jpeg).getpixel((30, 10))[1] < 60  # type: ignore[index]


def test_what_is_clear_becomes_white_paper() -> None:
    target = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(target, "PNG")
    assert min(read(photo(target.getvalue(), "p").jpeg).getpixel((5, 5))) > 250  # type: ignore[arg-type, type-var]


@pytest.mark.parametrize("mode", ["L", "1", "P", "CMYK"])
def test_other_color_systems(mode: str) -> None:
    target = io.BytesIO()
    Image.new("RGB", (20, 20), "white").convert(mode).save(target, "JPEG" if mode == "CMYK" else "PNG")
    assert photo(target.getvalue(), "p").size == (20, 20)


def _claims(width: int, height: int) -> bytes:
    """A PNG of a few bytes that says it is that large."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunk = lambda name, data: struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))  # noqa: E731
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (_claims(6400, 6400), "6400 x 6400 pixels"),
        (_claims(60000, 60000), "p.jpg"),
        (b"", "no known format"),
        (b"GIF89a" + b"\0" * 40, "no known format"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no known format"),
        (picture()[:300], "no photograph"),
        (picture(form="PNG")[:60], "no photograph"),
        (b"\0" * (MOST_BYTES + 1), "at most 20 MB"),
    ],
)
def test_what_is_no_photograph_is_refused(data: bytes, what: str) -> None:
    with pytest.raises(BadInput, match=what) as refused:
        photo(data, "p.jpg")
    assert refused.value.where == "p.jpg"


def test_photographs_lie_beside_the_case(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(picture())
    (tmp_path / "more").mkdir()
    (tmp_path / "more" / "b.png").write_bytes(picture(form="PNG"))
    made = list(photos_of(tmp_path, (("a.jpg", "x"), ("more/b.png", ""))))
    assert [(each.name, each.shows) for each in made] == [("a.jpg", "x"), ("more/b.png", "")]


@pytest.mark.parametrize(
    "name", ["../a.jpg", "/etc/passwd", "more/../../a.jpg", "..\\a.jpg", "a\x00.jpg", " ", "link.jpg"]
)
def test_a_name_that_leads_elsewhere_is_refused(name: str, tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(picture())
    folder = tmp_path / "case"
    folder.mkdir()
    (folder / "link.jpg").symlink_to(tmp_path / "a.jpg")
    with pytest.raises(BadInput, match="photographs:"):
        list(photos_of(folder, ((name, ""),)))


def test_a_missing_photograph_is_named(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"gone\.jpg: there is no such file"):
        list(photos_of(tmp_path, (("gone.jpg", ""),)))
