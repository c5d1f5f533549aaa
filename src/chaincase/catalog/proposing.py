"""A first key for a table that has none, guessed from its headers, to be saved and corrected."""

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from chaincase.catalog.dimension_key import KIND_WORDS, LIMITS, ColumnKey, folded
from chaincase.catalog.figures import EMPTY, FigureReader
from chaincase.catalog.key_file import column_place
from chaincase.catalog.sheets import HEAD_LINES, Sheet, column_letters
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.chains.kinds import BY_NAME as KIND_NAMED

SAMPLE_ROWS = 50
"""Rows below the header that are looked at; enough to see what a column holds."""
_BASE = "mm"
_FRACTION = re.compile(r"[0-9 -]*(?:[0-9]+\s*[/⁄]\s*[0-9]+|[½¼¾⅛⅜⅝⅞])|[0-9.]+\s*(?:\"|in\b)")

# Words in a header, the telling ones first: all of a line must be in it. Common practice, no source.
_DIMENSION_SIGNS: tuple[tuple[str, str], ...] = tuple(
    (name, words)
    for name, lines in (
        ("hollow_pin_bore", ("hollow bore", "hollow pin hole", "hollow pin inside")),
        ("transverse_pitch", ("transverse pitch", "strand pitch", "row pitch")),
        ("pin_length_connecting", ("connecting pin length", "over connecting")),
        ("flange_diameter", ("flange dia",)),
        ("bush_bore", ("bush bore", "bushing bore", "bush inside", "bushing inside", "bush i.d", "bushing i.d")),
        ("bush_diameter", ("bush dia", "bushing dia", "barrel", "bush o.d", "bushing o.d", "bush outside")),
        ("roller_diameter", ("roller dia", "roller o.d", "roll dia")),
        ("hinge_diameter", ("hinge dia", "knuckle dia")),
        ("hinge_width", ("hinge width",)),
        ("pin_diameter", ("pin dia", "pin o.d", "rivet dia")),
        ("pin_length", ("pin length", "length over pin", "over pin", "overall width", "over rivet", "pin ends")),
        ("outer_link_inner_width", ("outer inside", "between outer", "outer inner width")),
        ("inner_link_width", ("over inner", "inner outside", "inner link width", "barrel length", "over barrel")),
        ("inner_width", ("inside width", "inner width", "between inner", "between plates", "roller width")),
        ("sidebar_height", ("sidebar height", "side bar height", "sidebar depth", "bar height", "sidebar width")),
        ("sidebar_thickness", ("sidebar thick", "side bar thick", "bar thick")),
        ("inner_plate_height", ("inner plate height", "inner plate depth")),
        ("outer_plate_height", ("outer plate height", "outer plate depth")),
        ("inner_plate_thickness", ("inner plate thick",)),
        ("outer_plate_thickness", ("outer plate thick",)),
        ("chain_path_depth", ("path depth",)),
        ("plate_width", ("top plate width", "plate width")),
        ("plate_thickness", ("top plate thick",)),
        ("pitch", ("pitch",)),
    )
    for words in lines
)  # fmt: skip
# The bare name of a round part stands for its diameter.
_BARE = {"pin": "pin_diameter", "rivet": "pin_diameter", "roller": "roller_diameter", "bush": "bush_diameter"}
_BESIDE = re.compile(r"\(.*?\)|\[.*?\]|\b(?:max|min|mm|in|inch)\b\.?")
_DESIGNATION_SIGNS = ("chain no", "designation", "part no", "chain", "number", "no.", "no", "size", "type")  # fmt: skip
_ALTERNATIVE_SIGNS = ("old no", "alternative", "former", "also", "replaces", "other no", "equivalent")
_NOTE_SIGNS = ("note", "remark", "comment")
_TENSILE_SIGNS = ("tensile", "ultimate", "strength", "breaking", "break load", "u.t.s", "lbf", "kn", "kgf")
_MASS_SIGNS = ("weight", "mass", "kg/m", "lb/ft", "lbs/ft", "lbs./ft", "lb./ft")
_STRANDS_SIGNS = ("strands", "no. of strands", "number of strands")
_KIND_SIGNS = ("kind", "chain type", "family", "construction")


