"""A dimension key, read from its TOML file with everything that is wrong in it named at once."""

import json
import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from chaincase.catalog.dimension_key import (
    KIND_WORDS,
    LIMIT_WORDS,
    LIMITS,
    MASS_PER_LENGTH,
    ColumnKey,
    DimensionKey,
    folded,
    nearest,
)
from chaincase.catalog.sheets import read_text
from chaincase.chains.dimensions import ALIASES, DIMENSIONS, UNNAMED
from chaincase.chains.dimensions import BY_NAME as DIMENSION_NAMED
from chaincase.chains.kinds import BY_NAME as KIND_NAMED
from chaincase.errors import BadInput, BadInputs
from chaincase.units.measures import FORCE, LENGTH

KEY_BYTES = 256 * 1024
"""A key of sixty columns is about 5 kB."""


def read_key(path: str | Path) -> DimensionKey:
    """Read a key from its TOML file.

    Raises
    ------
    BadInput
        If the file is no TOML.
    BadInputs
        With everything in it that is unknown, missing or wrong.
    """
    return parse_key(read_text(path, KEY_BYTES), str(path))


def parse_key(text: str, where: str) -> DimensionKey:
    """Read a key from TOML text; `where` names it in messages, errors as `read_key`.

    >>> key = parse_key('''
    ... title = "Own print"
    ... source = "drawing 1"
    ... unit = "mm"
    ... kind = "leaf"
    ... designation = "No."
    ... columns.A.dimension = "pitch"
    ... ''', "key.toml")
    >>> key.columns
    (ColumnKey(header='A', dimension='pitch', unit='mm', limit=<Limit.NOMINAL: 0>),)
    """
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as fault:
        what = f"this is not TOML ({fault})" if str(fault) else "this is not TOML"
        right = 'write name = "value"; put a header with blanks or points in quotes, [columns."Barrel dia."]'
        raise BadInput(what, where=where, right=right) from None
    reader = _KeyReader(data, where)
    key = _key(reader, where)
    if reader.faults:
        raise BadInputs(reader.faults) if len(reader.faults) > 1 else reader.faults[0]
    return key


class _KeyReader:
    """The fields of a key, taken one by one; what is wrong with them is collected."""

    def __init__(self, data: Mapping[str, Any], where: str) -> None:
        self.data = data
        self.where = where
        self.faults: list[BadInput] = []

    def fault(self, field_name: str, what: str, right: str) -> None:
        self.faults.append(BadInput(what, where=f"{self.where}, {field_name}", right=right))

    def known(self, table: Mapping[str, Any], names: Iterable[str], place: str = "") -> None:
        for name in table.keys() - set(names):
            right = nearest(name, names)
            self.fault(place or name, f"there is no field {name!r}", right)

    def text(self, name: str, what: str | None = None) -> str | None:
        """Take a text; `what` says what a required one must be."""
        value = self.data.get(name)
        if value is None and what is None:
            return None
        if isinstance(value, str) and value.strip() and value.strip() != "?":
            return value.strip()
        said = "it is missing" if value is None else f"{value!r} says nothing"
        self.fault(name, said, what or "write a text in quotes, or leave the line out")
        return None if what is None else ""

    def number(self, name: str, least: int) -> int | None:
        value = self.data.get(name)
        if value is None or (isinstance(value, int) and not isinstance(value, bool) and least <= value < 2**31):
            return value
        self.fault(name, f"{value!r} is not a count", f"write a whole number, {least} or more, without quotes")
        return None

    def texts(self, name: str) -> tuple[str, ...]:
        value = self.data.get(name, [])
        values = [value] if isinstance(value, str) else value
        if isinstance(values, list) and all(isinstance(item, str) and item.strip() for item in values):
            return tuple(values)
        self.fault(name, f"{value!r} is not a list of columns", f'write {name} = ["one column", "another"]')
        return ()

    def choice(self, place: str, value: object, choices: Mapping[str, str], what: str) -> str | None:
        """Give the meaning of a word that must be one of several."""
        if isinstance(value, str) and folded(value) in choices:
            return choices[folded(value)]
        self.fault(place, f"{value!r} is not {what}", nearest(str(value), dict.fromkeys(choices.values())))
        return None

    def table(self, name: str) -> dict[str, Any]:
        value = self.data.get(name, {})
        if isinstance(value, dict):
            return value
        self.fault(name, f"{value!r} is not a table", f"write [{name}] on a line of its own, its fields below")
        return {}


