"""Evidence of the identity that the evidence form has no place for, such as the wheel that a chain runs on."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.identifying.constants import UNLISTED

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Beside:
    """How probable such evidence is, up to one factor common to all, in natural logarithms; never minus infinity.

    Attributes
    ----------
    listed : ndarray, shape (n,)
        For every row of the catalog.
    unlisted : ndarray, shape (sorts, n)
        For a chain that is in no table, by its sort in `constants.UNLISTED` and the row that it is a relative of.
    """

    listed: Array
    unlisted: Array

    def of(self, rows: NDArray[np.int64]) -> "Beside":
        """Give that of some rows."""
        return Beside(self.listed[rows], self.unlisted[:, rows])

    def __add__(self, other: "Beside") -> "Beside":
        """Give both together, where the one says nothing of the other once the chain is known."""
        return Beside(self.listed + other.listed, self.unlisted + other.unlisted)


def nothing_beside(n: int) -> Beside:
    """Give that of no such evidence for a catalog of n rows.

    >>> nothing_beside(3).listed.tolist()
    [0.0, 0.0, 0.0]
    """
    return Beside(np.zeros(n), np.zeros((len(UNLISTED), n)))
