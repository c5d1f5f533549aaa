"""One strand or several alike, link by link: what must be made, in which sections, and how it is joined.

A connecting link is an outer link with a plate that comes off; an endless strand has one for every section. On
chain whose links are all alike any link can be opened, so that one link per section is counted as connecting.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import accumulate

from chaincase.chains.kinds import Links
from chaincase.errors import BadInput
from chaincase.makeup.lengths import length_of
from chaincase.makeup.patterns import LONGEST, Pattern
from chaincase.makeup.tiling import LaidLink, laid
from chaincase.measuring.growth import Link


class Ends(StrEnum):
    """How a strand ends."""

    ENDLESS = "endless"
    """Joined into a loop by connecting links."""
    INNER = "inner link at each end"
    OUTER = "outer link at each end"
    OPEN = "inner link at one end, outer link at the other"


class Hands(StrEnum):
    """How the strands of an order differ."""

    ALIKE = "alike"
    HANDED = "handed pairs"
    """Left and right strands whose attachments mirror each other."""


@dataclass(frozen=True, slots=True)
class Strand:
    """A strand to be made.

    Attributes
    ----------
    pitches : int
        Its length, connecting links included.
    links : Links
        Whether inner and outer links alternate.
    pattern : Pattern or None
        Its attachments; None where it is plain.
    ends : Ends
        How it ends.
    section_most : int or None
        Longest piece that can be handled [pitches]; None for one piece.
    pitch_mm : float or None
        Nominal pitch [mm].
    mass_kg_per_m : float or None
        Of the base chain [kg/m].

    Raises
    ------
    BadInput
        If length and ends do not go together, or the pattern is for another sort of chain.
    """

    pitches: int
    links: Links = Links.ALTERNATE
    pattern: Pattern | None = None
    ends: Ends = Ends.ENDLESS
    section_most: int | None = None
    pitch_mm: float | None = None
    mass_kg_per_m: float | None = None

    def __post_init__(self) -> None:
        if not 2 <= self.pitches <= LONGEST:
            raise BadInput(f"a strand of {self.pitches} pitches", right=f"give a whole number from 2 to {LONGEST}")
        if self.section_most is not None and self.section_most < 2:
            raise BadInput(f"sections of {self.section_most} pitches", right="give 2 or more")
        odd = self.pitches % 2 == 1
        if self.links is Links.ALTERNATE and self.ends in {Ends.INNER, Ends.OUTER} and not odd:
            what = f"{self.pitches} pitches with an {self.ends}"
            raise BadInput(what, right="such a strand has an odd number of pitches")
        if self.links is Links.ALTERNATE and self.ends is Ends.OPEN and odd:
            raise BadInput(f"{self.pitches} pitches with an {self.ends}", right="such a strand has an even number")

    @property
    def length_mm(self) -> float | None:
        """Nominal length [mm]; None without a pitch."""
        return None if self.pitch_mm is None else length_of(self.pitches, self.pitch_mm)

    @property
    def mass_kg(self) -> float | None:
        """Mass of the base chain [kg], attachments not counted; None where the mass per meter is not known."""
        known = self.mass_kg_per_m
        if self.length_mm is None or known is None or math.isnan(known):
            return None
        return self.length_mm / 1000.0 * known

    @property
    def has_offset_link(self) -> bool:
        """Whether it cannot be closed without an offset link in an alternating strand."""
        return self.links is Links.ALTERNATE and self.ends is Ends.ENDLESS and self.pitches % 2 == 1


def lay(strand: Strand) -> list[LaidLink]:
    """Give the links of a strand, kind by kind; an offset link that it cannot do without comes last.

    The pattern begins with the first link, or one later where the strand must begin with the other kind of link.

    Raises
    ------
    BadInput
        If the pattern is for chain whose links follow each other in another way.
    """
    first, start = Link.INNER if strand.ends is not Ends.OUTER else Link.OUTER, 0
    if strand.pattern is not None and strand.links is Links.ALTERNATE and strand.ends is not Ends.ENDLESS:
        start = 0 if strand.pattern.link_at(0) is first else -1
    links = laid(strand.pattern, strand.pitches, strand.links, start=start, first=first)
    if strand.has_offset_link:
        links[-1] = LaidLink(links[-1].index, Link.OFFSET, links[-1].carries)
    return links


def sections(strand: Strand) -> tuple[int, ...]:
    """Give the pieces that a strand is delivered in [pitches], as equal as they can be; they add up to it.

    Where links alternate every piece but the last has an even number, so that each ends in the connecting link
    that the next one begins after.

    >>> sections(Strand(240, section_most=100)), sections(Strand(7, Links.ALIKE, section_most=3))
    ((80, 80, 80), (3, 2, 2))
    """
    most = strand.section_most
    if most is None or most >= strand.pitches:
        return (strand.pitches,)
    step = 2 if strand.links is Links.ALTERNATE else 1
    units, rest = divmod(strand.pitches, step)
    number = math.ceil(units / ((most - rest) // step or 1))
    small, larger = divmod(units, number)
    sizes = [step * (small + 1)] * larger + [step * small] * (number - larger)
    sizes[-1] += rest
    return tuple(sizes)


def joints(strand: Strand) -> tuple[LaidLink, ...]:
    """Give the links by which a strand is joined, one per section where it is endless, else one fewer.

    Each is the outer link nearest to the end of its section that carries no attachment; only where the strand
    has none left does it carry one, and a connecting link with attachment is needed.
    """
    links = lay(strand)
    free = [link for link in links if link.link is Link.OUTER or strand.links is Links.ALIKE]
    plain, loaded = ({link.index for link in free if bool(link.carries) is carries} for carries in (False, True))
    ends = list(accumulate(sections(strand)))
    chosen = []
    for end in ends if strand.ends is Ends.ENDLESS else ends[:-1]:
        if pool := plain or loaded:
            index = _nearest(end - 1, pool, strand.pitches)
            pool.remove(index)
            chosen.append(links[index])
    return tuple(sorted(chosen, key=lambda link: link.index))


def _nearest(index: int, pool: set[int], around: int) -> int:
    """Give the nearest of a pool of links along a loop, the earlier one of two."""
    return next(
        other
        for apart in range(around)
        for other in ((index - apart) % around, (index + apart) % around)
        if other in pool
    )


def joints_in_words(strand: Strand) -> list[str]:
    """Say where each section is joined, counting links from 1.

    >>> from chaincase.makeup.patterns import constant
    >>> joints_in_words(Strand(120, pattern=constant(4, "K2")))
    ['link 119, a plain outer link']
    >>> joints_in_words(Strand(120, pattern=constant(2, "K2")))
    ['link 119, an outer link with K2: a connecting link with attachment is needed']
    """
    return [f"link {link.index + 1}, {_joint_in_words(link, strand.links)}" for link in joints(strand)]


def _joint_in_words(link: LaidLink, links: Links) -> str:
    kind = "link" if links is Links.ALIKE else f"{link.link} link"
    if not link.carries:
        return f"a plain {kind}"
    carried = " and ".join(position.attachment for position in link.carries)
    article = "an" if kind[0] in "aeiou" else "a"
    return f"{article} {kind} with {carried}: a connecting link with attachment is needed"


@dataclass(frozen=True, slots=True)
class LinkCounts:
    """How many links of each kind; `total` is the number of pitches.

    On chain whose links are all alike, plain ones and ones with attachment stand under `alike`.
    """

    plain_inner: int = 0
    plain_outer: int = 0
    inner_with_attachment: int = 0
    outer_with_attachment: int = 0
    plain_alike: int = 0
    alike_with_attachment: int = 0
    connecting: int = 0
    connecting_with_attachment: int = 0
    offset: int = 0
    offset_with_attachment: int = 0

    @property
    def total(self) -> int:
        """All links."""
        return sum(getattr(self, name) for name in self.__slots__)

    @property
    def with_attachment(self) -> int:
        """All links that carry an attachment."""
        return sum(getattr(self, name) for name in self.__slots__ if name.endswith("with_attachment"))

    def times(self, strands: int) -> "LinkCounts":
        """Give the counts of several strands."""
        return LinkCounts(**{name: strands * getattr(self, name) for name in self.__slots__})


def count_links(strand: Strand) -> LinkCounts:
    """Count the links of a strand by kind.

    >>> from chaincase.makeup.patterns import constant
    >>> count_links(Strand(120, pattern=constant(4, "K2")))
    LinkCounts(plain_inner=60, plain_outer=29, inner_with_attachment=0, outer_with_attachment=30, plain_alike=0,
    alike_with_attachment=0, connecting=1, connecting_with_attachment=0, offset=0, offset_with_attachment=0)
    """
    joined = {link.index for link in joints(strand)}
    counts: dict[str, int] = {}
    for link in lay(strand):
        name = _name(link, joined, strand.links)
        counts[name] = counts.get(name, 0) + 1
    return LinkCounts(**counts)


def _name(link: LaidLink, joined: set[int], links: Links) -> str:
    loaded = bool(link.carries)
    if link.index in joined:
        return "connecting_with_attachment" if loaded else "connecting"
    if links is Links.ALIKE:
        return "alike_with_attachment" if loaded else "plain_alike"
    if link.link is Link.OFFSET:
        return "offset_with_attachment" if loaded else "offset"
    return f"{link.link}_with_attachment" if loaded else f"plain_{link.link}"


@dataclass(frozen=True, slots=True)
class Makeup:
    """Strands of one order.

    Attributes
    ----------
    strand : Strand
        One of them; of handed pairs the left one.
    strands : int
        How many.
    hands : Hands
        Whether they come in handed pairs.
    matched : bool
        Whether they run side by side and must be of equal length.
    spare_connecting, spare_offset : int
        Loose links to go with the order.

    Raises
    ------
    BadInput
        If a number is not one of strands or links, or handed strands are not in pairs or have nothing to mirror.
    """

    strand: Strand
    strands: int = 1
    hands: Hands = Hands.ALIKE
    matched: bool = False
    spare_connecting: int = 0
    spare_offset: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.strands <= LONGEST:
            raise BadInput(f"{self.strands} strands", right=f"give a whole number from 1 to {LONGEST}")
        if min(self.spare_connecting, self.spare_offset) < 0:
            raise BadInput("fewer than no spare links", right="give 0 or more")
        if self.hands is Hands.HANDED and self.strands % 2:
            raise BadInput(f"{self.strands} strands in handed pairs", right="give an even number of strands")
        pattern = self.strand.pattern
        if self.hands is Hands.HANDED and (pattern is None or pattern.mirrored() == pattern):
            right = "name the side of the attachments, or order the strands alike"
            raise BadInput("handed pairs whose two hands are the same", right=right)

    @property
    def counts(self) -> LinkCounts:
        """Links of all strands by kind, spares not counted."""
        return count_links(self.strand).times(self.strands)

    @property
    def mass_kg(self) -> float | None:
        """Mass of all strands [kg], attachments and spares not counted; None where it is not known."""
        return None if self.strand.mass_kg is None else self.strands * self.strand.mass_kg

    def kinds_of_strand(self) -> tuple[tuple[str, int, Pattern | None], ...]:
        """Give name, number and pattern of each sort of strand: one, or left hand and right hand."""
        pattern = self.strand.pattern
        if self.hands is Hands.HANDED and pattern is not None:
            half = self.strands // 2
            return ("left hand", half, pattern), ("right hand", half, pattern.mirrored())
        return (("all alike", self.strands, pattern),)
