"""The workbook that goes out and comes back: whatever is written into it is read, or named as a fault."""

from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
import xlsxwriter

from chaincase.case.form import Case
from chaincase.chains.kinds import KINDS
from chaincase.documents.paper import Heading
from chaincase.documents.sheet import measuring_sheet
from chaincase.documents.sheet_reading import read_sheet
from chaincase.documents.sheet_workbook import grids, sheet_xlsx
from chaincase.documents.workbook import Cell, Column, Grid, head_row, workbook
from chaincase.errors import BadInput

MADE = datetime(2026, 3, 9, tzinfo=UTC).replace(tzinfo=None)
HEADING = Heading("Slat conveyor", "T-7", "a plant", date(2026, 3, 9))
Entries = dict[str, dict[tuple[int, str], Cell]]


def filled(path: Path, entries: Entries, kind: str = "conveyor flanged", unit: str = "both") -> Path:
    """A sheet with some cells written: by sheet, row below the head from 0, and column."""
    made = grids(measuring_sheet(kind, HEADING, units=unit))  # type: ignore[arg-type]
    path.write_bytes(workbook([_filled(grid, entries.get(grid.name, {})) for grid in made], title="t", made=MADE))
    return path


def _filled(grid: Grid, entries: dict[tuple[int, str], Cell]) -> Grid:
    titles = [column.title for column in grid.columns]
    rows: list[list[Cell]] = [list(row) for row in grid.rows] + [[""] * len(titles) for _ in range(grid.empty)]
    for (row, title), value in entries.items():
        rows[row][titles.index(title)] = value
    return Grid(grid.name, grid.intro, grid.columns, tuple(map(tuple, rows)), landscape=grid.landscape)


