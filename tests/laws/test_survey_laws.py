"""What must hold of a survey's files whatever stands in the cells."""

import csv
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from chaincase.catalog.sheets import Sheet
from chaincase.errors import BadInput
from chaincase.survey.answering import Answer, answer
from chaincase.survey.columns import Layout, Measure, read_layout
from chaincase.survey.output import defused, write_answers
from survey_sheets import CHAINS

OPENERS = "=+-@\t\r\n"
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=12)
HOSTILE = st.builds("".join, st.tuples(st.sampled_from([*OPENERS, "", "'", '"', ",", "＝"]), TEXT))
LAYOUT = Layout(
    ("sample", "mark", "pitch", "pitch.over"), 1, 0, -1, (("text", 1),), (Measure("pitch", 2, "", (("over", 3),)),), ()
)


def is_number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True


@given(HOSTILE)
def test_no_text_opens_a_formula(text: str):
    safe = defused(text)
    assert safe in {text, "'" + text}
    assert is_number(safe) or not safe.startswith(tuple(OPENERS))


@given(st.from_regex(r"[+-]?[0-9]{1,6}(\.[0-9]{1,6})?", fullmatch=True))
def test_numbers_stay_as_they_are(text: str):
    assert defused(text) == text


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(HOSTILE, HOSTILE), min_size=1, max_size=8))
def test_what_is_handed_through_comes_back_and_runs_nothing(rows: list[tuple[str, str]]):
    answers = [Answer(sample, "A40", 0.5, "A50", 0.25, 0.25, "", "", (note,)) for sample, note in rows]
    with tempfile.TemporaryDirectory() as folder:
        room = Path(folder)
        write_answers(answers, room / "out.csv", ["notes"], room)
        write_answers(answers, room / "out.xlsx", ["notes"], room)
        with (room / "out.csv").open(encoding="utf-8", newline="") as file:
            _, *lines = csv.reader(file)
        book = CalamineWorkbook.from_path(str(room / "out.xlsx")).get_sheet_by_name("answers")
        _, *cells = book.to_python(skip_empty_area=False)
    assert [(line[0], line[8]) for line in lines] == [(defused(sample), defused(note)) for sample, note in rows]
    for line, (sample, note) in zip(cells, rows, strict=True):
        for found, given_text in ((line[0], sample), (line[8] if len(line) > 8 else "", note)):
            assert isinstance(found, str)
            printable = "".join(c for c in given_text if c.isprintable())
            assert "".join(c for c in found if c.isprintable()) == printable


@settings(max_examples=40, deadline=None)
@given(st.lists(st.one_of(TEXT, st.sampled_from(["12.7 mm", "1/2 in", "A?0", "=1", "-3", "2"])), max_size=6))
def test_every_row_gets_an_answer(cells: list[str]):
    found = answer(7, cells, LAYOUT, CHAINS)
    assert "the program failed" not in found.warnings
    assert (found.designation == "") == found.warnings.startswith("not read: row 7")
    if found.probability is not None and found.unlisted is not None:
        assert 0 <= found.probability <= 1
        assert found.probability + (found.second_probability or 0) + found.unlisted <= 1 + 1e-5


@given(st.lists(TEXT, max_size=6))
def test_every_header_is_understood_or_refused(header: list[str]):
    sheet = Sheet("s.csv", "", (), lambda: iter([["sample", "pitch", *header]]))
    try:
        layout = read_layout(sheet)
    except BadInput as fault:
        told = str(fault)
    else:
        told = "s.csv" if (layout.sample, layout.measures[0].column) == (0, 1) else ""
    assert "s.csv" in told
