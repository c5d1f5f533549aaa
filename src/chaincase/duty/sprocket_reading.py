"""The reverse: from what is measured on a sprocket that is there to the chain it was cut for.

The wheel often outlives its chain, and its teeth keep the pitch and the roller of the chain that nobody can name.
Every chain of the tables says what its wheel would measure; the readings are held against all of them, against a
count of teeth that is one off, against every second tooth of a double-pitch wheel, and against a chain in no table.
Wear makes the bottom of the gaps deeper, never shallower.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import combinations
from typing import Final

import numpy as np
from scipy.special import log_ndtr, logsumexp

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key
from chaincase.duty import cut_for
from chaincase.duty.checking import whole
from chaincase.duty.cut_for import Array, Chains, Expected
from chaincase.duty.sprocket import FEWEST_TEETH, MOST_TEETH
from chaincase.errors import BadInput
from chaincase.identifying.constants import PRIOR_UNLISTED
from chaincase.identifying.density import log_density
from chaincase.measuring.estimate import estimate
from chaincase.measuring.reading import Reading


class Part(StrEnum):
    """What can be read on a wheel."""

    OUTSIDE = "outside_diameter"
    CALIPER = "caliper_diameter"
    """Across the bottoms of two gaps as nearly opposite as there are."""
    OVER_PINS = "over_pins"
    WIDTH = "tooth_width"
    HUB = "hub_diameter"


PARTS: Final = {**{part.value: part for part in Part}, "root_diameter": Part.CALIPER, "tip_diameter": Part.OUTSIDE}
"""Names that people write."""

# Common practice, no source, all of them.
_MISCOUNTED: Final = 0.015
"""How often the teeth were counted one too many; as often one too few."""
_BLUNDER: Final = 0.04
"""How often a reading is not what its name says."""
_BLUNDER_REACH: Final = 25.0
"""Such a reading lies anywhere from a fifth to five times, so within this ratio."""
_ROUNDNESS: Final = 0.0005
"""Wheels are no rounder than that, relative to what is measured."""
_ROOT_WEAR: Final = ((0.45, 0.0), (0.40, -0.012), (0.15, -0.04))
"""States of wear of the gap bottoms, both together: probability, mean in pitches."""
_UNMATCHED_MARK: Final = 0.03
"""How often a number on a wheel is not that of its chain; it is then that of any chain of the catalog alike."""
OTHER_WHEEL: Final = 0.05
"""How often the wheel at hand was not cut for the chain that runs on it."""
_LONGEST_MARK, _MOST_MARKS, _MOST_READINGS = 100, 20, 50


@dataclass(frozen=True, slots=True)
class WheelReading:
    """One reading on a wheel: what, its size and standard uncertainty [mm], pins in use, and the sum in words."""

    part: Part
    value: float
    u: float
    pin: float | None = None
    words: str = ""

    @classmethod
    def parse(cls, name: str, value: str | float, *, instrument: str = "", pin: float | None = None) -> "WheelReading":
        """Read one reading as written down.

        Parameters
        ----------
        name : str
            One of `PARTS`.
        value : str or number
            As written, with its unit.
        instrument : str
            As for readings on a chain.
        pin : float, optional
            Diameter of the measuring pins [mm].

        Raises
        ------
        BadInput
            If the name or the instrument is not known, or the value is no length with a unit.

        >>> WheelReading.parse("over_pins", "4.540 in", instrument="caliper", pin=12.0).value
        115.316
        """
        part = PARTS.get(" ".join(name.lower().replace("_", " ").split()).replace(" ", "_"))
        if part is None:
            raise BadInput(f"{name!r:.60} is not read on a wheel", right=f"use one of: {', '.join(PARTS)}")
        if part is Part.OVER_PINS and pin is None:
            raise BadInput("over pins, but the pins are not given", right="give the diameter of the pins")
        # A tooth is thick between jaws, everything else is a diameter; both are outside readings.
        reading = Reading.parse(
            "thickness" if part is Part.WIDTH else "diameter", value, instrument=instrument, place=name
        )
        found = estimate(reading)
        if not found.usable:
            raise BadInput(f"{name} {value} was {found.reason}", right="measure it on the wheel")
        return cls(part, found.value_mm, float(np.hypot(found.u_mm, _ROUNDNESS * found.value_mm)), pin, found.words)


@dataclass(frozen=True, slots=True)
class Seen:
    """All that was seen on one wheel: teeth counted, readings, rows of teeth if counted, numbers stamped on it."""

    teeth: int
    readings: tuple[WheelReading, ...] = ()
    rows: int | None = None
    marks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        whole("teeth", self.teeth, FEWEST_TEETH, MOST_TEETH)
        if self.rows is not None:
            whole("rows", self.rows, 1, 24)
        if len(self.readings) > _MOST_READINGS or len(self.marks) > _MOST_MARKS:
            raise BadInput("too many readings or marks", right=f"give at most {_MOST_READINGS} and {_MOST_MARKS}")
        if not self.readings and not self.marks:
            raise BadInput("nothing is read on the wheel", right="give its outside or caliper diameter, or a mark")


@dataclass(frozen=True, eq=False, slots=True)
class WheelLikelihood:
    """How probable what was seen is, up to one factor common to all, in natural logarithms.

    Attributes
    ----------
    listed : ndarray, shape (n,)
        For every row of the catalog; minus infinity where the chain does not run on such a wheel. To be added to
        the logarithms of `identifying`, as the likelihood of one more independent piece of evidence.
    unlisted : float
        For a chain that is in no table.
    double_cut : ndarray, shape (n,)
        Probability that every second tooth works, for every row [-].
    teeth : ndarray of int, shape (n,)
        Likeliest true number of teeth for every row.
    """

    listed: Array
    unlisted: float
    double_cut: Array
    teeth: Array


def wheel_likelihood(seen: Seen, catalog: Catalog) -> WheelLikelihood:
    """Give the likelihood of what was seen on a wheel, for every chain of the catalog and for one in no table."""
    chains = cut_for.listed(catalog, seen.rows)
    terms = {(teeth, cut): term for teeth, cut, term in _ways(seen, chains)}
    total = logsumexp(list(terms.values()), axis=0)
    twice = logsumexp([term for (_, cut), term in terms.items() if cut] or [np.full(len(total), -np.inf)], axis=0)
    by_teeth = [logsumexp([t for (n, _), t in terms.items() if n == teeth], axis=0) for teeth in _counts(seen.teeth)]
    net = cut_for.unlisted()
    anywhere = logsumexp([term for _, _, term in _ways(seen, net)], axis=0)
    with np.errstate(divide="ignore"):
        usable = np.where(chains.weight > 0.0, 0.0, -np.inf)
    marks, no_mark = _mark_likelihood(seen, catalog)
    return WheelLikelihood(
        listed=total + usable + marks,
        unlisted=float(logsumexp(anywhere + np.log(net.weight))) + no_mark,
        double_cut=np.exp(twice - total),
        teeth=np.array(_counts(seen.teeth))[np.argmax(by_teeth, axis=0)].astype(np.float64),
    )


def wheel_posterior(likelihood: WheelLikelihood) -> tuple[Array, float]:
    """Give the probability of every row, all rows alike before, and of a chain in no table.

    Returns
    -------
    probability : ndarray, shape (n,)
        Adds to 1 together with `unlisted`.
    unlisted : float
        Probability of a chain in no table.
    """
    rows = int(np.isfinite(likelihood.listed).sum())
    prior = np.log1p(-PRIOR_UNLISTED) - np.log(max(rows, 1))
    together = np.append(likelihood.listed + prior, likelihood.unlisted + np.log(PRIOR_UNLISTED))
    share = np.exp(together - logsumexp(together))
    return share[:-1], float(share[-1])


def log_of_any(whole: WheelLikelihood) -> float:
    """Give the likelihood of a wheel that was cut for just any chain, as a logarithm."""
    usable = np.isfinite(whole.listed)
    known = logsumexp(whole.listed[usable]) - np.log(usable.sum()) if usable.any() else whole.unlisted
    return float(np.logaddexp(np.log1p(-PRIOR_UNLISTED) + known, np.log(PRIOR_UNLISTED) + whole.unlisted))


def cut_for_old(seen: Seen, catalog: Catalog, old: int) -> float:
    """Give the probability that a wheel was cut for the chain that runs on it, or for one like it."""
    whole = wheel_likelihood(seen, catalog)
    own = np.log1p(-OTHER_WHEEL) + whole.listed[old]
    return float(np.exp(own - np.logaddexp(own, np.log(OTHER_WHEEL) + log_of_any(whole))))


def _counts(teeth: int) -> tuple[int, ...]:
    """Give the numbers of teeth that there may be: as counted, one less, one more."""
    return tuple(n for n in (teeth, teeth - 1, teeth + 1) if n >= FEWEST_TEETH)


def _ways(seen: Seen, chains: Chains) -> Iterator[tuple[int, bool, Array]]:
    """Give every true count and cut with its joint log density for every chain."""
    for teeth in _counts(seen.teeth):
        counted = np.log(1.0 - 2.0 * _MISCOUNTED if teeth == seen.teeth else _MISCOUNTED)
        for cut in (False, True) if chains.double_cut.any() else (False,):
            share = chains.double_cut if cut else 1.0 - chains.double_cut
            if cut and teeth < 2 * FEWEST_TEETH:
                share = np.zeros(len(chains.pitch))
            with np.errstate(divide="ignore"):
                before = counted + np.log(share)
            yield (
                teeth,
                cut,
                before + _log_readings(seen.readings, chains, cut_for.expected(chains, teeth, double_cut=cut)),
            )


def _log_readings(readings: Sequence[WheelReading], chains: Chains, wheel: Expected) -> Array:
    bottoms = [reading for reading in readings if reading.part in {Part.CALIPER, Part.OVER_PINS}]
    total = _log_bottoms(bottoms, chains, wheel)
    for reading in readings:
        if reading.part not in {Part.CALIPER, Part.OVER_PINS}:
            good = _log_range(reading, *_range(reading.part, wheel))
            total = total + np.logaddexp(np.log1p(-_BLUNDER) + good, np.log(_BLUNDER) + _log_anything(reading))
    return total


def _range(part: Part, wheel: Expected) -> tuple[Array, Array]:
    if part is Part.OUTSIDE:
        return wheel.tip_low, wheel.tip_high
    if part is Part.WIDTH:
        return wheel.width_low, wheel.width_high
    return 0.2 * wheel.hub_high, wheel.hub_high


def _log_range(reading: WheelReading, low: Array, high: Array) -> Array:
    """Give the log density of a reading of a size that is anywhere in a range: a uniform law, blurred."""
    above, below = log_ndtr((reading.value - low) / reading.u), log_ndtr((reading.value - high) / reading.u)
    # On the far side both are nearly 1: there their mirror images are the small numbers to subtract.
    mirrored = reading.value > (low + high) / 2.0
    first = np.where(mirrored, log_ndtr((high - reading.value) / reading.u), above)
    second = np.where(mirrored, log_ndtr((low - reading.value) / reading.u), below)
    return np.asarray(first + np.log1p(-np.exp(np.minimum(second - first, -1e-12))) - np.log(high - low))


def _log_anything(reading: WheelReading) -> float:
    return float(-np.log(reading.value * np.log(_BLUNDER_REACH)))


def _log_bottoms(group: Sequence[WheelReading], chains: Chains, wheel: Expected) -> Array:
    """Give the joint log density of all readings of the gap bottoms: they share the wheel's size and its wear."""
    terms = []
    for size in range(len(group) + 1):
        for good in combinations(range(len(group)), size):
            wrong = [reading for i, reading in enumerate(group) if i not in good]
            fixed = sum(np.log(_BLUNDER) + _log_anything(reading) for reading in wrong) + size * np.log1p(-_BLUNDER)
            terms.append(fixed + _log_worn([group[i] for i in good], chains, wheel))
    return np.asarray(logsumexp(terms, axis=0))


