"""The answer about a sprocket that is there: which pitch and roller it was cut for, and what speaks for it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from chaincase.catalog.table import Catalog
from chaincase.duty import cut_for
from chaincase.duty.cut_for import Array, Chains
from chaincase.duty.result import Result, Table, Value
from chaincase.duty.sprocket_reading import Part, Seen, WheelReading, wheel_likelihood, wheel_posterior

SCHEMA: Final = "chaincase/duty-sprocket-reading-answer-1"

_SHOWN_MASS, _MOST_SHOWN, _MOST_NAMES = 0.999, 12, 12
_SURE: Final = 0.9
_WORDS: Final = {
    Part.OUTSIDE: "outside diameter",
    Part.CALIPER: "caliper diameter",
    Part.OVER_PINS: "over pins",
    Part.WIDTH: "tooth width",
    Part.HUB: "hub diameter",
}


@dataclass(frozen=True, slots=True)
class Pair:
    """A pitch and a roller that a wheel may be cut for, with the chains that have them.

    Attributes
    ----------
    pitch : float
        [mm].
    roller : float or None
        [mm]; None where no table gives it.
    probability : float
        That the wheel was cut for one of these chains.
    double_cut : float
        Probability that every second tooth works [-].
    teeth : int
        Likeliest true number of teeth.
    rows : tuple of int
        Rows of the catalog, the likeliest first.
    """

    pitch: float
    roller: float | None
    probability: float
    double_cut: float
    teeth: int
    rows: tuple[int, ...]


def pairs(seen: Seen, catalog: Catalog) -> tuple[tuple[Pair, ...], float]:
    """Give the pairs of pitch and roller, the likeliest first, and the probability of a chain in no table."""
    likelihood = wheel_likelihood(seen, catalog)
    probability, unlisted = wheel_posterior(likelihood)
    chains = cut_for.listed(catalog, seen.rows)
    groups: dict[tuple[float, float | None], list[int]] = {}
    for row in np.argsort(-probability, kind="stable"):
        if probability[row] > 0.0:
            groups.setdefault(_pair_of(int(row), chains), []).append(int(row))
    found = [
        Pair(
            pitch, roller, float(probability[rows].sum()), float(likelihood.double_cut[rows[0]]),
            int(likelihood.teeth[rows[0]]), tuple(rows),
        )
        for (pitch, roller), rows in groups.items()
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda pair: -pair.probability)), unlisted


def _pair_of(row: int, chains: Chains) -> tuple[float, float | None]:
    known = chains.roller_spread[row] == 0.0
    return round(float(chains.pitch[row]), 3), round(float(chains.roller[row]), 2) if known else None


def sprocket_reading(seen: Seen, catalog: Catalog) -> Result:
    """Give what a wheel was cut for, with probabilities, and how each reading speaks for the likeliest.

    Raises
    ------
    BadInput
        If a mark is blank.

    >>> outside = WheelReading.parse("outside_diameter", "151.2 mm", instrument="caliper")
    >>> bottom = WheelReading.parse("caliper_diameter", "121.5 mm", instrument="caliper")
    >>> answer = sprocket_reading(Seen(17, (outside, bottom)), Catalog.standard())
    >>> answer["pitch_mm"], answer["roller_diameter_mm"]
    (25.4, 15.88)
    """
    found, unlisted = pairs(seen, catalog)
    shown = _shown(found)
    best = found[0] if found else None
    return Result(
        schema=SCHEMA,
        title=f"chain that a sprocket of {seen.teeth} teeth was cut for",
        values=tuple(_values(best, unlisted)),
        steps=(*(r.words for r in seen.readings if r.words), *(_reasons(best, seen, catalog) if best else ())),
        assumptions=(
            "wheels of every listed chain alike probable beforehand",
            "gap bottoms wear deeper, never shallower; tips within the range of ISO 606 or about the pitch circle",
        ),
        warnings=tuple(_warnings(found, unlisted, seen)),
        sources=("diameters and widths: ISO 606:2015, 5.3 to 5.6; tolerance: ASME B29.1; scatter: common practice",),
        tables=(_table(shown, catalog),),
    )


def _shown(found: tuple[Pair, ...]) -> tuple[Pair, ...]:
    total, kept = 0.0, []
    listed = sum(pair.probability for pair in found)
    for pair in found[:_MOST_SHOWN]:
        kept.append(pair)
        total += pair.probability
        if total >= _SHOWN_MASS * listed:
            break
    return tuple(kept)


def _values(best: Pair | None, unlisted: float) -> Iterator[Value]:
    if best is not None:
        yield Value("pitch_mm", "likeliest pitch", best.pitch, "mm")
        if best.roller is not None:
            yield Value("roller_diameter_mm", "with a roller, bush or barrel of", best.roller, "mm")
        yield Value("probability", "probability", best.probability)
        yield Value("teeth_likeliest", "teeth", best.teeth)
        yield Value("double_cut", "every second tooth works", best.double_cut > 0.5)
    yield Value("unlisted", "a chain in none of the tables", unlisted)


def _table(shown: tuple[Pair, ...], catalog: Catalog) -> Table:
    columns = ("pitch_mm", "roller_diameter_mm", "probability", "double_cut", "teeth", "chains")
    rows = tuple(
        (
            pair.pitch, pair.roller, pair.probability, pair.double_cut,
            pair.teeth, _names(pair, catalog),
        )
        for pair in shown
    )  # fmt: skip
    return Table("pairs", "pitches and rollers that it may be cut for", columns, rows)


def _names(pair: Pair, catalog: Catalog) -> str:
    names = list(dict.fromkeys(catalog.designations[row] for row in pair.rows))
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    return ", ".join(names[:_MOST_NAMES]) + more


def _reasons(best: Pair, seen: Seen, catalog: Catalog) -> list[str]:
    """Say for every reading what the likeliest chain would have given."""
    one = _only(cut_for.listed(catalog, seen.rows), best.rows[0])
    wheel = cut_for.expected(one, best.teeth, double_cut=best.double_cut > 0.5)
    ranges: dict[Part, tuple[Array, Array]] = {
        Part.OUTSIDE: (wheel.tip_low, wheel.tip_high),
        Part.WIDTH: (wheel.width_low, wheel.width_high),
        Part.HUB: (np.zeros(1), wheel.hub_high),
    }
    said = []
    for reading in seen.readings:
        if reading.part in ranges:
            low, high = (float(side[0]) for side in ranges[reading.part])
            said.append(_in_range(reading, low, high, best))
        else:
            said.append(_against_new(reading, float(wheel.across[0]) + 2.0 * (reading.pin or 0.0), wheel, best))
    return said


def _only(chains: Chains, row: int) -> Chains:
    names = ("pitch", "roller", "roller_spread", "inner_width", "plate_height", "double_cut", "weight")
    return replace(chains, **{name: getattr(chains, name)[row : row + 1] for name in names})


def _in_range(reading: WheelReading, low: float, high: float, best: Pair) -> str:
    verdict = "agrees" if low - 2 * reading.u <= reading.value <= high + 2 * reading.u else "does not agree"
    expected = f"{low:.1f} to {high:.1f} mm expected" if low else f"at most {high:.1f} mm expected"
    return f"{_WORDS[reading.part]} {reading.value:.2f} mm: {verdict} with {best.pitch:g} mm pitch, {expected}"


def _against_new(reading: WheelReading, new: float, wheel: cut_for.Expected, best: Pair) -> str:
    spread = 2.0 * float(np.hypot(wheel.across_spread[0], reading.u))
    worn = new - reading.value
    if abs(worn) <= spread:
        verdict = "agrees"
    elif worn < 0.0:
        verdict = "does not agree: nothing wears a wheel larger"
    elif worn < 0.15 * best.pitch:
        verdict = f"{worn:.2f} mm smaller than new: wear of the gap bottoms"
    else:
        verdict = f"{worn:.2f} mm smaller than new: more than wear explains"
    return (
        f"{_WORDS[reading.part]} {reading.value:.2f} mm: {verdict}; {new:.2f} mm expected for {best.pitch:g} mm pitch"
    )


def _warnings(found: tuple[Pair, ...], unlisted: float, seen: Seen) -> Iterator[str]:
    if not found:
        yield "no chain of the tables runs on such a wheel"
        return
    if found[0].probability < _SURE:
        yield "this is not settled; measure outside and caliper diameter, tooth width, and over pins"
    if unlisted > _SURE / 2:
        yield "the wheel may well be cut for a chain in none of the tables"
    if found[0].teeth != seen.teeth:
        yield f"the readings fit {found[0].teeth} teeth better than the {seen.teeth} counted: mark one and count again"
    if not any(reading.part in {Part.CALIPER, Part.OVER_PINS} for reading in seen.readings):
        yield "without caliper diameter or over pins the roller is only guessed"
    if seen.teeth % 2 and any(reading.part is Part.CALIPER for reading in seen.readings):
        yield "odd teeth: the caliper or root diameter is taken as read across the two gaps nearest to opposite"
