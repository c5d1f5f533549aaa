"""What the rest of the line says about a candidate: another chain number, attachments without a chain, a negation."""

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from chaincase.reading.candidate import SURE, Candidate, Field
from chaincase.reading.page import Page

_CLEAR: Final = 1.5
"""Log odds from which a chain number makes other bare numbers on its line unlikely."""
_NOT: Final = re.compile(r"(?:\bNO|\bNOT|\bW/O|\bWITHOUT|\bLESS|\bMINUS|\bNON|\bEXCL(?:UDES|UDING)?\.?|\bWO)[ -]*$")
_DENIABLE: Final = frozenset({Field.ATTACHMENT, Field.MATERIAL, Field.COATING, Field.FEATURE})


def settle(page: Page, found: Iterable[Candidate]) -> list[Candidate]:
    """Give the candidates with what their line adds or takes, the denied ones left out.

    "Less connecting link" says that there is none: it is left unread for a person to see.
    """
    kept = [one for one in found if not _denied(page, one)]
    numbers = [one for one in kept if one.field is Field.DESIGNATION and one.odds >= _CLEAR and not one.tentative]
    by_line: dict[int, list[Candidate]] = {}
    for number in numbers:
        by_line.setdefault(page.line(number.start), []).append(number)
    wider = _wider(numbers)
    return [_settled(one, by_line.get(page.line(one.start), []), wider) for one in kept]


def _denied(page: Page, one: Candidate) -> bool:
    return one.field in _DENIABLE and _NOT.search(page.before(one.start)) is not None


def _wider(numbers: list[Candidate]) -> dict[int, Candidate]:
    """Give the chain number that covers each character, the widest that begins first."""
    covers: dict[int, Candidate] = {}
    for number in sorted(numbers, key=lambda n: (n.start, -n.end)):
        for at in range(number.start, number.end):
            covers.setdefault(at, number)
    return covers


def _settled(one: Candidate, numbers: list[Candidate], wider: dict[int, Candidate]) -> Candidate:
    odds = one.odds
    if one.tentative and any(n.end <= one.start or n.start >= one.end for n in numbers[:2] + numbers[-2:]):
        odds -= 2.5
    cover = wider.get(one.start)
    if cover and cover is not one and cover.end >= one.end and _within(one, cover):
        odds -= 4.0  # a part of a longer number is none by itself
    elif one.field is Field.ATTACHMENT and numbers:
        odds += 0.5
    return replace(one, odds=max(-SURE, min(SURE, odds)))


def _within(one: Candidate, cover: Candidate) -> bool:
    """Tell whether a reading breaks up, or renames, a whole chain number."""
    if one.field is Field.DESIGNATION:
        return (one.start, one.end) != (cover.start, cover.end) and one.value != cover.value
    return one.field is Field.ATTACHMENT
