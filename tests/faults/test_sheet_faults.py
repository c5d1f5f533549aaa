"""Files that are no table, or try to harm: one clear line each, before anything is unpacked or believed."""

import os
import zipfile
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest

from chaincase.catalog import workbooks
from chaincase.catalog.sheets import CATALOG, MIB, Limits, read_bytes, read_sheet, read_text
from chaincase.errors import BadInput
from sheet_files import pack, packed_junk, parts_of, random_bytes, sheet_xml, with_false_size, with_sheet, workbook


def refused(path: Path, limits: Limits = CATALOG, sheet: str | None = None) -> BadInput:
    with pytest.raises(BadInput) as caught:
        list(read_sheet(path, sheet, limits).rows())
    assert "\n" not in str(caught.value), "one line"
    assert caught.value.where.startswith(str(path)), "names the file"
    assert caught.value.right, "says what would be right"
    return caught.value


def file(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


class TestAnyFile:
    def test_a_folder(self, tmp_path: Path) -> None:
        folder = tmp_path / "prints.csv"
        folder.mkdir()
        assert refused(folder).what == "this is a folder"

    def test_nothing_there(self, tmp_path: Path) -> None:
        assert refused(tmp_path / "prints.csv").what == "there is no such file"

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the platform has no pipes")
    def test_a_pipe_is_not_waited_for(self, tmp_path: Path) -> None:
        os.mkfifo(tmp_path / "prints.csv")
        assert refused(tmp_path / "prints.csv").what == "this is not a regular file"

    def test_a_name_with_a_zero_byte(self, tmp_path: Path) -> None:
        assert "cannot be read" in refused(tmp_path / "a\0.csv").what

    @pytest.mark.parametrize("suffix", [".xls", ".xlsm", ".xlsb", ".ods", ".pdf", ".docx", ""])
    def test_other_sorts_of_file(self, tmp_path: Path, suffix: str) -> None:
        fault = refused(file(tmp_path / f"prints{suffix}", b"anything"))
        assert ".csv" in fault.right

    def test_a_file_that_is_too_large(self, tmp_path: Path) -> None:
        fault = refused(file(tmp_path / "a.csv", b"a,b\n" * 300), replace(CATALOG, text_bytes=1000))
        assert fault.what == "the file has 0.1 MB"

    def test_a_file_that_grows_while_it_is_read(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        path = file(tmp_path / "a.csv", b"a" * 100)
        monkeypatch.setattr("chaincase.catalog.sheets._check_regular", lambda path: 10)
        with pytest.raises(BadInput, match="the file has"):
            read_bytes(path, 50)


class TestText:
    def test_latin_1_names_offset_and_line(self, tmp_path: Path) -> None:
        fault = refused(file(tmp_path / "a.csv", "No.,Länge\nA,1\n".encode("latin-1")))
        assert fault.what == "byte 0xe4 at offset 5 (line 1) is not UTF-8"

    def test_the_offset_counts_from_the_beginning_of_a_large_file(self, tmp_path: Path) -> None:
        good = b"a,b\n" * (MIB // 2)
        fault = refused(file(tmp_path / "a.csv", good + b"\xe4,b\n"))
        assert fault.what == f"byte 0xe4 at offset {len(good)} (line {MIB // 2 + 1}) is not UTF-8"

    def test_a_file_cut_within_a_character(self, tmp_path: Path) -> None:
        assert "at offset 4 (line 2)" in refused(file(tmp_path / "a.csv", "a,b\nä".encode()[:-1])).what

    def test_zero_bytes(self, tmp_path: Path) -> None:
        fault = refused(file(tmp_path / "a.csv", b"a,b\n1,\0\n"))
        assert fault.what == "there is a zero byte at offset 6 (line 2)"

    def test_utf_16(self, tmp_path: Path) -> None:
        assert refused(file(tmp_path / "a.csv", "a,b\n".encode("utf-16"))).what == "the text is UTF-16"

    def test_a_workbook_named_csv(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"S": [["x"]]}).rename(tmp_path / "a.csv")
        assert ".xlsx" in refused(path).right

    def test_ten_megabytes_of_junk(self, tmp_path: Path) -> None:
        assert "not UTF-8" in refused(file(tmp_path / "a.csv", random_bytes(10 * MIB))).what

    def test_one_endless_cell(self, tmp_path: Path) -> None:
        fault = refused(file(tmp_path / "a.csv", b"a,b\n1,2\n3," + b"x" * 5000 + b"\n"))
        assert fault.what == "the cell holds 5000 characters"
        assert fault.where.endswith("row 3, column B")

    def test_ten_megabytes_without_a_line_end(self, tmp_path: Path) -> None:
        assert refused(file(tmp_path / "a.csv", b"x" * 10 * MIB)).where.endswith("row 1")

    @pytest.mark.parametrize("rest", [b"", b"x\n" * 100_000])
    def test_a_quote_that_is_never_closed(self, tmp_path: Path, rest: bytes) -> None:
        fault = refused(file(tmp_path / "a.csv", b'a,b\n1,2\n3,"4\n' + rest))
        assert "a quote is not closed" in fault.what
        assert fault.where.endswith("row 3")

    def test_too_many_columns(self, tmp_path: Path) -> None:
        fault = refused(file(tmp_path / "a.csv", b"a\n" + b"," * 256 + b"\n"))
        assert (fault.what, fault.where[-5:]) == ("the row has 257 columns", "row 2")

    def test_a_million_columns(self, tmp_path: Path) -> None:
        assert refused(file(tmp_path / "a.csv", b"," * 1_000_000)).what == "the row has 1000001 columns"

    def test_nothing_but_line_ends(self, tmp_path: Path) -> None:
        assert "lines" in refused(file(tmp_path / "a.csv", b"\n" * 3_000_000)).what

    def test_a_sheet_of_a_csv_file(self, tmp_path: Path) -> None:
        assert refused(file(tmp_path / "a.csv", b"a\n"), sheet="S").what == "a CSV file has no sheets"


class TestWorkbook:
    def test_a_formula_is_named_by_its_cell(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"Table 1": [["No.", "A"], ["W78", 1], ["W82", "=B2*25.4"]]})
        fault = refused(path)
        assert fault.what.startswith("cell B3 holds a formula")
        assert fault.where.endswith("sheet 'Table 1'")

    def test_a_formula_on_another_sheet_does_no_harm(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"One": [["=1+1"]], "Two": [["x"]]})
        assert list(read_sheet(path, "Two").rows()) == [(1, ["x"])]

    def test_an_error_value_is_named_by_its_cell(self, tmp_path: Path) -> None:
        xml = sheet_xml('<row r="2"><c r="B2"><v>1</v></c><c r="C2" t="e"><v>#DIV/0!</v></c></row>')
        assert refused(with_sheet(tmp_path / "a.xlsx", xml)).what == "cell C2 holds an error value"

    def test_macros(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"S": [["x"]]})
        pack(path, parts_of(path) | {"xl/vbaProject.bin": b"\0"})
        assert refused(path).what == "this is a workbook with macros"

    def test_an_old_or_protected_workbook_under_the_new_name(self, tmp_path: Path) -> None:
        path = file(tmp_path / "a.xlsx", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))
        assert "password" in refused(path).what

    @pytest.mark.parametrize("data", [b"", b"No.,A\n", random_bytes(1000), b"PK\x03\x04", packed_junk(100)])
    def test_no_workbook_at_all(self, tmp_path: Path, data: bytes) -> None:
        assert "not a sound XLSX workbook" in refused(file(tmp_path / "a.xlsx", data)).what

    def test_cut_off_anywhere(self, tmp_path: Path) -> None:
        whole = workbook(tmp_path / "a.xlsx", {"S": [["x", 1.5]] * 40}).read_bytes()
        for size in range(0, len(whole), 97):
            assert "not a sound XLSX workbook" in refused(file(tmp_path / "cut.xlsx", whole[:size])).what

    def test_damaged_anywhere(self, tmp_path: Path) -> None:
        """Single wrong bytes are refused, or stand where they change nothing that is read."""
        path = workbook(tmp_path / "a.xlsx", {"S": [["x", 1.5]] * 5})
        whole, sound = path.read_bytes(), list(read_sheet(path).rows())
        for at in range(0, len(whole), 53):
            wrong = bytearray(whole)
            wrong[at] ^= 0x55
            path.write_bytes(wrong)
            with suppress(BadInput):
                assert list(read_sheet(path).rows()) == sound

    def test_a_sheet_that_is_not_there(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"One": [["x"]], "Two": [["y"]]})
        fault = refused(path, sheet="Three")
        assert (fault.what, fault.right) == ("there is no sheet 'Three'", "name one of: One, Two")

    def test_too_many_columns(self, tmp_path: Path) -> None:
        xml = sheet_xml('<row r="1"><c r="A1"><v>1</v></c><c r="IW1"><v>2</v></c></row>')
        assert refused(with_sheet(tmp_path / "a.xlsx", xml)).what == "the sheet reaches to column IW"

    def test_a_long_cell(self, tmp_path: Path) -> None:
        path = workbook(tmp_path / "a.xlsx", {"S": [["a"], ["b", "x" * 5000]]})
        fault = refused(path)
        assert (fault.what, fault.where[-15:]) == ("the cell holds 5000 characters", "row 2, column B")


