"""One question of a verdict answered: fits, carries, lasts, each with its checks and what it hinges on."""

from dataclasses import dataclass
from enum import StrEnum

from chaincase.duty.sensitivity import Swing


class Answer(StrEnum):
    """What is found."""

    YES = "yes"
    LIMITED = "with limits"
    NO = "no"
    OPEN = "cannot be told"


@dataclass(frozen=True, slots=True)
class Check:
    """Something a chain must have, and what it has.

    Attributes
    ----------
    words : str
        What is checked.
    has, needs : float
        In one unit; a chain passes where it has at least what it needs.
    unit : str
        Of both.
    """

    words: str
    has: float
    needs: float
    unit: str = ""

    @property
    def margin(self) -> float:
        """What it has over what it needs [-]."""
        return self.has / self.needs


@dataclass(frozen=True, slots=True)
class Finding:
    """One question answered.

    Attributes
    ----------
    answer : Answer
        What is found.
    why : str
        Reasons, for a person.
    checks : tuple of Check
        All that was checked by numbers.
    swings : tuple of Swing
        How the smallest margin moves with each assumption, the strongest first.
    hinges : str
        The assumption that matters most, in words.
    assumptions, warnings, steps, sources : tuple of str
        As in every answer of this room.
    """

    answer: Answer
    why: str
    checks: tuple[Check, ...] = ()
    swings: tuple[Swing, ...] = ()
    hinges: str = ""
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def governing(self) -> Check | None:
        """The check with the smallest margin; None where nothing was checked by numbers."""
        return min(self.checks, key=lambda check: check.margin, default=None)


def hinges_on(swings: tuple[Swing, ...]) -> str:
    """Say which assumption matters most, and what it does to the margin; nothing where none was varied."""
    if not swings or swings[0].size < 0.005 * abs(swings[0].base):
        return ""
    first = swings[0]
    turned = ": it alone turns the answer" if first.turns else ""
    return (
        f"{first.assumption.words}, from {first.assumption.low:.3g} to {first.assumption.high:.3g} of what was taken:"
        f" margin {first.low:.2f} to {first.high:.2f}{turned}"
    )
