"""A catalog in memory: one row per chain, one column per dimension, everything columnar.

Loaders collect `Row` records, however they read them, and `build` turns the records of one table into a
`Catalog`; `concatenate` joins tables.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from functools import cache, cached_property
from typing import Any, Self

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.designation import key
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import INDEX
from chaincase.errors import BadInput


class Limit(IntEnum):
    """What a table's figure says about the part."""

    NOMINAL = 0
    MAXIMUM = 1
    MINIMUM = 2


class Trust(IntEnum):
    """How well a figure is known; the smaller the better."""

    TWO_SOURCES = 0
    ONE_SOURCE = 1
    MEMORY = 2
    USER = 3
    """From a table that the user brought; the user answers for it."""
    NONE = 9
    """The cell is empty."""


@dataclass(frozen=True, slots=True)
class Source:
    """One table: where its rows come from.

    Attributes
    ----------
    name : str
        Name of the table, as `catalog show` takes it.
    title : str
        What the table holds, for a person.
    standard : str
        Standard and table, or the print it was taken from.
    evidence : str
        What was read where, in a sentence or two.
    """

    name: str
    title: str
    standard: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Row:
    """One chain as a loader hands it over.

    Attributes
    ----------
    designation : str
        Name of the chain, unique within its table.
    kind : str
        Name of a kind of `chains.kinds`.
    values : mapping of str to float
        Known dimensions [mm]; a dimension that is not there is an empty cell.
    limits : mapping of str to Limit
        What each figure says; a dimension that is not there is nominal. May name more than `values` does,
        so that the rows of a table can share it.
    trust : Trust or mapping of str to Trust
        How well the figures are known: one for the whole row, or one per dimension of `values`.
    alternatives : tuple of str
        Other names of the same chain.
    strands : int
        Number of strands, 0 where it has no meaning.
    tensile_kn, mass_kg_per_m : float
        Minimum tensile strength [kN] and mass [kg/m], NaN where unknown.
    note : str
        What must be known about the row.
    standard : str
        Standard of this row, where rows of a table differ.
    """

    designation: str
    kind: str
    values: Mapping[str, float]
    limits: Mapping[str, Limit] = field(default_factory=dict)
    trust: Trust | Mapping[str, Trust] = Trust.USER
    alternatives: tuple[str, ...] = ()
    strands: int = 0
    tensile_kn: float = math.nan
    mass_kg_per_m: float = math.nan
    note: str = ""
    standard: str = ""


