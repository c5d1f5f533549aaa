"""Prints that an engineer brings: the pleasant path, from the proposal of a key to the catalog."""

import math
from pathlib import Path

import pytest

from chaincase.catalog.importing import import_catalog, key_beside
from chaincase.catalog.key_file import parse_key, read_key
from chaincase.catalog.proposing import propose_key
from chaincase.catalog.sheets import read_sheet
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import KINDS
from sheet_files import workbook

# The figures of this print are made up, but could be those of such chain.
PRINT = """\
Mill chain, print of 1987
All sizes in inches

Chain No.,Old No.,A,"Barrel
dia.",Pin (mm),Ult. lbf,lb/ft,Strands,Remarks
WR78,W78; 78,2 39/64",7/8,12.7,"21,000",4.0,1,light
,,,,,,,,
WR82,-,3.075,1 1/4,14.3,-,4.8,,
WR124,,4,1.44,19.05 mm,40000,,simplex,"heavy, rare"
HEAVY CHAINS,,,,,,,,
"""
KEY = """\
title = "Mill chain"
source = "drawing 4711, sheet 2"
unit = "in"
kind = "welded steel"
designation = "chain no."
alternatives = ["Old No."]
strands_column = "Strands"
note = "Remarks"
decimal = "."

[columns.A]
dimension = "pitch"

[columns."Barrel dia."]
dimension = "barrel diameter"
limit = "max"

[columns."Pin (mm)"]
dimension = "pin_diameter"
unit = "mm"
limit = "min"

[tensile]
column = "Ult. lbf"
unit = "lbf"

[mass]
column = "lb/ft"
unit = "lb/ft"
"""

HEAD = 'title="t"\nsource="s"\nunit="mm"\nkind="leaf"\ndesignation="No."\n'
LETTERED = HEAD.replace("No.", "column A")


def put(folder: Path, table: str = PRINT, key: str = KEY) -> Path:
    path = folder / "prints.csv"
    path.write_text(table, encoding="utf-8")
    path.with_name("prints.csv.toml").write_text(key, encoding="utf-8")
    return path


def dimensions(catalog: Catalog, name: str) -> dict[str, float]:
    return dict(catalog.dimensions_of(catalog.row(name)))


@pytest.fixture
def catalog(tmp_path: Path) -> Catalog:
    return import_catalog(put(tmp_path))[0]


class TestThePleasantPath:
    def test_inches_millimeters_fractions_and_decimals_mix(self, catalog: Catalog) -> None:
        # 1 in = 25.4 mm, international yard and pound agreement of 1959
        assert dimensions(catalog, "WR78") == {
            "pitch": 66.278125,
            "bush_diameter": 22.225,
            "pin_diameter": 12.7,
        }
        assert dimensions(catalog, "WR82")["pitch"] == pytest.approx(3.075 * 25.4, rel=1e-15)
        assert dimensions(catalog, "WR124")["pin_diameter"] == 19.05

    def test_names_and_other_names(self, catalog: Catalog) -> None:
        assert catalog.designations == ("WR78", "WR82", "WR124")
        assert catalog.alternatives == (("W78", "78"), (), ())

    def test_what_the_figures_say(self, catalog: Catalog) -> None:
        row = catalog.row("WR78")
        said = {name: Limit(catalog.limits[row, COLUMN[name]]) for name in ("pitch", "bush_diameter", "pin_diameter")}
        assert said == {"pitch": Limit.NOMINAL, "bush_diameter": Limit.MAXIMUM, "pin_diameter": Limit.MINIMUM}

    def test_the_user_answers_for_it(self, catalog: Catalog) -> None:
        filled = ~(catalog.values != catalog.values)
        assert set(catalog.trust[filled].tolist()) == {Trust.USER}
        assert set(catalog.trust[~filled].tolist()) == {Trust.NONE}
        assert catalog.sources[0].standard == "drawing 4711, sheet 2"
        assert "prints.csv" in catalog.sources[0].evidence

    def test_strength_and_mass(self, catalog: Catalog) -> None:
        # 1 lbf = 4.4482216152605 N; 1 lb = 0.45359237 kg, 1 ft = 0.3048 m: agreement of 1959
        assert catalog.tensile_kn[0] == pytest.approx(21.0 * 4.4482216152605, rel=1e-15)
        assert math.isnan(catalog.tensile_kn[1])
        assert catalog.mass_kg_per_m[0] == pytest.approx(4 * 0.45359237 / 0.3048, rel=1e-15)

    def test_kind_strands_and_notes(self, catalog: Catalog) -> None:
        assert {KINDS[code].name for code in catalog.kind} == {"welded steel"}
        assert catalog.strands.tolist() == [1, 0, 1]
        assert catalog.notes == ("light", "", "heavy, rare")

    def test_the_report_says_what_was_read(self, tmp_path: Path) -> None:
        report = import_catalog(put(tmp_path))[1]
        assert (report.chains, report.header_row, report.skipped, report.unread) == (3, 4, (9,), ())
        assert "column C 'A': pitch, nominal, in in; 3 figures from 66.2781 to 101.6 mm" in str(report)
        assert "rows without figures, left out: 9" in str(report)

    def test_columns_that_the_key_does_not_name_are_told(self, tmp_path: Path) -> None:
        report = import_catalog(put(tmp_path, key=KEY.replace('note = "Remarks"\n', "")))[1]
        assert report.unread == ("column I 'Remarks'",)

    def test_the_same_print_as_a_workbook(self, tmp_path: Path, catalog: Catalog) -> None:
        cells = [
            ["Mill chain, print of 1987"],
            [],
            ["Chain No.", "Old No.", "A", "Barrel\ndia.", "Pin (mm)", "Ult. lbf", "lb/ft", "Strands", "Remarks"],
            ["WR78", "W78; 78", '2 39/64"', 0.875, 12.7, 21000, 4, 1, "light"],
            ["WR82", None, 3.075, "1 1/4", 14.3, None, 4.8],
            ["WR124", None, 4, 1.44, "19.05 mm", 40000, None, "simplex", "heavy, rare"],
        ]
        path = workbook(tmp_path / "prints.xlsx", {"Cover": [["x"]], "Table 1": cells})
        key = tmp_path / "own.toml"
        key.write_text('sheet = "Table 1"\n' + KEY, encoding="utf-8")
        other, report = import_catalog(path, key)
        assert report.sheet == "Table 1"
        assert other.designations == catalog.designations
        assert other.alternatives == catalog.alternatives
        assert other.notes == catalog.notes
        assert (
            other.values[~(other.values != other.values)] == catalog.values[~(catalog.values != catalog.values)]
        ).all()
        assert other.tensile_kn.tolist()[::2] == catalog.tensile_kn.tolist()[::2]


