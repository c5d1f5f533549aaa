"""XLSX workbooks, looked through before a reader opens them.

A workbook is a packed folder of XML. A reader unpacks whatever it is given and lays out as many cells as the
farthest one asks for. So the few parts that matter are unpacked here, counted while they come out, looked
through for formulas and extents, and only these parts are handed on to the reader.
"""

import io
import re
import zipfile
import zlib
from datetime import date, datetime, time, timedelta
from html import unescape
from pathlib import Path, PurePosixPath

from python_calamine import CalamineError, CalamineWorkbook

from chaincase.catalog.sheets import MIB, Limits, Sheet, column_letters, column_number, megabytes, read_bytes
from chaincase.errors import BadInput

RATIO_FROM = MIB
"""Smaller parts may be packed as tightly as they like."""
ENTRY_BYTES = 1024
"""Room in the directory for the longest honest name of a part and what stands beside it."""
_END = b"PK\x05\x06"
_END_BYTES = 22

_EMPTY_CELL = re.compile(rb"<(?:\w+:)?c\s[^<>]*(?:/>|></(?:\w+:)?c>)")
_CELL = re.compile(rb"<(?:\w+:)?c[\s>]")
_REFERENCE = re.compile(rb"\br\s*=\s*[\"']([A-Za-z]*)([0-9]+)[\"']")
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
_ERROR = re.compile(rb"\bt\s*=\s*[\"']e[\"']")
_ROW = re.compile(rb"<(?:\w+:)?row[\s>]")
_STRING = re.compile(rb"<(?:\w+:)?si[\s>/]")
_STRING_TYPE = re.compile(rb"\bt\s*=\s*[\"']s[\"']")
_STRING_CELL = re.compile(rb"\bt\s*=\s*[\"']s[\"'][^<>]*>\s*<(?:\w+:)?v>\s*([0-9]+)")
_TAG = re.compile(rb"<[^>]*>")
_SHEET = re.compile(rb"<(?:\w+:)?sheet\s[^<>]*>")
_RELATION = re.compile(rb"<(?:\w+:)?Relationship\s[^<>]*>")
_ATTRIBUTE = re.compile(rb"([\w:]+)\s*=\s*(?:\"([^\"]*)\"|'([^']*)')")

Cell = str | int | float | bool | date | datetime | time | timedelta
Parts = dict[str, bytes]


def read_workbook(path: Path, sheet: str | None, limits: Limits) -> Sheet:
    """Open one sheet of an XLSX file.

    Parameters
    ----------
    path : Path
        The file.
    sheet : str or None
        Name of the sheet; without it the first that is not hidden.
    limits : Limits
        How much is read.

    Returns
    -------
    Sheet
        Rows of text, from row 1 and column A.

    Raises
    ------
    BadInput
        If the file is no workbook, is damaged, packed to burst, protected, or has formulas, error values or
        macros.
    """
    where = str(path)
    data = read_bytes(path, limits.workbook_bytes)
    with _opened(data, where, limits) as archive:
        parts = _unpack(archive, _BOOK_PARTS, where, limits.unpacked_bytes)
        sheets = _sheets(parts, where)
        chosen = _choose(sheets, sheet, where)
        room = limits.unpacked_bytes - sum(map(len, parts.values()))
        xml = _unpack(archive, (sheets[chosen],), where, room).get(sheets[chosen])
    place = f"{where}, sheet {chosen!r}"
    if xml is None:
        raise _damaged(where, f"the part of sheet {chosen!r} is missing")
    parts[sheets[chosen]] = xml = _looked_through(xml, place, limits)
    _check_strings(parts, xml, where, limits)
    rows = _rows(_packed(parts), chosen, place)
    return Sheet(where, chosen, tuple(name for name in sheets if name != chosen), lambda: iter(rows), limits)


_BOOK_PARTS = (
    "[Content_Types].xml",
    "_rels/.rels",
    "xl/workbook.xml",
    "xl/_rels/workbook.xml.rels",
    "xl/sharedStrings.xml",
    "xl/styles.xml",
)


def _damaged(where: str, how: str) -> BadInput:
    return BadInput(
        f"this is not a sound XLSX workbook ({how})", where=where, right="save it again as .xlsx, or as .csv"
    )


