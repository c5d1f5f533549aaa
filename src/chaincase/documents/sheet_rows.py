"""What a measuring sheet asks for: one row per key letter, with instrument, place and picture, and the fixed choices.

The printed sheet, the workbook and its reader all take their rows, names and choices from here, so that they cannot
drift apart.
"""

from dataclasses import dataclass
from typing import Final

from chaincase.chains.attachments import BY_NAME as ATTACHMENT
from chaincase.chains.attachments import Form, OnLink, Side
from chaincase.chains.dimensions import BY_NAME, Dimension, Group
from chaincase.chains.kinds import Kind, Links
from chaincase.makeup.strands import Ends
from chaincase.measuring.instruments import Instrument

CALIPER: Final = Instrument.DIGITAL_CALIPER.value
TAPE: Final = Instrument.TAPE.value

_PICTURE: Final = {
    Group.DIAMETER: "over a round part",
    Group.BORE: "inside a bore",
    Group.WIDTH: "over a wide part",
    Group.HEIGHT: "over a wide part",
    Group.THICKNESS: "over a plate",
    Group.PITCH: "tape",
}
_OWN_PICTURE: Final = {
    "inner_width": "inside a gap",
    "outer_link_inner_width": "inside a gap",
    "pin_length": "over a pin",
    "pin_length_connecting": "over a pin",
    "flange_diameter": "over the rim",
}
_PLACE: Final = {
    "transverse_pitch": "two strands",
    "roller_diameter": "3 rollers",
    "flange_diameter": "the same rollers",
    "bush_diameter": "bush or barrel",
    "bush_bore": "opened joint",
    "pin_diameter": "pulled pin, or in a gap",
    "hollow_pin_bore": "end of the pin",
    "inner_width": "inner link",
    "inner_link_width": "inner link",
    "outer_link_inner_width": "outer link",
    "pin_length": "riveted pin",
    "pin_length_connecting": "connecting link",
    "inner_plate_height": "inner link",
    "outer_plate_height": "outer link",
    "inner_plate_thickness": "inner link",
    "outer_plate_thickness": "outer link",
    "sidebar_height": "any link",
    "sidebar_thickness": "any link",
    "plate_width": "any link",
    "plate_thickness": "any link",
    "hinge_diameter": "any link",
    "hinge_width": "any link",
}
"""Where on the chain a reading is taken; common practice, no source."""

