"""The sorts of quantity and the units each is written in, with their exact factors."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final


@dataclass(frozen=True, slots=True)
class Measure:
    """One sort of quantity and the units it is written in.

    Attributes
    ----------
    name : str
        Length, force, mass or speed.
    base : str
        Unit that everything is computed in.
    factors : dict of str to Fraction
        How many base units one unit is, exactly.
    spellings : dict of str to str
        Unit of each way to write it, in lower case without a closing point.
    smallest, largest : Fraction
        Anything outside is a slip of the pen [base unit].
    example : str
        How such a quantity is written, for messages.
    """

    name: str
    base: str
    factors: dict[str, Fraction]
    spellings: dict[str, str]
    smallest: Fraction
    largest: Fraction
    example: str

    @property
    def bound(self) -> str:
        """Say what sign is allowed."""
        return f"a {self.name} must {'be greater than zero' if self.smallest else 'not be negative'}"

    @property
    def units(self) -> str:
        """List the units in words."""
        *most, last = self.factors
        return f"{', '.join(most)} or {last}"


def _measure(name: str, base: str, bounds: tuple[str, str], example: str, units: str) -> Measure:
    """Read lines of `unit factor spelling spelling ...`."""
    rows = [line.split() for line in units.strip().splitlines()]
    factors = {unit: Fraction(factor) for unit, factor, *_ in rows}
    spellings = {word.casefold(): unit for unit, _, *words in rows for word in (unit, *words)}
    smallest, largest = map(Fraction, bounds)
    return Measure(name, base, factors, spellings, smallest, largest, example)


# Inch, foot and pound: international yard and pound agreement of 1959; kilogram-force: 3rd CGPM, 1901.
LENGTH: Final = _measure(
    "length",
    "mm",
    ("1e-6", "1e9"),
    "63.5 mm or 2 1/2 in",
    """
    mm 1 millimeter millimeters millimetre millimetres мм
    cm 10 centimeter centimeters centimetre centimetres см
    m 1000 meter meters metre metres м
    um 1/1000 µm micron microns мкм
    in 25.4 inch inches "
    ft 304.8 foot feet '
    """,
)
FORCE: Final = _measure(
    "force",
    "N",
    ("0", "1e12"),
    "31.8 kN",
    """
    N 1 newton newtons н
    kN 1000 кн
    daN 10 дан
    kgf 9.80665 kp кгс
    lbf 4.4482216152605 lb lbs
    """,
)
MASS: Final = _measure(
    "mass",
    "kg",
    ("0", "1e12"),
    "2.7 kg",
    """
    kg 1 kgs кг
    g 1/1000 г
    t 1000 т
    lb 0.45359237 lbs
    """,
)
SPEED: Final = _measure(
    "speed",
    "m/s",
    ("0", "1e6"),
    "0.5 m/s",
    """
    m/s 1 m/sec м/с
    m/min 1/60 м/мин
    mm/s 1/1000 mm/sec
    ft/min 0.00508 fpm
    ft/s 0.3048 ft/sec
    in/s 0.0254 in/sec
    """,
)
MEASURES: Final = (LENGTH, FORCE, MASS, SPEED)

THOUSANDTHS: Final = frozenset({"thou", "mil", "mils"})
"""Thousandths of an inch: kept as inches with three more decimals."""
