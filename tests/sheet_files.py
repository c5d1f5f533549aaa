"""Ways to make tables on disk for tests: workbooks, broken and hostile ones among them."""

import io
import random
import struct
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import xlsxwriter

Cells = Iterable[Sequence[object]]


def workbook(path: Path, sheets: Mapping[str, Cells], *, hidden: Sequence[str] = ()) -> Path:
    """Write a workbook; None is an empty cell, text that begins with = a formula."""
    book = xlsxwriter.Workbook(str(path), {"strings_to_numbers": False})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for i, row in enumerate(rows):
            for j, cell in enumerate(row):
                if cell is not None:
                    sheet.write(i, j, cell)
        if name in hidden:
            sheet.hide()
    book.get_worksheet_by_name(next(name for name in sheets if name not in hidden)).activate()
    book.close()
    return path


def parts_of(path: Path) -> dict[str, bytes]:
    """Give the parts of a packed file."""
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def pack(path: Path, parts: Mapping[str, bytes]) -> Path:
    """Pack parts into a file."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


def sheet_xml(cells: str) -> bytes:
    """Give the part of a sheet with these rows."""
    space = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return f'<?xml version="1.0"?><worksheet xmlns="{space}"><sheetData>{cells}</sheetData></worksheet>'.encode()


def with_sheet(path: Path, xml: bytes) -> Path:
    """Write a workbook whose only sheet, Sheet1, has that part."""
    workbook(path, {"Sheet1": [["A"]]})
    return pack(path, parts_of(path) | {"xl/worksheets/sheet1.xml": xml})


def with_false_size(path: Path, name: str, size: int) -> Path:
    """Change the unpacked size that the directory gives for a part."""
    data = bytearray(path.read_bytes())
    at = data.rfind(b"PK\x01\x02")
    while at >= 0:
        length = struct.unpack_from("<H", data, at + 28)[0]
        if bytes(data[at + 46 : at + 46 + length]) == name.encode():
            struct.pack_into("<I", data, at + 24, size)
            path.write_bytes(data)
            return path
        at = data.rfind(b"PK\x01\x02", 0, at)
    raise LookupError(name)


def random_bytes(size: int) -> bytes:
    """Give bytes that pack badly and are the same every time."""
    return random.Random(7).randbytes(size)  # noqa: S311 (no secret)


def packed_junk(size: int) -> bytes:
    """Give a packed file that is no workbook."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("readme.txt", b"x" * size)
    return buffer.getvalue()
