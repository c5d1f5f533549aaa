"""One row of a catalog in the form in which it is shown: every figure with what it says and how well it is known."""

from dataclasses import dataclass

import numpy as np

from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import BY_NAME, COLUMN, DIMENSIONS, Dimension
from chaincase.chains.kinds import KINDS

FROM_MEMORY = "figures from memory: confirm against the maker's print before ordering"
"""To be said wherever a figure from memory decides something."""


@dataclass(frozen=True, slots=True)
class Described:
    """One figure of a row.

    Attributes
    ----------
    dimension : Dimension
        What it is a figure of.
    value : float
        The figure [mm].
    limit : Limit
        Whether parts are at it, below it or above it.
    trust : Trust
        How well it is known.
    """

    dimension: Dimension
    value: float
    limit: Limit
    trust: Trust


def describe(catalog: Catalog, row: int) -> tuple[Described, ...]:
    """Give the known figures of a row, in the order of its kind's measuring sheet.

    Parameters
    ----------
    catalog : Catalog
        Any catalog.
    row : int
        Row of it.

    Returns
    -------
    tuple of Described
        One per filled cell.

    >>> catalog = Catalog.standard()
    >>> [(d.dimension.name, d.value, d.limit.name) for d in describe(catalog, catalog.row("16B-1"))][:2]
    [('pitch', 25.4, 'NOMINAL'), ('roller_diameter', 15.88, 'MAXIMUM')]
    """
    sheet = KINDS[int(catalog.kind[row])].dimensions
    names = dict.fromkeys((*sheet, *(dimension.name for dimension in DIMENSIONS)))
    known = [name for name in names if not np.isnan(catalog.values[row, COLUMN[name]])]
    return tuple(_described(catalog, row, name) for name in known)


def _described(catalog: Catalog, row: int, name: str) -> Described:
    column = COLUMN[name]
    limit, trust = Limit(catalog.limits[row, column]), Trust(catalog.trust[row, column])
    return Described(BY_NAME[name], float(catalog.values[row, column]), limit, trust)


def remembered(catalog: Catalog, row: int) -> tuple[str, ...]:
    """Give the dimensions of a row whose figures are from memory; where there are any, `FROM_MEMORY` applies.

    >>> catalog = Catalog.standard()
    >>> remembered(catalog, catalog.row("H78"))
    ('pitch', 'bush_diameter', 'pin_diameter')
    """
    return tuple(d.dimension.name for d in describe(catalog, row) if d.trust is Trust.MEMORY)
