"""The answer about the length of a chain over two sprockets: pitches, centers, neighbours, and the take-up."""

import math
from dataclasses import dataclass
from typing import Final

from chaincase.chains.kinds import Links
from chaincase.duty import length as over
from chaincase.duty.checking import between, not_negative, positive
from chaincase.duty.result import Amount, Result, Table, Value
from chaincase.duty.sprocket import pitch_diameter, teeth_count
from chaincase.errors import BadInput

SCHEMA: Final = "chaincase/duty-length-answer-1"

MAY_SHORTEN: Final = 0.3
"""Pitches by which the chosen chain may be shorter than the sum, where the centers can give way.

Published examples round up, up to even, down to even and to the nearest; docs/duty.md says why this rule.
"""

# Textbook advice, one source: centers of 30 to 50 pitches, 80 at most, and 120 degrees on the small sprocket.
_FEW_PITCHES, _MANY_PITCHES, _LEAST_WRAP = 30.0, 80.0, 120.0
# Ratios beyond it are for two stages (common practice, no source).
_LARGE_RATIO: Final = 7.0


@dataclass(frozen=True, slots=True)
class Drive:
    """Two sprockets and what is known of their distance; give centers or pitches, or both.

    Attributes
    ----------
    pitch : float
        Chain pitch [mm].
    teeth : tuple of float
        Teeth of both sprockets [-], in either order.
    centers : float or None
        Distance of the shafts [mm].
    pitches : int or None
        Pitches of a chain that is there or wanted.
    links : Links
        Whether inner and outer links alternate, which makes the number even; offset-sidebar chain may have any.
    offset_link : bool
        Whether one offset (cranked) link may be used to reach an odd number.
    fixed : bool
        Whether the centers cannot come closer at all.
    slack : float
        Share by which the shafts are set closer than the taut centers, for sag [-].
    elongation : float
        Elongation at which the chain is to be discarded [-].
    take_up : float or None
        Travel that the shafts can still move apart from the centers [mm].
    """

    pitch: float
    teeth: tuple[float, float]
    centers: float | None = None
    pitches: int | None = None
    links: Links = Links.ALTERNATE
    offset_link: bool = False
    fixed: bool = False
    slack: float = 0.0
    elongation: float = 0.02
    take_up: float | None = None

    def __post_init__(self) -> None:
        positive("pitch", self.pitch, "mm")
        for z in self.teeth:
            teeth_count(z)
        if self.centers is None and self.pitches is None:
            raise BadInput("neither centers nor pitches are given", right="give one of them")
        if self.centers is not None:
            over.check(positive("centers", self.centers, "mm") / self.pitch, *self.teeth)
        if self.pitches is not None:
            over.exact_centers(self.pitches, *self.teeth)
        between("slack", self.slack, 0.0, 0.05)
        between("elongation", self.elongation, 0.0, 0.2)
        if self.take_up is not None:
            not_negative("take-up travel", self.take_up, "mm")

    @property
    def step(self) -> int:
        """Pitches by which the number may grow: two where links alternate and no offset link is allowed."""
        return 1 if self.links is Links.ALIKE or self.offset_link else 2


def choose_pitches(exact: float, *, step: int = 2, may_shorten: float = MAY_SHORTEN) -> int:
    """Give the number of pitches to order: the next multiple of `step` not shorter by more than `may_shorten`.

    >>> choose_pitches(121.88), choose_pitches(122.2), choose_pitches(122.2, may_shorten=0.0)
    (122, 122, 124)
    """
    return step * math.ceil((exact - may_shorten) / step - 1e-9)


def chain_length(drive: Drive) -> Result:
    """Give the length of the chain, the centers that it wants, and what the take-up must give.

    Raises
    ------
    BadInput
        If the sprockets overlap at these centers, or the chain does not reach around them.

    >>> answer = chain_length(Drive(pitch=12.7, teeth=(21, 63), centers=500.0))
    >>> answer["pitches"], round(answer.number("pitches_exact"), 3), round(answer.number("centers_mm"), 1)
    (122, 121.878, 500.8)
    """
    p, (z1, z2) = drive.pitch, drive.teeth
    given = over.exact_centers(drive.pitches or 0, z1, z2) if drive.centers is None else drive.centers / p
    exact = over.exact_pitches(given, z1, z2)
    number = drive.pitches or choose_pitches(exact, step=drive.step, may_shorten=0.0 if drive.fixed else MAY_SHORTEN)
    centers = over.exact_centers(number, z1, z2) * p
    return Result(
        schema=SCHEMA,
        title=f"chain of {p:g} mm pitch over {z1:g} and {z2:g} teeth",
        values=(*_length_values(given, number, drive), *_center_values(centers, number, drive)),
        steps=tuple(_steps(given, number, centers, drive)),
        assumptions=tuple(_assumptions(drive)),
        warnings=tuple(_warnings(centers, number, drive)),
        sources=("length, centers, factor form: ISO 10823:2004", "exact length: plain geometry"),
        tables=(_neighbours(exact, drive),),
    )


