"""A dozen posteriors of two or three candidates and one reading, worked by hand and integrated with QUADPACK.

By hand: the ways in which the reading may have come about, with their shares. By SciPy's adaptive quadrature: the
density of a new part's size convolved with exponential wear, where the package has a closed form. The two kinds of
chain used have so few dimensions that no other dimension can be mistaken for the one asked for.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from builders import catalog, evidence, reading
from chaincase import identify
from chaincase.catalog.table import Limit
from chaincase.identifying.constants import (
    BLUNDER,
    BLUNDER_OTHERWISE,
    ELONGATION,
    MISNAMED_LINK,
    PRIOR_UNLISTED,
    SPREAD,
    UNLISTED,
    WEAR,
    Wear,
)
from chaincase.identifying.posterior import posterior

ANYWHERE = math.log(2000.0 / 0.5)
"""A wholly wrong figure lies between 0.5 mm and 2 m."""


@dataclass(frozen=True)
class Worked:
    """Figures of the candidates, and the one reading."""

    dimension: str
    figures: tuple[float, ...]
    size: float
    limit: Limit = Limit.NOMINAL
    instrument: str = "digital caliper"
    link: str = ""

    @property
    def kind(self) -> str:
        return "rivetless" if self.dimension == "pin_diameter" or self.link else "detachable"


def convolved(r: float, mean: float, sd: float, wear: float) -> float:
    """Normal about the mean, worn by an exponential amount whose mean has the sign of the wear."""
    if not wear:
        return float(norm.pdf(r, mean, sd))

    def both(amount: float) -> float:
        return float(norm.pdf(r, mean + math.copysign(amount, wear), sd) * math.exp(-amount / abs(wear)) / abs(wear))

    at = max((r - mean) * math.copysign(1.0, wear), 0.0)
    edges = sorted({0.0, max(at - 8 * sd, 0.0), at + 8 * sd, at + 8 * sd + 30 * abs(wear)})
    return sum(quad(both, a, b, epsabs=0, epsrel=1e-10)[0] for a, b in pairwise(edges))


def right(case: Worked, figure: float, u: float) -> float:
    """The reading is what it says: new or in one of the states of wear."""
    spread = SPREAD[case.dimension]
    sd = math.hypot(u, figure * (spread.nominal if case.limit is Limit.NOMINAL else spread.edge))
    slack = {Limit.MAXIMUM: -spread.slack, Limit.MINIMUM: spread.slack}.get(case.limit, 0.0) * figure
    total = 0.0
    for state, shows, chance in ways(case):
        wear = state.relative * figure + state.absolute
        # Room below a limit and wear add where they go the same way; else the wear alone counts.
        wear = shows * (wear if wear * slack < 0 else wear + slack)
        total += chance * state.probability * convolved(case.size, figure, sd, wear)
    return total


def ways(case: Worked) -> Iterator[tuple[Wear, float, float]]:
    """States of wear, how often the wear shows in the reading, and how likely that is."""
    if case.dimension == "pin_diameter":
        yield from ((state, 1.0, 1.0) for state in WEAR["pin_diameter"])
    elif case.kind == "detachable":  # every pitch of like links grows alike
        yield from ((state, 1.0, 1.0) for state in ELONGATION)
    else:  # between pins an outer link keeps its pitch, an inner one grows twice; now and then the name is wrong
        twice = (0.0 if case.link == "outer" else 1.0) * (1 - MISNAMED_LINK) + MISNAMED_LINK / 2
        for state in ELONGATION:
            yield state, 0.0, 1.0 - twice
            yield state, 2.0, twice


def wrong(case: Worked, figure: float, u: float) -> float:
    """The reading is a blunder: a swapped unit, a pin head, two pitches for one, or wholly wrong."""
    spread = SPREAD[case.dimension]
    new = figure * (spread.nominal if case.limit is Limit.NOMINAL else spread.edge)
    swapped = norm.pdf(25.4 * case.size, figure, math.hypot(new, 0.03 * figure, 25.4 * u)) * 25.4
    gross = 0.5 * norm.pdf(case.size, figure, math.hypot(new, 0.4 * figure, u)) + 0.5 / (case.size * ANYWHERE)
    if case.dimension == "pin_diameter":
        own = norm.pdf(case.size, 1.18 * figure, math.hypot(0.09 * figure, u))
        return float((0.12 * swapped + 0.25 * own + 0.15 * gross) / (0.12 + 0.25 + 0.15))
    double = norm.pdf(case.size, 2 * figure, math.hypot(2 * new, 0.06 * figure, u))
    return float((0.12 * swapped + 0.15 * double + 0.15 * gross) / (0.12 + 0.15 + 0.15))


def unlisted(case: Worked, figure: float, u: float) -> float:
    """A chain in no table, like this one: the same in this dimension, or somewhere about it."""
    spread = SPREAD[case.dimension]
    new = figure * (spread.nominal if case.limit is Limit.NOMINAL else spread.edge)
    total = 0.0
    for sort in UNLISTED:
        same = sort.same_pitch if case.dimension == "pitch" else sort.same
        near = sum(
            share * norm.pdf(case.size, figure, math.hypot(new, reach * figure, u)) for share, reach in sort.reach
        )
        total += sort.share * (same * right(case, figure, u) + (1 - same) * near)
    return total


def worked_out(case: Worked, u: float) -> tuple[list[float], float]:
    """Give the probability of each candidate, and of unlisted."""
    b = BLUNDER.get(case.instrument, BLUNDER_OTHERWISE)
    n = len(case.figures)
    either = [(right(case, f, u), unlisted(case, f, u), wrong(case, f, u)) for f in case.figures]
    listed = [(1 - PRIOR_UNLISTED) / n * ((1 - b) * plain + b * bad) for plain, _, bad in either]
    none = PRIOR_UNLISTED / n * sum((1 - b) * near + b * bad for _, near, bad in either)
    total = sum(listed) + none
    return [each / total for each in listed], none / total


@pytest.mark.parametrize(
    "case",
    [
        Worked("pin_diameter", (15.88, 19.05), 15.8),
        Worked("pin_diameter", (15.88, 16.5), 15.4),
        Worked("pin_diameter", (15.88, 19.05), 18.4),
        Worked("pin_diameter", (15.88, 19.05, 22.23), 19.0, Limit.MAXIMUM),
        Worked("pin_diameter", (7.94, 8.28), 7.6, Limit.MAXIMUM),
        Worked("pin_diameter", (14.3, 15.0), 14.9, Limit.MINIMUM),
        Worked("pin_diameter", (12.7, 15.88), 14.0, instrument="steel rule"),
        Worked("pitch", (101.6, 103.2), 102.4),
        Worked("pitch", (76.2, 78.11), 77.9, instrument="caliper"),
        Worked("pitch", (66.27, 67.5, 132.5), 133.5, instrument="tape"),
        Worked("pitch", (101.6, 103.2), 101.7, link="outer"),
        Worked("pitch", (101.6, 103.2), 103.4, link="inner"),
    ],
    ids=str,
)
def test_posterior_is_that_worked_by_hand(case: Worked) -> None:
    rows = [(f"C{i}", case.kind, {case.dimension: figure}) for i, figure in enumerate(case.figures)]
    table = catalog(*rows, limits={case.dimension: case.limit})
    fields = {"link": case.link, "reference": "pins"} if case.link else {}
    given = evidence(reading(case.dimension, f"{case.size} mm", case.instrument, **fields))
    (measured,) = posterior(given, table).measured
    assert measured.value == pytest.approx(case.size)
    listed, none = worked_out(case, measured.u)
    answer = identify(given, table)
    stated = {each.designation: each.probability for each in answer.candidates}
    assert answer.unlisted == pytest.approx(none, rel=1e-6)
    for i, probability in enumerate(listed):
        if f"C{i}" in stated:
            assert stated[f"C{i}"] == pytest.approx(probability, rel=1e-6)
        else:
            assert probability < 1e-3
