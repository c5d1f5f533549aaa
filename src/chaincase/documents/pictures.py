"""Drawings as PNG, set by the same typesetter and with the same fonts as the papers."""

import re
from collections.abc import Sequence
from typing import Any, Final

from chaincase.documents.typesetting import set_png
from chaincase.errors import BadInput

WIDEST: Final = 8000
"""Pixels of the widest picture; a larger one would need gigabytes to be drawn."""
_SHEET_PT: Final = 800.0
_MARGIN_PT: Final = 14.0


def png_of(svg: str, width_px: int = 1600) -> bytes:
    r"""Give a drawing as PNG on white paper.

    Parameters
    ----------
    svg : str
        A drawing of `drawing.svg` or `drawing.charts`, or another SVG that fetches nothing.
    width_px : int
        Width of the picture in pixels, 16 to 8000; the height follows.

    Raises
    ------
    BadInput
        If the width cannot be drawn, or the text is no SVG.

    >>> png_of('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1" width="2mm" height="1mm"/>', 64)[:4]
    b'\x89PNG'
    """
    _check(width_px)
    if not re.search(r"<svg[\s>]", svg):
        raise BadInput("this is no SVG", right="give the text of an SVG file")
    return _png([{"svg": svg, "caption": ""}], width_px, columns=1, margin=0.0, height=None)


def contact_sheet(pictures: Sequence[tuple[str, str]], width_px: int = 2400, columns: int = 3) -> bytes:
    """Give several drawings side by side as one PNG, each with a caption below.

    Parameters
    ----------
    pictures : sequence of (str, str)
        Caption and SVG of each, in reading order.
    width_px : int
        Width of the whole sheet in pixels, 16 to 8000.
    columns : int
        Drawings beside each other.

    Raises
    ------
    BadInput
        If the width cannot be drawn, or there is nothing to show.
    """
    _check(width_px)
    if not pictures or columns < 1:
        raise BadInput("nothing to show", right="give at least one drawing and one column")
    entries = [{"caption": caption, "svg": svg} for caption, svg in pictures]
    return _png(entries, width_px, columns=columns, margin=_MARGIN_PT, height=0.63 * _SHEET_PT / columns)


def _check(width_px: int) -> None:
    if not 16 <= width_px <= WIDEST:
        raise BadInput(f"a picture {width_px} pixels wide", right=f"use 16 to {WIDEST}")


def _png(pictures: Sequence[Any], width_px: int, *, columns: int, margin: float, height: float | None) -> bytes:
    data = {"pictures": list(pictures), "width": _SHEET_PT, "margin": margin, "columns": columns, "height": height}
    return set_png("picture.typ", data, 72.0 * width_px / _SHEET_PT)