class TestBombs:
    """Sizes and limits as in the table of threats that uploads are held to."""

    @pytest.fixture(autouse=True)
    def _nothing_is_opened(self, monkeypatch: pytest.MonkeyPatch) -> None:
        def opened(*arguments: object) -> None:
            raise AssertionError("the reader was given the bomb")

        monkeypatch.setattr(workbooks, "_rows", opened)

    def test_a_sheet_packed_a_thousand_times(self, tmp_path: Path) -> None:
        path = with_sheet(tmp_path / "a.xlsx", sheet_xml("<row/>" + " " * 20 * MIB))
        assert "is packed" in refused(path).what

    def test_more_than_may_be_unpacked(self, tmp_path: Path) -> None:
        path = with_sheet(tmp_path / "a.xlsx", sheet_xml("<row/>" + " " * MIB))
        assert "unpacks to" in refused(path, replace(CATALOG, unpacked_bytes=MIB)).what

    @pytest.mark.parametrize("size", [10, 1000, 2**31])
    def test_a_directory_that_lies_about_sizes(self, tmp_path: Path, size: int) -> None:
        path = with_sheet(tmp_path / "a.xlsx", sheet_xml("<row/>" + " " * 20 * MIB))
        refused(with_false_size(path, "xl/worksheets/sheet1.xml", size))

    def test_a_hundred_thousand_parts(self, tmp_path: Path) -> None:
        path = tmp_path / "a.xlsx"
        with zipfile.ZipFile(path, "w") as archive:
            for i in range(2000):
                archive.writestr(f"xl/{i}.xml", b"")
        assert "more than 1000 parts" in refused(path).what

    def test_two_cells_at_the_ends_of_the_sheet(self, tmp_path: Path) -> None:
        xml = sheet_xml('<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')
        assert refused(with_sheet(tmp_path / "a.xlsx", xml)).what == "the sheet reaches to column XFD"

    def test_two_rows_far_apart(self, tmp_path: Path) -> None:
        row = "".join("<c><v>1</v></c>" for _ in range(200))
        xml = sheet_xml(f'<row r="1">{row}</row><row r="1048576"><c r="A1048576"><v>1</v></c></row>')
        assert refused(with_sheet(tmp_path / "a.xlsx", xml)).what == "the sheet has 1048576 rows and 200 columns"

    def test_one_long_text_in_every_cell(self, tmp_path: Path) -> None:
        path = tmp_path / "a.xlsx"
        workbook(path, {"Sheet1": [["A"]]})
        cells = "".join(f'<row r="{i}"><c r="A{i}" t="s"><v>0</v></c></row>' for i in range(1, 3001))
        shared = b"<sst><si><t>" + random_bytes(40_000).hex().encode() + b"</t></si></sst>"
        changed = {"xl/worksheets/sheet1.xml": sheet_xml(cells), "xl/sharedStrings.xml": shared}
        pack(path, parts_of(path) | changed)
        assert "the text of the cells takes" in refused(path).what

    def test_entities(self, tmp_path: Path) -> None:
        xml = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>' + sheet_xml("<row/>")
        assert "declares entities" in refused(with_sheet(tmp_path / "a.xlsx", xml)).what


class TestEvidenceText:
    def test_a_folder(self, tmp_path: Path) -> None:
        with pytest.raises(BadInput, match="this is a folder"):
            read_text(tmp_path)

    def test_ten_megabytes(self, tmp_path: Path) -> None:
        with pytest.raises(BadInput, match="the file has 10 MB; give a file of at most 2 MB"):
            read_text(file(tmp_path / "a.json", b" " * 10 * MIB))

    def test_not_utf_8(self, tmp_path: Path) -> None:
        with pytest.raises(BadInput, match=r"byte 0xb5 at offset 2 \(line 1\) is not UTF-8"):
            read_text(file(tmp_path / "a.json", b'{"\xb5":1}'))
