"""The dossier as a reader of PDF files sees it: pages, text, fonts, bookmarks; read back with another library."""

import ctypes
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest
import typst

from chaincase.documents.dossier import (
    CAUTION,
    FROM_MEMORY,
    CandidateRow,
    Dossier,
    EvidenceRow,
    MarkRow,
    NextRow,
    Picture,
    SourceRow,
    dossier_pdf,
    percent,
    with_uncertainty,
    write_dossier,
)
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import ChaincaseError

W124 = {"pitch": 101.6, "bush_diameter": 36.6, "pin_diameter": 19.05, "sidebar_height": 38.1}


def dossier() -> Dossier:
    """An invented case about a chain of the published tables."""
    drawing = figure("welded steel", W124, values={"pitch": "101.6 mm"}, title="W124")
    return Dossier(
        title="Bucket elevator at the intake pit",
        case="HV-101",
        plant="Harrow Vale Grain Terminal",
        marked="invented for this test",
        day=date(2026, 3, 9),
        revision="2",
        customer="We need 80 ft of this chain.",
        evidence=(
            EvidenceRow("P", "pitch", "4.06 in, tape", 103.124, 0.41, "101.6 mm (4 in)", "fits, 1.5 % worn"),
            EvidenceRow("D", "pin diameter", "about 3/4 in, photograph", None, None, "19.05 mm (3/4 in)", "no ruler"),
        ),
        marks=(MarkRow("W?124", "inner sidebar", "corroded", "reads as WR124"),),
        candidates=(
            CandidateRow("W124", ("WR124", "WH124"), 0.93, "welded steel mill chain", "one public table", False),
            CandidateRow("H124", (), 0.04, "cast mill chain", "one recollection", True),
        ),
        unlisted=0.03,
        warnings=("The pitch was taken once.",),
        next_steps=(NextRow("sidebar thickness", "digital caliper", "away from rust", "W124 or H124", 2.0),),
        open_questions=("How many strands?", "Material and heat treatment", "Attachments"),
        sources=(SourceRow("welded steel mill chain", "ISO 6972", "One public table was read."),),
        figures=(Picture(write_svg(drawing), "Drawn to scale"),),
    )


def opened(pdf: bytes) -> pdfium.PdfDocument:
    return pdfium.PdfDocument(pdf)


def words(pdf: bytes) -> str:
    """The text layer, line ends and breaks inside long words removed."""
    pages = (page.get_textpage().get_text_range() for page in opened(pdf))
    return " ".join(" ".join(pages).replace("\u200b", "").split())


def fonts(pdf: bytes) -> Iterator[tuple[str, bool]]:
    """Name of each font that text is set in, and whether it is embedded."""
    for page in opened(pdf):
        for thing in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT]):
            font = pdfium_c.FPDFTextObj_GetFont(thing.raw)
            name = ctypes.create_string_buffer(200)
            pdfium_c.FPDFFont_GetBaseFontName(font, name, 200)
            yield name.value.decode(), pdfium_c.FPDFFont_GetIsEmbedded(font) == 1


def test_two_pages_with_title_bookmarks_and_page_numbers() -> None:
    document = opened(dossier_pdf(dossier()))
    assert len(document) == 2
    data = document.get_metadata_dict()
    assert data["Title"] == "Dossier HV-101: Bucket elevator at the intake pit"
    assert data["CreationDate"].startswith("D:20260309")
    assert [mark.get_title() for mark in document.get_toc()] == [
        "What was measured",
        "What is stamped",
        "What it may be",
        "Warnings",
        "What to measure next",
        "Still open before it can be quoted",
        "Sources",
    ]
    for i, page in enumerate(document, start=1):
        text = page.get_textpage().get_text_range()
        assert f"{i} of 2" in text
        assert "Case HV-101, revision 2, March 9, 2026" in text


