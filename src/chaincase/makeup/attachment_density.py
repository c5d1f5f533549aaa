"""How probable the readings are on one listed attachment, and on one that no table lists.

Each block of readings that share sizes is a multivariate normal with the table's figures as its mean, in a mixture
over which of the readings are blunders. A special is judged by the same blocks: each of its sizes is that of a listed
relative, or changed, or any size that such attachments have.
"""

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from chaincase.makeup import attachment_constants as c
from chaincase.makeup.attachment_listings import Listing
from chaincase.makeup.attachment_readings import Array, Block, Measured

_LOG_2PI: Final = math.log(2.0 * math.pi)
_ANY_SIZE: Final = math.log(c.SIZE_RANGE[1] / c.SIZE_RANGE[0])
_FEW: Final = 4
"""Up to so many readings in one block two of them may be wrong and the rest right."""
_MOST_COMBINED: Final = 3
"""Beyond so many sizes in one block, all of them change together."""


@dataclass(frozen=True, slots=True)
class Guess:
    """Mean and standard deviation of a size [mm]; None in a mapping of guesses where it does not exist."""

    mean: float
    spread: float


Population = Mapping[str, Guess]
"""What attachments have where a table's cell is empty."""


def population(listings: Sequence[Listing]) -> Population:
    """Give what the listed attachments have, dimension by dimension.

    Mean and standard deviation are those of the log-normal fitted to the figures, no narrower than
    `POPULATION_LEAST`.
    """
    found = dict[str, Guess]()
    for name in {name for listing in listings for name in listing.sizes}:
        logs = [math.log(listing.sizes[name].mean) for listing in listings if name in listing.sizes]
        middle = math.fsum(logs) / len(logs)
        scatter = math.sqrt(math.fsum((log - middle) ** 2 for log in logs) / len(logs))
        sigma = math.hypot(scatter, c.POPULATION_LEAST)
        mean = math.exp(middle + sigma**2 / 2.0)
        found[name] = Guess(mean, mean * math.sqrt(math.expm1(sigma**2)))
    return found


def guess_of(listing: Listing, name: str, usual: Population) -> Guess | None:
    """Give what to expect of one size: the table's, the usual where its cell is empty, None where it has none.

    A size of which no table knows anything is any size: a guess so wide that it decides nothing.
    """
    if size := listing.sizes.get(name):
        return Guess(size.mean, size.spread)
    return usual.get(name, _ANY) if name in listing.exists else None


_ANY: Final = Guess(60.0, 60.0)


def log_listed(listing: Listing, found: Sequence[Block], usual: Population) -> float:
    """Give the log density of all readings on one listed attachment."""
    expected = {name: guess_of(listing, name, usual) for block in found for name in block.dimensions}
    others = [guess for name in sorted(listing.exists) if (guess := guess_of(listing, name, usual))]
    hole = guess_of(listing, "hole_diameter", usual)
    return math.fsum(log_block(block, expected, others, hole) for block in found)


def log_block(
    block: Block, expected: Mapping[str, Guess | None], others: Sequence[Guess] = (), hole: Guess | None = None
) -> float:
    """Give the log density of one block: a mixture over which readings are blunders.

    One of them, two where they are few, or all: more need not be told apart.

    Parameters
    ----------
    expected : mapping of str to Guess or None
        Of each size of the block; None where the attachment has no such size.
    others : sequence of Guess
        Sizes that may have been measured instead.
    hole : Guess, optional
        Hole diameter, by which edges taken for centers are off.
    """
    wrong = [log_wrong(reading, expected.get(reading.dimension), others, hole) for reading in block.readings]
    terms = []
    for bad in _bad_sets(len(block.readings)):
        term = math.fsum(
            math.log(reading.blunder) + wrong[i] if i in bad else math.log1p(-reading.blunder)
            for i, reading in enumerate(block.readings)
        )
        good = [i for i in range(len(block.readings)) if i not in bad]
        terms.append(term + _log_right(block, good, expected))
    return log_total(terms)


def _bad_sets(m: int) -> Iterator[frozenset[int]]:
    counts = sorted({0, 1, m} | ({2} if m <= _FEW else set()))
    return (frozenset(bad) for count in counts for bad in itertools.combinations(range(m), count))


def _log_right(block: Block, good: Sequence[int], expected: Mapping[str, Guess | None]) -> float:
    if not good:
        return 0.0
    matrix = block.matrix[good]
    used = [j for j in range(len(block.dimensions)) if np.any(matrix[:, j])]
    guesses = [expected[block.dimensions[j]] for j in used]
    if any(guess is None for guess in guesses):
        return -math.inf
    readings = [block.readings[i] for i in good]
    mean = matrix[:, used] @ np.array([guess.mean for guess in guesses if guess])
    spread = np.array([guess.spread for guess in guesses if guess])
    covariance = (matrix[:, used] * spread**2) @ matrix[:, used].T + np.diag([reading.u**2 for reading in readings])
    return _log_normal(np.array([reading.value for reading in readings]) - mean, covariance)


