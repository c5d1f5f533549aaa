"""What each row of a catalog leads one to expect of every dimension, an empty cell included.

A listed figure gives the new part's size by its limit kind. An empty cell is not a fit and not a miss: it is
integrated out over what such chains have, as a ratio to the dimension of the same row that predicts it best
among the packaged chains of its kind.
"""

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS
from chaincase.identifying.constants import MEMORY_SPREAD, SPREAD

Array = NDArray[np.float64]

_PREDICTORS = (
    "pitch",
    "pin_diameter",
    "bush_diameter",
    "roller_diameter",
    "inner_width",
    "inner_plate_height",
    "sidebar_height",
)
_PREDICTOR_COLUMNS = [COLUMN[name] for name in _PREDICTORS]
_TRANSVERSE = COLUMN["transverse_pitch"]
_FEWEST = 4
"""A ratio learned from fewer rows of a kind is no better than that of all chains together."""
_LESS_ALIKE = 1.5
"""Ratios of all kinds together say less about a kind that has too few rows of its own."""
_ANY_SIZE = (float(np.log(25.0)), 1.2)
"""Center and width of the logarithm of a size [mm] of which nothing is known."""
_OVER_STRANDS = ("pin_length", "pin_length_connecting")
"""These grow by the transverse pitch with every further strand (geometry; so in the tables of ISO 606)."""
_SIBLING = {"pitch": 0.003, "transverse_pitch": 0.006, "inner_width": 0.02}
_SIBLING_COLUMNS = [COLUMN[name] for name in _SIBLING]
"""Chains that differ by less in these are made of the same parts, in another number of strands (ISO 606)."""
_AS_SIBLING = 0.02
"""Relative spread of what a chain of the same parts says of a length over the pin (common practice, no source)."""
_NARROWEST = 0.08
"""No ratio between two dimensions is more regular than this among chains not yet seen (common practice, no source)."""


@dataclass(frozen=True, eq=False, slots=True)
class Expectation:
    """New-part sizes per row and dimension, shape (n, dimensions) each.

    Attributes
    ----------
    mean, spread : ndarray of float64
        Center and standard deviation of the normal part [mm].
    slack : ndarray of float64
        Signed mean of the exponential distance from a limit [mm]: negative below a maximum, positive above a
        minimum, 0 for a nominal figure or an empty cell.
    listed : ndarray of bool
        The table has a figure.
    exists : ndarray of bool
        The dimension exists on a chain of that kind.
    """

    mean: Array
    spread: Array
    slack: Array
    listed: NDArray[np.bool_]
    exists: NDArray[np.bool_]

    def only(self, row: int) -> "Expectation":
        """Give the expectation of one row."""
        return self.take(slice(row, row + 1))

    def take(self, rows: slice | NDArray[np.int64]) -> "Expectation":
        """Give the expectation of some rows."""
        return Expectation(self.mean[rows], self.spread[rows], self.slack[rows], self.listed[rows], self.exists[rows])


@lru_cache(maxsize=4)
def expectation(catalog: Catalog) -> Expectation:
    """Give what the rows of a catalog lead one to expect; kept for the catalogs in use."""
    return expected_cells(catalog, np.arange(len(DIMENSIONS)))


def expected_cells(catalog: Catalog, columns: NDArray[np.int64]) -> Expectation:
    """Give what the rows of a catalog lead one to expect of some dimensions, in the order of `columns`."""
    values = catalog.values[:, columns]
    listed = ~np.isnan(values)
    mean, spread = _predicted(catalog, columns)
    sizes = np.where(listed, values, 1.0)
    new_spread, new_slack = figure_spread(columns, catalog.limits[:, columns], catalog.trust[:, columns])
    return Expectation(
        mean=np.where(listed, values, mean),
        spread=np.where(listed, new_spread * sizes, spread),
        slack=np.where(listed, new_slack * sizes, 0.0),
        listed=listed,
        exists=cells_exist(catalog, columns, listed),
    )


