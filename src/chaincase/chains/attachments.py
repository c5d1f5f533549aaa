"""Attachments by their geometry: forms, sides, the dimensions of each form, and what the letters of a code mean.

Codes differ between makers, so the geometry comes first. Key letters of attachments are small ones, those of the
chain capitals; they are our own, the same on every figure and sheet, and each stands for one dimension only.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.chains.dimensions import Dimension, Group
from chaincase.errors import BadInput


class Form(StrEnum):
    """What an attachment looks like."""

    BENT = "bent"
    """The sidebar is widened and bent over to a platform."""
    STRAIGHT = "straight"
    """The sidebar is extended in its own plane; on a chain that lies flat the extension stands up."""
    UPRIGHT = "upright"
    """A plate that stands up, whether it is the sidebar or welded to it."""
    EXTENDED_PIN = "extended pin"
    WING = "wing"
    PUSHER = "pusher"
    SCRAPER = "scraper"
    SLAT = "slat"
    BUCKET = "bucket"
    OUTRIGGER = "outrigger"
    """A roller beside the chain, on a longer pin or on an arm."""
    OTHER = "other"
    UNKNOWN = "unknown"


class Side(StrEnum):
    """On which sides of the chain, seen along the travel."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"
    ONE = "one"
    """One side, whichever."""
    UNKNOWN = "unknown"

    @property
    def single(self) -> bool:
        """Whether it is one side only."""
        return self in {Side.LEFT, Side.RIGHT, Side.ONE}


class OnLink(StrEnum):
    """Which links carry it."""

    INNER = "inner"
    OUTER = "outer"
    EVERY = "every"
    OFFSET = "offset"
    UNKNOWN = "unknown"


STANDING: Final = frozenset({Form.STRAIGHT, Form.UPRIGHT})
"""Two names of one look: whether it is the sidebar itself that stands up is often not seen."""

_D = Dimension
DIMENSIONS: Final[tuple[Dimension, ...]] = (
    _D(
        "platform_height",
        "h",
        "platform height above the pin center",
        Group.HEIGHT,
        "from the pin center up to the face that things are bolted to; or over the pin, less half its diameter",
    ),
    _D(
        "hole_height",
        "e",
        "hole height above the pin center",
        Group.HEIGHT,
        "from the pin center up to the hole center",
    ),
    _D(
        "overall_height",
        "t",
        "top height above the pin center",
        Group.HEIGHT,
        "from the pin center up to the highest point",
    ),
    _D(
        "deep_plate_height",
        "z",
        "height of the raised plate over all",
        Group.HEIGHT,
        "from the lower edge of the sidebar to the top of its raised edge",
    ),
    _D(
        "transverse_hole_spacing",
        "c",
        "hole spacing across the chain",
        Group.PITCH,
        "hole center to hole center across the chain, from one platform to the other",
    ),
    _D(
        "longitudinal_hole_spacing",
        "a",
        "hole spacing along the travel",
        Group.PITCH,
        "hole center to hole center along the travel, on one platform",
    ),
    _D(
        "hole_offset",
        "f",
        "hole distance from the chain center",
        Group.WIDTH,
        "from the middle of the chain across to the hole center",
    ),
    _D("hole_diameter", "d", "hole diameter", Group.BORE, "inside the hole, along the travel; of a slot its width"),
    _D("slot_length", "k", "slot length", Group.BORE, "inside the slot, along it"),
    _D(
        "overall_width",
        "w",
        "width over all, across the chain",
        Group.WIDTH,
        "across the chain, from outer edge to outer edge",
    ),
    _D("plate_length", "g", "length along the travel", Group.WIDTH, "along the travel, from edge to edge"),
    _D("thickness", "s", "thickness", Group.THICKNESS, "through the plate, away from rust"),
    _D("angle_deg", "v", "angle to the travel", Group.EXTRA, "angle of the face to the travel, in degrees"),
    _D(
        "pin_extension",
        "x",
        "length of the pin beyond the sidebar",
        Group.WIDTH,
        "from the outer face of the sidebar to the end of the pin",
    ),
    _D(
        "pin_extension_diameter",
        "y",
        "diameter of the extended pin",
        Group.DIAMETER,
        "on the extension, where nothing rubs",
    ),
    _D(
        "projection",
        "j",
        "projection from the chain",
        Group.WIDTH,
        "from the pin center line out to the lip or the far edge",
    ),
    _D("depth", "m", "depth", Group.HEIGHT, "inside, from the lip line to the bottom"),
    _D(
        "below",
        "u",
        "lower edge below the pin center",
        Group.HEIGHT,
        "from the pin center down to the lowest point",
    ),
    _D(
        "outrigger_diameter",
        "r",
        "outrigger roller diameter",
        Group.DIAMETER,
        "over the roller where it is least worn",
    ),
    _D("outrigger_width", "b", "outrigger roller width", Group.WIDTH, "over the rim of the roller, along its axle"),
    _D(
        "outrigger_spacing",
        "q",
        "outrigger spacing across the chain",
        Group.WIDTH,
        "across the chain, from the middle of one roller to the middle of the other",
    ),
)

BY_NAME: Final[dict[str, Dimension]] = {dimension.name: dimension for dimension in DIMENSIONS}

