"""Timing: medians over repeats, in milliseconds."""

import statistics
import time
from collections.abc import Callable, Iterable
from typing import TypeVar

T = TypeVar("T")


def median_ms(call: Callable[[], object], repeats: int) -> float:
    """Give the median time of a call; once is not counted."""
    call()
    return statistics.median(_ms(call) for _ in range(repeats))


def median_over_ms(call: Callable[[T], object], items: Iterable[T], repeats: int = 3) -> float:
    """Give the median over items of the best of some repeats, after one round that is not counted."""
    items = list(items)
    for item in items:
        call(item)
    return statistics.median(min(_ms(lambda item=item: call(item)) for _ in range(repeats)) for item in items)


def _ms(call: Callable[[], object]) -> float:
    begun = time.perf_counter()
    call()
    return 1e3 * (time.perf_counter() - begun)