@pytest.mark.parametrize(("paper", "size"), [("us-letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_paper(paper: str, size: tuple[float, float]) -> None:
    document = opened(dossier_pdf(dossier(), paper=paper))  # type: ignore[arg-type]
    assert document[0].get_size() == pytest.approx(size, abs=0.01)
    assert len(document) == 2


def test_everything_that_is_known_can_be_found_in_the_text() -> None:
    text = words(dossier_pdf(dossier()))
    for said in (
        "Harrow Vale Grain Terminal invented for this test",
        "We need 80 ft of this chain.",
        "103.12 ± 0.41 mm",
        "4.060 ± 0.016 in",
        "fits, 1.5 % worn",
        "no weight",
        "W?124",
        "93 %",
        "A chain in none of the tables",
        "The pitch was taken once.",
        "away from rust",
        "2 min",
        "How many strands?",
        "ISO 6972",
        "One public table was read.",
        "Drawn to scale",
        "P 101.6 mm",
        CAUTION[:60],
    ):
        assert said in text


def test_every_font_is_embedded_and_ours() -> None:
    found = set(fonts(dossier_pdf(dossier())))
    assert {name.split("+")[-1] for name, _ in found} == {"Inter-Regular", "Inter-SemiBold", "Inter-Italic"}
    assert all(embedded for _, embedded in found)


def test_figures_from_memory_carry_the_notice_and_others_do_not() -> None:
    plain = words(dossier_pdf(dossier()))
    assert plain.count(FROM_MEMORY) == 1
    only_read = replace(dossier(), candidates=dossier().candidates[:1])
    assert FROM_MEMORY not in words(dossier_pdf(only_read))
    best = replace(dossier().candidates[0], from_memory=True)
    assert words(dossier_pdf(replace(dossier(), candidates=(best,)))).count(FROM_MEMORY) == 2, (
        "beside the result as well"
    )


def test_where_unlisted_wins_the_result_says_so() -> None:
    assert "Most likely W124" in words(dossier_pdf(dossier()))
    lost = tuple(replace(c, probability=0.1) for c in dossier().candidates)
    text = words(dossier_pdf(replace(dossier(), candidates=lost, unlisted=0.8)))
    assert "Result No listed chain fits" in text
    assert "Most likely" not in text


def test_an_empty_case_is_a_dossier_too() -> None:
    empty = replace(
        dossier(), customer="", marked="", evidence=(), marks=(), candidates=(), unlisted=1.0, warnings=(),
        next_steps=(), open_questions=(), sources=(), figures=(),
    )  # fmt: skip
    text = words(dossier_pdf(empty))
    assert "No readings yet." in text
    assert "No listed chain fits" in text
    assert "Warnings" not in text


def test_many_readings_run_on_and_keep_their_head() -> None:
    row = dossier().evidence[0]
    rows = tuple(replace(row, dimension=f"reading {i}") for i in range(60))
    pdf = dossier_pdf(replace(dossier(), evidence=rows))
    text = words(pdf)
    assert all(f"reading {i} " in text for i in range(60))
    assert text.count("As written") == len(opened(pdf)) - 1, "on each page of the table, that is on all but the last"


def test_the_same_case_gives_the_same_file() -> None:
    assert dossier_pdf(dossier()) == dossier_pdf(dossier())


HOSTILE = (
    '#read("/etc/passwd")',
    "$ x^2 $ *bold* _it_ `raw` @ref <lab>",
    "// comment /* block */",
    "#{ 1 + 1 } #pagebreak() ] [ }",
    "\"quoted\" 'and' \\ slash",
    "W" * 300,
    "Цепь ПР-12,7 σ ±½ Ø",
)


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_texts_are_printed_as_they_are(hostile: str) -> None:
    d = dossier()
    bad = replace(
        d,
        title=hostile,
        case=hostile[:40],
        plant=hostile,
        marked=hostile,
        customer=hostile,
        revision=hostile[:20],
        evidence=(EvidenceRow(hostile[:1], hostile, hostile, 1.0, 0.1, hostile, hostile),),
        marks=(MarkRow(hostile, hostile, hostile, hostile),),
        candidates=(CandidateRow(hostile, (hostile,), 0.9, hostile, hostile, True),),
        warnings=(hostile,),
        next_steps=(NextRow(hostile, hostile, hostile, hostile, 1.0),),
        open_questions=(hostile,) * 7,
        sources=(SourceRow(hostile, hostile, hostile),),
        figures=(Picture(d.figures[0].svg, hostile),),
    )
    pdf = dossier_pdf(bad)
    squeezed = words(pdf).replace(" ", "")
    # Four at the head, 4 of the reading, 4 of the mark, 6 of the candidate with its names twice, 1 warning, 4 of the
    # next step, 7 questions, 3 of the source, 1 caption. A word of 300 letters is cut by page ends now and then.
    fields = 4 + 4 + 4 + 6 + 1 + 4 + 7 + 3 + 1
    assert squeezed.count(hostile.replace(" ", "")) >= (fields if len(hostile) < 100 else 25)
    assert opened(pdf).get_metadata_dict()["Title"].endswith(hostile)
    assert "root:" not in squeezed


@pytest.mark.parametrize("hostile", HOSTILE)
def test_no_text_runs_off_the_page(hostile: str) -> None:
    row = replace(dossier().evidence[0], dimension=hostile, as_written=hostile, expected=hostile, verdict=hostile)
    step = NextRow(hostile, hostile, hostile, hostile, 1.0)
    for page in opened(
        dossier_pdf(replace(dossier(), title=hostile, case=hostile, evidence=(row,), next_steps=(step,)))
    ):
        text = page.get_textpage()
        wide, high = page.get_size()
        for i in range(text.count_chars()):
            if text.get_text_range(i, 1).strip("\u200b\r\n "):
                left, low, right, top = text.get_charbox(i)
                assert 40 < left <= right < wide - 40
                assert 0 < low <= top < high - 30


def test_characters_that_hide_or_turn_text_are_shown_as_marks() -> None:
    text = words(dossier_pdf(replace(dossier(), customer="a\x00b\x1b[31mc\u202ed\ud800e")))
    assert "a\ufffdb\ufffd[31mc\ufffdd\ufffde" in text


def test_written_whole(tmp_path: Path) -> None:
    path = tmp_path / "dossier.pdf"
    assert write_dossier(dossier(), path) == path
    assert path.read_bytes() == dossier_pdf(dossier())
    assert list(tmp_path.iterdir()) == [path]


def test_nothing_is_left_when_setting_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "dossier.pdf"
    path.write_bytes(b"the one before")

    def refuse(*_: object, **__: object) -> bytes:
        raise RuntimeError("no room")

    monkeypatch.setattr(typst, "compile", refuse)
    with pytest.raises(ChaincaseError, match=r"dossier\.typ could not be set: no room"):
        write_dossier(dossier(), path)
    assert [p.read_bytes() for p in tmp_path.iterdir()] == [b"the one before"]


def test_nothing_is_left_when_the_disk_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "dossier.pdf"
    path.write_bytes(b"the one before")

    def refuse(*_: object) -> Path:
        raise OSError("disk full")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OSError, match="disk full"):
        write_dossier(dossier(), path)
    assert [p.read_bytes() for p in tmp_path.iterdir()] == [b"the one before"]


def test_probabilities_never_claim_more_than_they_are() -> None:
    assert [percent(p) for p in (0.0, 0.004, 0.5, 0.996, 1.0)] == ["0 %", "under 1 %", "50 %", "over 99 %", "100 %"]


@pytest.mark.parametrize(
    ("size", "uncertainty", "metric", "inch"),
    [
        # JCGM 100:2008, 7.2.6: at most two significant digits of the uncertainty, the estimate to the same place.
        (100.0214, 0.35, "100.02 ± 0.35 mm", "3.938 ± 0.014 in"),
        (50.0, 12.0, "50 ± 12 mm", "1.97 ± 0.47 in"),
        (19.05, 0.0001, "19.050 ± 0.000 mm", "0.7500 ± 0.0000 in"),
        (19.05, 0.0, "19.050 ± 0.000 mm", "0.7500 ± 0.0000 in"),
        (25.4, 0.0996, "25.400 ± 0.100 mm", "1.0000 ± 0.0039 in"),
    ],
)
def test_sizes_stop_where_their_uncertainty_does(size: float, uncertainty: float, metric: str, inch: str) -> None:
    assert with_uncertainty(size, uncertainty) == (metric, inch)
