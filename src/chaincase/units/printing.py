"""Quantities as an engineer reads them: few digits, both systems side by side."""

import math
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import Any, Final, Literal

from chaincase.errors import BadInput
from chaincase.units.grammar import ForeignUnit
from chaincase.units.measures import FORCE, LENGTH, MASS, MEASURES, SPEED, Measure
from chaincase.units.quantity import Length, Quantity, parse_force, parse_length, parse_mass, parse_speed

System = Literal["both", "mm", "in"]
"""Metric and inch, metric alone, inch alone."""

# A caliper or a drawn bar is no better than this; a fraction nearer than that is what the maker meant.
_NEAR_INCH: Final = 0.002
# The finer fractions lie so close together that they must give the printed millimeters themselves.
_EXACT_INCH: Final = 0.005 / 25.4
_LONG_MM: Final = 10_000.0
_LARGEST: Final = 1e15
# Wide enough for every float, printed in full.
_WIDE: Final = Context(prec=800)


def show_length(mm: float, system: System = "both") -> str:
    """Print a length given in [mm].

    Inches are printed as a fraction where it lies within 0.002 in (halves to sixteenths) or gives the same
    hundredths of a millimeter (thirty-seconds and sixty-fourths), else to three places; from 10 m on in
    meters and feet.

    Raises
    ------
    BadInput
        If it is not a finite number, or beyond 1e15; so do the other printers.

    >>> show_length(66.27), show_length(41.275), show_length(63.5, "mm"), show_length(12_345)
    ('66.27 mm (2.609 in)', '41.28 mm (1 5/8 in)', '63.5 mm', '12.345 m (40.50 ft)')
    """
    size, sign = _finite(mm, LENGTH)
    if size >= _LONG_MM:
        return _pair(f"{sign}{size / 1000:.3f} m", f"{sign}{size / 304.8:.2f} ft", system)
    metric = _trimmed(_fixed(size, 2 if size < 1000 else 1))
    return _pair(f"{sign}{metric} mm", f"{sign}{_inches(size / 25.4)} in", system)


def show_force(newtons: float, system: System = "both") -> str:
    """Print a force given in [N], to four significant digits.

    >>> show_force(31_800), show_force(250, "mm")
    ('31.8 kN (7149 lbf)', '250 N')
    """
    size, sign = _finite(newtons, FORCE)
    metric = f"{_four(size / 1000)} kN" if size >= 1000 else f"{_four(size)} N"
    return _pair(sign + metric, f"{sign}{_four(size / float(FORCE.factors['lbf']))} lbf", system)


def show_mass(kg: float, system: System = "both") -> str:
    """Print a mass given in [kg], to four significant digits.

    >>> show_mass(2.7), show_mass(0.25, "mm"), show_mass(12_000)
    ('2.7 kg (5.952 lb)', '250 g', '12 t (26460 lb)')
    """
    size, sign = _finite(kg, MASS)
    scale, unit = (1e-3, "t") if size >= 10_000 else (1.0, "kg") if size >= 1 or size == 0 else (1e3, "g")
    return _pair(f"{sign}{_four(size * scale)} {unit}", f"{sign}{_four(size / float(MASS.factors['lb']))} lb", system)


def show_speed(meters_per_second: float, system: System = "both") -> str:
    """Print a speed given in [m/s], to four significant digits.

    >>> show_speed(0.508)
    '0.508 m/s (100 ft/min)'
    """
    size, sign = _finite(meters_per_second, SPEED)
    feet = _four(size / float(SPEED.factors["ft/min"]))
    return _pair(f"{sign}{_four(size)} m/s", f"{sign}{feet} ft/min", system)