class TestColumns:
    def test_by_the_letter_of_the_spreadsheet(self, tmp_path: Path) -> None:
        key = LETTERED + "first_row=2\n"
        key += '[columns."column C"]\ndimension="pitch"\n'
        found, _ = import_catalog(put(tmp_path, "?,?,?\nX1,a,12.7\n", key))
        assert dimensions(found, "X1") == {"pitch": 12.7}

    def test_without_any_header(self, tmp_path: Path) -> None:
        key = LETTERED + '[columns."Column b"]\ndimension="pitch"\n'
        assert import_catalog(put(tmp_path, "X1,12.7\nX2,15.875\n", key))[0].designations == ("X1", "X2")

    def test_a_letter_over_a_column_goes_before_the_letter_of_the_spreadsheet(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\nA = {dimension="pitch"}\n'
        found, _ = import_catalog(put(tmp_path, "No.,B,A\nX1,5,12.7\n", key))
        assert dimensions(found, "X1") == {"pitch": 12.7}

    def test_headers_alike_are_told_apart_by_letter(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\n"column C" = {dimension="pitch"}\n'
        found, _ = import_catalog(put(tmp_path, "No.,P,P\nX1,5,12.7\n", key))
        assert dimensions(found, "X1") == {"pitch": 12.7}

    def test_a_dimension_as_header_needs_no_more(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\npitch = {limit="max"}\n'
        found, _ = import_catalog(put(tmp_path, "No.,pitch\nX1,12.7\n", key))
        assert dimensions(found, "X1") == {"pitch": 12.7}

    def test_kinds_by_the_words_of_the_print(self, tmp_path: Path) -> None:
        key = 'title="t"\nsource="s"\nunit="mm"\nkind="pintle"\nkind_column="Type"\ndesignation="No."\n'
        key += '[kinds]\nWS = "welded steel"\n"Drag type" = "drag"\n[columns]\nP = "pitch"\n'
        table = "No.,Type,P\nA,ws,100\nB,drag  TYPE,100\nC,leaf,100\nD,,100\n"
        found, _ = import_catalog(put(tmp_path, table, key))
        assert [KINDS[code].name for code in found.kind] == ["welded steel", "drag", "leaf", "pintle"]

    def test_rows_outside_the_table_are_left_alone(self, tmp_path: Path) -> None:
        key = HEAD + 'first_row=3\nlast_row=4\n[columns]\nP="pitch"\n'
        table = "No.,P\n,mm\nX1,12.7\nX2,15\nSee note,overleaf\n"
        assert import_catalog(put(tmp_path, table, key))[0].designations == ("X1", "X2")

    def test_a_header_printed_again_is_no_chain(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\nP="pitch"\n'
        assert import_catalog(put(tmp_path, "No.,P\nX1,12.7\nNo.,P\nX2,15\n", key))[0].designations == ("X1", "X2")

    def test_a_decimal_comma_with_points_between_thousands(self, tmp_path: Path) -> None:
        key = HEAD + 'decimal=","\n'
        key += '[columns]\nP="pitch"\n[tensile]\ncolumn="F"\nunit="N"\n'
        found, _ = import_catalog(put(tmp_path, "No.;P;F\nX1;12,700;22.200\n", key))
        assert (dimensions(found, "X1")["pitch"], found.tensile_kn[0]) == (12.7, 22.2)

    def test_strange_figures_are_told_and_kept(self, tmp_path: Path) -> None:
        key = HEAD
        key += '[columns]\nP="pitch"\nD="pin_diameter"\nL="pin_length"\n'
        table = "No.,P,D,L\nX1,12.7,5,20\nX2,15.9,6,22\nX3,25.4,3,30\n"
        found, report = import_catalog(put(tmp_path, table, key))
        assert len(found) == 3
        assert [doubt for doubt in report.doubts if doubt.startswith("row 4, X3, pin_diameter")]


class TestKeyBeside:
    @pytest.mark.parametrize("name", ["prints.csv.toml", "prints.toml"])
    def test_both_names_are_found(self, tmp_path: Path, name: str) -> None:
        (tmp_path / name).write_text(KEY, encoding="utf-8")
        assert key_beside(tmp_path / "prints.csv") == tmp_path / name

    def test_an_empty_one_is_none(self, tmp_path: Path) -> None:
        """As the shell makes it before the command that fills it is started."""
        (tmp_path / "prints.csv.toml").touch()
        assert key_beside(tmp_path / "prints.csv") is None

    def test_none(self, tmp_path: Path) -> None:
        assert key_beside(tmp_path / "prints.csv") is None

    def test_a_table_in_the_own_form_needs_none(self, tmp_path: Path) -> None:
        path = tmp_path / "own.csv"
        path.write_text("designation,kind,pitch,tensile_kn\nX1,leaf,12.7,22.2\n", encoding="utf-8")
        found, _ = import_catalog(path)
        assert (dimensions(found, "X1"), found.tensile_kn[0]) == ({"pitch": 12.7}, 22.2)


class TestProposal:
    def test_corrected_by_its_question_marks_alone_it_imports(self, tmp_path: Path) -> None:
        path = tmp_path / "prints.csv"
        table = PRINT.replace(",A,", ",Pitch,").replace("21,000", "21000")
        path.write_text(table, encoding="utf-8")
        proposal = propose_key(read_sheet(path))
        assert proposal.count('= "?"') == 2, proposal
        key = proposal.replace('source = "?"', 'source = "drawing 1"').replace('kind = "?"', 'kind = "welded steel"')
        found, _ = import_catalog(path, parse_key(key, "proposal"))
        assert dimensions(found, "WR78") == {"pitch": 66.278125, "bush_diameter": 22.225, "pin_diameter": 12.7}
        assert found.alternatives[0] == ("W78", "78")
        assert found.tensile_kn[0] == pytest.approx(93.41, abs=0.01)

    def test_what_it_guesses(self, tmp_path: Path) -> None:
        path = tmp_path / "prints.csv"
        path.write_text("Chain,Pitch,Roller dia. max,Width inside (in),B\n40,12.7,7.92,5/16,3\n", encoding="utf-8")
        lines = propose_key(read_sheet(path)).splitlines()
        assert 'unit = "mm"  # nothing in the table says it: check it' in lines
        at = lines.index('[columns."Roller dia. max"]')
        assert lines[at + 1].startswith('dimension = "roller_diameter"')
        assert lines[at + 2].startswith('limit = "max"')
        at = lines.index('[columns."Width inside (in)"]')
        assert lines[at + 1].startswith('dimension = "inner_width"')
        assert lines[at + 2] == 'unit = "in"'
        assert "# [columns.B]" in lines

    def test_a_forgotten_question_mark_is_found(self, tmp_path: Path) -> None:
        path = tmp_path / "prints.csv"
        path.write_text("Chain,Pitch\n40,12.7\n", encoding="utf-8")
        with pytest.raises(Exception, match=r"source: '\?' says nothing"):
            parse_key(propose_key(read_sheet(path)), "key.toml")

    def test_words_of_a_kind_column_are_asked_for(self, tmp_path: Path) -> None:
        path = tmp_path / "prints.csv"
        path.write_text("Chain,Chain type,Pitch\n40,WS,12.7\n41,leaf,12.7\n", encoding="utf-8")
        proposal = propose_key(read_sheet(path))
        assert '"WS" = "?"' in proposal
        assert '"leaf" = "?"' not in proposal

    @pytest.mark.parametrize("text", ["", "\n\n", "x\n", ",,,\n", "1,2\n3,4\n"])
    def test_whatever_stands_in_the_table_it_is_toml(self, tmp_path: Path, text: str) -> None:
        import tomllib

        path = tmp_path / 'odd "name".csv'
        path.write_text(text, encoding="utf-8")
        assert "title" in tomllib.loads(propose_key(read_sheet(path)))


def test_a_key_is_read_from_its_file(tmp_path: Path) -> None:
    (tmp_path / "k.toml").write_text(KEY, encoding="utf-8")
    key = read_key(tmp_path / "k.toml")
    assert (key.title, key.where) == ("Mill chain", str(tmp_path / "k.toml"))
    assert [column.dimension for column in key.columns] == [
        "pitch",
        "bush_diameter",
        "pin_diameter",
        "tensile",
        "mass",
    ]
