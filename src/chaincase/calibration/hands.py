"""Hands at the chain: what people measure it with, where they put the jaws, and what goes wrong.

All shares are assumed, after what comes in with real requests: common practice, no source.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from chaincase.calibration.blunders import Slip, draw_slip
from chaincase.calibration.chance import happens, pick
from chaincase.calibration.parts import Piece
from chaincase.calibration.wear import Wear, link_scatter, pitch_distance, worn_size
from chaincase.calibration.writing import INCH_MM, Pen, draw_pen, swap_unit, transpose, write
from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.dimensions import UNNAMED, Group
from chaincase.chains.kinds import Links


@dataclass(frozen=True, slots=True)
class Hand:
    """One person with what the toolbox holds.

    Attributes
    ----------
    pen : Pen
        How readings are written down.
    caliper : str or None
        "caliper", "digital caliper", or none at hand.
    care : float
        Factor on all errors of sighting and contact [-].
    slips : float
        Chance of a blunder per reading [-].
    tells_link, tells_technique : bool
        Whether these columns are filled in.
    names : float
        Share of dimensions whose name is known, not only that it is a width, a height and so on [-].
    hurried : bool
        Takes the tool that is in the hand and one pitch instead of several; whoever has a sheet to fill in is not.
    """

    pen: Pen
    caliper: str | None
    care: float
    slips: float
    tells_link: bool
    tells_technique: bool
    names: float
    hurried: bool


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading as it goes into the file, and what went wrong with it (empty: nothing)."""

    reading: dict[str, Any]
    slip: str


LEAST_SLIPS, MOST_SLIPS = 0.03, 0.06
"""Range over people of the chance of a blunder per reading."""


def draw_hand(rng: np.random.Generator, *, likely_inch: float) -> Hand:
    """Draw a person: two in three fill in a measuring sheet, one is hurried."""
    hurried = happens(rng, _HURRIED)
    no_caliper = 0.15 if hurried else 0.03
    return Hand(
        pen=draw_pen(rng, likely_inch=likely_inch),
        caliper=pick(rng, {"digital caliper": 0.6, "caliper": 0.40 - no_caliper, None: no_caliper}),
        care=float(np.exp(0.3 * rng.normal())),
        slips=float(rng.uniform(LEAST_SLIPS, MOST_SLIPS)),
        tells_link=happens(rng, 0.3 if hurried else 0.8),
        tells_technique=happens(rng, 0.4 if hurried else 0.8),
        names=1.0 if happens(rng, 0.4 if hurried else 0.8) else 0.75,
        hurried=hurried,
    )


_HURRIED = 0.33


TAKEN: dict[str, float] = {
    "pitch": 30.0, "transverse_pitch": 1.5, "roller_diameter": 3.0, "flange_diameter": 1.5, "bush_diameter": 2.5,
    "bush_bore": 0.05, "pin_diameter": 1.6, "hollow_pin_bore": 0.8, "inner_width": 1.4, "inner_link_width": 0.5,
    "outer_link_inner_width": 0.2, "pin_length": 0.9, "pin_length_connecting": 0.1, "inner_plate_height": 0.8,
    "outer_plate_height": 0.6, "inner_plate_thickness": 0.7, "outer_plate_thickness": 0.6, "sidebar_height": 1.4,
    "sidebar_thickness": 1.2, "plate_width": 8.0, "plate_thickness": 0.8, "hinge_diameter": 0.5, "hinge_width": 0.5,
}  # fmt: skip
"""How likely each dimension is taken beside others: the pitch by nearly everybody, then the round part that meets the
sprocket, pin and width; nobody measures the path depth on a sample."""
HOW_MANY: dict[int, float] = {1: 0.08, 2: 0.14, 3: 0.20, 4: 0.20, 5: 0.15, 6: 0.12, 7: 0.07, 8: 0.04}
_AGAIN = 0.08
"""Chance that one of the dimensions is taken a second time, on another link."""
_TOP, _ON_TOP = 6, 2.0
"""A sheet is filled in from the top: its first dimensions, and how much likelier they are taken."""
_LACING = 4.0
_BESIDE_ROLLER = 0.15
"""Factor on a bush that sits under a roller: it shows only when the chain is taken apart."""


