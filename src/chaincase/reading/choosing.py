"""Choosing among candidates that overlap: weighted interval scheduling, and the probability of each choice.

Sets of candidates without overlap are weighed by the product of their odds. The best set is read; the
probability of an item is the share of all sets that hold it, so that close rivals make each other less sure.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from chaincase.reading.candidate import SURE, Candidate, Field, Value

FLOOR: Final = math.log(0.2 / 0.8)
"""Log odds that an item must have to be worth showing; below, the text stays unread."""


def choose(candidates: Sequence[Candidate]) -> list[tuple[Candidate, float]]:
    """Give the best set without overlaps, in the order of the text, with the probability of each.

    Parameters
    ----------
    candidates : sequence of Candidate
        In any order; n of them take n log n steps.

    >>> from chaincase.reading.candidate import Field
    >>> number = Candidate(Field.DESIGNATION, "80-2", 0, 4, 2.0)
    >>> count = Candidate(Field.QUANTITY, 80, 0, 2, -1.0)
    >>> [(one.value, round(p, 2)) for one, p in choose([number, count])]
    [('80-2', 0.84)]
    """
    ranked = sorted(_merged(candidates), key=_order)
    ends = [one.end for one in ranked]
    before = [bisect_right(ends, one.start, hi=at) for at, one in enumerate(ranked)]
    chosen = _best(ranked, before)
    shares = _shares(ranked, before)
    return [(ranked[at], min(shares[at], 1 / (1 + math.exp(-SURE)))) for at in chosen]


def _merged(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Let a longer span absorb a shorter one within it that says the same; they support, not oppose each other."""
    kept: dict[tuple[Field, Value], Candidate] = {}
    merged: list[Candidate] = []
    for one in sorted(set(candidates), key=lambda c: (c.start, -c.end, -c.odds)):
        outer = kept.get((one.field, one.value))
        if outer and one.end <= outer.end:
            kept[one.field, one.value] = replace(outer, odds=max(outer.odds, one.odds))
            continue
        merged.extend([outer] if outer else [])
        kept[one.field, one.value] = one
    return merged + list(kept.values())


def _order(one: Candidate) -> tuple[int, int, str, str, float, str]:
    return one.end, one.start, one.field, str(one.value), one.odds, one.listed_as


def _best(ranked: Sequence[Candidate], before: Sequence[int]) -> list[int]:
    """Give the places of the set with the largest sum of log odds above the floor."""
    total, takes = [0.0], []
    for at, one in enumerate(ranked):
        taken = one.odds - FLOOR + total[before[at]]
        takes.append(taken > total[-1] and one.odds > FLOOR)
        total.append(taken if takes[-1] else total[-1])
    chosen, at = [], len(ranked)
    while at:
        if takes[at - 1]:
            chosen.append(at - 1)
            at = before[at - 1]
        else:
            at -= 1
    return chosen[::-1]


def _shares(ranked: Sequence[Candidate], before: Sequence[int]) -> list[float]:
    """Give the share of all sets that hold each candidate, by a pass from the left and one from the right."""
    left = [0.0]
    for at, one in enumerate(ranked):
        left.append(_log_sum(left[-1], one.odds + left[before[at]]))
    by_start = sorted(range(len(ranked)), key=lambda at: ranked[at].start)
    starts = [ranked[at].start for at in by_start]
    behind = {at: bisect_left(starts, ranked[at].end) for at in by_start}
    right = [0.0] * (len(ranked) + 1)
    for place in range(len(ranked) - 1, -1, -1):
        at = by_start[place]
        right[place] = _log_sum(right[place + 1], ranked[at].odds + right[behind[at]])
    return [math.exp(one.odds + left[before[at]] + right[behind[at]] - left[-1]) for at, one in enumerate(ranked)]


def _log_sum(a: float, b: float) -> float:
    high, low = (a, b) if a > b else (b, a)
    return high + math.log1p(math.exp(low - high))
