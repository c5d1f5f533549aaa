"""A catalog of any size for tests and benchmarks: the packaged tables, grown by copies with other sizes.

The copies are invented. Each is a packaged chain scaled as a whole and then in every dimension for itself, with
its pitch on a raster, as real series have it; cells that are empty stay empty, and all figures count as the user's own.
"""

import csv
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.geometry import LESS, SUMS
from chaincase.catalog.table import Catalog, Limit, Source, Trust
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS

SOURCE = Source("grown", "Packaged chains and copies of them with other sizes", "none", "Invented for a test.")

_WHOLE, _EACH = 0.25, 0.04
"""Standard deviations of the logarithm of the scale of a copy, and of each of its dimensions."""
_RASTER = 25.4 / 16
_SMALLEST, _LARGEST = 0.5, 1500.0


def grown(n: int, seed: int = 0) -> Catalog:
    """Give a catalog of n rows."""
    base, rng = Catalog.standard(), np.random.default_rng(seed)
    rows = rng.integers(len(base), size=n)
    shape = (n, len(DIMENSIONS))
    scale = np.exp(rng.normal(0.0, _WHOLE, size=(n, 1)) + rng.normal(0.0, _EACH, size=shape))
    values = np.clip(np.round(base.values[rows] * scale, 2), _SMALLEST, _LARGEST)
    pitch = values[:, COLUMN["pitch"]]
    values[:, COLUMN["pitch"]] = np.round(np.maximum(np.round(pitch / _RASTER), 4) * _RASTER, 3)
    _empty_contradictions(values)
    letters = "ABCDEFGHIJKLMNOPRSTUVWX"
    return Catalog(
        designations=tuple(f"{letters[i % 23]}{letters[i // 23 % 23]}{i}" for i in range(n)),
        alternatives=((),) * n,
        sources=(SOURCE,),
        source=np.zeros(n, dtype=np.int16),
        kind=base.kind[rows],
        strands=base.strands[rows],
        values=values,
        limits=np.full(shape, Limit.NOMINAL, dtype=np.int8),
        trust=np.where(np.isnan(values), Trust.NONE, Trust.USER).astype(np.int8),
        tensile_kn=np.full(n, np.nan),
        mass_kg_per_m=np.full(n, np.nan),
        notes=("",) * n,
        standards=("",) * n,
    )


def _empty_contradictions(values: NDArray[np.float64]) -> None:
    """Empty the cells that cannot be true beside others, so that the table can be imported."""
    columns = {dimension.name: values[:, i] for i, dimension in enumerate(DIMENSIONS)}
    for rule in LESS:
        small, large = columns[rule.small], columns[rule.large]
        small[small >= large] = np.nan
    for inside, plate, over in SUMS:
        columns[over][columns[inside] + 2 * columns[plate] > columns[over]] = np.nan


def write_csv(catalog: Catalog, path: Path) -> None:
    """Write a catalog as a user would bring it, in the form that needs no key."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["designation", "kind", "strands", *(dimension.name for dimension in DIMENSIONS)])
        for row, name in enumerate(catalog.designations):
            figures = ["" if value != value else value for value in catalog.values[row].tolist()]  # noqa: PLR0124 (NaN)
            writer.writerow([name, KINDS[catalog.kind[row]].name, max(int(catalog.strands[row]), 1), *figures])