def _log_normal(off: Array, covariance: Array) -> float:
    if len(off) == 1:
        variance = float(covariance[0, 0])
        return -0.5 * (_LOG_2PI + math.log(variance) + float(off[0]) ** 2 / variance)
    root = np.linalg.cholesky(covariance)
    scaled = np.linalg.solve(root, off)
    return float(-0.5 * (len(off) * _LOG_2PI + scaled @ scaled) - np.log(np.diag(root)).sum())


def log_wrong(reading: Measured, main: Guess | None, others: Sequence[Guess] = (), hole: Guess | None = None) -> float:
    """Give the log density of a reading that is not what its name says.

    Another size of the same attachment, edges taken for centers, mm for inches, or any figure.
    """
    value, u = reading.value, reading.u
    shares = [c.ANY_FIGURE]
    parts = [-math.log(max(value, 0.1) * _ANY_SIZE)]
    for guess in others:
        shares.append(c.OTHER_DIMENSION / len(others))
        parts.append(_log_about(value, guess, u))
    if main is not None and reading.swapped is not None:
        scale = reading.swapped / value
        shares.append(c.SWAPPED_UNIT)
        parts.append(math.log(scale) + _log_about(reading.swapped, main, u * scale))
    if main is not None and reading.edge and hole is not None:
        for sign in (1.0, -1.0):
            off = Guess(main.mean + sign * hole.mean, math.hypot(main.spread, hole.spread))
            shares.append(c.WRONG_EDGE / 2.0)
            parts.append(_log_about(value, off, u))
    total = math.log(math.fsum(shares))
    return log_total([math.log(share) - total + part for share, part in zip(shares, parts, strict=True)])


def _log_about(value: float, guess: Guess, u: float) -> float:
    variance = guess.spread**2 + u**2
    return -0.5 * (_LOG_2PI + math.log(variance) + (value - guess.mean) ** 2 / variance)


def log_special(
    listings: Sequence[Listing], found: Sequence[Block], usual: Population, related: Sequence[float], own: float
) -> float:
    """Give the log density of all that was seen on an attachment that is not listed.

    Either a relative of a listed one, some sizes kept and some changed, or one of its own make.

    Parameters
    ----------
    related : sequence of float, one per listing
        Log probability of the look and the code on a relative of that listing.
    own : float
        The same on one of its own make.
    """
    sizes = {name: usual.get(name, _ANY) for block in found for name in block.dimensions}
    terms = [math.log(c.OWN_MAKE) + own + math.fsum(log_block(block, sizes) for block in found)]
    terms += [
        math.log((1.0 - c.OWN_MAKE) * listing.weight)
        + look
        + math.fsum(_log_related(listing, block, usual) for block in found)
        for listing, look in zip(listings, related, strict=True)
        if listing.weight > 0.0
    ]
    return log_total(terms)


def _log_related(listing: Listing, block: Block, usual: Population) -> float:
    """Give the log density of a block where each size is the relative's, or changed by a little or by much."""
    ways = [_ways(listing, name, usual) for name in block.dimensions]
    together = len(ways) > _MOST_COMBINED
    terms = []
    for combination in zip(*ways, strict=True) if together else itertools.product(*ways):
        shares = [math.log(share) for share, _ in combination]
        weight = shares[0] if together else math.fsum(shares)
        expected = {name: guess for name, (_, guess) in zip(block.dimensions, combination, strict=True)}
        terms.append(weight + log_block(block, expected))
    return log_total(terms)


def _ways(listing: Listing, name: str, usual: Population) -> list[tuple[float, Guess]]:
    guess = guess_of(listing, name, usual)
    if guess is None or name not in listing.sizes:
        anything = guess or usual.get(name, _ANY)
        return [(share, anything) for share in (c.SAME, *((1.0 - c.SAME) * share for share, _ in c.REACH))]
    changed = [
        ((1.0 - c.SAME) * share, Guess(guess.mean, math.hypot(guess.spread, reach * guess.mean)))
        for share, reach in c.REACH
    ]
    return [(c.SAME, guess), *changed]


def log_total(terms: Sequence[float]) -> float:
    """Give the logarithm of a sum of exponentials; terms may be -inf.

    >>> round(log_total([math.log(0.25), math.log(0.5), -math.inf]), 6) == round(math.log(0.75), 6)
    True
    """
    peak = max(terms)
    if peak == -math.inf:
        return peak
    return peak + math.log(math.fsum(math.exp(term - peak) for term in terms))
