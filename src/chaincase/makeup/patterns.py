"""Which links carry which attachments: a sequence that repeats along the strand.

Where inner and outer links alternate, a repeat of an odd number of pitches puts its attachments on the other
kind of link the next time, so that everything repeats only after twice that length. On chain whose links are
all alike any spacing is the same.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise
from typing import Final

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.measuring.growth import Link

LONGEST: Final = 100_000
"""Pitches of a repeat or a strand; more is a slip of the pen."""

_LABEL_MARKS = frozenset("-_/.")


class Sides(StrEnum):
    """On which sides of a link, seen in the direction of travel from above."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


MIRRORED: Final = {Sides.LEFT: Sides.RIGHT, Sides.RIGHT: Sides.LEFT, Sides.BOTH: Sides.BOTH}
OTHER_LINK: Final = {Link.INNER: Link.OUTER, Link.OUTER: Link.INNER, Link.OFFSET: Link.OFFSET}


@dataclass(frozen=True, slots=True)
class Position:
    """One attachment of a repeat.

    Attributes
    ----------
    pitch : int
        Link that carries it, counted from 0 at the start of the repeat.
    attachment : str
        What it is: a code such as K2, or a name of one's own.
    sides : Sides
        On which sides.
    link : Link
        inner, outer, or offset where all links are alike; in the first repeat.
    """

    pitch: int
    attachment: str
    sides: Sides = Sides.BOTH
    link: Link = Link.OUTER


@dataclass(frozen=True, slots=True)
class Pattern:
    """A repeat of attachments.

    Attributes
    ----------
    positions : tuple of Position
        In the order of their pitch; two at one pitch must sit on different sides.
    length : int
        Pitches after which it starts anew.

    Raises
    ------
    BadInput
        If it is empty, an attachment lies outside the repeat or on top of another, or its kind of link cannot
        be at that pitch.

    >>> Pattern((Position(0, "K1"), Position(3, "K1", link=Link.INNER)), 6).gaps
    (3, 3)
    """

    positions: tuple[Position, ...]
    length: int

    def __post_init__(self) -> None:
        object.__setattr__(self, "positions", tuple(sorted(self.positions, key=lambda p: (p.pitch, p.sides))))
        if not 1 <= self.length <= LONGEST:
            raise BadInput(f"a repeat of {self.length} pitches", right=f"give a whole number from 1 to {LONGEST}")
        if not self.positions:
            raise BadInput("a pattern without an attachment", right="name at least one attachment")
        _check_positions(self.positions, self.length)

    @property
    def links(self) -> Links:
        """Whether the chain's links alternate or are all alike."""
        return Links.ALIKE if self.positions[0].link is Link.OFFSET else Links.ALTERNATE

    @property
    def period(self) -> int:
        """Pitches after which everything repeats, kind of link included.

        >>> constant(3).period, constant(4).period, constant(3, link=Link.OFFSET).period
        (6, 4, 3)
        """
        return self.length * 2 if self.links is Links.ALTERNATE and self.length % 2 else self.length

    @property
    def pitches_used(self) -> tuple[int, ...]:
        """Pitches of the repeat that carry anything, rising."""
        return tuple(sorted({position.pitch for position in self.positions}))

    @property
    def gaps(self) -> tuple[int, ...]:
        """Pitches from each link with an attachment to the next one; they add up to the repeat."""
        used = self.pitches_used
        return (*(b - a for a, b in pairwise(used)), used[0] + self.length - used[-1])

    @property
    def spacing(self) -> int | None:
        """The constant gap; None where the gaps differ."""
        return self.gaps[0] if len(set(self.gaps)) == 1 else None

    @property
    def attachment_links(self) -> frozenset[Link]:
        """Kinds of link that need an attachment plate.

        >>> sorted(constant(3).attachment_links), sorted(constant(4).attachment_links)
        ([<Link.INNER: 'inner'>, <Link.OUTER: 'outer'>], [<Link.OUTER: 'outer'>])
        """
        first = {position.link for position in self.positions}
        return frozenset(first if self.period == self.length else first | {OTHER_LINK[link] for link in first})

    def link_at(self, pitch: int) -> Link:
        """Give the kind of the link `pitch` pitches from the start of the pattern, with or without attachment."""
        first = self.positions[0]
        return first.link if (pitch - first.pitch) % 2 == 0 else OTHER_LINK[first.link]

    def at(self, pitch: int) -> tuple[Position, ...]:
        """Give what the link `pitch` pitches from the start of the pattern carries, with its own pitch and kind."""
        within = pitch % self.length
        return tuple(
            replace(position, pitch=pitch, link=self.link_at(pitch))
            for position in self.positions
            if position.pitch == within
        )

    def repeated(self, times: int) -> "Pattern":
        """Give a pattern whose repeat is `times` of this one.

        >>> len(constant(3).repeated(4).positions)
        4
        """
        pitches = (start * self.length + used for start in range(times) for used in self.pitches_used)
        return Pattern(tuple(position for pitch in pitches for position in self.at(pitch)), times * self.length)

    def mirrored(self) -> "Pattern":
        """Give the pattern with left and right changed, as for the other strand of a handed pair.

        >>> alternating(2).mirrored().positions[0].sides
        <Sides.RIGHT: 'right'>
        """
        return Pattern(tuple(replace(p, sides=MIRRORED[p.sides]) for p in self.positions), self.length)


