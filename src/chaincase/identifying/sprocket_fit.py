"""Whether chains run on the sprockets of another one: the rules, over columns, one level per chain.

The sprocket is taken as the standard cuts it for the old chain. A new chain fits where the standard would allow
that same sprocket for it too. Figures of ISO 606 clause 5 marked so below were read, the others are from memory;
for kinds whose standard could not be read, those of ISO 606 stand in, and the documents say so.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME, COLUMN
from chaincase.chains.kinds import INDEX, KINDS, Links

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Levels = NDArray[np.int8]


class Level(IntEnum):
    """How far a chain gets by one rule."""

    SAME = 0
    LIMITED = 1
    NO = 2


ROUNDING = 0.0005
"""Tables print one pitch as 66.27 and 66.269 mm; a closer look than this tells prints apart, not chains."""
SHORT_PITCH_TOLERANCE = 0.0015
"""Length of new chain is 0 to +0.15 % of nominal: ISO 606, printed in independent tables; ISO 1275 from memory."""
CONVEYOR_TOLERANCE = 0.0025
"""0 to +0.25 %: DIN 8165:2018 3.4.1; ISO 1977 and ISO 487 the same from memory."""
LOOKS_LIKE = 0.02
"""A pitch within so much is taken for the same by hand: 100 mm for 4 in, 125 mm for 5 in (1.6 %)."""

SEATING = 1.01
"""The gap's radius is at least 0.505 roller diameters (ISO 606 5.4): it takes a roller of 1.01 times."""
_GAP_PLAY = 0.069
"""The widest gap has a radius of 0.505 d + 0.069 cube root of d [mm] (ISO 606 5.4, from memory)."""

_SHORT = frozenset({"roller", "bush", "double pitch", "agricultural"})
_CONVEYORS = frozenset(kind.name for kind in KINDS if kind.name.startswith(("conveyor", "hollow pin")))
# Chain whose tooth contact is its own: no other kind runs on its wheels (common practice, no source).
_OWN_WHEELS = {"rivetless": 1, "detachable": 2, "flat-top": 3, "leaf": 4}
_HEIGHTS = ("inner_plate_height", "outer_plate_height", "sidebar_height")


def _kinds(test: Callable[[str], bool]) -> Flags:
    return np.array([test(kind.name) for kind in KINDS])


def _contact_name(kind: str) -> str:
    """Give the dimension of the part that meets the tooth; empty where no table describes it."""
    there = KINDS[INDEX[kind]].dimensions
    return next((name for name in ("roller_diameter", "bush_diameter", "hinge_diameter") if name in there), "")


WHEELS = np.array([_OWN_WHEELS.get(kind.name, 0) for kind in KINDS])
_CONTACT = np.array([COLUMN.get(_contact_name(kind.name), -1) for kind in KINDS])
_TOLERANCE = np.where(_kinds(lambda name: name in _SHORT), SHORT_PITCH_TOLERANCE, CONVEYOR_TOLERANCE)
_IS_CONVEYOR = _kinds(lambda name: name in _CONVEYORS)
_IS_DOUBLE = _kinds(lambda name: name == "double pitch")
_SLIDES = _kinds(lambda name: "conveyor" in KINDS[INDEX[name]].seen_as)
_FLANGED = _kinds(lambda name: "flanged" in name)
_HOLLOW = _kinds(lambda name: "hollow" in name)
_ALIKE = _kinds(lambda name: KINDS[INDEX[name]].links is Links.ALIKE)
_ROLLS = _kinds(lambda name: _contact_name(name) == "roller_diameter")


@dataclass(frozen=True, eq=False, slots=True)
class Pair:
    """An old chain and the new ones held against it.

    Attributes
    ----------
    catalog : Catalog
        Where all stand.
    old : int
        Row of the old chain.
    rows : ndarray of int64, shape (m,)
        Rows of the new ones.
    """

    catalog: Catalog
    old: int
    rows: NDArray[np.int64]

    def was(self, name: str) -> float:
        """Give a dimension of the old chain [mm], NaN where it is not known."""
        return float(self.catalog.values[self.old, COLUMN[name]])

    def new(self, name: str) -> Array:
        """Give a dimension of the new chains [mm], shape (m,)."""
        return np.asarray(self.catalog.values[self.rows, COLUMN[name]])

    def ratio(self, name: str) -> Array:
        """Give the new size by the old, shape (m,)."""
        return np.asarray(self.new(name) / self.was(name))

    @property
    def kind(self) -> NDArray[np.int16]:
        """Kinds of the new chains."""
        return self.catalog.kind[self.rows]

    @property
    def old_kind(self) -> int:
        """Kind of the old chain."""
        return int(self.catalog.kind[self.old])

    @property
    def strands(self) -> int:
        """Number of strands, the same for all."""
        return max(int(self.catalog.strands[self.old]), 1)

    @property
    def steps(self) -> Array:
        """Pitches of the old chain in one of the new: 2 for double-pitch chain on the base chain's sprocket."""
        step = self.ratio("pitch")
        doubled = _IS_DOUBLE[self.kind] & ~_IS_DOUBLE[self.old_kind] & (np.abs(step / 2 - 1) < LOOKS_LIKE)
        halved = ~_IS_DOUBLE[self.kind] & _IS_DOUBLE[self.old_kind] & (np.abs(step * 2 - 1) < LOOKS_LIKE)
        return np.where(doubled, 2.0, np.where(halved, 0.5, 1.0))