def start(**answers: Cell) -> dict[tuple[int, str], Cell]:
    rows = {"by": 5, "contact": 6, "on": 7, "looks": 8, "unit": 9, "remark": 10, "machine": 3}
    return {(rows[name], "Answer"): value for name, value in answers.items()}


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_an_empty_sheet_of_any_kind_says_nothing_but_its_case(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "s.xlsx"
    path.write_bytes(sheet_xlsx(measuring_sheet(kind, HEADING)))
    assert read_sheet(path) == {"case": "T-7"}


def test_round_trip(tmp_path: Path) -> None:
    said = {"by": "millwright", "on": "2026-03-09"}
    path = filled(
        tmp_path / "s.xlsx",
        {
            "Start": start(
                by="millwright", on="2026-03-09", contact="555 0100", looks="conveyor, flanged roller", remark="rusty"
            ),
            "Readings": {
                (0, "First reading"): "161 mm",
                (0, "Second reading"): 161.5,
                (0, "Unit"): "mm",
                (2, "First reading"): "50 1/2 in",
                (2, "Over pitches"): 8,
                (3, "First reading"): 58.7,
                (3, "Remark"): "pitted",
                (5, "Remark"): "could not be reached",
                (17, "Dimension"): "width",
                (17, "First reading"): "44.6 mm",
            },
            "Stamps": {(0, "Stamp"): "M?1*", (0, "Where"): "inner plate", (0, "Legibility"): "corroded"},
            "Attachments": {
                (0, "On links"): "outer",
                (0, "Form"): "bent",
                (0, "Holes per side"): 2,
                (0, "Hole diameter"): "14",
                (0, "Unit"): "mm",
            },
            "Spacing": {(0, "Counted"): 4, (1, "Links in the piece"): 7, (1, "Attachments on links"): "2, 6"},
            "Strands": {
                (0, "Answer"): 2,
                (1, "Answer"): "3",
                (2, "Answer"): 240,
                (4, "Answer"): "Endless",
                (5, "Answer"): "yes",
            },
            "Sprockets": {
                (0, "Where"): "head shaft",
                (0, "Teeth"): 8,
                (0, "Outside diameter"): "440",
                (0, "Unit"): "mm",
                (1, "Teeth"): 8,
                (1, "Number stamped"): "M112",
            },
            "Not seen": {
                (0, "State"): "observed",
                (0, "Part"): "pins",
                (0, "What it is"): "magnetic",
                (0, "How it is known"): "magnet",
            },
        },
    )
    fragment = read_sheet(path)
    assert fragment == {
        "case": "T-7",
        "evidence": {
            "construction": ["conveyor", "flanged roller"],
            "marks": [{"text": "M?1*", "where": "inner plate", "legibility": "corroded", **said}],
            "readings": [
                {
                    "dimension": "pitch", "value": "161 mm", "instrument": "tape", "technique": "same edge",
                    "link": "outer", "reference": "pins", "repeats": ["161.5 mm"], **said,
                },
                {
                    "dimension": "pitch", "value": "50 1/2 in", "instrument": "tape", "technique": "same edge",
                    "link": "unknown", "reference": "pins", "over": 8, **said,
                },
                {
                    "dimension": "roller_diameter", "value": "58.7", "instrument": "digital caliper",
                    "technique": "direct", "note": "pitted", **said,
                },
                {"dimension": "width", "value": "44.6 mm", **said},
            ],
        },
        "wheels": [
            {"teeth": 8, "readings": [{"dimension": "outside_diameter", "value": "440 mm"}], **said},
            {"teeth": 8, "text": "M112", **said},
        ],
        "attachments": [
            {
                "link": "outer", "form": "bent", "holes": 2, **said,
                "readings": [
                    {"dimension": "hole_diameter", "value": "14 mm", "instrument": "caliper", "technique": "direct"}
                ],
            }
        ],
        "spacing": {"observations": [{"counted": 4, **said}, {"sample_links": 7, "attachments_at": [2, 6], **said}]},
        "strands": {"number": 2, "ends": "endless", "matched": True, "observations": [{"counted": 240, **said}]},
        "quantity": {"strands": 3},
        "features": [
            {"feature": "material", "state": "observed", **said, "part": "pins", "value": "magnetic", "how": "magnet"}
        ],
        "notes": "rusty\nTelephone or mail: 555 0100\nbush_diameter: could not be reached\n"
        "Sprocket of 8 teeth: head shaft",
    }  # fmt: skip
    read = Case.of({"schema": "chaincase/case-1", **fragment})
    assert not read.warnings()


@pytest.mark.parametrize(
    ("entries", "where", "what"),
    [
        ({"Readings": {(3, "First reading"): "5 furlongs"}}, "row 10, column I 'First reading'", "furlongs"),
        ({"Readings": {(2, "First reading"): "50 in"}}, "column H 'Over pitches'", "number of pitches is missing"),
        ({"Readings": {(2, "First reading"): "50 in", (2, "Over pitches"): "many"}}, "column H", "no number"),
        ({"Readings": {(3, "First reading"): "5 in", (3, "Instrument"): "eye"}}, "column D 'Instrument'", "eye"),
        ({"Readings": {(3, "First reading"): "5 in", (3, "Unit"): "cubit"}}, "column K 'Unit'", "no unit"),
        ({"Readings": {(17, "First reading"): "5 in"}}, "column B 'Dimension'", "not a dimension"),
        ({"Readings": {(17, "Dimension"): "width"}}, "row 24, column I", "no reading"),
        ({"Stamps": {(0, "Where"): "bar"}}, "sheet 'Stamps', row 6, column A 'Stamp'", "no stamp"),
        ({"Attachments": {(0, "Thickness"): "thick"}}, "sheet 'Attachments'", "thick"),
        ({"Attachments": {(0, "Form"): "curly"}}, "column C 'Form'", "curly"),
        ({"Attachments": {(0, "On links"): "none"}}, "column A 'On links'", "none"),
        ({"Spacing": {(0, "Attachments on links"): "a, b"}}, "sheet 'Spacing', row 9", "no numbers"),
        ({"Spacing": {(0, "Links in the piece"): 7}}, "sheet 'Spacing', row 9", "says nothing"),
        ({"Strands": {(0, "Answer"): "two"}}, "sheet 'Strands', row 7, column B 'Answer'", "no number"),
        ({"Strands": {(4, "Answer"): "open"}}, "row 11", "none of the answers"),
        ({"Strands": {(3, "Answer"): "20 yards of it"}}, "row 10", "yards"),
        ({"Sprockets": {(0, "Outside diameter"): "440 mm"}}, "column B 'Teeth'", "teeth is missing"),
        ({"Sprockets": {(0, "Teeth"): 8}}, "sheet 'Sprockets', row 8", "nothing but teeth"),
        ({"Sprockets": {(0, "Teeth"): 8, (0, "Outside diameter"): 440}}, "column C", "no unit"),
        ({"Not seen": {(0, "What it is"): "zinc"}}, "sheet 'Not seen', row 7, column D 'State'", "state is missing"),
        ({"Not seen": {(0, "State"): "perhaps"}}, "column D 'State'", "none of the answers"),
        ({"Not seen": {(12, "State"): "observed"}}, "column A 'Feature'", "feature is missing"),
        ({"Not seen": {(12, "State"): "observed", (12, "Feature"): "smell"}}, "column A 'Feature'", "smell"),
        ({"Start": start(on="last week")}, "sheet 'Start', row 16, column B 'Answer'", "not a date"),
    ],
)  # fmt: skip
def test_every_fault_is_named_with_its_place(entries: Entries, where: str, what: str, tmp_path: Path) -> None:
    path = filled(tmp_path / "s.xlsx", entries)
    with pytest.raises(BadInput) as refused:
        read_sheet(path)
    assert str(path) in str(refused.value)
    assert where in str(refused.value)
    assert what in str(refused.value)


def test_all_faults_are_told_together(tmp_path: Path) -> None:
    path = filled(tmp_path / "s.xlsx", {"Stamps": {(0, "Where"): "bar"}, "Strands": {(0, "Answer"): "two"}})
    with pytest.raises(BadInput) as refused:
        read_sheet(path)
    assert len(str(refused.value).splitlines()) == 2


def test_what_stands_beside_the_table_is_no_silence(tmp_path: Path) -> None:
    made = list(grids(measuring_sheet("leaf", HEADING)))
    stamps = next(i for i, grid in enumerate(made) if grid.name == "Stamps")
    wider = Grid("Stamps", made[stamps].intro, (*made[stamps].columns, Column("Also", 10)), (("", "", "", "", "W"),))
    made[stamps] = wider
    path = tmp_path / "s.xlsx"
    path.write_bytes(workbook(made, title="t", made=MADE))
    with pytest.raises(BadInput, match="the column 'Also' is not one of this sheet"):
        read_sheet(path)


def _other(path: Path) -> Path:
    path.write_bytes(
        workbook(
            [Grid("Start", (), (Column("What", 5), Column("Answer", 5)), (("Form", "x"),))],
            title="",
            made=MADE,
        )
    )
    return path


def _formula(path: Path) -> Path:
    with xlsxwriter.Workbook(path) as book:
        book.add_worksheet("Start").write_formula(0, 0, "=1+1")
    return path


def _text(path: Path) -> Path:
    path.write_bytes(b"not a workbook")
    return path


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (_other, "no measuring sheet"),
        (_formula, "formula"),
        (_text, "not a sound XLSX"),
        (lambda path: path, "no such file"),
    ],
)
def test_another_file_is_refused(make: Any, what: str, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=what):
        read_sheet(make(tmp_path / "s.xlsx"))