@dataclass(frozen=True, eq=False)
class Catalog:
    """Chains of one or several tables.

    Two catalogs are the same only if they are the same object, so that work done for one can be kept by it.

    Attributes
    ----------
    designations : tuple of str, length n
        One name per row, unique within its table.
    alternatives : tuple of tuples of str, length n
        Other names of the same chain, other standards' among them, with and without their prefix
        ("ANSI 80" and "80").
    sources : tuple of Source
        The tables.
    source : ndarray of int16, shape (n,)
        Index into `sources`.
    kind : ndarray of int16, shape (n,)
        Index into `chains.kinds.KINDS`.
    strands : ndarray of int16, shape (n,)
        Number of strands, 0 where it has no meaning.
    values : ndarray of float64, shape (n, dimensions)
        Millimeters, NaN where the table's cell is empty; columns as `chains.dimensions.DIMENSIONS`.
    limits : ndarray of int8, shape (n, dimensions)
        `Limit` codes.
    trust : ndarray of int8, shape (n, dimensions)
        `Trust` codes.
    tensile_kn : ndarray of float64, shape (n,)
        Minimum tensile strength [kN], NaN where unknown.
    mass_kg_per_m : ndarray of float64, shape (n,)
        Mass [kg/m], NaN where unknown.
    notes : tuple of str, length n
        What must be known about a row; may be empty.
    standards : tuple of str, length n
        Standard of the single row, where rows of a table differ.
    """

    designations: tuple[str, ...]
    alternatives: tuple[tuple[str, ...], ...]
    sources: tuple[Source, ...]
    source: NDArray[np.int16]
    kind: NDArray[np.int16]
    strands: NDArray[np.int16]
    values: NDArray[np.float64]
    limits: NDArray[np.int8]
    trust: NDArray[np.int8]
    tensile_kn: NDArray[np.float64]
    mass_kg_per_m: NDArray[np.float64]
    notes: tuple[str, ...]
    standards: tuple[str, ...]

    def __post_init__(self) -> None:
        for array in (self.source, self.kind, self.strands, self.values, self.limits, self.trust):
            array.setflags(write=False)  # catalogs are shared
        self.tensile_kn.setflags(write=False)
        self.mass_kg_per_m.setflags(write=False)

    def __len__(self) -> int:
        return len(self.designations)

    @classmethod
    @cache
    def standard(cls) -> Self:
        """Read the packaged tables; every chain stands in it once, its other standards' names beside it."""
        from chaincase.catalog.packaged import load_standard  # it builds on this module

        return load_standard()  # type: ignore[return-value]

    def __add__(self, other: "Catalog") -> "Catalog":
        """Give one catalog with the rows of both."""
        return concatenate([self, other])

    def take(self, rows: NDArray[np.integer[Any]]) -> "Catalog":
        """Give the catalog of some of the rows, in that order; quick also where the catalog is very large.

        Parameters
        ----------
        rows : ndarray of int, shape (m,)
            Row numbers; the sources stay as they are.

        >>> import numpy as np
        >>> Catalog.standard().take(np.array([3, 1])).designations == tuple(
        ...     Catalog.standard().designations[row] for row in (3, 1)
        ... )
        True
        """
        order = rows.tolist()
        return self._of(rows, lambda column: tuple([column[row] for row in order]))

    def stretch(self, rows: slice) -> "Catalog":
        """Give the catalog of rows that stand one after the other; quicker than `take`."""
        return self._of(rows, lambda column: column[rows])

    def _of(
        self, rows: NDArray[np.integer[Any]] | slice, picked: Callable[[tuple[Any, ...]], tuple[Any, ...]]
    ) -> "Catalog":
        """Give the catalog of some of the rows; `picked` takes them out of a tuple."""
        return Catalog(
            designations=picked(self.designations),
            alternatives=picked(self.alternatives),
            sources=self.sources,
            source=self.source[rows],
            kind=self.kind[rows],
            strands=self.strands[rows],
            values=self.values[rows],
            limits=self.limits[rows],
            trust=self.trust[rows],
            tensile_kn=self.tensile_kn[rows],
            mass_kg_per_m=self.mass_kg_per_m[rows],
            notes=picked(self.notes),
            standards=picked(self.standards),
        )

    @cached_property
    def names(self) -> Mapping[str, tuple[int, ...]]:
        """Rows of every name, designation or alternative, by `chains.designation.key` of the name."""
        rows: dict[str, dict[int, None]] = {}
        for row, designation in enumerate(self.designations):
            for name in (designation, *self.alternatives[row]):
                rows.setdefault(key(name), {})[row] = None
        return {name: tuple(found) for name, found in rows.items()}

    def table_of(self, row: int) -> str:
        """Give the name of the table that a row comes from."""
        return self.sources[int(self.source[row])].name

    def row(self, designation: str) -> int:
        """Give the row of a designation or of an alternative name.

        A designation goes before the alternative names of other chains. Where several tables have a chain
        of that name, `table/designation` says which is meant.

        Raises
        ------
        BadInput
            If there is no such row, or if several chains have the name.
        """
        table, slash, name = designation.partition("/")
        if slash and table in {source.name for source in self.sources}:
            found = [row for row in self.names.get(key(name), ()) if self.table_of(row) == table]
        else:
            name, found = designation, list(self.names.get(key(designation), ()))
        own = [row for row in found if key(self.designations[row]) == key(name)]
        found = own or found
        if not found:
            right = "use a designation, or another name, that one of its tables has"
            raise BadInput(f"no chain is named {designation!r}", right=right)
        if len(found) > 1:
            choices = ", ".join(f"{self.table_of(row)}/{self.designations[row]}" for row in found[:8])
            raise BadInput(f"{designation!r} is the name of {len(found)} chains", right=f"use one of: {choices}")
        return found[0]

    def dimensions_of(self, row: int) -> Mapping[str, float]:
        """Give the known dimensions of a row [mm]."""
        known = zip(DIMENSIONS, self.values[row].tolist(), strict=True)
        return {dimension.name: value for dimension, value in known if not math.isnan(value)}