def choose_dimensions(rng: np.random.Generator, piece: Piece, *, hurried: bool) -> list[str]:
    """Choose what a person measures on that chain, in the order taken."""
    weights = {name: TAKEN[name] for name in piece.new if name in TAKEN}
    if not hurried:
        weights = {
            name: weight * (_ON_TOP if name in piece.kind.dimensions[:_TOP] else 1.0)
            for name, weight in weights.items()
        }
    if "roller_diameter" in weights and "bush_diameter" in weights:
        weights["bush_diameter"] *= _BESIDE_ROLLER
    # Double-pitch plates are straight: one part under two names is measured once.
    if "sidebar_height" in weights and "inner_plate_height" in weights:
        for name in _PLATES if happens(rng, 0.5) else _BARS:
            del weights[name]
    if piece.kind.name == "leaf":
        # The lacing shows in the length over the pin; whoever orders leaf chain looks at it first.
        weights["pin_length"] *= _LACING
    count = min(pick(rng, HOW_MANY), len(weights))
    chosen = []
    for _ in range(count):
        name = pick(rng, weights)
        chosen.append(name)
        del weights[name]
    if happens(rng, _AGAIN):
        chosen.append(chosen[int(rng.integers(len(chosen)))])
    return chosen


_PLATES = ("inner_plate_height", "outer_plate_height", "inner_plate_thickness", "outer_plate_thickness")
_BARS = ("sidebar_height", "sidebar_thickness")

_SIGHT_MM = {"tape": 0.5, "steel rule": 0.3, "caliper": 0.05, "digital caliper": 0.03}
"""Standard deviation of sighting or contact of both ends together, dirt and tilt included [mm]."""
_SCALE_LIMIT = {
    "tape": (0.3, 0.0002),
    "steel rule": (0.2, 0.0001),
    "caliper": (0.05, 0.0),
    "digital caliper": (0.03, 0.0),
}
"""Error limit of the scale, mm and share: OIML R 35-1 class II and I, DIN 862; uniform within."""
_LONGEST_CALIPER_MM = 150.0
_FEW_LONG_CALIPERS = 0.1


def choose_instrument(rng: np.random.Generator, hand: Hand, name: str, size_mm: float) -> str:
    """Choose what a size is taken with."""
    group = DIMENSION[name].group
    long_jaws = size_mm <= _LONGEST_CALIPER_MM or (size_mm <= 300.0 and happens(rng, _FEW_LONG_CALIPERS))
    if hand.caliper and long_jaws:
        share = {Group.PITCH: 0.45, Group.BORE: 1.0}.get(group, 0.85 if hand.hurried else 0.96)
        if happens(rng, share):
            return hand.caliper
    if size_mm < 12.0 and hand.caliper:
        return hand.caliper
    return "tape" if happens(rng, 0.75 if size_mm > 150.0 else 0.5) else "steel rule"


