"""The kinds of chain, what can be measured on each, how its links follow each other, and how a person sees it."""

from dataclasses import dataclass
from enum import StrEnum

from chaincase.errors import BadInput


class Links(StrEnum):
    """How links follow each other, which decides where joint wear shows."""

    ALTERNATE = "alternate"
    """Inner and outer links in turn: all growth shows in every second pitch."""
    ALIKE = "alike"
    """Every link the same (offset sidebars, pintle, hinge): every pitch grows alike."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of chain.

    Attributes
    ----------
    name : str
        Short name used in files and on the command line.
    label : str
        Words for a person.
    links : Links
        Whether links alternate.
    dimensions : tuple of str
        Dimensions that exist on it, in the order of its measuring sheet. A dimension not listed does not
        exist on this kind; one that is listed but empty in a table is unknown.
    seen_as : frozenset of str
        What a person who looks at it may rightly call it.
    """

    name: str
    label: str
    links: Links
    dimensions: tuple[str, ...]
    seen_as: frozenset[str]


_PLATES = ("inner_plate_height", "outer_plate_height", "inner_plate_thickness", "outer_plate_thickness")
_WIDTHS = ("inner_width", "inner_link_width", "outer_link_inner_width", "pin_length", "pin_length_connecting")
_BARS = ("sidebar_height", "sidebar_thickness")


def _kind(name: str, label: str, links: Links, dimensions: tuple[str, ...], seen_as: str) -> Kind:
    return Kind(name, label, links, dimensions, frozenset(word.strip() for word in seen_as.split(",")))


