"""How one measures: which errors a technique adds, and how a reading over edges becomes a center distance.

Between two round parts of diameters d1 and d2 whose centers lie C apart, a caliper can read

    inside edges    g = C - (d1 + d2) / 2        gap between the near flanks
    outside edges   s = C + (d1 + d2) / 2        span over the far flanks
    same edge       C, if d1 = d2                left flank to left flank
    zeroed on hole  C + (d2 - d1) / 2            zero set on hole 1, then over the far walls of both holes

Geometry, no source needed; the technique with the zero is workshop practice, its error term derived from it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from chaincase.errors import BadInput
from chaincase.measuring.instruments import Instrument
from chaincase.measuring.uncertainty import propagate


class Technique(StrEnum):
    """Where the instrument was put."""

    CENTER_TO_CENTER = "center to center"
    SAME_EDGE = "same edge"
    INSIDE_EDGES = "inside edges"
    OUTSIDE_EDGES = "outside edges"
    ZEROED_ON_HOLE = "zeroed on hole"
    DIRECT = "direct"
    """On the part itself, as for a diameter or a thickness."""
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Terms:
    """What a technique adds to the budget of a reading.

    Attributes
    ----------
    ends : int
        Ends that are sighted or touched.
    at_center : bool
        Whether these ends are centers judged by eye instead of edges.
    displays : int
        Readings of scale or display behind one value.
    edge_sign : int
        The value is center distance + edge_sign * mean diameter.
    words : str
        How a budget says it.
    """

    ends: int
    at_center: bool
    displays: int
    edge_sign: int
    words: str


TERMS: dict[Technique, Terms] = {
    Technique.CENTER_TO_CENTER: Terms(2, True, 1, 0, "both centers judged by eye"),
    Technique.SAME_EDGE: Terms(2, False, 1, 0, "taken from an edge to the same edge of the next"),
    Technique.INSIDE_EDGES: Terms(2, False, 1, -1, "taken between inside edges"),
    Technique.OUTSIDE_EDGES: Terms(2, False, 1, +1, "taken over outside edges"),
    Technique.ZEROED_ON_HOLE: Terms(4, False, 2, 0, "zeroed on one hole and read over both"),
    Technique.DIRECT: Terms(2, False, 1, 0, "taken on the part"),
    Technique.UNKNOWN: Terms(2, False, 1, 0, "technique not named"),
}


@dataclass(frozen=True, slots=True)
class Sighting:
    """How far one end of a reading may be off, half width of a rectangular distribution [mm]."""

    edge: float
    center: float


# Common practice, no source: parallax and the width of a line for tape and rule, dirt, burr and a tilted
# jaw for everything with jaws, all of it on a used part; the center of a pin head is judged, not seen.
SIGHTING: dict[Instrument, Sighting] = {
    Instrument.TAPE: Sighting(0.5, 1.0),
    Instrument.STEEL_RULE: Sighting(0.3, 0.6),
    Instrument.CALIPER: Sighting(0.03, 0.5),
    Instrument.DIGITAL_CALIPER: Sighting(0.02, 0.5),
    Instrument.GAUGE: Sighting(0.005, 0.5),
    Instrument.PHOTOGRAPH: Sighting(1.0, 1.5),
    Instrument.UNKNOWN: Sighting(1.0, 1.5),
}


def terms_of(technique: Technique, *, between_centers: bool) -> Terms:
    """Give the terms of a technique; nobody's word on how a pitch was taken means that it was judged by eye.

    >>> terms_of(Technique.UNKNOWN, between_centers=True).at_center
    True
    """
    terms = TERMS[technique]
    if technique is Technique.UNKNOWN and between_centers:
        return Terms(terms.ends, True, terms.displays, terms.edge_sign, terms.words)
    return terms


def sighting_mm(instrument: Instrument, terms: Terms) -> float:
    """Give the half width by which each end may be off [mm]."""
    sighting = SIGHTING[instrument]
    return sighting.center if terms.at_center else sighting.edge


def center_distance(technique: Technique, reading_mm: float, diameters_mm: Sequence[float] = ()) -> float:
    """Give the distance of two centers from a reading over edges [mm].

    Parameters
    ----------
    technique : Technique
        How the reading was taken.
    reading_mm : float
        What the instrument showed [mm].
    diameters_mm : sequence of float, length 0 to 2
        Diameters of the two parts [mm], one where they are equal. "zeroed on hole" takes the zeroed hole
        first.

    Returns
    -------
    float
        Distance [mm]. For "same edge" unequal diameters change nothing here: which edge it was is not
        known, so that half their difference is an uncertainty and not a correction.

    Raises
    ------
    BadInput
        If inside or outside edges come without a diameter, or there are more than two diameters.

    >>> center_distance(Technique.INSIDE_EDGES, 80.0, [20.0, 21.0])
    100.5
    >>> center_distance(Technique.OUTSIDE_EDGES, 121.0, [21.0])
    100.0
    >>> center_distance(Technique.ZEROED_ON_HOLE, 60.5, [10.0, 11.0])
    60.0
    """
    gradient = center_gradient(technique, len(diameters_mm))
    return math.fsum(g * x for g, x in zip(gradient, (reading_mm, *diameters_mm), strict=True))


def center_gradient(technique: Technique, diameters: int) -> tuple[float, ...]:
    """Give how the center distance follows the reading and then each diameter [-].

    >>> center_gradient(Technique.INSIDE_EDGES, 2)
    (1.0, 0.5, 0.5)
    """
    if diameters > 2:
        raise BadInput(f"{diameters} diameters", right="give one for equal parts or two")
    sign = TERMS[technique].edge_sign
    if sign and not diameters:
        raise BadInput(f"{technique.value} without a diameter", right="give the diameter of pin, roller or hole")
    if sign:
        return (1.0, *(-sign / diameters for _ in range(diameters)))
    if technique is Technique.ZEROED_ON_HOLE and diameters == 2:
        return (1.0, 0.5, -0.5)
    return (1.0, *(0.0 for _ in range(diameters)))


def zeroed_error_mm(zeroed_mm: float, other_mm: float) -> float:
    """Give by how much a caliper zeroed on one hole reads the center distance too long [mm].

    >>> zeroed_error_mm(10.0, 10.6)
    0.3
    """
    return round((other_mm - zeroed_mm) / 2.0, 12)


def shared_covariance(own: Sequence[float], shared: Sequence[float]) -> NDArray[np.float64]:
    """Give the covariance of readings with errors of their own and one error common to all.

    Parameters
    ----------
    own : sequence of float, length n
        Standard uncertainty that each reading has for itself [mm].
    shared : sequence of float, length n
        What one standard deviation of the common error does to each reading, signed [mm].

    Returns
    -------
    ndarray, shape (n, n)
        Covariance [mm²].

    Source: JCGM 100:2008, 5.2.2 and F.1.2.3.

    >>> shared_covariance([3.0, 0.0], [4.0, 4.0])
    array([[25., 16.],
           [16., 16.]])
    """
    return np.asarray(np.diag(np.square(own)) + np.outer(shared, shared), dtype=np.float64)


def caliper_covariance(readings_mm: Sequence[float], u_read_mm: float, u_scale_mm: float) -> NDArray[np.float64]:
    """Give the covariance of several readings with one caliper, whose scale error grows with length.

    Parameters
    ----------
    readings_mm : sequence of float, length n
        The readings [mm].
    u_read_mm : float
        Standard uncertainty of each reading for itself: rounding and contact [mm].
    u_scale_mm : float
        Standard uncertainty of the caliper at the longest reading [mm].

    Returns
    -------
    ndarray, shape (n, n)
        Covariance [mm²].
    """
    longest = max(readings_mm, default=0.0)
    if not longest > 0.0:
        raise BadInput("no reading above 0", right="give readings in mm")
    shared = [u_scale_mm * reading / longest for reading in readings_mm]
    return shared_covariance([u_read_mm] * len(readings_mm), shared)


def center_uncertainty(
    technique: Technique,
    reading_mm: float,
    diameters_mm: Sequence[float],
    u_read_mm: float,
    u_scale_mm: float,
) -> float:
    """Give the standard uncertainty of a center distance read with one caliper, diameters included [mm].

    The scale error is common to all readings, so that it enters with the center distance and not with each
    reading. A caliper that was zeroed on a hole has been read twice for one display.

    Parameters
    ----------
    technique, reading_mm, diameters_mm
        As for `center_distance`.
    u_read_mm, u_scale_mm : float
        As for `caliper_covariance` [mm].

    >>> equal_holes = center_uncertainty(Technique.ZEROED_ON_HOLE, 60.0, [], 0.01, 0.02)
    >>> round(equal_holes, 6) == round((2 * 0.01**2 + 0.02**2) ** 0.5, 6)
    True
    """
    gradient = center_gradient(technique, len(diameters_mm))
    covariance = caliper_covariance([reading_mm, *diameters_mm], u_read_mm, u_scale_mm)
    covariance[0, 0] += (TERMS[technique].displays - 1) * u_read_mm**2
    return propagate(gradient, covariance)


@dataclass(frozen=True, slots=True)
class PitchAndRoller:
    """Mean pitch and roller diameter from one reading between and one reading over the same rollers [mm]."""

    pitch_mm: float
    u_pitch_mm: float
    roller_mm: float
    u_roller_mm: float


def pitch_and_roller(
    inside_mm: float, outside_mm: float, over: int = 1, *, u_read_mm: float = 0.0, u_scale_mm: float = 0.0
) -> PitchAndRoller:
    """Give pitch and roller diameter from the gap between two rollers and the span over them.

    With n pitches between the two: n p = (Li + Lo) / 2, in which the diameter cancels, and d = (Lo - Li) / 2.

    Parameters
    ----------
    inside_mm, outside_mm : float
        Gap Li between the near flanks and span Lo over the far flanks [mm].
    over : int
        Pitches n from one roller to the other.
    u_read_mm, u_scale_mm : float
        As for `caliper_covariance` [mm].

    Raises
    ------
    BadInput
        If the span is not above the gap, or `over` below 1.

    Source: geometry; the usual way of checking elongation over 6 to 10 links.

    >>> both = pitch_and_roller(65.0, 87.2, over=3)
    >>> round(both.pitch_mm, 4), round(both.roller_mm, 4)
    (25.3667, 11.1)
    """
    if over < 1:
        raise BadInput(f"over {over} pitches", right="give a whole number, 1 or more")
    if not 0.0 < inside_mm < outside_mm:
        what = f"a gap of {inside_mm} mm and a span of {outside_mm} mm"
        raise BadInput(what, right="the span over the rollers is the larger one")
    covariance = caliper_covariance([inside_mm, outside_mm], u_read_mm, u_scale_mm)
    return PitchAndRoller(
        pitch_mm=(inside_mm + outside_mm) / 2.0 / over,
        u_pitch_mm=propagate([0.5 / over, 0.5 / over], covariance),
        roller_mm=(outside_mm - inside_mm) / 2.0,
        u_roller_mm=propagate([-0.5, 0.5], covariance),
    )
