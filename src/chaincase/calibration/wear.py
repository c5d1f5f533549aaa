"""What use does to a chain, and what a reading at some place then meets.

Joint wear w is the depth worn off the loaded side of the pin plus that worn into the bush, per joint. Where links
alternate, pins sit fast in the outer plates: between pins an outer link keeps its pitch and an inner link grows
by 2 w; between bushes or rollers it is the other way round. Where links are alike every pitch has one pin end and
one bush end and grows by w. Source: geometry of the joint.
"""

import math
from dataclasses import dataclass

import numpy as np

from chaincase.calibration.chance import happens
from chaincase.calibration.parts import ROUGH, Piece
from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.dimensions import Group
from chaincase.chains.kinds import Links


@dataclass(frozen=True, slots=True)
class Wear:
    """The state of one used chain.

    Attributes
    ----------
    joint : float
        Joint wear w of every joint [mm].
    pin_share : float
        Share of it that the pin lost, the rest is in the bush [-].
    roller, rim, bush : float
        Diameter lost by roller, flange and bush or barrel where it is most worn [mm].
    bar : float
        Height lost by sliding bars, as a share [-].
    face : float
        Thickness lost by bars and plates where they rub, as a share [-].
    side : float
        Wear of plates inward and of pin ends, per side [mm].
    scale : float
        Rust scale or paint, per surface [mm].
    stretch : float
        Permanent stretch of every plate by an overload [-].
    """

    joint: float
    pin_share: float
    roller: float
    rim: float
    bush: float
    bar: float
    face: float
    side: float
    scale: float
    stretch: float


_NEARLY_NEW = 0.12
_MOST_SEVERE = 1.6
"""Samples arrive from nearly new to 1.6 times the wear limit, most at about half of it (assumed)."""
_ELONGATION_LIMIT = 0.03
"""3 % is the limit of drives (several public texts), 2 % to 3 % that of conveyor chain."""
_JOINT_LIMIT_OF_PIN = 0.12
"""Long-pitch chain is worn out by its parts first: pin and bush together lose at most about 12 % of the pin
diameter (pins are replaced at 97.5 % of their diameter case-hardened, at 85 % through-hardened)."""
_ROLLER_WALL = 0.40
"""A small roller is worn out when 40 % of its wall are gone (one public text)."""
_RIM, _BUSH, _BAR, _FACE = 0.02, 0.05, 0.05, 0.12
"""Losses at the limit: flange rim, bush or barrel and bar height (5 % is a printed limit), plate thickness
(a third is the printed limit, few come near)."""
_SLIDES_LITTLE, _LITTLE = frozenset({"roller", "bush", "double pitch", "leaf", "agricultural"}), 0.25
"""Chain that runs over sprockets and rollers alone hardly rubs its plates on a rail."""
_SIDE_MM = 0.25
_RUSTY, _SCALE_MM = 0.45, 0.05
_PAINTED, _PAINT_MM = 0.08, 0.08
_STRETCHED, _STRETCH = 0.015, 0.006
"""Shares of rusty, painted and overloaded chains, and how thick, how far (assumed)."""


def draw_wear(rng: np.random.Generator, piece: Piece) -> Wear:
    """Draw the state of a chain as it arrives."""
    severity = 0.1 * float(rng.random()) if happens(rng, _NEARLY_NEW) else _MOST_SEVERE * float(rng.beta(1.4, 2.4))
    new = piece.new
    pitch = new["pitch"]
    limit = min(_ELONGATION_LIMIT * pitch, _JOINT_LIMIT_OF_PIN * new.get("pin_diameter", 0.2 * pitch))

    def part(scatter: float = 0.5) -> float:
        """Parts of one chain wear unlike: severity times a lognormal."""
        return severity * float(np.exp(scatter * rng.normal()))

    roller = new.get("roller_diameter", 0.0)
    slides = _LITTLE if piece.kind.name in _SLIDES_LITTLE else 1.0
    wall = (roller - new.get("bush_diameter", 0.7 * roller)) / 2.0
    return Wear(
        joint=severity * limit,
        pin_share=float(rng.beta(5.0, 5.0)),
        roller=min(_ROLLER_WALL * wall * part(), wall) if roller else 0.0,
        rim=_RIM * part() * new.get("flange_diameter", 0.0),
        bush=0.2 * _BUSH * part() * new.get("bush_diameter", 0.0) * (1.0 if roller else 5.0),
        bar=min(slides * _BAR * part(0.6), 0.15),
        face=min(_FACE * 0.4 * part(0.6), 0.3),
        side=_SIDE_MM * part(),
        scale=_surface(rng),
        stretch=_STRETCH * float(rng.random() + 0.5) if happens(rng, _STRETCHED) else 0.0,
    )


