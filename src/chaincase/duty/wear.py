"""Elongation from readings of length, strand by strand, with what it uses up: take-up, matching, pins."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from typing import Final

from scipy.special import ndtr

from chaincase.chains.kinds import BY_NAME, Links
from chaincase.chains.matching import matched_within
from chaincase.duty import wear_limits, wear_trend
from chaincase.duty.wear_form import PartReading, WearForm, WearReading
from chaincase.duty.wear_trend import Fit, Point, Reached
from chaincase.identifying.sprocket_fit import CONVEYOR_TOLERANCE, SHORT_PITCH_TOLERANCE
from chaincase.measuring.growth import growth

_SHORT: Final = frozenset({"roller", "bush", "double pitch", "agricultural"})
_SLIP: Final = 3.0
"""Standard uncertainties beyond which a reading says what wear cannot."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading turned into an elongation.

    Attributes
    ----------
    at : int
        Its number in the form, from 0.
    on : date
        When.
    strand : str
        Which strand, "" where there is one.
    over : int
        Pitches spanned.
    length : float
        What they measure [mm].
    elongation, u : float
        Of the strand over nominal, and its standard uncertainty [-].
    factor : float
        How many times the strand's elongation shows in this reading [-]; 0 where wear does not show in it.
    words : str
        The arithmetic.
    """

    at: int
    on: date
    strand: str
    over: int
    length: float
    elongation: float
    u: float
    factor: float
    words: str


def measured(form: WearForm) -> tuple[Measured, ...]:
    """Give the readings of a form as elongations, the oldest first."""
    found = (_measured(form, at, reading) for at, reading in enumerate(form.readings))
    return tuple(sorted(found, key=lambda each: (each.on, each.at)))


def _measured(form: WearForm, at: int, reading: WearReading) -> Measured:
    taken, found = reading.reading(), reading.estimate()
    law = growth(BY_NAME[form.kind].links, taken.link, taken.reference, taken.over, taken.technique)
    factor = sum(size * share for size, share in law)
    spread = math.sqrt(sum(share * (size - factor) ** 2 for size, share in law))
    seen, u_seen = found.value_mm / form.pitch - 1.0, found.u_mm / form.pitch
    divisor = factor or 1.0
    elongation = seen / divisor
    u = math.hypot(u_seen, elongation * spread) / divisor
    words = found.words + f"; ({found.value_mm:.3f} - {form.pitch:.3f})/{form.pitch:.3f} = {100 * seen:.3f} %"
    if factor not in {0.0, 1.0}:
        words += f", in which the strand's shows {factor:.3g} times: {100 * elongation:.3f} %"
    if spread:
        words += (
            f"; not said between which links it was taken, ± {100 * abs(elongation) * spread / divisor:.2g} % for that"
        )
    strand = reading.strand.strip()
    return Measured(at, reading.on, strand, taken.over, found.value_mm * taken.over, elongation, u, factor, words)


def showing(readings: Sequence[Measured]) -> tuple[Measured, ...]:
    """Give those readings in which wear shows."""
    return tuple(each for each in readings if each.factor > 0.0)


def stretched(readings: Sequence[Measured]) -> Iterator[Measured]:
    """Give readings that wear does not touch and that have grown all the same: plates stretched or pins bent."""
    for each in readings:
        if each.factor == 0.0 and each.elongation > _SLIP * each.u:
            yield each


def too_short(readings: Sequence[Measured]) -> Iterator[Measured]:
    """Give readings shorter than new chain can be."""
    for each in readings:
        if each.elongation < -_SLIP * each.u:
            yield each


def new_tolerance(kind: str) -> float:
    """Give by how much new chain may be longer than nominal [-]; sources in `identifying.sprocket_fit`."""
    return SHORT_PITCH_TOLERANCE if kind in _SHORT else CONVEYOR_TOLERANCE


@dataclass(frozen=True, slots=True, eq=False)
class Strand:
    """One strand: its readings in time, what was fitted, and when the limit is reached.

    Attributes
    ----------
    name : str
        Name of the strand, "" where there is one.
    readings : tuple of Measured
        Those in which wear shows, the oldest first; at least one.
    points : tuple of Point
        What was fitted: the readings, and the day of installation where it is known.
    line, curve : Fit or None
        Straight line and parabola; None where the dates are too few.
    by_line, by_curve : Reached or None
        When each reaches the limit; None without a fit or a limit.
    """

    name: str
    readings: tuple[Measured, ...]
    points: tuple[Point, ...]
    line: Fit | None
    curve: Fit | None
    by_line: Reached | None
    by_curve: Reached | None

    @property
    def now(self) -> Measured:
        """The last reading; of several on one day the most certain."""
        newest = self.readings[-1].on
        return min((each for each in self.readings if each.on == newest), key=lambda each: each.u)

    def over(self, limit: float) -> float:
        """Probability that the limit is passed at the last reading [-]."""
        return float(ndtr((self.now.elongation - limit) / self.now.u))


def strands(form: WearForm, limit: float | None) -> tuple[Strand, ...]:
    """Give the strands of a form, the most worn first."""
    good = showing(measured(form))
    names = dict.fromkeys(each.strand for each in good)
    found = (_strand(form, name, [each for each in good if each.strand == name], limit) for name in names)
    return tuple(sorted(found, key=lambda strand: -strand.now.elongation))


def _strand(form: WearForm, name: str, readings: Sequence[Measured], limit: float | None) -> Strand:
    points = [Point(float(each.on.toordinal()), each.elongation, each.u) for each in readings]
    if form.installed is not None:
        # New chain lies anywhere in its tolerance: a rectangular distribution.
        most = new_tolerance(form.kind)
        points.insert(0, Point(float(form.installed.toordinal()), most / 2.0, most / math.sqrt(12.0)))
    line, curve = (wear_trend.fit(points, degree) for degree in (1, 2))
    when = [wear_trend.reached(each, limit) if each is not None and limit else None for each in (line, curve)]
    return Strand(name, tuple(readings), tuple(points), line, curve, when[0], when[1])


@dataclass(frozen=True, slots=True)
class Apart:
    """How much two strands side by side differ.

    Attributes
    ----------
    longer, shorter : str
        Names of the strands.
    difference, u : float
        Of their elongations, and its standard uncertainty [-].
    length : float
        Over which the difference in length is given [mm]: a whole strand, or the span read.
    whole : bool
        Whether that is a whole strand.
    """

    longer: str
    shorter: str
    difference: float
    u: float
    length: float
    whole: bool

    @property
    def apart_mm(self) -> float:
        """Difference in length [mm]."""
        return self.difference * self.length

    @property
    def apart_u_mm(self) -> float:
        """Its standard uncertainty [mm]."""
        return self.u * self.length

    @property
    def within_mm(self) -> float | None:
        """What matched strands of that length may differ when new [mm]; None where nothing was read."""
        return matched_within(self.length)

    @property
    def beyond(self) -> float | None:
        """Probability that they differ by more than matched strands may [-]."""
        return None if self.within_mm is None else float(ndtr((self.apart_mm - self.within_mm) / self.apart_u_mm))


def apart(form: WearForm, found: Sequence[Strand]) -> tuple[Apart, ...]:
    """Give how much every two strands differ that were read on one day, the farthest apart first."""
    pairs = []
    for one, two in combinations(found, 2):
        if one.now.on != two.now.on:
            continue
        first, second = sorted((one.now, two.now), key=lambda each: -each.elongation)
        span = min(first.over, second.over)
        length = form.pitch * (form.pitches or span)
        u = math.hypot(first.u, second.u)
        pairs.append(
            Apart(first.strand, second.strand, first.elongation - second.elongation, u, length, bool(form.pitches))
        )
    return tuple(sorted(pairs, key=lambda pair: -pair.apart_mm))


@dataclass(frozen=True, slots=True)
class TakeUpLeft:
    """What wear does to the take-up: it moves by half of what the strand grows.

    Attributes
    ----------
    grown : float
        By what the strand is longer than nominal [mm].
    used, left : float
        Of the travel [mm]; read on the machine where it was, else half of what the strand has grown.
    was_read : bool
        Which of the two.
    ends : float
        Elongation at which the travel is at its end [-].
    """

    grown: float
    used: float
    left: float
    was_read: bool
    ends: float


def take_up_left(form: WearForm, elongation: float) -> TakeUpLeft | None:
    """Give what is left of the take-up at an elongation [-]; None where there is none."""
    if form.take_up is None or form.pitches is None:
        return None
    strand = form.pitch * form.pitches
    grown = strand * max(elongation, 0.0)
    used = form.take_up.used if form.take_up.used is not None else grown / 2.0
    left = form.take_up.travel - used
    return TakeUpLeft(grown, used, left, form.take_up.used is not None, max(elongation, 0.0) + 2.0 * left / strand)


@dataclass(frozen=True, slots=True)
class PartWear:
    """A part against its limit.

    Attributes
    ----------
    part : str
        Which part.
    left, u : float
        Size over new size, and its standard uncertainty [-].
    limit : float
        Least that must be left [-].
    words : str
        What the limit is for.
    passed : float
        Probability that the limit is passed [-].
    """

    part: str
    left: float
    u: float
    limit: float
    words: str
    passed: float


def part_wear(reading: PartReading) -> PartWear:
    """Hold a part against its limit."""
    limit, found = wear_limits.part_limit(reading.part, reading.hardening), reading.estimate()
    left, u = found.value_mm / reading.new, found.u_mm / reading.new
    return PartWear(reading.part, left, u, limit.left, limit.words, float(ndtr((limit.left - left) / u)))


def alternating(kind: str) -> bool:
    """Tell whether inner and outer links alternate, so that an odd number of pitches shows more or less wear."""
    return BY_NAME[kind].links is Links.ALTERNATE
