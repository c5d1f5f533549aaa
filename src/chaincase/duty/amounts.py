"""Quantities that only a duty needs, as they are written: mass per length, flow, power, stress, density, volume, angle.

Each reader takes a text with its unit and gives a number in the base unit of its measure. A bare number is refused,
for a number without a unit has two meanings; an angle and a speed of rotation alone have one, degrees and rev/min.
"""

import re
from fractions import Fraction
from typing import Final

from chaincase.errors import BadInput
from chaincase.units import Measure, parse_force, parse_length, parse_mass, parse_speed
from chaincase.units.grammar import read

Written = str | int | float


def _measure(name: str, base: str, example: str, units: str) -> Measure:
    """Read lines of `unit factor spelling spelling ...`."""
    rows = [line.split() for line in units.strip().splitlines()]
    spellings = {word.casefold(): unit for unit, _, *words in rows for word in (unit, *words)}
    factors = {unit: Fraction(factor) for unit, factor, *_ in rows}
    return Measure(name, base, factors, spellings, Fraction(0), Fraction(10**12), example)


# Pound and foot: international yard and pound agreement of 1959; hp: 550 ft lbf/s; PS: 75 kgf m/s.
_LINEAR_MASS: Final = _measure(
    "mass per length",
    "kg/m",
    "12 kg/m or 8 lb/ft",
    """
    kg/m 1 кг/м
    g/m 1/1000
    t/m 1000
    lb/ft 45359237/30480000 lbs/ft
    lb/in 45359237/2540000 lbs/in
    """,
)
_FLOW: Final = _measure(
    "flow",
    "kg/s",
    "50 t/h",
    """
    kg/s 1
    kg/min 1/60
    kg/h 1/3600
    t/h 5/18 т/ч
    lb/min 45359237/6000000000
    lb/h 45359237/360000000000
    shortton/h 45359237/180000000 stph
    """,
)
_POWER: Final = _measure(
    "power",
    "W",
    "7.5 kW or 10 hp",
    """
    W 1
    kW 1000 квт
    hp 745.69987158227022
    PS 735.49875
    """,
)
_STRESS: Final = _measure(
    "stress",
    "N/mm2",
    "25 N/mm2 or 3600 psi",
    """
    N/mmsq 1 MPa
    kPa 1/1000
    psi 0.006894757293168361 lb/insq lbf/insq
    ksi 6.894757293168361
    """,
)
_DENSITY: Final = _measure(
    "density",
    "kg/m3",
    "750 kg/m3 or 47 lb/ft3",
    """
    kg/mcu 1
    t/mcu 1000
    kg/l 1000
    lb/ftcu 16.018463373960142
    """,
)
_VOLUME: Final = _measure(
    "volume",
    "l",
    "2 l",
    """
    l 1 liter liters litre litres
    ml 1/1000
    mcu 1000
    ftcu 28.316846592
    incu 0.016387064
    """,
)

# The grammar of quantities has no powers; they are spelled out before it reads, and only at the end of the text.
_POWERED: Final = re.compile(r"\b(mm|cm|m|in|ft)\s*(?:\^?([23])|([²³]))\s*$", re.IGNORECASE)
_SHORT_TON: Final = re.compile(r"\bshort\s*t(?:on|ons)?\s*/\s*h\b", re.IGNORECASE)
_ANGLE: Final = re.compile(r"\s*([-+−]?)\s*(\d+(?:\.\d*)?|\.\d+)\s*(?:°|deg|degrees?)?\s*", re.IGNORECASE)
_RPM: Final = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*(?:rpm|r/min|rev/min|1/min|min-1)?\s*", re.IGNORECASE)


def length_mm(text: Written) -> float:
    """Read a length greater than zero [mm].

    Raises
    ------
    BadInput
        If it is no length, or has no unit; the other readers alike.

    >>> length_mm("2 1/2 in")
    63.5
    """
    return parse_length(text).mm()


def force_n(text: Written) -> float:
    """Read a force [N]."""
    return parse_force(text).si()


def mass_kg(text: Written) -> float:
    """Read a mass [kg]."""
    return parse_mass(text).si()


def speed_m_per_s(text: Written) -> float:
    """Read a speed [m/s]."""
    return parse_speed(text).si()


def linear_mass(text: Written) -> float:
    """Read a mass per length [kg/m].

    >>> round(linear_mass("8 lb/ft"), 4)
    11.9053
    """
    return _read(text, _LINEAR_MASS)


def flow_kg_per_s(text: Written) -> float:
    """Read a flow of material [kg/s]; a ton is the metric one unless it is called short.

    >>> flow_kg_per_s("36 t/h"), round(flow_kg_per_s("36 short tons/h"), 3)
    (10.0, 9.072)
    """
    return _read(text, _FLOW)


def power_w(text: Written) -> float:
    """Read a power [W].

    >>> power_w("7.5 kW"), round(power_w("10 hp"), 1)
    (7500.0, 7457.0)
    """
    return _read(text, _POWER)


def stress_n_per_mm2(text: Written) -> float:
    """Read a stress or a pressure between surfaces [N/mm2].

    >>> stress_n_per_mm2("25 N/mm²"), round(stress_n_per_mm2("3600 psi"), 2)
    (25.0, 24.82)
    """
    return _read(text, _STRESS)


def density_kg_per_m3(text: Written) -> float:
    """Read a bulk density [kg/m3].

    >>> density_kg_per_m3("0.75 t/m3"), round(density_kg_per_m3("47 lb/ft3"), 1)
    (750.0, 752.9)
    """
    return _read(text, _DENSITY)


def volume_l(text: Written) -> float:
    """Read a volume [l].

    >>> volume_l("0.002 m3")
    2.0
    """
    return _read(text, _VOLUME)


def angle_deg(text: Written) -> float:
    """Read an angle [degrees], with or without the word; up is positive.

    >>> angle_deg("12 deg"), angle_deg(-30)
    (12.0, -30.0)
    """
    return _number(text, _ANGLE, "an angle", "write degrees, such as 12 or -30")


def rpm(text: Written) -> float:
    """Read a speed of rotation [rev/min], with or without the unit.

    >>> rpm("900 rpm"), rpm(12.5)
    (900.0, 12.5)
    """
    return _number(text, _RPM, "a speed of rotation", "write revolutions per minute, such as 900 rpm")


def _number(text: Written, form: re.Pattern[str], name: str, right: str) -> float:
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise BadInput(f"{text!r:.40} is not {name}", right=right)
    if not isinstance(text, str):
        return float(text)
    found = form.fullmatch(text) if len(text) <= 60 else None
    if found is None:
        raise BadInput(f"{text[:40]!r} is not {name}", right=right)
    *sign, digits = found.groups()
    return -float(digits) if sign and sign[0] in {"-", "−"} else float(digits)


def _read(text: Written, measure: Measure) -> float:
    written = read(_spelled(text) if isinstance(text, str) else text, measure, "")
    if written.unit is None:
        raise BadInput(f"{text!r:.40} has no unit", right=f"write {measure.example}")
    return float(written.value * measure.factors[written.unit])


def _spelled(text: str) -> str:
    powers = {"2": "sq", "3": "cu", "²": "sq", "³": "cu"}
    plain = _SHORT_TON.sub("shortton/h", text)
    return _POWERED.sub(lambda found: found[1] + powers[found[2] or found[3]], plain)
