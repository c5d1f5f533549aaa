"""The bench run: many samples on all cores, each judged, with the plain methods beside."""

import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache
from multiprocessing import get_context
from typing import Literal

from chaincase.calibration.baselines import ToleranceFilter, nearest
from chaincase.calibration.chance import generator
from chaincase.calibration.judging import Verdict, judge, rows_by_name
from chaincase.calibration.samples import PER_SEED, REPORT_SEED, Draw, sample_of
from chaincase.calibration.sequential import Courses, compare
from chaincase.calibration.twins import with_twins
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify
from chaincase.processes import one_thread_each

Progress = Callable[[int, int], None]
Task = Literal["standard", "twins", "courses"]
_Task = tuple[Task, int, int, Draw]

BASELINES = (
    "nearest neighbor",
    "nearest neighbor, an empty cell counts 5 %",
    "tolerance filter",
    "nearest neighbor, an empty cell counts 5 %, exact stamp first",
    "tolerance filter, exact stamp first",
)
_EMPTY = 0.05
TWIN_SHARE = 0.5
_TWIN_SEED = 77
_CHUNK = 10


@dataclass(frozen=True, slots=True)
class Case:
    """One sample, judged.

    Attributes
    ----------
    seed, index : int
        Which sample.
    kind : str
        Kind of the true chain.
    listed : bool
        Whether it stands in a table.
    readings, slips, marks : int
        How many readings, blunders among them, and marks.
    elongation : float
        Joint wear per pitch [-].
    minutes : float
        Work of the readings [min].
    verdict : Verdict
    baselines : tuple of bool
        Which of `BASELINES` named the chain.
    """

    seed: int
    index: int
    kind: str
    listed: bool
    readings: int
    slips: int
    marks: int
    elongation: float
    minutes: float
    verdict: Verdict
    baselines: tuple[bool, ...]


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
    seeds : tuple of int
        First and last seed used.
    rows, twin_rows : int
        Rows of both catalogs.
    seconds : float
        Wall clock time of the run [s].
    workers : int
    """

    cases: tuple[Case, ...]
    twins: tuple[Case, ...]
    courses: tuple[Courses, ...]
    seeds: tuple[int, int]
    rows: int
    twin_rows: int
    seconds: float
    workers: int


def run_bench(
    samples: int = 2000,
    seeds: Sequence[int] | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    *,
    twins: int | None = None,
    courses: int | None = None,
    draw: Draw = "rows",
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
    draw : {"rows", "tables"}
        How chains are drawn; the report uses rows.

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
    counts: dict[Task, int] = {"standard": samples, "twins": samples // 4 if twins is None else twins}
    counts["courses"] = max(samples // 20, 1) if courses is None else courses
    tasks: list[_Task] = [
        (task, seeds[i // PER_SEED], i % PER_SEED, draw) for task, n in counts.items() for i in range(n)
    ]
    begun = time.monotonic()
    workers = workers or os.cpu_count() or 1
    results = _work(tasks, workers, progress)
    first, second = counts["standard"], counts["standard"] + counts["twins"]
    return Result(
        cases=tuple(each for each in results[:first] if isinstance(each, Case)),
        twins=tuple(each for each in results[first:second] if isinstance(each, Case)),
        courses=tuple(each for each in results[second:] if isinstance(each, Courses)),
        seeds=(seeds[0], seeds[(samples - 1) // PER_SEED]),
        rows=len(_catalog("standard")),
        twin_rows=len(_catalog("twins")),
        seconds=time.monotonic() - begun,
        workers=workers,
    )


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


def _work(tasks: list[_Task], workers: int, progress: Progress | None) -> list[Case | Courses]:
    """Do all tasks, in their order."""
    if workers == 1:
        return _told(map(_do, tasks), len(tasks), progress)
    # A fresh process reads the thread limits before it loads numpy; a fork would have loaded it already.
    with one_thread_each(), ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        return _told(pool.map(_do, tasks, chunksize=_CHUNK), len(tasks), progress)


def _told(results: Iterator[Case | Courses], total: int, progress: Progress | None) -> list[Case | Courses]:
    done: list[Case | Courses] = []
    for result in results:
        done.append(result)
        if progress:
            progress(len(done), total)
    return done


def _do(task: _Task) -> Case | Courses:
    what, seed, index, draw = task
    if what == "courses":
        return compare(seed, index, _catalog("standard"), identify, _rows("standard"), draw)
    return judged(seed, index, what, draw)


def judged(seed: int, index: int, which: Task = "standard", draw: Draw = "rows") -> Case:
    """Draw one sample, identify it by every method, and judge the answers."""
    catalog = _catalog(which)
    drawn = sample_of(seed, index, catalog, draw)
    verdict = judge(identify(Evidence.of(drawn.evidence), catalog), drawn.row, _rows(which))
    chain = drawn.meta.chain
    return Case(
        seed=seed,
        index=index,
        kind=chain.piece.kind.name,
        listed=drawn.row is not None,
        readings=len(drawn.evidence["readings"]),
        slips=sum(bool(slip) for slip in drawn.meta.slips),
        marks=len(drawn.evidence["marks"]),
        elongation=drawn.meta.elongation,
        minutes=drawn.minutes,
        verdict=verdict,
        baselines=_baselines(drawn.evidence, which, drawn.row),
    )


def _baselines(evidence: dict[str, object], which: Task, truth: int | None) -> tuple[bool, ...]:
    """Tell which of `BASELINES` are right; none of them can say unlisted."""
    catalog, tolerance = _catalog(which), _filter(which)
    named = (
        nearest(evidence, catalog),
        nearest(evidence, catalog, empty=_EMPTY),
        tolerance.best(evidence),
        nearest(evidence, catalog, empty=_EMPTY, marks=True),
        tolerance.best(evidence, marks=True),
    )
    return tuple(truth is not None and row == truth for row in named)


@cache
def _catalog(which: Task) -> Catalog:
    standard = Catalog.standard()
    return with_twins(generator(_TWIN_SEED, 0), standard, TWIN_SHARE) if which == "twins" else standard


@cache
def _rows(which: Task) -> dict[tuple[str, str], int]:
    return rows_by_name(_catalog(which))


@cache
def _filter(which: Task) -> ToleranceFilter:
    return ToleranceFilter(_catalog(which))
