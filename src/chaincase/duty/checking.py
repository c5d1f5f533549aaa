"""Refusing nonsense: a quantity of a duty that cannot be, with one clear line that says what would be right."""

import math
from numbers import Real
from typing import Final

from chaincase.errors import BadInput

LARGEST: Final = 1e9
"""Nothing on a machine is larger, in mm, N, kg or s; what is larger is a slip of the hand."""


def finite(name: str, value: float, unit: str = "") -> float:
    """Give a finite number of moderate size.

    Raises
    ------
    BadInput
        If it is no number, NaN, infinite or beyond 1e9; so do all checks of this module.

    >>> finite("angle", -12.0, "degrees")
    -12.0
    """
    if isinstance(value, bool) or not isinstance(value, Real) or not abs(value) <= LARGEST:
        raise BadInput(f"{name} is {value!r:.40}", right=f"give a finite number{_of(unit)}")
    return float(value)


def positive(name: str, value: float, unit: str = "") -> float:
    """Give a finite number greater than zero.

    >>> positive("pitch", 25.4, "mm")
    25.4
    """
    number = finite(name, value, unit)
    if number <= 0.0:
        raise BadInput(f"{name} is {number:g}{_unit(unit)}", right=f"{name} must be greater than zero")
    return number


def not_negative(name: str, value: float, unit: str = "") -> float:
    """Give a finite number that is zero or more.

    >>> not_negative("slack", 0.0)
    0.0
    """
    number = finite(name, value, unit)
    if number < 0.0:
        raise BadInput(f"{name} is {number:g}{_unit(unit)}", right=f"{name} must not be negative")
    return number


def between(name: str, value: float, least: float, most: float, unit: str = "") -> float:
    """Give a finite number from `least` to `most`, both allowed.

    >>> between("incline", 30.0, -90.0, 90.0, "degrees")
    30.0
    """
    number = finite(name, value, unit)
    if not least <= number <= most:
        right = f"{name} must be from {least:g} to {most:g}{_unit(unit)}"
        raise BadInput(f"{name} is {number:g}{_unit(unit)}", right=right)
    return number


def whole(name: str, value: float, least: int = 1, most: int = 1_000_000) -> int:
    """Give a whole number from `least` to `most`; 17.0 counts as whole.

    >>> whole("teeth", 17.0, 5)
    17
    """
    number = finite(name, value)
    if not (number.is_integer() and least <= number <= most):
        raise BadInput(f"{name} is {number:g}", right=f"{name} must be a whole number from {least} to {most}")
    return math.floor(number)


def text(name: str, value: object) -> str:
    """Give a text.

    >>> text("part", "pin")
    'pin'
    """
    if not isinstance(value, str):
        raise BadInput(f"{name} is {value!r:.40}", right="write it as text")
    return value


def _of(unit: str) -> str:
    return f" of {unit}" if unit else ""


def _unit(unit: str) -> str:
    return f" {unit}" if unit else ""
