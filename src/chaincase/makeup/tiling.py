"""Whether a pattern closes in a strand, at which lengths it does, and where the strand is joined."""

from collections.abc import Iterator
from dataclasses import dataclass

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup.notation import print_pattern
from chaincase.makeup.patterns import LONGEST, Pattern, Position
from chaincase.measuring.growth import Link


@dataclass(frozen=True, slots=True)
class Closing:
    """How a pattern meets itself where an endless strand is joined.

    Attributes
    ----------
    pitches : int
        Length of the strand.
    closes : bool
        Whether it holds the pattern a whole number of times, and each kind of link where it belongs.
    below, above : int or None, int
        Nearest lengths at which it does; both are `pitches` where it closes, `below` is None where even one
        repeat is longer.
    joint_gap : int
        Pitches from the last attachment over the joint to the first one.
    words : str
        The same in a sentence.
    """

    pitches: int
    closes: bool
    below: int | None
    above: int
    joint_gap: int
    words: str


def closing(pattern: Pattern, pitches: int) -> Closing:
    """Tell how a pattern closes in an endless strand.

    A spacing of k pitches closes in N pitches if k divides N, and, where inner and outer links alternate and k
    is odd, if 2 k does, because it repeats only after both kinds of link have had their turn. Derived.

    Raises
    ------
    BadInput
        If the strand has no pitches, or more than anybody makes.

    >>> from chaincase.makeup.notation import parse_pattern
    >>> closing(parse_pattern("K2@3"), 100).words
    'K2@3 does not close in 100 pitches; it closes in 96 or 102'
    """
    if not 1 <= pitches <= LONGEST:
        raise BadInput(f"a strand of {pitches} pitches", right=f"give a whole number from 1 to {LONGEST}")
    rest = pitches % pattern.period
    below = pitches - rest if pitches >= pattern.period else None
    above = pitches if not rest else pitches - rest + pattern.period
    name = print_pattern(pattern)
    if rest:
        nearest = str(above) if below is None else f"{below} or {above}"
        words = f"{name} does not close in {pitches} pitches; it closes in {nearest}"
    else:
        words = f"{name} closes in {pitches} pitches, {pitches // pattern.length} times"
    return Closing(pitches, not rest, below, above, _joint_gap(pattern, pitches), words)


def _joint_gap(pattern: Pattern, pitches: int) -> int:
    """Give the pitches over the joint; the whole strand where it holds one attachment link or none."""
    last = next((pitch for pitch in range(pitches - 1, -1, -1) if pattern.at(pitch)), pattern.pitches_used[0])
    return pitches - last + pattern.pitches_used[0]


@dataclass(frozen=True, slots=True)
class LaidLink:
    """One link of a strand: its number from 0, its kind, what it carries."""

    index: int
    link: Link
    carries: tuple[Position, ...] = ()


def laid(
    pattern: Pattern | None, pitches: int, links: Links, *, start: int = 0, first: Link = Link.INNER
) -> list[LaidLink]:
    """Lay a strand link by link.

    Parameters
    ----------
    pattern : Pattern or None
        What repeats along it; None for a plain strand.
    pitches : int
        Number of links.
    links : Links
        Whether links alternate.
    start : int
        Pitch of the pattern that the strand starts with.
    first : Link
        Kind of the first link of a plain strand.

    Raises
    ------
    BadInput
        If the pattern is one for the other way in which links follow each other.
    """
    if pattern is not None and pattern.links is not links:
        right = "say 'on offset' in a pattern for chain whose links are all alike, and only there"
        raise BadInput("the pattern is not for this chain", right=right)
    if pattern is not None:
        return [LaidLink(i, pattern.link_at(start + i), pattern.at(start + i)) for i in range(pitches)]
    return [LaidLink(i, kind) for i, kind in zip(range(pitches), _kinds(links, first), strict=False)]


def _kinds(links: Links, first: Link) -> Iterator[Link]:
    second = Link.OUTER if first is Link.INNER else Link.INNER
    while True:
        yield from (Link.OFFSET,) if links is Links.ALIKE else (first, second)
