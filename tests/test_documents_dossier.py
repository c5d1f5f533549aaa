"""The dossier as a reader of PDF files sees it: pages, text, fonts, bookmarks; read back with another library."""

import errno
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import typst

from chaincase.case.findings import find
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.documents.compose import compose
from chaincase.documents.dossier import FROM_MEMORY, Dossier, dossier_pdf, percent, with_uncertainty, write_dossier
from chaincase.documents.dossier_parts import (
    AssumptionRow,
    AttachmentPart,
    CandidateRow,
    DutyPart,
    EvidenceRow,
    FeatureRow,
    GapRow,
    MarkRow,
    NextRow,
    Picture,
    RequestRow,
    SizeRow,
    SourceRow,
    StrandRow,
)
from chaincase.documents.paper import CAUTION, Heading
from chaincase.documents.photographs import NOT_TO_SCALE, photo
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput, ChaincaseError
from paper_cases import case, empty, picture
from pdf_reading import HOSTILE, STRANGE, bookmarks, check_inside, check_print, opened, squeezed, words

W124 = {"pitch": 101.6, "bush_diameter": 36.6, "pin_diameter": 19.05, "sidebar_height": 38.1}


HEADING = Heading(
    title="Bucket elevator at the intake pit",
    case="HV-101",
    plant="Harrow Vale Grain Terminal",
    day=date(2026, 3, 9),
    marked="invented for this test",
    revision="2",
)


def dossier() -> Dossier:
    """An invented case about a chain of the published tables."""
    drawing = figure("welded steel", W124, values={"pitch": "101.6 mm"}, title="W124")
    return Dossier(
        heading=HEADING,
        asked="We need 80 ft of this chain.",
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
        gaps=(GapRow("strands", "quote", "How many strands?", "too few are made"),),
        sources=(SourceRow("welded steel mill chain", "ISO 6972", "One public table was read."),),
        figure=Picture(write_svg(drawing), "Drawn to scale"),
    )


def with_every_part(text: str) -> Dossier:
    """A dossier in which every field holds the same text."""
    svg = dossier().figure
    assert svg is not None
    figure_of = Picture(svg.svg, text)
    size = SizeRow(text[:1], text, text, text, text)
    return Dossier(
        heading=Heading(text, text[:40], text, date(2026, 3, 9), text, text[:20], text, text, text),
        asked=text,
        settled_by=text,
        chosen=text,
        request=(RequestRow(text, text, text),),
        figure=figure_of,
        sizes=(size,) * 9,
        attachments=(AttachmentPart(text, (text,), (size,), (text,), figure_of),),
        spacing=figure_of,
        spacing_words=(text,),
        strands=(StrandRow(text, text, text),),
        strand_words=(text,),
        features=(FeatureRow(text, text, text, text, text, text), FeatureRow(text, text, "not asked", "", "", "")),
        duty=(DutyPart(text, ((text, text, text),), (text,), (text,)),),
        assumptions=(AssumptionRow(text, text, text, text, text),),
        gaps=(GapRow(text, "quote", text, text, text),),
        evidence=(EvidenceRow(text[:1], text, text, 1.0, 0.1, text, text),),
        marks=(MarkRow(text, text, text, text),),
        candidates=(CandidateRow(text, (text,), 0.9, text, text, True),),
        unlisted=0.1,
        warnings=(text,),
        next_steps=(NextRow(text, text, text, text, 1.0),),
        photos=(photo(picture(), text, text),),
        sources=(SourceRow(text, text, text),),
    )


def of_case(known: Case, **more: Any) -> Dossier:
    catalog = Catalog.standard()
    return compose(known, find(known, catalog), catalog, date(2026, 3, 9), **more)


def test_two_pages_with_title_bookmarks_and_page_numbers() -> None:
    pdf = dossier_pdf(dossier())
    check_print(pdf, "Request for quote HV-101: Bucket elevator at the intake pit")
    document = opened(pdf)
    assert len(document) == 2
    assert document.get_metadata_dict()["CreationDate"].startswith("D:20260309")
    assert bookmarks(pdf) == [
        "What cannot be seen",
        "Still open",
        "What was measured",
        "What is stamped",
        "What it may be",
        "Warnings",
        "What to measure next",
        "Sources",
    ]
    for page in document:
        assert "Case HV-101, revision 2, March 9, 2026" in page.get_textpage().get_text_range()