HARDLY_EVER: Final = frozenset({"bush_bore", "transverse_pitch", "pin_length_connecting"})
"""Printed last: most chains lack them, or they cannot be reached while the chain is whole."""
NOT_OF_THE_CHAIN: Final = frozenset({"chain_path_depth"})
"""Sizes of the machine that tables of chain also list; the sheet does not ask for them."""


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One line to fill in.

    Attributes
    ----------
    dimension : str
        Name in `chains.dimensions`.
    letter, label : str
        Its key letter and words.
    how : str
        One line: where the jaws or the tape go.
    pictogram : str
        Name in `pictograms.SHAPES`.
    instrument, technique, link, reference : str
        What a reading from this line says of itself unless the person writes otherwise.
    place : str
        Where on the chain.
    over : int or None
        Pitches spanned; None where the person must write how many.
    """

    dimension: str
    letter: str
    label: str
    how: str
    pictogram: str
    instrument: str
    place: str
    technique: str = ""
    link: str = ""
    reference: str = ""
    over: int | None = 1


def sheet_rows(kind: Kind) -> tuple[SheetRow, ...]:
    """Give the lines of a kind's sheet, the pitch first, those that can seldom be read last.

    Where links alternate the pitch is asked across an outer link, which wear does not stretch, and across an inner one,
    which it stretches twice (chains with press-fitted pins; common practice, no source).

    >>> from chaincase.chains.kinds import kind_named
    >>> [(row.letter, row.place) for row in sheet_rows(kind_named("detachable"))]
    [('P', 'one link'), ('P', 'several links')]
    """
    dimensions = [BY_NAME[name] for name in kind.dimensions if name not in NOT_OF_THE_CHAIN | {"pitch"}]
    dimensions.sort(key=lambda each: each.name in HARDLY_EVER)
    return (*_pitch_rows(kind), *(_row(each) for each in dimensions))


def _pitch_rows(kind: Kind) -> tuple[SheetRow, ...]:
    edge = "pin edge to the same edge of the next"
    if kind.links is Links.ALTERNATE:
        single: tuple[SheetRow, ...] = (
            _pitch("pitch over an outer link", f"{edge}; hardly grows with wear", "outer link", "outer"),
            _pitch("pitch over an inner link", f"{edge}; grows with wear", "inner link", "inner"),
        )
    else:
        single = (_pitch("pitch", edge, "one link", "unknown"),)
    several = SheetRow(
        "pitch", "P", "over several pitches", "chain pulled straight; an even number if possible",
        "tape over several", TAPE, "several links", "same edge", "unknown", "pins", None,
    )  # fmt: skip
    return (*single, several)


def _pitch(label: str, how: str, place: str, link: str) -> SheetRow:
    return SheetRow("pitch", "P", label, how, "tape", TAPE, place, "same edge", link, "pins")


def _row(each: Dimension) -> SheetRow:
    picture = _OWN_PICTURE.get(each.name, _PICTURE[each.group])
    technique = "center to center" if each.group is Group.PITCH else "direct"
    return SheetRow(each.name, each.letter, each.label, each.how, picture, CALIPER, _PLACE[each.name], technique)


@dataclass(frozen=True, slots=True)
class AttachmentRow:
    """One size of an attachment to fill in; `dimension` is a name of `chains.attachments`."""

    dimension: str
    letter: str
    label: str
    how: str
    pictogram: str
    technique: str


_ATTACHMENT_PICTURE: Final = {
    "platform_height": "height above the pin",
    "overall_height": "height above the pin",
    "thickness": "over a plate",
    "plate_length": "over a wide part",
    "overall_width": "over a wide part",
    "hole_diameter": "inside a bore",
    "longitudinal_hole_spacing": "zeroed on hole",
    "transverse_hole_spacing": "zeroed on hole",
    "pin_extension": "depth",
    "pin_extension_diameter": "over a round part",
}
"""The sizes that a sheet has boxes for: those that most attachments are made by (common practice, no source)."""


_ATTACHMENT_HOW: Final = {
    "platform_height": "from the pin center up to the bolted face",
    "hole_diameter": "inside the hole; of a slot its width",
    "longitudinal_hole_spacing": "hole to hole, on one platform",
    "transverse_hole_spacing": "hole to hole, from one side to the other",
    "pin_extension": "from the sidebar to the end of the pin",
}
"""Where the words of `chains.attachments` are too long for a line."""


def _attachment_row(name: str, picture: str) -> AttachmentRow:
    each = ATTACHMENT[name]
    technique = "zeroed on hole" if picture == "zeroed on hole" else "direct"
    return AttachmentRow(name, each.letter, each.label, _ATTACHMENT_HOW.get(name, each.how), picture, technique)


ATTACHMENT_ROWS: Final = tuple(_attachment_row(name, picture) for name, picture in _ATTACHMENT_PICTURE.items())

LINK_CHOICES: Final = tuple(each.value for each in OnLink)
SIDE_CHOICES: Final = tuple(each.value for each in Side)
FORM_CHOICES: Final = tuple(each.value for each in Form)
INSTRUMENT_CHOICES: Final = tuple(each.value for each in Instrument if each is not Instrument.PHOTOGRAPH)
LEGIBILITY_CHOICES: Final = ("clear", "worn", "corroded", "unknown")
STATE_CHOICES: Final = ("reported", "observed", "ruled out", "unknown")
END_CHOICES: Final = tuple(end.value for end in Ends)

WHEEL_SIZES: Final = (
    ("outside_diameter", "over the tips of the teeth"),
    ("root_diameter", "across two opposite gaps"),
    ("tooth_width", "thickness of a tooth"),
)
"""What is read on each sprocket that stays, besides counting its teeth."""
