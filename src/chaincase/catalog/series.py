"""What must hold between the rows of one table: no size twice, no unit slipped, no step back within a series."""

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.findings import Severity
from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS

RowComplaint = tuple[int, str, str, Severity]
"""Row, column, message, severity."""

STEPPED = frozenset({"roller", "bush", "double pitch", "offset sidebar", "leaf"})
"""Kinds whose parts grow with the pitch within a series; on conveyor chain they do not."""
STEP_BACK = 0.95
"""A pin or roller of a larger pitch is not smaller than this part of any smaller pitch's (common practice)."""
INCH = 25.4
NEAR = 0.3
"""Natural logarithm; how near to 25.4 a ratio must be to look like a slipped unit."""
TELLING = 3
"""Figures that two rows must share before it means anything that they share all."""


def row_complaints(catalog: Catalog, rows: Sequence[int]) -> Iterator[RowComplaint]:
    """Give what is wrong between the rows of one table.

    Parameters
    ----------
    catalog : Catalog
        Any catalog.
    rows : sequence of int
        Its rows of one table.

    Yields
    ------
    RowComplaint
        Row, column, message and severity.
    """
    yield from _same_name(catalog, rows)
    yield from _same_figures(catalog, rows)
    yield from _slipped_units(catalog, rows)
    yield from _steps_back(catalog, rows)


def _same_name(catalog: Catalog, rows: Sequence[int]) -> Iterator[RowComplaint]:
    first: dict[str, int] = {}
    for row in rows:
        other = first.setdefault(key(catalog.designations[row]), row)
        if other != row:
            message = f"the same name as {catalog.designations[other]}"
            yield row, "designation", message, Severity.ERROR


def _same_figures(catalog: Catalog, rows: Sequence[int]) -> Iterator[RowComplaint]:
    first: dict[tuple[object, ...], int] = {}
    for row in rows:
        figures = catalog.values[row]
        if np.count_nonzero(~np.isnan(figures)) < TELLING:
            continue
        whole = (int(catalog.kind[row]), int(catalog.strands[row]), *np.nan_to_num(figures, nan=-1.0).tolist())
        other = first.setdefault(whole, row)
        if other != row:
            message = f"all figures equal those of {catalog.designations[other]}"
            yield row, "designation", message, Severity.DOUBT


def _slipped_units(catalog: Catalog, rows: Sequence[int]) -> Iterator[RowComplaint]:
    """Look for single cells that are 25.4 times too large or small beside the row and the column they stand in."""
    by_kind = defaultdict(list)
    for row in rows:
        by_kind[int(catalog.kind[row])].append(row)
    for members in by_kind.values():
        values = catalog.values[members]
        if len(members) >= TELLING:
            for at, column in zip(*np.nonzero(_slipped(values)), strict=True):
                name = DIMENSIONS[column].name
                message = f"{values[at, column]:g} mm is about 25.4 times off its neighbors; mixed units?"
                yield members[at], name, message, Severity.ERROR


def _slipped(values: NDArray[np.float64]) -> NDArray[np.bool_]:
    logs = np.full(values.shape, np.nan)
    np.log(values, out=logs, where=values > 0)
    full = np.count_nonzero(~np.isnan(logs), axis=0) >= TELLING
    logs[:, ~full] = np.nan
    some = np.count_nonzero(~np.isnan(logs), axis=1) >= TELLING
    logs[~some] = np.nan
    rest = logs - _median(logs, 0)
    rest = rest - _median(rest, 1)
    rest = rest - _median(rest, 0)
    result: NDArray[np.bool_] = np.abs(np.abs(np.nan_to_num(rest)) - np.log(INCH)) < NEAR
    return result


def _median(values: NDArray[np.float64], axis: int) -> NDArray[np.float64]:
    """Give medians without the empty cells, 0 where all are empty."""
    masked = np.ma.median(np.ma.masked_invalid(values), axis=axis, keepdims=True)  # type: ignore[no-untyped-call]
    return np.ma.filled(np.ma.asarray(masked), 0.0)


def _steps_back(catalog: Catalog, rows: Sequence[int]) -> Iterator[RowComplaint]:
    series = defaultdict(list)
    for row in rows:
        letters = re.sub(r"[\d.\-]", "", catalog.designations[row])
        if KINDS[int(catalog.kind[row])].name in STEPPED and catalog.values[row, 0] > 0:
            series[int(catalog.kind[row]), int(catalog.strands[row]), letters].append(row)
    for members in series.values():
        for name in ("roller_diameter", "pin_diameter"):
            yield from _descents(catalog, sorted(members, key=lambda row: float(catalog.values[row, 0])), name)


def _descents(catalog: Catalog, members: Sequence[int], name: str) -> Iterator[RowComplaint]:
    """Compare every row with the largest part seen at smaller pitches; `members` go up in pitch."""
    column = COLUMN[name]
    known = [row for row in members if not np.isnan(catalog.values[row, column])]
    for at, row in enumerate(known):
        smaller = [other for other in known[:at] if catalog.values[other, 0] < catalog.values[row, 0]]
        largest = max(smaller, key=lambda other: float(catalog.values[other, column]), default=row)
        value = catalog.values[row, column]
        if value < STEP_BACK * catalog.values[largest, column]:
            message = f"{value:g} is less than that of {catalog.designations[largest]}, whose pitch is smaller"
            yield row, name, message, Severity.DOUBT
