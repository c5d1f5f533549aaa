"""Observations that cannot both be true: what each leaves when nobody slipped, held against the others."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np

from chaincase.chains.kinds import Links
from chaincase.makeup.constants import MAKE_RELATIVE, PLACE_MM
from chaincase.makeup.hypotheses import Growth, Pitch
from chaincase.makeup.observations import Counted, Observation, OnLinks, Sample, Taped, Where
from chaincase.measuring.estimate import estimate

SIGMAS = 3.0
"""A tape that is farther off than so many standard uncertainties does not say that spacing."""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Observations, by the numbers of their entries, that cannot be true together, and why."""

    entries: tuple[int, ...]
    words: str


def contradictions(
    observations: Sequence[Observation], pitch: Pitch, growth: Growth, links: Links, most: int
) -> list[Contradiction]:
    """Give what cannot be true together under one constant spacing.

    First what is impossible by itself, then pairs; where no two exclude each other but all together leave
    nothing, that is said once.
    """
    allowed = [(each, allows(each, pitch, growth, links, most)) for each in observations]
    found = [Contradiction((each.entry,), _alone(each, pitch, growth)) for each, left in allowed if not left]
    possible = [(each, left) for each, left in allowed if left]
    # Gaps counted one by one in one entry need be told apart once only.
    kinds = {(each.entry, each.words): (each, left) for each, left in possible}.values()
    for (one, a), (other, b) in combinations(kinds, 2):
        if not a & b:
            found.append(Contradiction(tuple(dict.fromkeys((one.entry, other.entry))), _pair(one, a, other, b, most)))
    if not found and possible and not frozenset.intersection(*(left for _, left in possible)):
        found.append(Contradiction(tuple(dict.fromkeys(each.entry for each, _ in possible)), _together(possible)))
    return found


def allows(each: Observation, pitch: Pitch, growth: Growth, links: Links, most: int) -> frozenset[int]:
    """Give the spacings up to `most` that an observation leaves if nobody slipped."""
    if isinstance(each, Counted):
        k, rest = divmod(each.pitches, each.gaps)
        return frozenset() if rest else frozenset({k})
    if isinstance(each, Sample):
        return frozenset(k for k in (set(each.gaps) or range(1, most + 1)) if k > each.bound and set(each.gaps) <= {k})
    if isinstance(each, OnLinks):
        if links is Links.ALIKE:
            return frozenset(range(1, most + 1))
        return frozenset(range(1 if each.where is Where.BOTH else 2, most + 1, 2))
    return _taped(each, pitch, growth, most)


def repeats_that_reconcile(
    observations: Sequence[Observation], pitch: Pitch, growth: Growth, links: Links, most: int
) -> tuple[tuple[int, ...], ...]:
    """Give the repeats of gaps under which a piece and a count or tape that exclude each other are both true.

    Whoever counts from an attachment to the next of its own kind passes the others: a piece that shows a gap of 4 and
    a count of 12 go together if gaps of 4 and 8 repeat.

    >>> from chaincase.makeup.hypotheses import growth_of
    >>> seen = [Counted(12), Sample(7, (2, 6))]
    >>> repeats_that_reconcile(seen, Pitch(None, None, 0.0, 1.0), growth_of(None), Links.ALTERNATE, 64)
    ((4, 8),)
    """
    apart = set[int]()
    for each in observations:
        if isinstance(each, Counted | Taped) and each.gaps == 1:
            left = allows(each, pitch, growth, links, most)
            apart |= left if len(left) == 1 else frozenset()
    pieces = dict.fromkeys((each.gaps, each.bound) for each in observations if isinstance(each, Sample) and each.gaps)
    found = (
        (*gaps, whole - sum(gaps)) for whole in sorted(apart) for gaps, bound in pieces if whole - sum(gaps) > bound
    )
    return tuple(repeat for repeat in dict.fromkeys(found) if len(set(repeat)) > 1)


def _taped(taped: Taped, pitch: Pitch, growth: Growth, most: int) -> frozenset[int]:
    found = estimate(taped.reading, pitch.unit)
    if pitch.mm is None or not found.usable:
        return frozenset(range(1, most + 1))
    k = np.arange(1, most + 1)
    shortest, longest = (k * taped.gaps * pitch.mm * (1.0 + e) for e in growth.limits)
    relative = found.value_mm * np.hypot(MAKE_RELATIVE, pitch.relative_u)
    reach = SIGMAS * np.hypot(np.hypot(found.u_mm, PLACE_MM), relative)
    fits = (shortest - reach <= found.value_mm) & (found.value_mm <= longest + reach)
    return frozenset(int(each) for each in k[fits])


def _alone(each: Observation, pitch: Pitch, growth: Growth) -> str:
    if isinstance(each, Counted):
        return f"{_sentence(each.words)} is no whole number of pitches per gap"
    if isinstance(each, Sample):
        gaps = " and ".join(str(gap) for gap in dict.fromkeys(each.gaps))
        if len(set(each.gaps)) > 1:
            return f"{_sentence(each.words)} has gaps of {gaps}: they are not alike, or a link was numbered wrongly"
        return (
            f"{_sentence(each.words)} has a gap of {gaps} but no attachment within {each.bound} links of one end: "
            "an attachment is missing there, or the gaps are not alike"
        )
    assert isinstance(each, Taped)  # noqa: S101 - attachments on some kind of link always leave a spacing
    assert pitch.mm is not None  # noqa: S101 - without a pitch a tape leaves everything
    low, high = (
        estimate(each.reading, pitch.unit).value_mm / pitch.mm / each.gaps / (1.0 + e) for e in reversed(growth.limits)
    )
    about = f"{low:.2f}" if high - low < 0.01 else f"{low:.2f} to {high:.2f}"
    return f"{_sentence(each.words)} is {about} pitches of the new chain per gap, no whole number"


def _pair(one: Observation, a: frozenset[int], other: Observation, b: frozenset[int], most: int) -> str:
    return (
        f"{_sentence(one.words)} leaves {_left(a, most)}, {other.words} leaves {_left(b, most)}: "
        "with one constant spacing both cannot be true"
    )


def _together(possible: Sequence[tuple[Observation, frozenset[int]]]) -> str:
    said = "; ".join(each.words for each, _ in possible)
    return f"{_sentence(said)}: with one constant spacing these cannot all be true together"


def _left(spacings: frozenset[int], most: int) -> str:
    """Say which spacings are left: a few numbers, the even or odd ones, or a bound."""
    ordered = sorted(spacings)
    if len(ordered) <= 4:
        return " or ".join(str(k) for k in ordered)
    if ordered[-1] < most - 1:
        return f"{ordered[0]} to {ordered[-1]}"
    steps = set(_steps(ordered))
    if steps == {2}:
        return "even numbers" if ordered[0] % 2 == 0 else "odd numbers"
    return f"{ordered[0]} or more"


def _steps(ordered: Sequence[int]) -> Iterator[int]:
    return (b - a for a, b in pairwise(ordered))


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
