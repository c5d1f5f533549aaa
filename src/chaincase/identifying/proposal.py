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
from chaincase.identifying.constants import UNLISTED
from chaincase.identifying.density import log_sum
from chaincase.identifying.evidence import Mark
from chaincase.identifying.likelihood import grouped
from chaincase.identifying.near_names import NearNames, near_names
from chaincase.identifying.scanning import look_up, scan
from chaincase.identifying.sizes import Measured
from chaincase.identifying.surrogate import Surrogate, construction_surrogate, surrogates

Array = NDArray[np.float64]
Rows = NDArray[np.int64]
Scores = NDArray[np.float32]

SCORED_WHOLE = 4000
"""Catalogs of up to so many rows get the whole likelihood for every row."""

_FEWEST, _MOST = 64, 512
"""Rows proposed; between these until what is left out matters no more."""
_LEFT_OUT = 1e-3
"""Share of the quick score's mass that may be left out."""
_POOL = 2048
"""Rows looked at more closely before some are proposed."""
_SAMPLE = 1 << 12
"""Rows of all others, evenly spaced, that stand for them."""
_DRAWN, _KIN_DRAWN = 32, 64
"""Rows drawn to estimate what the others amount to, as the chain itself and as a relative of an unlisted one."""


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
        Upper bound of the log of the sum of the likelihoods of all rows that are not proposed.
    """

    rows: Rows
    proposed: int
    stands_for: Array
    kin: Array
    outside_log_mass_bound: float


@dataclass(frozen=True, eq=False, slots=True)
class _Others:
    """Quick log scores of rows that are not proposed, each standing for so many.

    Attributes
    ----------
    rows : ndarray of int64, shape (m,)
    weight : ndarray of float64, shape (m,)
    listed, unlisted, ceiling : ndarray of float64, shape (m,)
        If the sample is the row's chain, if it is a relative, and what the first can be at most.
    """

    rows: Rows
    weight: Array
    listed: Array
    unlisted: Array
    ceiling: Array


def every_row(n: int) -> Proposal:
    """Propose all of n rows."""
    return Proposal(np.arange(n), n, np.ones(n), np.ones(n), -np.inf)


def propose(
    hypotheses: Sequence[Sequence[Measured]], marks: Sequence[Mark], words: Sequence[str], catalog: Catalog
) -> Proposal:
    """Propose rows of a catalog for evidence.

    Parameters
    ----------
    hypotheses : sequence of sequences of Measured
        The readings under each hypothesis of their unit.
    marks : sequence of Mark
        Stamps as read; rows whose name may be read from one are looked at, whatever their sizes.
    words : sequence of str
        What the eye sees of the construction.
    catalog : Catalog
        Of n rows.
    """
    seen = [construction_surrogate(words, catalog)] if words else []
    names = [near_names(mark.text, mark.legibility, catalog) for mark in marks]
    says = [surrogates(grouped(ones), catalog) + seen for ones in hypotheses]
    score = scan(says[0], len(catalog))
    for each in says[1:]:
        np.logaddexp(score, scan(each, len(catalog)), out=score)
    for name in names:
        score[name.rows] += name.listed
    spaced = np.arange(_every(len(score)) // 2, len(score), _every(len(score)))
    pool = _pool(score, spaced)
    rest = spaced[~np.isin(spaced, pool)]
    count = _how_many(score[pool], score[rest], len(score) - len(pool))
    others = np.concatenate([pool[count:], rest])
    weight = np.ones(len(others))
    weight[len(pool) - count :] = (len(score) - len(pool)) / max(len(rest), 1)
    return _with_drawn(pool[:count], _scores(others, weight, score, says, names))


def _every(n: int) -> int:
    return max(n // _SAMPLE, 1)


def _pool(score: Scores, spaced: Rows) -> Rows:
    """Give about as many rows of the highest score as are looked at more closely, the highest first."""
    share = max(_POOL * len(spaced) // len(score), 1)
    if share >= len(spaced):
        return np.argsort(-score, kind="stable")
    least = np.partition(score[spaced], -share)[-share]
    pool = np.flatnonzero(score > least)
    if len(pool) < _MOST:  # many rows are alike
        pool = np.concatenate([pool, np.flatnonzero(score == least)[: _POOL - len(pool)]])
    return pool[np.argsort(-score[pool], kind="stable")][: 4 * _POOL]


def _how_many(pool: Scores, rest: Scores, outside: int) -> int:
    """Give how many of the pool must be proposed so that all but nothing of the mass is."""
    mass = np.exp(pool.astype(np.float64) - pool[0])
    beyond = np.exp(rest.astype(np.float64) - pool[0]).mean() * outside if len(rest) else 0.0
    left = np.cumsum(mass[::-1])[::-1] + beyond
    enough = int(np.searchsorted(-left, -_LEFT_OUT * left[0]))
    return min(max(enough, _FEWEST), _MOST, len(pool))


def _scores(
    rows: Rows,
    weight: Array,
    score: Scores,
    says: Sequence[Sequence[Surrogate]],
    names: Sequence[NearNames],
) -> _Others:
    """Give what can be said quickly of rows that are not proposed."""
    readings = [_quick(each, rows) for each in says]
    unlisted, ceiling = (np.logaddexp.reduce(each) for each in zip(*readings, strict=True))
    for name in names:
        unlisted += name.gain_of(rows, name.unlisted)
        ceiling += name.gain_of(rows, name.listed)
    return _Others(rows, weight, score[rows].astype(np.float64), unlisted, ceiling)


def _quick(says: Sequence[Surrogate], rows: Rows) -> tuple[Array, Array]:
    """Give the log likelihood of readings of a relative, and at most of the chain itself, for some rows."""
    unlisted = np.zeros((len(UNLISTED), len(rows)), dtype=np.float32)
    ceiling = np.zeros(len(rows), dtype=np.float32)
    for each in says:
        for i in range(len(UNLISTED)):
            unlisted[i] += look_up(each, rows, 1 + i)
        ceiling += np.logaddexp(look_up(each, rows, 0), np.float32(each.ceiling))
    shares = np.log([[sort.share] for sort in UNLISTED])
    return log_sum((unlisted + shares).astype(np.float64)), ceiling.astype(np.float64)


def _with_drawn(proposed: Rows, others: _Others) -> Proposal:
    """Add rows drawn from the others to those proposed."""
    first, first_weight = _drawn(others, others.listed, _DRAWN)
    kin, kin_weight = _drawn(others, others.unlisted, _KIN_DRAWN)
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
        outside_log_mass_bound=float(log_sum(others.ceiling + np.log(others.weight))) if len(others.rows) else -np.inf,
    )


def _drawn(others: _Others, log_score: Array, count: int) -> tuple[Rows, Array]:
    """Draw at even steps through the mass of the scores: places among the others, and how many rows each stands for.

    The number of rows times the likelihood, added up over the places drawn, is right on average whatever the scores.
    """
    if not len(others.rows):
        return np.empty(0, dtype=np.int64), np.empty(0)
    mass = others.weight * np.exp(log_score - log_score.max())
    reached = np.cumsum(mass)
    at = np.searchsorted(reached, (np.arange(count) + 0.5) / count * reached[-1])
    return at, others.weight[at] * reached[-1] / (count * mass[at])
