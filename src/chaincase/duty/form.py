"""What the files of this room share: values with units as they are written."""

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator

from chaincase.duty import amounts, checking
from chaincase.forms import told


def positive(reader: Callable[[Any], float], name: str) -> BeforeValidator:
    """Let a field be read, and refuse zero."""
    return told(lambda value: checking.positive(name, reader(value)))


def bounded(reader: Callable[[Any], float], name: str, least: float, most: float) -> BeforeValidator:
    """Let a field be read, and keep it within bounds."""
    return told(lambda value: checking.between(name, reader(value), least, most))


def number(name: str, least: float, most: float) -> BeforeValidator:
    """Let a field be a plain number within bounds."""
    return told(lambda value: checking.between(name, value, least, most))


def count(name: str, least: int, most: int) -> BeforeValidator:
    """Let a field be a whole number within bounds."""
    return told(lambda value: checking.whole(name, value, least, most))


LengthMm = Annotated[float, told(amounts.length_mm)]
ForceN = Annotated[float, told(amounts.force_n)]
MassPerLength = Annotated[float, told(amounts.linear_mass)]
Stress = Annotated[float, positive(amounts.stress_n_per_mm2, "stress")]
Speed = Annotated[float, positive(amounts.speed_m_per_s, "speed")]
Power = Annotated[float, positive(amounts.power_w, "power")]
Friction = Annotated[float, number("friction", 0.0, 5.0)]
Factor = Annotated[float, number("factor", 0.1, 100.0)]
Efficiency = Annotated[float, number("efficiency", 0.01, 1.0)]
