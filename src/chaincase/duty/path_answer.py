"""The answer about a chain over a path of wheels: pitches, runs and wraps, and what the take-up has left."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from scipy.optimize import brentq

from chaincase.chains.kinds import Links
from chaincase.duty.checking import between, finite, not_negative, positive, whole
from chaincase.duty.length_answer import choose_pitches
from chaincase.duty.path import Path, Station, moved, name_of, run_name, trace
from chaincase.duty.result import Result, Table, Value
from chaincase.errors import BadInput

SCHEMA: Final = "chaincase/duty-path-answer-1"

_FEW_TEETH: Final = 3.0
"""Teeth in mesh below which a sprocket drives or locates a chain poorly (common practice, no source)."""
_LONGEST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class TakeUp:
    """A wheel that moves to keep the chain taut.

    Attributes
    ----------
    wheel : int
        Its place in the path, counted from 0.
    direction : float
        Which way it moves to tighten [degrees from the x axis].
    travel : float
        How far it can move from where it is drawn [mm].
    """

    wheel: int
    direction: float
    travel: float

    def __post_init__(self) -> None:
        finite("direction of the take-up", self.direction, "degrees")
        positive("travel of the take-up", self.travel, "mm")


@dataclass(frozen=True, slots=True)
class Loop:
    """A chain over a path.

    Attributes
    ----------
    pitch : float
        Chain pitch [mm].
    stations : tuple of Station
        The wheels, in the order of the chain, the take-up at the slack end of its travel.
    take_up : TakeUp or None
        None where every wheel is fixed.
    pitches : int or None
        Pitches of the chain; None to choose them.
    links : Links
        Whether links alternate, which makes the number even.
    offset_link : bool
        Whether an offset link may be used to reach an odd number.
    elongation : float
        Elongation at which the chain is to be discarded [-].
    """

    pitch: float
    stations: tuple[Station, ...]
    take_up: TakeUp | None = None
    pitches: int | None = None
    links: Links = Links.ALTERNATE
    offset_link: bool = False
    elongation: float = 0.02

    def __post_init__(self) -> None:
        positive("pitch", self.pitch, "mm")
        between("elongation", self.elongation, 0.0, 0.2)
        if self.take_up is not None and not 0 <= self.take_up.wheel < len(self.stations):
            right = f"the path has {len(self.stations)} wheels"
            raise BadInput(f"the take-up is wheel {self.take_up.wheel + 1}", right=right)
        if self.pitches is not None:
            whole("pitches", self.pitches, 1, _LONGEST)

    @property
    def step(self) -> int:
        """Pitches by which the number may grow."""
        return 1 if self.links is Links.ALIKE or self.offset_link else 2


def pitches_at(loop: Loop, travel: float, elongation: float = 0.0) -> float:
    """Give the exact number of pitches that the path holds.

    Parameters
    ----------
    loop : Loop
        The path.
    travel : float
        How far the take-up has moved [mm].
    elongation : float
        Of the chain [-]; a worn chain rides higher on the teeth, as one of the worn pitch.
    """
    return _path_at(loop, travel, elongation).pitches


def position_for(loop: Loop, pitches: float, elongation: float = 0.0) -> float | None:
    """Give how far the take-up must move for a chain of that many pitches [mm]; None if it cannot go so far.

    >>> ends = (Station(0, 0, teeth=12), Station(3000, 0, teeth=12))
    >>> loop = Loop(100.0, ends, TakeUp(1, 0.0, 200.0))
    >>> round(position_for(loop, 74), 6), round(position_for(loop, 74, 0.02), 6), position_for(loop, 80)
    (100.0, 162.0, None)
    """
    if loop.take_up is None:
        return None

    def short(travel: float) -> float:
        return pitches - pitches_at(loop, travel, elongation)

    most = loop.take_up.travel
    first, last = short(0.0), short(most)
    if first * last > 0.0:
        return None
    return float(brentq(short, 0.0, most, xtol=1e-9))


def elongation_reached(loop: Loop, pitches: float) -> float | None:
    """Give the elongation at which the take-up stands at its end [-]; None without a take-up or beyond 20 %.

    >>> ends = (Station(0, 0, teeth=12), Station(3000, 0, teeth=12))
    >>> round(elongation_reached(Loop(100.0, ends, TakeUp(1, 0.0, 200.0)), 74), 4)
    0.0323
    """
    if loop.take_up is None:
        return None

    def left(elongation: float) -> float:
        return pitches - pitches_at(loop, most, elongation)

    most = loop.take_up.travel
    if left(0.0) > 0.0 or left(0.2) < 0.0:
        return None
    return float(brentq(left, 0.0, 0.2, xtol=1e-12))


def path_length(loop: Loop) -> Result:
    """Give the number of pitches, the runs and wraps, and the travel of the take-up that is left when worn.

    Raises
    ------
    BadInput
        If the path is none, as `path.trace` says.

    >>> ends = (Station(0, 0, teeth=12, name="head"), Station(3000, 0, teeth=12, name="tail"))
    >>> answer = path_length(Loop(100.0, ends, TakeUp(1, 0.0, 200.0)))
    >>> answer["pitches"], round(answer.number("take_up_left_mm"), 1)
    (72, 140.0)
    """
    drawn = _path_at(loop, 0.0, 0.0)
    exact = drawn.pitches
    number = loop.pitches or choose_pitches(exact, step=loop.step, may_shorten=0.0)
    return Result(
        schema=SCHEMA,
        title=f"chain of {loop.pitch:g} mm pitch over {len(loop.stations)} wheels",
        values=(*_values(exact, number, loop), *_take_up_values(number, loop)),
        steps=tuple(_steps(drawn, number, loop)),
        assumptions=("the chain is taut everywhere and lies in one plane; sag in its runs takes more",),
        warnings=tuple(_warnings(drawn, number, loop)),
        sources=("exact tangents and one pitch per wrapped tooth: plain geometry",),
        tables=(_runs(drawn, loop.stations), _wraps(drawn, loop.stations)),
    )


def _path_at(loop: Loop, travel: float, elongation: float) -> Path:
    pitch = loop.pitch * (1.0 + not_negative("elongation", elongation))
    if loop.take_up is None or not travel:
        return trace(loop.stations, pitch)
    try:
        return trace(moved(loop.stations, loop.take_up.wheel, loop.take_up.direction, travel), pitch)
    except BadInput as fault:
        raise fault.within(f"take-up moved by {travel:.1f} mm") from None


def _values(exact: float, number: int, loop: Loop) -> list[Value]:
    odd = number % 2 == 1 and loop.links is Links.ALTERNATE
    return [
        Value("pitches_exact", "exact length as drawn", exact, "pitches"),
        Value("pitches", "pitches to order", number, "pitches"),
        Value("chain_length_mm", "length of the chain", number * loop.pitch, "mm"),
        Value("over_length_mm", "chain longer than the path as drawn", (number - exact) * loop.pitch, "mm"),
        Value("offset_link", "an offset link is needed", odd),
    ]


def _take_up_values(number: int, loop: Loop) -> list[Value]:
    if loop.take_up is None:
        return []
    travel = loop.take_up.travel
    new, worn = position_for(loop, number), position_for(loop, number, loop.elongation)
    reached = elongation_reached(loop, number)
    values = []
    if new is not None:
        values.append(Value("take_up_new_mm", "take-up moved in, chain new", new, "mm"))
        values.append(Value("take_up_free_mm", "take-up travel left, chain new", travel - new, "mm"))
    if worn is not None:
        label = f"take-up travel left at {loop.elongation:.1%} elongation"
        values.append(Value("take_up_left_mm", label, travel - worn, "mm"))
    if reached is not None:
        values.append(Value("elongation_taken_up", "elongation at which the take-up is at its end", reached))
    return values


def _steps(drawn: Path, number: int, loop: Loop) -> list[str]:
    straight = sum(run.length for run in drawn.runs)
    bent = sum(wrap.pitches for wrap in drawn.wraps)
    sort = "whole" if loop.step == 1 else "even"
    said = [
        f"straight runs: {straight:.2f} mm / {loop.pitch:g} mm = {straight / loop.pitch:.4f} pitches",
        f"on the wheels, wrap/360° × teeth (plain wheels: arc/pitch): {bent:.4f} pitches",
        f"together {drawn.pitches:.4f} pitches",
    ]
    said += [f"next {sort} number: {number} pitches"] if loop.pitches is None else []
    for elongation in dict.fromkeys((0.0, loop.elongation)):
        at = position_for(loop, number, elongation)
        if at is not None and loop.take_up is not None:
            said.append(
                f"at {elongation:.1%} elongation the take-up stands at {at:.2f} mm of {loop.take_up.travel:g} mm,"
                f" {loop.take_up.travel - at:.2f} mm are left"
            )
    return said


def _warnings(drawn: Path, number: int, loop: Loop) -> list[str]:
    said = []
    for wrap in drawn.wraps:
        if loop.stations[wrap.wheel].teeth is not None and wrap.pitches < _FEW_TEETH:
            name = name_of(loop.stations, wrap.wheel)
            said.append(f"{name} has only {wrap.pitches:.1f} teeth in mesh; {_FEW_TEETH:g} or more are advised")
    if number % 2 and loop.links is Links.ALTERNATE:
        said.append(f"{number} pitches need an offset link, which is weaker than the chain")
    if loop.take_up is None:
        said.append("no take-up is given: nothing follows the chain as it wears")
    elif position_for(loop, number) is None:
        said.append(f"the take-up cannot make a new chain of {number} pitches taut")
    elif position_for(loop, number, loop.elongation) is None:
        said.append(f"the take-up runs out before {loop.elongation:.1%} elongation; plan to take out pitches")
    return said


def _runs(drawn: Path, stations: Sequence[Station]) -> Table:
    rows = tuple((run_name(stations, run), run.length, run.length / drawn.pitch) for run in drawn.runs)
    return Table("runs", "straight runs", ("run", "length_mm", "pitches"), rows)


def _wraps(drawn: Path, stations: Sequence[Station]) -> Table:
    rows = tuple((name_of(stations, wrap.wheel), wrap.angle, wrap.pitches) for wrap in drawn.wraps)
    return Table("wraps", "wraps", ("wheel", "wrap_deg", "pitches"), rows)
