"""Chain length over two sprockets, in pitches, and back: the standards' approximation and the exact forms.

Letters: p pitch, C centers in pitches, z1 <= z2 teeth (either order may be given), X length in pitches, R = 1 / (2
sin(180°/z)) pitch radius in pitches. An open drive, both sprockets turning the same way, the chain taut.

Sources: ISO 10823:2004 (GB/T 18150), for the approximation, its reverse and the factor form; the same
sums in seven textbooks. The exact forms are plain geometry.
"""

import math
from typing import Final

from scipy.optimize import brentq

from chaincase.duty.checking import positive
from chaincase.duty.sprocket import teeth_count
from chaincase.errors import BadInput

_TIP: Final = 0.6
"""Tip circle above p cot(180°/z), in pitches: the outside diameter of ASME B29.1."""
_CLOSE: Final = 1e-12


def standard_pitches(centers: float, z1: float, z2: float) -> float:
    """Give the standards' approximate length [pitches]: 2 C + (z1 + z2)/2 + ((z2 - z1)/2π)²/C.

    ISO 10823:2004. `centers` [pitches], teeth [-].

    >>> round(standard_pitches(500 / 12.7, 21, 63), 4)
    121.8751
    """
    check(centers, z1, z2)
    return 2.0 * centers + (z1 + z2) / 2.0 + ((z2 - z1) / (2.0 * math.pi)) ** 2 / centers


def standard_centers(pitches: float, z1: float, z2: float) -> float:
    """Give the centers [pitches] for a length, the reverse of `standard_pitches`.

    (M + √(M² - 8 ((z2 - z1)/2π)²))/4 with M = X - (z1 + z2)/2. `pitches` [pitches], teeth [-].

    Raises
    ------
    BadInput
        If so short a chain does not reach around both sprockets; so do all reverse forms.

    >>> round(standard_centers(122, 21, 63) * 12.7, 3)
    500.805
    """
    slim = positive("length", pitches, "pitches") - (teeth_count(z1) + teeth_count(z2)) / 2.0
    inside = slim * slim - 8.0 * ((z2 - z1) / (2.0 * math.pi)) ** 2
    if slim <= 0.0 or inside < 0.0:
        raise _too_short(pitches, z1, z2)
    return _apart((slim + math.sqrt(inside)) / 4.0, pitches, z1, z2)


def cosecant_pitches(centers: float, z1: float, z2: float) -> float:
    """Give the approximate length [pitches] with pitch radii in its third term.

    2 C + (z1 + z2)/2 + (cosec(180°/z1) - cosec(180°/z2))²/(4 C); Theory of Machines, ch. 11. It differs from
    `standard_pitches` by some thousandths. `centers` [pitches], teeth [-].

    >>> round(cosecant_pitches(800 / 47.0754574, 20, 40) * 47.0754574, 1)
    3040.2
    """
    check(centers, z1, z2)
    return 2.0 * centers + (z1 + z2) / 2.0 + (_radius(z2) - _radius(z1)) ** 2 / centers


def exact_pitches(centers: float, z1: float, z2: float) -> float:
    """Give the exact length [pitches], one pitch per tooth of the wrapped arc.

    2 C cos φ + z1 (1/2 - φ/π) + z2 (1/2 + φ/π) with sin φ = (R2 - R1)/C: the straight runs touch the pitch circles
    and every wrapped tooth takes one pitch. Plain geometry; it is symmetric in the sprockets. `centers`
    [pitches], teeth [-].

    >>> round(exact_pitches(500 / 12.7, 21, 63), 4), round(exact_pitches(40, 21, 84), 4)
    (121.8778, 135.0268)
    """
    check(centers, z1, z2)
    phi = math.asin((_radius(z2) - _radius(z1)) / centers)
    return 2.0 * centers * math.cos(phi) + z1 * (0.5 - phi / math.pi) + z2 * (0.5 + phi / math.pi)


def arc_pitches(centers: float, z1: float, z2: float) -> float:
    """Give the length of a belt on the pitch circles [pitches].

    2 C cos φ + R1 (π - 2 φ) + R2 (π + 2 φ). A circle is longer than the polygon that lies on it, so this is
    always more than `exact_pitches`; shown only because drawings on a screen give it. `centers` [pitches].

    >>> round(arc_pitches(500 / 12.7, 21, 63), 4)
    121.9273
    """
    check(centers, z1, z2)
    r1, r2 = _radius(z1), _radius(z2)
    phi = math.asin((r2 - r1) / centers)
    return 2.0 * centers * math.cos(phi) + r1 * (math.pi - 2.0 * phi) + r2 * (math.pi + 2.0 * phi)