@dataclass(frozen=True, slots=True)
class _Seen:
    """One column as it is seen: its place, header, and some cells below."""

    place: int
    header: str
    cells: tuple[str, ...]
    address: str

    def has(self, words: Sequence[str]) -> bool:
        """Tell whether one of some signs is in the header, each word of it as the beginning of a word."""
        found = folded(self.header).replace("_", " ")
        return any(all(re.search(rf"(?<!\w){re.escape(word)}", found) for word in sign.split()) for sign in words)

    @property
    def figures(self) -> bool:
        """Whether most of the cells are figures."""
        reader = FigureReader(ColumnKey(self.header, "pitch", _BASE))
        filled = [cell for cell in self.cells if folded(cell) not in EMPTY]
        good = sum(not math.isnan(reader.value(cell)) for cell in filled)
        return bool(filled) and good * 2 > len(filled)


def propose_key(sheet: Sheet) -> str:
    """Write a key for a table, as far as its headers tell.

    Parameters
    ----------
    sheet : Sheet
        The table.

    Returns
    -------
    str
        TOML, to be saved beside the table and corrected. What a person must fill in is "?", so that it cannot
        be forgotten; columns whose meaning the header does not tell stand there as comments.

    Raises
    ------
    BadInput
        If the table cannot be read.
    """
    head = [row for _, row in islice(sheet.rows(), HEAD_LINES + SAMPLE_ROWS)]
    header_row = _header_row(head[:HEAD_LINES])
    columns = _columns(head, header_row)
    roles = _roles(columns)
    dimensions: dict[_Seen, str] = {}
    for column in columns:
        if column not in roles.values() and column.figures:
            dimensions[column] = _dimension(column, set(dimensions.values()))
    above = [", ".join(" ".join(cell.split()) for cell in row if cell.strip()) for row in head[: header_row - 1]]
    above = [line for line in above if line]
    unit = _unit([column for column in dimensions if not _own_unit(column)], above)
    lines = [*_preamble(sheet, header_row, above, unit, roles), *_tables(dimensions), *_singles(roles)]
    return "\n".join(lines) + "\n"


def _header_row(head: Sequence[Sequence[str]]) -> int:
    """Give the first row with the most cells that are words and not figures."""

    def words(row: Sequence[str]) -> int:
        return sum(bool(cell.strip()) and not re.match(r"\s*[0-9.,]", cell) for cell in row)

    counts = [words(row) for row in head] or [0]
    return counts.index(max(counts)) + 1


def _columns(head: Sequence[Sequence[str]], header_row: int) -> list[_Seen]:
    headers = [" ".join(cell.split()) for cell in head[header_row - 1]] if head else []
    below = head[header_row : header_row + SAMPLE_ROWS]
    return [
        _Seen(
            place=i,
            header=header,
            cells=tuple(row[i] for row in below if i < len(row)),
            address=header if headers.count(header) == 1 else f"column {column_letters(i)}",
        )
        for i, header in enumerate(headers)
        if header
    ]


def _roles(columns: Sequence[_Seen]) -> dict[str, _Seen]:
    """Give the columns that are no dimension by what they seem to be."""
    roles: dict[str, _Seen] = {}
    for role, signs in (
        ("alternatives", _ALTERNATIVE_SIGNS),
        ("note", _NOTE_SIGNS),
        ("tensile", _TENSILE_SIGNS),
        ("mass", _MASS_SIGNS),
        ("strands_column", _STRANDS_SIGNS),
        ("kind_column", _KIND_SIGNS),
    ):
        found = [column for column in columns if column.has(signs) and column not in roles.values()]
        if found:
            roles[role] = found[0]
    for sign in _DESIGNATION_SIGNS:
        left = [c for c in columns if c not in roles.values() and c.has([sign]) and not _dimension(c, set())]
        if left:
            return roles | {"designation": left[0]}
    left = [column for column in columns if column not in roles.values() and not column.figures]
    return roles | ({"designation": left[0]} if left else {})


def _dimension(column: _Seen, taken: set[str]) -> str:
    """Give the dimension that a header names and that no other column has; nothing if it tells none."""
    names = {folded(d.name.replace("_", " ")): d.name for d in DIMENSIONS}
    exact = names.get(folded(column.header.replace("_", " ")))
    signs = [name for name, words in _DIMENSION_SIGNS if column.has([words])]
    bare = _BARE.get(_BESIDE.sub("", folded(column.header)).strip(" .,"))
    return next((name for name in [exact, *signs, bare] if name and name not in taken), "")


