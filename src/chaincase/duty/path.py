"""Chain length over any path in a plane: sprockets, plain idlers, wheels on the back of the chain.

The chain is taut and follows circles of its pin centers: the pitch circle of a toothed wheel, and for a plain one
the circle that its diameter plus the chain's own build-up gives. Straight runs are exact common tangents; a wrapped
tooth takes one pitch, a plain wheel the length of its arc. Plain geometry, derived here.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from chaincase.duty.checking import finite, positive
from chaincase.duty.sprocket import pitch_diameter, teeth_count
from chaincase.errors import BadInput

_TURN: Final = 2.0 * math.pi
_NOTHING: Final = 1e-9
MOST_WHEELS: Final = 100
"""More wheels than any conveyor has in one plane."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Station:
    """One wheel of a path.

    Attributes
    ----------
    x, y : float
        Its center [mm].
    teeth : float or None
        Teeth [-], of a sprocket.
    diameter : float or None
        Diameter of the circle of pin centers around a plain wheel [mm]; give this or `teeth`.
    outside : bool
        Whether the wheel lies outside the loop and bends the chain the other way.
    name : str
        For messages.
    """

    x: float
    y: float
    teeth: float | None = None
    diameter: float | None = None
    outside: bool = False
    name: str = ""

    def __post_init__(self) -> None:
        finite("x", self.x, "mm")
        finite("y", self.y, "mm")
        if (self.teeth is None) == (self.diameter is None):
            raise BadInput("a wheel needs teeth or a diameter, and not both", right="give one of them")
        if self.teeth is not None:
            teeth_count(self.teeth)
        if self.diameter is not None:
            positive("diameter", self.diameter, "mm")

    def radius(self, pitch: float) -> float:
        """Give the radius of the circle that the pin centers follow [mm]."""
        if self.teeth is not None:
            return pitch_diameter(pitch, self.teeth) / 2.0
        return positive("diameter", self.diameter or 0.0, "mm") / 2.0


@dataclass(frozen=True, slots=True)
class Run:
    """A straight run between two wheels, by their places in the path; points and length in mm."""

    start: int
    end: int
    leaves: Point
    lands: Point
    length: float


@dataclass(frozen=True, slots=True)
class Wrap:
    """What the chain does on a wheel: angle of wrap [degrees] and pitches that lie on it [-]."""

    wheel: int
    angle: float
    pitches: float


@dataclass(frozen=True, slots=True)
class Path:
    """A closed path of a chain.

    Attributes
    ----------
    pitch : float
        Chain pitch [mm].
    runs : tuple of Run
        Straight runs; run i leaves wheel i.
    wraps : tuple of Wrap
        Wraps; wrap i lies on wheel i.
    """

    pitch: float
    runs: tuple[Run, ...]
    wraps: tuple[Wrap, ...]

    @property
    def pitches(self) -> float:
        """Exact length in pitches."""
        return math.fsum(run.length for run in self.runs) / self.pitch + math.fsum(wrap.pitches for wrap in self.wraps)


def trace(stations: Sequence[Station], pitch: float) -> Path:
    """Lay a taut chain over the wheels in their order and give its path.

    Parameters
    ----------
    stations : sequence of Station
        Two wheels or more, in the order in which the chain meets them, either way round.
    pitch : float
        Chain pitch [mm].

    Raises
    ------
    BadInput
        If wheels overlap, or the chain would have to cross itself or pass through a wheel.

    >>> two = (Station(0, 0, teeth=17), Station(800, 0, teeth=51))
    >>> round(trace(two, 19.05).pitches, 3)
    118.688
    """
    positive("pitch", pitch, "mm")
    if not 2 <= len(stations) <= MOST_WHEELS:
        raise BadInput(f"{len(stations)} wheels", right=f"a path has 2 to {MOST_WHEELS} wheels")
    radii = [station.radius(pitch) for station in stations]
    _refuse_overlap(stations, radii)
    sides = [-1.0 if station.outside else 1.0 for station in stations]
    found = [_around(stations, radii, [way * side for side in sides]) for way in _ways(stations)]
    good = [runs_and_angles for runs_and_angles, closes in found if closes]
    if not good:
        raise _does_not_close(stations, found[0][0][1])
    runs, angles = good[0]
    _refuse_crossing(stations, radii, runs)
    wraps = (_wrap(i, station, angles[i], radii[i], pitch) for i, station in enumerate(stations))
    return Path(pitch, tuple(runs), tuple(wraps))


def moved(stations: Sequence[Station], wheel: int, direction: float, travel: float) -> tuple[Station, ...]:
    """Give the wheels with one of them moved by `travel` [mm] towards `direction` [degrees from the x axis]."""
    angle = math.radians(direction)
    at = stations[wheel]
    there = replace(at, x=at.x + travel * math.cos(angle), y=at.y + travel * math.sin(angle))
    return (*stations[:wheel], there, *stations[wheel + 1 :])


_Laid = tuple[tuple[list[Run], list[float]], bool]
"""Runs and angles of wrap [rad], and whether they make one simple loop."""


def _ways(stations: Sequence[Station]) -> tuple[float, float]:
    """Give both senses of rotation, the likelier first: that of the polygon of centers."""
    pairs = zip(stations, (*stations[1:], stations[0]), strict=True)
    area = math.fsum(a.x * b.y - b.x * a.y for a, b in pairs)
    return (1.0, -1.0) if area >= 0.0 else (-1.0, 1.0)


