"""The figures that the identification computes with, each with where it comes from.

Three origins: a standard (named), common practice (no source), or the calibration bench, which fitted it.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Spread:
    """How new parts lie about a table's figure, relative to it [-].

    Attributes
    ----------
    nominal : float
        Standard deviation where the table gives the nominal size.
    slack : float
        Mean distance of a part from a maximum (below it) or a minimum (above it), exponential.
    edge : float
        Standard deviation by which a part may still cross its limit (rounding, paint, burr).
    """

    nominal: float
    slack: float
    edge: float


@dataclass(frozen=True, slots=True)
class Wear:
    """One state of wear: how probable, and its mean relative to the dimension [-] plus a fixed part [mm]."""

    probability: float
    relative: float
    absolute: float = 0.0


# Common practice, no source; slack from the remark in the ISO 606 tables that real plates lie 0 to 7 % below
# their maximum while pins and rollers lie within some hundredths of a millimeter of theirs.
SPREAD: dict[str, Spread] = {
    "pitch": Spread(0.0015, 0.0015, 0.0015),
    "transverse_pitch": Spread(0.004, 0.004, 0.002),
    "roller_diameter": Spread(0.005, 0.006, 0.002),
    "flange_diameter": Spread(0.010, 0.010, 0.003),
    "bush_diameter": Spread(0.007, 0.007, 0.002),
    "bush_bore": Spread(0.008, 0.006, 0.003),
    "pin_diameter": Spread(0.004, 0.004, 0.002),
    "hollow_pin_bore": Spread(0.010, 0.010, 0.003),
    "inner_width": Spread(0.012, 0.012, 0.003),
    "inner_link_width": Spread(0.010, 0.012, 0.004),
    "outer_link_inner_width": Spread(0.010, 0.010, 0.004),
    "pin_length": Spread(0.015, 0.025, 0.004),
    "pin_length_connecting": Spread(0.020, 0.030, 0.006),
    "chain_path_depth": Spread(0.020, 0.020, 0.005),
    "inner_plate_height": Spread(0.012, 0.025, 0.004),
    "outer_plate_height": Spread(0.012, 0.025, 0.004),
    "inner_plate_thickness": Spread(0.025, 0.030, 0.010),
    "outer_plate_thickness": Spread(0.025, 0.030, 0.010),
    "sidebar_height": Spread(0.012, 0.020, 0.004),
    "sidebar_thickness": Spread(0.025, 0.030, 0.010),
    "plate_width": Spread(0.003, 0.003, 0.002),
    "plate_thickness": Spread(0.030, 0.030, 0.010),
    "hinge_diameter": Spread(0.010, 0.010, 0.004),
    "hinge_width": Spread(0.008, 0.008, 0.004),
}

# Elongation e = joint wear / pitch of a chain that somebody wants to replace; limits of use are 2 to 3 %
# (common practice, no source), some chains arrive new, some far beyond the limit.
ELONGATION: tuple[Wear, ...] = (Wear(0.30, 0.0), Wear(0.50, 0.006), Wear(0.20, 0.015))

# Scale of rust on an outside dimension: it adds.
_RUST = Wear(0.10, 0.0, 0.25)

# Signed: negative where wear takes material away from an outside dimension, positive in a bore.
WEAR: dict[str, tuple[Wear, ...]] = {
    "roller_diameter": (Wear(0.40, 0.0), Wear(0.38, -0.010), Wear(0.15, -0.035), Wear(0.07, 0.0, 0.2)),
    "flange_diameter": (Wear(0.45, 0.0), Wear(0.35, -0.010), Wear(0.10, -0.035), _RUST),
    "bush_diameter": (Wear(0.35, 0.0), Wear(0.40, -0.015), Wear(0.18, -0.045), Wear(0.07, 0.0, 0.2)),
    "pin_diameter": (Wear(0.50, 0.0), Wear(0.30, -0.012), Wear(0.15, -0.040), Wear(0.05, 0.0, 0.1)),
    "bush_bore": (Wear(0.40, 0.0), Wear(0.40, 0.015), Wear(0.20, 0.05)),
    "hollow_pin_bore": (Wear(0.70, 0.0), Wear(0.30, 0.02)),
    "inner_width": (Wear(0.70, 0.0), Wear(0.20, 0.01), Wear(0.10, -0.01)),
    "inner_link_width": (Wear(0.60, 0.0), Wear(0.30, -0.008), _RUST),
    "outer_link_inner_width": (Wear(0.75, 0.0), Wear(0.25, 0.01)),
    "pin_length": (Wear(0.70, 0.0), Wear(0.20, -0.010), Wear(0.10, 0.0, 0.5)),
    "pin_length_connecting": (Wear(0.75, 0.0), Wear(0.25, 0.0, 0.8)),
    "inner_plate_height": (Wear(0.50, 0.0), Wear(0.30, -0.015), Wear(0.12, -0.05), _RUST),
    "outer_plate_height": (Wear(0.50, 0.0), Wear(0.30, -0.015), Wear(0.12, -0.05), _RUST),
    "sidebar_height": (Wear(0.50, 0.0), Wear(0.30, -0.015), Wear(0.12, -0.05), _RUST),
    "inner_plate_thickness": (Wear(0.50, 0.0), Wear(0.30, -0.03), Wear(0.20, 0.0, 0.2)),
    "outer_plate_thickness": (Wear(0.50, 0.0), Wear(0.30, -0.03), Wear(0.20, 0.0, 0.2)),
    "sidebar_thickness": (Wear(0.50, 0.0), Wear(0.30, -0.03), Wear(0.20, 0.0, 0.2)),
    "plate_thickness": (Wear(0.50, 0.0), Wear(0.30, -0.06), Wear(0.20, -0.02)),
    "hinge_diameter": (Wear(0.60, 0.0), Wear(0.40, -0.02)),
}
NO_WEAR: tuple[Wear, ...] = (Wear(1.0, 0.0),)

# A single pitch of a new chain, beside the mean over the strand: GOST 13568-97 4.11 Table 9 allows +0.9/-0.4 %
# and the like for one pitch of roller chain; cast and welded links vary as much (common practice, no source).
SINGLE_PITCH = 0.0025
# Links of one chain differ among themselves in every other dimension (common practice, no source).
LINK_TO_LINK = 0.0015
# Figures that only somebody's memory vouches for may be off in the last digits.
MEMORY_SPREAD = 0.004

PRIOR_UNLISTED = 0.10
"""Share of chains on the bench table that no table at hand holds (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Unlisted:
    """One way in which a chain that is in no table resembles a listed one.

    Attributes
    ----------
    share : float
        How many unlisted chains are of that sort.
    same_pitch, same : float
        How often it has its relative's pitch, and its relative's size in any other dimension.
    reach : tuple of (share, relative standard deviation)
        Where a size that is not the same lies about its relative's.
    """

    share: float
    same_pitch: float
    same: float
    reach: tuple[tuple[float, float], ...]


UNLISTED: tuple[Unlisted, ...] = (
    # A special made from a listed chain: its pitch, or one or two of its other features, changed by some to thirty
    # percent (common practice, no source; shares and reach fitted on the bench).
    Unlisted(share=0.75, same_pitch=0.70, same=0.80, reach=((0.6, 0.12), (0.4, 0.25))),
    # A make of its own: hardly a size is that of a listed chain (common practice, no source).
    Unlisted(share=0.25, same_pitch=0.15, same=0.10, reach=((0.4, 0.12), (0.6, 0.40))),
)

BLUNDER = {"photograph": 0.5, "unknown": 0.07, "tape": 0.05, "steel rule": 0.05}
BLUNDER_OTHERWISE = 0.04
"""How often a reading is not what its name says (common practice, no source)."""

MISNAMED_LINK = 0.10
"""How often an inner link is called an outer one, or pins are written for rollers (common practice, no source)."""

EDGE_DIAMETER = 0.03
"""Relative spread of the diameter of the parts between whose edges a pitch was taken: limit kind and wear."""

UNSAID = {"multi-strand": 0.15, "flanged roller": 0.10}
"""How often people who say something of the construction leave out what stands out (common practice, no source)."""

CONSTRUCTION_ERROR = 0.012
"""How often any one word is said that the kind may not rightly be called, against a word that it may: wrong words are
few, and are scattered over all that could be said (common practice, no source)."""
