"""Tables read as text, with the rows and columns that a person sees."""

from datetime import datetime
from pathlib import Path

import pytest

from chaincase.catalog.sheets import Sheet, column_letters, column_number, read_sheet, read_text
from sheet_files import sheet_xml, with_sheet, workbook

Rows = list[tuple[int, list[str]]]


def rows(path: Path, text: str | bytes, **options: str) -> Rows:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return list(read_sheet(path, **options).rows())


@pytest.mark.parametrize(
    "text",
    [
        "No.,A,B\nW78,2.609,1\n",
        "No.;A;B\nW78;2.609;1\n",
        "No.\tA\tB\nW78\t2.609\t1\n",
        "\ufeffNo.,A,B\r\nW78,2.609,1\r\n",
        '"No.","A","B"\r"W78","2.609","1"\r',
    ],
)
def test_every_common_form_of_csv_gives_the_same_cells(tmp_path: Path, text: str) -> None:
    assert rows(tmp_path / "a.csv", text) == [(1, ["No.", "A", "B"]), (2, ["W78", "2.609", "1"])]


def test_decimal_commas_do_not_pass_for_the_delimiter(tmp_path: Path) -> None:
    found = rows(tmp_path / "a.csv", "Kette;p;b1\nA1;12,7;7,75\nA2;15,875;9,65\n")
    assert found[1] == (2, ["A1", "12,7", "7,75"])


def test_prose_above_the_table_does_not_pass_for_the_delimiter(tmp_path: Path) -> None:
    text = "Mill chain, welded, heat treated, of 1987, copied\nNo.;A\nW78;1\nW82;2\nW124;3\n"
    assert rows(tmp_path / "a.csv", text)[1] == (2, ["No.", "A"])


def test_a_quoted_cell_keeps_commas_line_ends_and_quotes(tmp_path: Path) -> None:
    found = rows(tmp_path / "a.csv", 'No.,Note\nW78,"light, 2 39/64"" pitch\nrare"\nW82,\n')
    assert found[1] == (2, ["W78", 'light, 2 39/64" pitch\nrare'])
    assert found[2] == (3, ["W82", ""])


def test_an_inch_mark_without_quotes_around_it_is_kept(tmp_path: Path) -> None:
    assert rows(tmp_path / "a.csv", 'No.,A\nW78,2 39/64"\n')[1] == (2, ["W78", '2 39/64"'])


def test_blank_rows_count(tmp_path: Path) -> None:
    assert [row for row, cells in rows(tmp_path / "a.csv", "a,b\n\n\nc,d\n") if cells] == [1, 4]


def test_a_sheet_can_be_read_again_from_the_first_row(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("a,b\n1,2\n", encoding="utf-8")
    sheet = read_sheet(path)
    assert list(sheet.rows()) == list(sheet.rows())


def test_blocks_number_their_first_row(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text("".join(f"{i}\n" for i in range(1, 11)), encoding="utf-8")
    assert [(first, len(block)) for first, block in read_sheet(path).blocks(4)] == [(1, 4), (5, 4), (9, 2)]


def test_a_workbook_gives_text_with_its_own_rows_and_columns(tmp_path: Path) -> None:
    cells = [[], [None, "No.", "A"], [], [None, "W78", 2.609, 2.0, True], [None, "W82", "12,5"]]
    sheet = read_sheet(workbook(tmp_path / "a.xlsx", {"Table 1": cells}))
    assert sheet.name == "Table 1"
    found = dict(sheet.rows())
    assert found[2][:3] == ["", "No.", "A"]
    assert found[4] == ["", "W78", "2.609", "2", "TRUE"]
    assert found[5][:3] == ["", "W82", "12,5"]


def test_a_date_is_given_as_a_date(tmp_path: Path) -> None:
    import xlsxwriter

    book = xlsxwriter.Workbook(str(tmp_path / "a.xlsx"))
    sheet = book.add_worksheet()
    sheet.write_datetime(0, 0, datetime(2026, 3, 8), book.add_format({"num_format": "d-mmm"}))  # noqa: DTZ001
    book.close()
    assert list(read_sheet(tmp_path / "a.xlsx").rows()) == [(1, ["2026-03-08"])]


def test_the_first_sheet_that_is_not_hidden_is_read(tmp_path: Path) -> None:
    sheets = {"Lists": [["x"]], "Chains & pins": [["No."]], "Notes": [["y"]]}
    sheet = read_sheet(workbook(tmp_path / "a.xlsx", sheets, hidden=["Lists"]))
    assert (sheet.name, sheet.others) == ("Chains & pins", ("Notes", "Lists"))


def test_a_sheet_is_found_by_its_name_in_any_case(tmp_path: Path) -> None:
    path = workbook(tmp_path / "a.xlsx", {"One": [["1"]], "Table 2": [["2"]]})
    assert list(read_sheet(path, "table 2").rows()) == [(1, ["2"])]


def test_formatted_empty_cells_far_out_are_nothing(tmp_path: Path) -> None:
    xml = sheet_xml(
        '<row r="1"><c r="A1"><v>5</v></c><c r="AMJ1" s="0"/></row><row r="1048576"><c r="A1048576"></c></row>'
    )
    assert list(read_sheet(with_sheet(tmp_path / "a.xlsx", xml)).rows()) == [(1, ["5"])]


def test_cells_without_a_reference_stand_side_by_side(tmp_path: Path) -> None:
    xml = sheet_xml("<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>")
    assert list(read_sheet(with_sheet(tmp_path / "a.xlsx", xml)).rows()) == [(1, ["1", "2"]), (2, ["3", ""])]


def test_text_loses_its_byte_order_mark(tmp_path: Path) -> None:
    (tmp_path / "a.json").write_bytes(b"\xef\xbb\xbf{}")
    assert read_text(tmp_path / "a.json") == "{}"


def test_letters_and_numbers_of_columns_agree() -> None:
    assert [column_number(column_letters(i)) for i in range(800)] == list(range(800))


def test_places_are_said_as_far_as_they_are_known() -> None:
    sheet = Sheet("a.xlsx", "Table 1", (), lambda: iter(()))
    assert sheet.place() == "a.xlsx, sheet 'Table 1'"
    assert sheet.place(3) == "a.xlsx, sheet 'Table 1', row 3"
    assert sheet.place(3, 26, "A") == "a.xlsx, sheet 'Table 1', row 3, column AA 'A'"
