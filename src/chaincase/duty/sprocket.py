"""Sprocket geometry: the diameters, widths and tooth gap that a chain asks for, one formula per function.

Letters: p pitch, z teeth, d1 roller (or bush) diameter, b1 inner width, all in mm. A chain of double pitch may run
on every second tooth: `teeth` is then the number of its pitches around the wheel, half the teeth cut and perhaps
with a half, and `gaps` is the number of teeth cut.

Sources, each named at its formula: ISO 606:2015 clause 5 and Annex A; ASME B29.1 sprocket appendix; GOST 591-69;
ISO 1977 clause 5. What was only known by heart says so; docs/duty.md says what it was checked against.
"""

import math
from typing import Final

from chaincase.duty.checking import positive, whole
from chaincase.errors import BadInput

FEWEST_TEETH: Final = 5
MOST_TEETH: Final = 1000
"""Double-pitch wheels begin at 5 teeth (scope of GB/T 5269); more than 1000 is a slip of the pen."""

_INCH: Final = 25.4
_SMALL_PITCH: Final = 12.7
"""Up to this pitch [mm] tooth widths are a little smaller (ISO 606:2015, 5.6, from memory)."""

# GOST 591-69: p / d1 from, to, height factor K of the tip circle.
_GOST_TIP: Final = (
    (1.40, 1.50, 0.480),
    (1.50, 1.60, 0.532),
    (1.60, 1.70, 0.555),
    (1.70, 1.80, 0.575),
    (1.80, 2.00, 0.565),
)


def teeth_count(teeth: float, name: str = "teeth") -> float:
    """Give a number of teeth that can be, whole or with a half.

    Raises
    ------
    BadInput
        If it is below 5, above 1000, or neither whole nor a half.

    >>> teeth_count(17), teeth_count(10.5)
    (17.0, 10.5)
    """
    doubled = teeth * 2 if isinstance(teeth, int | float) and not isinstance(teeth, bool) else math.nan
    if not (2 * FEWEST_TEETH <= doubled <= 2 * MOST_TEETH and float(doubled).is_integer()):
        right = f"a sprocket has {FEWEST_TEETH} to {MOST_TEETH} teeth, a half only for double pitch"
        raise BadInput(f"{name} is {teeth!r:.40}", right=right)
    return float(teeth)


def pitch_diameter(pitch: float, teeth: float) -> float:
    """Give the diameter of the circle on which the pin centers lie [mm].

    p / sin(180°/z); unit values in ISO 606:2015 Annex A.

    Parameters
    ----------
    pitch : float
        Chain pitch [mm].
    teeth : float
        Pitches around the wheel [-].

    >>> round(pitch_diameter(25.4, 17), 2)
    138.23
    """
    return positive("pitch", pitch, "mm") / math.sin(math.pi / teeth_count(teeth))


def opposite_gaps(pitch: float, teeth: float, gaps: int | None = None) -> float:
    """Give the distance between the roller centers in two gaps as nearly opposite as there are [mm].

    The pitch diameter where the gaps are even in number, else d cos(90°/gaps); plain geometry, as in
    ISO 606:2015, 5.3 and the ASME B29.1 appendix.

    Parameters
    ----------
    pitch : float
        Chain pitch [mm].
    teeth : float
        Pitches around the wheel [-].
    gaps : int, optional
        Teeth cut [-], where a chain of double pitch runs on every second one.

    >>> round(opposite_gaps(25.4, 17) / pitch_diameter(25.4, 17), 5)
    0.99573
    """
    count = _gaps(teeth, gaps)
    d = pitch_diameter(pitch, teeth)
    return d if count % 2 == 0 else d * math.cos(math.pi / (2 * count))


def root_diameter(pitch: float, teeth: float, roller: float) -> float:
    """Give the nominal root (bottom) diameter [mm]: d - d1.

    ISO 606:2015, 5.3; the bottom diameter of ASME B29.1. Lengths in mm.

    >>> round(root_diameter(19.05, 17, 12.07), 2)
    91.6
    """
    return _left(pitch_diameter(pitch, teeth) - positive("roller diameter", roller, "mm"), "root diameter")


