"""From evidence to probabilities: prior times likelihood of marks, readings and construction, with "unlisted"."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray
from scipy.special import logsumexp

from chaincase.catalog.table import Catalog
from chaincase.identifying.constants import PRIOR_UNLISTED, UNLISTED
from chaincase.identifying.construction import construction_likelihood
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.expectation import expectation
from chaincase.identifying.likelihood import (
    KIND_LINKS,
    Likelihood,
    group_likelihood,
    grouped,
)
from chaincase.identifying.sizes import Measured, measured
from chaincase.identifying.stamp import StampLikelihood, stamp_likelihood
from chaincase.measuring.estimate import Unit, estimate
from chaincase.measuring.reading import Reading

Array = NDArray[np.float64]

_UNITS: tuple[Unit, ...] = ("mm", "in")
_SORTS: Array = np.log([[sort.share] for sort in UNLISTED])


@dataclass(frozen=True, eq=False, slots=True)
class Posterior:
    """What the evidence makes of every row and of "none of these".

    Attributes
    ----------
    probability : ndarray, shape (n,)
        Of each row.
    unlisted : float
        That the chain is in no table at hand.
    relatives : ndarray, shape (sorts, n)
        If it is unlisted: weight of each row as its relative, for each sort of `constants.UNLISTED`; all add to 1.
    from_readings : ndarray, shape (n + 1,)
        Log likelihood of readings and construction alone, "unlisted" last.
    by_mark : tuple of StampLikelihood
        Of each mark.
    measured : tuple of Measured
        Usable readings under the likelier unit, in the order of the evidence.
    unit : str or None
        The likelier unit of readings written without one; None if there are none.
    unit_probability : float
        How likely that unit is.
    """

    probability: Array
    unlisted: float
    relatives: Array
    from_readings: Array
    by_mark: tuple[StampLikelihood, ...]
    measured: tuple[Measured, ...]
    unit: Unit | None
    unit_probability: float


def posterior(evidence: Evidence, catalog: Catalog) -> Posterior:
    """Give the probability of every row and of an unlisted chain."""
    n = len(catalog)
    readings = evidence.parsed_readings()
    by_mark = tuple(stamp_likelihood(mark.text, mark.legibility, catalog) for mark in evidence.marks)
    seen = construction_likelihood(evidence.construction, catalog)
    listed_terms, unlisted_terms, per_unit = [], [], []
    hypotheses = _unit_hypotheses(readings)
    for unit in hypotheses:
        ones = _measured(readings, unit)
        likelihood = _readings(ones, catalog)
        listed_terms.append(likelihood.listed - np.log(len(hypotheses)))
        unlisted_terms.append(likelihood.unlisted - np.log(len(hypotheses)) + _SORTS)
        per_unit.append(ones)
    listed = np.logaddexp.reduce(listed_terms)
    kin_readings = np.logaddexp.reduce(unlisted_terms) + seen
    kin_all = kin_readings + sum(mark.unlisted for mark in by_mark)
    log_rows = np.log1p(-PRIOR_UNLISTED) - np.log(n) + listed + seen + sum(mark.listed for mark in by_mark)
    log_unlisted = np.log(PRIOR_UNLISTED) - np.log(n) + logsumexp(kin_all)
    together = np.append(log_rows, log_unlisted)
    weight = np.exp(together - together.max())
    share = weight / weight.sum()
    best, chance = _likelier_unit(listed_terms, unlisted_terms, share)
    return Posterior(
        probability=share[:-1],
        unlisted=float(share[-1]),
        relatives=np.exp(kin_all - logsumexp(kin_all)),
        from_readings=np.append(listed + seen, logsumexp(kin_readings) - np.log(n)),
        by_mark=by_mark,
        measured=per_unit[best],
        unit=hypotheses[best],
        unit_probability=chance,
    )


def _unit_hypotheses(readings: Sequence[Reading]) -> tuple[Unit | None, ...]:
    """Give the units that bare readings may have; people write one unit through a sheet, so all mm or all inch."""
    return _UNITS if any(reading.is_bare for reading in readings) else (None,)


def _measured(readings: Sequence[Reading], unit: Unit | None) -> tuple[Measured, ...]:
    pairs = [(reading, estimate(reading, unit=unit)) for reading in readings]
    return tuple(measured(reading, found) for reading, found in pairs if found.usable)


def _readings(ones: Sequence[Measured], catalog: Catalog) -> Likelihood:
    expected, links = expectation(catalog), KIND_LINKS[catalog.kind]
    nothing = Likelihood(np.zeros(len(catalog)), np.zeros((len(UNLISTED), len(catalog))))
    return reduce(lambda total, group: total + group_likelihood(group, expected, links), grouped(ones), nothing)


def _likelier_unit(listed: Sequence[Array], unlisted: Sequence[Array], share: Array) -> tuple[int, float]:
    """Give the likelier unit hypothesis given the posterior, and its probability."""
    if len(listed) == 1:
        return 0, 1.0
    per_row = np.stack(listed) - np.logaddexp.reduce(listed)
    kin = np.array([logsumexp(each) for each in unlisted])
    chances = np.exp(per_row) @ share[:-1] + np.exp(kin - logsumexp(kin)) * share[-1]
    best = int(chances.argmax())
    return best, float(chances[best])
