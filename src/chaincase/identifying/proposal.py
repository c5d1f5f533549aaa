"""Which rows of a very large catalog are worth the whole likelihood, and what the others amount to.

Every row gets a quick score, the likelihood of its coded cells (`identifying.surrogate`). The rows that hold all but
nothing of the mass are proposed. Of the others some are drawn by their score, each with the number of rows that it
stands for, so that sums over all rows can be estimated without bias; and what they can amount to at most is added up.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.identifying.density import log_sum
from chaincase.identifying.evidence import Mark
from chaincase.identifying.likelihood import grouped
from chaincase.identifying.near_names import NearNames, near_names
from chaincase.identifying.scanning import above, look_up_all
from chaincase.identifying.sizes import Measured
from chaincase.identifying.surrogate import Surrogate, construction_surrogate, surrogates_of

Array = NDArray[np.float64]
Rows = NDArray[np.int64]

SCORED_WHOLE = 4000
"""Catalogs of up to so many rows get the whole likelihood for every row."""

_MOST_POOLED = 16
"""The pool may come out so many times as large as asked for, as its least score is estimated."""
_LEFT_OUT = 1e-4
"""Share of the quick score's mass that may be left out."""
_KIN_POWER = 0.45
"""Power of the quick score by which relatives are drawn: they need not fit as well as the chain itself. Of the powers
tried it gave the steadiest estimates."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is done for one case.

    Attributes
    ----------
    fewest, rows : int
        Rows proposed at least, and at most, for what the readings say.
    doubted : int
        Rows proposed for what the readings would say at best if one of them is of another dimension than it says.
    pool : int
        Rows looked at more closely before some are proposed.
    spaced : int
        Rows of all others, evenly spaced, that stand for them.
    drawn, kin : int
        Rows drawn to estimate what the others amount to, as the chain itself and as relatives of an unlisted one.
    """

    fewest: int
    rows: int
    doubted: int
    pool: int
    spaced: int
    drawn: int
    kin: int


FULL = Effort(fewest=64, rows=1024, doubted=256, pool=2048, spaced=4096, drawn=32, kin=64)
"""For a case that somebody looks at."""
QUICK = Effort(fewest=32, rows=64, doubted=16, pool=512, spaced=2048, drawn=16, kin=32)
"""For one of many."""


@dataclass(frozen=True, eq=False, slots=True)
class Proposal:
    """Rows to be scored in full.

    Attributes
    ----------
    rows : ndarray of int64, shape (m,)
        The proposed rows, the most likely first, and then those drawn from the others.
    proposed : int
        How many are proposed.
    stands_for : ndarray of float64, shape (m,)
        How many rows each stands for in a sum over the likelihood of listed chains; 1 for a proposed row.
    kin : ndarray of float64, shape (m,)
        The same for a sum over the relatives of unlisted chains.
    outside_log_mass_bound : float
        Upper bound of the log of the sum of the likelihoods of all rows that are not proposed, as long as no more
        than one reading is of another dimension than it says; for most of them found from evenly spaced rows.
    mean_chances : tuple of float or None
        Of each mark, the chance that a name was read as it, as the mean over all rows; None if all are proposed.
    """

    rows: Rows
    proposed: int
    stands_for: Array
    kin: Array
    outside_log_mass_bound: float
    mean_chances: tuple[float | None, ...]


@dataclass(frozen=True, eq=False, slots=True)
class _Scored:
    """Rows with their quick score, what their log likelihood is at most, and what each surrogate says on average."""

    rows: Rows
    score: Array
    ceiling: Array
    typical: tuple[NDArray[np.float32], ...] = ()

    def only(self, which: Rows) -> "_Scored":
        """Give some of them."""
        return _Scored(self.rows[which], self.score[which], self.ceiling[which])

    def __add__(self, other: "_Scored") -> "_Scored":
        return _Scored(
            np.concatenate([self.rows, other.rows]),
            np.concatenate([self.score, other.score]),
            np.concatenate([self.ceiling, other.ceiling]),
        )