def take(
    rng: np.random.Generator,
    piece: Piece,
    wear: Wear,
    hand: Hand,
    name: str,
    *,
    instrument: str | None = None,
    over: int | None = None,
) -> Taken:
    """Take one reading.

    Parameters
    ----------
    rng : numpy.random.Generator
    piece : Piece
    wear : Wear
    hand : Hand
    name : str
        What is to be measured; it must exist on the chain.
    instrument : str, optional
        What it is taken with; else what is at hand.
    over : int, optional
        Pitches; else as people do.
    """
    slip = draw_slip(rng, piece, name) if happens(rng, hand.slips) else Slip("")
    if DIMENSION[name].group is Group.PITCH:
        reading, size = _at_centers(rng, piece, wear, hand, name, over)
        slip = _miscounted(slip, reading)
    else:
        reading, size = {}, _on_part(rng, piece, wear, slip.instead or name)
    reading = {"dimension": slip.label or _called(rng, hand, name), "value": "", **reading}
    if instrument is None and happens(rng, _PHOTOGRAPHED):
        return Taken(_photographed(rng, reading, size, hand), "")
    used = instrument or choose_instrument(rng, hand, name, size)
    size = max(size * slip.factor + slip.inches * INCH_MM, 0.4 * size)
    text = _written(rng, size, used, hand)
    reading["value"] = _miswritten(rng, text, slip)
    if "edge_diameters" in reading:
        reading["edge_diameters"] = [_written(rng, d, used, hand) for d in reading["edge_diameters"]]
    reading |= _instrument_told(rng, used, told=instrument is not None)
    in_writing = slip.name in {"unit swap", "digits transposed"}
    return Taken(reading, "" if in_writing and reading["value"] == text else slip.name)


def _miscounted(slip: Slip, reading: dict[str, Any]) -> Slip:
    """Apply a wrong count; one pitch is not miscounted, but two may pass for one."""
    if not slip.miscount:
        return slip
    if reading["over"] == 1:
        return Slip("pitch doubled", factor=2.0)
    reading["over"] += slip.miscount
    return slip


def _written(rng: np.random.Generator, size: float, used: str, hand: Hand) -> str:
    return write(rng, with_error(rng, size, used, hand.care), used, hand.pen)


def _miswritten(rng: np.random.Generator, text: str, slip: Slip) -> str:
    if slip.name == "unit swap":
        return swap_unit(text)
    return transpose(rng, text) if slip.name == "digits transposed" else text


def with_error(rng: np.random.Generator, size: float, instrument: str, care: float) -> float:
    """Give what a scale would show for a size, before it is rounded [mm]."""
    fixed, share = _SCALE_LIMIT[instrument]
    limit = fixed + share * size
    return float(size + limit * rng.uniform(-1.0, 1.0) + care * _SIGHT_MM[instrument] * rng.normal())


def _called(rng: np.random.Generator, hand: Hand, name: str) -> str:
    """Give the dimension's name, or only its sort where the person does not know better."""
    if happens(rng, hand.names):
        return name
    return next((sort for sort, members in UNNAMED.items() if name in members), name)


def _instrument_told(rng: np.random.Generator, used: str, *, told: bool) -> dict[str, str]:
    if told or happens(rng, 0.82):
        return {"instrument": used}
    return {} if happens(rng, 0.6) else {"instrument": "unknown"}


_PHOTOGRAPHED, _PERSPECTIVE = 0.015, 0.07
"""Share of figures scaled off a photograph, and their relative error: perspective is no ruler."""


def _photographed(rng: np.random.Generator, reading: dict[str, Any], size: float, hand: Hand) -> dict[str, Any]:
    value = write(rng, size * float(np.exp(_PERSPECTIVE * rng.normal())), "steel rule", hand.pen)
    return {**reading, "value": value, "instrument": "photograph"} | (
        {"edge_diameters": []} if "edge_diameters" in reading else {}
    )


_UNWORN_SPOT = 0.55
"""Share of readings taken where the part is unworn, turned to the largest or beside the track."""


def _on_part(rng: np.random.Generator, piece: Piece, wear: Wear, name: str) -> float:
    """Give the size between the jaws, link to link scatter included [mm]."""
    spot = 0.15 * float(rng.random()) if happens(rng, _UNWORN_SPOT) else float(rng.random())
    if DIMENSION[name].group is Group.HEIGHT:
        # A bar slides over its whole length.
        spot = float(rng.uniform(0.5, 1.0))
    size = worn_size(piece, wear, name, spot) + link_scatter(piece, name) * float(rng.normal())
    return max(size, 0.3 * piece.new[name])


