"""From evidence to probabilities: prior times likelihood of marks, readings and construction, with "unlisted"."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.identifying.beside import Beside, nothing_beside
from chaincase.identifying.constants import PRIOR_UNLISTED, UNLISTED
from chaincase.identifying.construction import construction_likelihood
from chaincase.identifying.density import log_sum
from chaincase.identifying.edges import with_own_parts
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.expectation import Expectation, expectation, expected_cells
from chaincase.identifying.likelihood import Likelihood, Sample, readings_likelihoods
from chaincase.identifying.possible import possible
from chaincase.identifying.proposal import FULL, SCORED_WHOLE, Effort, Proposal, Question, every_row, propose_all
from chaincase.identifying.right_readings import KIND_LINKS
from chaincase.identifying.sizes import Measured, measured
from chaincase.identifying.stamp import StampLikelihood, chances_of, likelihood_by_chance, stamp_likelihood
from chaincase.measuring.estimate import Estimate, Unit
from chaincase.measuring.reading import Reading

Array = NDArray[np.float64]

Hypothesis = tuple[Unit | None, tuple[Measured, ...]]
"""A unit that bare readings may have, and the usable readings if they have it."""

_UNITS: tuple[Unit, ...] = ("mm", "in")
_SORTS: Array = np.log([[sort.share] for sort in UNLISTED])


@dataclass(frozen=True, eq=False, slots=True)
class Posterior:
    """What the evidence makes of every row and of "none of these".

    Attributes
    ----------
    catalog : Catalog
        The rows that got the whole likelihood: all, or of a very large catalog those that matter, the likeliest first.
    expected : Expectation
        What they lead one to expect.
    rows : ndarray of int64, shape (n,)
        Their numbers in the catalog that was asked about.
    probability : ndarray, shape (n,)
        Of each row; 0 for rows that only stand for others.
    unlisted : float
        That the chain is in no table at hand.
    other : float
        That it is a row which did not get the whole likelihood.
    other_bound : float
        What `other` is at most, as far as the readings say; marks are only estimated for such rows.
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

    catalog: Catalog
    expected: Expectation
    rows: NDArray[np.int64]
    probability: Array
    unlisted: float
    other: float
    other_bound: float
    relatives: Array
    from_readings: Array
    by_mark: tuple[StampLikelihood, ...]
    measured: tuple[Measured, ...]
    unit: Unit | None
    unit_probability: float


def posterior(
    evidence: Evidence,
    catalog: Catalog,
    *,
    whole: bool | None = None,
    effort: Effort = FULL,
    beside: Beside | None = None,
) -> Posterior:
    """Give the probability of every row and of an unlisted chain.

    Parameters
    ----------
    evidence : Evidence
        What is known.
    catalog : Catalog
        The chains it may be.
    whole : bool, optional
        Whether every row gets the whole likelihood; without it, unless the catalog is very large
        (`proposal.SCORED_WHOLE`). For the rows of a very large catalog that do not, `proposal` says what is done.
    effort : Effort
        How much is done for a very large catalog.
    beside : Beside, optional
        Further evidence about the rows of the catalog; it does not choose which rows of a very large one are scored.
    """
    if _is_scored_whole(catalog) if whole is None else whole:
        scored = _whole(evidence, catalog)
    else:
        scored = _of_some_rows([evidence], catalog, effort)[0]
    rows = scored.proposal.rows
    return _posterior(scored, len(catalog), nothing_beside(len(rows)) if beside is None else beside.of(rows))


def posteriors(evidence: Sequence[Evidence], catalog: Catalog, effort: Effort) -> list[Posterior]:
    """Give the posterior of each of several samples, as `posterior` gives it; of a very large catalog much quicker.

    Raises
    ------
    BadInput
        If one of them cannot be used, as `posterior`.
    """
    if _is_scored_whole(catalog):
        every = [_whole(each, catalog) for each in evidence]
    else:
        every = _of_some_rows(evidence, catalog, effort)
    return [_posterior(scored, len(catalog), nothing_beside(len(scored.proposal.rows))) for scored in every]