def _opened(data: bytes, where: str, limits: Limits) -> zipfile.ZipFile:
    """Open the packed folder after a look at its size, its end and its directory."""
    if data[:4] == b"\xd0\xcf\x11\xe0":
        right = "save it as .xlsx without a password"
        raise BadInput("this is an old or a password-protected workbook", where=where, right=right)
    if data[:2] != b"PK":
        raise _damaged(where, "it is not a packed folder")
    # The end record names the directory's size: a hundred thousand parts are refused without reading them.
    end = data[-_END_BYTES:]
    if end[:4] != _END:
        raise _damaged(where, "its end is cut off")
    entries, directory = int.from_bytes(end[10:12], "little"), int.from_bytes(end[12:16], "little")
    if entries > limits.entries or directory > limits.entries * ENTRY_BYTES:
        raise BadInput(f"the workbook has more than {limits.entries} parts", where=where, right="save only the table")
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as fault:
        raise _damaged(where, str(fault)) from None
    _check_directory(archive.infolist(), where, limits)
    return archive


def _check_directory(entries: list[zipfile.ZipInfo], where: str, limits: Limits) -> None:
    names = {entry.filename for entry in entries}
    if "xl/vbaProject.bin" in names:
        raise BadInput("this is a workbook with macros", where=where, right="save it as .xlsx or .csv")
    if "xl/workbook.xml" not in names:
        raise _damaged(where, "there is no xl/workbook.xml in it")
    if len(names) != len(entries):
        raise _damaged(where, "a part stands in it twice")
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > limits.unpacked_bytes:
        raise _too_large(where, unpacked, limits.unpacked_bytes)
    for entry in entries:
        if entry.flag_bits & 1 or entry.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
            raise _damaged(where, f"{entry.filename} is encrypted or packed in an unknown way")
        if entry.file_size > RATIO_FROM and entry.file_size > limits.ratio * entry.compress_size:
            ratio = entry.file_size // max(entry.compress_size, 1)
            what = f"{entry.filename} is packed {ratio} : 1, honest tables about 10 : 1"
            raise BadInput(what, where=where, right=f"give a workbook below {limits.ratio} : 1, or a .csv file")


def _too_large(where: str, size: int, limit: int) -> BadInput:
    what = f"the workbook unpacks to {megabytes(size)} or more"
    return BadInput(what, where=where, right=f"give at most {megabytes(limit)} unpacked, or a .csv file")


def _unpack(archive: zipfile.ZipFile, names: tuple[str, ...], where: str, room: int) -> Parts:
    """Unpack the named parts that are there, in small pieces, so that a false size stays without effect."""
    parts: Parts = {}
    for name in [name for name in names if name in archive.NameToInfo]:
        pieces: list[bytes] = []
        try:
            with archive.open(name) as part:
                while piece := part.read(MIB):
                    pieces.append(piece)
                    room -= len(piece)
                    if room < 0:
                        raise _damaged(where, f"{name} is larger than its directory says")
        except (zipfile.BadZipFile, zlib.error, OSError, EOFError, ValueError, NotImplementedError) as fault:
            raise _damaged(where, str(fault)) from None
        parts[name] = b"".join(pieces)
    return parts


def _attributes(tag: bytes) -> dict[str, str]:
    found = _ATTRIBUTE.findall(tag)
    return {
        str(name, "utf-8", "replace").rpartition(":")[2]: unescape(str(double or single, "utf-8", "replace"))
        for name, double, single in found
    }


def _sheets(parts: Parts, where: str) -> dict[str, str]:
    """Give the part of every sheet by the sheet's name; hidden sheets last."""
    relations = {}
    for tag in _RELATION.findall(parts.get("xl/_rels/workbook.xml.rels", b"")):
        relation = _attributes(tag)
        target = PurePosixPath("xl", relation.get("Target", ""))
        relations[relation.get("Id", "")] = str(target).lstrip("/")
    tags = [_attributes(tag) for tag in _SHEET.findall(parts["xl/workbook.xml"])]
    tags.sort(key=lambda tag: tag.get("state", "visible") != "visible")
    sheets = {tag["name"]: relations[tag["id"]] for tag in tags if "name" in tag and tag.get("id") in relations}
    if not sheets:
        raise _damaged(where, "it has no sheets")
    return sheets


def _choose(sheets: dict[str, str], sheet: str | None, where: str) -> str:
    if sheet is None:
        return next(iter(sheets))
    for name in sheets:
        if name.casefold().strip() == sheet.casefold().strip():
            return name
    right = f"name one of: {', '.join(sheets)}"
    raise BadInput(f"there is no sheet {sheet!r}", where=where, right=right)


