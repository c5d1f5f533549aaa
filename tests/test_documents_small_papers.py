"""Question letter, sample tag, receiving inspection sheet, and the ZIP with everything."""

import io
import json
import zipfile
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from typing import Any

import ezdxf
import pytest
from python_calamine import CalamineWorkbook

from chaincase.case.findings import Findings, find
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.chains.field_checks import LOCKED_OUT
from chaincase.documents.compose_papers import case_inspection, case_letter, case_tag
from chaincase.documents.dossier_bundle import dossier_zip
from chaincase.documents.inspection import Check, CheckGroup, Inspection, inspection_pdf
from chaincase.documents.letter import Figure, Letter, Question, letter_html, letter_pdf, letter_text
from chaincase.documents.paper import CAUTION, Heading
from chaincase.documents.photographs import photo
from chaincase.documents.tag import PACK, SIZES, Tag, tag_pdf
from chaincase.errors import BadInput
from paper_cases import case, empty, picture
from pdf_reading import HOSTILE, STRANGE, bookmarks, check_inside, check_print, opened, squeezed, words

DAY = date(2026, 3, 9)
HEADING = Heading("Slat conveyor at the kiln", "T-7", "a plant", DAY, customer="plant engineer", machine="conveyor 4")
ADDRESS = "https://chains.example/cases/T-7"
SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 2" width="40mm" height="20mm"><path d="M0 0h4v2z"/></svg>'
PAPERS = ["us-letter", "a4"]


def found_of(known: Case) -> tuple[Findings, Catalog]:
    catalog = Catalog.standard()
    return find(known, catalog), catalog


def of_case(known: Case) -> Letter:
    return case_letter(known, *found_of(known), DAY, address=ADDRESS, signed="application engineering")


def letter(text: str) -> Letter:
    question = Question(text, text, text, text, text, (Figure(SVG, text),))
    return Letter(replace(HEADING, title=text, plant=text, customer=text), (question,) * 3, signed=text)


# Letter ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_letter_asks_every_open_question_once_and_numbered(paper: str) -> None:
    made = of_case(case())
    found, _ = found_of(case())
    asked = [gap for gap in found.open_gaps if not gap.settles]
    assert [each.question for each in made.questions] == [gap.question for gap in asked]
    pdf = letter_pdf(made, paper=paper)  # type: ignore[arg-type]
    check_print(pdf, "Questions about a chain T-7: Slat conveyor at the kiln")
    check_inside(pdf, 55)
    assert len(bookmarks(pdf)) == len(asked)
    for said in (f"need {len(asked)} answers", "application engineering", "opens the case", CAUTION):
        assert said in words(pdf)


def test_the_long_caution_stands_once_and_the_special_ones_beside_their_questions() -> None:
    made = of_case(case())
    assert not any(LOCKED_OUT in each.caution for each in made.questions)
    assert any("pacemaker" in each.caution for each in made.questions)
    assert letter_text(made).count("29 CFR 1910.147") == 1


def test_letter_shows_where_to_measure_what_is_missing() -> None:
    made = of_case(case())
    sizes = next(each for each in made.questions if "attachment" in each.title.lower() and each.figures)
    assert "Asked for: " in sizes.figures[0].caption
    doubtful = case(
        chosen=None, evidence={"readings": [{"dimension": "pitch", "value": "100 mm", "instrument": "tape"}]}
    )
    identity = next(
        each for each in of_case(doubtful).questions if each.figures and "letter" in each.figures[0].caption
    )
    assert "<svg" in identity.figures[0].svg


def test_plain_text_can_be_mailed() -> None:
    text = letter_text(of_case(case()))
    assert text.startswith("Subject: Questions about the chain, case T-7\n\nTo: plant engineer\n\nGood day,\n")
    assert ADDRESS in text
    assert max(map(len, text.splitlines())) <= 116
    assert text.endswith("With kind regards\napplication engineering\n")


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.seen: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))


