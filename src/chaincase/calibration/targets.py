"""What the bench must reach, and what a run did reach."""

from collections.abc import Sequence
from dataclasses import dataclass

from chaincase.calibration import scores
from chaincase.calibration.bench import Result
from chaincase.calibration.scores import Figure
from chaincase.calibration.sequential import Courses
from chaincase.calibration.tasks import Case

Cases = Sequence[Case]

FEWEST, MOST = 3, 6
"""Readings of a usual sample, of which the log score is asked."""


@dataclass(frozen=True, slots=True)
class Target:
    """One figure with what it must be.

    Attributes
    ----------
    name : str
        What it is, in words.
    figure : Figure
        What the run gave, with its 95 % interval.
    limit : float
        What it must be.
    above : bool
        Whether it must be at least the limit; else it must be below, or at most, that.
    """

    name: str
    figure: Figure
    limit: float
    above: bool

    @property
    def reached(self) -> bool:
        """Tell whether the run reached it; no case at all reaches nothing.

        >>> Target("area", Figure(0.96, 0.94, 0.97, 100), 0.95, above=True).reached
        True
        """
        return self.figure.value >= self.limit if self.above else self.figure.value <= self.limit


def targets(result: Result) -> list[Target]:
    """Give what a run must reach."""
    cases = result.cases
    stated, right = stated_of(cases), right_of(cases)
    found = [
        Target("expected calibration error", scores.calibration_error(stated, right), 0.02, above=False),
        Target("wrong among answers stated at 99 % or more", scores.wrong_when_sure(stated, right), 0.01, above=False),
        Target("right more often than the nearest neighbor, all samples", lead(cases), 0.10, above=True),
        Target(f"mean log score, {FEWEST} to {MOST} readings", scores.mean(log_of(usual(cases))), -0.30, above=True),
        Target("area under the ROC curve of unlisted", unlisted_found(cases), 0.95, above=True),
    ]
    if both := got_there(result.courses):
        found.append(Target("minutes by advice over minutes in the sheet's order", ratio(both), 1.0, above=False))
    return found


def lead(cases: Cases) -> Figure:
    """Give how much more often the largest probability is right than the better nearest neighbor without a stamp."""

    def ahead(rows: Sequence[int]) -> float:
        chosen = [cases[i] for i in rows]
        plain = max(sum(case.baselines[i] for case in chosen) for i in (0, 1))
        return (sum(right_of(chosen)) - plain) / len(chosen)

    return scores.bootstrap(lambda rows: ahead(rows.tolist()), len(cases))


def usual(cases: Cases) -> list[Case]:
    """Give the samples with as many readings as are usual."""
    return [case for case in cases if FEWEST <= case.readings <= MOST]


def unlisted_found(cases: Cases) -> Figure:
    """Give the area under the ROC curve of the stated probability of unlisted."""
    return scores.roc([case.verdict.unlisted for case in cases], [not case.listed for case in cases])


def got_there(courses: Sequence[Courses]) -> list[Courses]:
    """Give the chains of which both the advice and the sheet's order made sure."""
    return [each for each in courses if each.advised.sure and each.in_order.sure and each.in_order.minutes > 0]


def ratio(courses: Sequence[Courses]) -> Figure:
    """Give the minutes of all chains by advised readings over those in the sheet's order."""

    def of(rows: Sequence[int]) -> float:
        chosen = [courses[i] for i in rows]
        return sum(each.advised.minutes for each in chosen) / sum(each.in_order.minutes for each in chosen)

    return scores.bootstrap(lambda rows: of(rows.tolist()), len(courses))


def stated_of(cases: Cases) -> list[float]:
    """Give the largest stated probability of each answer."""
    return [case.verdict.stated for case in cases]


def right_of(cases: Cases) -> list[bool]:
    """Tell which answers are right."""
    return [case.verdict.right for case in cases]


def log_of(cases: Cases) -> scores.Array:
    """Give the log scores."""
    return scores.log_scores([case.verdict.of_truth for case in cases])