def _surface(rng: np.random.Generator) -> float:
    rust = float(rng.exponential(_SCALE_MM)) if happens(rng, _RUSTY) else 0.0
    paint = _PAINT_MM * float(rng.random() + 0.5) if happens(rng, _PAINTED) else 0.0
    return rust + paint


def growing_links(links: Links, grows_first: bool, over: int) -> float:
    """Give how many joint wears w a distance over so many pitches holds.

    >>> growing_links(Links.ALTERNATE, False, 1), growing_links(Links.ALTERNATE, True, 3)
    (0.0, 4.0)
    >>> growing_links(Links.ALIKE, False, 3)
    3.0
    """
    if links is Links.ALIKE:
        return float(over)
    return 2.0 * (math.ceil(over / 2) if grows_first else over // 2)


def pitch_distance(piece: Piece, wear: Wear, *, first: str, reference: str, over: int, taut: float = 1.0) -> float:
    """Give the distance over some pitches of a worn chain [mm].

    Parameters
    ----------
    piece : Piece
    wear : Wear
    first : str
        First link, "inner" or "outer"; anything on chain whose links are alike.
    reference : str
        "pins", "rollers", or "holes" in one plate, which never part.
    over : int
        Pitches spanned.
    taut : float
        Share of the play in the joints that shows; 1 under tension [-].
    """
    new = over * piece.new["pitch"] * (1.0 + wear.stretch)
    if reference == "holes" and over == 1:
        return new
    grows_first = first == ("outer" if reference == "rollers" else "inner")
    return new + taut * wear.joint * growing_links(piece.kind.links, grows_first, over)


def worn_size(piece: Piece, wear: Wear, name: str, spot: float) -> float:
    """Give the size of a worn part where it is measured [mm].

    Parameters
    ----------
    piece : Piece
    wear : Wear
    name : str
        Dimension, other than a pitch.
    spot : float
        0 where the part is unworn (pin end in the plate, beside the track), 1 where it is most worn [-].
    """
    new = piece.new[name]
    if name == "pin_diameter":
        return new - spot * wear.pin_share * wear.joint
    if name == "bush_bore":
        return new + spot * (1.0 - wear.pin_share) * wear.joint
    lost = {"roller_diameter": wear.roller, "flange_diameter": wear.rim, "bush_diameter": wear.bush}.get(name)
    if lost is not None:
        return max(new - spot * lost, 0.3 * new)
    return new + _plain_change(piece, wear, name, spot)


_INSIDE_JAWS = frozenset({"inner_width", "outer_link_inner_width"})
_FLAT_GROUPS = frozenset({Group.HEIGHT, Group.THICKNESS})


def _plain_change(piece: Piece, wear: Wear, name: str, spot: float) -> float:
    """Give what wear takes off widths, heights, thicknesses and hinges, and what scale adds [mm]."""
    new = piece.new[name]
    if DIMENSION[name].group in _FLAT_GROUPS:
        return _bar_change(wear, name, new, spot)
    rub = 2.0 * spot * wear.side
    inward = 2.0 * min(wear.scale, 0.05 * new)
    changes = {
        "transverse_pitch": 0.0,
        "hollow_pin_bore": -inward,
        "hinge_diameter": -0.3 * spot * wear.joint,
        # Ends of pins are rubbed bright.
        "pin_length": -rub,
        "pin_length_connecting": -rub,
    }
    return changes.get(name, rub - inward if name in _INSIDE_JAWS else 2.0 * wear.scale - rub)


def _bar_change(wear: Wear, name: str, new: float, spot: float) -> float:
    """Give the change of a height or a thickness [mm].

    The place is scraped clean before a thickness is taken, as a rule: half of the scale stays.
    """
    if DIMENSION[name].group is Group.HEIGHT:
        return 2.0 * wear.scale - wear.bar * new * spot
    return min(wear.scale, 0.1 * new) - wear.face * new * spot


_LINK_MM, _LINK_SHARE = 0.015, 0.0012
_PITCH_LINK_MM, _PITCH_LINK_SHARE = 0.03, 0.0004
"""Scatter from link to link of one chain. GOST 13568-97 Table 9 allows a single pitch 0.9 % at 12.7 mm and
0.36 % at 63.5 mm; a third of that is the scatter."""


def link_scatter(piece: Piece, name: str, over: int = 1) -> float:
    """Give the standard deviation of a size between links of one chain [mm]; of a pitch, over all pitches spanned."""
    rough = ROUGH.get(piece.kind.name, 1.0)
    if name == "pitch":
        return rough * (_PITCH_LINK_MM + _PITCH_LINK_SHARE * piece.new["pitch"]) * math.sqrt(over)
    return rough * (_LINK_MM + _LINK_SHARE * piece.new[name])