@pytest.mark.parametrize(
    "hostile", ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "&lt;b&gt;", *HOSTILE]
)
def test_html_fetches_nothing_and_runs_nothing(hostile: str) -> None:
    page = letter_html(letter(hostile))
    tags = _Tags()
    tags.feed(page)
    assert {tag for tag, _ in tags.seen} <= {
        "html", "head", "meta", "title", "body", "p", "ol", "li", "b", "br", "span", "img",
    }  # fmt: skip
    assert all(not name.startswith("on") for _, attributes in tags.seen for name in attributes)
    sources = [attributes["src"] or "" for tag, attributes in tags.seen if tag == "img"]
    assert len(sources) == 3
    assert all(source.startswith("data:image/png;base64,") for source in sources)
    assert "http" not in page


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_letters_are_printed_as_they_are(hostile: str) -> None:
    pdf = letter_pdf(letter(hostile))
    assert squeezed(pdf).count(hostile.replace(" ", "")) >= 3 * 6
    assert "root:" not in squeezed(pdf)
    check_inside(pdf, 50)


def test_a_letter_without_questions_says_so() -> None:
    made = Letter(HEADING, ())
    for text in (words(letter_pdf(made)), letter_text(made), letter_html(made)):
        assert "Nothing is open" in text
        assert CAUTION not in text
    one = replace(made, questions=(Question("Quantity", "How many?"),))
    assert "need one answer" in words(letter_pdf(one))


def test_a_figure_that_fetches_something_is_refused_in_every_form() -> None:
    bad = replace(letter("x"), questions=(Question("a", "b", figures=(Figure('<svg><use href="x"/></svg>', ""),)),))
    for write in (letter_pdf, letter_html):
        with pytest.raises(BadInput, match=r"questions\[0\]\.figures\[0\]"):
            write(bad)  # type: ignore[operator]


# Tag ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("label", SIZES)
def test_tag_is_one_label(label: str) -> None:
    pdf = tag_pdf(case_tag(case(), found_of(case())[0], DAY, address=ADDRESS, send_to="dock 2"), label=label)  # type: ignore[arg-type]
    document = opened(pdf)
    assert len(document) == 1
    assert document[0].get_size() == pytest.approx([side / 25.4 * 72 for side in SIZES[label]], abs=0.01)
    check_print(pdf, "Sample tag T-7: Slat conveyor at the kiln")
    for said in ("T-7", "dock 2", "connecting link with its fastener", "arrow for the direction of travel", "Lock out"):
        assert said in words(pdf)


@pytest.mark.parametrize("text", [*HOSTILE, *STRANGE])
@pytest.mark.parametrize("label", SIZES)
def test_tag_stays_one_label_whatever_is_written(label: str, text: str) -> None:
    heading = Heading(text, text[:64], text, DAY, text, text[:20], text, text, text)
    pdf = tag_pdf(Tag(heading, send_to=text * 3, address=ADDRESS), label=label)  # type: ignore[arg-type]
    assert len(opened(pdf)) == 1
    check_inside(pdf, 10)


def test_what_to_pack_follows_the_chain() -> None:
    assert case_tag(case(), found_of(case())[0], DAY).pack == PACK
    assert len(case_tag(empty(), found_of(empty())[0], DAY).pack) == len(PACK) - 1
    with pytest.raises(BadInput, match="4x6 or a6"):
        tag_pdf(Tag(HEADING), label="a5")  # type: ignore[arg-type]


# Inspection --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", PAPERS)
def test_inspection_names_every_limit(paper: str) -> None:
    pdf = inspection_pdf(case_inspection(case(), *found_of(case()), DAY), paper=paper)  # type: ignore[arg-type]
    check_print(pdf, "Receiving inspection T-7: Slat conveyor at the kiln")
    check_inside(pdf, 38)
    text = words(pdf)
    for said in (
        "Ordered M112x160 flanged roller",
        "240",
        "at most this",
        "measuring load",
        "Not settled in the order",
        "reject",
    ):
        assert said in text