_OVER_HURRIED = {1: 0.60, 2: 0.15, 3: 0.05, 4: 0.08, 5: 0.04, 6: 0.03, 8: 0.02, 10: 0.03}
_OVER = {1: 0.25, 2: 0.12, 3: 0.06, 4: 0.22, 5: 0.08, 6: 0.08, 8: 0.05, 10: 0.14}
"""Over how many pitches people measure; a sheet asks for several."""
_SLACK = 0.15
"""Share of pitches taken without pulling the chain tight."""
_TECHNIQUE = {"center to center": 0.48, "same edge": 0.38, "inside edges": 0.07, "outside edges": 0.07}
_TOLD_DIAMETERS = 0.5
_LONGEST_SAMPLE_MM = 3000.0
_JAWS_MM = 3.0
"""No jaws go into a smaller gap."""


def _at_centers(
    rng: np.random.Generator, piece: Piece, wear: Wear, hand: Hand, name: str, over: int | None
) -> tuple[dict[str, Any], float]:
    """Give the fields of a reading between centers and the distance that the instrument meets [mm]."""
    if name == "transverse_pitch":
        scatter = link_scatter(piece, name) * float(rng.normal())
        return {"technique": "same edge"} if happens(rng, 0.4) else {}, piece.new[name] + scatter
    usual = _OVER_HURRIED if hand.hurried else _OVER
    over = over or min(pick(rng, usual), max(int(_LONGEST_SAMPLE_MM / piece.new["pitch"]), 1))
    alike = piece.kind.links is Links.ALIKE
    first = "offset" if alike else pick(rng, {"inner": 0.5, "outer": 0.5})
    reference = _reference(rng, piece, over)
    taut = float(rng.uniform(0.2, 1.0)) if happens(rng, _SLACK) else 1.0
    size = pitch_distance(piece, wear, first=first, reference=reference, over=over, taut=taut)
    size += link_scatter(piece, "pitch", over) * float(rng.normal())
    technique = pick(rng, _TECHNIQUE) if reference != "holes" else "center to center"
    fields: dict[str, Any] = {"over": over}
    edge = {"inside edges": -1, "outside edges": 1}.get(technique, 0)
    if edge and (part := _edge_part(piece, reference)):
        diameter = _on_part(rng, piece, wear, part)
        if size + edge * diameter < _JAWS_MM:
            technique = "center to center"
        else:
            size += edge * diameter
            if happens(rng, _TOLD_DIAMETERS):
                fields["edge_diameters"] = [diameter]
    return fields | _pitch_words(rng, hand, technique, first, reference), size


def _reference(rng: np.random.Generator, piece: Piece, over: int) -> str:
    round_parts = "roller_diameter" in piece.new or "bush_diameter" in piece.new
    weights = {"pins": 0.65, "rollers": 0.32 if round_parts else 0.0, "holes": 0.02 if over == 1 else 0.0}
    return pick(rng, weights)


def _edge_part(piece: Piece, reference: str) -> str | None:
    names = ("pin_diameter",) if reference == "pins" else ("roller_diameter", "bush_diameter")
    return next((name for name in names if name in piece.new), None)


_WRONG_WORD = 0.03
"""Share of link and reference columns that are filled in wrongly."""


def _pitch_words(rng: np.random.Generator, hand: Hand, technique: str, first: str, reference: str) -> dict[str, str]:
    """Give technique, link and reference as far as they are told."""
    words: dict[str, str] = {}
    edges = technique in {"inside edges", "outside edges"}
    if hand.tells_technique or (edges and happens(rng, 0.9)):
        words["technique"] = technique
    if hand.tells_link:
        words["link"] = _mistaken(rng, first, {"inner": "outer", "outer": "inner", "offset": "outer"})
        words["reference"] = _mistaken(rng, reference, {"pins": "rollers", "rollers": "pins", "holes": "pins"})
    elif happens(rng, 0.2):
        words["link"] = "unknown"
    return words


def _mistaken(rng: np.random.Generator, word: str, others: Mapping[str, str]) -> str:
    return others[word] if happens(rng, _WRONG_WORD) else word
