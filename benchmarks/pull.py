"""Pull of a ten-run path through the vectorized form, every quantity of every run varied."""

import time

import numpy as np

from chaincase.duty.pull import Run, Straight, Turn, tensions

VARIANTS = 100_000


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


def run() -> dict[str, float]:
    """Print and give the rate: paths made, checked and worked out per second."""
    best = float("inf")
    for seed in range(3):
        start = time.perf_counter()
        variants = path(VARIANTS, seed)
        made = time.perf_counter()
        loop = tensions(variants)
        done = time.perf_counter()
        assert np.all(np.isfinite(loop.largest))
        best = min(best, done - made)
        checked = made - start
    rate = VARIANTS / best
    print(f"duty pull: {VARIANTS} variants of a ten-run path in {best * 1e3:.0f} ms, {rate:,.0f} per second")
    print(f"           making and checking their random quantities took {checked * 1e3:.0f} ms")
    return {"pull_paths_per_second": rate}


if __name__ == "__main__":
    run()