@pytest.mark.parametrize(("paper", "size"), [("us-letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_paper(paper: str, size: tuple[float, float]) -> None:
    document = opened(dossier_pdf(dossier(), paper=paper))  # type: ignore[arg-type]
    assert document[0].get_size() == pytest.approx(size, abs=0.01)


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_a_full_case_says_all_that_an_order_must(paper: str) -> None:
    pdf = dossier_pdf(of_case(case(), level="make", photos=(photo(picture(), "p.jpg", "the stamp"),)), paper=paper)  # type: ignore[arg-type]
    check_print(pdf, "Request to make T-7: Slat conveyor at the kiln")
    check_inside(pdf, 40)
    text = words(pdf)
    for said in (
        "Settled by a person M112x160 flanged roller",
        "K2@4: every 4 pitches, 640 mm",
        "240 pitches, 38.400 m",
        "outer links with attachment",
        "Delivered in 3 sections of 80 + 80 + 80 pitches",
        "Chain length: chain of 160 mm pitch over 8 and 8",
        "Nobody was asked about",
        "Accepted assumptions",
        "nobody knows plant engineer",
        "the stamp. p.jpg; not to scale",
        NOT_TO_SCALE,
        "Connecting link at pitch 79",
        "platform height above the pin center",
        "Both strands before the harvest.",
    ):
        assert said in text, said


def test_a_request_for_quote_leaves_out_what_only_bars_making() -> None:
    quote, make = of_case(case()), of_case(case(), level="make")
    assert {gap.level for gap in quote.gaps} == {"quote"}
    assert set(quote.gaps) < set(make.gaps)


def test_a_case_without_anything_is_a_dossier_too() -> None:
    text = words(dossier_pdf(of_case(empty())))
    assert "Result Not identified yet" in text
    assert "Not complete" in text
    assert "Chain open" in text


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
        "Not complete: one question is still open",
    ):
        assert said in text


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


def test_an_empty_dossier_says_what_is_not_there() -> None:
    text = words(dossier_pdf(Dossier(HEADING, unlisted=1.0)))
    for said in ("Not identified yet", "Complete. Nothing is open.", "Nobody was asked yet.", "No table was used."):
        assert said in text
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


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_texts_are_printed_as_they_are_and_stay_on_the_page(hostile: str) -> None:
    pdf = dossier_pdf(with_every_part(hostile))
    found = squeezed(pdf)
    # 92 fields hold the text; a word of 300 letters is cut by page ends now and then.
    assert found.count(hostile.replace(" ", "")) >= (85 if len(hostile) < 100 else 60)
    assert "root:" not in found
    check_inside(pdf, 38)


@pytest.mark.parametrize("strange", STRANGE)
def test_texts_beyond_the_font_do_not_stop_a_dossier(strange: str) -> None:
    assert len(opened(dossier_pdf(with_every_part(strange)))) >= 3


@pytest.mark.parametrize(
    "svg",
    [
        "no picture",
        '<svg><image href="file:///etc/passwd"/></svg>',
        '<svg><a href="https://a"/></svg>',
        "<!DOCTYPE a><svg/>",
    ],
)
def test_a_picture_that_fetches_something_is_refused(svg: str) -> None:
    with pytest.raises(BadInput, match=r"spacing\.svg: the picture cannot be printed"):
        dossier_pdf(replace(dossier(), spacing=Picture(svg, "")))


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"unlisted": 1.5}, "unlisted"),
        ({"level": "guess"}, "level"),
        ({"evidence": (EvidenceRow("P", "pitch", "", float("nan"), 0.1, "", ""),)}, r"evidence\[0\].estimate"),
        ({"candidates": (CandidateRow("x", (), -0.1, "", "", False),)}, r"candidates\[0\].probability"),
    ],
)
def test_what_is_no_figure_is_refused(change: dict[str, Any], where: str) -> None:
    with pytest.raises(BadInput, match=where):
        dossier_pdf(replace(dossier(), **change))


def test_characters_that_hide_or_turn_text_are_shown_as_marks() -> None:
    text = words(dossier_pdf(replace(dossier(), asked="a\x00b\x1b[31mc\u202ed\ud800e")))
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
        raise OSError(errno.ENOSPC, "disk full")

    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(OSError, match=r"disk full: .*dossier\.pdf'$"):
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
