"""What a list shows of a case, made by a function from outside: the register itself finds nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Summary:
    """The findings of a case in short.

    Attributes
    ----------
    gaps : tuple of str
        Keys of the open questions, first the one to ask first.
    gaps_quote, gaps_make : int
        How many stand in the way of a quote, and of making the chain.
    designation : str
        Found or chosen; empty while open.
    probability : float or None
        Of that designation.
    """

    gaps: tuple[str, ...] = ()
    gaps_quote: int = 0
    gaps_make: int = 0
    designation: str = ""
    probability: float | None = None

    @property
    def ready(self) -> str:
        """For what the case is ready: make, quote or no.

        >>> Summary(gaps=("tolerance",), gaps_make=1).ready
        'quote'
        """
        return "no" if self.gaps_quote else "quote" if self.gaps_make else "make"


Summarize = Callable[[dict[str, Any]], Summary]