ALIASES: Final[dict[str, str]] = {
    "hole_spacing_across": "transverse_hole_spacing",
    "hole_spacing_along": "longitudinal_hole_spacing",
    "width": "overall_width",
    "length": "plate_length",
    "height": "overall_height",
    "top_height": "overall_height",
    "plate_thickness": "thickness",
    "inner_plate_thickness": "thickness",
    "outer_plate_thickness": "thickness",
    "hole_dia": "hole_diameter",
    "slot_width": "hole_diameter",
    "angle": "angle_deg",
    "pin_diameter": "pin_extension_diameter",
    "extension": "pin_extension",
    "roller_diameter": "outrigger_diameter",
    "roller_width": "outrigger_width",
}
"""Other names under which people write a dimension of an attachment, read on input only."""

_HOLES: Final = ("hole_diameter",)
_PLATE: Final = ("thickness", "plate_length")
NEEDED: Final[dict[Form, tuple[str, ...]]] = {
    Form.BENT: ("platform_height", "overall_width", *_PLATE),
    Form.STRAIGHT: ("overall_height", *_PLATE),
    Form.UPRIGHT: ("overall_height", *_PLATE),
    Form.EXTENDED_PIN: ("pin_extension", "pin_extension_diameter"),
    Form.WING: ("overall_width", "overall_height", *_PLATE, "angle_deg"),
    Form.PUSHER: ("overall_height", "overall_width", *_PLATE, "angle_deg"),
    Form.SCRAPER: ("overall_width", "overall_height", "below", "thickness"),
    Form.SLAT: ("overall_width", "platform_height", *_PLATE),
    Form.BUCKET: ("overall_width", "projection", "depth", "thickness", "angle_deg"),
    Form.OUTRIGGER: ("outrigger_diameter", "outrigger_width", "outrigger_spacing", "pin_extension_diameter"),
    Form.OTHER: ("overall_height", "overall_width", *_PLATE),
    Form.UNKNOWN: ("overall_height", "overall_width", *_PLATE),
}
"""What must be known of each form before one can be made to measure, holes apart (common practice, no source)."""


def needed(form: Form, sides: Side = Side.UNKNOWN, holes: int | None = None) -> tuple[str, ...]:
    """Give the dimensions that an attachment of that form is made by.

    Parameters
    ----------
    holes : int, optional
        On one side; None where nobody said, 0 where there is none.

    >>> needed(Form.BENT, Side.ONE, 2)[-3:]
    ('hole_diameter', 'hole_offset', 'longitudinal_hole_spacing')
    >>> needed(Form.EXTENDED_PIN)
    ('pin_extension', 'pin_extension_diameter')
    """
    flat = form in STANDING
    if holes == 0 or (holes is None and form not in STANDING | {Form.BENT}):
        return NEEDED[form]
    across = "hole_height" if flat else "hole_offset" if sides.single else "transverse_hole_spacing"
    along = ("longitudinal_hole_spacing",) if holes is not None and holes > 1 else ()
    return (*NEEDED[form], *_HOLES, across, *along)


@dataclass(frozen=True, slots=True)
class CodeMeaning:
    """What the letters and the digit of a code say.

    Attributes
    ----------
    form : Form
        UNKNOWN where the letters do not say.
    side : Side
        ONE, BOTH, or UNKNOWN.
    holes : int or None
        On one side; None where the code does not say.
    """

    form: Form = Form.UNKNOWN
    side: Side = Side.UNKNOWN
    holes: int | None = None


_LETTERS: Final = {
    "A": (Form.BENT, Side.ONE),
    "K": (Form.BENT, Side.BOTH),
    "SA": (Form.STRAIGHT, Side.ONE),
    "SK": (Form.STRAIGHT, Side.BOTH),
    "M": (Form.STRAIGHT, Side.UNKNOWN),
}
_CODE: Final = re.compile(r"(S?[AK]|M)-?([1-9][0-9]*)", re.IGNORECASE)


def meaning_of(code: str) -> CodeMeaning:
    """Give what a code says by the common use of its letters; nothing where it follows none.

    A and K: a chain handbook, sec. 2.3.1 and 2.3.2 (one side, both sides; the digit counts holes on one side). SA, SK
    and M: rows of the public print behind `attachments_roller`. Digits above 3 are numbers of a style, no count.

    >>> meaning_of("K-2")
    CodeMeaning(form=<Form.BENT: 'bent'>, side=<Side.BOTH: 'both'>, holes=2)
    >>> meaning_of("F29").form
    <Form.UNKNOWN: 'unknown'>
    """
    found = _CODE.fullmatch(code.strip())
    if found is None:
        return CodeMeaning()
    form, side = _LETTERS[found[1].upper()]
    digit = int(found[2])
    return CodeMeaning(form, side, digit if digit <= 3 else None)


def attachment_dimension_named(name: str, *, where: str = "") -> Dimension:
    """Give the dimension of an attachment that somebody wrote; spaces, hyphens and capitals do not matter.

    Raises
    ------
    BadInput
        If there is no such dimension.

    >>> attachment_dimension_named("Hole spacing across").letter
    'c'
    """
    plain = "_".join(name.lower().replace("-", " ").replace("_", " ").split())
    plain = ALIASES.get(plain, plain)
    if plain not in BY_NAME:
        what = f"{name[:40]!r} is not a dimension of an attachment"
        raise BadInput(what, where=where, right=f"use one of: {', '.join(BY_NAME)}")
    return BY_NAME[plain]
