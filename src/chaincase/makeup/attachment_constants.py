"""The figures that attachments are judged with, each with where it comes from.

Common practice, no source, unless a source is named. "Rows compared" means: pairs of rows of one code on one chain in
the packaged table `attachments_roller`, an ISO row against an ASME row, which shows how far makers differ.
"""

from typing import Final

PRIOR_SPECIAL: Final = 0.20
"""How many attachments in hand are none of those listed for their chain."""
UNLISTED_CHAIN: Final = 0.5
"""Where the chain is not known: that its attachments are listed only as codes, without sizes."""

FAMILY: Final = {"K": 1.0, "A": 0.6, "M": 0.6, "SK": 0.6, "SA": 0.4}
"""How usual a code is by its letters, among those of one chain."""
FAMILY_OTHER: Final = 0.3
"""How usual any other code is."""
SHAPELESS: Final = 0.05
"""How usual a code is of whose shape nothing is known: it may only win when somebody says it."""

SPREAD: Final = {
    "platform_height": (0.012, 0.10),
    "hole_height": (0.015, 0.15),
    "overall_height": (0.06, 0.2),
    "deep_plate_height": (0.02, 0.3),
    "transverse_hole_spacing": (0.005, 0.12),
    "longitudinal_hole_spacing": (0.008, 0.12),
    "hole_offset": (0.008, 0.25),
    "hole_diameter": (0.03, 0.08),
    "slot_length": (0.04, 0.1),
    "overall_width": (0.08, 0.3),
    "plate_length": (0.12, 0.3),
    "thickness": (0.05, 0.1),
    "angle_deg": (0.02, 1.0),
}
"""How attachments as made and as used lie about a table's figure: standard deviation, a share of it and a part in mm.

Rows compared: platform height 0 to 2 %, hole 0 to 3 %, distance across 0 to 0.4 %, hole height 0 to 2 %, top height 0
to 14 %, width over all 1 to 15 %, length along the travel 0 to 21 %, which the standard leaves to the maker (GOST
13568-97 A.3). Wear of holes and rust are in it.
"""
MINIMUM_MEAN, MINIMUM_SPREAD = 1.02, 0.025
"""A hole given as a minimum is about so much larger (rows compared: 0 to 4 %)."""
MAXIMUM_MEAN, MAXIMUM_SPREAD = 0.97, 0.03
"""A width given as a maximum."""
MEMORY_SPREAD: Final = 0.01
"""What a figure from memory may be off beside that, relative."""
FACE_SPREAD: Final = 0.08
"""A bent platform's top height is its platform height; which face was taken leaves so much open, relative."""

PIN_CENTER_MM: Final = 0.4
"""The center of a pin head or the middle of a chain is judged, not seen: standard uncertainty beside the reading's."""
ANGLE_U: Final = 1.0
"""Standard uncertainty of an angle taken with a protractor [degrees]."""

OTHER_DIMENSION: Final = 0.35
WRONG_EDGE: Final = 0.15
SWAPPED_UNIT: Final = 0.10
ANY_FIGURE: Final = 0.40
"""Shares of the slips of a reading, scaled to add to 1: another size was measured, edges were taken for centers, mm for
inches, or the figure is wrong altogether."""
SIZE_RANGE: Final = (0.5, 2000.0)
"""Between which a wholly wrong figure lies [mm], any order of magnitude alike."""

SAME: Final = 0.55
"""How often a special made from a listed attachment keeps one of its sizes."""
REACH: Final = ((0.5, 0.12), (0.5, 0.35))
"""Where a changed size lies about the listed one: share and relative standard deviation."""
OWN_MAKE: Final = 0.30
"""How many specials have nothing in common with a listed one."""
POPULATION_LEAST: Final = 0.35
"""Least standard deviation of the logarithm of a size among attachments."""

LOOK_CHANGED: Final = 0.10
"""How often a special made from a listed attachment differs from it in form, in sides, in holes."""
FORM_WRONG: Final = 0.03
SIDES_WRONG: Final = 0.03
HOLES_WRONG: Final = 0.03
"""How often form, sides and number of holes are written down wrong."""
HOLES_OF_BOTH_SIDES: Final = 0.12
"""How often the holes of both sides are counted where those of one are asked for."""
SPECIAL_FORM: Final = {"bent": 0.40, "straight": 0.10, "upright": 0.10}
SPECIAL_FORM_OTHER: Final = 0.05
"""What specials look like."""
SPECIAL_HOLES: Final = {0: 0.15, 1: 0.3, 2: 0.35, 3: 0.08, 4: 0.06}
SPECIAL_HOLES_OTHER: Final = 0.01
SPECIAL_BOTH: Final = 0.6

CODE_SLIP: Final = 0.15
"""How often a customer's code is another maker's, or that of another attachment."""
CODE_OF_RELATIVE: Final = 0.5
"""A special made from a listed attachment is called by the code of that one so often."""
CODE_LISTED: Final = 0.4
"""Any other special is called by a listed code so often, else by a code of its own."""
CODES_KNOWN: Final = 20.0
"""Number of codes among which people choose."""