def _log_worn(group: Sequence[WheelReading], chains: Chains, wheel: Expected) -> Array:
    if not group:
        return np.zeros(len(chains.pitch))
    # A pin lies on the bottom of its gap, so two pin diameters less is the distance of the bottoms.
    values = np.array([reading.value - 2.0 * (reading.pin or 0.0) for reading in group])
    u = np.array([reading.u for reading in group])
    states = [
        np.log(share) + log_density(values, u, np.ones(len(u)), wheel.across, wheel.across_spread, mean * chains.pitch)
        for share, mean in _ROOT_WEAR
    ]
    return np.asarray(logsumexp(states, axis=0))


def _mark_likelihood(seen: Seen, catalog: Catalog) -> tuple[Array, float]:
    """Give the log likelihood of the numbers on the wheel, for every row and for a chain in no table."""
    total, none = np.zeros(len(catalog)), 0.0
    other = _UNMATCHED_MARK / max(len(catalog), 1)
    for mark in seen.marks:
        rows = rows_named_on(mark, seen.teeth, catalog)
        if rows:
            named = np.zeros(len(catalog), dtype=bool)
            named[list(rows)] = True
            total = total + np.log(np.where(named, 1.0 - _UNMATCHED_MARK, other))
            none += float(np.log(other))
    return total, none


