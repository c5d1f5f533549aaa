"""The rules of interchange in words: why another chain seats, rubs, rides loose or does not fit at all."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from chaincase.chains.kinds import KINDS
from chaincase.identifying import sprocket_fit
from chaincase.identifying.sprocket_fit import (
    SEATING,
    Levels,
    Pair,
    contact_words,
    new_contact,
    old_contact,
    tallest,
    tooth_widths,
)
from chaincase.units import show_force, show_length


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: how it judges the new chains, and what it says of a pair with one new chain that is not the same."""

    judge: Callable[[Pair], Levels]
    words: Callable[[Pair], str]


def figure(value: float) -> float | None:
    """Give a figure, or None for an open cell."""
    return None if np.isnan(value) else float(value)


def size_words(name: str, label: str, old: float, new: float) -> str:
    """Say how a figure differs.

    >>> size_words("pin_diameter", "pin diameter", 7.92, 8.28)
    'pin diameter 8.28 mm (0.326 in) instead of 7.92 mm (5/16 in), 4.5 % more'
    """
    if np.isnan(old):
        return f"{label} {_shown(name, new)}, none given for the old chain"
    if np.isnan(new):
        return f"{label} not given, {_shown(name, old)} on the old chain"
    percent = 100 * (new / old - 1)
    more = "more" if percent > 0 else "less"
    return f"{label} {_shown(name, new)} instead of {_shown(name, old)}, {abs(percent):.1f} % {more}"


def _shown(name: str, value: float) -> str:
    return show_force(1000 * value) if name == "tensile_kn" else show_length(value)


def drop_in_words(pair: Pair) -> str:
    """Say what makes a drop-in, in terms of the old chain."""
    part = contact_words(pair.old_kind)
    return f"same pitch, {part} and inner width within the limits of the standards, and no weaker, longer or taller"


def _pitch(pair: Pair) -> str:
    old, new, steps = pair.was("pitch"), float(pair.new("pitch")[0]), float(pair.steps[0])
    if steps == 0.5:
        return "half the pitch: it needs a gap for each of its pitches, which only the base chain's sprocket has"
    off = 100 * (new / (steps * old) - 1)
    said = []
    if steps == 2:
        said.append("double pitch: it sits in every second gap of this sprocket, which needs many teeth for it")
    if abs(off) > 100 * sprocket_fit.ROUNDING:
        way = "longer" if off > 0 else "shorter"
        within = (
            "as much as new chain may be off" if sprocket_fit.by_pitch(pair)[0] < 2 else "more than new chain may be"
        )
        said.append(f"pitch {abs(off):.2f} % {way}, {within}")
    return "; ".join(said)


def _contact(pair: Pair) -> str:
    old, new = old_contact(pair), float(new_contact(pair)[0])
    was, now = contact_words(pair.old_kind), contact_words(int(pair.kind[0]))
    if new > SEATING * old:
        return (
            f"the {now} of {_mm(new)} does not seat in gaps cut for a {was} of {_mm(old)}, "
            f"which take up to {_mm(SEATING * old)}"
        )
    loose = f"the {now} of {_mm(new)} lies {_mm((old - new) / 2)} deeper in gaps cut for a {was} of {_mm(old)}"
    if sprocket_fit.by_contact(pair)[0] == sprocket_fit.Level.NO:
        return f"{loose}, looser than the widest gap that the standard allows for it"
    return f"{loose}, as if the chain were worn"


def _tooth_width(pair: Pair) -> str:
    tooth, _, narrowest = tooth_widths(pair)
    old, new = pair.was("inner_width"), float(pair.new("inner_width")[0])
    if tooth >= new:
        return f"the tooth for {_mm(old)} is {_mm(tooth)} wide and does not go between plates {_mm(new)} apart"
    if new < old:
        return f"plates {_mm(new)} apart leave the tooth of {_mm(tooth)} little side play"
    if tooth < narrowest[0]:
        least = f"a tooth of at least {_mm(float(narrowest[0]))}"
        return f"plates {_mm(new)} apart want {least}; this one is {_mm(tooth)} and does not guide them"
    return f"plates {_mm(new)} apart instead of {_mm(old)}: the tooth of {_mm(tooth)} guides them less closely"


def _strands(pair: Pair) -> str:
    old, new = pair.was("transverse_pitch"), float(pair.new("transverse_pitch")[0])
    return f"strands {_mm(new)} apart instead of {_mm(old)}: the rows of teeth do not stand in the middle of the plates"


def _flange(pair: Pair) -> str:
    if "flanged" in KINDS[int(pair.kind[0])].name:
        return "flanged roller: tooth and track need room beside the flange"
    return "no flange on the roller: nothing guides it on the track"


def _roller(pair: Pair) -> str:  # noqa: ARG001 (all rules are called alike)
    return "no roller: the bush slides on the teeth, and both wear sooner"


def _links(pair: Pair) -> str:  # noqa: ARG001
    return "inner and outer links alternate: the strand needs an even number of pitches"


def _hollow_pin(pair: Pair) -> str:  # noqa: ARG001
    return "no hollow pin: nothing can be fastened through it"


def _height(pair: Pair) -> str:
    old, every = tallest(pair)
    new = float(every[0])
    if new < old:
        return f"plates {_mm(old - new)} lower: what slides on them sits {_mm((old - new) / 2)} lower"
    said = f"plates {_mm(new - old)} taller: check guides and hub"
    if old_contact(pair) > old and new_contact(pair)[0] <= new:
        return f"{said}; they stand out over the roller, so that the chain no longer rolls on its track"
    return said


def _pin_length(pair: Pair) -> str:
    longer = float(pair.new("pin_length")[0]) - pair.was("pin_length")
    return f"{_mm(longer)} longer over the pins: check the room in casing and guides"


def _pin(pair: Pair) -> str:
    more = 100 * (pair.was("pin_diameter") / float(pair.new("pin_diameter")[0]) - 1)
    return f"thinner pin: {more:.0f} % more pressure in the joint at the same width, so it wears sooner"


def _strength(pair: Pair) -> str:
    weaker = 100 * (1 - pair.catalog.tensile_kn[pair.rows[0]] / pair.catalog.tensile_kn[pair.old])
    return f"weaker by {weaker:.0f} %"


def _thickness(pair: Pair) -> str:
    return f"thicker plates make it about {_mm(float(sprocket_fit.longer_by_plates(pair)[0]))} longer over the pins"


RULES: tuple[Rule, ...] = (
    Rule(sprocket_fit.by_pitch, _pitch),
    Rule(sprocket_fit.by_contact, _contact),
    Rule(sprocket_fit.by_tooth_width, _tooth_width),
    Rule(sprocket_fit.by_strands, _strands),
    Rule(sprocket_fit.by_flange, _flange),
    Rule(sprocket_fit.by_roller, _roller),
    Rule(sprocket_fit.by_links, _links),
    Rule(sprocket_fit.by_hollow_pin, _hollow_pin),
    Rule(sprocket_fit.by_height, _height),
    Rule(sprocket_fit.by_pin_length, _pin_length),
    Rule(sprocket_fit.by_thickness, _thickness),
    Rule(sprocket_fit.by_pin, _pin),
    Rule(sprocket_fit.by_strength, _strength),
)
"""In the order in which an engineer asks."""


def _mm(value: float) -> str:
    return show_length(value, "mm")