def test_length_limits_are_those_of_the_standard() -> None:
    """ISO 606 chain is 0 to +0.15 % of nominal, with attachments +0.30 % (makeup.tolerances names the sources)."""
    known = case(chosen={"designation": "16B-1", "by": "a", "why": "b"}, attachments=[], pattern=None, spacing={})
    groups = {group.title: group.checks for group in case_inspection(known, *found_of(known), DAY).groups}
    strand, section, matching = groups["Length"]
    nominal = 240 * 25.4
    assert (
        strand.limits == f"{nominal:.1f} mm (240.00 in) to {nominal * 1.0015:.1f} mm ({nominal * 1.0015 / 25.4:.2f} in)"
    )
    assert section.what == "a section of 80 pitches"
    assert section.limits.startswith(f"{nominal / 3:.1f} mm")
    assert matching.limits == "at most 3 mm (0.118 in) between strands"


def test_where_no_tolerance_was_read_the_sheet_says_so() -> None:
    groups = {group.title: group.checks for group in case_inspection(case(), *found_of(case()), DAY).groups}
    assert groups["Length"][0].limits == "no figure of the standard was read: as agreed"


def test_an_empty_case_has_an_inspection_sheet_that_rejects_nothing() -> None:
    text = words(inspection_pdf(case_inspection(empty(), *found_of(empty()), DAY)))
    assert "Not settled yet" in text
    assert "Not settled in the order" in text


@pytest.mark.parametrize("text", [*HOSTILE, *STRANGE])
def test_hostile_inspection(text: str) -> None:
    sheet = Inspection(
        replace(HEADING, title=text, plant=text, machine=text),
        text,
        (CheckGroup(text, (Check(text[:1], text, text, text, 2),)),),
        SVG,
        (text,),
        (text,),
    )
    pdf = inspection_pdf(sheet)
    assert "root:" not in squeezed(pdf)
    check_inside(pdf, 38)


# ZIP ---------------------------------------------------------------------------------------------------------------


def _zip(known: Case, **more: Any) -> dict[str, bytes]:
    archive = zipfile.ZipFile(io.BytesIO(dossier_zip(known, *found_of(known), DAY, **more)))
    return {name: archive.read(name) for name in archive.namelist()}


def test_zip_holds_paper_tables_drawings_and_case() -> None:
    files = _zip(case(), level="make", photos=(photo(picture(), "p.jpg", "the stamp"),))
    assert sorted(files) == [
        "T-7-attachment-1.dxf", "T-7-attachment-1.svg", "T-7-case.json", "T-7-dossier.pdf", "T-7-figure.dxf",
        "T-7-figure.svg", "T-7-photo-1.jpg", "T-7-spacing.dxf", "T-7-spacing.svg", "T-7-tables.xlsx",
    ]  # fmt: skip
    assert json.loads(files["T-7-case.json"]) == case().as_json()
    book = CalamineWorkbook.from_filelike(io.BytesIO(files["T-7-tables.xlsx"]))
    assert book.sheet_names == [
        "Request", "Dimensions", "Attachments", "Strands", "Not seen", "Readings", "Candidates", "Duty", "Assumptions",
        "Open", "Sources",
    ]  # fmt: skip
    readings = book.get_sheet_by_name("Readings").to_python()
    assert readings[3][:2] == ["P", "pitch"]
    assert readings[3][3] == pytest.approx(161.0, abs=0.01)
    drawing = ezdxf.read(io.StringIO(files["T-7-figure.dxf"].decode()))  # type: ignore[attr-defined]
    assert not drawing.audit().errors


def test_the_same_case_gives_the_same_zip_and_an_empty_one_works() -> None:
    assert dossier_zip(case(), *found_of(case()), DAY) == dossier_zip(case(), *found_of(case()), DAY)
    assert sorted(_zip(empty())) == ["T-0-case.json", "T-0-dossier.pdf", "T-0-tables.xlsx"]


def test_texts_in_the_tables_are_never_formulas() -> None:
    known = case(quantity={"strands": 2, "spares": "=1+1"}, assumptions=[
        {"gap": "features.seals", "assumed": "@SUM(A1)", "by": "-x", "why": "+y"}
    ])  # fmt: skip
    with zipfile.ZipFile(io.BytesIO(_zip(known)["T-7-tables.xlsx"])) as book:
        sheets = [book.read(name) for name in book.namelist() if name.startswith("xl/worksheets/")]
    assert sheets
    assert not any(b"<f>" in sheet for sheet in sheets)
