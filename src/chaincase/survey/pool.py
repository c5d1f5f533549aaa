"""Chunks worked off on all cores; what a chunk gives does not depend on where or when it is done."""

import os
import signal
import threading
from collections.abc import Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from itertools import islice
from multiprocessing import get_context
from multiprocessing.connection import Connection
from multiprocessing.connection import wait as wait_for

from chaincase.catalog.table import Catalog
from chaincase.errors import ChaincaseError
from chaincase.processes import one_thread_each
from chaincase.survey.answering import Answer, answers
from chaincase.survey.chunks import Chunk
from chaincase.survey.columns import Layout

Done = tuple[int, list[Answer]]

_AHEAD = 3
"""Chunks handed out per worker: enough that none waits, few enough that the sheet is not read far ahead."""

_given: list[tuple[Layout, Catalog]] = []
"""In a worker: what it was started with, since sending the catalog with every chunk would take longer than the work."""


def answers_of(chunk: Chunk, layout: Layout, catalog: Catalog) -> Done:
    """Answer the rows of one chunk; the same chunk always gives the same."""
    return chunk.index, answers(chunk.rows, layout, catalog)


def work_off(chunks: Iterable[Chunk], layout: Layout, catalog: Catalog, workers: int) -> Iterator[Done]:
    """Answer chunks on several cores, each given out as it is done.

    Parameters
    ----------
    chunks : iterable of Chunk
        Taken as workers get free.
    layout : Layout
        What the columns mean.
    catalog : Catalog
        Sent once to each worker.
    workers : int
        Processes, each with one thread; with 1 this process does it itself.

    Yields
    ------
    tuple of int and list of Answer
        Index of the chunk and its answers, in the order in which they come.

    Raises
    ------
    ChaincaseError
        If a worker was killed, for want of memory perhaps.
    """
    if workers == 1:
        yield from (answers_of(chunk, layout, catalog) for chunk in chunks)
        return
    # A fresh process reads the thread limits before it loads numpy; a fork would have loaded it already.
    spawn = get_context("spawn")
    held, ours = spawn.Pipe(duplex=False)
    with held, ours, one_thread_each(), ProcessPoolExecutor(workers, spawn, _begin, (layout, catalog, held)) as pool:
        try:
            yield from _as_they_come(pool, iter(chunks), _AHEAD * workers)
        except (BrokenProcessPool, MemoryError):
            ours.close()
            right = "give the command again to go on, with fewer --workers if memory is short"
            raise ChaincaseError(f"a process of the survey was ended from outside; {right}") from None
        except BaseException:
            ours.close()
            raise


def _as_they_come(pool: ProcessPoolExecutor, chunks: Iterator[Chunk], ahead: int) -> Iterator[Done]:
    waiting: set[Future[Done]] = {pool.submit(_do, chunk) for chunk in islice(chunks, ahead)}
    while waiting:
        ready, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        waiting |= {pool.submit(_do, chunk) for chunk in islice(chunks, len(ready))}
        yield from (future.result() for future in ready)


def _begin(layout: Layout, catalog: Catalog, held: Connection) -> None:
    """Make a fresh process a worker."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches all of a terminal's processes; the first one ends us
    threading.Thread(target=_end_with_the_other, args=(held,), daemon=True).start()
    _given.append((layout, catalog))


def _end_with_the_other(held: Connection) -> None:
    """End this process, in the middle of a chunk if need be, when the other end of the pipe is closed.

    The process that started this one closes it when it gives up, and the system does when that process is
    killed and cannot say so.
    """
    wait_for([held])
    os._exit(1)


def _do(chunk: Chunk) -> Done:
    return answers_of(chunk, *_given[0])
