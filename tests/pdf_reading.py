"""Papers as a reader of PDF files sees them: text, fonts, bookmarks, places; read with another library."""

import ctypes
from collections.abc import Iterator

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c

HOSTILE = (
    '#read("/etc/passwd")',
    "$ x^2 $ *bold* _it_ `raw` @ref <lab>",
    "// comment /* block */",
    "#{ 1 + 1 } #pagebreak() ] [ }",
    "\"quoted\" 'and' \\ slash",
    "W" * 300,
    "Цепь ПР-12,7 σ ±½ Ø",
)
"""Texts that would be markup, run off the page, or need a rarer part of the font."""
STRANGE = ("שלום עולם مرحبا", "\N{CHAINS} \N{WRENCH} \N{GRINNING FACE}", "a\x00b\x1b[31m\u202ec\ud800", "鏈條 チェーン")
"""Texts that the font cannot print in full, or that hide something: they must not stop a paper."""
OURS = {"Inter-Regular", "Inter-SemiBold", "Inter-Italic"}


def opened(pdf: bytes) -> pdfium.PdfDocument:
    return pdfium.PdfDocument(pdf)


def words(pdf: bytes) -> str:
    """The text layer, line ends and breaks inside long words removed."""
    pages = (page.get_textpage().get_text_range() for page in opened(pdf))
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def squeezed(pdf: bytes) -> str:
    """The text layer without any blanks, for texts that are broken over lines."""
    return words(pdf).replace(" ", "")


def fonts(pdf: bytes) -> Iterator[tuple[str, bool]]:
    """Name of each font that text is set in, and whether it is embedded."""
    for page in opened(pdf):
        for thing in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT]):
            font = pdfium_c.FPDFTextObj_GetFont(thing.raw)
            name = ctypes.create_string_buffer(200)
            pdfium_c.FPDFFont_GetBaseFontName(font, name, 200)
            yield name.value.decode(), pdfium_c.FPDFFont_GetIsEmbedded(font) == 1


def bookmarks(pdf: bytes) -> list[str]:
    return [mark.get_title() for mark in opened(pdf).get_toc()]


def check_print(pdf: bytes, title: str) -> None:
    """What must hold for every paper: title, page numbers, our fonts embedded."""
    document = opened(pdf)
    assert document.get_metadata_dict()["Title"] == title
    for i, page in enumerate(document, start=1):
        assert f"{i} of {len(document)}" in page.get_textpage().get_text_range()
    found = set(fonts(pdf))
    assert {name.split("+")[-1] for name, _ in found} <= OURS
    assert all(embedded for _, embedded in found)


def check_inside(pdf: bytes, margin: float) -> None:
    """No letter stands nearer than `margin` points to the left or right edge, or off the page."""
    for page in opened(pdf):
        text = page.get_textpage()
        wide, high = page.get_size()
        for i in range(text.count_chars()):
            if text.get_text_range(i, 1).strip("\u200b\r\n "):
                left, low, right, top = text.get_charbox(i)
                assert margin < left <= right < wide - margin
                assert 0 < low <= top < high