def old_contact(pair: Pair) -> float:
    """Give the diameter of the old part that meets the tooth [mm], NaN where it is not known."""
    column = int(_CONTACT[pair.old_kind])
    return float(pair.catalog.values[pair.old, column]) if column >= 0 else float("nan")


def new_contact(pair: Pair) -> Array:
    """Give the diameter of the new parts that meet the tooth [mm], shape (m,)."""
    columns = _CONTACT[pair.kind]
    return np.where(columns >= 0, pair.catalog.values[pair.rows, columns], np.nan)


def contact_words(kind: int) -> str:
    """Say what meets the tooth."""
    name = _contact_name(KINDS[kind].name)
    if not name:
        return "the part that meets the tooth"
    return BY_NAME[name].label.removesuffix(" diameter")


def _contact_label(kind: int) -> str:
    name = _contact_name(KINDS[kind].name)
    return BY_NAME[name].label if name else "the part that meets the tooth"


def tallest(pair: Pair) -> tuple[float, Array]:
    """Give the height of the tallest plate, old and new [mm]."""
    columns = [COLUMN[name] for name in _HEIGHTS]
    old = pair.catalog.values[pair.old, columns]
    # fmax passes over NaN, and gives NaN only where nothing is known.
    return float(np.fmax.reduce(old)), np.fmax.reduce(pair.catalog.values[pair.rows][:, columns], axis=1)


def _level(*, limited: Flags, no: Flags) -> Levels:
    return np.select([no, limited], [Level.NO, Level.LIMITED], Level.SAME).astype(np.int8)


def _limited(flags: Flags) -> Levels:
    return np.asarray(flags, dtype=np.int8)


# Each rule below gives one level per new chain; what is not known gives SAME here and is counted by `unknowns`.


def by_pitch(pair: Pair) -> Levels:
    """Judge the pitch: within rounding, within the tolerance of length of new chain, or not.

    Double-pitch chain sits in every second gap of the base chain's sprocket. The other way round half of the
    gaps are missing.
    """
    off = np.abs(pair.ratio("pitch") / pair.steps - 1)
    tolerance = np.maximum(_TOLERANCE[pair.kind], _TOLERANCE[pair.old_kind])
    return _level(limited=(off > ROUNDING) | (pair.steps == 2), no=(off > tolerance) | (pair.steps == 0.5))


def by_contact(pair: Pair) -> Levels:
    """Judge the part that meets the tooth.

    A larger one than the least gap takes does not seat. A smaller one lies as loose as in the widest gap that the
    standard allows for it as long as the old gap, 1.01 d_old wide, is not wider than 1.01 d + 0.138 cube root of d.
    """
    old, new = old_contact(pair), new_contact(pair)
    too_small = SEATING * (old - new) > 2 * _GAP_PLAY * np.cbrt(new)
    return _level(limited=new < (2 - SEATING) * old, no=(new > SEATING * old) | too_small)


def tooth_widths(pair: Pair) -> tuple[float, Array, Array]:
    """Give the old tooth's width, and the widest and narrowest tooth that the new chains may have [mm].

    Single strand 0.93 of the inner width up to 12.7 mm pitch, else 0.95; several strands 0.91 and 0.93; from there
    down to h14 (ISO 606 5.6, factors from memory and checked against a public DIN 8187 table). Conveyor chain
    0.9 b - 1 to 0.87 b - 1.7 (ISO 1977, from memory).
    """
    old = np.array([pair.old])
    (most,), _ = _tooth(pair.catalog, old, pair.strands)
    widest, narrowest = _tooth(pair.catalog, pair.rows, pair.strands)
    return float(most), widest, narrowest


