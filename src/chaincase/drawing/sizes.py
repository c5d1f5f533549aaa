"""The sizes a figure is drawn with: those that are known, and the rest assumed so that there is something to draw.

The proportions are those of a middling chain of each kind (common practice, no source). They serve the
drawing alone: what rests on one is drawn thin and named as not to scale.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from statistics import median

from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import Kind
from chaincase.drawing.scene import Stroke
from chaincase.errors import BadInput

USUAL_PITCH = 50.0
"""Pitch of a figure of which nothing is known [mm]."""
LARGEST = 1e5
"""No part of a chain is longer than this [mm]; a larger figure is a slip."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """Every size that a figure of one kind needs.

    Attributes
    ----------
    values : mapping
        Dimension to size [mm], known and assumed.
    known : frozenset of str
        Those that were given.
    plain : bool
        Whether every edge is drawn thick, as on a blank figure that shows where to measure and no sizes.
    strands : int
        Number of strands, 0 where nobody said.
    """

    values: Mapping[str, float]
    known: frozenset[str]
    plain: bool = False
    strands: int = 0

    def __getitem__(self, name: str) -> float:
        return self.values[name]

    def edge(self, *names: str) -> Stroke:
        """Give the stroke of an edge that rests on these: thick if all are known or the figure is plain, else thin."""
        return Stroke.VISIBLE if self.plain or self.known.issuperset(names) else Stroke.THIN

    def knows(self, *names: str) -> bool:
        """Say whether all of these were given."""
        return self.known.issuperset(names)


_SHORT = {
    "pitch": 1.0,
    "roller_diameter": 0.62,
    "bush_diameter": 0.46,
    "bush_bore": 0.33,
    "pin_diameter": 0.31,
    "inner_width": 0.62,
    "inner_plate_height": 0.94,
    "inner_plate_thickness": 0.12,
}
_LONG = {
    "pitch": 1.0,
    "flange_diameter": 0.56,
    "roller_diameter": 0.42,
    "bush_diameter": 0.19,
    "bush_bore": 0.135,
    "pin_diameter": 0.13,
    "inner_width": 0.28,
    "inner_plate_height": 0.34,
    "inner_plate_thickness": 0.045,
}
_HOLLOW = _LONG | {"pin_diameter": 0.21, "hollow_pin_bore": 0.13, "bush_bore": 0.22, "bush_diameter": 0.27}
_BARS = {
    "pitch": 1.0,
    "bush_diameter": 0.34,
    "pin_diameter": 0.19,
    "inner_link_width": 0.7,
    "sidebar_height": 0.4,
    "sidebar_thickness": 0.095,
}
_TWICE = {name: 0.5 * ratio for name, ratio in _SHORT.items()} | {"pitch": 1.0}

PROPORTIONS: Mapping[str, Mapping[str, float]] = {
    "roller": _SHORT,
    "bush": _SHORT | {"bush_diameter": 0.6},
    "double pitch": _TWICE,
    "conveyor bush": _LONG,
    "conveyor roller": _LONG,
    "conveyor flanged": _LONG,
    "hollow pin bush": _HOLLOW,
    "hollow pin roller": _HOLLOW,
    "hollow pin flanged": _HOLLOW,
    "offset sidebar": _BARS
    | {"roller_diameter": 0.5, "pin_diameter": 0.25, "inner_link_width": 0.85, "sidebar_height": 0.7},
    "bushed rollerless": _BARS,
    "combination": _BARS,
    "cast mill": _BARS,
    "pintle": _BARS,
    "class 700": _BARS
    | {
        "bush_diameter": 0.24,
        "pin_diameter": 0.125,
        "inner_link_width": 0.45,
        "sidebar_height": 0.25,
        "sidebar_thickness": 0.06,
    },
    "welded steel": _BARS,
    "drag": _BARS
    | {
        "bush_diameter": 0.19,
        "pin_diameter": 0.11,
        "inner_link_width": 1.1,
        "sidebar_height": 0.25,
        "sidebar_thickness": 0.05,
    },
    "rivetless": {"pitch": 1.0, "pin_diameter": 0.155, "pin_length": 0.57},
    "detachable": {"pitch": 1.0},
    "leaf": {
        "pitch": 1.0,
        "pin_diameter": 0.4,
        "bush_bore": 0.405,
        "pin_length": 1.4,
        "inner_plate_height": 0.95,
        "inner_plate_thickness": 0.16,
    },
    "flat-top": {
        "pitch": 1.0,
        "plate_width": 2.17,
        "plate_thickness": 0.08,
        "hinge_diameter": 0.34,
        "hinge_width": 1.1,
        "pin_diameter": 0.167,
    },
    "agricultural": _SHORT
    | {
        "roller_diameter": 0.4,
        "inner_width": 0.52,
        "pin_diameter": 0.16,
        "bush_diameter": 0.26,
        "bush_bore": 0.17,
        "inner_plate_height": 0.46,
        "inner_plate_thickness": 0.065,
    },
}
"""Size over pitch, by kind; the sizes not named here follow from others in `_RULES`."""


def checked(dimensions: Mapping[str, float], what: str = "dimensions") -> dict[str, float]:
    """Give the dimensions again, once every name and figure has been looked at.

    Raises
    ------
    BadInput
        If a name is not a dimension, or a size is not a positive number of millimeters.
    """
    for name, size in dimensions.items():
        if name not in BY_NAME:
            raise BadInput(f"{name!r} is not a dimension", where=what, right=f"use one of: {', '.join(BY_NAME)}")
        if not (math.isfinite(size) and 0.0 < size <= LARGEST):
            raise BadInput(
                f"{size!r} cannot be drawn", where=f"{what}.{name}", right="give a size above 0 mm, or leave it out"
            )
    return {name: float(size) for name, size in dimensions.items()}


def inner_wall(sizes: Mapping[str, float]) -> float:
    """Give the thickness of the inner plate, or of the sidebar where all bars are alike [mm]."""
    return sizes["inner_plate_thickness" if "inner_plate_thickness" in sizes else "sidebar_thickness"]


def outer_wall(sizes: Mapping[str, float]) -> float:
    """Give the thickness of the outer plate, or of the sidebar where all bars are alike [mm]."""
    return sizes["outer_plate_thickness" if "outer_plate_thickness" in sizes else "sidebar_thickness"]


def _joint_width(sizes: Mapping[str, float]) -> float:
    """Give the width between outer plates: a little play over the inner link, as far as the pin leaves room."""
    over = sizes["inner_link_width"]
    room = sizes["pin_length"] - 2 * outer_wall(sizes) if "pin_length" in sizes else math.inf
    return min(1.015 * over, max(over, room))


_Rule = tuple[str, tuple[str, ...], Callable[[Mapping[str, float]], float]]
_RULES: tuple[_Rule, ...] = (
    ("outer_plate_height", ("inner_plate_height",), lambda s: 0.93 * s["inner_plate_height"]),
    ("outer_plate_thickness", ("inner_plate_thickness",), lambda s: s["inner_plate_thickness"]),
    ("inner_link_width", ("inner_width",), lambda s: s["inner_width"] + 2.02 * inner_wall(s)),
    ("inner_width", ("inner_link_width",), lambda s: 0.98 * s["inner_link_width"] - 2 * inner_wall(s)),
    ("outer_link_inner_width", ("inner_link_width",), _joint_width),
    (
        "pin_length",
        ("outer_link_inner_width",),
        lambda s: s["outer_link_inner_width"] + 2 * outer_wall(s) + 0.5 * s["pin_diameter"],
    ),
    ("pin_length", ("hinge_width",), lambda s: 1.012 * s["hinge_width"]),
    ("pin_length_connecting", ("pin_length",), lambda s: s["pin_length"] + 0.5 * s["pin_diameter"]),
    ("bush_bore", ("pin_diameter",), lambda s: 1.02 * s["pin_diameter"]),
    ("sidebar_height", ("inner_plate_height",), lambda s: s["inner_plate_height"]),
    ("sidebar_thickness", ("inner_plate_thickness",), lambda s: s["inner_plate_thickness"]),
    ("chain_path_depth", ("inner_plate_height",), lambda s: 1.02 * s["inner_plate_height"]),
    ("transverse_pitch", ("outer_link_inner_width",), lambda s: s["outer_link_inner_width"] + 2.05 * outer_wall(s)),
)
"""How a size that is neither known nor proportioned follows from others, in this order."""

_INSIDE = frozenset({"inner_width", "outer_link_inner_width", "bush_bore"})
"""Drawn on kinds whose tables have no such column, because the parts are there all the same."""


_NESTED = (
    ("hollow_pin_bore", "pin_diameter", "bush_bore", "bush_diameter", "roller_diameter", "flange_diameter"),
    ("bush_diameter", "inner_plate_height"),
    ("pin_diameter", "sidebar_height"),
    ("inner_width", "inner_link_width", "outer_link_inner_width", "pin_length", "pin_length_connecting"),
    ("pin_diameter", "hinge_diameter"),
    ("hinge_width", "plate_width"),
)
"""Each size is smaller than the next; an assumed one is pushed between its known neighbors."""


def _between(name: str, size: float, known: Mapping[str, float]) -> float:
    """Push an assumed size between the known ones that must be smaller and larger."""
    low, high = 0.0, math.inf
    for chain in _NESTED:
        if name in chain:
            at = chain.index(name)
            low = max([low, *(known[n] for n in chain[:at] if n in known)])
            high = min([high, *(known[n] for n in chain[at + 1 :] if n in known)])
    if low >= high:
        return size
    return min(max(size, 1.04 * low), 0.96 * high) if 1.04 * low < 0.96 * high else (low + high) / 2


_ALIKE = (
    ("inner_plate_thickness", "sidebar_thickness"),
    ("inner_plate_height", "sidebar_height"),
    ("inner_plate_thickness", "outer_plate_thickness"),
    ("inner_plate_height", "outer_plate_height"),
)
"""Plates of one chain that are as thick and as high as each other, if only one is known."""


def _learn_from_neighbors(sizes: dict[str, float], kind: Kind) -> None:
    """Fill in what known sizes tell about their neighbors, better than any proportion would."""
    wall = "inner_plate_thickness" if "inner_plate_thickness" in kind.dimensions else "sidebar_thickness"
    inner, over = sizes.get("inner_width"), sizes.get("inner_link_width")
    if inner and over and over > inner:
        sizes.setdefault(wall, (over - inner) / 2.02)
    step, between = sizes.get("transverse_pitch"), sizes.get("outer_link_inner_width")
    if step and between and step > between:
        # Two outer plates stand side by side between the strands.
        sizes.setdefault("outer_plate_thickness", 0.98 * (step - between) / 2)
    for one, other in _ALIKE:
        for missing, given in ((one, other), (other, one)):
            if missing not in sizes and given in sizes and missing in kind.dimensions:
                sizes[missing] = sizes[given]
    if inner and not over and wall in sizes:
        sizes["inner_link_width"] = inner + 2.02 * sizes[wall]
    if over and not inner and wall in sizes and over > 2.02 * sizes[wall]:
        sizes["inner_width"] = over - 2.02 * sizes[wall]


def complete(kind: Kind, dimensions: Mapping[str, float]) -> Sizes:
    """Give every size that the figure of a kind needs, the missing ones assumed [mm].

    Dimensions that do not exist on the kind are left aside.

    Raises
    ------
    BadInput
        If a name is not a dimension, or a size is not a positive number of millimeters.

    >>> from chaincase.chains.kinds import kind_named
    >>> sizes = complete(kind_named("roller"), {"pitch": 12.7, "inner_plate_height": 12.07})
    >>> sizes["pitch"], sorted(sizes.known), sizes["roller_diameter"] > sizes["pin_diameter"]
    (12.7, ['inner_plate_height', 'pitch'], True)
    """
    known = {n: size for n, size in checked(dimensions).items() if n in kind.dimensions}
    sizes = dict(known)
    _learn_from_neighbors(sizes, kind)
    usual = _filled(kind, {}, 1.0)
    # The pitch says little about the other sizes of a long-pitch chain, so it speaks only when alone.
    cross = [size / usual[n] for n, size in sizes.items() if n in usual and n != "pitch"]
    scale = median(cross) if cross else known.get("pitch", USUAL_PITCH)
    return Sizes(_filled(kind, sizes, scale), frozenset(known))


def _filled(kind: Kind, given: Mapping[str, float], scale: float) -> dict[str, float]:
    """Give the sizes that are given, and every other one as proportions and rules have it at that scale [mm]."""
    sizes = dict(given)
    for name, ratio in PROPORTIONS[kind.name].items():
        if name not in sizes and name in kind.dimensions:
            sizes[name] = _between(name, ratio * scale, sizes)
    for name, needed, rule in _RULES:
        if name not in sizes and sizes.keys() >= set(needed) and (name in kind.dimensions or name in _INSIDE):
            guess = rule(sizes)
            sizes[name] = _between(name, guess if guess > 0.0 else 0.5 * scale, sizes)
    return sizes