def constant(spacing: int, attachment: str = "K1", sides: Sides = Sides.BOTH, link: Link = Link.OUTER) -> Pattern:
    """Give a pattern of one attachment every `spacing` pitches."""
    return Pattern((Position(0, attachment, sides, link),), spacing)


def runs(
    pairs: Iterable[tuple[int, int]], attachment: str = "K1", sides: Sides = Sides.BOTH, link: Link = Link.OUTER
) -> Pattern:
    """Give a pattern of runs of equal gaps.

    Parameters
    ----------
    pairs : iterable of (int, int)
        How many gaps of how many pitches, one run after the other.
    attachment, sides, link
        What sits there, and on which kind of link the first one does.

    >>> runs([(9, 4), (9, 5)]).length, len(runs([(9, 4), (9, 5)]).positions)
    (81, 18)
    """
    gaps = [gap for times, gap in pairs for _ in range(times)]
    return in_gaps([[(attachment, sides)]] * len(gaps), gaps, link)


def alternating(spacing: int, attachment: str = "A1", link: Link = Link.OUTER, first: Sides = Sides.LEFT) -> Pattern:
    """Give attachments on the left and the right side in turn, `spacing` pitches apart."""
    return in_gaps([[(attachment, first)], [(attachment, MIRRORED[first])]], [spacing, spacing], link)


def in_turn(spacing: int, attachments: Sequence[str], sides: Sides = Sides.BOTH, link: Link = Link.OUTER) -> Pattern:
    """Give several kinds of attachment in turn, `spacing` pitches apart.

    >>> [(p.pitch, p.attachment) for p in in_turn(4, ["K1", "K2"]).positions]
    [(0, 'K1'), (4, 'K2')]
    """
    return in_gaps([[(attachment, sides)] for attachment in attachments], [spacing] * len(attachments), link)


def in_gaps(
    places: Sequence[Sequence[tuple[str, Sides]]], gaps: Sequence[int], link: Link = Link.OUTER, lead: int = 0
) -> Pattern:
    """Give a pattern from what each place carries and the pitches from there to the next.

    Parameters
    ----------
    places : sequence of sequences of (str, Sides)
        Attachments of each place.
    gaps : sequence of int
        Pitches to the next place; the last one to the end of the repeat.
    link : Link
        Kind of link of the first place.
    lead : int
        Plain pitches before the first place.

    Raises
    ------
    BadInput
        If a gap is below 1, or the pattern is none.
    """
    for gap in gaps:
        if gap < 1:
            raise BadInput(f"a gap of {gap} pitches", right="give a whole number, 1 or more")
    positions, pitch = [], lead
    for place, gap in zip(places, gaps, strict=True):
        kind = link if (pitch - lead) % 2 == 0 else OTHER_LINK[link]
        positions += [Position(pitch, attachment, sides, kind) for attachment, sides in place]
        pitch += gap
    return Pattern(tuple(positions), pitch)


def shortest_repeat(gaps: Sequence[int]) -> tuple[int, ...]:
    """Give the gaps after which a row of gaps starts anew; the whole row where it does not.

    >>> shortest_repeat([4, 4, 5, 4, 4, 5, 4]), shortest_repeat([4, 4, 5])
    ((4, 4, 5), (4, 4, 5))
    """
    row = tuple(gaps)
    return next((row[:n] for n in range(1, len(row)) if row[n:] == row[:-n]), row)


def label_fault(label: str) -> str:
    """Say what is wrong with a name of an attachment; empty where nothing is.

    >>> label_fault("K2"), label_fault("K 2")
    ('', "'K 2' is not a name of an attachment")
    """
    if 1 <= len(label) <= 40 and label[0].isalnum() and all(c.isalnum() or c in _LABEL_MARKS for c in label):
        return ""
    return f"{label[:40]!r} is not a name of an attachment"


def _check_positions(positions: Sequence[Position], length: int) -> None:
    first = positions[0]
    if first.link not in OTHER_LINK:
        raise BadInput(f"an attachment on an {first.link} link", right="use inner, outer or offset")
    taken: set[tuple[int, Sides]] = set()
    for position in positions:
        where = f"pitch {position.pitch}"
        if fault := label_fault(position.attachment):
            raise BadInput(fault, where=where, right="use letters, digits and - _ / .")
        if not 0 <= position.pitch < length:
            raise BadInput("lies outside the repeat", where=where, right=f"give 0 to {length - 1}")
        kind = first.link if (position.pitch - first.pitch) % 2 == 0 else OTHER_LINK[first.link]
        if position.link is not kind:
            raise BadInput(f"an attachment on an {position.link} link", where=where, right=f"that link is {kind}")
        covered = {Sides.LEFT, Sides.RIGHT} if position.sides is Sides.BOTH else {position.sides}
        if taken & {(position.pitch, side) for side in covered}:
            raise BadInput("two attachments on one side of a link", where=where, right="put them on different sides")
        taken |= {(position.pitch, side) for side in covered}
