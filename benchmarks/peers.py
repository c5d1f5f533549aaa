"""The general ways to look for a chain in a table, on the same data: for comparison of speed only.

None of them knows wear, mistakes, limits or empty cells, so none gives the answer; they say what the machine can do.
"""

import math
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN

TEN = (
    "pitch", "roller_diameter", "bush_diameter", "pin_diameter", "inner_width", "inner_link_width", "pin_length",
    "inner_plate_height", "outer_plate_height", "inner_plate_thickness",
)  # fmt: skip
TOLERANCE = 0.05
_BLOCK = 1 << 15

Matrix = NDArray[np.float32]
Query = NDArray[np.float32]
Peer = Callable[[Query], object]


def matrix_of(catalog: Catalog) -> Matrix:
    """Give ten dimensions of all rows [mm], float32, NaN where empty."""
    return np.ascontiguousarray(catalog.values[:, [COLUMN[name] for name in TEN]].astype(np.float32))


def query_of(sizes: Mapping[str, float]) -> Query:
    """Give a query of the readings that are among the ten dimensions."""
    return np.array([sizes.get(name, math.nan) for name in TEN], dtype=np.float32)


def memory_read(matrix: Matrix) -> Peer:
    return lambda _: matrix.max()


def blocked_numpy(matrix: Matrix) -> Peer:
    """Squared distance in the logarithm over the cells that both have, block by block."""
    columns = np.log(matrix.T.copy())

    def nearest(query: Query) -> int:
        asked = np.flatnonzero(~np.isnan(query))
        best, at = np.inf, -1
        for start in range(0, len(matrix), _BLOCK):
            off = columns[asked, start : start + _BLOCK] - np.log(query[asked])[:, None]
            known = ~np.isnan(off)
            score = np.where(known, off * off, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
            place = int(score.argmin())
            if score[place] < best:
                best, at = float(score[place]), start + place
        return at

    return nearest


def nan_euclidean(matrix: Matrix) -> Peer:
    from sklearn.metrics.pairwise import nan_euclidean_distances

    return lambda query: int(np.nanargmin(nan_euclidean_distances(query[None], matrix)[0]))


def duckdb_filter(matrix: Matrix) -> Peer:
    """Rows all of whose known cells lie within a tolerance of the readings, from a columnar engine."""
    import duckdb

    base = duckdb.connect()
    base.execute("SET threads TO 2")
    cells = {name: np.where(np.isnan(matrix[:, i]), None, matrix[:, i]) for i, name in enumerate(TEN)}
    base.register("given", {name: column.astype(np.float32) for name, column in cells.items()})
    columns = ", ".join(f"CASE WHEN isnan({name}) THEN NULL ELSE {name} END AS {name}" for name in TEN)
    base.execute(f"CREATE TABLE chains AS SELECT {columns} FROM given")  # noqa: S608 (names of our own)

    def within(query: Query) -> object:
        asked = [(name, float(query[i])) for i, name in enumerate(TEN) if not math.isnan(query[i])]
        tests = " AND ".join(f"({name} IS NULL OR {name} BETWEEN ? AND ?)" for name, _ in asked)
        limits = [edge for _, value in asked for edge in (value * (1 - TOLERANCE), value * (1 + TOLERANCE))]
        return base.execute(f"SELECT rowid FROM chains WHERE {tests}", limits).fetchall()  # noqa: S608 (as above)

    return within


PEERS: Mapping[str, Callable[[Matrix], Peer]] = {
    "reading the data from memory": memory_read,
    "blocked NumPy, nearest in the logarithm": blocked_numpy,
    "scikit-learn, nan-euclidean nearest": nan_euclidean,
    "DuckDB, tolerance filter": duckdb_filter,
}
