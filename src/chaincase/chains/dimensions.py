"""The dimensions a chain is described by, each with one name, one key letter and one way to measure it.

The key letters are our own and are the same on every figure, sheet and table: every letter stands for
one dimension only, whatever the kind of chain.
"""

from dataclasses import dataclass
from enum import StrEnum


class Group(StrEnum):
    """What sort of size a dimension is; an unnamed reading only says this much."""

    PITCH = "pitch"
    DIAMETER = "diameter"
    BORE = "bore"
    WIDTH = "width"
    HEIGHT = "height"
    THICKNESS = "thickness"
    EXTRA = "extra"


@dataclass(frozen=True, slots=True)
class Dimension:
    """One dimension of a chain.

    Attributes
    ----------
    name : str
        Column name in tables and files.
    letter : str
        Key letter on figures and sheets.
    label : str
        Words for a person.
    group : Group
        Sort of size.
    how : str
        One line that tells a person at the chain where to put the caliper.
    """

    name: str
    letter: str
    label: str
    group: Group
    how: str


_D = Dimension
DIMENSIONS: tuple[Dimension, ...] = (
    _D(
        "pitch",
        "P",
        "pitch",
        Group.PITCH,
        "pin center to pin center, or one pin edge to the same edge of the next",
    ),
    _D(
        "transverse_pitch",
        "Q",
        "transverse pitch",
        Group.PITCH,
        "strand center to strand center, across the chain",
    ),
    _D(
        "roller_diameter",
        "R",
        "roller diameter",
        Group.DIAMETER,
        "over the roller where it is least worn, turn it and take the largest",
    ),
    _D("flange_diameter", "F", "flange diameter", Group.DIAMETER, "over the rim of the roller flange"),
    _D(
        "bush_diameter",
        "B",
        "bush or barrel diameter",
        Group.DIAMETER,
        "over the bush or barrel, beside the worn track",
    ),
    _D("bush_bore", "C", "bush bore", Group.BORE, "inside the bush, across the direction of pull"),
    _D(
        "pin_diameter",
        "D",
        "pin diameter",
        Group.DIAMETER,
        "on the pin body, never on the head or the riveted end",
    ),
    _D("hollow_pin_bore", "E", "hollow pin bore", Group.BORE, "inside the hollow pin"),
    _D(
        "inner_width",
        "W",
        "width between inner plates",
        Group.WIDTH,
        "inside jaws between the two inner plates",
    ),
    _D(
        "inner_link_width",
        "X",
        "width over inner link",
        Group.WIDTH,
        "over the outside of the inner plates, or over the narrow end",
    ),
    _D(
        "outer_link_inner_width",
        "Y",
        "width between outer plates",
        Group.WIDTH,
        "inside jaws between the two outer plates",
    ),
    _D("pin_length", "L", "length over pin", Group.WIDTH, "over both ends of a riveted pin"),
    _D(
        "pin_length_connecting",
        "M",
        "length over connecting pin",
        Group.WIDTH,
        "over the pin of the connecting link, fastener included",
    ),
    _D(
        "chain_path_depth",
        "K",
        "chain path depth",
        Group.HEIGHT,
        "height of the channel that the chain passes through",
    ),
    _D("inner_plate_height", "H", "inner plate height", Group.HEIGHT, "across the inner plate at its widest"),
    _D("outer_plate_height", "J", "outer plate height", Group.HEIGHT, "across the outer plate at its widest"),
    _D(
        "inner_plate_thickness",
        "T",
        "inner plate thickness",
        Group.THICKNESS,
        "through the inner plate, away from rust",
    ),
    _D(
        "outer_plate_thickness",
        "U",
        "outer plate thickness",
        Group.THICKNESS,
        "through the outer plate, away from rust",
    ),
    _D(
        "sidebar_height",
        "S",
        "sidebar height",
        Group.HEIGHT,
        "across the sidebar, on the edge that does not slide",
    ),
    _D("sidebar_thickness", "Z", "sidebar thickness", Group.THICKNESS, "through the sidebar, away from rust"),
    _D(
        "plate_width",
        "V",
        "top plate width",
        Group.WIDTH,
        "across the top plate, at right angles to the travel",
    ),
    _D("plate_thickness", "A", "top plate thickness", Group.THICKNESS, "through the top plate at its edge"),
    _D("hinge_diameter", "G", "hinge diameter", Group.DIAMETER, "over the hinge knuckle"),
    _D("hinge_width", "N", "hinge width", Group.WIDTH, "over the hinge, along the pin"),
)

BY_NAME: dict[str, Dimension] = {d.name: d for d in DIMENSIONS}
COLUMN: dict[str, int] = {d.name: i for i, d in enumerate(DIMENSIONS)}
"""Column of each dimension in a catalog's arrays."""

UNNAMED: dict[str, tuple[str, ...]] = {
    "width": ("inner_width", "inner_link_width", "outer_link_inner_width", "pin_length", "plate_width"),
    "height": ("inner_plate_height", "outer_plate_height", "sidebar_height"),
    "thickness": ("inner_plate_thickness", "outer_plate_thickness", "sidebar_thickness", "plate_thickness"),
    "diameter": ("roller_diameter", "bush_diameter", "pin_diameter", "flange_diameter", "hinge_diameter"),
}
"""What a reading may be of that only says width, height, thickness or diameter."""

ALIASES: dict[str, str] = {
    "barrel_diameter": "bush_diameter",
    "bushing_diameter": "bush_diameter",
    "small_roller_diameter": "roller_diameter",
    "large_roller_diameter": "roller_diameter",
    "plate_height": "height",
    "plate_thickness_either": "thickness",
    "hinge_outside_diameter": "hinge_diameter",
    "pin_dia": "pin_diameter",
    "roller_dia": "roller_diameter",
    "overall_width": "pin_length",
}
"""Other names under which people write a dimension, read on input only."""
