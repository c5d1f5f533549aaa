"""Drawings as PNG: as wide as asked for, with ink on them, whole or not at all."""

import io
import re

import pytest
from PIL import Image

from chaincase.documents.pictures import contact_sheet, png_of
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput, ChaincaseError

LEAF = write_svg(figure("leaf", {"pitch": 12.7}, title="leaf"))


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content)).convert("L")


def test_a_picture_is_as_wide_as_asked_for_and_as_high_as_the_drawing() -> None:
    picture = opened(png_of(LEAF, 640))
    assert picture.width == 640
    _, _, wide, high = map(float, re.search(r'viewBox="([^"]+)"', LEAF)[1].split())
    assert picture.height == pytest.approx(640 * high / wide, abs=2)
    darkest, lightest = picture.getextrema()
    assert darkest < 60
    assert lightest == 255


def test_a_contact_sheet_has_a_place_for_each() -> None:
    one, three = opened(contact_sheet([("leaf", LEAF)], 600, 2)), opened(contact_sheet([("leaf", LEAF)] * 3, 600, 2))
    assert one.width == three.width == 600
    assert three.height > 1.7 * one.height


@pytest.mark.parametrize("width", [0, 15, 8001, -3])
def test_a_width_that_cannot_be_drawn_is_refused(width: int) -> None:
    with pytest.raises(BadInput, match="pixels wide"):
        png_of(LEAF, width)


def test_what_is_no_drawing_is_refused() -> None:
    with pytest.raises(BadInput, match="no SVG"):
        png_of("hello", 100)
    with pytest.raises(ChaincaseError):
        png_of("<svg xmlns='http://www.w3.org/2000/svg'><g>", 100)
    with pytest.raises(BadInput, match="nothing to show"):
        contact_sheet([])