def _length_values(given: float, number: int, drive: Drive) -> list[Value]:
    z1, z2 = drive.teeth
    return [
        Value("pitches_exact", "exact length", over.exact_pitches(given, z1, z2), "pitches", "one pitch per tooth"),
        Value("pitches", "pitches to order", number, "pitches", _parity(number, drive)),
        Value("pitches_standard", "length by the standard's sum", over.standard_pitches(given, z1, z2), "pitches"),
        Value("pitches_arc", "length on the pitch circles", over.arc_pitches(given, z1, z2), "pitches"),
        Value("pitches_cosecant", "length by the cosecant form", over.cosecant_pitches(given, z1, z2), "pitches"),
        Value("chain_length_mm", "length of the chain", number * drive.pitch, "mm"),
        Value("offset_link", "an offset link is needed", _needs_offset(number, drive)),
    ]


def _center_values(centers: float, number: int, drive: Drive) -> list[Value]:
    p, (z1, z2) = drive.pitch, drive.teeth
    wrap = over.wrap_angles(centers / p, z1, z2)
    values = [
        Value("centers_mm", "centers with the chain taut", centers, "mm"),
        Value("centers_standard_mm", "centers by the standard's sum", over.standard_centers(number, z1, z2) * p, "mm"),
        Value("centers_factor_mm", "centers by the factor form", over.factor_centers(number, z1, z2) * p, "mm"),
        Value("wrap_first_deg", f"wrap on {z1:g} teeth", wrap[0], "°"),
        Value("wrap_second_deg", f"wrap on {z2:g} teeth", wrap[1], "°"),
        Value("pitch_diameter_first_mm", f"pitch diameter of {z1:g} teeth", pitch_diameter(p, z1), "mm"),
        Value("pitch_diameter_second_mm", f"pitch diameter of {z2:g} teeth", pitch_diameter(p, z2), "mm"),
        Value("growth_mm", f"further apart at {drive.elongation:.1%} elongation", centers * drive.elongation, "mm"),
    ]
    if drive.slack:
        values.insert(1, Value("centers_slack_mm", "centers set for slack", centers * (1.0 - drive.slack), "mm"))
    if drive.take_up is not None:
        values += _take_up_values(centers, drive)
    return values


def _take_up_values(centers: float, drive: Drive) -> list[Value]:
    """Give what the take-up can do: everything in the drive scales with the worn pitch, so centers grow by e too."""
    travel = drive.take_up or 0.0
    reach = (drive.centers or centers) + travel
    return [
        Value("take_up_left_mm", "take-up travel left then", reach - centers * (1.0 + drive.elongation), "mm"),
        Value("elongation_taken_up", "elongation that the take-up can follow", reach / centers - 1.0),
    ]


def _needs_offset(number: int, drive: Drive) -> bool:
    return number % 2 == 1 and drive.links is Links.ALTERNATE


def _parity(number: int, drive: Drive) -> str:
    if drive.links is Links.ALIKE:
        return "every link alike: any whole number"
    return "odd: one offset link" if number % 2 else "even: no offset link"


def _neighbours(exact: float, drive: Drive) -> Table:
    first = math.floor(exact) - 2
    found = [_neighbour(n, drive) for n in range(first, first + 6)]
    columns = ("pitches", "centers_mm", "change_mm", "offset_link")
    return Table("neighbours", "numbers of pitches near it", columns, tuple(row for row in found if row))


