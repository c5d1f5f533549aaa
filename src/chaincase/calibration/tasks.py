"""One task of the bench: draw a sample, or a chain, by its number, and judge what every method makes of it."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from chaincase.calibration.baselines import ToleranceFilter, nearest
from chaincase.calibration.chance import generator
from chaincase.calibration.circumstances import AS_ASSUMED, Circumstances
from chaincase.calibration.judging import Verdict, judge, rows_by_name
from chaincase.calibration.samples import Draw, sample_of
from chaincase.calibration.sequential import Courses, compare
from chaincase.calibration.twins import with_twins
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify

Which = Literal["standard", "twins", "courses"]

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


@dataclass(frozen=True, slots=True)
class Task:
    """What to do: which part of the bench it is for, which sample, and how it is drawn."""

    part: str
    which: Which
    seed: int
    index: int
    draw: Draw
    world: Circumstances = AS_ASSUMED


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
class Refused:
    """A sample whose evidence cannot be used: a person would be asked again, so that it counts for no method."""

    seed: int
    index: int
    why: str


def do(task: Task) -> Case | Courses | Refused:
    """Do one task."""
    try:
        if task.which == "courses":
            return compare(task.seed, task.index, _catalog("standard"), identify, _rows("standard"), task.draw)
        return judged(task)
    except BadInput as fault:
        return Refused(task.seed, task.index, str(fault))


def rows_of(which: Which) -> int:
    """Give how many rows the catalog of a part of the bench has."""
    return len(_catalog(which))


def judged(task: Task) -> Case:
    """Draw one sample, identify it by every method, and judge the answers.

    Raises
    ------
    BadInput
        If what was written down cannot be used.
    """
    catalog = _catalog(task.which)
    drawn = sample_of(task.seed, task.index, catalog, task.draw, task.world)
    answer = identify(Evidence.of(drawn.evidence), catalog, brief=True)
    chain = drawn.meta.chain
    return Case(
        seed=task.seed,
        index=task.index,
        kind=chain.piece.kind.name,
        listed=drawn.row is not None,
        readings=len(drawn.evidence["readings"]),
        slips=sum(bool(slip) for slip in drawn.meta.slips),
        marks=len(drawn.evidence["marks"]),
        elongation=drawn.meta.elongation,
        minutes=drawn.minutes,
        verdict=judge(answer, drawn.row, _rows(task.which)),
        baselines=_baselines(drawn.evidence, task.which, drawn.row),
    )


def _baselines(evidence: dict[str, object], which: Which, truth: int | None) -> tuple[bool, ...]:
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
def _catalog(which: Which) -> Catalog:
    standard = Catalog.standard()
    return with_twins(generator(_TWIN_SEED, 0), standard, TWIN_SHARE) if which == "twins" else standard


@cache
def _rows(which: Which) -> dict[tuple[str, str], int]:
    return rows_by_name(_catalog(which))


@cache
def _filter(which: Which) -> ToleranceFilter:
    return ToleranceFilter(_catalog(which))
