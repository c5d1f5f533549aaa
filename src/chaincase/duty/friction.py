"""Friction of chain on its track and of material in its trough, with where each figure comes from.

The coefficients are those of public engineering tables (five were read, called A to E in docs/duty.md). Where they
disagree the highest is taken: too high a coefficient asks for a stronger chain, too low a one breaks it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final, TypeVar

from chaincase.duty import checking
from chaincase.errors import BadInput

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Coefficient:
    """A coefficient of friction and where it comes from.

    Attributes
    ----------
    value : float
        Force along the track over force across it [-].
    words : str
        What it is of.
    source : str
        Where it was read, or that the user gave it.
    """

    value: float
    words: str
    source: str


_A: Final = "public engineering table A (one source)"
_B: Final = "public engineering table B (one source)"

TRACK: Final = {
    name: Coefficient(value, name, source)
    for name, value, source in (
        # A: 0.35/0.20, B: 0.30/0.20, C: 0.33/0.20; A is followed.
        ("steel, dry", 0.35, _A),
        ("steel, lubricated", 0.20, f"{_A}; B and C agree"),
        ("rough steel, dry", 0.45, _A),
        ("rough steel, lubricated", 0.25, _A),
        ("plastic wear strip", 0.18, _A),
        ("carrier roller, dry", 0.12, _B),
        ("carrier roller, lubricated", 0.08, _B),
        ("small roller, dry", 0.21, _B),
        ("small roller, lubricated", 0.14, _B),
        ("top roller, dry", 0.09, _B),
        ("top roller, lubricated", 0.06, _B),
    )
}
"""Chain on its track, sliding pairs and rollers taken as a whole."""


@dataclass(frozen=True, slots=True)
class BulkMaterial:
    """How a material behaves in a trough.

    Attributes
    ----------
    friction : float
        On the bottom of the trough [-].
    wall_factor : float
        c in the side wall drag 1000 h2/c [kgf/m], h in m.
    """

    friction: float
    wall_factor: float


BULK: Final = {
    "cereals": BulkMaterial(0.50, 10),
    "ashes": BulkMaterial(0.70, 16),
    "cement": BulkMaterial(0.65, 5),
    "wood shavings": BulkMaterial(0.40, 21),
    "ice": BulkMaterial(0.15, 15),
    "sand, clay or limestone, dry": BulkMaterial(0.60, 3),
    "sand, clay or limestone, wet": BulkMaterial(0.85, 3),
    "coal": BulkMaterial(0.60, 9),
    "coke": BulkMaterial(0.65, 16),
}
"""Public engineering table C (one source); its columns are paired as they were printed."""
BULK_SOURCE: Final = "public engineering table C, material in a trough (one source)"

FIRST_GUESS: Final = 0.20
"""Sliding friction between bush and roller where nothing is known: public tables A and C plan with it."""
SURFACE_MM: Final = {"smooth": 1.0, "rough": 2.0}
"""Rolling resistance b of a steel roller on a steel track [mm]: public table A."""


def on_track(name: str) -> Coefficient:
    """Give the coefficient of chain on its track by its name.

    Raises
    ------
    BadInput
        If there is no such pair.

    >>> on_track("steel, lubricated").value
    0.2
    """
    return _named(name, TRACK, "friction pair")


def in_trough(name: str) -> BulkMaterial:
    """Give friction and wall factor of a bulk material; BadInput if it is not in the table.

    >>> in_trough("coal")
    BulkMaterial(friction=0.6, wall_factor=9)
    """
    return _named(name, BULK, "bulk material of the table")


def rolling(journal_mm: float, roller_mm: float, bearing: float = FIRST_GUESS, track: str = "smooth") -> Coefficient:
    """Give the friction of a chain on rollers, f = C d/D + b/D.

    Parameters
    ----------
    journal_mm : float
        d [mm]: what the roller turns on, the outside of the bush, or the pin where there is none.
    roller_mm : float
        D [mm]: tread diameter of the roller.
    bearing : float
        C [-]: sliding friction between the two.
    track : {"smooth", "rough"}
        b is 1 mm on a smooth steel track, 2 mm on a rough one.

    Raises
    ------
    BadInput
        If a diameter is not positive, or the roller is not larger than what it turns on.

    Notes
    -----
    Source: public engineering table A. Rollers of less than 2.5 times the journal are poor (tables A and C).

    >>> round(rolling(25.0, 70.0).value, 4)
    0.0857
    """
    d = checking.positive("journal diameter", journal_mm, "mm")
    big = checking.positive("roller diameter", roller_mm, "mm")
    c = checking.between("bearing friction", bearing, 0.0, 5.0)
    if big <= d:
        right = "the roller must be larger than the bush or pin that it turns on"
        raise BadInput(f"a roller of {big:g} mm turns on {d:g} mm", right=right)
    if track not in SURFACE_MM:
        raise BadInput(f"{track!r:.40} is not a track", right="use smooth or rough")
    b = SURFACE_MM[track]
    words = f"rolling, C d/D + b/D = {c:g} x {d:g}/{big:g} + {b:g}/{big:g}"
    return Coefficient(c * d / big + b / big, words, _A)


def _named(name: str, table: Mapping[str, V], what: str) -> V:
    plain = " ".join(name.casefold().split())
    if plain not in table:
        near = get_close_matches(plain, table, n=1)
        right = f"did you mean {near[0]!r}" if near else f"use one of: {'; '.join(table)}"
        raise BadInput(f"{name[:60]!r} is not a {what}", right=right)
    return table[plain]
