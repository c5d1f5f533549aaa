"""One thing that must be known before a case can be quoted or made."""

from dataclasses import dataclass

from chaincase.case.entries import Assumption
from chaincase.chains.features import Level


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that must be known.

    Attributes
    ----------
    key : str
        "identity", "attachments", "spacing", "features.material" ...; assumptions name it.
    level : Level
        "quote": without it no price; "make": without it nothing to make by.
    title : str
        In a few words.
    question : str
        To the customer, in plain words.
    easiest : str
        Easiest way to find out.
    consequence : str
        What goes wrong if it is assumed.
    rank : float
        0 to 1, higher is graver.
    caution : str
        What must be minded where finding out can hurt someone, or nothing.
    accepted : Assumption or None
        What a named person accepted instead of an answer.
    settles : bool
        Whether it is a contradiction, which only a person can settle.
    """

    key: str
    level: Level
    title: str
    question: str
    easiest: str
    consequence: str
    rank: float
    caution: str = ""
    accepted: Assumption | None = None
    settles: bool = False
