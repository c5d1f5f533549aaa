"""The bench run: many samples on all cores, each judged, with the plain methods beside."""

import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

from chaincase.calibration.circumstances import OTHERWISE
from chaincase.calibration.samples import PER_SEED, REPORT_SEED, Draw
from chaincase.calibration.sequential import Courses
from chaincase.calibration.tasks import Case, Refused, Task, Which, do, rows_of
from chaincase.errors import BadInput
from chaincase.processes import one_thread_each

Progress = Callable[[int, int], None]

_CHUNK = 10


@dataclass(frozen=True, slots=True)
class Result:
    """A bench run.

    Attributes
    ----------
    cases : tuple of Case
        Samples on the standard tables.
    twins : tuple of Case
        Samples on the tables with near twins added; may be empty.
    courses : tuple of Courses
        Chains measured step by step; may be empty.
    otherwise : dict of str to tuple of Case
        Samples drawn under other circumstances than assumed, by the words for them; may be empty.
    refused : tuple of Refused
        Samples of which the evidence could not be used.
    seeds : tuple of int
        First and last seed used.
    rows, twin_rows : int
        Rows of both catalogs.
    seconds : float
        Wall clock time of the run [s].
    workers : int
    stopped : bool
        Whether the time was up before all was done.
    """

    cases: tuple[Case, ...]
    twins: tuple[Case, ...]
    courses: tuple[Courses, ...]
    otherwise: dict[str, tuple[Case, ...]]
    refused: tuple[Refused, ...]
    seeds: tuple[int, int]
    rows: int
    twin_rows: int
    seconds: float
    workers: int
    stopped: bool


def run_bench(
    samples: int = 2000,
    seeds: Sequence[int] | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    *,
    twins: int | None = None,
    courses: int | None = None,
    otherwise: int = 0,
    draw: Draw = "rows",
    limit: float = float("inf"),
) -> Result:
    """Run the bench on the packaged tables.

    Parameters
    ----------
    samples : int
        Samples on the standard tables.
    seeds : sequence of int, optional
        Seeds to draw from, 100 samples each; by default from 5000 on.
    workers : int, optional
        Processes; by default one per core. Each computes with one thread. With one, this process does it.
    progress : callable, optional
        Told how many tasks are done, of how many.
    twins, courses : int, optional
        Samples on the tables with near twins, and chains measured step by step; by default a quarter and a
        twentieth of `samples`.
    otherwise : int
        Samples under each of `circumstances.OTHERWISE`.
    draw : {"rows", "tables"}
        How chains are drawn; the report uses rows.
    limit : float
        Time after which no further result is waited for; every part then has the same share of what it was to have [s].

    Returns
    -------
    Result

    Raises
    ------
    BadInput
        If there are not enough seeds, or no samples.
    """
    seeds = range(REPORT_SEED, REPORT_SEED + _seeds_for(samples)) if seeds is None else seeds
    _check(samples, seeds)
    tasks = _tasks(samples, twins, courses, otherwise, seeds, draw)
    begun = time.monotonic()
    workers = workers or os.cpu_count() or 1
    results = _work(tasks, workers, progress, begun + limit)
    done = list(zip(tasks, results, strict=False))
    used = sorted({task.seed for task, _ in done})
    return Result(
        cases=_cases(done, "standard"),
        twins=_cases(done, "twins"),
        courses=tuple(found for _, found in done if isinstance(found, Courses)),
        otherwise={words: _cases(done, words) for words in OTHERWISE if otherwise},
        refused=tuple(found for _, found in done if isinstance(found, Refused)),
        seeds=(used[0], used[-1]),
        rows=rows_of("standard"),
        twin_rows=rows_of("twins"),
        seconds=time.monotonic() - begun,
        workers=workers,
        stopped=len(results) < len(tasks),
    )


def _tasks(
    samples: int, twins: int | None, courses: int | None, otherwise: int, seeds: Sequence[int], draw: Draw
) -> list[Task]:
    """Give the tasks of all parts, mixed so that the first share of the list is that share of every part."""
    parts: list[tuple[str, Which, int]] = [
        ("standard", "standard", samples),
        ("twins", "twins", samples // 4 if twins is None else twins),
        ("courses", "courses", max(samples // 20, 1) if courses is None else courses),
    ]
    every = [(i / n, Task(part, which, *_place(i, seeds), draw)) for part, which, n in parts for i in range(n)]
    every += [
        (i / otherwise, Task(words, "standard", *_place(i, seeds), draw, world))
        for words, world in OTHERWISE.items()
        for i in range(otherwise)
    ]
    return [task for _, task in sorted(every, key=lambda pair: pair[0])]


def _place(i: int, seeds: Sequence[int]) -> tuple[int, int]:
    return seeds[i // PER_SEED], i % PER_SEED


def _seeds_for(samples: int) -> int:
    return -(-samples // PER_SEED)


def _check(samples: int, seeds: Sequence[int]) -> None:
    if samples < 1:
        raise BadInput(f"{samples} samples", where="samples", right="give 1 or more")
    if len(seeds) < _seeds_for(samples):
        raise BadInput(
            f"{len(seeds)} seeds for {samples} samples",
            where="seeds",
            right=f"give {_seeds_for(samples)} or more, each has {PER_SEED} samples",
        )


def _cases(done: Sequence[tuple[Task, object]], part: str) -> tuple[Case, ...]:
    return tuple(found for task, found in done if task.part == part and isinstance(found, Case))


Found = Case | Courses | Refused


def _work(tasks: list[Task], workers: int, progress: Progress | None, until: float) -> list[Found]:
    """Do the tasks, in their order, until all are done or the time is up."""
    if workers == 1:
        return _told(map(do, tasks), len(tasks), progress, until)
    # A fresh process reads the thread limits before it loads numpy; a fork would have loaded it already.
    with one_thread_each(), ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        try:
            return _told(pool.map(do, tasks, chunksize=_CHUNK), len(tasks), progress, until)
        finally:
            pool.shutdown(cancel_futures=True)


def _told(results: Iterator[Found], total: int, progress: Progress | None, until: float) -> list[Found]:
    done: list[Found] = []
    for result in results:
        done.append(result)
        if progress:
            progress(len(done), total)
        if time.monotonic() > until:
            break
    return done
