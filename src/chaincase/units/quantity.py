"""Lengths, forces, masses and speeds as they were written, and what they mean in SI."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from chaincase.errors import BadInput
from chaincase.units.grammar import read
from chaincase.units.measures import FORCE, LENGTH, MASS, SPEED, Measure


@dataclass(frozen=True, slots=True)
class Length:
    """A length as it was written.

    Attributes
    ----------
    value : Fraction
        In `unit`, exact. Feet with inches are held in inches.
    unit : {"mm", "cm", "m", "um", "in", "ft"} or None
        None where no unit was written: the reading then has two hypotheses, millimeters and inches.
    text : str
        As written.
    step : Fraction
        Step of the last place written, in `unit`: 1/10 for 63.5, 1/64 for 2 39/64, 1 for 48. Zero where
        nobody wrote it.
    """

    value: Fraction
    unit: str | None
    text: str
    step: Fraction = Fraction(0)

    def mm(self) -> float:
        """Give the length [mm].

        Raises
        ------
        BadInput
            If no unit was written.
        """
        return float(self.value * self._factor(None))

    def mm_if(self, unit: Literal["mm", "in"]) -> float:
        """Give the length [mm] if a missing unit stands for `unit`; a unit that was written stands.

        >>> parse_length("2.5").mm_if("in"), parse_length("2.5").mm_if("mm"), parse_length("1 cm").mm_if("in")
        (63.5, 2.5, 10.0)
        """
        return float(self.value * self._factor(unit))

    def resolution_mm(self, unit: Literal["mm", "in"] | None = None) -> float:
        """Give the step [mm] with which the length was written; `unit` stands in for a missing one.

        Raises
        ------
        BadInput
            If no unit was written and none is given.

        >>> parse_length('2 39/64"').resolution_mm() == 25.4 / 64
        True
        """
        return float(self.step * self._factor(unit))

    def _factor(self, unit: str | None) -> Fraction:
        known = self.unit or unit
        if known is None:
            raise BadInput(f"{self.text!r} has no unit", right=f"write {self.text} mm or {self.text} in")
        return LENGTH.factors[known]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A force, mass or speed as it was written.

    Attributes
    ----------
    value : Fraction
        In `unit`, exact.
    unit : str or None
        None where no unit was written.
    text : str
        As written.
    measure : Measure
        What sort of quantity it is.
    step : Fraction
        Step of the last place written, in `unit`.
    """

    value: Fraction
    unit: str | None
    text: str
    measure: Measure
    step: Fraction = Fraction(0)

    def si(self) -> float:
        """Give the value [N, kg or m/s].

        Raises
        ------
        BadInput
            If no unit was written.
        """
        if self.unit is None:
            raise BadInput(f"{self.text!r} has no unit", right=f"use {self.measure.units}")
        return float(self.value * self.measure.factors[self.unit])


def parse_length(text: str | float, *, where: str = "") -> Length:
    """Read one length, greater than zero and at most 1000 km.

    Parameters
    ----------
    text : str or number
        As a person writes it, in millimeters, centimeters, meters, micrometers, inches, feet, feet with
        inches, or thousandths of an inch; a number, or a text without a unit, keeps its unit unknown.
    where : str
        Where the text stands, for the error.

    Raises
    ------
    BadInput
        If it is not one length; the error names the character, counted from 1.

    >>> parse_length('2 39/64"').mm()
    66.278125
    >>> parse_length("4' 2 1/2 in").mm()
    1282.7
    >>> parse_length("63,5").unit is None
    True
    """
    value, step, unit = read(text, LENGTH, where)
    return Length(value, unit, str(text), step)


def parse_force(text: str | float, *, where: str = "") -> Quantity:
    """Read one force in N, daN, kN, kgf (kp) or lbf (lb); errors as `parse_length`, but zero is allowed.

    >>> parse_force("31.8 kN").si()
    31800.0
    """
    return _quantity(text, FORCE, where)


def parse_mass(text: str | float, *, where: str = "") -> Quantity:
    """Read one mass in g, kg, t (1000 kg) or lb; errors as `parse_length`, but zero is allowed.

    >>> parse_mass("2,7 kg").si()
    2.7
    """
    return _quantity(text, MASS, where)


def parse_speed(text: str | float, *, where: str = "") -> Quantity:
    """Read one speed in m/s, m/min, mm/s, ft/min (fpm), ft/s or in/s; errors as `parse_length`, zero allowed.

    >>> parse_speed("100 fpm").si()
    0.508
    """
    return _quantity(text, SPEED, where)


def _quantity(text: str | float, measure: Measure, where: str) -> Quantity:
    value, step, unit = read(text, measure, where)
    return Quantity(value, unit, str(text), measure, step)
