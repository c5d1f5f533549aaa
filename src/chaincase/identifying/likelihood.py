"""The likelihood of readings: for every row of a catalog and for a chain that no row describes."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.blunders import log_wrong
from chaincase.identifying.condensing import condensed
from chaincase.identifying.constants import EDGE_DIAMETER, PINS_ALONE, UNLISTED
from chaincase.identifying.density import log_sum, log_sum_at
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.naming import PINS, feature_of, meanings
from chaincase.identifying.right_readings import Stand, as_changed, as_named
from chaincase.identifying.sizes import Measured

Array = NDArray[np.float64]

_ROWS_APART = 48
"""Cases whose numbers of rows differ by less are worked out together."""
_CELLS_AT_ONCE = 20_000
"""Rows of all cases worked out together: so few that what is in between stays in the cache of the processor."""
_MOST_TOGETHER = 5
"""Up to so many readings of one dimension, any of them may be the blunder; beyond, one of them or all."""


@dataclass(frozen=True, eq=False, slots=True)
class Likelihood:
    """Log densities of readings.

    Attributes
    ----------
    listed : ndarray, shape (n,)
        If the sample is the row's chain.
    unlisted : ndarray, shape (sorts, n)
        If it is an unlisted chain of each sort of `constants.UNLISTED` whose listed relative is the row.
    """

    listed: Array
    unlisted: Array


@dataclass(frozen=True, eq=False, slots=True)
class Held:
    """Log densities of one group of readings.

    Attributes
    ----------
    listed : ndarray, shape (n,)
        If the sample is the row's chain, or like it in this.
    changed : ndarray, shape (sorts, n)
        If it is an unlisted chain of each sort of `constants.UNLISTED` that differs in this from the row.
    """

    listed: Array
    changed: Array


@dataclass(frozen=True, eq=False, slots=True)
class Case:
    """Readings of one group (see `grouped`) held against n rows.

    Attributes
    ----------
    group : sequence of Measured
        Readings of one dimension, or one unnamed reading.
    expected : Expectation
        Of the rows.
    links : ndarray of int8, shape (n,)
        Index into `LINKS` per row.
    """

    group: Sequence[Measured]
    expected: Expectation
    links: NDArray[np.int8]


def grouped(measured_ones: Sequence[Measured]) -> list[list[Measured]]:
    """Put readings of one named dimension together; an unnamed one stands alone, as two may be of two dimensions."""
    groups: dict[str, list[Measured]] = {}
    for index, each in enumerate(measured_ones):
        named = each.name in COLUMN and not each.edge_sign
        groups.setdefault(each.name if named else f"{each.name} {index}", []).append(each)
    return [part for name, group in groups.items() for part in (condensed(group) if name == "pitch" else [group])]


@dataclass(frozen=True, eq=False, slots=True)
class Sample:
    """The readings of a sample, to be held against n rows.

    Attributes
    ----------
    ones : sequence of Measured
        The readings.
    expected : Expectation
        Of the rows.
    links : ndarray of int8, shape (n,)
        Index into `LINKS` per row.
    """

    ones: Sequence[Measured]
    expected: Expectation
    links: NDArray[np.int8]


def readings_likelihoods(samples: Sequence[Sample]) -> list[Likelihood]:
    """Give the likelihood of all readings of each of several samples, blunders included.

    All at once, as that is quicker; each may have rows of its own. What a sample gets does not depend on the others.
    """
    groups = [grouped(each.ones) for each in samples]
    each_with_ours = list(zip(samples, groups, strict=True))
    cases = [Case(group, each.expected, each.links) for each, ours in each_with_ours for group in ours]
    found = iter(likelihoods(cases))
    return [_together(ours, [next(found) for _ in ours], len(each.links)) for each, ours in each_with_ours]


def readings_likelihood(ones: Sequence[Measured], expected: Expectation, links: NDArray[np.int8]) -> Likelihood:
    """Give the likelihood of all readings of one sample, see `Sample` and `readings_likelihoods`."""
    return readings_likelihoods([Sample(ones, expected, links)])[0]


def _together(groups: Sequence[Sequence[Measured]], found: Sequence[Held], n: int) -> Likelihood:
    """Give the likelihood of the groups of one sample together: what is unlisted differs in whole features."""
    by_feature: dict[str, dict[bool, list[Held]]] = {}
    for group, held in zip(groups, found, strict=True):
        name = group[0].name
        by_feature.setdefault(feature_of(name), {}).setdefault(name in PINS, []).append(held)
    listed, unlisted = np.zeros(n), np.zeros((len(UNLISTED), n))
    for feature, parts in by_feature.items():
        same = sum(held.listed for some in parts.values() for held in some) + np.zeros(n)
        listed += same
        unlisted += _unlisted_feature(feature, parts, same)
    return Likelihood(listed, unlisted)


def _unlisted_feature(feature: str, parts: Mapping[bool, Sequence[Held]], same: Array) -> Array:
    """Give the log likelihood of one feature of an unlisted chain: the same, changed as a whole, or in its pins alone.

    Parameters
    ----------
    feature : str
        See `naming.feature_of`.
    parts : mapping
        Its groups of readings, by whether they are of the length of pins.
    same : ndarray, shape (n,)
        The log likelihood of all of them if the feature is that of the row.
    """
    kept = _kept(feature)
    changed = sum(held.changed for some in parts.values() for held in some)
    if True not in parts:
        return np.asarray(np.logaddexp(np.log(kept) + same, np.log1p(-kept) + changed))
    alone = PINS_ALONE * kept * (1.0 - kept)
    pins = sum(held.changed - held.listed for held in parts[True]) + same
    ways = (np.log(kept - alone) + same, np.log1p(-kept) + changed, np.log(alone) + pins)
    return np.asarray(log_sum(np.stack(ways)))


def _kept(feature: str) -> Array:
    """Give how often an unlisted chain of each sort has its relative's size in a feature, shape (sorts, 1)."""
    return np.array([[sort.same_pitch if feature == "pitch" else sort.same] for sort in UNLISTED])


