"""Pull of a ten-run path through the vectorized form: sweeps as sensitivity makes them, and every quantity varied."""

import dataclasses
import statistics
import time
from collections.abc import Callable

import numpy as np

from chaincase.duty.pull import Run, Straight, Turn, scaled, tensions

VARIANTS = 100_000
TARGET = 100_000
"""Paths a second."""


def path(variants: int, seed: int = 6) -> tuple[Run, ...]:
    """Give ten runs, eight straight and two turns, whose quantities are all arrays of `variants` values."""
    rng = np.random.default_rng(seed)

    def some(low: float, high: float) -> np.ndarray:
        return rng.uniform(low, high, variants)

    def straight(loaded: bool) -> Straight:
        return Straight(
            length=some(1_000, 30_000),
            angle=some(0, 30) if loaded else some(-30, 0),
            chain=some(10, 60),
            carried=some(0, 100) if loaded else 0.0,
            dragged=some(0, 50) if loaded else 0.0,
            held=some(0, 20) if loaded else 0.0,
            friction=some(0.05, 0.35),
            material_friction=some(0.3, 0.7),
            holding_friction=some(0.1, 0.3),
            wall=some(0, 200) if loaded else 0.0,
            extra=some(0, 100),
        )

    turns = [Turn(wrap=some(90, 180), friction=some(0.02, 0.2), loss=some(0, 0.1)) for _ in range(2)]
    return (*(straight(False) for _ in range(4)), turns[0], *(straight(True) for _ in range(4)), turns[1])


def one(variants: tuple[Run, ...], at: int) -> tuple[Run, ...]:
    """Give one of the variants as numbers."""
    return tuple(
        dataclasses.replace(
            run,
            **{
                field.name: float(np.broadcast_to(getattr(run, field.name), (VARIANTS,))[at])
                for field in dataclasses.fields(run)
                if field.name != "name"
            },
        )
        for run in variants
    )


def rate(call: Callable[[], object], repeats: int = 5) -> float:
    """Give variants a second: the median over repeats, once not counted."""
    call()
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        call()
        times.append(time.perf_counter() - begun)
    return VARIANTS / statistics.median(times)


def run() -> dict[str, float]:
    """Measure, check against the path worked out one by one, print and give rates in paths a second."""
    varied = path(VARIANTS)
    base = one(varied, 0)
    rng = np.random.default_rng(7)
    factors = {name: rng.uniform(0.7, 1.4, VARIANTS) for name in ("load", "chain", "friction")}

    def sweep() -> np.ndarray:
        return np.asarray(tensions(scaled(base, **factors)).largest)

    swept, every = sweep(), np.asarray(tensions(varied).largest)
    for at in range(0, VARIANTS, VARIANTS // 50):
        alone = {name: float(values[at]) for name, values in factors.items()}
        assert abs(swept[at] / float(tensions(scaled(base, **alone)).largest) - 1.0) < 1e-9
        assert abs(every[at] / float(tensions(one(varied, at)).largest) - 1.0) < 1e-9
    found = {
        "sweep_of_three_factors": rate(sweep),
        "every_quantity_varied": rate(lambda: tensions(varied)),
        "every_quantity_varied_and_checked": rate(lambda: tensions(tuple(dataclasses.replace(r) for r in varied))),
    }
    for name, value in found.items():
        print(f"pull of a ten-run path, {name.replace('_', ' ')}: {value:,.0f} a second (target {TARGET:,})")
    return found


if __name__ == "__main__":
    run()