def caliper_diameter(pitch: float, teeth: float, roller: float, gaps: int | None = None) -> float:
    """Give what a caliper reads across the bottoms of opposite gaps [mm]: the root diameter only for even gaps.

    d - d1 for even, d cos(90°/z) - d1 for odd; ASME B29.1 appendix. Lengths in mm, `gaps` as in `opposite_gaps`.

    >>> round(root_diameter(25.4, 17, 15.88) - caliper_diameter(25.4, 17, 15.88), 2)
    0.59
    """
    return _left(opposite_gaps(pitch, teeth, gaps) - positive("roller diameter", roller, "mm"), "caliper diameter")


def over_pins(pitch: float, teeth: float, pin: float, gaps: int | None = None) -> float:
    """Give the measurement over two pins laid into opposite gaps [mm].

    d + dR for even, d cos(90°/z) + dR for odd; ISO 606:2015, 5.3. The pins have the diameter of the roller.

    Parameters
    ----------
    pitch : float
        Chain pitch [mm].
    teeth : float
        Pitches around the wheel [-].
    pin : float
        Diameter of the measuring pins [mm].
    gaps : int, optional
        Teeth cut [-].

    >>> round(over_pins(12.7, 20, 7.95), 2)
    89.13
    """
    return opposite_gaps(pitch, teeth, gaps) + positive("pin diameter", pin, "mm")


def tip_diameter_max(pitch: float, teeth: float, roller: float) -> float:
    """Give the largest tip diameter of ISO 606 [mm]: d + 1.25 p - d1 (5.5). Lengths in mm.

    >>> round(tip_diameter_max(19.05, 17, 12.07), 2)
    115.42
    """
    return pitch_diameter(pitch, teeth) + 1.25 * pitch - positive("roller diameter", roller, "mm")


def tip_diameter_min(pitch: float, teeth: float, roller: float) -> float:
    """Give the smallest tip diameter of ISO 606 [mm]: d + p (1 - 1.6/z) - d1 (5.5). Lengths in mm.

    >>> round(tip_diameter_min(19.05, 17, 12.07), 2)
    108.86
    """
    return pitch_diameter(pitch, teeth) + pitch * (1.0 - 1.6 / teeth) - positive("roller diameter", roller, "mm")


def tip_diameters_double(pitch: float, teeth: float, roller: float) -> tuple[float, float]:
    """Give the smallest and largest tip diameter for a chain of double pitch [mm].

    d + p (0.5 - 0.4/z) - d1 and d + 0.625 p - d1: the forms of ISO 606 with half the pitch and twice the teeth,
    on the pitch circle of the long pitch; ISO 1275, from memory. Lengths in mm.

    >>> [round(x, 2) for x in tip_diameters_double(38.1, 10, 11.91)]
    [128.91, 135.2]
    """
    base = pitch_diameter(pitch, teeth) - positive("roller diameter", roller, "mm")
    return base + pitch * (0.5 - 0.4 / teeth), base + 0.625 * pitch


def outside_diameter(pitch: float, teeth: float) -> float:
    """Give the approximate outside diameter of ASME B29.1 [mm]: p (0.6 + cot(180°/z)). Pitch in mm.

    >>> round(outside_diameter(25.4, 17), 1)
    151.1
    """
    return positive("pitch", pitch, "mm") * (0.6 + 1.0 / math.tan(math.pi / teeth_count(teeth)))


def tip_diameter_gost(pitch: float, teeth: float, roller: float) -> float | None:
    """Give the tip diameter of GOST 591-69 [mm]: p (K + cot(180°/z)); None where p/d1 is not from 1.40 to 2.00.

    K read in a designer's handbook, the cotangent form from memory. Lengths in mm.

    >>> round(tip_diameter_gost(19.05, 17, 11.91), 2)
    112.04
    """
    ratio = positive("pitch", pitch, "mm") / positive("roller diameter", roller, "mm")
    factor = next((k for low, high, k in _GOST_TIP if low <= ratio <= high), None)
    return None if factor is None else pitch * (factor + 1.0 / math.tan(math.pi / teeth_count(teeth)))


