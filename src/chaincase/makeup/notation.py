"""A plain notation for patterns, to be read and typed.

    pattern  := entry { "," entry } [ "on" link ]
    entry    := place "@" gap [ "*" times ]
    place    := part { "+" part }  |  "-"
    part     := name [ ":" side ]
    side     := L | R | B          left, right, both; both where none is written
    link     := outer | inner | offset    kind of link of the first attachment; outer where none is written

`gap` is the number of pitches from there to the next place, the last one to the end of the repeat, and `times`
says how often the entry comes. `-` is a start without an attachment. So

    K2@4                     a K2 every 4 pitches, on outer links
    K2@4*9, K2@5*9           nine gaps of 4, then nine of 5
    A1:L@6, A1:R@6 on inner  left and right in turn, every 6 pitches, the first one on an inner link
    K1@4, K2@4               two kinds in turn
    A1:L+A2:R@8              two kinds on one link
    -@3, K2@9                the first attachment after 3 plain pitches
"""

import re
from itertools import groupby
from typing import Final

from chaincase.errors import BadInput
from chaincase.makeup.patterns import LONGEST, Pattern, Position, Sides, in_gaps, label_fault
from chaincase.measuring.growth import Link

LONGEST_TEXT: Final = 10_000

_SIDES: Final = {"L": Sides.LEFT, "R": Sides.RIGHT, "B": Sides.BOTH}
_LETTERS: Final = {sides: letter for letter, sides in _SIDES.items()}
_LINKS: Final = (Link.OUTER, Link.INNER, Link.OFFSET)
_ENTRY: Final = re.compile(r"\s*(?P<place>[^@*]+?)\s*@\s*(?P<gap>[0-9]+)\s*(?:\*\s*(?P<times>[0-9]+)\s*)?")
_ON: Final = re.compile(r"\s+on\s+(?P<link>\w+)\s*$")

Place = list[tuple[str, Sides]]


def parse_pattern(text: str, *, where: str = "") -> Pattern:
    """Read a pattern in the notation of this module.

    Raises
    ------
    BadInput
        With the character of the fault, counted from 1.

    >>> parse_pattern("K2@4*9, K2@5*9").length
    81
    >>> parse_pattern("K2@4*9 K2@5")
    Traceback (most recent call last):
    chaincase.errors.BadInput: character 1: 'K2@4*9 K2@5' is not an entry; write, for example, K2@4 or K2@4*9
    """
    try:
        return _parsed(text)
    except BadInput as fault:
        raise (fault.within(where) if where else fault) from None


def _parsed(text: str) -> Pattern:
    if len(text) > LONGEST_TEXT:
        raise BadInput(f"has {len(text)} characters", right=f"write at most {LONGEST_TEXT}")
    link, body = Link.OUTER, text
    if on := _ON.search(text):
        if on["link"] not in _LINKS:
            raise _fault(on.start("link"), f"{on['link'][:40]!r} is not a kind of link", "use outer, inner or offset")
        link, body = Link(on["link"]), text[: on.start()]
    places, gaps = list[Place](), list[int]()
    lead = total = start = 0
    for entry in body.split(","):
        place, gap, times = _entry(entry, start)
        if place is None:
            if places or lead or times != 1:
                raise _fault(start, "'-' can only come first and once", "add it to the gap before it")
            lead = gap
        else:
            total += gap * times
            if total <= LONGEST:
                places += [place] * times
                gaps += [gap] * times
        if lead + total > LONGEST:
            raise _fault(start, f"a repeat of more than {LONGEST} pitches", "shorten it")
        start += len(entry) + 1
    return in_gaps(places, gaps, link, lead)


def _entry(entry: str, start: int) -> tuple[Place | None, int, int]:
    """Read one entry: what its place carries (None for a plain start), gap, times."""
    found = _ENTRY.fullmatch(entry)
    if not found:
        blank = len(entry) - len(entry.lstrip())
        raise _fault(start + blank, f"{entry.strip()[:40]!r} is not an entry", "write, for example, K2@4 or K2@4*9")
    gap = _number(found["gap"], start + found.start("gap"), "pitches")
    times = _number(found["times"], start + found.start("times"), "times") if found["times"] else 1
    if found["place"] == "-":
        return None, gap, times
    return [_part(part, start + found.start("place")) for part in found["place"].split("+")], gap, times


def _part(part: str, start: int) -> tuple[str, Sides]:
    name, _, side = part.strip().partition(":")
    if fault := label_fault(name.strip()):
        raise _fault(start, fault, "use letters, digits and - _ / .")
    letter = side.strip().upper() if ":" in part else "B"
    if letter not in _SIDES:
        raise _fault(start, f"{side[:40]!r} is not a side", "use L, R or B")
    return name.strip(), _SIDES[letter]


def _number(digits: str, start: int, of: str) -> int:
    if len(digits) > 6 or not 1 <= int(digits) <= LONGEST:
        raise _fault(start, f"{digits[:40]} {of}", f"give a whole number from 1 to {LONGEST}")
    return int(digits)


def _fault(start: int, what: str, right: str) -> BadInput:
    return BadInput(what, where=f"character {start + 1}", right=right)


def print_pattern(pattern: Pattern) -> str:
    """Write a pattern in the notation of this module; reading it gives the same pattern.

    >>> print_pattern(parse_pattern("K2@4, K2@4, A1:l@5 on inner"))
    'K2@4*2, A1:L@5 on inner'
    """
    used = pattern.pitches_used
    ends = (*used[1:], pattern.length)
    entries = [f"{_place(pattern, pitch)}@{end - pitch}" for pitch, end in zip(used, ends, strict=True)]
    counted = [(entry, len(list(same))) for entry, same in groupby(entries)]
    lead = [f"-@{used[0]}"] if used[0] else []
    written = [entry if times == 1 else f"{entry}*{times}" for entry, times in counted]
    first = pattern.positions[0].link
    return ", ".join(lead + written) + ("" if first is Link.OUTER else f" on {first}")


def _place(pattern: Pattern, pitch: int) -> str:
    here = [position for position in pattern.positions if position.pitch == pitch]
    return "+".join(_label(position) for position in here)


def _label(position: Position) -> str:
    if position.sides is Sides.BOTH:
        return position.attachment
    return f"{position.attachment}:{_LETTERS[position.sides]}"