def _neighbour(number: int, drive: Drive) -> tuple[Amount | None, ...] | None:
    z1, z2 = drive.teeth
    least = over.exact_pitches(over.closest_centers(z1, z2), z1, z2)
    if number < least:
        return None
    centers = over.exact_centers(number, z1, z2) * drive.pitch
    change = None if drive.centers is None else centers - drive.centers
    return number, centers, change, _needs_offset(number, drive)


def _steps(given: float, number: int, centers: float, drive: Drive) -> list[str]:
    p, (z1, z2) = drive.pitch, drive.teeth
    sin_phi = (pitch_diameter(p, z2) - pitch_diameter(p, z1)) / (2.0 * given * p)
    phi = math.degrees(math.asin(sin_phi))
    said = []
    if drive.centers is not None:
        said.append(f"centers in pitches: C = {drive.centers:g} / {p:g} = {given:.4f}")
    said.append(
        f"standard's sum: X = 2 C + (z1 + z2)/2 + ((z2 - z1)/2π)²/C = 2 × {given:.4f} + ({z1:g} + {z2:g})/2 +"
        f" (({z2:g} - {z1:g})/2π)²/{given:.4f} = {over.standard_pitches(given, z1, z2):.4f}"
    )
    said.append(
        f"exact: sin φ = (d2 - d1)/2a = {sin_phi:.5f}, φ = {phi:.3f}°; X = 2 C cos φ + z1 (1/2 - φ/180°) +"
        f" z2 (1/2 + φ/180°) = {over.exact_pitches(given, z1, z2):.4f}"
    )
    if drive.pitches is None:
        said.append(_rounding(over.exact_pitches(given, z1, z2), number, drive))
    said.append(f"centers with {number} pitches, taut: {centers:.2f} mm, from the exact sum solved for C")
    if drive.slack:
        said.append(f"set closer by {drive.slack:.2%} for sag: {centers * (1.0 - drive.slack):.2f} mm")
    said.append(
        f"worn by {drive.elongation:.1%}: every pitch grows, so do the centers, by {centers * drive.elongation:.2f} mm"
    )
    if drive.take_up is not None:
        start = drive.centers or centers
        said.append(f"take-up reaches {start:.2f} + {drive.take_up:g} = {start + drive.take_up:.2f} mm")
    return said


def _rounding(exact: float, number: int, drive: Drive) -> str:
    sort = "whole" if drive.step == 1 else "even"
    least = exact - (0.0 if drive.fixed else MAY_SHORTEN)
    allowed = "centers fixed" if drive.fixed else f"centers may give way to a chain {MAY_SHORTEN:g} pitch shorter"
    return f"next {sort} number from {least:.3f} up ({allowed}): {number} pitches"


def _assumptions(drive: Drive) -> list[str]:
    said = ["open drive, both sprockets turn the same way, chain taut on both runs"]
    if drive.links is Links.ALTERNATE:
        said.append("inner and outer links alternate, so an endless chain without offset link has an even number")
    if not drive.slack:
        said.append("no slack set aside; books set the shafts 0.2 to 0.4 % closer for some sag")
    return said


def _warnings(centers: float, number: int, drive: Drive) -> list[str]:
    p, (z1, z2) = drive.pitch, drive.teeth
    said = []
    if not _FEW_PITCHES <= centers / p <= _MANY_PITCHES:
        said.append(f"centers of {centers / p:.1f} pitches; {_FEW_PITCHES:g} to {_MANY_PITCHES:g} are advised")
    if (wrap := min(over.wrap_angles(centers / p, z1, z2))) < _LEAST_WRAP:
        said.append(f"only {wrap:.0f}° of wrap on the small sprocket; {_LEAST_WRAP:g}° or more are advised")
    if max(z1, z2) > _LARGE_RATIO * min(z1, z2):
        said.append(f"ratio {max(z1, z2) / min(z1, z2):.1f}; beyond {_LARGE_RATIO:g} two stages are usual")
    if _needs_offset(number, drive):
        said.append(
            f"{number} pitches need an offset link, which is weaker than the chain; avoid it where centers can move"
        )
    if drive.centers is not None and centers < drive.centers - 1e-6:
        said.append(f"this chain wants the shafts {drive.centers - centers:.2f} mm closer than the centers given")
    if drive.take_up is not None and (drive.centers or centers) + drive.take_up < centers * (1.0 + drive.elongation):
        said.append(f"the take-up runs out before {drive.elongation:.1%} elongation")
    return said