def root_diameter_gost(pitch: float, teeth: float, roller: float) -> float:
    """Give the root diameter of GOST 591-69 [mm]: d - 2 r with r = 0.5025 d1 + 0.05 mm. Lengths in mm.

    >>> round(root_diameter_gost(19.05, 17, 11.91), 2)
    91.6
    """
    seat = 0.5025 * positive("roller diameter", roller, "mm") + 0.05
    return _left(pitch_diameter(pitch, teeth) - 2.0 * seat, "root diameter")


def seating_radius(roller: float) -> tuple[float, float]:
    """Give the smallest and largest roller seating radius [mm]: 0.505 d1, and 0.069 ∛d1 more. Lengths in mm.

    ISO 606:2015, 5.4; the largest from memory, the mean of both confirmed by a published example.

    >>> [round(r, 3) for r in seating_radius(12.07)]
    [6.095, 6.254]
    """
    least = 0.505 * positive("roller diameter", roller, "mm")
    return least, least + 0.069 * math.cbrt(roller)


def flank_radius(teeth: float, roller: float) -> tuple[float, float]:
    """Give the smallest and largest tooth flank radius [mm]: 0.12 d1 (z + 2) and 0.008 d1 (z² + 180).

    ISO 606:2015, 5.4, from memory, the mean confirmed by a published example. `teeth` [-], `roller` [mm].

    >>> [round(r, 3) for r in flank_radius(17, 12.07)]
    [27.52, 45.287]
    """
    z = teeth_count(teeth)
    d1 = positive("roller diameter", roller, "mm")
    return 0.12 * d1 * (z + 2.0), 0.008 * d1 * (z * z + 180.0)


def seating_angle(teeth: float) -> tuple[float, float]:
    """Give the smallest and largest roller seating angle [degrees]: 120° - 90°/z and 140° - 90°/z.

    ISO 606:2015, 5.4; the smallest from memory. `teeth` [-].

    >>> [round(a, 2) for a in seating_angle(18)]
    [115.0, 135.0]
    """
    return 120.0 - 90.0 / teeth_count(teeth), 140.0 - 90.0 / teeth


def tooth_width(inner_width: float, pitch: float, rows: int = 1) -> float:
    """Give the tooth width of ISO 606 [mm], upper limit.

    0.93 b1 up to 12.7 mm pitch and 0.95 b1 above; with several rows 0.91 b1 and 0.93 b1. ISO 606:2015, 5.6, from
    memory, within 0.1 mm of a printed DIN 8187 table for 03B to 28B. Lengths in mm, `rows` of teeth [-].

    >>> round(tooth_width(11.68, 19.05), 3)
    11.096
    """
    small = positive("pitch", pitch, "mm") <= _SMALL_PITCH
    single = whole("rows", rows, 1, 24) == 1
    share = (0.93 if small else 0.95) if single else (0.91 if small else 0.93)
    return share * positive("inner width", inner_width, "mm")


def width_over_rows(tooth: float, transverse_pitch: float, rows: int) -> float:
    """Give the width over all rows of teeth [mm]: (n - 1) pt + bf1; ISO 606:2015, 5.6. Lengths in mm.

    >>> round(width_over_rows(10.8, 19.46, 3), 2)
    49.72
    """
    more = whole("rows", rows, 1, 24) - 1
    return more * positive("transverse pitch", transverse_pitch, "mm") + positive("tooth width", tooth, "mm")


