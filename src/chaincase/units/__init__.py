"""Quantities with a unit at the edge of the tool: lengths, forces, masses and speeds.

Here belongs what reads a quantity as a person writes it, keeps the unit open where none was written, knows
with which step it was written, and prints it in both systems. Inside the tool everything is mm, N, kg and s.
"""

from chaincase.units.measures import Measure
from chaincase.units.printing import System, explain, show_force, show_length, show_mass, show_speed
from chaincase.units.quantity import (
    Length,
    Quantity,
    parse_force,
    parse_length,
    parse_mass,
    parse_speed,
)

__all__ = [
    "Length",
    "Measure",
    "Quantity",
    "System",
    "explain",
    "parse_force",
    "parse_length",
    "parse_mass",
    "parse_speed",
    "show_force",
    "show_length",
    "show_mass",
    "show_speed",
]