def _looked_through(xml: bytes, where: str, limits: Limits) -> bytes:
    """Refuse what cannot be read with certainty; give the sheet's XML without its empty cells.

    Some programs write formatted empty cells as far as the sheet reaches; the reader would make room for all.
    """
    if b"<!DOCTYPE" in xml or b"<!ENTITY" in xml:
        raise _damaged(where, "it declares entities")
    if formula := _FORMULA.search(xml):
        what = f"cell {_address(xml, formula.start())} holds a formula, whose stored value may be out of date"
        raise BadInput(what, where=where, right="copy the table and paste it as values only")
    if error := _ERROR.search(xml):
        tag_end = xml.find(b">", error.start()) + 1
        what = f"cell {_address(xml, tag_end)} holds an error value"
        raise BadInput(what, where=where, right="empty the cell or type the figure")
    xml = _EMPTY_CELL.sub(b"", xml)
    height, width = _extent(xml)
    if width > limits.columns:
        what = f"the sheet reaches to column {column_letters(width - 1)}"
        raise BadInput(what, where=where, right=f"give at most {limits.columns} columns")
    if width * height > limits.cells:
        what = f"the sheet has {height} rows and {width} columns"
        raise BadInput(what, where=where, right=f"give at most {limits.cells} cells, or a .csv file")
    return xml


def _extent(xml: bytes) -> tuple[int, int]:
    """Give how many rows and columns the reader would make room for."""
    references = _REFERENCE.findall(xml)
    height = max((int(row[:9]) for _, row in references), default=0)
    letters = {letters[:9] for letters, _ in references if letters}
    width = max((column_number(found.decode()) + 1 for found in letters), default=0)
    cells = sum(xml.count(open_ + end) for open_ in (b"<c", b":c") for end in (b" ", b">", b"\t", b"\r", b"\n"))
    if cells > sum(1 for found, _ in references if found):  # cells without a reference stand side by side
        rows = _ROW.split(xml)
        width = max(width, *(len(_CELL.findall(row)) for row in rows))
        height = max(height, len(rows) - 1)
    return height, width


def _check_strings(parts: Parts, xml: bytes, where: str, limits: Limits) -> None:
    """Refuse text that grows without measure, as every cell of the same text gets a copy of its own."""
    shared = parts.get("xl/sharedStrings.xml", b"")
    if b"<!DOCTYPE" in shared or b"<!ENTITY" in shared:
        raise _damaged(where, "it declares entities")
    lengths = [len(_TAG.sub(b"", text)) for text in _STRING.split(shared)[1:]]
    used = [int(number[:9]) for number in _STRING_CELL.findall(xml)]
    size = sum(lengths[number] for number in used if number < len(lengths))
    if len(used) < len(_STRING_TYPE.findall(xml)):  # some are written in an unusual way: take the worst
        size += max(lengths, default=0) * len(_STRING_TYPE.findall(xml))
    if size > limits.unpacked_bytes or len(lengths) > limits.cells:
        what = f"the text of the cells takes {megabytes(size)}, {len(lengths)} texts"
        raise BadInput(what, where=where, right=f"give at most {megabytes(limits.unpacked_bytes)}")


def _address(xml: bytes, position: int) -> str:
    """Give the cell that is open at a position of the sheet's XML."""
    references = [m for m in _REFERENCE.finditer(xml, max(0, position - 8192), position) if m[1]]
    return (references[-1][1] + references[-1][2]).decode() if references else "(unnumbered)"


def _packed(parts: Parts) -> io.BytesIO:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    packed.seek(0)
    return packed


def _rows(packed: io.BytesIO, sheet: str, where: str) -> list[list[str]]:
    try:
        with CalamineWorkbook.from_filelike(packed) as book:
            found = book.get_sheet_by_name(sheet)
            left = [""] * (found.start[1] if found.start else 0)
            return [left + [cell_text(cell) for cell in row] for row in found.iter_rows()]
    except (CalamineError, OSError, ValueError) as fault:
        raise _damaged(where, f"the reader says: {' '.join(str(fault).split())}") from None
    except BaseException as fault:
        # A reader that gives up in its own language raises outside of Exception; Ctrl-C does so, too.
        if type(fault).__name__ != "PanicException":
            raise
        raise _damaged(where, "the reader gave up") from None


def cell_text(cell: Cell) -> str:
    """Give a cell as a person would type it into a CSV file.

    >>> [cell_text(c) for c in (2.0, 2.609, True, "12,5", date(2026, 3, 8))]
    ['2', '2.609', 'TRUE', '12,5', '2026-03-08']
    """
    if type(cell) is float:
        text = repr(cell)
        return text.removesuffix(".0")
    return str(cell).upper() if type(cell) is bool else str(cell)