def exact_centers(pitches: float, z1: float, z2: float) -> float:
    """Give the centers [pitches] for a length, the reverse of `exact_pitches`. `pitches` [pitches], teeth [-].

    >>> round(exact_pitches(exact_centers(122, 21, 63), 21, 63), 9)
    122.0
    """
    positive("length", pitches, "pitches")
    least = closest_centers(z1, z2)
    if exact_pitches(least, z1, z2) > pitches:
        raise _too_short(pitches, z1, z2)
    most = max(pitches / 2.0, least)  # the length is never less than twice the centers
    return float(brentq(lambda c: exact_pitches(c, z1, z2) - pitches, least, most, xtol=_CLOSE, rtol=_CLOSE))


def center_factor(pitches: float, z1: float, z2: float) -> float:
    """Give the factor f of ISO 10823 for unequal and equal sprockets [-].

    Entered with r = (X - z1)/(z2 - z1), z1 the smaller. The standard prints a table; here its equation is solved:
    r = 1/2 + (cot φ + φ)/π, f = 1/(4 (cos φ + φ sin φ)), a belt on circles of circumference z p. Agrees with the
    printed values as remembered, to the fifth place. `pitches` [pitches], teeth [-].

    >>> round(center_factor(100, 20, 60), 5), center_factor(100, 20, 20)
    (0.24421, 0.25)
    """
    small, large = sorted((teeth_count(z1), teeth_count(z2)))
    if small == large:
        return 0.25
    r = (positive("length", pitches, "pitches") - small) / (large - small)
    if r <= 1.0:  # at φ = 90° the small sprocket lies within the large one
        raise _too_short(pitches, z1, z2)
    phi = float(brentq(lambda x: 0.5 + (1.0 / math.tan(x) + x) / math.pi - r, _CLOSE, math.pi / 2, xtol=1e-15))
    return 1.0 / (4.0 * (math.cos(phi) + phi * math.sin(phi)))


def factor_centers(pitches: float, z1: float, z2: float) -> float:
    """Give the centers [pitches] by the factor form of ISO 10823:2004: f (2 X - (z1 + z2)).

    >>> round(factor_centers(122, 21, 63) * 12.7, 2)
    500.79
    """
    centers = center_factor(pitches, z1, z2) * (2.0 * pitches - (z1 + z2))
    return _apart(centers, pitches, z1, z2)


def closest_centers(z1: float, z2: float) -> float:
    """Give the centers [pitches] at which the teeth of both sprockets meet. Teeth [-].

    >>> round(closest_centers(17, 17), 3)
    5.95
    """
    return sum(_TIP + 1.0 / math.tan(math.pi / teeth_count(z)) for z in (z1, z2)) / 2.0


def wrap_angles(centers: float, z1: float, z2: float) -> tuple[float, float]:
    """Give the angles of wrap on the first and the second sprocket [degrees]. `centers` [pitches], teeth [-].

    >>> [round(angle, 2) for angle in wrap_angles(40.3656, 35, 70)]
    [164.15, 195.85]
    """
    check(centers, z1, z2)
    phi = math.degrees(math.asin((_radius(z2) - _radius(z1)) / centers))
    return 180.0 - 2.0 * phi, 180.0 + 2.0 * phi


def check(centers: float, z1: float, z2: float) -> None:
    """Refuse centers [pitches] at which the sprockets would cut into each other.

    >>> check(5.0, 17, 51)
    Traceback (most recent call last):
    chaincase.errors.BadInput: centers of 5 pitches; sprockets of 17 and 51 teeth need more than 11.38 pitches ...
    """
    least = closest_centers(z1, z2)
    if positive("centers", centers, "pitches") < least:
        right = f"sprockets of {z1:g} and {z2:g} teeth need more than {least:.2f} pitches between their centers"
        raise BadInput(f"centers of {centers:.4g} pitches", right=right)


def _apart(centers: float, pitches: float, z1: float, z2: float) -> float:
    if centers < closest_centers(z1, z2):
        raise _too_short(pitches, z1, z2)
    return centers


def _too_short(pitches: float, z1: float, z2: float) -> BadInput:
    least = math.ceil(exact_pitches(closest_centers(z1, z2), z1, z2))
    return BadInput(
        f"{pitches:g} pitches do not reach around sprockets of {z1:g} and {z2:g} teeth",
        right=f"give {least} pitches or more",
    )


def _radius(teeth: float) -> float:
    return 0.5 / math.sin(math.pi / teeth_count(teeth))