def build(source: Source, rows: Iterable[Row]) -> Catalog:
    """Give the catalog of one table.

    Parameters
    ----------
    source : Source
        The table.
    rows : iterable of Row
        Its chains, in the order they are to have.

    Returns
    -------
    Catalog
        One row per chain.

    Raises
    ------
    BadInput
        If a kind or a dimension does not exist, or a designation occurs twice.

    >>> source = Source("plant", "Chains of one plant", "own print", "read off the print")
    >>> catalog = build(source, [Row("A1", "leaf", {"pitch": 12.7, "pin_diameter": 5.09})])
    >>> catalog.dimensions_of(catalog.row("a1"))
    {'pitch': 12.7, 'pin_diameter': 5.09}
    """
    rows = tuple(rows)
    _refuse_twice(source, rows)
    shape = (len(rows), len(DIMENSIONS))
    values = np.full(shape, np.nan)
    limits = np.full(shape, Limit.NOMINAL, dtype=np.int8)
    trust = np.full(shape, Trust.NONE, dtype=np.int8)
    cells = [cell for i, row in enumerate(rows) for cell in _cells(source, i, row)]
    if cells:
        at, column, value, limit, known = zip(*cells, strict=True)
        values[at, column], limits[at, column], trust[at, column] = value, limit, known
    return Catalog(
        designations=tuple(row.designation for row in rows),
        alternatives=tuple(row.alternatives for row in rows),
        sources=(source,),
        source=np.zeros(len(rows), dtype=np.int16),
        kind=np.array([_code(INDEX, row.kind, "kind of chain", source, row) for row in rows], dtype=np.int16),
        strands=np.array([row.strands for row in rows], dtype=np.int16),
        values=values,
        limits=limits,
        trust=trust,
        tensile_kn=np.array([row.tensile_kn for row in rows], dtype=np.float64),
        mass_kg_per_m=np.array([row.mass_kg_per_m for row in rows], dtype=np.float64),
        notes=tuple(row.note for row in rows),
        standards=tuple(row.standard for row in rows),
    )


def _cells(source: Source, at: int, row: Row) -> Iterator[tuple[int, int, float, int, int]]:
    one = row.trust if isinstance(row.trust, Trust) else None
    known = {} if isinstance(row.trust, Trust) else row.trust
    for name, value in row.values.items():
        if value == value:  # noqa: PLR0124 (an empty cell is NaN)
            trust = known[name] if one is None else one
            yield at, _code(COLUMN, name, "dimension", source, row), value, row.limits.get(name, 0), trust


def _refuse_twice(source: Source, rows: Sequence[Row]) -> None:
    seen: set[str] = set()
    for row in rows:
        if row.designation in seen:
            right = "give every chain of a table a name of its own"
            raise BadInput(f"{row.designation!r} occurs twice", where=source.name, right=right)
        seen.add(row.designation)


def _code(codes: Mapping[str, int], name: str, what: str, source: Source, row: Row) -> int:
    try:
        return codes[name]
    except KeyError:
        where = f"{source.name}, {row.designation}"
        raise BadInput(f"{name!r} is not a {what}", where=where, right=f"use one of: {', '.join(codes)}") from None


def concatenate(catalogs: Sequence[Catalog]) -> Catalog:
    """Give one catalog with the rows of all, in their order.

    A source that several of them name stands in the result once.

    >>> len(concatenate([]))
    0
    """
    sources = tuple(dict.fromkeys(source for catalog in catalogs for source in catalog.sources))
    codes = [np.array([sources.index(s) for s in c.sources], dtype=np.int16)[c.source] for c in catalogs]
    width = len(DIMENSIONS)

    def stack(name: str, dtype: type, shape: tuple[int, ...] = (0,)) -> NDArray[Any]:
        empty: NDArray[Any] = np.empty(shape, dtype=dtype)
        return np.concatenate([empty, *(getattr(catalog, name) for catalog in catalogs)])

    def join(name: str) -> tuple[Any, ...]:
        return tuple(item for catalog in catalogs for item in getattr(catalog, name))

    return Catalog(
        designations=join("designations"),
        alternatives=join("alternatives"),
        sources=sources,
        source=np.concatenate([np.empty(0, dtype=np.int16), *codes]),
        kind=stack("kind", np.int16),
        strands=stack("strands", np.int16),
        values=stack("values", np.float64, (0, width)),
        limits=stack("limits", np.int8, (0, width)),
        trust=stack("trust", np.int8, (0, width)),
        tensile_kn=stack("tensile_kn", np.float64),
        mass_kg_per_m=stack("mass_kg_per_m", np.float64),
        notes=join("notes"),
        standards=join("standards"),
    )
