"""Catalogs with near twins: other makes of listed chains that differ in one or two dimensions by little."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chaincase.calibration.chance import happens
from chaincase.calibration.stamps import made_up_number
from chaincase.catalog.table import Catalog, Source, Trust, concatenate
from chaincase.chains.dimensions import COLUMN

_LEAST, _MOST = 0.02, 0.06
"""How far a twin's dimension lies off that of its model, as a share."""
_SOURCE = Source("twins", "Near twins of listed chains", "none", "made up for the bench; no such chains exist")


def with_twins(rng: np.random.Generator, catalog: Catalog, share: float) -> Catalog:
    """Give the catalog with near twins of some of its rows at the end.

    Parameters
    ----------
    rng : numpy.random.Generator
    catalog : Catalog
    share : float
        Share of rows that get a twin [-].
    """
    known = (~np.isnan(catalog.values)).sum(axis=1)
    rows = np.flatnonzero((rng.random(len(catalog)) < share) & (known >= 2))
    if not len(rows):
        return catalog
    values, trust = catalog.values[rows].copy(), catalog.trust[rows].copy()
    for twin in range(len(rows)):
        _shift(rng, values[twin])
    trust[trust != Trust.NONE] = Trust.USER
    return concatenate(
        [
            catalog,
            replace(
                catalog,
                designations=_names(rng, len(rows)),
                alternatives=((),) * len(rows),
                sources=(_SOURCE,),
                source=np.zeros(len(rows), dtype=np.int16),
                kind=catalog.kind[rows],
                strands=catalog.strands[rows],
                values=values,
                limits=catalog.limits[rows],
                trust=trust,
                tensile_kn=catalog.tensile_kn[rows],
                mass_kg_per_m=catalog.mass_kg_per_m[rows],
                notes=("",) * len(rows),
                standards=("",) * len(rows),
            ),
        ]
    )


def _shift(rng: np.random.Generator, sizes: NDArray[np.float64]) -> None:
    """Shift one or two dimensions, in place; a pitch only where nothing else is known."""
    there = [column for column in np.flatnonzero(~np.isnan(sizes)).tolist() if column != COLUMN["pitch"]]
    columns = there or [COLUMN["pitch"]]
    for column in rng.choice(columns, size=min(2 if happens(rng, 0.5) else 1, len(columns)), replace=False):
        off = float(rng.uniform(_LEAST, _MOST))
        sizes[column] *= 1.0 + off if happens(rng, 0.5) else 1.0 - off


def _names(rng: np.random.Generator, count: int) -> tuple[str, ...]:
    names: dict[str, None] = {}
    while len(names) < count:
        names[made_up_number(rng)] = None
    return tuple(names)
