"""A real chain as new: sizes inside the limits that a table prints, and likely ones where it prints none.

A standard's maximum or minimum keeps links of different makers interchangeable and is no manufacturing size;
real parts lie inside it by an amount that depends on the part. Shares and millimeters below were chosen for
this bench by reading prints of one chain against each other; each says which.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from chaincase.calibration.chance import gap, happens
from chaincase.calibration.hidden import Unfinished, hidden_size
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.dimensions import COLUMN, Group
from chaincase.chains.kinds import KINDS, Kind


@dataclass(frozen=True, slots=True)
class Piece:
    """One real length of chain, unworn.

    Attributes
    ----------
    kind : Kind
        What chain it is.
    strands : int
        Number of strands, 0 where it has no meaning.
    new : mapping of str to float
        Size of every dimension that exists on it [mm]; the pitch is the mean of its new strand.
    listed : frozenset of str
        Dimensions of which the table printed a figure.
    """

    kind: Kind
    strands: int
    new: Mapping[str, float]
    listed: frozenset[str]


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount that grows with the size: `mm` + `share` * size."""

    mm: float
    share: float

    def of(self, size: float) -> float:
        """Give the amount for a size [mm]."""
        return self.mm + self.share * size


_INSIDE: dict[str, Amount] = {
    # ISO 606 d1 of 16A is 15.88 and d2 7.94, inch sizes 0.625 and 0.312 in: parts of the nominal inch size, ground.
    "roller_diameter": Amount(0.02, 0.003),
    "bush_diameter": Amount(0.02, 0.004),
    "pin_diameter": Amount(0.01, 0.002),
    # d3 - d2 is 0.02 to 0.05; running clearance is more (common practice, no source).
    "bush_bore": Amount(0.03, 0.003),
    "hollow_pin_bore": Amount(0.10, 0.006),
    "flange_diameter": Amount(0.10, 0.004),
    # b1 of 16A is 15.75 against 5/8 in = 15.88, b2 22.61 against 22.4 from width and plates.
    "inner_width": Amount(0.08, 0.006),
    "inner_link_width": Amount(0.10, 0.006),
    "outer_link_inner_width": Amount(0.10, 0.006),
    # Leaf chain: one print lies 0.4 to 1.9 mm below the maxima of another; duplex ISO 606 by 0.1 to 0.7 mm.
    "pin_length": Amount(0.30, 0.012),
    "pin_length_connecting": Amount(0.50, 0.020),
    "chain_path_depth": Amount(0.10, 0.005),
    # Leaf plates are about 4 % thinner than the maximum (two prints).
    "inner_plate_thickness": Amount(0.02, 0.035),
    "outer_plate_thickness": Amount(0.02, 0.035),
    "sidebar_thickness": Amount(0.02, 0.035),
}
"""Mean distance of a real part from a maximum or minimum."""
_INSIDE_OTHER = Amount(0.05, 0.006)
_PLATE_HEIGHT_BELOW = 0.07
"""Real plate heights lie 0 to 7 % below the maximum (two prints of ISO 606 sizes against the standard)."""
_OFFSET_BAR_BELOW_MM = (3.05, 0.6)
"""Heavy offset-sidebar chain: the maximum is about 0.12 in above the usual bar (from memory); mean and spread."""

_AROUND: dict[Group, Amount] = {
    Group.PITCH: Amount(0.03, 0.002),
    Group.DIAMETER: Amount(0.03, 0.004),
    Group.BORE: Amount(0.05, 0.004),
    Group.WIDTH: Amount(0.15, 0.006),
    Group.HEIGHT: Amount(0.10, 0.012),
    # Plates of one size differ by up to 0.4 mm in 4 between makers (prints of 16B).
    Group.THICKNESS: Amount(0.04, 0.025),
    Group.EXTRA: Amount(0.10, 0.010),
}
"""Standard deviation of makers' sizes around a nominal figure, machined and rolled parts."""
_AROUND_NAMED: dict[str, Amount] = {
    # Ground bar stock.
    "pin_diameter": Amount(0.02, 0.002),
    # Riveted ends differ between makers.
    "pin_length": Amount(0.30, 0.010),
    # Stamped strip of standard width.
    "plate_width": Amount(0.20, 0.001),
}
ROUGH: dict[str, float] = {
    "combination": 2.0, "cast mill": 2.5, "pintle": 2.5, "class 700": 2.0, "detachable": 2.0,
    "welded steel": 1.5, "drag": 1.5, "rivetless": 2.0,
}  # fmt: skip
"""How many times wider cast, forged and welded chain scatters than machined (common practice, no source)."""

_LENGTH_TOLERANCE: dict[str, float] = {
    # ISO 606:1994 A.2.6, B29.1 and double pitch: 0 to +0.15 %.
    "roller": 0.0015, "bush": 0.0015, "double pitch": 0.0015, "leaf": 0.0015, "agricultural": 0.0025,
    # B29.14M: new strand 0 to +0.75 in on 120 in.
    "cast mill": 0.00625, "pintle": 0.00625, "class 700": 0.00625, "combination": 0.00625, "detachable": 0.00625,
    "rivetless": 0.005, "welded steel": 0.004, "drag": 0.004,
}  # fmt: skip
_LENGTH_TOLERANCE_OTHER = 0.0025
"""DIN 8165:2018 3.4.1 and conveyor practice: a new strand is 0 to +0.25 % long."""

