"""What all pools of processes share."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMEXPR_NUM_THREADS")


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Let processes started meanwhile use one thread of linear algebra each, so that their pools do not fight."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value
