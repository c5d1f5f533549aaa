"""What each outcome of a next step would leave of the chains that are likely, in words."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.looks import Look
from chaincase.units import show_length

Array = NDArray[np.float64]

_NAMED, _SHOWN = 0.01, 10
"""Rows less likely are not named, nor more rows than so many."""
_TOLD = 0.05
"""A size that is known no better, as a share of it, is no outcome that one could name."""
_LOOKS_SO = 0.25
_NONE_OF_THEM = "anything else points to a chain in none of the tables"


@dataclass(frozen=True, eq=False, slots=True)
class Field:
    """The likely rows, the kin of an unlisted chain, and the prior over rows and unlisted (last).

    `many` is about how many rows are likely where the rows only stand for them, else 0.
    """

    rows: NDArray[np.int64]
    kin: NDArray[np.int64]
    kin_weight: Array
    prior: Array
    many: float = 0.0


def decides(column: int, u: float, gain: float, field: Field, catalog: Catalog, expected: Expectation) -> str:
    """Say what each outcome of a reading would leave.

    Parameters
    ----------
    column : int
        The dimension.
    u, gain : float
        Standard uncertainty of the reading [mm], and what it tells [bit].
    field : Field
        What is likely.
    catalog, expected : Catalog, Expectation
        Of all rows.
    """
    if field.many:
        return _narrows(field, gain)
    shown = _shown(field)[:_SHOWN]
    there = [i for i in shown if expected.exists[field.rows[i], column]]
    told = [i for i in there if _is_told(i, column, field, expected)]
    absent, untold = [i for i in shown if i not in there], [i for i in there if i not in told]
    clusters = _clusters(told, column, u, field, expected)
    parts = [f"{_near(some, column, field, expected)} leaves {_names(some, field, catalog)}" for some in clusters]
    if len(clusters) == 1 and len(told) == len(shown) > 1:
        parts = [f"{_near(told, column, field, expected)} fits all that are likely and tells none of them apart"]
    if absent:
        parts.append(f"if there is none: {_names(absent, field, catalog)}")
    if untold:
        names = "any that is likely" if untold == shown else _names(untold, field, catalog, only="")
        parts.append(f"no table gives it for {names}: there it tells no more than what such chains usually have")
    return "; ".join([*parts, _NONE_OF_THEM] if told else parts)


def look_decides(look: Look, of_rows: Array, gain: float, field: Field, catalog: Catalog) -> str:
    """Say what each answer to a look would leave; `of_rows` as `looks.answers_of`, `gain` is what it tells [bit]."""
    if field.many:
        return _narrows(field, gain)
    shown = _shown(field)
    fitting = [[i for i in shown if of_rows[i, k] > _LOOKS_SO] for k in range(len(look.answers))]
    answers = [(words, some) for (words, _), some in zip(look.answers, fitting, strict=True) if some]
    if len(answers) == 1:
        return f"{answers[0][0]} fits all that are likely; {_NONE_OF_THEM}"
    return "; ".join(f"{words} leaves {_names(some, field, catalog)}" for words, some in answers)


def _shown(field: Field) -> list[int]:
    return [i for i in range(len(field.rows)) if field.prior[i] > _NAMED]


def _narrows(field: Field, gain: float) -> str:
    left = max(field.many / 2**gain, 1.0)
    return f"about {_rounded(field.many)} chains are likely now, about {_rounded(left)} will be"


def _rounded(number: float) -> str:
    """Give a number of chains as nobody would take for exact.

    >>> _rounded(873.2), _rounded(41.7), _rounded(6.3)
    ('870', '42', '6')
    """
    return f"{float(f'{number:.2g}'):.0f}"


def _is_told(i: int, column: int, field: Field, expected: Expectation) -> bool:
    row = field.rows[i]
    return bool(expected.listed[row, column] or expected.spread[row, column] < _TOLD * expected.mean[row, column])


def _clusters(told: Sequence[int], column: int, u: float, field: Field, expected: Expectation) -> list[list[int]]:
    """Put candidates together whose sizes a reading cannot tell apart, the smallest first."""
    size = {i: float(expected.mean[field.rows[i], column]) for i in told}
    clusters: list[list[int]] = []
    for i in sorted(told, key=lambda i: (size[i], i)):
        apart = 2.5 * float(np.hypot(expected.spread[field.rows[i], column], u))
        if clusters and size[i] - size[clusters[-1][-1]] < apart:
            clusters[-1].append(i)
        else:
            clusters.append([i])
    return clusters


def _near(some: Sequence[int], column: int, field: Field, expected: Expectation) -> str:
    """Give the size that some candidates have in common, or between which sizes they lie."""
    sizes = [float(expected.mean[field.rows[i], column]) for i in some]
    low, high = min(sizes), max(sizes)
    if high <= 1.01 * low:
        return f"near {show_length(sum(sizes) / len(sizes))}"
    return f"between {show_length(low)} and {show_length(high)}"


def _names(indexes: Sequence[int], field: Field, catalog: Catalog, only: str = "only ") -> str:
    names = [catalog.designations[int(field.rows[i])] for i in indexes]
    if len(names) == 1:
        return only + names[0]
    head = names[:3]
    rest = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(head[:-1]) + (", " if rest else " and ") + head[-1] + rest
