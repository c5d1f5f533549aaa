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

# Joint wear w per pitch relative to the diameter of the pin: what pin and bush lose depends on their walls, not on how
# long the pitch is. Drive chain is replaced at 3 % of its pitch, which is about 10 % of its pin; pins are replaced when
# they have lost 2.5 % (case-hardened) to 15 % (several public texts), and the bush loses as much. Some chain arrives
# new, some far beyond the limit (common practice, no source; shares and means fitted on the bench).
JOINT_WEAR: tuple[Wear, ...] = (Wear(0.20, 0.0), Wear(0.45, 0.025), Wear(0.35, 0.060))
USUAL_PIN = 0.30
"""Diameter of a pin relative to the pitch, where a chain has none (short-pitch chain, ISO 606)."""

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

# Beyond this much wear, relative to the size (of a pitch: to the pin), nothing holds together, or it is another part:
# a roller that has lost a tenth of its diameter has lost its wall (geometry; common practice, no source).
MOST_WEAR: dict[str, float] = {
    "pitch": 0.25,
    "roller_diameter": 0.12,
    "flange_diameter": 0.10,
    "bush_diameter": 0.15,
    "pin_diameter": 0.15,
    "bush_bore": 0.20,
    "hollow_pin_bore": 0.08,
    "inner_width": 0.06,
    "inner_link_width": 0.05,
    "outer_link_inner_width": 0.06,
    "pin_length": 0.03,
    "inner_plate_height": 0.15,
    "outer_plate_height": 0.15,
    "sidebar_height": 0.15,
    "inner_plate_thickness": 0.40,
    "outer_plate_thickness": 0.40,
    "sidebar_thickness": 0.40,
    "plate_thickness": 0.50,
    "hinge_diameter": 0.12,
}
MOST_OF_MEAN = 3.0
"""What rust adds, and how far a part lies from a limit, is at most so many times the mean (common practice, no source).
"""

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
    # percent, now and then by much more, as where a chain is made wider (common practice, no source; shares and reach
    # fitted on the bench).
    Unlisted(share=0.75, same_pitch=0.70, same=0.80, reach=((0.55, 0.11), (0.35, 0.25), (0.10, 0.60))),
    # A make of its own: hardly a size is that of a listed chain (common practice, no source).
    Unlisted(share=0.25, same_pitch=0.15, same=0.10, reach=((0.4, 0.12), (0.6, 0.40))),
)

PINS_ALONE = 0.35
"""How often pins are of another length on a chain whose links are of the same width, relative to how often the links
are of another width: extended pins, other plates (common practice, no source)."""

BLUNDER = {"photograph": 0.5, "unknown": 0.05, "tape": 0.05, "steel rule": 0.05}
BLUNDER_OTHERWISE = 0.03
"""How often a reading is not what its name says (common practice, no source; fitted on the bench)."""

MISNAMED_LINK = 0.10
"""How often an inner link is called an outer one, or pins are written for rollers (common practice, no source)."""

EDGE_DIAMETER = 0.03
"""Relative spread of the diameter of the parts between whose edges a pitch was taken: limit kind and wear."""
OWN_EDGE = 0.01
"""The same where that part was measured on the sample: heads, wear on one side (common practice, no source)."""

UNSAID = {"multi-strand": 0.10, "flanged roller": 0.10, "hollow pin": 0.50}
"""How often people who say something of the construction leave out what stands out (common practice, no source; fitted
on the bench)."""

CONSTRUCTION_ERROR = 0.012
"""How often any one word is said that the kind may not rightly be called, against a word that it may: wrong words are
few, and are scattered over all that could be said (common practice, no source)."""
