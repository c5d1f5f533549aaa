"""Columns of figures read from text: plain numbers at once, everything else by the grammar of units.

Both ways give the same numbers to the last bit: the figure as it is written is an exact fraction, and it is
rounded once, after the conversion to mm, kN or kg/m.
"""

import re
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.dimension_key import MASS_PER_LENGTH, ColumnKey
from chaincase.errors import BadInput
from chaincase.units import parse_force, parse_length, parse_mass
from chaincase.units.measures import FORCE, LENGTH

EMPTY = frozenset({"", "-", "--", "–", "—", "−", "n/a", "na", "n.a.", "...", "…"})
"""Cells that say nothing, as prints write them; compared without case and blanks."""
REMEMBERED = 100_000
"""Different texts of a column that are kept with the value; a column seldom has more than some thousand."""

LEAST, MOST = 1e-3, 1e6
"""Bounds of a figure [mm, kN or kg/m]; beyond them it is a slip of the pen, whatever the chain."""

_PLAIN = re.compile(r"[0-9]{1,7}(?:\.([0-9]{1,5}))?")
_PLAIN_BYTES = b"0123456789.\n"
_LONGEST_PLAIN = 24
_THOUSANDS = {
    ".": re.compile(r"([0-9]{1,3}(?:,[0-9]{3})+)(\.[0-9]+)?(?![0-9,.])"),
    ",": re.compile(r"([0-9]{1,3}(?:\.[0-9]{3})+)(,[0-9]+)?(?![0-9,.])"),
}
_UNIT_WORDS = frozenset(LENGTH.spellings) | frozenset(FORCE.spellings) | frozenset(MASS_PER_LENGTH)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(?: [0-9:]+)?|[0-9]{1,2}-[A-Za-z]{3}|[A-Za-z]{3}-[0-9]{1,2}")


class FigureReader:
    """Reads the figures of one column and remembers what it has read.

    Parameters
    ----------
    column : ColumnKey
        What the column holds, and in which unit.
    decimal : {".", ","} or None
        The decimal mark, where the other mark stands between thousands.
    plain : bool
        Whether plain numbers take the short way; off only to test that it makes no difference.
    """

    def __init__(self, column: ColumnKey, decimal: str | None = None, *, plain: bool = True) -> None:
        self.column = column
        self.decimal = decimal
        self.plain = plain
        self.faults: dict[str, BadInput] = {}
        self._known = _Known(self)

    def read(self, cells: Sequence[str]) -> NDArray[np.float64]:
        """Give the figures [mm, kN or kg/m], NaN for empty cells and for those that `faults` then names."""
        if self.plain and (values := self._plain_block(cells)) is not None:
            return values
        if len(self._known) > REMEMBERED:
            self._known.clear()
        known = self._known
        return np.array([known[cell] for cell in cells], dtype=np.float64)

    def _plain_block(self, cells: Sequence[str]) -> NDArray[np.float64] | None:
        """Read cells that are all plain numbers of the base unit, or empty; else give nothing."""
        if self.column.factor != 1 or self.decimal == ",":
            return None
        text = "\n" + "\n".join(cells) + "\n"
        if text.encode("ascii", "replace").translate(None, _PLAIN_BYTES):
            return None
        if "\n." in text or ".\n" in text or max(map(len, cells), default=0) > _LONGEST_PLAIN:
            return None
        try:
            values = np.array([float(cell) if cell else np.nan for cell in cells], dtype=np.float64)
        except ValueError:
            return None
        return None if np.any((values < LEAST) | (values >= MOST)) else values

    def value(self, cell: str) -> float:
        """Give one figure; NaN for an empty cell and for one at fault."""
        text = cell.strip()
        if text.casefold() in EMPTY:
            return np.nan
        try:
            if self.plain and self.decimal != "," and (found := _PLAIN.fullmatch(text)):
                value = self._plain_value(text, len(found[1] or ""))
                if LEAST <= value < MOST:
                    return value
            return self._exact(text)
        except BadInput as fault:
            self.faults[cell] = fault
            return np.nan

    def _plain_value(self, text: str, decimals: int) -> float:
        # One division of whole numbers is rounded once, as the exact fraction is.
        factor = self.column.factor
        one: int = 10**decimals
        return int(text.replace(".", "")) * factor.numerator / (factor.denominator * one)

    def _exact(self, text: str) -> float:
        if _DATE.fullmatch(text):
            right = "a spreadsheet makes a date of 3/8: format the column as text and type the fraction again"
            raise BadInput(f"{text!r} is a date", right=right)
        if text.strip("()[]. ").casefold() in _UNIT_WORDS:
            right = "give the figure; if the whole row holds units, set first_row in the key to the row below it"
            raise BadInput(f"{text!r} is a unit without a figure", right=right)
        try:
            value = self._fraction(self._without_thousands(text))
        except BadInput as fault:
            if "thousands" in fault.what:
                right = f'{fault.right}, or say decimal = "." or "," in the key'
                raise BadInput(fault.what, right=right) from None
            if "is zero" in fault.what:
                raise _zero(text) from None
            raise BadInput(fault.what, right=fault.right) from None
        return _checked(text, float(value))

    def _fraction(self, text: str) -> Fraction:
        """Give the exact figure in mm, kN or kg/m; a unit in the cell goes before the column's."""
        factor = self.column.factor
        if self.column.dimension == "tensile":
            force = parse_force(text)
            return force.value * (FORCE.factors[force.unit] / 1000 if force.unit else factor)
        if self.column.dimension == "mass":
            return _mass_per_length(text, factor)
        length = parse_length(text)
        return length.value * (LENGTH.factors[length.unit] if length.unit else factor)

    def _without_thousands(self, text: str) -> str:
        if self.decimal is None:
            return text
        other = "," if self.decimal == "." else "."
        if found := _THOUSANDS[self.decimal].match(text):
            text = found[1].replace(other, "") + (found[2] or "") + text[found.end() :]
        if other in text.rstrip("."):
            what = f"{text!r} has a {'comma' if other == ',' else 'point'} that is no mark between thousands"
            raise BadInput(what, right=f"the key says that the decimal mark is {self.decimal!r}")
        # A single mark with three digits behind it is only now certain.
        return re.sub(r"^([0-9]+),([0-9]+)", r"\1.\2", text)


class _Known(dict[str, float]):
    """Values of the texts that were read, read when first asked for."""

    def __init__(self, reader: FigureReader) -> None:
        super().__init__()
        self.reader = reader

    def __missing__(self, cell: str) -> float:
        value = self[cell] = self.reader.value(cell)
        return value


def _checked(text: str, value: float) -> float:
    """Give a figure that a chain can have."""
    if LEAST <= value < MOST:
        return value
    if not value:
        raise _zero(text)
    raise BadInput(f"{text!r} is too {'large' if value >= MOST else 'small'}", right="check figure and unit")


def _zero(text: str) -> BadInput:
    return BadInput(f"{text!r} is zero", right="give the figure, or leave the cell empty if it is not known")


def _mass_per_length(text: str, factor: Fraction) -> Fraction:
    for unit, own in MASS_PER_LENGTH.items():
        if text.casefold().endswith(unit):
            text, factor = text[: -len(unit)], own
            break
    mass = parse_mass(text)
    if mass.unit is not None:
        right = f"write the figure alone, or with one of: {', '.join(MASS_PER_LENGTH)}"
        raise BadInput(f"{text!r} is a mass, not a mass per length", right=right)
    return mass.value * factor