def _is_scored_whole(catalog: Catalog) -> bool:
    return len(catalog) <= SCORED_WHOLE


@dataclass(frozen=True, eq=False, slots=True)
class _Scored:
    """What the evidence of one sample says about the rows proposed for it, each piece for itself."""

    under: Sequence[Hypothesis]
    part: Catalog
    expected: Expectation
    proposal: Proposal
    readings: Sequence[Likelihood]
    marks: tuple[StampLikelihood, ...]
    seen: Array


def _whole(evidence: Evidence, catalog: Catalog) -> _Scored:
    """Score every row."""
    under, expected, links = hypotheses(evidence.parsed_readings()), expectation(catalog), KIND_LINKS[catalog.kind]
    return _Scored(
        under,
        catalog,
        expected,
        every_row(len(catalog), len(evidence.marks)),
        readings_likelihoods([Sample(ones, expected, links) for _, ones in under]),
        tuple(stamp_likelihood(mark.text, mark.legibility, catalog) for mark in evidence.marks),
        construction_likelihood(evidence.construction, catalog),
    )


def _of_some_rows(evidence: Sequence[Evidence], catalog: Catalog, effort: Effort) -> list[_Scored]:
    """Score the rows that are proposed for each of several samples; all at once, as that is quicker."""
    if not evidence:
        return []
    under = [hypotheses(each.parsed_readings()) for each in evidence]
    asked = [
        Question([ones for _, ones in ours], each.marks, each.construction)
        for each, ours in zip(evidence, under, strict=True)
    ]
    proposals = propose_all(asked, catalog, effort)
    together = catalog.take(np.concatenate([proposal.rows for proposal in proposals]))
    expected = expected_cells(together, np.arange(len(DIMENSIONS)))
    ends = np.cumsum([len(proposal.rows) for proposal in proposals]).tolist()
    rows = [slice(start, end) for start, end in zip([0, *ends], ends, strict=False)]
    parts = [together.stretch(each) for each in rows]
    marks = _marks_of_some(evidence, parts, proposals)
    samples = [
        [Sample(ones, own, KIND_LINKS[part.kind]) for _, ones in ours]
        for ours, part, own in zip(under, parts, map(expected.take, rows), strict=True)
    ]
    readings = iter(readings_likelihoods([one for ones in samples for one in ones]))
    return [
        _Scored(
            under[i],
            parts[i],
            samples[i][0].expected,
            proposals[i],
            [next(readings) for _ in samples[i]],
            marks[i],
            construction_likelihood(each.construction, parts[i]),
        )
        for i, each in enumerate(evidence)
    ]


def _marks_of_some(
    evidence: Sequence[Evidence], parts: Sequence[Catalog], proposals: Sequence[Proposal]
) -> list[tuple[StampLikelihood, ...]]:
    names = [list(zip(part.designations, part.alternatives, strict=True)) for part in parts]
    marks = [(mark.text, mark.legibility) for each in evidence for mark in each.marks]
    chances = iter(chances_of(marks, [some for each, some in zip(evidence, names, strict=True) for _ in each.marks]))
    return [
        tuple(
            likelihood_by_chance(mark.text, next(chances), mean or 0.0)
            for mark, mean in zip(each.marks, proposal.mean_chances, strict=True)
        )
        for each, proposal in zip(evidence, proposals, strict=True)
    ]


