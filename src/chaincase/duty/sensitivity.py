"""One assumption at a time: how far the margin of a check moves when one of them is wrong."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Factors = dict[str, Array]
"""Assumption to the factors on it, one per variant; all of the same length."""

NO_SOURCE: Final = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Assumption:
    """Something taken for granted that may be off by a factor.

    Attributes
    ----------
    key : str
        Name for the sum.
    words : str
        For a person.
    low, high : float
        Factors between which it is believed to lie; 1 is what was taken [-].
    source : str
        Where the range comes from.
    """

    key: str
    words: str
    low: float
    high: float
    source: str = NO_SOURCE


@dataclass(frozen=True, slots=True)
class Swing:
    """How a margin moves with one assumption.

    Attributes
    ----------
    assumption : Assumption
        Which one.
    low, high : float
        Margin with the assumption at its low and at its high factor [-].
    base : float
        Margin with everything as taken [-].
    """

    assumption: Assumption
    low: float
    high: float
    base: float

    @property
    def size(self) -> float:
        """How far apart they are [-]."""
        return abs(self.high - self.low)

    @property
    def worst(self) -> float:
        """The smaller of the two [-]."""
        return min(self.low, self.high)

    @property
    def turns(self) -> bool:
        """Whether this assumption alone turns a margin of 1 and more into less, or the other way round."""
        return (self.worst < 1.0) != (max(self.low, self.high) < 1.0)


def swings(assumptions: Sequence[Assumption], margin: Callable[[Factors], Array]) -> tuple[Swing, ...]:
    """Give how a margin moves with each assumption alone, the strongest first.

    Parameters
    ----------
    assumptions : sequence of Assumption
        With different keys.
    margin : callable
        From factors, one array per key, to the margin of every variant; it is called once.

    >>> from math import inf
    >>> load, size = Assumption("load", "load", 0.9, 1.25), Assumption("size", "size", 0.99, 1.01)
    >>> found = swings((size, load), lambda factors: 2.0 * factors["size"] / factors["load"])
    >>> found[0].assumption.key, round(found[0].low, 2), round(found[0].high, 2)
    ('load', 2.22, 1.6)
    """
    if not assumptions:
        return ()
    variants = 1 + 2 * len(assumptions)
    factors = {each.key: np.ones(variants) for each in assumptions}
    for at, each in enumerate(assumptions):
        factors[each.key][1 + 2 * at : 3 + 2 * at] = each.low, each.high
    sizes = np.broadcast_to(np.asarray(margin(factors), dtype=float), (variants,))
    found = (
        Swing(each, float(sizes[1 + 2 * at]), float(sizes[2 + 2 * at]), float(sizes[0]))
        for at, each in enumerate(assumptions)
    )
    return tuple(sorted(found, key=lambda swing: -swing.size))