def _tooth(catalog: Catalog, rows: NDArray[np.int64], strands: int) -> tuple[Array, Array]:
    width, pitch, kind = catalog.values[rows, COLUMN["inner_width"]], catalog.values[rows, 0], catalog.kind[rows]
    base = np.where(_IS_DOUBLE[kind], pitch / 2, pitch)
    factor = np.where(base <= 12.7, 0.93, 0.95) - (0.02 if strands > 1 else 0.0)
    conveyor = _IS_CONVEYOR[kind]
    most = np.where(conveyor, 0.9 * width - 1.0, factor * width)
    return most, np.where(conveyor, 0.87 * width - 1.7, most - _h14(most))


# ISO 286-1, IT14 [mm] for sizes up to so many mm; from memory.
_IT14 = ((3, 0.25), (6, 0.30), (10, 0.36), (18, 0.43), (30, 0.52), (50, 0.62), (80, 0.74), (120, 0.87), (180, 1.0))
_IT14_SIZES, _IT14_VALUES = (np.array(part) for part in zip(*_IT14, strict=True))


def _h14(size: Array) -> Array:
    at = np.searchsorted(_IT14_SIZES, np.nan_to_num(size))
    return np.asarray(_IT14_VALUES[np.minimum(at, len(_IT14_VALUES) - 1)])


_SAME_WIDTH = 0.01
_PLAY_LEFT = 0.5
"""Of the side play that the standard leaves, at least this must remain (common practice, no source)."""


def by_tooth_width(pair: Pair) -> Levels:
    """Judge the inner width: the old tooth must be one that the standard allows between the new plates.

    Narrower plates that still leave half of the standard's side play, and wider ones with a tooth inside the
    tolerance, run with limits.
    """
    tooth, widest, narrowest = tooth_widths(pair)
    width = pair.new("inner_width")
    differs = np.abs(pair.ratio("inner_width") - 1) > _SAME_WIDTH
    tight = (width < pair.was("inner_width")) & (width - tooth < _PLAY_LEFT * (width - widest))
    loose = (width > pair.was("inner_width")) & (tooth < narrowest)
    return _level(limited=differs, no=differs & (tight | loose))


def by_strands(pair: Pair) -> Levels:
    """Judge the transverse pitch of several strands: what it differs by adds up and must fit into the side play."""
    if pair.strands == 1:
        return np.zeros(len(pair.rows), dtype=np.int8)
    tooth, _, _ = tooth_widths(pair)
    play = np.maximum(pair.new("inner_width") - tooth, 0.0)
    off = np.abs(pair.new("transverse_pitch") - pair.was("transverse_pitch")) * (pair.strands - 1)
    return _level(limited=off > 0.1 * play, no=off > 0.5 * play)


def by_flange(pair: Pair) -> Levels:
    """Judge the flange of a roller: it needs room beside the tooth, or leaves the chain without guide."""
    return _limited(_FLANGED[pair.kind] != _FLANGED[pair.old_kind])


def by_roller(pair: Pair) -> Levels:
    """Judge a roller that is lost: a bush slides on the tooth where a roller rolled."""
    return _limited(~_ROLLS[pair.kind] & _ROLLS[pair.old_kind])


def by_links(pair: Pair) -> Levels:
    """Judge how links follow each other: alternating links close on an even number of pitches only."""
    return _limited(~_ALIKE[pair.kind] & _ALIKE[pair.old_kind])


def by_hollow_pin(pair: Pair) -> Levels:
    """Judge a hollow pin that is lost: nothing can be bolted through it any more."""
    return _limited(~_HOLLOW[pair.kind] & _HOLLOW[pair.old_kind])


# Prints of one and the same chain differ by so much; only more than that is a difference between chains.
HEIGHT_PRINTS = 0.02
LENGTH_PRINTS = 0.02
PIN_PRINTS = 0.01
STRENGTH_PRINTS = 0.02


def by_height(pair: Pair) -> Levels:
    """Judge the plates: taller ones need room in guides and over the hub, and must stay inside a roller that carries.

    Where the chain slides on its plates a lower plate lowers what is carried.
    """
    old, new = tallest(pair)
    taller, lower = new > old * (1 + HEIGHT_PRINTS), new < old * (1 - HEIGHT_PRINTS)
    slid = _SLIDES[pair.old_kind] & ~bool(old_contact(pair) > old)
    return _limited(taller | (slid & lower))


def by_pin_length(pair: Pair) -> Levels:
    """Judge the length over pins: a longer one needs room in casing and guides."""
    return _limited(pair.ratio("pin_length") > 1 + LENGTH_PRINTS)


