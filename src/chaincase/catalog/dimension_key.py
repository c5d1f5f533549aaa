"""The key to a table that a user brings: which column is which dimension, in which unit, under which limit.

A key is a small TOML file beside the table::

    title = "Print of the mill chain on the elevator, 1987"
    source = "drawing 4711, sheet 2"
    unit = "in"
    kind = "welded steel"
    designation = "Chain No."
    alternatives = ["Old No."]

    [columns.A]
    dimension = "pitch"

    [columns."Barrel dia."]
    dimension = "bush_diameter"
    limit = "max"
    unit = "mm"

    [tensile]
    column = "Ult. strength"
    unit = "lbf"

A column is named by what stands over it, or as "column C" by the letter that the spreadsheet gives it. Where a
dimension's name stands over a column, `dimension` may be left out.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from fractions import Fraction
from typing import Literal

from chaincase.catalog.sheets import column_number
from chaincase.catalog.table import Limit
from chaincase.chains.kinds import KINDS
from chaincase.units.measures import FORCE, LENGTH, MASS

LIMITS = {"nominal": Limit.NOMINAL, "max": Limit.MAXIMUM, "min": Limit.MINIMUM}
"""Words of a key for what a figure says."""
LIMIT_WORDS = LIMITS | {"maximum": Limit.MAXIMUM, "minimum": Limit.MINIMUM, "nom": Limit.NOMINAL}

# kg/m of one unit; the foot and the pound are those of the units room.
MASS_PER_LENGTH = {
    f"{mass}/{length}": MASS.factors[mass] / (LENGTH.factors[length] / 1000)
    for mass, length in (("kg", "m"), ("g", "m"), ("lb", "ft"), ("lb", "in"), ("kg", "ft"))
}
KILONEWTONS = {unit: factor / 1000 for unit, factor in FORCE.factors.items()}


@dataclass(frozen=True, slots=True)
class ColumnKey:
    """What one column holds.

    Attributes
    ----------
    header : str
        What stands over the column, or "column C".
    dimension : str
        Name of a dimension, or "tensile" or "mass".
    unit : str
        Unit of figures without one: of a length, of a force for "tensile", of mass per length for "mass".
    limit : Limit
        What the figures say about the part.
    """

    header: str
    dimension: str
    unit: str
    limit: Limit = Limit.NOMINAL

    @property
    def factor(self) -> Fraction:
        """How many mm, kN or kg/m one unit is."""
        if self.dimension == "tensile":
            return KILONEWTONS[self.unit]
        return MASS_PER_LENGTH[self.unit] if self.dimension == "mass" else LENGTH.factors[self.unit]


@dataclass(frozen=True, slots=True)
class DimensionKey:
    """The whole key of one table.

    Attributes
    ----------
    where : str
        The key's file, for messages.
    title, source : str
        What the table holds and where it comes from.
    designation : str
        Column of the chain's name.
    columns : tuple of ColumnKey
        The columns with figures, "tensile" and "mass" among them.
    sheet : str or None
        The workbook's sheet.
    header_row, first_row, last_row : int or None
        Rows, from 1; without them the header is looked for, and the table begins below it and ends with the
        sheet. A header row of 0 means that there is none.
    kind, kind_column : str or None
        The kind of every chain, or of those whose cell in that column is empty.
    kinds : mapping of str to str
        Kind of each word in the kind column, words folded by `folded`.
    alternatives, notes : tuple of str
        Columns of other names and of remarks.
    strands : int
        Strands of every chain, 0 where it has no meaning.
    strands_column, standard_column : str or None
        Columns of strands and of the single row's standard.
    decimal : {".", ","} or None
        The decimal mark, if the table also has marks between thousands.
    evidence : str
        What was read where; empty if nobody said.
    file : str or None
        The table's file, for a key that does not lie beside its table under the same name.
    """

    where: str
    title: str
    source: str
    designation: str
    columns: tuple[ColumnKey, ...]
    sheet: str | None = None
    header_row: int | None = None
    first_row: int | None = None
    last_row: int | None = None
    kind: str | None = None
    kind_column: str | None = None
    kinds: Mapping[str, str] = field(default_factory=dict)
    alternatives: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    strands: int = 0
    strands_column: str | None = None
    standard_column: str | None = None
    decimal: Literal[".", ","] | None = None
    evidence: str = ""
    file: str | None = None

    def headers(self) -> tuple[str, ...]:
        """Give every column that the key names."""
        single = (self.designation, self.kind_column, self.strands_column, self.standard_column)
        named = [header for header in single if header is not None]
        return (*named, *(column.header for column in self.columns), *self.alternatives, *self.notes)


def folded(text: str) -> str:
    r"""Give a header or word as it is compared: without case, line breaks and double blanks.

    >>> folded(" Barrel\n Dia. ")
    'barrel dia.'
    """
    return " ".join(text.split()).casefold()


def lettered(header: str) -> int | None:
    """Give the column, from 0, that is named by its letter.

    >>> lettered("column C"), lettered("C")
    (2, None)
    """
    found = re.fullmatch(r"column ([a-z]{1,3})", folded(header))
    return column_number(found[1]) if found else None


def nearest(name: str, names: Iterable[str], *, also: str = "use one of") -> str:
    """Suggest what was probably meant, and name the choices.

    >>> nearest("bush_diametr", ["pitch", "bush_diameter"])
    "did you mean 'bush_diameter'? (use one of: pitch, bush_diameter)"
    """
    names = list(names)
    close = get_close_matches(name, names, n=1)
    choices = f"{also}: {', '.join(names)}"
    return f"did you mean {close[0]!r}? ({choices})" if close else choices


KIND_WORDS = {folded(word): kind.name for kind in KINDS for word in (kind.name, kind.label)}
"""Names of kinds as a key or a table may write them."""
