"""Tension all along a chain: a loop of straight runs and turns, in travel order from the slack side of the head.

Along a straight run the tension grows by T2 = T1 + sum of resistances and lifts; through a turn it grows by the factor
of a rope over a drum, T2 = T1 exp(mu beta) (1 + loss). The slack side of the head sprocket carries the least tension
with which no point of the loop falls below a lower limit (half the take-up force): where chain would run down by
itself, the head holds it back. For the tight side this gives exactly what the segment method of public engineering
tables gives, which carries on with zero where a tension comes out negative (docs/duty.md shows why).

Every quantity of a run may be a number or an array; the same code serves one conveyor and a hundred thousand variants.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import Final, cast

import numpy as np
from numpy.typing import NDArray

from chaincase.duty.carrying import GRAVITY
from chaincase.errors import BadInput

Number = float | NDArray[np.float64]
"""One value, or an array of values; arrays of one loop broadcast against each other."""

_LARGEST: Final = 1e9


def _check(name: str, value: Number, least: float, most: float, unit: str) -> None:
    low, high = np.min(value), np.max(value)
    if not (least <= low and high <= most):  # refuses nan as well
        found = low if not least <= low else high
        span = f"from {least:g} to {most:g}" if most < _LARGEST else f"{least:g} or more"
        what = f"{name.replace('_', ' ')} is {found:g} {unit}".strip()
        raise BadInput(what, right=f"it must be {span} {unit}".strip())


@dataclass(frozen=True, slots=True, eq=False)
class Straight:
    """A straight run.

    Attributes
    ----------
    length : float or ndarray
        Along the chain [mm].
    angle : float or ndarray
        Above the level in the sense of travel [degrees], negative downhill.
    chain : float or ndarray
        Chain, slats and attachments of all strands [kg/m].
    carried, dragged, held : float or ndarray
        Material that rides on the chain, that the chain pushes through a trough, and that a stop holds while the
        chain runs on below it (accumulation) [kg/m].
    friction : float or ndarray
        Chain with what rides on it, on the track [-].
    material_friction, holding_friction : float or ndarray
        Dragged material on its trough, held material on the chain [-].
    wall : float or ndarray
        Drag of side walls or skirts [N/m].
    extra : float or ndarray
        Any other resistance of the run [N].
    name : str
        What the plant calls the run.
    """

    length: Number
    angle: Number = 0.0
    chain: Number = 0.0
    carried: Number = 0.0
    dragged: Number = 0.0
    held: Number = 0.0
    friction: Number = 0.0
    material_friction: Number = 0.0
    holding_friction: Number = 0.0
    wall: Number = 0.0
    extra: Number = 0.0
    name: str = ""

    def __post_init__(self) -> None:
        for name, (least, most, unit) in _STRAIGHT_BOUNDS.items():
            _check(name, getattr(self, name), least, most, unit)

    def forces(self) -> dict[str, Number]:
        """Give every force along the run [N] under its name in `PARTS`; lifts are negative downhill."""
        slope = np.radians(self.angle)
        meters = self.length / 1000.0
        across, along = GRAVITY * meters * np.cos(slope), GRAVITY * meters * np.sin(slope)
        return {
            "chain friction": self.chain * self.friction * across,
            "load friction": (self.carried + self.held) * self.friction * across,
            "material drag": self.dragged * self.material_friction * across,
            "accumulation": self.held * self.holding_friction * across,
            "side walls": self.wall * meters,
            "chain lift": self.chain * along,
            "load lift": (self.carried + self.dragged) * along,
            "extra": self.extra,
        }


@dataclass(frozen=True, slots=True, eq=False)
class Turn:
    """A wheel or a bend of the track.

    Attributes
    ----------
    wrap : float or ndarray
        Angle that the chain turns through [degrees].
    friction : float or ndarray
        Chain on the bend, or a wheel's bearing taken to its rim [-].
    loss : float or ndarray
        Share by which the tension grows besides: 0.1 is the 1.1 on the return of public engineering tables [-].
    extra : float or ndarray
        Any other resistance, such as the digging of buckets [N].
    name : str
        What the plant calls the turn.
    """

    wrap: Number = 0.0
    friction: Number = 0.0
    loss: Number = 0.0
    extra: Number = 0.0
    name: str = ""

    def __post_init__(self) -> None:
        for name, (least, most, unit) in _TURN_BOUNDS.items():
            _check(name, getattr(self, name), least, most, unit)

    def factor(self) -> Number:
        """Give the tension behind the turn over that before it, without `extra` [-]."""
        return cast("Number", np.exp(self.friction * np.radians(self.wrap)) * (1.0 + self.loss))


Run = Straight | Turn

_STRAIGHT_BOUNDS: Final = {
    "length": (0.0, _LARGEST, "mm"),
    "angle": (-90.0, 90.0, "degrees"),
    "chain": (0.0, _LARGEST, "kg/m"),
    "carried": (0.0, _LARGEST, "kg/m"),
    "dragged": (0.0, _LARGEST, "kg/m"),
    "held": (0.0, _LARGEST, "kg/m"),
    "friction": (0.0, 5.0, ""),
    "material_friction": (0.0, 5.0, ""),
    "holding_friction": (0.0, 5.0, ""),
    "wall": (0.0, _LARGEST, "N/m"),
    "extra": (0.0, _LARGEST, "N"),
}
_TURN_BOUNDS: Final = {
    "wrap": (0.0, 720.0, "degrees"),
    "friction": (0.0, 5.0, ""),
    "loss": (0.0, 5.0, ""),
    "extra": (0.0, _LARGEST, "N"),
}

PARTS: Final = (
    "chain friction",
    "load friction",
    "material drag",
    "accumulation",
    "side walls",
    "turn",
    "chain lift",
    "load lift",
    "extra",
)
"""What a pull is made of, in the order of a chart."""


@dataclass(frozen=True, slots=True, eq=False)
class Loop:
    """Tensions of a loop, all strands together [N].

    Attributes
    ----------
    points : tuple of float or ndarray, one more than runs
        At the slack side of the head, then behind every run; the last is the tight side of the head.
    least : float or ndarray
        Lower limit that every point keeps.
    start : float or ndarray
        What the slack side had to carry anyhow, before holding back.
    """

    points: tuple[Number, ...]
    least: Number
    start: Number

    @property
    def slack(self) -> Number:
        """Tension of the slack side of the head."""
        return self.points[0]

    @property
    def head(self) -> Number:
        """Tension of the tight side of the head."""
        return self.points[-1]

    @property
    def largest(self) -> Number:
        """Largest tension anywhere: what the chain is chosen for."""
        most = self.points[0]
        for point in self.points[1:]:
            most = np.maximum(most, point)
        return most

    @property
    def effective(self) -> Number:
        """What the head sprocket drives with; negative where it brakes."""
        return self.head - self.slack

    @property
    def held_back(self) -> Number:
        """What the slack side holds back of chain that would run down by itself."""
        return self.slack - self.start


def tensions(path: Sequence[Run], least: Number = 0.0, slack: Number = 0.0) -> Loop:
    """Give the tension at every point of a loop.

    Parameters
    ----------
    path : sequence of Straight or Turn
        In travel order from the slack side of the head sprocket round to its tight side.
    least : float or ndarray
        Tension that no point may fall below [N]: half the take-up force.
    slack : float or ndarray
        Tension of the slack side of the head at least [N]: what hangs there, and the take-up.

    Returns
    -------
    Loop
        One tension more than runs.

    Raises
    ------
    BadInput
        If the path is empty or a limit negative.

    Notes
    -----
    T after run i is A_i T0 + B_i with A the product of the turns' factors, so the least T0 that keeps every point at
    `least` is max((least - B_i)/A_i). Source: statics.

    >>> down, up = (Straight(10_000.0, angle, chain=20.0, friction=0.1) for angle in (-30.0, 30.0))
    >>> loop = tensions([down, up])
    >>> [round(float(point), 1) for point in loop.points]
    [811.1, 0.0, 1150.9]
    """
    if not path:
        raise BadInput("the path has no runs", right="list the runs from the slack side of the head sprocket on")
    _check("take-up tension", least, 0.0, _LARGEST, "N")
    _check("slack side tension", slack, 0.0, _LARGEST, "N")
    steps = [_step(run) for run in path]
    start = np.maximum(least, slack)
    needed, product, total = start, cast("Number", 1.0), cast("Number", 0.0)
    for factor, force in steps:
        product, total = factor * product, factor * total + force
        needed = np.maximum(needed, (least - total) / product)
    points = [needed]
    for factor, force in steps:
        # Where the limit itself sets T0, the point comes out at the limit but for the last digit.
        points.append(np.maximum(factor * points[-1] + force, least))
    return Loop(tuple(points), least, start)


def _step(run: Run) -> tuple[Number, Number]:
    if isinstance(run, Turn):
        return run.factor(), run.extra
    return 1.0, total(run.forces().values())


def total(forces: Iterable[Number]) -> Number:
    """Add forces [N]; 0 if there are none."""
    return sum(forces, start=cast("Number", 0.0))


def contributions(path: Sequence[Run], loop: Loop) -> list[dict[str, Number]]:
    """Give what every run adds to the pull [N], by `PARTS`; together they are the effective pull of the loop."""
    return [
        run.forces() if isinstance(run, Straight) else {"turn": (run.factor() - 1.0) * before, "extra": run.extra}
        for run, before in zip(path, loop.points, strict=False)
    ]


def runback(path: Sequence[Run]) -> tuple[Number, Number]:
    """Give what draws a stopped conveyor backwards: the lift of the load, and that less all friction [N].

    The first is what a backstop is asked to hold by those who trust no friction; where the second is positive the
    loaded conveyor runs back as soon as the drive lets go.
    """
    parts = [run.forces() for run in path if isinstance(run, Straight)]
    lift = total(part["load lift"] + part["chain lift"] for part in parts)
    return lift, lift - total(part["chain friction"] + part["load friction"] + part["material drag"] for part in parts)


def scaled(
    path: Sequence[Run],
    *,
    load: Number = 1.0,
    chain: Number = 1.0,
    friction: Number = 1.0,
    length: Number = 1.0,
) -> tuple[Run, ...]:
    """Give the path with quantities multiplied, for what-if sweeps and for start-up.

    Parameters
    ----------
    path : sequence of Straight or Turn
        The path as it is.
    load, chain, friction, length : float or ndarray
        Factors of all material masses, of the chain's mass, of every coefficient of friction (turns and walls too),
        and of all lengths [-].

    Raises
    ------
    BadInput
        If a factor makes a quantity impossible.

    >>> path = [Straight(10_000.0, chain=20.0, friction=0.2)]
    >>> tensions(scaled(path, friction=np.array([1.0, 1.5]))).head
    array([392.4, 588.6])
    """
    factors = {
        "length": length,
        "chain": chain,
        **dict.fromkeys(("carried", "dragged", "held"), load),
        **dict.fromkeys(("friction", "material_friction", "holding_friction", "wall", "loss"), friction),
    }
    return tuple(_times(run, factors) for run in path)


def _times(run: Run, factors: dict[str, Number]) -> Run:
    own = {field.name for field in fields(run)}
    return replace(run, **{name: getattr(run, name) * factor for name, factor in factors.items() if name in own})