def _around(stations: Sequence[Station], radii: Sequence[float], signs: Sequence[float]) -> _Laid:
    """Lay the chain; `signs` are +1 for wheels that it passes counterclockwise, -1 clockwise."""
    n = len(stations)
    tangents = [_tangent(stations, radii, signs, i, (i + 1) % n) for i in range(n)]
    angles = []
    for i in range(n):
        turn = signs[i] * (tangents[i][1] - tangents[i - 1][1]) % _TURN
        angles.append(0.0 if _TURN - turn < _NOTHING else turn)
    total = math.fsum(sign * angle for sign, angle in zip(signs, angles, strict=True))
    return ([run for run, _ in tangents], angles), abs(abs(total) - _TURN) < 1e-6


def _tangent(
    stations: Sequence[Station], radii: Sequence[float], signs: Sequence[float], i: int, j: int
) -> tuple[Run, float]:
    """Give the run from wheel i to wheel j and its direction [rad].

    With u the direction, n its left normal and r radii that are negative on clockwise wheels, a tangent point is
    c - r n, so that cj - ci = L u + (rj - ri) n.
    """
    a, b = stations[i], stations[j]
    ri, rj = signs[i] * radii[i], signs[j] * radii[j]
    dx, dy = b.x - a.x, b.y - a.y
    length = math.sqrt(dx * dx + dy * dy - (rj - ri) ** 2)  # wheels do not overlap, so it is real
    angle = math.atan2(dy, dx) - math.atan2(rj - ri, length)
    nx, ny = -math.sin(angle), math.cos(angle)
    return Run(i, j, (a.x - ri * nx, a.y - ri * ny), (b.x - rj * nx, b.y - rj * ny), length), angle


def _wrap(wheel: int, station: Station, angle: float, radius: float, pitch: float) -> Wrap:
    pitches = angle / _TURN * station.teeth if station.teeth is not None else angle * radius / pitch
    return Wrap(wheel, math.degrees(angle), pitches)


def _refuse_overlap(stations: Sequence[Station], radii: Sequence[float]) -> None:
    for (i, a), (j, b) in combinations(enumerate(stations), 2):
        apart = math.hypot(b.x - a.x, b.y - a.y)
        if apart <= radii[i] + radii[j]:
            what = f"{name_of(stations, i)} and {name_of(stations, j)} are {apart:.1f} mm apart and overlap"
            raise BadInput(what, right=f"their centers need more than {radii[i] + radii[j]:.1f} mm")


def _refuse_crossing(stations: Sequence[Station], radii: Sequence[float], runs: Sequence[Run]) -> None:
    for run, other in combinations(runs, 2):
        if _cross(run, other):
            what = f"the run {run_name(stations, run)} crosses the run {run_name(stations, other)}"
            raise BadInput(what, right="list the wheels in the order of the chain, and say which lie outside the loop")
    for run, wheel in _strangers(runs, len(stations)):
        at = stations[wheel]
        if _distance((at.x, at.y), run) < radii[wheel] * (1.0 - 1e-6):
            what = f"the run {run_name(stations, run)} passes through {name_of(stations, wheel)}"
            raise BadInput(what, right="list the wheels in the order of the chain, and say which lie outside the loop")


def _strangers(runs: Sequence[Run], n: int) -> Iterator[tuple[Run, int]]:
    return ((run, wheel) for run in runs for wheel in range(n) if wheel not in {run.start, run.end})


def _cross(one: Run, two: Run) -> bool:
    def side(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    apart_two = side(one.leaves, one.lands, two.leaves) * side(one.leaves, one.lands, two.lands) < -_NOTHING
    apart_one = side(two.leaves, two.lands, one.leaves) * side(two.leaves, two.lands, one.lands) < -_NOTHING
    return apart_one and apart_two


def _distance(point: Point, run: Run) -> float:
    """Give the distance of a point from a run [mm]."""
    (x1, y1), (x2, y2) = run.leaves, run.lands
    dx, dy = x2 - x1, y2 - y1
    along = ((point[0] - x1) * dx + (point[1] - y1) * dy) / (run.length * run.length or 1.0)
    share = min(max(along, 0.0), 1.0)
    return math.hypot(point[0] - x1 - share * dx, point[1] - y1 - share * dy)


def name_of(stations: Sequence[Station], wheel: int) -> str:
    """Give the name of a wheel, or its place counted from 1."""
    return stations[wheel].name or f"wheel {wheel + 1}"


def run_name(stations: Sequence[Station], run: Run) -> str:
    """Give the name of a run."""
    return f"from {name_of(stations, run.start)} to {name_of(stations, run.end)}"


def _does_not_close(stations: Sequence[Station], angles: Sequence[float]) -> BadInput:
    widest = max(range(len(angles)), key=lambda i: angles[i])
    what = f"the chain does not make one loop around these wheels; on {name_of(stations, widest)} it would have to"
    return BadInput(
        f"{what} wrap {math.degrees(angles[widest]):.0f}°",
        right="every wheel must press into the chain; list them in its order, and say which lie outside the loop",
    )
