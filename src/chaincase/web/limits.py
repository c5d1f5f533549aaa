"""How many may do something costly at a time."""

import asyncio

import anyio

_limiters: dict[tuple[int, str], anyio.CapacityLimiter] = {}


def limiter(what: str, most: int) -> anyio.CapacityLimiter:
    """Give how many threads may do something at a time; each event loop has its own."""
    return _limiters.setdefault((id(asyncio.get_running_loop()), what), anyio.CapacityLimiter(most))