def every_row(n: int, marks: int) -> Proposal:
    """Propose all of n rows, for so many marks."""
    return Proposal(np.arange(n), n, np.ones(n), np.ones(n), -np.inf, (None,) * marks)


@dataclass(frozen=True, slots=True)
class Question:
    """What rows are to be proposed for.

    Attributes
    ----------
    hypotheses : sequence of sequences of Measured
        The readings under each hypothesis of their unit.
    marks : sequence of Mark
        Stamps as read; rows whose name may be read from one are looked at, whatever their sizes.
    words : sequence of str
        What the eye sees of the construction.
    """

    hypotheses: Sequence[Sequence[Measured]]
    marks: Sequence[Mark] = ()
    words: Sequence[str] = ()


def propose(question: Question, catalog: Catalog, effort: Effort = FULL) -> Proposal:
    """Propose rows of a catalog of n rows for evidence."""
    return propose_all([question], catalog, effort)[0]


def propose_all(questions: Sequence[Question], catalog: Catalog, effort: Effort = FULL) -> list[Proposal]:
    """Propose rows for several samples, as `propose` does; together, as that is quicker."""
    groups = [grouped(ones) for question in questions for ones in question.hypotheses]
    says = iter(surrogates_of(groups, catalog))
    names = iter(near_names([mark for question in questions for mark in question.marks], catalog))
    return [
        _proposed(
            [next(says) + seen for _ in question.hypotheses], [next(names) for _ in question.marks], catalog, effort
        )
        for question in questions
        for seen in [[construction_surrogate(question.words, catalog)] if question.words else []]
    ]