def longer_by_plates(pair: Pair) -> Array:
    """Give how much longer the pins must be for thicker plates [mm]: two inner and two outer ones on each side's sum.

    NaN where the length over pins is known of both, or a thickness of neither.
    """
    sums = [_plates(pair.catalog, rows) for rows in (np.array([pair.old]), pair.rows)]
    return np.asarray(np.where(np.isnan(pair.ratio("pin_length")), 2 * (sums[1] - sums[0]), np.nan))


def _plates(catalog: Catalog, rows: NDArray[np.int64]) -> Array:
    inner, outer, bar = (
        catalog.values[rows, COLUMN[name]]
        for name in ("inner_plate_thickness", "outer_plate_thickness", "sidebar_thickness")
    )
    return np.asarray(np.where(np.isnan(inner + outer), 2 * bar, inner + outer))


def by_thickness(pair: Pair) -> Levels:
    """Judge the plates where the length over pins is open: thicker ones make it longer."""
    return _limited(longer_by_plates(pair) > LENGTH_PRINTS * pair.was("inner_width"))


def by_pin(pair: Pair) -> Levels:
    """Judge the pin: a thinner one bears more pressure in the joint and wears sooner."""
    return _limited(pair.ratio("pin_diameter") < 1 - PIN_PRINTS)


def by_strength(pair: Pair) -> Levels:
    """Judge the tensile strength: a weaker chain is no drop-in."""
    new, old = pair.catalog.tensile_kn[pair.rows], pair.catalog.tensile_kn[pair.old]
    return _limited(new < old * (1 - STRENGTH_PRINTS))


def unknowns(pair: Pair) -> Sequence[tuple[str, Flags]]:
    """Give what must be known of both chains for a drop-in, and of which new chains it is not known."""
    named = ["pin_diameter", "pin_length"]
    if WHEELS[pair.old_kind] == 0:
        named.insert(0, "inner_width")
    if pair.strands > 1:
        named.append("transverse_pitch")
    height_old, height_new = tallest(pair)
    strength = np.isnan(pair.catalog.tensile_kn[pair.rows]) | np.isnan(pair.catalog.tensile_kn[pair.old])
    return (
        (_contact_label(pair.old_kind), np.isnan(new_contact(pair) - old_contact(pair))),
        *((BY_NAME[name].label, np.isnan(pair.ratio(name))) for name in named),
        ("plate height", np.isnan(height_new - height_old)),
        ("tensile strength", strength),
    )


def near(catalog: Catalog, old: int) -> Pair:
    """Give the chains whose pitch may be taken for the old one's: same wheels, same number of strands."""
    ratio = catalog.values[:, 0] / catalog.values[old, 0]
    double = _IS_DOUBLE[catalog.kind]
    short = catalog.kind == INDEX["roller"]
    old_kind = int(catalog.kind[old])
    close = np.abs(ratio - 1) < LOOKS_LIKE
    if old_kind == INDEX["roller"]:
        close |= double & (np.abs(ratio / 2 - 1) < SHORT_PITCH_TOLERANCE)
    if _IS_DOUBLE[old_kind]:
        close |= short & (np.abs(ratio * 2 - 1) < SHORT_PITCH_TOLERANCE)
    strands = np.maximum(catalog.strands, 1)
    found = close & (WHEELS[catalog.kind] == WHEELS[old_kind]) & (strands == strands[old])
    found[old] = False
    return Pair(catalog, old, np.flatnonzero(found))


_ALIKE_WITHIN = 0.10


def looks_alike(pair: Pair) -> Flags:
    """Tell which chains a person may take for the old one: two of tooth contact, inner width and pin within 10 %.

    Offset links are not taken for inner and outer ones, nor double pitch for single pitch unless only the pitch
    differs.
    """
    ratios = np.stack([new_contact(pair) / old_contact(pair), pair.ratio("inner_width"), pair.ratio("pin_diameter")])
    close = (np.abs(ratios - 1) < _ALIKE_WITHIN).sum(axis=0)
    known = (~np.isnan(ratios)).sum(axis=0)
    bare = (pair.kind == pair.old_kind) & (known <= 1) & (close == known)
    halved = (pair.steps == 0.5) & (np.maximum(by_contact(pair), by_tooth_width(pair)) < Level.NO)
    one_look = (_ALIKE[pair.kind] == _ALIKE[pair.old_kind]) & ((pair.steps == 1) | halved)
    return np.asarray(((close >= 2) & one_look) | bare)
