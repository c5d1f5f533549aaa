"""One answer against the truth."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.calibration.scores import brier
from chaincase.catalog.table import Catalog
from chaincase.identifying.answer import Identification

Array = NDArray[np.float64]

_WORTH_A_TIE = 0.02
"""Candidates below this are in no group of `Identification.ties`."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one answer is worth.

    Attributes
    ----------
    right : bool
        The largest stated probability, unlisted among them, is that of the truth.
    stated : float
        That largest probability [-].
    of_truth : float
        Probability given to the truth [-].
    brier : float
        Brier score over all rows and unlisted.
    in_tie : bool
        Right, or the truth is in the group of the top candidate that cannot be told apart.
    unlisted : float
        Stated probability of unlisted [-].
    """

    right: bool
    stated: float
    of_truth: float
    brier: float
    in_tie: bool
    unlisted: float


def rows_by_name(catalog: Catalog) -> dict[tuple[str, str], int]:
    """Give the row of every table and designation, which together are unique."""
    return {(catalog.table_of(row), name): row for row, name in enumerate(catalog.designations)}


def judge(answer: Identification, truth: int | None, rows: dict[tuple[str, str], int]) -> Verdict:
    """Judge one answer.

    Parameters
    ----------
    answer : Identification
    truth : int or None
        Row of the catalog, None for an unlisted chain.
    rows : dict
        From `rows_by_name` of the same catalog.
    """
    shown = [rows[each.table, each.designation] for each in answer.candidates]
    probabilities = np.array([each.probability for each in answer.candidates] + [answer.unlisted])
    place = len(shown) if truth is None else shown.index(truth) if truth in shown else None
    hidden = len(rows) - len(shown)
    # What was cut off is spread evenly over the rows that are not shown.
    each_hidden = answer.other / hidden if hidden else 0.0
    best = int(probabilities.argmax())
    right = best == place
    cut = hidden * each_hidden**2 - (2.0 * each_hidden if place is None else 0.0)
    return Verdict(
        right=right,
        stated=float(probabilities[best]),
        of_truth=float(probabilities[place]) if place is not None else each_hidden,
        brier=brier(probabilities, place) + cut,
        in_tie=right or _in_top_group(answer, place),
        unlisted=answer.unlisted,
    )


def _in_top_group(answer: Identification, place: int | None) -> bool:
    """Tell whether the truth is tied with the top candidate, and the top candidate is above unlisted."""
    if place is None or place >= len(answer.candidates) or not answer.ties:
        return False
    top, truth = answer.candidates[0], answer.candidates[place]
    if top.probability < answer.unlisted or truth.probability < _WORTH_A_TIE:
        return False
    return any(top.designation in group and truth.designation in group for group in answer.ties)
