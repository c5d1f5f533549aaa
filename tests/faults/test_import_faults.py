"""What is wrong with a print or its key is told at once, with sheet, row and column, and nothing is written."""

from pathlib import Path

import pytest

from chaincase.catalog.importing import NoKey, import_catalog
from chaincase.catalog.key_file import parse_key
from chaincase.errors import BadInput, BadInputs
from sheet_files import workbook

HEAD = 'title = "t"\nsource = "s"\nunit = "mm"\nkind = "leaf"\ndesignation = "No."\n'
KEY = HEAD + '[columns]\nP = "pitch"\nD = "pin_diameter"\n'


def faults_of(folder: Path, table: str, key: str = KEY) -> list[str]:
    """Give the faults of a table as text, without the folder."""
    path = folder / "a.csv"
    path.write_text(table, encoding="utf-8")
    return caught(path, folder, key)


def caught(path: Path, folder: Path, key: str) -> list[str]:
    with pytest.raises(BadInput) as found:
        import_catalog(path, parse_key(key, "a.toml"))
    fault = found.value
    faults = fault.faults if isinstance(fault, BadInputs) else [fault]
    return [str(one).replace(f"{folder}/", "") for one in faults]


def key_faults(text: str) -> list[str]:
    with pytest.raises(BadInput) as found:
        parse_key(text, "a.toml")
    fault = found.value
    return [str(one) for one in (fault.faults if isinstance(fault, BadInputs) else [fault])]


