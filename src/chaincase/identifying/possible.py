"""Readings that cannot be: they carry no weight, and the answer says so instead of failing over one of many."""

from chaincase.errors import BadInput
from chaincase.measuring.estimate import Estimate, Unit, estimate
from chaincase.measuring.reading import Reading


def possible(reading: Reading, unit: Unit | None) -> Estimate | None:
    """Give what a reading says if bare figures have that unit; None where it then leaves no distance at all."""
    try:
        return estimate(reading, unit=unit, in_words=False)
    except BadInput:
        return None


def why_impossible(reading: Reading, unit: Unit | None) -> str:
    """Say why a reading cannot be; empty for one that can.

    >>> edges = {"technique": "outside edges", "edge_diameters": ("1 in",)}
    >>> why_impossible(Reading.parse("pitch", "7 mm", **edges), None)
    '7 mm outside edges with diameters 1 in leaves no distance'
    """
    try:
        estimate(reading, unit=unit)
    except BadInput as fault:
        return fault.what
    return ""