def test_a_sheet_that_lost_a_part_is_refused(tmp_path: Path) -> None:
    made = [grid for grid in grids(measuring_sheet("leaf", HEADING)) if grid.name != "Strands"]
    path = tmp_path / "s.xlsx"
    path.write_bytes(workbook(made, title="t", made=MADE))
    with pytest.raises(BadInput, match="Strands"):
        read_sheet(path)


def test_text_that_looks_like_a_formula_stays_text(tmp_path: Path) -> None:
    path = filled(tmp_path / "s.xlsx", {"Stamps": {(0, "Stamp"): "=1+1"}, "Start": start(machine="@SUM(A1)")})
    fragment = read_sheet(path)
    assert fragment["evidence"]["marks"][0]["text"] == "=1+1"
    assert fragment["machine"] == "@SUM(A1)"


def test_units_of_the_sheet_stand_beside_every_reading(tmp_path: Path) -> None:
    path = filled(tmp_path / "s.xlsx", {"Readings": {(0, "First reading"): "6 3/8"}}, unit="in")
    assert read_sheet(path)["evidence"]["readings"][0]["value"] == "6 3/8 in"


def test_the_unit_of_the_sheet_holds_where_none_is_written(tmp_path: Path) -> None:
    entries: Entries = {
        "Attachments": {(0, "Thickness"): "1/4"},
        "Spacing": {(0, "Taped"): 24},
        "Sprockets": {(0, "Teeth"): 8, (0, "Outside diameter"): "440 mm"},
        "Strands": {(3, "Answer"): "100 ft"},
    }
    fragment = read_sheet(filled(tmp_path / "s.xlsx", entries, unit="in"))
    assert fragment["attachments"][0]["readings"][0]["value"] == "1/4 in"
    assert fragment["spacing"]["observations"][0]["taped"] == "24 in"
    assert fragment["wheels"][0]["readings"][0]["value"] == "440 mm"
    assert fragment["strands"]["observations"][0]["taped"] == "100 ft"
    with pytest.raises(BadInput, match="that is no unit"):
        read_sheet(filled(tmp_path / "t.xlsx", {"Start": start(unit="cubit")}))


def test_the_same_sheet_gives_the_same_workbook() -> None:
    sheet = measuring_sheet("leaf", HEADING)
    assert sheet_xlsx(sheet) == sheet_xlsx(sheet)
    assert all(head_row(grid) < 20 for grid in grids(sheet))
