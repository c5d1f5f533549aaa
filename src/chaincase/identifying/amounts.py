"""The distribution of an amount of wear: perhaps none at all, else a density over a grid."""

from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False, slots=True)
class Amounts:
    """How probable each amount of wear is.

    Attributes
    ----------
    grid : ndarray, shape (g,)
        Amounts, rising from 0 [any unit].
    none : float
        Probability of no wear at all.
    density : ndarray, shape (g,)
        Density of some wear [1/unit]; with `none` it adds to 1.
    log_evidence : float
        Logarithm of what it was normalized by.
    """

    grid: Array
    none: float
    density: Array
    log_evidence: float

    @classmethod
    def of(cls, grid: Array, log_none: float, log_density: Array) -> Self:
        """Normalize log weights of none and of each amount on the grid.

        >>> even = Amounts.of(np.linspace(0.0, 2.0, 21), float(np.log(0.5)), np.full(21, np.log(0.25)))
        >>> round(even.mean, 6), round(even.quantile(0.75), 6)
        (0.5, 1.0)
        """
        peak = max(log_none, float(log_density.max()))
        none, density = np.exp(log_none - peak), np.exp(log_density - peak)
        total = none + np.trapezoid(density, grid)
        return cls(grid, float(none / total), density / total, peak + float(np.log(total)))

    @property
    def mean(self) -> float:
        """Mean amount."""
        return float(np.trapezoid(self.grid * self.density, self.grid))

    @property
    def sd(self) -> float:
        """Standard deviation."""
        mean = self.mean
        spread = np.trapezoid((self.grid - mean) ** 2 * self.density, self.grid) + self.none * mean**2
        return float(np.sqrt(spread))

    def quantile(self, share: float) -> float:
        """Give the amount below which it lies with probability `share`."""
        steps = 0.5 * (self.density[1:] + self.density[:-1]) * np.diff(self.grid)
        below = self.none + np.concatenate([[0.0], np.cumsum(steps)])
        return float(np.interp(share, below, self.grid))