_FIELDS = (
    "title", "source", "evidence", "file", "sheet", "header_row", "first_row", "last_row", "unit", "decimal",
    "kind", "kind_column", "kinds", "designation", "alternatives", "note", "strands", "strands_column",
    "standard_column", "columns", "tensile", "mass",
)  # fmt: skip
_LENGTH_WORDS = {word.rstrip("."): unit for word, unit in LENGTH.spellings.items()}
_FORCE_WORDS = dict(FORCE.spellings)
_MASS_WORDS = {unit: unit for unit in MASS_PER_LENGTH}
_DIMENSION_WORDS = {
    word.replace("_", joint): name
    for joint in ("_", " ", "-")
    for word, name in (*((word, d.name) for d in DIMENSIONS for word in (d.name, d.label)), *ALIASES.items())
    if name in DIMENSION_NAMED
}


def _key(reader: _KeyReader, where: str) -> DimensionKey:
    reader.known(reader.data, _FIELDS)
    title = reader.text("title", 'say what the table is, for example title = "Print of the mill chains, 1987"')
    source = reader.text("source", 'say where it comes from, for example source = "drawing 4711, sheet 2"')
    designation = reader.text("designation", "name the column of the chain numbers")
    kind, kind_column, kinds = _kinds(reader)
    decimal = reader.data.get("decimal")
    if decimal not in (None, ".", ","):
        reader.fault("decimal", f"{decimal!r} is not a decimal mark", 'write decimal = "." or decimal = ","')
    columns = _columns(reader)
    return DimensionKey(
        where=where,
        title=title or "",
        source=source or "",
        designation=designation or "",
        columns=columns,
        sheet=reader.text("sheet"),
        header_row=reader.number("header_row", 0),
        first_row=reader.number("first_row", 1),
        last_row=reader.number("last_row", 1),
        kind=kind,
        kind_column=kind_column,
        kinds=kinds,
        alternatives=reader.texts("alternatives"),
        notes=reader.texts("note"),
        evidence=reader.text("evidence") or "",
        file=reader.text("file"),
        strands=reader.number("strands", 1) or 0,
        strands_column=reader.text("strands_column"),
        standard_column=reader.text("standard_column"),
        decimal=decimal,
    )


def _kinds(reader: _KeyReader) -> tuple[str | None, str | None, dict[str, str]]:
    """Read the kind of all chains, the column of kinds, and what its words mean."""
    kind, column = reader.data.get("kind"), reader.text("kind_column")
    if kind is not None:
        kind = reader.choice("kind", kind, KIND_WORDS, "a kind of chain")
    elif column is None:
        right = f'write kind = "..." or kind_column = "..."; kinds are: {", ".join(KIND_NAMED)}'
        reader.fault("kind", "it is missing", right)
    kinds = {}
    for word, name in reader.table("kinds").items():
        meant = reader.choice(f"[kinds] {word!r}", name, KIND_WORDS, "a kind of chain")
        kinds[folded(word)] = meant or ""
    if kinds and column is None:
        reader.fault("kinds", "there is no column that they stand in", 'write kind_column = "..."')
    return kind, column, kinds


