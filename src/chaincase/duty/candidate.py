"""The chain that a duty is checked against: figures given by hand, or those of the packaged tables."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from chaincase.errors import BadInput

if TYPE_CHECKING:
    from chaincase.catalog.table import Catalog
    from chaincase.duty.pull_form import Chain


@dataclass(frozen=True, slots=True)
class Candidate:
    """A chain with what is known of it; None where it is not.

    Attributes
    ----------
    designation : str
        Name of the chain, "" where it was given by its figures.
    tensile : float or None
        Minimum tensile strength [N].
    working_load : float or None
        What its maker lets one strand pull [N].
    pin, bush : float or None
        Pin diameter and length of the bush [mm].
    allowed_pressure : float or None
        Pressure in the joint that its maker allows [N/mm2].
    mass : float or None
        Of the bare chain [kg/m].
    pitch : float or None
        [mm].
    strands : int
        Strands that the tables list the chain with, 0 where that has no meaning.
    origin : str
        Where figures of the tables come from.
    """

    designation: str = ""
    tensile: float | None = None
    working_load: float | None = None
    pin: float | None = None
    bush: float | None = None
    allowed_pressure: float | None = None
    mass: float | None = None
    pitch: float | None = None
    strands: int = 0
    origin: str = ""


def candidate(chain: "Chain") -> Candidate:
    """Give the candidate of a form; what the form leaves out comes from the tables if it names a chain of them.

    Raises
    ------
    BadInput
        If the designation is in no table, or in several.

    >>> from chaincase.duty.pull_form import Chain
    >>> found = candidate(Chain.of({"designation": "16B-1", "tensile": "58 kN"}))
    >>> found.tensile, found.pin
    (58000.0, 8.28)
    """
    tables = tabled(chain.designation) if chain.designation else Candidate()
    return Candidate(
        designation=tables.designation,
        tensile=chain.tensile or tables.tensile,
        working_load=chain.working_load,
        pin=chain.pin_diameter or tables.pin,
        bush=chain.bush_length or tables.bush,
        allowed_pressure=chain.allowed_pressure,
        mass=tables.mass,
        pitch=tables.pitch,
        strands=tables.strands,
        origin=tables.origin,
    )


def tabled(designation: str) -> Candidate:
    """Give the figures of a chain of the packaged tables.

    Raises
    ------
    BadInput
        If no table has the name, or several chains have it.
    """
    from chaincase.catalog.table import Catalog  # reading the tables takes a moment that most sums need not

    catalog = Catalog.standard()
    try:
        row = catalog.row(designation)
    except BadInput as fault:
        raise fault.within("chain") from None
    return of_row(catalog, row)


def of_row(catalog: "Catalog", row: int) -> Candidate:
    """Give the figures of a row of a catalog."""
    sizes = catalog.dimensions_of(row)
    source = catalog.sources[int(catalog.source[row])]
    return Candidate(
        designation=catalog.designations[row],
        tensile=_known(float(catalog.tensile_kn[row]) * 1000.0),
        pin=sizes.get("pin_diameter"),
        bush=sizes.get("inner_link_width"),
        mass=_known(float(catalog.mass_kg_per_m[row])),
        pitch=sizes.get("pitch"),
        strands=int(catalog.strands[row]),
        origin=f"figures of {catalog.designations[row]}: table {source.name} ({source.standard})",
    )


def _known(value: float) -> float | None:
    return value if value > 0.0 else None  # an empty cell is nan