def tooth_width_asme(inner_width: float, rows: int = 1) -> float:
    """Give the tooth width of ASME B29.1 [mm], upper limit.

    0.93 W - 0.006 in for one row, 0.90 W for two and three, 0.88 W from four on; from memory, the form for one
    row reproduces seven printed values. `inner_width` W [mm], `rows` [-].

    >>> round(tooth_width_asme(15.875) / 25.4, 3)
    0.575
    """
    n = whole("rows", rows, 1, 24)
    share = 0.93 if n == 1 else 0.90 if n <= 3 else 0.88
    width = share * positive("inner width", inner_width, "mm") - 0.006 * _INCH
    return _left(width, "tooth width")


def tooth_width_conveyor(inner_width: float) -> tuple[float, float]:
    """Give the smallest and largest tooth width for conveyor chain [mm]: 0.87 b1 - 1.7 and 0.9 b1 - 1.

    ISO 1977 clause 5, from memory; for flanged rollers the inner width less the flange counts. `inner_width` [mm].

    >>> [round(b, 2) for b in tooth_width_conveyor(31.5)]
    [25.71, 27.35]
    """
    b1 = positive("inner width", inner_width, "mm")
    return _left(0.87 * b1 - 1.7, "tooth width"), 0.9 * b1 - 1.0


def side_relief(pitch: float) -> tuple[float, float]:
    """Give the smallest and largest relief of the tooth side [mm]: 0.10 p and 0.15 p; ISO 606, 5.6, from memory.

    `pitch` [mm].

    >>> side_relief(20.0)
    (2.0, 3.0)
    """
    return 0.10 * positive("pitch", pitch, "mm"), 0.15 * pitch


def shroud_diameter(pitch: float, teeth: float, plate_height: float) -> float:
    """Give the largest hub or shroud diameter of ISO 606 [mm]: p cot(180°/z) - 1.04 h2 - 0.76.

    From memory; it reproduces the ten values of a printed GB/T 1243 table to 0.005 mm. `plate_height` h2 is that
    of the inner plate; lengths in mm.

    >>> round(shroud_diameter(19.05, 17, 18.08), 2)
    82.35
    """
    cot = 1.0 / math.tan(math.pi / teeth_count(teeth))
    height = positive("plate height", plate_height, "mm")
    return _left(positive("pitch", pitch, "mm") * cot - 1.04 * height - 0.76, "hub diameter")


def hub_diameter_asme(pitch: float, teeth: float) -> float:
    """Give the largest hub or groove diameter of ASME B29.1 [mm]: p (cot(180°/z) - 1) - 0.030 in. Pitch in mm.

    >>> round(hub_diameter_asme(25.4, 17) / 25.4, 3)
    4.32
    """
    cot = 1.0 / math.tan(math.pi / teeth_count(teeth))
    return _left(positive("pitch", pitch, "mm") * (cot - 1.0) - 0.030 * _INCH, "hub diameter")


def caliper_tolerance(pitch: float, teeth: float, *, precision: bool = False) -> float:
    """Give by how much a caliper diameter may be smaller than its figure [mm]; it may not be larger.

    0.002 p √z + 0.006 in for commercial wheels, half of it for precision ones; ASME B29.1. `pitch` [mm].

    >>> round(caliper_tolerance(25.4, 16) / 25.4, 4), round(caliper_tolerance(25.4, 16, precision=True) / 25.4, 4)
    (0.014, 0.007)
    """
    commercial = 0.002 * positive("pitch", pitch, "mm") * math.sqrt(teeth_count(teeth)) + 0.006 * _INCH
    return commercial / 2.0 if precision else commercial


def _gaps(teeth: float, gaps: int | None) -> int:
    if gaps is None:
        if not float(teeth_count(teeth)).is_integer():
            raise BadInput(f"{teeth:g} teeth on a wheel cut once", right="give the number of teeth cut as well")
        return int(teeth)
    return whole("teeth cut", gaps, FEWEST_TEETH, 2 * MOST_TEETH)


def _left(size: float, name: str) -> float:
    """Give a size that must be left over, or refuse."""
    if size <= 0.0:
        raise BadInput(f"the {name} comes to {size:.2f} mm", right="the roller is too large for this pitch and teeth")
    return size
