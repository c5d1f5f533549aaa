"""Where a packaged table's figures come from: the TOML that lies beside each table's CSV.

    title, standard, evidence   what the table is, and what was read where
    [columns]                   per column: what its figures say (limit), symbol in the standard, source,
                                and the trust that a figure of the column can have at best
    [[exceptions]]              rows and columns where limit or trust differ from the above
    [expand]                    how one line becomes one row per pitch and roller form
    [extra]                     columns that are no dimension of the measuring sheet, with their meaning
    [[doubts]]                  figures that a person should check, with the reason

Rows are named by designation, `*` and `?` standing for any characters.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from functools import cache
from importlib.resources import files
from typing import Any

from chaincase.catalog.table import Limit, Source, Trust
from chaincase.errors import BadInput

FOLDER = files("chaincase.catalog") / "tables"
LIMITS = {"nominal": Limit.NOMINAL, "maximum": Limit.MAXIMUM, "minimum": Limit.MINIMUM}
TRUSTS = {"two sources": Trust.TWO_SOURCES, "one source": Trust.ONE_SOURCE, "memory": Trust.MEMORY}


@dataclass(frozen=True, slots=True)
class ColumnOrigin:
    """What the figures of one column say and where they were read."""

    limit: Limit
    symbol: str
    source: str
    trust: Trust
    """The best trust that a figure of this column can have."""


@dataclass(frozen=True, slots=True)
class Deviation:
    """Cells whose limit or trust differs from that of their column; None where it does not."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    limit: Limit | None
    trust: Trust | None
    reason: str


@dataclass(frozen=True, slots=True)
class Form:
    """One roller form in which a chain is sold."""

    name: str
    """What is added to the designation; empty for the chain without roller."""
    kind: str
    """Second word of the kind; the first is the kind cell of the row."""
    roller: str
    """Column of its roller diameter, empty where it has none; a row without that figure lacks the form."""
    flange: str
    """Column of its flange diameter, empty where it has none."""
    names: tuple[str, ...]
    """Other names, with {base} and {pitch} to be filled in."""


@dataclass(frozen=True, slots=True)
class Expansion:
    """How one line of a table becomes one row per pitch and roller form."""

    pitches: str
    """Column with the list of pitches."""
    one_source: str
    """Column with those pitches that rest on one source, empty where there is none."""
    forms: tuple[Form, ...]


@dataclass(frozen=True, slots=True)
class Doubt:
    """Figures that a person should check before relying on them."""

    rows: tuple[str, ...]
    columns: tuple[str, ...]
    reason: str

    def covers(self, designation: str, column: str) -> bool:
        """Tell whether the doubt is about that column of that chain, or of a row expanded from it."""
        return column in self.columns and matches(self.rows, designation)


@dataclass(frozen=True, slots=True)
class Origin:
    """Everything the TOML beside a table says."""

    source: Source
    columns: Mapping[str, ColumnOrigin]
    exceptions: tuple[Deviation, ...]
    expansion: Expansion | None
    extra: Mapping[str, str]
    doubts: tuple[Doubt, ...]


def matches(patterns: Iterable[str], designation: str) -> bool:
    """Tell whether a designation, or the size it was expanded from, fits one of the patterns.

    >>> matches(["M2?"], "M20x40 small roller"), matches(["LH16??"], "LH1622"), matches(["S62"], "S620")
    (True, True, False)
    """
    base = designation.partition("x")[0]
    return any(fnmatchcase(designation, one) or fnmatchcase(base, one) for one in patterns)


@cache
def origin_of(name: str) -> Origin:
    """Read what is known about a packaged table.

    Raises
    ------
    BadInput
        If there is no such table, or a word in its file is not known.
    """
    path = FOLDER / f"{name}.toml"
    if not path.is_file():
        raise BadInput(f"{name!r} is not a packaged table", right="use the name of a table of the package")
    text = tomllib.loads(path.read_text(encoding="utf-8"))
    try:
        return _origin(name, text)
    except KeyError as missing:
        raise BadInput(f"{missing} is missing or not known", where=path.name, right="mend the file") from None


def _origin(name: str, text: Mapping[str, Any]) -> Origin:
    return Origin(
        source=Source(name, text["title"], text["standard"], " ".join(text["evidence"].split())),
        columns={column: _column(entry) for column, entry in text["columns"].items()},
        exceptions=tuple(_deviation(entry) for entry in text.get("exceptions", ())),
        expansion=_expansion(text["expand"]) if "expand" in text else None,
        extra=text.get("extra", {}),
        doubts=tuple(
            Doubt(tuple(entry["rows"]), tuple(entry["columns"]), entry["reason"]) for entry in text.get("doubts", ())
        ),
    )


def _column(entry: Mapping[str, str]) -> ColumnOrigin:
    trust = TRUSTS[entry.get("trust", "two sources")]
    return ColumnOrigin(LIMITS[entry["limit"]], entry["symbol"], entry["source"], trust)


def _deviation(entry: Mapping[str, Any]) -> Deviation:
    limit = LIMITS[entry["limit"]] if "limit" in entry else None
    trust = TRUSTS[entry["trust"]] if "trust" in entry else None
    return Deviation(tuple(entry["rows"]), tuple(entry["columns"]), limit, trust, entry["reason"])


def _expansion(entry: Mapping[str, Any]) -> Expansion:
    forms = tuple(
        Form(form["name"], form["kind"], form.get("roller", ""), form.get("flange", ""), tuple(form["names"]))
        for form in entry["forms"]
    )
    return Expansion(entry["pitches"], entry.get("one_source", ""), forms)