def _columns(reader: _KeyReader) -> tuple[ColumnKey, ...]:
    unit = reader.data.get("unit")
    if unit is not None:
        unit = reader.choice("unit", unit, _LENGTH_WORDS, "a unit of length")
    found = [_column(reader, header, table, unit) for header, table in reader.table("columns").items()]
    columns = [column for column in found if column is not None]
    if not found:
        right = 'name at least one, for example [columns.A] and below it dimension = "pitch"'
        reader.fault("columns", "no column with a dimension is named", right)
    for name, words, what in (
        ("tensile", _FORCE_WORDS, "a unit of force"),
        ("mass", _MASS_WORDS, "a unit of mass per length"),
    ):
        if name in reader.data:
            columns.extend(_single(reader, name, words, what))
    _refuse_twice(reader, columns)
    bare = [column.header for column in columns if not column.unit]
    if bare and unit is None and "unit" not in reader.data:
        right = 'write unit = "mm" or unit = "in" at the top, or a unit for each column'
        reader.fault("unit", f"it is missing, and so it is for {', '.join(map(repr, bare))}", right)
    return tuple(columns)


def column_place(header: str) -> str:
    """Give the table of a column as it stands in the key.

    >>> column_place("A"), column_place("Barrel dia.")
    ('[columns.A]', '[columns."Barrel dia."]')
    """
    bare = re.fullmatch(r"[A-Za-z0-9_-]+", header)
    return f"[columns.{header}]" if bare else f"[columns.{json.dumps(header, ensure_ascii=False)}]"


def _column(reader: _KeyReader, header: str, table: object, default: str | None) -> ColumnKey | None:
    place = column_place(header)
    if isinstance(table, str):
        table = {"dimension": table}
    if not isinstance(table, dict):
        reader.fault(place, f"{table!r} is not a dimension", 'write dimension = "pitch" below it')
        return None
    reader.known(table, ("dimension", "unit", "limit"), place)
    dimension = _dimension(reader, place, table.get("dimension", header if header in DIMENSION_NAMED else None))
    limit = table.get("limit", "nominal")
    if not isinstance(limit, str) or folded(limit) not in LIMIT_WORDS:
        reader.fault(f"{place} limit", f"{limit!r} is not a limit", nearest(str(limit), LIMITS))
        limit = "nominal"
    unit = table.get("unit")
    if unit is not None:
        unit = reader.choice(f"{place} unit", unit, _LENGTH_WORDS, "a unit of length")
    if dimension is None:
        return None
    return ColumnKey(header, dimension, unit or default or "", LIMIT_WORDS[folded(limit)])


def _dimension(reader: _KeyReader, place: str, value: object) -> str | None:
    if value is None:
        reader.fault(f"{place} dimension", "it is missing", f"use one of: {', '.join(DIMENSION_NAMED)}")
        return None
    word = folded(str(value)).replace(" ", "_")
    group = ALIASES.get(word, word)
    if group in UNNAMED:
        right = f"say which: {', '.join(UNNAMED[group])}"
        reader.fault(f"{place} dimension", f"{value!r} may be one of several", right)
        return None
    return reader.choice(f"{place} dimension", value, _DIMENSION_WORDS, "a dimension")


def _single(reader: _KeyReader, name: str, words: Mapping[str, str], what: str) -> list[ColumnKey]:
    """Read the table of the tensile strength or of the mass."""
    table, before = reader.table(name), len(reader.faults)
    reader.known(table, ("column", "unit"), f"[{name}]")
    unit, header = None, table.get("column")
    if not isinstance(header, str) or not header.strip():
        reader.fault(f"[{name}] column", "it is missing", "name the column")
    if "unit" in table:
        unit = reader.choice(f"[{name}] unit", table["unit"], words, what)
    else:
        reader.fault(f"[{name}] unit", "it is missing", f"use one of: {', '.join(dict.fromkeys(words.values()))}")
    return [] if len(reader.faults) > before else [ColumnKey(str(header), name, str(unit))]


def _refuse_twice(reader: _KeyReader, columns: list[ColumnKey]) -> None:
    first: dict[str, str] = {}
    for column in columns:
        if column.dimension in first:
            what = f"{column.dimension} is also in column {first[column.dimension]!r}"
            reader.fault(column_place(column.header), what, "name the column of one of them only")
        first.setdefault(column.dimension, column.header)