def likelihoods(cases: Sequence[Case]) -> list[Held]:
    """Give the likelihood of each of several cases, blunders included; all at once, as that is quicker.

    Cases of about as many rows go together, made alike by repeating a row; that changes nothing for the others. A
    reading over edges whose parts are not named may have been taken over pins, rollers or bushes alike.
    """
    result: dict[int, Held] = {}
    for rows, some in _alike(cases):
        longer: dict[int, Expectation] = {}
        shown = [_as_shown(_with_rows(cases[i], rows, longer)) for i in some]
        listed, changed = _likelihoods([one for ones in shown for one in ones])
        shares = np.concatenate([np.full(len(ones), -np.log(len(ones))) for ones in shown])
        counts = [len(ones) for ones in shown]
        listed = log_sum_at(listed + shares[:, None], counts)
        changed = log_sum_at(changed + shares[:, None, None], counts)
        for i, *pair in zip(some, listed, changed, strict=True):
            n = len(cases[i].links)
            result[i] = Held(pair[0][:n], pair[1][:, :n])
    return [result[i] for i in range(len(cases))]


def _alike(cases: Sequence[Case]) -> Iterator[tuple[int, list[int]]]:
    """Give lots of cases that are worked out together, with the rows that they are given."""
    lots: dict[int, list[int]] = {}
    for i, case in enumerate(cases):
        lots.setdefault(-(-len(case.links) // _ROWS_APART), []).append(i)
    for some in lots.values():
        rows = max(len(cases[i].links) for i in some)
        at_once = max(_CELLS_AT_ONCE // max(rows, 1), 1)
        for start in range(0, len(some), at_once):
            yield rows, some[start : start + at_once]


def _with_rows(case: Case, rows: int, longer: dict[int, Expectation]) -> Case:
    """Give a case with more rows, the first of them again and again; `longer` keeps expectations for other cases."""
    if len(case.links) == rows:
        return case
    which = np.zeros(rows, dtype=np.int64)
    which[: len(case.links)] = np.arange(len(case.links))
    if id(case.expected) not in longer:
        longer[id(case.expected)] = case.expected.take(which)
    return replace(case, expected=longer[id(case.expected)], links=case.links[which])


def _as_shown(case: Case) -> list[Case]:
    each = case.group[0]
    if not each.edge_sign:
        return [case]
    return [replace(case, expected=over_edges(each, case.expected, part)) for part in each.needs]


def over_edges(each: Measured, expected: Expectation, part: str) -> Expectation:
    """Give the expectation with a pitch replaced by what a reading over edges of a part shows, by each row's figure.

    A diameter that the table leaves open is as uncertain as the guess for it. A row that has no such part keeps its
    pitch: the reading was then taken between something else.
    """
    column, own = COLUMN[part], COLUMN[each.name]
    there = expected.exists[:, column] / each.reading.over
    diameter = expected.mean[:, column] * there
    doubt = np.hypot(expected.spread[:, column] * there, EDGE_DIAMETER * diameter)
    mean, spread = expected.mean.copy(), expected.spread.copy()
    mean[:, own] += each.edge_sign * diameter
    spread[:, own] = np.hypot(spread[:, own], doubt)
    return replace(expected, mean=mean, spread=spread)


@dataclass(frozen=True, eq=False, slots=True)
class _Way:
    """Some readings of a case are right and the others are wrong.

    Attributes
    ----------
    log_chance : ndarray, shape (n,)
        Of that, with the density of the wrong ones.
    stands : tuple of Stand
        The right ones, held against each column that they may be of; none where all are wrong.
    log_weights : tuple of ndarray, shape (n,)
        How often a reading of that name is of that column.
    """

    log_chance: Array
    stands: tuple[Stand, ...] = ()
    log_weights: tuple[Array, ...] = ()


def _likelihoods(cases: Sequence[Case]) -> tuple[Array, Array]:
    """Give the log densities of cases, shape (cases, n) if listed and (cases, sorts, n) if changed."""
    found = [meanings(case.group[0].name, case.expected.exists) for case in cases]
    readings = [(each, case.expected, f) for case, f in zip(cases, found, strict=True) for each in case.group]
    wrong = iter(log_wrong(readings))
    per_case = [_ways(case, f, [next(wrong) for _ in case.group]) for case, f in zip(cases, found, strict=True)]
    ways = [way for each in per_case for way in each]
    counts = [len(each) for each in per_case]
    listed = np.stack([way.log_chance for way in ways])
    changed = np.repeat(listed[:, None], len(UNLISTED), axis=1)
    some_right = [i for i, way in enumerate(ways) if way.stands]
    if some_right:
        right = [ways[i] for i in some_right]
        stands = [stand for way in right for stand in way.stands]
        weights = np.stack([weight for way in right for weight in way.log_weights])
        columns = [len(way.stands) for way in right]
        listed[some_right] += log_sum_at(weights + as_named(stands), columns)
        changed[some_right] += log_sum_at(weights[:, None] + as_changed(stands), columns)
    return log_sum_at(listed, counts), log_sum_at(changed, counts)


def _ways(case: Case, found: Mapping[int, Array], if_wrong: Sequence[Array]) -> list[_Way]:
    """Give the ways in which readings are right or wrong; first that all are wrong."""
    wrong = [log_density + np.log(each.blunder) for each, log_density in zip(case.group, if_wrong, strict=True)]
    ways = [_Way(wrong[0] if len(wrong) == 1 else np.sum(wrong, axis=0))]
    with np.errstate(divide="ignore"):
        weights = tuple(np.log(weight) for weight in found.values())
    for right in _subsets(len(case.group)) if found else ():
        chosen = tuple(case.group[i] for i in sorted(right))
        stands = tuple(Stand.of(chosen, case.expected, column, case.links) for column in found)
        terms = [np.log1p(-each.blunder) if i in right else wrong[i] for i, each in enumerate(case.group)]
        ways.append(_Way(np.zeros(len(case.links)) + sum(terms), stands, weights))
    return ways


def _subsets(m: int) -> Iterator[frozenset[int]]:
    """Give the sets of readings, none of them empty, that may be right together."""
    if m <= _MOST_TOGETHER:
        for size in range(1, m + 1):
            yield from (frozenset(choice) for choice in combinations(range(m), size))
        return
    every = frozenset(range(m))
    yield every
    yield from (every - {i} for i in range(m))
