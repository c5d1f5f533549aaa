"""Draws that every module of the generator needs."""

from collections.abc import Mapping
from typing import TypeVar

import numpy as np

Item = TypeVar("Item")


def generator(seed: int, index: int) -> np.random.Generator:
    """Give the random numbers of sample `index` of `seed`, the same whatever was drawn before.

    >>> float(generator(5000, 3).random()) == float(generator(5000, 3).random())
    True
    """
    return np.random.default_rng([seed, index])


def happens(rng: np.random.Generator, chance: float) -> bool:
    """Tell whether something of that chance happens."""
    return bool(rng.random() < chance)


def pick(rng: np.random.Generator, weights: Mapping[Item, float]) -> Item:
    """Pick one key by its weight; weights need not add to 1.

    >>> pick(np.random.default_rng(1), {"caliper": 1.0, "tape": 0.0})
    'caliper'
    """
    sums = np.cumsum(list(weights.values()))
    place = int(np.searchsorted(sums, rng.random() * sums[-1], side="right"))
    return list(weights)[min(place, len(weights) - 1)]


def gap(rng: np.random.Generator, mean: float) -> float:
    """Give how far a part lies inside a limit: gamma of shape 2, most parts near the mean, none beyond the limit."""
    return float(rng.gamma(2.0, mean / 2.0)) if mean > 0.0 else 0.0
