"""What a reading costs, by the one table of minutes that the advice uses too."""

from chaincase.identifying.next_step import WAYS

_OTHERWISE = 2.0
"""For a dimension without a way of its own, and for one whose name was not known."""


def minutes_for(dimension: str) -> float:
    """Give the minutes of work that a reading of that dimension takes [min]."""
    return WAYS[dimension].minutes if dimension in WAYS else _OTHERWISE
