"""Tables that a user brings, read with their dimension key into a catalog.

The makers' prints that no standard covers come in this way. Nothing is guessed while reading: what the key or
the table leaves open is a fault with its place, and all faults of a file are told at once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.chain_rows import ChainRows, Faults, read_chains
from chaincase.catalog.dimension_key import ColumnKey, DimensionKey
from chaincase.catalog.judging import judge
from chaincase.catalog.key_file import read_key
from chaincase.catalog.layout import Layout, find_layout
from chaincase.catalog.sheets import CATALOG, Limits, Sheet, column_letters, read_sheet
from chaincase.catalog.table import Catalog, Limit, Source, Trust
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.errors import BadInput

NORMALISED_FIGURES = {"tensile_kn": ("tensile", "kN"), "mass_kg_per_m": ("mass", "kg/m")}
"""Columns of the tool's own form of a table that hold figures which are no dimension."""


class NoKey(BadInput):
    """A table came without a key; `sheet` is the table, for which one can be proposed."""

    def __init__(self, sheet: Sheet) -> None:
        right = "save what `chaincase catalog import` proposes beside it and correct it"
        super().__init__("there is no key that says what its columns are", where=sheet.file, right=right)
        self.sheet = sheet


@dataclass(frozen=True, slots=True)
class ColumnReport:
    """What was read from one column.

    Attributes
    ----------
    place : str
        Letter and header of the column.
    column : ColumnKey
        What the key says of it.
    count : int
        Figures in it.
    least, most : float
        Smallest and largest figure [mm, kN or kg/m], NaN if there is none.
    """

    place: str
    column: ColumnKey
    count: int
    least: float
    most: float

    def __str__(self) -> str:
        words = {Limit.NOMINAL: "nominal", Limit.MAXIMUM: "maximum", Limit.MINIMUM: "minimum"}
        base = {"tensile": "kN", "mass": "kg/m"}.get(self.column.dimension, "mm")
        limit = f", {words[self.column.limit]}" if base == "mm" else ""
        what = f"{self.place}: {self.column.dimension}{limit}, in {self.column.unit}"
        if not self.count:
            return f"{what}; no figures"
        return f"{what}; {self.count} figures from {self.least:g} to {self.most:g} {base}"


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import read, for the person who must compare it with the print.

    Attributes
    ----------
    file, sheet : str
        Where the table stands.
    header_row : int
        Row of the headers; 0 for none.
    chains : int
        Chains read.
    columns : tuple of ColumnReport
        One per column of figures.
    unread : tuple of str
        Columns with a header that the key does not name.
    skipped : tuple of int
        Rows with a name but no figures.
    doubts : tuple of str
        Figures that are possible but strange.
    """

    file: str
    sheet: str
    header_row: int
    chains: int
    columns: tuple[ColumnReport, ...]
    unread: tuple[str, ...]
    skipped: tuple[int, ...]
    doubts: tuple[str, ...] = ()

    def __str__(self) -> str:
        place = self.file + (f", sheet {self.sheet!r}" if self.sheet else "")
        head = f", headers in row {self.header_row}" if self.header_row else ""
        lines = [f"{place}: {self.chains} chains{head}", *(f"  {column}" for column in self.columns)]
        if self.unread:
            lines.append(f"  columns not read: {', '.join(self.unread)}")
        if self.skipped:
            lines.append(f"  rows without figures, left out: {_some(self.skipped)}")
        lines.extend(f"  doubtful: {doubt}" for doubt in self.doubts)
        return "\n".join(lines)


def _some(numbers: Sequence[int], most: int = 20) -> str:
    shown = ", ".join(map(str, numbers[:most]))
    return shown if len(numbers) <= most else f"{shown} and {len(numbers) - most} more"


def key_beside(path: str | Path) -> Path | None:
    """Give the key that lies beside a table: `prints.csv.toml`, or `prints.toml` for `prints.csv`.

    An empty file is none: a shell makes one before `chaincase catalog import prints.csv > prints.csv.toml` runs.
    """
    path = Path(path)
    candidates = (path.with_name(path.name + ".toml"), path.with_suffix(".toml"))
    return next((candidate for candidate in candidates if candidate.is_file() and candidate.stat().st_size), None)


def import_catalog(
    path: str | Path,
    key: str | Path | DimensionKey | None = None,
    *,
    name: str | None = None,
    limits: Limits = CATALOG,
    plain: bool = True,
) -> tuple[Catalog, ImportReport]:
    """Read a user's table.

    Parameters
    ----------
    path : str or Path
        CSV or XLSX file.
    key : str, Path or DimensionKey, optional
        Its key; without one, the file beside the table. A table in the tool's own form needs none.
    name : str, optional
        Name of the table in the catalog; the file's without one.
    limits : Limits
        How much is read.
    plain : bool
        Whether plain numbers take the short way; the result is the same.

    Returns
    -------
    catalog : Catalog
        One row per chain, of one source.
    report : ImportReport
        What was read from which column.

    Raises
    ------
    NoKey
        If it has no key and is not in the tool's own form.
    BadInput, BadInputs
        With every fault of the key, or of the table, and where it is: sheet, row and column.
    """
    path = Path(path)
    chosen = key if isinstance(key, DimensionKey) else _chosen_key(path, key)
    sheet = read_sheet(path, chosen.sheet if chosen else None, limits)
    chosen = chosen or implied_key(sheet)
    layout = find_layout(sheet, chosen)
    faults = Faults(sheet, layout)
    chains = read_chains(chosen, layout, faults, plain=plain)
    catalog = _catalog(chains, layout, _source(path, chosen, name))
    doubts = judge(catalog, chains, layout, faults)
    faults.refuse()
    if not chains.designations:
        right = "check header_row, first_row and the designation column of the key"
        raise BadInput("there are no chains in the table", where=sheet.place(), right=right)
    return catalog, _report(sheet, layout, chains, doubts)


def _chosen_key(path: Path, key: str | Path | None) -> DimensionKey | None:
    found = Path(key) if key is not None else key_beside(path)
    return read_key(found) if found is not None else None


def implied_key(sheet: Sheet) -> DimensionKey:
    """Give the key of a table in the tool's own form: its headers are the dimensions' names, its unit is mm.

    Raises
    ------
    NoKey
        If the table is not in that form.
    """
    first = next(iter(sheet.rows()), (1, []))[1]
    headers = [" ".join(cell.split()) for cell in first]
    columns = tuple(
        ColumnKey(header, *NORMALISED_FIGURES.get(header, (header, "mm")))
        for header in headers
        if header in COLUMN or header in NORMALISED_FIGURES
    )
    if not columns or not {"designation", "kind"} <= set(headers):
        raise NoKey(sheet)
    single = {column: column if column in headers else None for column in ("kind", "strands", "standard")}
    return DimensionKey(
        where=sheet.file,
        title=Path(sheet.file).stem,
        source=Path(sheet.file).name,
        designation="designation",
        columns=columns,
        header_row=1,
        kind_column=single["kind"],
        strands_column=single["strands"],
        standard_column=single["standard"],
        alternatives=("alternatives",) if "alternatives" in headers else (),
        notes=("note",) if "note" in headers else (),
    )


def _source(path: Path, key: DimensionKey, name: str | None) -> Source:
    evidence = key.evidence or f"Read from {path.name}; who brought it answers for it."
    return Source(name or path.stem, key.title, key.source, evidence)


def _catalog(chains: ChainRows, layout: Layout, source: Source) -> Catalog:
    count = len(chains.designations)
    values = np.full((count, len(DIMENSIONS)), np.nan)
    limits = np.full(values.shape, Limit.NOMINAL, dtype=np.int8)
    single = {"tensile": np.full(count, np.nan), "mass": np.full(count, np.nan)}
    for j, (column, _) in enumerate(layout.figures):
        if column.dimension in single:
            single[column.dimension] = chains.figures[:, j].copy()
        else:
            values[:, COLUMN[column.dimension]] = chains.figures[:, j]
            limits[:, COLUMN[column.dimension]] = column.limit
    limits[np.isnan(values)] = Limit.NOMINAL
    return Catalog(
        designations=tuple(chains.designations),
        alternatives=tuple(chains.alternatives),
        sources=(source,),
        source=np.zeros(count, dtype=np.int16),
        kind=chains.kinds,
        strands=chains.strands,
        values=values,
        limits=limits,
        trust=np.where(np.isnan(values), Trust.NONE, Trust.USER).astype(np.int8),
        tensile_kn=single["tensile"],
        mass_kg_per_m=single["mass"],
        notes=tuple(chains.notes),
        standards=tuple(chains.standards),
    )


def _report(sheet: Sheet, layout: Layout, chains: ChainRows, doubts: tuple[str, ...]) -> ImportReport:
    return ImportReport(
        file=sheet.file,
        sheet=sheet.name,
        header_row=layout.header_row,
        chains=len(chains.designations),
        columns=tuple(
            _column_report(column, _label(layout, place), chains.figures[:, j])
            for j, (column, place) in enumerate(layout.figures)
        ),
        unread=tuple(_label(layout, place) for place in layout.unread()),
        skipped=tuple(chains.skipped),
        doubts=doubts,
    )


def _label(layout: Layout, place: int) -> str:
    return f"column {column_letters(place)} {layout.header(place)!r}"


def _column_report(column: ColumnKey, place: str, figures: NDArray[np.float64]) -> ColumnReport:
    known = figures[~np.isnan(figures)]
    least, most = (float(known.min()), float(known.max())) if known.size else (np.nan, np.nan)
    return ColumnReport(place, column, int(known.size), least, most)