def rows_named_on(mark: str, teeth: int, catalog: Catalog) -> tuple[int, ...]:
    """Give the rows of the chain whose number stands on a wheel together with its teeth, as in `80B17` or `16B-1 Z19`.

    The number, up to four letters for hub and material, the teeth; one or two letters may go before (common
    practice, no source). Nothing is found where the teeth in the mark are not those counted.

    Raises
    ------
    BadInput
        If the mark is blank or longer than 100 characters.

    >>> catalog = Catalog.standard()
    >>> [catalog.designations[row] for row in rows_named_on("80B17", 17, catalog)]
    ['16A-1']
    """
    if not mark.strip() or len(mark) > _LONGEST_MARK:
        raise BadInput(f"mark {mark!r:.60}", right=f"give what stands on the wheel, up to {_LONGEST_MARK} characters")
    text = re.sub(r"[^0-9A-Z]", "", mark.upper())
    found: dict[int, int] = {}
    for name in _names_in(text, teeth):
        for row in catalog.names.get(key(name), ()):
            found[row] = max(len(name), found.get(row, 0))
    longest = max(found.values(), default=0)
    return tuple(row for row, length in found.items() if length == longest)


def _names_in(text: str, teeth: int) -> Iterator[str]:
    """Give what may be the chain's number in a mark: all that goes before the letters and the teeth."""
    for lead in range(3):
        if not text[:lead].isalpha() and lead:
            break
        rest = text[lead:]
        for end in range(2, len(rest)):
            if re.match(rf"[A-Z]{{0,4}}{teeth}(?!\d)", rest[end:]):
                yield rest[:end]