def _preamble(
    sheet: Sheet, header_row: int, above: Sequence[str], unit: tuple[str, str], roles: dict[str, _Seen]
) -> list[str]:
    lines = [
        f'# The key of {Path(sheet.file).name}: check every line, and replace every "?".',
        f"title = {_quoted(above[0] if above else Path(sheet.file).stem)}",
        'source = "?"  # where the print comes from: drawing, sheet, year',
    ]
    if sheet.name:
        others = f"  # also there: {', '.join(sheet.others)}" if sheet.others else ""
        lines.append(f"sheet = {_quoted(sheet.name)}{others}")
    lines += [f"header_row = {header_row}", f"unit = {_quoted(unit[0])}  # {unit[1]}"]
    if "kind_column" in roles:
        lines.append(f"kind_column = {_quoted(roles['kind_column'].address)}  # its words: [kinds], below")
    else:
        lines += ['kind = "?"  # one of:', *_wrapped(", ".join(KIND_NAMED))]
    designation = roles["designation"].address if "designation" in roles else "?"
    lines.append(f"designation = {_quoted(designation)}")
    if "alternatives" in roles:
        lines.append(f"alternatives = [{_quoted(roles['alternatives'].address)}]")
    for role in ("strands_column", "note"):
        if role in roles:
            lines.append(f"{role} = {_quoted(roles[role].address)}")
    return [*lines, *_kinds(roles.get("kind_column"))]


def _kinds(column: _Seen | None) -> list[str]:
    """Ask what the words of the kind column mean, where they are not the names of kinds."""
    words = dict.fromkeys(" ".join(cell.split()) for cell in column.cells) if column else {}
    strange = [word for word in words if folded(word) not in EMPTY and folded(word) not in KIND_WORDS]
    if not strange:
        return []
    return ["", "[kinds]  # what the words mean, one of:", *_wrapped(", ".join(KIND_NAMED)),
            *(f'{_quoted(word)} = "?"' for word in strange)]  # fmt: skip


def _unit(columns: Sequence[_Seen], above: Sequence[str]) -> tuple[str, str]:
    """Guess the unit of the lengths that have none over their column, and say from what."""
    words = folded(" ".join(above))
    inch, metric = re.search(r"\b(?:inch|inches)\b", words), re.search(r"\b(?:mm|millimet[a-z]+)\b", words)
    if bool(inch) != bool(metric):
        return ("in" if inch else "mm"), "as it says above the table; check it"
    if any(_FRACTION.match(cell) for column in columns for cell in column.cells):
        return "in", "as the table has fractions; check it"
    return "mm", "nothing in the table says it: check it"


def _tables(dimensions: dict[_Seen, str]) -> list[str]:
    lines: list[str] = []
    for column, dimension in dimensions.items():
        shown = ", ".join(cell for cell in column.cells if folded(cell) not in EMPTY)[:40]
        if dimension:
            lines += ["", column_place(column.address), f'dimension = "{dimension}"  # {shown}', *_own_unit(column)]
            lines += [f'limit = "{_limit(column)}"  # nominal, max or min']
        else:
            lines += ["", f"# {column_place(column.address)}", f'# dimension = "?"  # {shown}']
    unknown = any(not dimension for dimension in dimensions.values())
    return [*lines, "", "# Dimensions are:", *_wrapped(", ".join(d.name for d in DIMENSIONS))] if unknown else lines


def _own_unit(column: _Seen) -> list[str]:
    found = re.search(r"[(\[,]\s*(mm|cm|in|inch|inches)\b", folded(column.header))
    return [f'unit = "{"in" if found[1].startswith("in") else found[1]}"'] if found else []


def _limit(column: _Seen) -> str:
    found = re.search(r"\b(max|min|maximum|minimum)\b", folded(column.header))
    return found[1][:3] if found else next(iter(LIMITS))


def _singles(roles: dict[str, _Seen]) -> list[str]:
    lines: list[str] = []
    for role, units, choices in (
        ("tensile", ("kn", "lbf", "lbs", "lb", "kgf", "dan", "n"), "kN, N, daN, kgf or lbf"),
        ("mass", ("kg/m", "lb/ft", "lbs/ft", "kg/ft"), "kg/m or lb/ft"),
    ):
        if role in roles:
            header = folded(roles[role].header).replace("lbs.", "lbs").replace("lb.", "lb")
            unit = next((u for u in units if re.search(rf"(?<![a-z]){u}(?![a-z/])", header)), "?")
            unit = {"kn": "kN", "lbs": "lbf", "lb": "lbf", "dan": "daN", "n": "N", "lbs/ft": "lb/ft"}.get(unit, unit)
            lines += ["", f"[{role}]", f"column = {_quoted(roles[role].address)}", f'unit = "{unit}"  # {choices}']
    return lines


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _wrapped(text: str, width: int = 96) -> list[str]:
    """Give a comment in lines of bearable length."""
    lines, line = [], "#  "
    for word in text.split(" "):
        if len(line) + len(word) >= width:
            lines.append(line)
            line = "#  "
        line += f" {word}"
    return [*lines, line]