_MEMORY_SLIP = 0.03
_MEMORY_SLIP_SIZE = 0.02
"""Share of figures from memory that are wrong, and by how much (assumed; the tables say they are unchecked)."""


def new_piece(rng: np.random.Generator, catalog: Catalog, row: int) -> Piece:
    """Draw a new chain of that row.

    Parameters
    ----------
    rng : numpy.random.Generator
    catalog : Catalog
    row : int
        Index into the catalog.

    Returns
    -------
    Piece
        Every dimension that such a chain has, whether or not the table prints it.
    """
    kind = KINDS[catalog.kind[row]]
    strands = int(catalog.strands[row])
    exists = [name for name in kind.dimensions if name != "transverse_pitch" or strands > 1]
    listed = frozenset(name for name in exists if not math.isnan(catalog.values[row, COLUMN[name]]))
    sizes = {name: _real(rng, catalog, row, name, kind) for name in exists if name in listed}
    for name in exists:
        if name not in sizes:
            chain = Unfinished(kind, strands, float(catalog.tensile_kn[row]), sizes)
            sizes[name] = hidden_size(rng, catalog, chain, name)
    return Piece(kind, strands, consistent(sizes), listed)


def _real(rng: np.random.Generator, catalog: Catalog, row: int, name: str, kind: Kind) -> float:
    column = COLUMN[name]
    figure = float(catalog.values[row, column])
    if catalog.trust[row, column] == Trust.MEMORY and happens(rng, _MEMORY_SLIP):
        figure *= 1.0 + _MEMORY_SLIP_SIZE * float(rng.normal()) * (0.25 if name == "pitch" else 1.0)
    if name == "pitch":
        return figure * (1.0 + length_tolerance(kind) * float(rng.random()))
    return real_size(rng, name, figure, Limit(int(catalog.limits[row, column])), kind)


def real_size(rng: np.random.Generator, name: str, figure: float, limit: Limit, kind: Kind) -> float:
    """Draw the size of a new part from what a table prints of it [mm].

    >>> from chaincase.chains.kinds import BY_NAME
    >>> rng = np.random.default_rng(0)
    >>> real_size(rng, "pin_diameter", 7.94, Limit.MAXIMUM, BY_NAME["roller"]) <= 7.94
    True
    """
    rough = ROUGH.get(kind.name, 1.0)
    if limit is Limit.NOMINAL:
        around = _AROUND_NAMED.get(name, _AROUND[DIMENSION[name].group]).of(figure) * rough
        return float(max(figure + around * rng.normal(), 0.5 * figure))
    inside = _inside(rng, name, figure, kind, rough)
    return max(figure - inside, 0.5 * figure) if limit is Limit.MAXIMUM else figure + inside


def _inside(rng: np.random.Generator, name: str, figure: float, kind: Kind, rough: float) -> float:
    if name == "sidebar_height" and kind.name == "offset sidebar":
        mean, spread = _OFFSET_BAR_BELOW_MM
        return max(mean + spread * float(rng.normal()), 0.0)
    if DIMENSION[name].group is Group.HEIGHT and name != "chain_path_depth":
        return _PLATE_HEIGHT_BELOW * float(rng.random()) * figure
    return gap(rng, rough * _INSIDE.get(name, _INSIDE_OTHER).of(figure))


def length_tolerance(kind: Kind) -> float:
    """Give how much longer than nominal a new strand of that kind may be [-]."""
    return _LENGTH_TOLERANCE.get(kind.name, _LENGTH_TOLERANCE_OTHER)


def consistent(sizes: Mapping[str, float]) -> dict[str, float]:
    """Give the sizes with what cannot be put right: a pin fits its bush, an inner link its outer link."""
    settled = dict(sizes)

    def at_least(name: str, other: str, factor: float, more: float) -> None:
        if name in settled and other in settled:
            settled[name] = max(settled[name], settled[other] * factor + more)

    def at_most(name: str, other: str, factor: float, more: float) -> None:
        if name in settled and other in settled:
            settled[name] = min(settled[name], settled[other] * factor + more)

    at_least("bush_bore", "pin_diameter", 1.0, 0.02)
    at_least("outer_link_inner_width", "inner_link_width", 1.0, 0.05)
    at_most("pin_length", "pin_length_connecting", 1.0, -0.2)
    at_most("bush_diameter", "roller_diameter", 0.92, 0.0)
    at_least("bush_diameter", "pin_diameter", 1.15, 0.0)
    at_most("hollow_pin_bore", "pin_diameter", 0.8, 0.0)
    for bar, plate in (("sidebar_height", "inner_plate_height"), ("sidebar_thickness", "inner_plate_thickness")):
        if bar in settled and plate in settled:
            # Two names of one part, as on straight-sided double-pitch plates.
            settled[bar] = settled[plate]
    return settled