def _posterior(scored: _Scored, n: int, beside: Beside) -> Posterior:
    """Give the posterior of a catalog of n rows from those proposed of it, with evidence about these."""
    under, proposal, by_mark, seen = scored.under, scored.proposal, scored.marks, scored.seen
    with np.errstate(divide="ignore"):
        stands_for, kin_for = np.log(proposal.stands_for), np.log(proposal.kin)
    found = scored.readings
    listed_terms = np.stack([each.listed for each in found]) - np.log(len(found))
    unlisted_terms = np.stack([each.unlisted for each in found]) - np.log(len(found)) + _SORTS + kin_for
    listed = log_sum(listed_terms)
    kin_readings = log_sum(unlisted_terms) + seen
    kin_all = kin_readings + sum(mark.unlisted for mark in by_mark) + beside.unlisted
    log_prior = np.log1p(-PRIOR_UNLISTED) - np.log(n)
    log_rows = log_prior + stands_for + listed + seen + sum(mark.listed for mark in by_mark)
    log_rows = log_rows + beside.listed
    kin_total = _total(kin_all)
    log_unlisted = np.log(PRIOR_UNLISTED) - np.log(n) + kin_total
    bound = log_prior + proposal.outside_log_mass_bound + sum(float(mark.listed.min()) for mark in by_mark)
    log_other = min(_total(log_rows[proposal.proposed :]), bound)
    probability, unlisted, other = _shares(log_rows[: proposal.proposed], log_unlisted, log_other)
    kept = np.logaddexp(_total(log_rows[: proposal.proposed]), log_unlisted)
    probability = np.append(probability, np.zeros(len(proposal.rows) - proposal.proposed))
    best, chance = _likelier_unit(listed_terms, unlisted_terms, probability, unlisted)
    return Posterior(
        catalog=scored.part,
        expected=scored.expected,
        rows=proposal.rows,
        probability=probability,
        unlisted=unlisted,
        other=other,
        other_bound=float(np.exp(bound - np.logaddexp(bound, kept))),
        relatives=np.exp(kin_all - kin_total),
        from_readings=np.append(listed + seen, _total(kin_readings) - np.log(n)),
        by_mark=by_mark,
        measured=under[best][1],
        unit=under[best][0],
        unit_probability=chance,
    )


def _total(logs: Array) -> float:
    """Give the logarithm of the sum of exponentials of all."""
    return float(log_sum(logs.ravel())) if logs.size else -np.inf


def _shares(log_rows: Array, log_unlisted: float, log_other: float) -> tuple[Array, float, float]:
    """Give what adds to 1: the probabilities of the rows, of "unlisted", and of all other rows."""
    together = np.concatenate([log_rows, [log_unlisted, log_other]])
    weight = np.exp(together - together.max())
    share = weight / weight.sum()
    return share[:-2], float(share[-2]), float(share[-1])


def hypotheses(readings: Sequence[Reading]) -> list[Hypothesis]:
    """Give the readings under each unit that bare ones may have.

    People write one unit through a sheet, so all mm or all inch. A unit under which more readings are impossible than
    under the other (`possible`) is not the one that was meant.
    """
    units = _UNITS if any(reading.is_bare for reading in readings) else (None,)
    under = [(unit, [possible(reading, unit) for reading in readings]) for unit in units]
    most = max(len(_there(estimates)) for _, estimates in under)
    return [
        (
            unit,
            with_own_parts(
                [
                    measured(reading, found)
                    for reading, found in zip(readings, estimates, strict=True)
                    if found is not None and found.usable
                ]
            ),
        )
        for unit, estimates in under
        if len(_there(estimates)) == most
    ]


def _there(estimates: Sequence[Estimate | None]) -> list[Estimate]:
    return [each for each in estimates if each is not None]


def _likelier_unit(listed: Array, unlisted: Array, probability: Array, p_unlisted: float) -> tuple[int, float]:
    """Give the likelier unit hypothesis given the posterior, and its probability; the first axis is of hypotheses."""
    if len(listed) == 1:
        return 0, 1.0
    kin = np.array([_total(each) for each in unlisted])
    chances = np.exp(listed - log_sum(listed)) @ probability + np.exp(kin - _total(kin)) * p_unlisted
    best = int(chances.argmax())
    return best, float(chances[best] / max(float(probability.sum()) + p_unlisted, 1e-300))
