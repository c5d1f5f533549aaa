"""The check of a user's table while it is read: what cannot be true is a fault with its place, the rest a doubt.

Every row is looked at in columns first, which costs nothing; only rows that break a rule there are told about in
words. Rows are compared with each other in tables of the size that people print.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.chain_rows import ChainRows, Faults
from chaincase.catalog.findings import Severity
from chaincase.catalog.geometry import LARGEST, LESS, SMALLEST_PITCH, SUMS, complaints
from chaincase.catalog.layout import Layout
from chaincase.catalog.series import row_complaints
from chaincase.catalog.table import Catalog, Limit
from chaincase.chains.designation import key
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS

COMPARED = 3000
"""Rows up to which they are compared with each other; the comparison grows with their square."""
TOLD = 20
"""Doubts that are told one by one."""


def judge(catalog: Catalog, chains: ChainRows, layout: Layout, faults: Faults) -> tuple[str, ...]:
    """Check a catalog that was just read.

    Parameters
    ----------
    catalog : Catalog
        The chains as a catalog.
    chains : ChainRows
        The same chains with their rows in the sheet.
    layout : Layout
        Where the key's columns stand.
    faults : Faults
        Takes what cannot be true: impossible geometry, and names that are the same but for their spelling.

    Returns
    -------
    tuple of str
        What may be true but is strange.
    """
    places = {column.dimension: place for column, place in layout.figures}
    places["designation"] = layout.designation
    doubts: list[str] = []
    known = chains.kinds >= 0
    for row in (row for row in suspicious(catalog).tolist() if known[row]):
        values = catalog.dimensions_of(row)
        limits = {d.name: Limit(catalog.limits[row, i]) for i, d in enumerate(DIMENSIONS) if d.name in values}
        for column, message, severity in complaints(
            KINDS[int(catalog.kind[row])], int(catalog.strands[row]), values, limits
        ):
            if severity is Severity.ERROR:
                right = _right(catalog, row, column)
                faults.add(int(chains.rows[row]), places.get(column, -1), message, right)
            else:
                doubts.append(_doubt(catalog, chains, row, column, message))
    _same_names(catalog, chains, layout, faults)
    if len(catalog) <= COMPARED and known.all():
        for row, column, message, _ in row_complaints(catalog, range(len(catalog))):
            if not message.startswith("the same name"):
                doubts.append(_doubt(catalog, chains, row, column, message))
    more = len(doubts) - TOLD
    return (*doubts[:TOLD], *([f"{more} more of this sort"] if more > 0 else []))


def _right(catalog: Catalog, row: int, column: str) -> str:
    kind = KINDS[int(catalog.kind[row])]
    if column not in kind.dimensions:
        return f"leave the column out of the key, or the cell empty; it has: {', '.join(kind.dimensions)}"
    return "check figure, unit and dimension; empty the cell if the print itself is wrong"


def _doubt(catalog: Catalog, chains: ChainRows, row: int, column: str, message: str) -> str:
    return f"row {chains.rows[row]}, {catalog.designations[row]}, {column}: {message}"


def _same_names(catalog: Catalog, chains: ChainRows, layout: Layout, faults: Faults) -> None:
    keys = [key(name) for name in catalog.designations]
    if len(set(keys)) == len(keys):
        return
    first: dict[str, int] = {}
    for row, name in enumerate(catalog.designations):
        other = first.setdefault(keys[row], row)
        if other != row:
            what = f"{name!r} is the same number as {catalog.designations[other]!r} in row {chains.rows[other]}"
            right = "give every chain a number of its own, for example with its pitch: M112x160"
            faults.add(int(chains.rows[row]), layout.designation, what, right)


def suspicious(catalog: Catalog) -> NDArray[np.int64]:
    """Give the rows, in ascending order, that `geometry.complaints` may have something to say about.

    None that it complains about is missing.
    """
    values = catalog.values
    exists: Mapping[str, frozenset[str]] = {kind.name: frozenset(kind.dimensions) for kind in KINDS}
    allowed = np.array([[d.name in exists[kind.name] for d in DIMENSIONS] for kind in KINDS])
    strange: NDArray[np.bool_] = ~np.isnan(values) & ~allowed[catalog.kind]
    strange |= (values <= 0) | (values > LARGEST)
    broken = strange.any(axis=1) | (values[:, COLUMN["pitch"]] < SMALLEST_PITCH)
    for rule in LESS:
        broken |= values[:, COLUMN[rule.small]] >= rule.stretch * values[:, COLUMN[rule.large]]
    for inside, plate, over in SUMS:
        broken |= values[:, COLUMN[inside]] + 2 * values[:, COLUMN[plate]] > values[:, COLUMN[over]]
    return np.flatnonzero(broken)
