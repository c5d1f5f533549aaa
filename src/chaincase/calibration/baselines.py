"""Two plain methods to hold the identification against: nearest neighbor, and a tolerance filter in SQL.

Both see what `identify` sees of the readings, take a bare number for millimeters, divide a pitch by the pitches
spanned, and know nothing of wear, limits, blunders and unlisted chains. Neither is given the stamp, unless
`marks` is true: then a stamp that is exactly a name in the catalog puts its rows first.
"""

import sqlite3
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key
from chaincase.chains.dimensions import COLUMN, DIMENSIONS, UNNAMED
from chaincase.units import parse_length

Array = NDArray[np.float64]
Sizes = Sequence[tuple[tuple[str, ...], float]]

TOLERANCE = 0.03
"""Half width of the filter; 3 % is what a worn chain may have grown."""


def sizes_of(evidence: dict[str, Any]) -> list[tuple[tuple[str, ...], float]]:
    """Give what each reading may be of, and its size [mm].

    >>> sizes_of({"readings": [{"dimension": "pitch", "value": "4 in", "over": 2}]})
    [(('pitch',), 50.8)]
    """
    return [
        (
            UNNAMED.get(reading["dimension"], (reading["dimension"],)),
            parse_length(reading["value"]).mm_if("mm") / reading.get("over", 1),
        )
        for reading in evidence["readings"]
    ]


def differences(sizes: Sizes, catalog: Catalog) -> Array:
    """Give |size / figure - 1| per row and reading, the best of what it may be of; NaN without a figure."""
    table = np.full((len(catalog), len(sizes)), np.nan)
    for j, (names, size) in enumerate(sizes):
        for name in names:
            table[:, j] = np.fmin(table[:, j], np.abs(size / catalog.values[:, COLUMN[name]] - 1.0))
    return table


def nearest(
    evidence: dict[str, Any], catalog: Catalog, *, empty: float | None = None, marks: bool = False
) -> int | None:
    """Give the row with the least mean relative difference over the readings of which it has a figure.

    Parameters
    ----------
    evidence : dict
    catalog : Catalog
    empty : float, optional
        Difference that counts where a row has no figure [-]; by default such readings are left out.
    marks : bool
        Whether rows that a stamp names go first.

    Returns
    -------
    int or None
        None where no row has any of the figures.
    """
    table = differences(sizes_of(evidence), catalog)
    has = ~np.isnan(table)
    if not has.any():
        return None
    filled = np.where(has, table, 0.0 if empty is None else empty)
    count = np.maximum(has.sum(axis=1) if empty is None else table.shape[1], 1)
    score = np.where(has.any(axis=1), filled.sum(axis=1) / count, np.inf)
    if marks and (named := _named(evidence, catalog)):
        score[[row for row in range(len(catalog)) if row not in named]] += 1e3
    return int(score.argmin())


def _named(evidence: dict[str, Any], catalog: Catalog) -> set[int]:
    """Give the rows that some mark names exactly."""
    return {row for mark in evidence["marks"] for row in catalog.names.get(key(mark["text"]), ())}


class ToleranceFilter:
    """The tables in SQLite, in memory, asked for rows within a tolerance of each reading."""

    def __init__(self, catalog: Catalog, tolerance: float = TOLERANCE) -> None:
        self._catalog = catalog
        self._tolerance = tolerance
        self._base = sqlite3.connect(":memory:")
        self._base.execute("CREATE TABLE size (chain INTEGER, dimension TEXT, mm REAL)")
        rows, columns = np.nonzero(~np.isnan(catalog.values))
        self._base.executemany(
            "INSERT INTO size VALUES (?, ?, ?)",
            [
                (int(row), DIMENSIONS[column].name, float(catalog.values[row, column]))
                for row, column in zip(rows, columns, strict=True)
            ],
        )
        self._base.execute("CREATE INDEX by_size ON size (dimension, mm)")

    def best(self, evidence: dict[str, Any], *, marks: bool = False) -> int | None:
        """Give the row with most readings within the tolerance, the closest of them; None without a hit."""
        sizes = sizes_of(evidence)
        if not sizes:
            return None
        asked = [
            (j, name, size, size / (1.0 + self._tolerance), size / (1.0 - self._tolerance))
            for j, (names, size) in enumerate(sizes)
            for name in names
        ]
        self._base.execute("CREATE TEMP TABLE asked (reading INTEGER, dimension TEXT, mm REAL, low REAL, high REAL)")
        self._base.executemany("INSERT INTO asked VALUES (?, ?, ?, ?, ?)", asked)
        found = self._base.execute(_QUERY).fetchall()
        self._base.execute("DROP TABLE asked")
        named = _named(evidence, self._catalog) if marks else set()
        ranked = [row for row, _, _ in found if row in named] or [row for row, _, _ in found]
        return int(ranked[0]) if ranked else None


_QUERY = """
SELECT chain, COUNT(*) AS hits, AVG(off) AS far FROM (
    SELECT size.chain, asked.reading, MIN(ABS(asked.mm / size.mm - 1.0)) AS off
    FROM asked JOIN size ON size.dimension = asked.dimension AND size.mm BETWEEN asked.low AND asked.high
    GROUP BY size.chain, asked.reading
) GROUP BY chain ORDER BY hits DESC, far ASC, chain ASC
"""
