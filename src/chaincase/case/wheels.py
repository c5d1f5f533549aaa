"""Wheels and old papers as evidence of the identity, beside stamp and readings.

A wheel keeps pitch and roller of the chain that it was cut for, but it may have been cut for another one; a paper may
speak of another machine. Both are mixtures: with most of the weight they speak for the chain, else for any chain.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from scipy.special import logsumexp

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.duty.sprocket_reading import OTHER_WHEEL, Seen, WheelLikelihood, log_of_any, wheel_likelihood
from chaincase.identifying.beside import Array, Beside
from chaincase.identifying.constants import UNLISTED

OTHER_PAPER: Final = 0.20
"""How often a chain number in a paper is not that of the chain that is asked about: common practice, no source."""


def beside_wheel(seen: Seen, catalog: Catalog) -> Beside:
    """Give what a wheel says of every row, and of a chain in no table that resembles one.

    A relative of a row may have its pitch and roller, its pitch alone, or neither (`constants.UNLISTED`).

    >>> seen = Seen(17, marks=("80B17",))
    >>> found = beside_wheel(seen, Catalog.standard())
    >>> Catalog.standard().designations[int(found.listed.argmax())]
    '16A-1'
    """
    whole = wheel_likelihood(seen, catalog)
    anybody = log_of_any(whole)
    by_pitch = _of_pitch(seen, catalog, whole)
    relatives = [
        logsumexp(
            [
                np.log(sort.same_pitch * sort.same) + _mixed(_no_mark(whole, seen, catalog), anybody),
                np.log(sort.same_pitch * (1.0 - sort.same)) + _mixed(by_pitch, anybody),
                np.full(len(catalog), np.log(1.0 - sort.same_pitch) + whole.unlisted),
            ],
            axis=0,
        )
        for sort in UNLISTED
    ]
    return Beside(_mixed(whole.listed, anybody), np.stack(relatives))


def _mixed(listed: Array, anybody: float) -> Array:
    return np.asarray(np.logaddexp(np.log1p(-OTHER_WHEEL) + listed, np.log(OTHER_WHEEL) + anybody))


def _no_mark(whole: WheelLikelihood, seen: Seen, catalog: Catalog) -> Array:
    """Give the likelihood for relatives of the same pitch and roller: a number on the wheel is not theirs."""
    if not seen.marks:
        return whole.listed
    if not seen.readings:
        return np.where(np.isfinite(whole.listed), whole.unlisted, -np.inf)
    bare = wheel_likelihood(replace(seen, marks=()), catalog)
    return np.asarray(bare.listed + (whole.unlisted - bare.unlisted))


def _of_pitch(seen: Seen, catalog: Catalog, whole: WheelLikelihood) -> Array:
    """Give the likelihood for a chain of a row's pitch and any roller."""
    if not seen.readings:
        return np.where(np.isfinite(whole.listed), whole.unlisted, -np.inf)
    bare = replace(seen, marks=())
    found = wheel_likelihood(bare, _without_rollers(catalog))
    return np.asarray(found.listed + (whole.unlisted - found.unlisted))


def _without_rollers(catalog: Catalog) -> Catalog:
    values = catalog.values.copy()
    values[:, [COLUMN["roller_diameter"], COLUMN["bush_diameter"]]] = np.nan
    return replace(catalog, values=values)


def beside_paper(rows: Sequence[int], catalog: Catalog) -> Beside:
    """Give what a paper says that names a chain of the tables.

    Parameters
    ----------
    rows : sequence of int
        Rows that the number may mean; empty says nothing.
    """
    n = len(catalog)
    listed = np.full(n, np.log(OTHER_PAPER / n))
    chosen = list(rows)
    listed[chosen] = np.log((1.0 - OTHER_PAPER) / max(len(chosen), 1) + OTHER_PAPER / n)
    return Beside(listed, np.full((len(UNLISTED), n), np.log(OTHER_PAPER / n)))


def names_in(values: Sequence[tuple[str, str]], names: Mapping[str, Sequence[int]]) -> tuple[int, ...]:
    """Give the rows of the first designation of a paper that the tables know.

    Parameters
    ----------
    values : sequence of (str, str)
        Number as read and its name in the tables, in the order of the text.
    names : mapping of str to sequence of int
        `Catalog.names`.
    """
    from chaincase.chains.designation import key

    for value, listed_as in values:
        rows = names.get(key(listed_as or value), ())
        if rows:
            return tuple(rows)
    return ()