def cells_exist(catalog: Catalog, columns: NDArray[np.int64], listed: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Give which dimensions exist on which rows: those of the kind, and those listed; shape (n, columns)."""
    allowed = (columns != COLUMN["transverse_pitch"]) | (catalog.strands[:, None] != 1)  # it lies between strands
    return np.asarray((_kind_exists()[catalog.kind[:, None], columns] | listed) & allowed)


def figure_spread(columns: NDArray[np.int64], limits: NDArray[np.int8], trust: NDArray[np.int8]) -> tuple[Array, Array]:
    """Give spread and signed slack of a new part relative to a table's figure, by its kind of limit and trust [-]."""
    spread, slack = _spread_table()[:, limits, columns]
    return np.hypot(spread, np.where(trust == Trust.MEMORY, MEMORY_SPREAD, 0.0)), slack


@cache
def _spread_table() -> Array:
    """Give spread and signed slack per limit kind and dimension, shape (2, limits, dimensions)."""
    table = np.zeros((2, len(Limit), len(DIMENSIONS)))
    for name, column in COLUMN.items():
        figures = SPREAD[name]
        table[0, :, column] = figures.edge
        table[0, Limit.NOMINAL, column] = figures.nominal
        table[1, Limit.MAXIMUM, column] = -figures.slack
        table[1, Limit.MINIMUM, column] = figures.slack
    return table


@cache
def _kind_exists() -> NDArray[np.bool_]:
    return np.array([[d.name in kind.dimensions for d in DIMENSIONS] for kind in KINDS])


def _predicted(catalog: Catalog, columns: NDArray[np.int64]) -> tuple[Array, Array]:
    """Give mean and spread [mm] for every cell from the best predictor that the row has."""
    logs = np.log(catalog.values[:, _PREDICTOR_COLUMNS])
    best = _best_predictor()[catalog.kind[:, None], lacking(catalog)[:, None], columns]
    logs = np.hstack([logs, np.zeros((len(catalog), 1))])  # the last predictor is none at all: the absolute size
    center, width = _ratios()
    kinds = catalog.kind[:, None]
    mean = np.exp(center[kinds, best, columns] + np.take_along_axis(logs, best, axis=1))
    spread = mean * width[kinds, best, columns]
    for i, column in enumerate(columns.tolist()):
        if DIMENSIONS[column].name in _OVER_STRANDS:
            mean[:, i], spread[:, i] = _over_strands(catalog, column, mean[:, i], spread[:, i])
    return mean, spread


def further_strands(catalog: Catalog) -> Array:
    """Give by how much a pin is longer than that of a single strand, shape (n,) [mm]."""
    apart = catalog.values[:, _TRANSVERSE].copy()
    open_ = np.flatnonzero((catalog.strands > 1) & np.isnan(apart))
    if len(open_):
        apart[open_] = _predicted(catalog.take(open_), np.array([_TRANSVERSE]))[0][:, 0]
    return np.where(catalog.strands > 1, (catalog.strands - 1.0) * apart, 0.0)


def guessed_further(catalog: Catalog, column: int) -> Array:
    """Give what is added to the guess for an empty cell of a dimension by further strands, shape (n,) [mm]."""
    return further_strands(catalog) if DIMENSIONS[column].name in _OVER_STRANDS else np.zeros(len(catalog))


def _over_strands(catalog: Catalog, column: int, single: Array, spread: Array) -> tuple[Array, Array]:
    """Give mean and spread of a length over the pin from those of a single strand, by a chain of the same parts."""
    further = further_strands(catalog)
    mean = single + further
    figures, length = _siblings(column)
    some = np.flatnonzero((catalog.strands > 0) & np.isnan(catalog.values[:, column]))
    some = some[~np.isnan(catalog.values[some[:, None], _SIBLING_COLUMNS]).any(axis=1)]
    figures_here = catalog.values[some[:, None], _SIBLING_COLUMNS]
    for figure, one in zip(figures, length, strict=True) if len(some) else ():
        alike = some[(np.abs(np.log(figures_here / figure)) < list(_SIBLING.values())).all(axis=1)]
        mean[alike] = one + further[alike]
        spread[alike] = _AS_SIBLING * mean[alike]
    return mean, spread


@cache
def _siblings(column: int) -> tuple[Array, Array]:
    """Give the packaged chains that tell a length over the pin: what they are known by, and their single strand's."""
    catalog = Catalog.standard()
    figures = catalog.values[:, _SIBLING_COLUMNS]
    length = catalog.values[:, column] - further_strands(catalog)
    told = ~np.isnan(figures).any(axis=1) & ~np.isnan(length) & (catalog.strands > 0)
    figures, which = np.unique(figures[told], axis=0, return_inverse=True)
    return figures, np.bincount(which.ravel(), length[told]) / np.bincount(which.ravel())


def lacking(catalog: Catalog) -> NDArray[np.uint8]:
    """Give which predictors each row lacks, as bits, shape (n,)."""
    lacks = np.zeros(len(catalog), dtype=np.uint8)
    for bit, column in enumerate(_PREDICTOR_COLUMNS):
        lacks |= np.isnan(catalog.values[:, column]).view(np.uint8) << np.uint8(bit)
    return lacks


@dataclass(frozen=True, eq=False, slots=True)
class Guess:
    """How an empty cell of one dimension is guessed, per kind and predictors that a row lacks, shape (kinds, sets).

    Attributes
    ----------
    predictor : ndarray of int64
        Column whose logarithm is added; -1 for none.
    log_ratio : ndarray of float64
        Logarithm of the size, or of its ratio to the predictor.
    width : ndarray of float64
        Standard deviation, relative to the size.
    """

    predictor: NDArray[np.int64]
    log_ratio: Array
    width: Array


def guess_for(column: int) -> Guess:
    """Give how an empty cell of a dimension is guessed."""
    best = _best_predictor()[:, :, column]
    center, width = _ratios()
    kinds = np.arange(len(KINDS))[:, None]
    columns = np.array([*_PREDICTOR_COLUMNS, -1])
    return Guess(columns[best], center[kinds, best, column], width[kinds, best, column])


@cache
def _best_predictor() -> NDArray[np.int64]:
    """Give the predictor of least width per kind, set of predictors that a row lacks (bits), and dimension."""
    _, width = _ratios()
    sets = np.arange(1 << len(_PREDICTORS))
    lacks = (sets[:, None] >> np.arange(len(_PREDICTORS) + 1)) & 1 == 1
    return np.asarray(np.where(lacks[None, :, :, None], np.inf, width[:, None]).argmin(axis=2))


@cache
def _ratios() -> tuple[Array, Array]:
    """Learn log-ratios from the packaged tables: center and width, shape (kinds, predictors + 1, dimensions).

    Always from the packaged tables, so that a row added to a catalog does not move what is expected of others.
    """
    catalog = Catalog.standard()
    logs = np.log(catalog.values)
    for name in _OVER_STRANDS:
        further = np.maximum(catalog.strands - 1, 0) * np.nan_to_num(catalog.values[:, _TRANSVERSE])
        logs[:, COLUMN[name]] = np.log(catalog.values[:, COLUMN[name]] - further)
    base = np.hstack([logs[:, _PREDICTOR_COLUMNS], np.zeros((len(catalog), 1))])
    ratios = logs[:, None, :] - base[:, :, None]
    anywhere, wide, seen = _robust(ratios)
    anywhere = np.where(seen >= _FEWEST, anywhere, _ANY_SIZE[0])
    wide = np.where(seen >= _FEWEST, _LESS_ALIKE * wide, _ANY_SIZE[1])
    center = np.tile(anywhere, (len(KINDS), 1, 1))
    width = np.tile(wide, (len(KINDS), 1, 1))
    for kind in np.unique(catalog.kind):
        own, own_width, count = _robust(ratios[catalog.kind == kind])
        enough = count >= _FEWEST
        center[kind] = np.where(enough, own, center[kind])
        width[kind] = np.where(enough, own_width, width[kind])
    return center, width


def _robust(values: Array) -> tuple[Array, Array, NDArray[np.int64]]:
    """Give median, a standard deviation wider the fewer values there are, and their number, along the first axis."""
    count = (~np.isnan(values)).sum(axis=0)
    middle = _median(values, count)
    spread = 1.4826 * _median(np.abs(values - middle), count)
    deviations = np.where(np.isnan(values), 0.0, values - middle)
    overall = np.sqrt((deviations**2).sum(axis=0) / np.maximum(count, 1))
    sd = np.maximum(np.maximum(spread, 0.7 * overall), _NARROWEST)
    return middle, sd * (1.0 + 2.0 / np.maximum(count, 1)), count


def _median(values: Array, count: NDArray[np.int64]) -> Array:
    """Give the median along the first axis of the values that are not NaN; 0 where there are none."""
    ordered = np.sort(np.nan_to_num(values, nan=np.inf), axis=0)
    low = np.take_along_axis(ordered, np.maximum(count - 1, 0)[None] // 2, axis=0)[0]
    high = np.take_along_axis(ordered, np.minimum(count // 2, len(values) - 1)[None], axis=0)[0]
    return np.where(count > 0, 0.5 * (np.where(count > 0, low, 0.0) + np.where(count > 0, high, 0.0)), 0.0)
