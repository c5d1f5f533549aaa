"""What a finder proposes: a field, its value, its place, and how far the text speaks for it."""

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.reading.page import Page

SURE: Final = 5.0
"""Largest log odds that a reading is given: nothing read off a line is more than 99.3 % sure."""


class Field(StrEnum):
    """What can be read; lengths are in mm, counts are whole numbers."""

    DESIGNATION = "designation"
    ATTACHMENT = "attachment"
    SPACING_PITCHES = "spacing_pitches"
    SPACING_LENGTH = "spacing_length"
    LENGTH = "length"
    LENGTH_PITCHES = "length_pitches"
    STRANDS = "strands"
    QUANTITY = "quantity"
    MATERIAL = "material"
    COATING = "coating"
    FEATURE = "feature"
    PITCH = "pitch"
    TEETH = "teeth"


Value = str | int | float


@dataclass(frozen=True, slots=True)
class Candidate:
    """One possible reading of a span.

    Attributes
    ----------
    field : Field
        What it would be.
    value : str, int or float
        Normalised: a name, a count, or a length [mm].
    start, end : int
        Span in the text, half-open.
    odds : float
        Natural log odds that it is so, other readings of the same characters aside [-].
    listed_as : str
        Designation in the tables, where a number is the name of one chain there.
    tentative : bool
        The characters alone do not say that it is a chain number; another one on the line makes it unlikely.
    """

    field: Field
    value: Value
    start: int
    end: int
    odds: float
    listed_as: str = ""
    tentative: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """One way in which a field is written.

    Attributes
    ----------
    field : Field
        What it says.
    pattern : re.Pattern
        Over folded text; its group `span`, where there is one, is the place of the item.
    odds : float
        Log odds of a match out of context.
    value : callable
        From the match to the value; None where it is none after all.
    context : callable
        From page and span to what the words around add to the log odds.
    """

    field: Field
    pattern: re.Pattern[str]
    odds: float
    value: Callable[[re.Match[str]], Value | None]
    context: Callable[[Page, int, int], float] = lambda _page, _start, _end: 0.0


def find(page: Page, forms: tuple[Form, ...]) -> Iterator[Candidate]:
    """Give the candidates of all forms."""
    for form in forms:
        for match in form.pattern.finditer(page.text):
            value = form.value(match)
            if value is not None:
                start, end = match.span("span") if "span" in form.pattern.groupindex else match.span()
                start += len(page.text[start:end]) - len(page.text[start:end].lstrip(" "))
                end = start + len(page.text[start:end].rstrip(" "))
                yield Candidate(form.field, value, start, end, form.odds + form.context(page, start, end))


def chance(odds: float) -> float:
    """Give the probability of natural log odds.

    >>> chance(0.0), round(chance(3.0), 3)
    (0.5, 0.953)
    """
    return 1.0 / (1.0 + math.exp(-odds))