class TestPlaces:
    def test_a_cell_of_a_csv_file(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nX1,12.7,5\n\nX2,15.9 kg,6\n")
        assert fault.startswith("a.csv, row 4, column B 'P': '15.9 kg' has 'kg', a unit of mass; use")

    def test_a_cell_of_a_workbook(self, tmp_path: Path) -> None:
        cells = [[], [None, "No.", "P", "D"], [None, "X1", 12.7, "five"]]
        path = workbook(tmp_path / "a.xlsx", {"Cover": [], "Table 1": cells})
        [fault] = caught(path, tmp_path, 'sheet = "table 1"\n' + KEY)
        assert fault.startswith("a.xlsx, sheet 'Table 1', row 3, column D 'D': 'five' has no number")

    def test_all_faults_at_once_in_the_order_of_the_rows(self, tmp_path: Path) -> None:
        table = "No.,P,D\nX1,12.7,bad\n,15,6\nX2,15.9,6\nx 2,16,0\nX3,5..1,-4\nX4,2,1\n"
        places = [fault.split(": ")[0] for fault in faults_of(tmp_path, table)]
        assert places == [
            "a.csv, row 2, column C 'D'",
            "a.csv, row 3, column A 'No.'",
            "a.csv, row 5, column A 'No.'",
            "a.csv, row 5, column C 'D'",
            "a.csv, row 6, column B 'P'",
            "a.csv, row 6, column C 'D'",
            "a.csv, row 7, column B 'P'",
        ]

    def test_a_column_that_is_wrong_throughout_does_not_bury_the_others(self, tmp_path: Path) -> None:
        table = "No.,P,D\n" + "".join(f"X{i}Y,bad,{i}\n" for i in range(1, 31)) + "Z,12.7,worse\n"
        found = faults_of(tmp_path, table)
        assert len(found) == 22
        assert found[-2].startswith("a.csv, row 32, column C 'D': 'worse'")
        assert found[-1].startswith("a.csv, column B 'P': there are 10 more faults")

    def test_rows_are_numbered_beyond_the_first_block(self, tmp_path: Path) -> None:
        table = "No.,P,D\n" + "".join(f"X{i}Y,12.7,5\n" for i in range(20_000)) + "Z,12.7,bad\n"
        assert faults_of(tmp_path, table)[0].startswith("a.csv, row 20002, column C 'D': 'bad'")


class TestCells:
    def one(self, tmp_path: Path, cell: str, key: str = KEY) -> str:
        [fault] = faults_of(tmp_path, f'No.,P,D\nX1,"{cell}",1\n', key)
        assert fault.startswith("a.csv, row 2, column B 'P': ")
        return fault.removeprefix("a.csv, row 2, column B 'P': ")

    def test_an_ambiguous_comma(self, tmp_path: Path) -> None:
        assert 'say decimal = "." or "," in the key' in self.one(tmp_path, "1,234")

    def test_a_mark_that_the_key_rules_out(self, tmp_path: Path) -> None:
        assert "has a comma that is no mark between thousands" in self.one(tmp_path, "12,7", 'decimal = "."\n' + KEY)

    @pytest.mark.parametrize("cell", ["2026-03-08", "8-Mar", "Mar-08", "2026-03-08 00:00:00"])
    def test_a_fraction_that_became_a_date(self, tmp_path: Path, cell: str) -> None:
        fault = self.one(tmp_path, cell)
        assert fault.startswith(f"'{cell}' is a date; a spreadsheet makes a date of 3/8")

    @pytest.mark.parametrize("cell", ["0", "0.0", "0.00 in", "0 mm"])
    def test_zero(self, tmp_path: Path, cell: str) -> None:
        assert "zero" in self.one(tmp_path, cell)

    @pytest.mark.parametrize(
        "cell", ["99999999", "0.0001", "2000000 m", "1e5", "12.7-13.1", "12 / 13 / 14", "nan", "inf", "1_0"]
    )
    def test_what_no_chain_can_have(self, tmp_path: Path, cell: str) -> None:
        self.one(tmp_path, cell)

    def test_a_pitch_in_inches_under_a_key_in_millimeters(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nX1,2.609,.5\n")
        assert fault.startswith("a.csv, row 2, column B 'P': 2.609 mm is no pitch; perhaps it is in inches")

    def test_a_pin_thicker_than_its_chain(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\nP = "pitch"\nD = "pin_diameter"\nH = "inner_plate_height"\n'
        [fault] = faults_of(tmp_path, "No.,P,D,H\nX1,12.7,12,10\n", key)
        assert fault.startswith("a.csv, row 2, column C 'D': pin diameter 12 is not less than inner plate height 10")

    def test_a_dimension_that_the_kind_does_not_have(self, tmp_path: Path) -> None:
        key = HEAD + '[columns]\nP = "pitch"\nR = "roller_diameter"\n'
        [fault] = faults_of(tmp_path, "No.,P,R\nX1,12.7,8\n", key)
        assert fault.startswith("a.csv, row 2, column C 'R': a leaf chain has no roller diameter; leave the column out")

    def test_names_that_differ_in_spelling_only(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nWR-78,12.7,5\nWR 78,15,6\n")
        assert fault.startswith("a.csv, row 3, column A 'No.': 'WR 78' is the same number as 'WR-78' in row 2")

    def test_a_row_longer_than_the_headers(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nX1,12.7,5,5\nX2,15,6\n")
        assert fault.startswith("a.csv, row 2: the row has more cells than the 3 headers; put a cell with a comma")

    def test_control_characters_in_a_name(self, tmp_path: Path) -> None:
        assert "cannot be printed" in faults_of(tmp_path, "No.,P,D\nX\x1b[2J1,12.7,5\n")[0]

    def test_an_unknown_kind_gets_a_suggestion(self, tmp_path: Path) -> None:
        key = KEY.replace('kind = "leaf"', 'kind_column = "Type"')
        found = faults_of(tmp_path, "No.,Type,P,D\nX1,leav,12.7,5\nX2,,15,6\n", key)
        assert found[0].startswith("a.csv, row 2, column B 'Type': 'leav' is not a kind of chain; did you mean 'leaf'?")
        assert found[1].startswith("a.csv, row 3, column B 'Type': the kind is missing")

    def test_strands(self, tmp_path: Path) -> None:
        found = faults_of(tmp_path, "No.,S,P,D\nX1,two,12.7,5\n", 'strands_column = "S"\n' + KEY)
        assert found[0].startswith("a.csv, row 2, column B 'S': 'two' is not a count of strands; write 1, 2, 3")

    def test_a_mass_that_is_not_per_length(self, tmp_path: Path) -> None:
        key = KEY + '[mass]\ncolumn = "M"\nunit = "kg/m"\n'
        assert "not a mass per length" in faults_of(tmp_path, "No.,P,D,M\nX1,12.7,5,3 kg\n", key)[0]


def test_a_row_of_units(tmp_path: Path) -> None:
    found = faults_of(tmp_path, "No.,P,D\n,(mm),mm\nX1,12.7,5\n")
    assert found[1].startswith("a.csv, row 2, column B 'P': '(mm)' is a unit without a figure")
    assert "set first_row in the key to the row below it" in found[1]


class TestTables:
    @pytest.mark.parametrize("table", ["", "\n\n", ",,\n"])
    def test_an_empty_one(self, tmp_path: Path, table: str) -> None:
        assert faults_of(tmp_path, table)[0].startswith("a.csv: the table is empty")

    def test_one_without_chains(self, tmp_path: Path) -> None:
        assert faults_of(tmp_path, "No.,P,D\n")[0].startswith("a.csv: there are no chains in the table")

    def test_a_header_that_is_not_there(self, tmp_path: Path) -> None:
        found = faults_of(tmp_path, "No.,Pich,D\nX1,12.7,5\n", KEY.replace('P = "pitch"', '"Pitch" = "pitch"'))
        assert found == [
            "a.csv, row 1: no column is headed 'Pitch'; did you mean 'Pich'? (the headers are: No., Pich, D)"
        ]

    def test_a_letter_that_is_no_header(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,Pitch,D\nX1,12.7,5\n", KEY.replace("P =", "B ="))
        assert 'for the column under the letter write "column B"' in fault

    def test_the_other_sheets_are_named(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"Cover": [["Prints"]], "Table 1": [["No."]]})
        assert "other sheets are: Table 1" in caught(path, tmp_path, KEY)[0]

    def test_a_header_that_stands_twice(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,P,D\nX1,1,2,3\n")
        assert fault == "a.csv, row 1: 2 columns are headed 'P': B, C; name the one as \"column B\""

    def test_a_column_named_by_header_and_by_letter(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nX1,12.7,5\n", KEY + '"column B" = "pin_length"\n')
        assert fault.startswith("a.csv, row 1, column B 'P': the key gives this column two dimensions")

    def test_a_letter_beyond_the_table(self, tmp_path: Path) -> None:
        [fault] = faults_of(tmp_path, "No.,P,D\nX1,12.7,5\n", KEY + '"column Z" = "pin_length"\n')
        assert fault == "a.csv: there is no column Z; the last one is column C"

    def test_a_header_row_beyond_the_table(self, tmp_path: Path) -> None:
        assert "there is no row 9" in faults_of(tmp_path, "No.,P,D\n", "header_row = 9\n" + KEY)[0]

    def test_without_key(self, tmp_path: Path) -> None:
        path = tmp_path / "a.csv"
        path.write_text("No.,P\nX1,12.7\n", encoding="utf-8")
        with pytest.raises(NoKey, match="there is no key") as found:
            import_catalog(path)
        assert next(iter(found.value.sheet.rows())) == (1, ["No.", "P"])

    def test_a_key_that_is_named_but_not_there(self, tmp_path: Path) -> None:
        with pytest.raises(BadInput, match=r"other.toml: there is no such file"):
            import_catalog(tmp_path / "a.csv", tmp_path / "other.toml")


class TestKeys:
    def test_no_toml(self) -> None:
        [fault] = key_faults('title = "a"\n[columns.Barrel dia.]\n')
        assert fault.startswith("a.toml: this is not TOML (")
        assert "line 2" in fault

    def test_endless_nesting(self) -> None:
        assert key_faults("a = " + "[" * 5000)[0].startswith("a.toml: this is not TOML")

    def test_everything_that_is_missing(self) -> None:
        assert [fault.split(": ")[0] for fault in key_faults("")] == [
            "a.toml, title",
            "a.toml, source",
            "a.toml, designation",
            "a.toml, kind",
            "a.toml, columns",
        ]

    def test_an_unknown_field_gets_a_suggestion(self) -> None:
        [fault] = key_faults("titel = 1\n" + KEY)
        assert fault.startswith("a.toml, titel: there is no field 'titel'; did you mean 'title'?")

    @pytest.mark.parametrize(
        ("old", "new", "said"),
        [
            ('P = "pitch"', 'P = "pich"', "[columns.P] dimension: 'pich' is not a dimension; did you mean 'pitch'?"),
            (
                'P = "pitch"',
                'P = "height"',
                "[columns.P] dimension: 'height' may be one of several; say which: inner_plate",
            ),
            ('P = "pitch"', "P = 3", "[columns.P]: 3 is not a dimension"),
            ('P = "pitch"', "P = {}", "[columns.P] dimension: it is missing"),
            (
                'P = "pitch"',
                'P = {dimension = "pitch", limits = "max"}',
                "[columns.P]: there is no field 'limits'; did you",
            ),
            ('P = "pitch"', 'P = {dimension = "pitch", limit = "maxi"}', "[columns.P] limit: 'maxi' is not a limit"),
            ('P = "pitch"', 'P = {dimension = "pitch", unit = "kN"}', "[columns.P] unit: 'kN' is not a unit of length"),
            ('P = "pitch"', '"P (a)" = "pin_diameter"', "[columns.D]: pin_diameter is also in column 'P (a)'"),
            ('unit = "mm"\n', "", "unit: it is missing, and so it is for 'P', 'D'"),
            ('unit = "mm"', 'unit = "parsec"', "unit: 'parsec' is not a unit of length"),
            ('kind = "leaf"', 'kind = "leav"', "kind: 'leav' is not a kind of chain; did you mean 'leaf'?"),
            ('kind = "leaf"', 'kind = "leaf"\nkinds = {a = "leaf"}', "kinds: there is no column that they stand in"),
            ('kind = "leaf"', 'kind_column = "K"\nkinds = {a = "b"}', "[kinds] 'a': 'b' is not a kind of chain"),
            ('kind = "leaf"', 'kind = "leaf"\nheader_row = "3"', "header_row: '3' is not a count"),
            ('kind = "leaf"', 'kind = "leaf"\nfirst_row = true', "first_row: True is not a count"),
            ('kind = "leaf"', 'kind = "leaf"\nnote = [1]', "note: [1] is not a list of columns"),
            ('kind = "leaf"', 'kind = "leaf"\ndecimal = "x"', "decimal: 'x' is not a decimal mark"),
            ('kind = "leaf"', 'kind = "leaf"\ndecimal = []', "decimal: [] is not a decimal mark"),
            ('kind = "leaf"', 'kind = "leaf"\ntensile = 3', "tensile: 3 is not a table"),
            (
                'kind = "leaf"',
                'kind = "leaf"\ntensile = {column = "F"}',
                "[tensile] unit: it is missing",
            ),
            ('kind = "leaf"', 'kind = "leaf"\nmass = {unit = "kg/m"}', "[mass] column: it is missing"),
        ],
    )
    def test_one_wrong_line(self, old: str, new: str, said: str) -> None:
        assert old in KEY
        found = key_faults(KEY.replace(old, new))
        assert [fault for fault in found if fault.startswith(f"a.toml, {said}")], found
