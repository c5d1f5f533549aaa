"""Many pitch readings of one sample, made few: what was taken alike is one better reading.

Joint wear may show in each reading in several ways, and the ways of many readings multiply. Readings of the same
link between the same parts show it alike, so the closest two of them are one reading with their weighted mean.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from chaincase.identifying.sizes import Measured

MOST = 5
"""So many pitch readings are weighed together, each with its own ways to show wear."""


def condensed(group: Sequence[Measured]) -> list[list[Measured]]:
    """Give groups of at most `MOST` pitch readings that say what all of them say.

    Readings that were all taken differently cannot be made fewer; those that say least then stand alone.
    """
    ones = sorted(group, key=lambda each: (_taken(each), each.value, each.u))
    while len(ones) > MOST:
        pairs = [(_apart(a, b), i) for i, (a, b) in enumerate(pairwise(ones)) if _taken(a) == _taken(b)]
        if not pairs:
            break
        i = min(pairs)[1]
        ones[i : i + 2] = [_joined(ones[i], ones[i + 1])]
    if len(ones) <= MOST:
        return [ones if len(ones) < len(group) else list(group)]
    best = sorted(ones, key=lambda each: each.u)
    return [best[:MOST], *([each] for each in best[MOST:])]


def _taken(each: Measured) -> tuple[str, ...]:
    reading = each.reading
    return (reading.link.value, reading.reference.value, reading.technique.value, str(reading.over))


def _apart(a: Measured, b: Measured) -> float:
    """Give how many standard deviations two readings differ."""
    return float(abs(a.value - b.value) / np.hypot(a.u, b.u))


def _joined(a: Measured, b: Measured) -> Measured:
    """Give one reading for two: weighted mean (JCGM 100:2008, 4.1.4), the scatter between them not less than seen."""
    weights = np.array([1.0 / a.u**2, 1.0 / b.u**2])
    value = float(weights @ [a.value, b.value] / weights.sum())
    u = max(float(weights.sum() ** -0.5), abs(a.value - b.value) / 2.0 if _apart(a, b) > 1.0 else 0.0)
    swapped = None if a.swapped is None else value * a.swapped / a.value
    return replace(a, value=value, u=u, swapped=swapped, blunder=max(a.blunder, b.blunder))
