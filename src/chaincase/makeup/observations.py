"""What somebody saw, counted or taped on the chain, checked and parsed."""

from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise

from chaincase.measuring.reading import Reading


class Where(StrEnum):
    """On which kind of link attachments were found."""

    INNER = "inner"
    OUTER = "outer"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class Counted:
    """Pitches counted from one attachment to another, `gaps` gaps further on; `entry` numbers it from 0."""

    pitches: int
    gaps: int = 1
    entry: int = 0

    @property
    def words(self) -> str:
        """Say it in words."""
        return f"counted {self.pitches}{_over(self.gaps)}"


@dataclass(frozen=True, slots=True)
class Taped:
    """A length taped from an attachment to the same place of another, `gaps` gaps further on."""

    reading: Reading
    gaps: int = 1
    entry: int = 0

    @property
    def words(self) -> str:
        """Say it in words."""
        return f"taped {self.reading.value}{_over(self.gaps)}"


@dataclass(frozen=True, slots=True)
class Sample:
    """A piece in the hand.

    Attributes
    ----------
    links : int
        Links in it.
    attachments : tuple of int
        Links that carry an attachment, counted from 1, rising.
    """

    links: int
    attachments: tuple[int, ...]
    entry: int = 0

    @property
    def gaps(self) -> tuple[int, ...]:
        """Pitches from each attachment to the next.

        >>> Sample(9, (2, 5, 8)).gaps
        (3, 3)
        """
        return tuple(b - a for a, b in pairwise(self.attachments))

    @property
    def bound(self) -> int:
        """Pitches that the spacing is above: no further attachment came within that many.

        >>> Sample(7, (3,)).bound, Sample(7, ()).bound
        (4, 7)
        """
        if not self.attachments:
            return self.links
        return max(self.attachments[0] - 1, self.links - self.attachments[-1])

    @property
    def words(self) -> str:
        """Say it in words."""
        piece = f"the piece of {self.links} links"
        if not self.attachments:
            return f"{piece} without an attachment"
        ending = "s" if len(self.attachments) > 1 else ""
        return f"{piece} with attachment{ending} at {_listed(self.attachments)}"


@dataclass(frozen=True, slots=True)
class OnLinks:
    """On which links the attachments were found."""

    where: Where
    entry: int = 0

    @property
    def words(self) -> str:
        """Say it in words."""
        if self.where is Where.BOTH:
            return "attachments on inner and outer links"
        return f"attachments on {self.where} links only"


Observation = Counted | Taped | Sample | OnLinks


def _over(gaps: int) -> str:
    return f" over {gaps} gaps" if gaps > 1 else ""


def _listed(numbers: tuple[int, ...]) -> str:
    shown = [str(number) for number in numbers[:8]] + (["..."] if len(numbers) > 8 else [])
    return ", ".join(shown)
