"""Blunders: what is measured, counted, written or read instead of what was meant.

Shares among blunders are assumed; that these are the ones that happen is common practice, no source.
"""

from dataclasses import dataclass

import numpy as np

from chaincase.calibration.chance import happens, pick
from chaincase.calibration.parts import Piece
from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.dimensions import Group


@dataclass(frozen=True, slots=True)
class Slip:
    """One blunder.

    Attributes
    ----------
    name : str
        What went wrong; empty for nothing.
    instead : str
        Dimension that was measured instead.
    label : str
        Dimension under which it was written instead.
    factor, inches : float
        What the size is multiplied by [-], then what is added to it [in].
    miscount : int
        Pitches counted too many.
    """

    name: str
    instead: str = ""
    label: str = ""
    factor: float = 1.0
    inches: float = 0.0
    miscount: int = 0


_HEAD = (1.10, 1.45)
"""Head or riveted end of a pin against its body."""
_WRITTEN = {"unit swap": 0.30, "digits transposed": 0.35, "whole inch": 0.35}
_OWN_SHARE = 0.65
"""Share of blunders that belong to the dimension; the others are slips of reading and writing."""

_PLATE_LABELS = {
    "sidebar_height": "outer_plate_height", "sidebar_thickness": "outer_plate_thickness",
    "inner_plate_height": "outer_plate_height", "outer_plate_height": "inner_plate_height",
    "inner_plate_thickness": "outer_plate_thickness", "outer_plate_thickness": "inner_plate_thickness",
}  # fmt: skip
_ROUND_LABELS = {"roller_diameter": "bush_diameter", "bush_diameter": "roller_diameter"}


def draw_slip(rng: np.random.Generator, piece: Piece, name: str) -> Slip:
    """Draw what goes wrong with a reading of that dimension."""
    if happens(rng, _OWN_SHARE) and (own := _own_slip(rng, piece, name)):
        return own
    kind = pick(rng, _WRITTEN)
    if kind == "whole inch":
        # An inch on one scale, a centimeter on the other.
        return Slip(kind, inches=pick(rng, {1.0: 0.3, -1.0: 0.3, 10 / 25.4: 0.2, -10 / 25.4: 0.2}))
    return Slip(kind)


def _own_slip(rng: np.random.Generator, piece: Piece, name: str) -> Slip | None:
    if name == "pitch":
        return Slip("pitches miscounted", miscount=pick(rng, {1: 0.5, -1: 0.5}))
    if name == "pin_diameter":
        return Slip("pin head", factor=float(rng.uniform(*_HEAD)))
    if name in _PLATE_LABELS:
        return Slip("other plate", label=_PLATE_LABELS[name])
    if name in _ROUND_LABELS:
        return Slip("roller and bush", label=_ROUND_LABELS[name])
    return _other_width(rng, piece, name)


def _other_width(rng: np.random.Generator, piece: Piece, name: str) -> Slip | None:
    if DIMENSION[name].group is not Group.WIDTH:
        return None
    others = {each: 1.0 for each in piece.new if each != name and DIMENSION[each].group is Group.WIDTH}
    return Slip("other width", instead=pick(rng, others)) if others else None