def explain(text: str | float) -> dict[str, Any]:
    """Tell how a text is read: every quantity it can be, in both systems.

    Returns
    -------
    dict
        `text`, and `readings`: a list of `measure`, `read_as`, `value` in `unit` (mm, N, kg, m/s), `step`
        (of the last place written, same unit) and `shown` (both systems). A number without a unit has two
        readings as a length, told apart by `if_no_unit_means`.

    Raises
    ------
    BadInput
        If it is no quantity at all.

    >>> [reading["shown"] for reading in explain("2.5")["readings"]]
    ['2.5 mm (0.098 in)', '63.5 mm (2 1/2 in)']
    >>> [reading["read_as"] for reading in explain("450 lb")["readings"]]
    ['450 lbf', '450 lb']
    """
    readings: list[dict[str, Any]] = []
    faults: list[BadInput] = []
    for parse in (parse_length, parse_force, parse_mass, parse_speed):
        try:
            readings.extend(_readings(parse(text)))
        except BadInput as fault:
            faults.append(fault)
    if not readings:
        raise _best_fault(faults)
    return {"text": str(text), "readings": readings}


def _readings(quantity: Length | Quantity) -> list[dict[str, Any]]:
    if isinstance(quantity, Quantity):
        if quantity.unit is None:  # a bare number is taken for a length
            return []
        return [_reading(quantity, quantity.measure, quantity.unit)]
    if quantity.unit is not None:
        return [_reading(quantity, LENGTH, quantity.unit)]
    return [{**_reading(quantity, LENGTH, unit), "if_no_unit_means": unit} for unit in ("mm", "in")]


def _reading(quantity: Length | Quantity, measure: Measure, unit: str) -> dict[str, Any]:
    show = {"length": show_length, "force": show_force, "mass": show_mass, "speed": show_speed}[measure.name]
    value = float(quantity.value * measure.factors[unit])
    return {
        "measure": measure.name,
        "read_as": f"{_as_written(quantity.value, quantity.step)} {unit}",
        "value": value,
        "unit": measure.base,
        "step": float(quantity.step * measure.factors[unit]),
        "shown": show(value),
    }


def _as_written(value: Fraction, step: Fraction) -> str:
    """Print a value with its decimals, or as the fraction; exact."""
    places = len(str(step.denominator)) - 1
    if step != Fraction(1, 10**places):
        return _mixed(value)
    digits = f"{int(value * 10**places):0{places + 1}}"
    return f"{digits[:-places]}.{digits[-places:]}" if places else digits


def _best_fault(faults: list[BadInput]) -> BadInput:
    """Give the fault of a measure that knows the unit; where none does, name all units."""
    for fault in faults:
        if not isinstance(fault, ForeignUnit):
            return fault
    units = "; ".join(f"{measure.name}: {measure.units}" for measure in MEASURES)
    return BadInput(faults[0].what, where=faults[0].where, right=f"use a unit of {units}")


def _finite(value: float, measure: Measure) -> tuple[float, str]:
    """Give size and sign of a number that can be printed."""
    if not abs(value) <= _LARGEST:  # refuses nan as well
        right = f"give a finite number of at most {_LARGEST:g} {measure.base}"
        raise BadInput(f"{value} is not a {measure.name}", right=right)
    return abs(value), "-" if value < 0 else ""


def _pair(metric: str, inch: str, system: System) -> str:
    return {"mm": metric, "in": inch, "both": f"{metric} ({inch})"}[system]


def _inches(inches: float) -> str:
    for denominator in (1, 2, 4, 8, 16, 32, 64):
        near = Fraction(round(inches * denominator), denominator)
        within = _NEAR_INCH if denominator <= 16 else _EXACT_INCH
        if near and abs(inches - near) <= within:
            return _mixed(near)
    return _fixed(inches, 3) if inches else "0"


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return " ".join(([str(whole)] if whole or not rest else []) + ([str(rest)] if rest else []))


def _fixed(size: float, places: int) -> str:
    """Print with that many places, or more where fewer than two digits would be left."""
    return _rounded(size, max(places, 1 - _magnitude(size)))


def _four(size: float) -> str:
    """Print four significant digits."""
    return _trimmed(_rounded(size, 3 - _magnitude(size)))


def _magnitude(size: float) -> int:
    return math.floor(math.log10(size)) if size else 0


def _rounded(size: float, places: int) -> str:
    """Round the decimal that a person sees, halves away from zero: 41.275 gives 41.28."""
    return f"{Decimal(repr(size)).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP, _WIDE):f}"


def _trimmed(digits: str) -> str:
    return digits.rstrip("0").rstrip(".") if "." in digits else digits
