"""Which way use moves each dimension: material worn off, and scale of rust grown on."""

from dataclasses import dataclass
from enum import StrEnum

from chaincase.chains.dimensions import DIMENSIONS
from chaincase.errors import BadInput


class Amount(StrEnum):
    """How much a dimension may move over the life of a chain."""

    NONE = "none"
    LITTLE = "little"
    MUCH = "much"
    BY_GROWTH = "by growth"
    """As `growth` says: none, once, twice the elongation."""


@dataclass(frozen=True, slots=True)
class Drift:
    """How one dimension moves in use.

    Attributes
    ----------
    wear : int
        -1 where wear makes it smaller, +1 where larger, 0 where it does not touch it.
    amount : Amount
        How much.
    rust : int
        +1 where scale adds to it, -1 where scale narrows it, 0 where it cannot matter.
    where : str
        Where a person finds the new size on a worn part.
    """

    wear: int
    amount: Amount
    rust: int
    where: str


_PLATE = Drift(-1, Amount.MUCH, +1, "on the edge that does not slide, or twice from there to the hole center")
_THICKNESS = Drift(-1, Amount.MUCH, +1, "away from the joint, scale scraped off")
_GAP = Drift(+1, Amount.LITTLE, -1, "away from the marks that roller and sprocket leave")
_BORE = Drift(+1, Amount.MUCH, -1, "across the direction of pull, where the hole is not oval")

# Common practice and geometry of the joint, no source.
DRIFT: dict[str, Drift] = {
    "pitch": Drift(+1, Amount.BY_GROWTH, 0, "pin to pin on an outer link, roller to roller on an inner link"),
    "transverse_pitch": Drift(0, Amount.NONE, 0, "anywhere"),
    "roller_diameter": Drift(-1, Amount.MUCH, +1, "turn the roller and take the largest"),
    "flange_diameter": Drift(-1, Amount.MUCH, +1, "turn the roller and take the largest"),
    "bush_diameter": Drift(-1, Amount.MUCH, +1, "beside the worn track, take the largest"),
    "bush_bore": _BORE,
    "pin_diameter": Drift(-1, Amount.MUCH, +1, "where it sits in the plate, or across the pull; take the largest"),
    "hollow_pin_bore": Drift(0, Amount.LITTLE, -1, "inside, away from the ends"),
    "inner_width": _GAP,
    "inner_link_width": Drift(-1, Amount.LITTLE, +1, "away from where the outer plates rub"),
    "outer_link_inner_width": _GAP,
    "pin_length": Drift(-1, Amount.LITTLE, +1, "where the heads have not rubbed on a guide"),
    "pin_length_connecting": Drift(-1, Amount.LITTLE, +1, "fastener in place"),
    "chain_path_depth": _PLATE,
    "inner_plate_height": _PLATE,
    "outer_plate_height": _PLATE,
    "inner_plate_thickness": _THICKNESS,
    "outer_plate_thickness": _THICKNESS,
    "sidebar_height": _PLATE,
    "sidebar_thickness": _THICKNESS,
    "plate_width": Drift(-1, Amount.LITTLE, +1, "where it has not rubbed on a guide"),
    "plate_thickness": Drift(-1, Amount.MUCH, +1, "beside the carrying track"),
    "hinge_diameter": Drift(-1, Amount.MUCH, +1, "where it does not slide, take the largest"),
    "hinge_width": Drift(-1, Amount.LITTLE, +1, "where the neighbors have not rubbed"),
}
"""Every dimension of `chains.dimensions`; the test that compares the two fails when one is forgotten."""


def drift_of(dimension: str) -> Drift:
    """Give how a dimension moves in use.

    Raises
    ------
    BadInput
        If it is no dimension with a meaning of its own.

    >>> drift_of("bush_bore").wear, drift_of("pin_diameter").wear, drift_of("pin_diameter").rust
    (1, -1, 1)
    """
    try:
        return DRIFT[dimension]
    except KeyError:
        names = ", ".join(d.name for d in DIMENSIONS)
        raise BadInput(f"{dimension!r} is not a dimension", right=f"use one of: {names}") from None
