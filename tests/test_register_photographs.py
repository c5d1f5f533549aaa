"""Photographs are made anew at the door: nothing hidden in a file gets in, nothing large gets decoded."""

import io
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from chaincase.decoding import taken_in
from chaincase.errors import BadInput
from chaincase.register import Register, open_register
from chaincase.register.faults import Missing, StoreFailed
from chaincase.register.files import Elsewhere, Folder, hash_of
from chaincase.register.photographs import shown_name
from registers import Place

RIGHT_TURN = 6
"""Of the tag Orientation: the camera was held so that the picture must be turned right by a quarter."""


def picture(kind: str = "JPEG", size: tuple[int, int] = (40, 20), **more: object) -> bytes:
    image = Image.fromarray(np.arange(size[0] * size[1] * 3, dtype=np.uint8).reshape(size[1], size[0], 3))
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


def with_place_and_turn() -> bytes:
    exif = Image.Exif()
    exif[0x0112] = RIGHT_TURN
    exif[0x010E] = "secret words"
    exif.get_ifd(0x8825)[2] = (52.0, 30.0, 0.0)
    return picture(exif=exif.tobytes(), comment=b"secret words") + b"<html>secret words</html>"


def bomb(width: int, height: int) -> bytes:
    """Give a small PNG that says it is large."""
    data = picture("PNG", (4, 4))
    header = data[12:16] + width.to_bytes(4, "big") + height.to_bytes(4, "big") + data[24:29]
    return data[:12] + header + zlib.crc32(header).to_bytes(4, "big") + data[33:]


def test_only_the_picture_stays():
    content, media_type, width, height = taken_in(with_place_and_turn())
    assert (media_type, width, height) == ("image/jpeg", 20, 40)
    assert b"secret" not in content
    assert b"Exif" not in content
    with Image.open(io.BytesIO(content)) as image:
        assert image.size == (20, 40)
        assert not image.getexif()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_each_kind_comes_back(kind: str):
    content, media_type, *size = taken_in(picture(kind))
    assert media_type == f"image/{kind.lower()}"
    assert size == [40, 20]
    assert taken_in(content)[2:] == (40, 20)


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a" + b"\x00" * 40,
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"\xff\xd8\xff" + b"\x00" * 100,
        picture()[:200],
        picture("PNG")[:60],
        picture("GIF"),
        picture("TIFF"),
        b"RIFF\x00\x00\x00\x00WAVE" + b"\x00" * 40,
        b"x" * (21 << 20),
        bomb(60_000, 60_000),
        bomb(9_000, 9_000),
        bomb(1, 39_000_000),
    ],
    ids=lambda data: f"{data[:6]!r} {len(data)}",
)
def test_anything_else_is_refused_before_it_is_decoded(data: bytes):
    with pytest.raises(BadInput, match="photograph"):
        taken_in(data)


def test_a_photograph_is_kept_once(register: Register, place: Place):
    first = register.photographs.put(with_place_and_turn(), by="fitter", name="../../left strand.jpg", case="HV-1")
    assert register.photographs.put(with_place_and_turn(), by="desk", name="other.jpg") == first
    assert (first.width, first.height, first.name, first.case) == (20, 40, "left strand.jpg", "HV-1")
    content = register.photographs.content(first.sha256)
    assert hash_of(content) == first.id
    assert register.photographs.get(first.id) == first
    assert register.photographs.of("HV-1") == (first,)
    kept = [path for path in Path(place.files).rglob("*") if path.is_file()]
    assert kept == [Path(place.files) / first.id[:2] / first.id]
    with pytest.raises(Missing):
        register.photographs.content("../../etc/passwd")
    with pytest.raises(Missing):
        register.photographs.content("0" * 64)


def test_a_paper_of_a_case(register: Register):
    register.cases.create("HV-1", by="lead")
    paper = register.documents.put("HV-1", "dossier.pdf", b"%PDF-1.7", kind="dossier", by="lead")
    assert register.documents.content(paper.id) == b"%PDF-1.7"
    assert register.documents.find(case="HV-1") == (paper,)
    with pytest.raises(Missing):
        register.documents.put("HV-2", "dossier.pdf", b"%PDF-1.7", kind="dossier", by="lead")


def test_a_file_that_changed_on_the_disk_is_not_given_out(tmp_path: Path):
    files = Folder(tmp_path / "files")
    name = files.put(b"words")
    (tmp_path / "files" / name[:2] / name).write_bytes(b"other")
    with pytest.raises(StoreFailed, match="not what was written"):
        files.get(name)


def test_files_elsewhere_are_the_same(tmp_path: Path):
    with open_register(tmp_path / "register", files="memory://chaincase-test") as register:
        kept = register.photographs.put(picture(), by="fitter")
        assert hash_of(register.photographs.content(kept.id)) == kept.id
        assert list(register.files.names()) == [kept.id]
        register.files.drop(kept.id)
        with pytest.raises(Missing):
            register.photographs.content(kept.id)
    with pytest.raises(BadInput, match="files cannot be kept"):
        Elsewhere("nowhere-known://bucket")


def test_a_name_is_never_a_path():
    hostile = [
        "..",
        "../../x",
        "C:\\x\\..\\y.jpg",
        "/etc/passwd",
        "a\x00b",
        "\u202egpj.exe",
        "CON",
        "x" * 300,
        " . ",
        "\ud800",
    ]
    for name in hostile:
        shown = shown_name(name)
        assert "/" not in shown
        assert "\\" not in shown
        assert shown.isprintable()
        assert len(shown) <= 200