def _proposed(
    says: Sequence[Sequence[Surrogate]], names: Sequence[NearNames], catalog: Catalog, effort: Effort
) -> Proposal:
    every = max(len(catalog) // effort.spaced, 1)
    spaced = _scored(slice(every // 2, len(catalog), every), len(catalog), says, names)
    pool = _pool(says, names, len(catalog), spaced, effort)
    pooled = _marked(pool.rows, len(catalog))
    rest = spaced.only(np.flatnonzero(~pooled[spaced.rows]))
    outside = len(catalog) - len(pool.rows)
    count = min(max(_how_many(pool.score, rest.score, outside), effort.fewest), effort.rows, len(pool.rows))
    proposed = np.arange(len(pool.rows)) < count
    proposed[np.argsort(-pool.ceiling, kind="stable")[: effort.doubted]] = True
    for name in names:
        proposed |= _marked(name.nearest(), len(catalog))[pool.rows]
    others = pool.only(np.flatnonzero(~proposed)) + rest
    log_weight = np.zeros(len(others.rows))
    log_weight[len(others.rows) - len(rest.rows) :] = np.log(outside / max(len(rest.rows), 1))
    mean_chances = tuple(name.mean_chance for name in names)
    return _with_drawn(pool.rows[proposed], others, log_weight, mean_chances, effort)


def _marked(rows: Rows, n: int) -> NDArray[np.bool_]:
    """Give which of n rows are among some."""
    marked = np.zeros(n, dtype=bool)
    marked[rows] = True
    return marked


def _scored(which: Rows | slice, n: int, says: Sequence[Sequence[Surrogate]], names: Sequence[NearNames]) -> _Scored:
    """Give the quick scores of some of n rows: readings under either unit, construction, names."""
    rows = np.arange(n)[which] if isinstance(which, slice) else which
    looked = [look_up_all(each, which, len(rows)) for each in says]
    gain = np.zeros(len(rows))
    for name in names:
        gain += name.gain_of(rows)
    score, ceiling = [], []
    for found, each in zip(looked, says, strict=True):
        ceilings = np.array([one.ceiling for one in each], dtype=np.float32)
        mistaken = np.exp(ceilings[:, None] - found).sum(axis=0)
        score.append(found.sum(axis=0, dtype=np.float64) + gain)
        ceiling.append(score[-1] + np.log1p(mistaken))
    typical = tuple(found.mean(axis=1) for found in looked)
    if len(says) == 1:
        return _Scored(rows, score[0], ceiling[0], typical)
    return _Scored(rows, log_sum(np.stack(score)), log_sum(np.stack(ceiling)), typical)


def _pool(
    says: Sequence[Sequence[Surrogate]], names: Sequence[NearNames], n: int, spaced: _Scored, effort: Effort
) -> _Scored:
    """Give the rows that are looked at more closely, the highest score first.

    These are about so many as are asked for: all rows above a score that the spaced rows lead one to expect, with
    the best of the spaced rows where many are alike, and with the rows whose name is near a mark.
    """
    share = min(max(effort.pool * len(spaced.rows) // n, 1), len(spaced.rows))
    falling = np.sort(spaced.score)[::-1]
    least = float(falling[share - 1])
    found = [
        above(each, n, least - float(np.log(len(says))), typical)
        for each, typical in zip(says, spaced.typical, strict=True)
    ]
    if sum(map(len, found)) < effort.rows:
        found.append(spaced.rows[spaced.score >= falling[min(effort.rows, len(falling)) - 1]][: effort.rows])
    chosen = _marked(np.concatenate(found), n)
    if len(names) or np.count_nonzero(chosen) > _MOST_POOLED * effort.pool:
        rows = np.flatnonzero(chosen)[: _MOST_POOLED * effort.pool]
        chosen = _marked(np.concatenate([rows, *(name.rows for name in names)]), n)
    pool = _scored(np.flatnonzero(chosen), n, says, names)
    return pool.only(np.argsort(-pool.score, kind="stable"))


def _how_many(pool: Array, rest: Array, outside: int) -> int:
    """Give how many of the pool must be proposed so that all but nothing of the mass is."""
    mass = np.exp(pool - pool[0])
    beyond = np.exp(rest - pool[0]).mean() * outside if len(rest) else 0.0
    left = np.cumsum(mass[::-1])[::-1] + beyond
    return int(np.searchsorted(-left, -_LEFT_OUT * left[0]))


def _with_drawn(
    proposed: Rows, others: _Scored, log_weight: Array, mean_chances: tuple[float | None, ...], effort: Effort
) -> Proposal:
    """Add rows drawn from the others, which stand for so many each, to those proposed."""
    first, first_weight = _drawn(others.score, log_weight, effort.drawn)
    kin, kin_weight = _drawn(_KIN_POWER * others.score, log_weight, effort.kin)
    drawn, which = np.unique(np.concatenate([first, kin]), return_inverse=True)
    stands_for, kin_for = np.zeros(len(drawn)), np.zeros(len(drawn))
    np.add.at(stands_for, which[: len(first)], first_weight)
    np.add.at(kin_for, which[len(first) :], kin_weight)
    ones = np.ones(len(proposed))
    return Proposal(
        rows=np.concatenate([proposed, others.rows[drawn]]),
        proposed=len(proposed),
        stands_for=np.concatenate([ones, stands_for]),
        kin=np.concatenate([ones, kin_for]),
        outside_log_mass_bound=float(log_sum(others.ceiling + log_weight)) if len(others.rows) else -np.inf,
        mean_chances=mean_chances,
    )


def _drawn(log_score: Array, log_weight: Array, count: int) -> tuple[Rows, Array]:
    """Draw at even steps through the scores of rows that stand for some each: places, and how many each stands for.

    That number times the likelihood, added up over the places drawn, is right on average whatever the scores; the
    more they are like the likelihood, the less it varies.
    """
    if not len(log_score):
        return np.empty(0, dtype=np.int64), np.empty(0)
    log_mass = log_weight + log_score
    mass = np.exp(log_mass - log_mass.max())
    reached = np.cumsum(mass)
    at = np.searchsorted(reached, (np.arange(count) + 0.5) / count * reached[-1])
    return at, np.exp(log_weight[at]) * reached[-1] / (count * mass[at])
