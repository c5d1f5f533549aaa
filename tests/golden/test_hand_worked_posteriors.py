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
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.constants import (
    BLUNDER,
    BLUNDER_OTHERWISE,
    JOINT_WEAR,
    MISNAMED_LINK,
    MOST_OF_MEAN,
    MOST_WEAR,
    PRIOR_UNLISTED,
    SPREAD,
    UNLISTED,
    USUAL_PIN,
    WEAR,
    Wear,
)
from chaincase.identifying.expectation import expectation
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


def convolved(r: float, mean: float, sd: float, wear: float, most: float) -> float:
    """Normal about the mean, worn by an exponential amount that ends at most, whose mean has the sign of the wear."""
    if not wear:
        return float(norm.pdf(r, mean, sd))

    def both(amount: float) -> float:
        return float(norm.pdf(r, mean + math.copysign(amount, wear), sd) * math.exp(-amount / abs(wear)) / abs(wear))

    at = max((r - mean) * math.copysign(1.0, wear), 0.0)
    edges = sorted({0.0, most, min(max(at - 8 * sd, 0.0), most), min(at + 8 * sd, most)})
    total = sum(quad(both, a, b, epsabs=0, epsrel=1e-10)[0] for a, b in pairwise(edges))
    return total / (1.0 - math.exp(-most / abs(wear)))


def right(case: Worked, figure: float, u: float) -> float:
    """The reading is what it says: new or in one of the states of wear."""
    spread = SPREAD[case.dimension]
    sd = math.hypot(u, figure * (spread.nominal if case.limit is Limit.NOMINAL else spread.edge))
    slack = {Limit.MAXIMUM: -spread.slack, Limit.MINIMUM: spread.slack}.get(case.limit, 0.0) * figure
    total = 0.0
    for state, shows, chance in ways(case):
        wear = state.relative * worn_by(case, figure) + state.absolute
        most = MOST_WEAR[case.dimension] * worn_by(case, figure) if state.relative else 0.0
        most += MOST_OF_MEAN * abs(state.absolute)
        # Room below a limit and wear add where they go the same way; else the wear alone counts.
        if wear * slack >= 0:
            wear, most = wear + slack, most + MOST_OF_MEAN * abs(slack)
        total += chance * state.probability * convolved(case.size, figure, sd, shows * wear, shows * most)
    return total


def worn_by(case: Worked, figure: float) -> float:
    """What wear is relative to: the size itself, but joint wear to the pin, which no table gives here."""
    if case.dimension == "pin_diameter":
        return figure
    if case.kind == "detachable":  # it has no pin
        return USUAL_PIN * figure
    made = expectation(catalog(("C", case.kind, {"pitch": figure})))
    return float(made.mean[0, COLUMN["pin_diameter"]])


def ways(case: Worked) -> Iterator[tuple[Wear, float, float]]:
    """States of wear, how often the wear shows in the reading, and how likely that is."""
    if case.dimension == "pin_diameter":
        yield from ((state, 1.0, 1.0) for state in WEAR["pin_diameter"])
    elif case.kind == "detachable":  # every pitch of like links grows alike
        yield from ((state, 1.0, 1.0) for state in JOINT_WEAR)
    else:  # between pins an outer link keeps its pitch, an inner one grows twice; now and then the name is wrong
        twice = (0.0 if case.link == "outer" else 1.0) * (1 - MISNAMED_LINK) + MISNAMED_LINK / 2
        for state in JOINT_WEAR:
            yield state, 0.0, 1.0 - twice
            yield state, 2.0, twice


def wrong(case: Worked, figure: float, u: float) -> float:
    """The reading is a blunder: a swapped unit, digits or zero, a pin head, two pitches for one, or wholly wrong."""
    spread = SPREAD[case.dimension]
    new = figure * (spread.nominal if case.limit is Limit.NOMINAL else spread.edge)
    swapped = norm.pdf(25.4 * case.size, figure, math.hypot(new, 0.03 * figure, 25.4 * u)) * 25.4
    # Two neighboring digits the other way round: the figure that was meant, known as the part is.
    meant = transposed(f"{case.size}")
    typed = sum(
        norm.pdf(other, figure, math.hypot(new, 0.012 * figure, u * other / case.size)) * other / case.size
        for other in meant
    )
    typed = 0.08 * typed / max(len(meant), 1)
    # A tape that was begun at its 10 mm mark, or that was taken to have been.
    hooked = sum(norm.pdf(case.size + off, figure, math.hypot(new, 0.012 * figure, u)) for off in (10.0, -10.0)) / 2
    tape = 0.08 if case.instrument in {"tape", "steel rule"} and case.size > 20.0 else 0.0
    more, share = typed + tape * hooked, (0.08 if meant else 0.0) + tape
    gross = 0.5 * norm.pdf(case.size, figure, math.hypot(new, 0.4 * figure, u)) + 0.5 / (case.size * ANYWHERE)
    if case.dimension == "pin_diameter":
        own = norm.pdf(case.size, 1.18 * figure, math.hypot(0.09 * figure, u))
        return float((0.12 * swapped + 0.25 * own + 0.08 * gross + more) / (0.12 + 0.25 + 0.08 + share))
    double = norm.pdf(case.size, 2 * figure, math.hypot(2 * new, 0.06 * figure, u))
    return float((0.12 * swapped + 0.15 * double + 0.08 * gross + more) / (0.12 + 0.15 + 0.08 + share))


def transposed(figure: str) -> list[float]:
    """What may have been meant where two neighboring digits changed places, if that is another size by 4 %."""
    ways = set()
    for i in range(len(figure) - 1):
        a, b = figure[i], figure[i + 1]
        if a.isdigit() and b.isdigit() and not (i == 0 and b == "0"):
            ways.add(float(figure[:i] + b + a + figure[i + 2 :]))
    return [way for way in ways if abs(way / float(figure) - 1.0) > 0.04]


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
