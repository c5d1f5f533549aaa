"""The measuring sheet: two pages for every kind, every letter with its row, the address in the square code."""

from dataclasses import replace
from datetime import date

import pytest

from chaincase.case.findings import find
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import KINDS, kind_named
from chaincase.documents.compose_papers import case_sheet
from chaincase.documents.paper import CAUTION, Heading
from chaincase.documents.pictograms import SHAPES, pictogram
from chaincase.documents.qr import LONGEST, code_of
from chaincase.documents.sheet import blank_heading, measuring_sheet, sheet_pdf
from chaincase.documents.sheet_rows import ATTACHMENT_ROWS, NOT_OF_THE_CHAIN, sheet_rows
from chaincase.errors import BadInput
from paper_cases import case, empty
from pdf_reading import HOSTILE, STRANGE, bookmarks, check_inside, check_print, opened, squeezed, words

DAY = date(2026, 3, 9)
HEADING = Heading("Slat conveyor at the kiln", "T-7", "a plant", DAY, machine="conveyor 4")


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_every_kind_fits_two_letter_pages_with_all_its_letters(kind: str) -> None:
    pdf = sheet_pdf(measuring_sheet(kind, HEADING, address="https://chains.example/cases/T-7"))
    assert len(opened(pdf)) == 2
    text = words(pdf)
    for name in set(kind_named(kind).dimensions) - NOT_OF_THE_CHAIN - {"pitch"}:
        assert BY_NAME[name].label in text
    assert all(row.label in text for row in ATTACHMENT_ROWS)


@pytest.mark.parametrize("kind", ["hollow pin flanged", "detachable", "welded steel"])
def test_a4_has_two_pages_too(kind: str) -> None:
    document = opened(sheet_pdf(measuring_sheet(kind, HEADING), paper="a4"))
    assert len(document) == 2
    assert document[0].get_size() == pytest.approx((595.28, 841.89), abs=0.01)


def test_print_has_title_bookmarks_fonts_and_caution() -> None:
    pdf = sheet_pdf(measuring_sheet("leaf", HEADING))
    check_print(pdf, "Measuring sheet T-7: Slat conveyor at the kiln")
    assert bookmarks(pdf) == [
        "Readings", "Stamp", "Attachments", "Strands and quantity", "Sprockets that stay", "What cannot be seen",
    ]  # fmt: skip
    assert CAUTION in words(pdf)


def test_the_same_sheet_gives_the_same_file() -> None:
    assert sheet_pdf(measuring_sheet("leaf", HEADING)) == sheet_pdf(measuring_sheet("leaf", HEADING))


@pytest.mark.parametrize(
    ("units", "said"),
    [("in", "All readings in inches"), ("mm", "All readings in millimeters"), ("both", "Do not convert")],
)
def test_units(units: str, said: str) -> None:
    assert said in words(sheet_pdf(measuring_sheet("leaf", HEADING, units=units)))  # type: ignore[arg-type]


def test_asked_dimensions_are_marked_and_only_then_explained() -> None:
    assert "Marked rows" not in words(sheet_pdf(measuring_sheet("leaf", HEADING)))
    assert "Marked rows" in words(sheet_pdf(measuring_sheet("leaf", HEADING, asked=frozenset({"pin_diameter"}))))


def test_pitch_is_asked_where_wear_shows_and_where_it_does_not() -> None:
    alternate = [(row.link, row.over) for row in sheet_rows(kind_named("roller")) if row.dimension == "pitch"]
    assert alternate == [("outer", 1), ("inner", 1), ("unknown", None)]
    alike = [(row.link, row.over) for row in sheet_rows(kind_named("drag")) if row.dimension == "pitch"]
    assert alike == [("unknown", 1), ("unknown", None)]


def test_sheet_of_a_case_asks_for_what_would_decide() -> None:
    known = case(chosen=None)
    found = find(known, Catalog.standard())
    sheet = case_sheet(known, found, DAY)
    assert found.identity is not None
    assert sheet.kind.name == found.identity.candidates[0].kind
    assert sheet.asked == {step.dimension for step in found.identity.next if step.dimension}
    assert case_sheet(known, found, DAY, kind="leaf").kind.name == "leaf"


def test_a_case_of_which_nothing_is_known_must_name_the_kind() -> None:
    with pytest.raises(BadInput, match="name the kind of chain"):
        case_sheet(empty(), find(empty(), Catalog.standard()), DAY)


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_texts_are_printed_as_they_are(hostile: str) -> None:
    bad = replace(HEADING, title=hostile, case=hostile[:40], plant=hostile, machine=hostile, position=hostile)
    pdf = sheet_pdf(measuring_sheet("leaf", bad))
    # The head line, the title line, the machine in it; a case is printed twice.
    assert squeezed(pdf).count(hostile[:40].replace(" ", "")) >= 5
    assert "root:" not in squeezed(pdf)
    check_inside(pdf, 38)


@pytest.mark.parametrize("strange", STRANGE)
def test_texts_beyond_the_font_do_not_stop_a_sheet(strange: str) -> None:
    assert len(opened(sheet_pdf(measuring_sheet("leaf", replace(HEADING, title=strange, plant=strange))))) == 2


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"kind": "rope"}, "not a kind of chain"),
        ({"units": "cubits"}, "no system of units"),
        ({"address": "javascript:alert(1)"}, "no address of a page"),
    ],
)
def test_bad_input_is_named(change: dict[str, str], what: str) -> None:
    with pytest.raises(BadInput, match=what):
        measuring_sheet(**({"kind": "leaf", "heading": HEADING} | change))  # type: ignore[arg-type]
    with pytest.raises(BadInput, match="us-letter or a4"):
        sheet_pdf(measuring_sheet("leaf", HEADING), paper="a3")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "address",
    ["ftp://a/b", "https://", "https://a b", "//a/b", "https://a/\n", f"https://a/{'x' * LONGEST}", "https://[", "x"],
)
def test_what_is_no_address_gets_no_code(address: str) -> None:
    with pytest.raises(BadInput, match="no address of a page"):
        code_of(address)


def test_pictograms_stand_in_their_frame_and_name_themselves() -> None:
    for name in SHAPES:
        svg = pictogram(name)
        assert 'viewBox="0 0 48 30"' in svg
        assert f"<title>{name}</title>" in svg


def test_a_sheet_that_is_nobodys_has_empty_lines() -> None:
    text = words(sheet_pdf(measuring_sheet("leaf", blank_heading(DAY))))
    assert "Case Machine, place Date" in text
    assert "Measuring sheet, March 9, 2026" in text