KINDS: tuple[Kind, ...] = (
    _kind(
        "roller",
        "short-pitch roller chain",
        Links.ALTERNATE,
        (
            "pitch",
            "roller_diameter",
            "pin_diameter",
            *_WIDTHS,
            *_PLATES,
            "transverse_pitch",
            "bush_diameter",
            "bush_bore",
            "chain_path_depth",
        ),
        "roller, short pitch, multi-strand",
    ),
    _kind(
        "bush",
        "short-pitch bush chain",
        Links.ALTERNATE,
        (
            "pitch",
            "bush_diameter",
            "pin_diameter",
            *_WIDTHS,
            *_PLATES,
            "transverse_pitch",
            "bush_bore",
            "chain_path_depth",
        ),
        "bush, short pitch, rollerless, bushed rollerless, multi-strand",
    ),
    _kind(
        "double pitch",
        "double-pitch roller chain",
        Links.ALTERNATE,
        (
            "pitch",
            "roller_diameter",
            "pin_diameter",
            *_WIDTHS,
            *_BARS,
            *_PLATES,
            "bush_diameter",
            "bush_bore",
            "chain_path_depth",
        ),
        "double pitch, roller, conveyor",
    ),
    _kind(
        "conveyor bush",
        "conveyor chain, solid pin, bush",
        Links.ALTERNATE,
        ("pitch", "bush_diameter", "pin_diameter", *_WIDTHS, *_PLATES, "bush_bore"),
        "conveyor, bush, rollerless, bushed rollerless, solid pin",
    ),
    _kind(
        "conveyor roller",
        "conveyor chain, solid pin, plain roller",
        Links.ALTERNATE,
        ("pitch", "roller_diameter", "bush_diameter", "pin_diameter", *_WIDTHS, *_PLATES, "bush_bore"),
        "conveyor, roller, plain roller, small roller, large roller, solid pin",
    ),
    _kind(
        "conveyor flanged",
        "conveyor chain, solid pin, flanged roller",
        Links.ALTERNATE,
        (
            "pitch",
            "roller_diameter",
            "flange_diameter",
            "bush_diameter",
            "pin_diameter",
            *_WIDTHS,
            *_PLATES,
            "bush_bore",
        ),
        "conveyor, roller, flanged roller, large roller, solid pin",
    ),
    _kind(
        "hollow pin bush",
        "conveyor chain, hollow pin, bush",
        Links.ALTERNATE,
        ("pitch", "bush_diameter", "pin_diameter", "hollow_pin_bore", *_WIDTHS, *_PLATES, "bush_bore"),
        "conveyor, hollow pin, bush, rollerless, bushed rollerless",
    ),
    _kind(
        "hollow pin roller",
        "conveyor chain, hollow pin, plain roller",
        Links.ALTERNATE,
        (
            "pitch",
            "roller_diameter",
            "bush_diameter",
            "pin_diameter",
            "hollow_pin_bore",
            *_WIDTHS,
            *_PLATES,
            "bush_bore",
        ),
        "conveyor, hollow pin, roller, plain roller, small roller, large roller",
    ),
    _kind(
        "hollow pin flanged",
        "conveyor chain, hollow pin, flanged roller",
        Links.ALTERNATE,
        (
            "pitch",
            "roller_diameter",
            "flange_diameter",
            "bush_diameter",
            "pin_diameter",
            "hollow_pin_bore",
            *_WIDTHS,
            *_PLATES,
            "bush_bore",
        ),
        "conveyor, hollow pin, roller, flanged roller, large roller",
    ),
    _kind(
        "offset sidebar",
        "offset-sidebar roller chain",
        Links.ALIKE,
        (
            "pitch",
            "roller_diameter",
            "pin_diameter",
            "inner_width",
            "inner_link_width",
            "outer_link_inner_width",
            "pin_length",
            *_BARS,
            "bush_bore",
        ),
        "offset sidebar, roller",
    ),
    _kind(
        "bushed rollerless",
        "steel bushed rollerless chain",
        Links.ALTERNATE,
        ("pitch", "bush_diameter", "pin_diameter", *_WIDTHS, *_BARS, "bush_bore"),
        "bushed rollerless, rollerless, bush, conveyor, engineering",
    ),
    _kind(
        "combination",
        "combination chain, cast block links",
        Links.ALTERNATE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "combination, cast, conveyor",
    ),
    _kind(
        "cast mill",
        "cast mill chain, offset links with barrel",
        Links.ALIKE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "cast mill, mill, cast, offset sidebar, pintle",
    ),
    _kind(
        "pintle",
        "pintle chain",
        Links.ALIKE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "pintle, cast, offset sidebar, steel pintle",
    ),
    _kind(
        "class 700",
        "700-class chain for water treatment",
        Links.ALIKE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "class 700, pintle, cast, offset sidebar, welded steel",
    ),
    _kind(
        "welded steel",
        "welded steel mill chain",
        Links.ALIKE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "welded steel, offset sidebar, mill",
    ),
    _kind(
        "drag",
        "welded steel drag chain",
        Links.ALIKE,
        ("pitch", "bush_diameter", "pin_diameter", "inner_link_width", "pin_length", *_BARS),
        "drag, welded steel, offset sidebar",
    ),
    _kind(
        "rivetless",
        "drop-forged rivetless chain",
        Links.ALTERNATE,
        ("pitch", "pin_diameter", "pin_length"),
        "rivetless, forged",
    ),
    _kind("detachable", "detachable link chain", Links.ALIKE, ("pitch",), "detachable, steel detachable, cast"),
    _kind(
        "leaf",
        "leaf chain",
        Links.ALTERNATE,
        ("pitch", "pin_diameter", "pin_length", *_PLATES, "bush_bore"),
        "leaf",
    ),
    _kind(
        "flat-top",
        "flat-top chain",
        Links.ALIKE,
        (
            "pitch",
            "plate_width",
            "plate_thickness",
            "hinge_diameter",
            "hinge_width",
            "pin_diameter",
            "pin_length",
        ),
        "flat-top, hinge",
    ),
    _kind(
        "agricultural",
        "agricultural roller chain",
        Links.ALTERNATE,
        ("pitch", "roller_diameter", "pin_diameter", *_WIDTHS, *_PLATES, "bush_diameter", "bush_bore"),
        "agricultural, roller",
    ),
)

BY_NAME: dict[str, Kind] = {kind.name: kind for kind in KINDS}
INDEX: dict[str, int] = {kind.name: i for i, kind in enumerate(KINDS)}
"""Code of each kind in a catalog's arrays."""


def kind_named(name: str) -> Kind:
    """Give the kind of that name.

    Raises
    ------
    BadInput
        If there is none.

    >>> kind_named("leaf").links
    <Links.ALTERNATE: 'alternate'>
    """
    try:
        return BY_NAME[name]
    except KeyError:
        raise BadInput(f"{name!r} is not a kind of chain", right=f"use one of: {', '.join(BY_NAME)}") from None
