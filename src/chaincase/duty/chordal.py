"""Polygon effect: a chain bends only at its joints, so a wheel of z teeth drives it as a polygon of z sides would.

The chain rises and falls with every tooth and its speed swings between two limits; the joint lands with a jerk. All
of it grows fast as teeth get fewer.
"""

import math

from chaincase.duty.checking import not_negative, positive
from chaincase.duty.sprocket import pitch_diameter, teeth_count


def chordal_rise(pitch: float, teeth: float) -> float:
    """Give by how much the chain rises and falls as one tooth passes [mm]: R (1 - cos(180°/z)).

    Analysis and Design of Machine Elements (2019), eq. 7.10. `pitch` [mm], `teeth` [-].

    >>> round(chordal_rise(25.4, 9), 2)
    2.24
    """
    return pitch_diameter(pitch, teeth) / 2.0 * (1.0 - math.cos(math.pi / teeth))


def speed_variation(teeth: float) -> float:
    """Give the swing of the chain's speed, largest less smallest, as a share of its mean [-].

    (π/z) (1/sin(180°/z) - 1/tan(180°/z)); as above, eq. 7.13. `teeth` [-].

    >>> [round(100 * speed_variation(z), 2) for z in (9, 12, 17, 25)]
    [6.15, 3.45, 1.71, 0.79]
    """
    angle = math.pi / teeth_count(teeth)
    return angle * (1.0 / math.sin(angle) - 1.0 / math.tan(angle))


def chain_speed(pitch: float, teeth: float, rpm: float) -> float:
    """Give the mean speed of the chain [m/s]: z p n / 60 000. `pitch` [mm], `teeth` [-], `rpm` [1/min].

    >>> round(chain_speed(25.4, 20, 118.11), 3)
    1.0
    """
    return teeth_count(teeth) * positive("pitch", pitch, "mm") * not_negative("speed", rpm, "1/min") / 60_000.0


def speed_limits(pitch: float, teeth: float, rpm: float) -> tuple[float, float]:
    """Give the smallest and largest speed of the chain as a tooth passes [m/s].

    π d n / 60 000, and its cos(180°/z); Analysis and Design of Machine Elements, eq. 7.11 and 7.12. `pitch` [mm],
    `teeth` [-], `rpm` [1/min].

    >>> [round(v, 3) for v in speed_limits(25.4, 9, 100)]
    [0.365, 0.389]
    """
    fastest = math.pi * pitch_diameter(pitch, teeth) * not_negative("speed", rpm, "1/min") / 60_000.0
    return fastest * math.cos(math.pi / teeth), fastest


def peak_acceleration(pitch: float, teeth: float, rpm: float) -> float:
    """Give the largest acceleration of the chain along its run [m/s²], as a joint comes onto the wheel.

    R ω² sin(180°/z) = p ω² / 2: the run follows the horizontal travel of the last joint on the wheel, which passes
    from -180°/z to +180°/z about the top. Derived here. `pitch` [mm], `teeth` [-], `rpm` [1/min].

    >>> round(peak_acceleration(100.0, 8, 60), 3)
    1.974
    """
    teeth_count(teeth)
    omega = 2.0 * math.pi * not_negative("speed", rpm, "1/min") / 60.0
    return positive("pitch", pitch, "mm") / 1000.0 * omega * omega / 2.0


def rpm_for_acceleration(pitch: float, acceleration: float) -> float:
    """Give the speed of the wheel [1/min] at which the polygon effect alone reaches an acceleration [m/s²].

    The reverse of `peak_acceleration`. `pitch` [mm].

    >>> round(rpm_for_acceleration(100.0, 1.974), 1)
    60.0
    """
    return (
        math.sqrt(2000.0 * positive("acceleration", acceleration, "m/s²") / positive("pitch", pitch, "mm"))
        * 30.0
        / math.pi
    )


def teeth_for_variation(share: float) -> int:
    """Give the fewest teeth whose speed variation is at most a share [-] of the mean speed.

    >>> teeth_for_variation(0.02)
    16
    """
    limit = positive("share of speed variation", share)
    return next((z for z in range(5, 1000) if speed_variation(z) <= limit), 1000)
