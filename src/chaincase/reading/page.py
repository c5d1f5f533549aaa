"""The text to be read: folded to one alphabet without moving a character, and cut into pieces with places."""

import re
from bisect import bisect_right
from dataclasses import dataclass
from typing import Final, NamedTuple

from chaincase.chains.designation import CYRILLIC, LATIN
from chaincase.errors import BadInput

LONGEST_TEXT: Final = 20_000
"""Characters; more is a file, not an order line, and would keep the reader waiting."""

_SAME: Final = (
    dict.fromkeys(map(ord, "‐‑‒–—−"), "-")
    | dict.fromkeys(map(ord, "″”“„"), '"')
    | dict.fromkeys(map(ord, "′’‘´`"), "'")
    | dict.fromkeys(map(ord, "\t\u00a0\u2009\u202f"), " ")
    | dict.fromkeys(map(ord, "\r\v\f\x1c\x1d\x1e\x85\u2028\u2029"), "\n")
    | {ord(cyrillic): latin for cyrillic, latin in zip(CYRILLIC, LATIN, strict=True)}
    | {ord("×"): "X", ord("⁄"): "/", ord("∕"): "/"}
)
_PIECE: Final = re.compile(r"[0-9]+|[^\W\d_]+|\S")


class Piece(NamedTuple):
    """A run of digits, a run of letters, or one other character; `end` is not part of it."""

    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Page:
    """A text ready to be searched.

    Attributes
    ----------
    raw : str
        As given.
    text : str
        Folded: capitals, Latin for look-alike Cyrillic, one sort of dash, quote and blank; same length as `raw`.
    pieces : tuple of Piece
        Of the folded text, without its blanks.
    breaks : tuple of int
        Where its lines begin.
    """

    raw: str
    text: str
    pieces: tuple[Piece, ...]
    breaks: tuple[int, ...]

    def line(self, at: int) -> int:
        """Give the number of the line, from 0, in which a character stands."""
        return bisect_right(self.breaks, at) - 1

    def line_start(self, at: int) -> int:
        """Give the place where the line of a character begins."""
        return self.breaks[self.line(at)]

    def before(self, at: int, most: int = 24) -> str:
        """Give what stands before a place on its line, at most so many characters, without closing blanks."""
        return self.text[max(self.line_start(at), at - most) : at].rstrip(" ")

    def after(self, at: int, most: int = 24) -> str:
        """Give what stands behind a place on its line, at most so many characters, without leading blanks."""
        return self.text[at : at + most].partition("\n")[0].lstrip(" ")


def fold(text: str) -> str:
    """Fold a text; every character stays where it is.

    >>> fold("М112 – 2½″ × 3")
    'M112 - 2½" X 3'
    """
    upper = text.upper()
    if len(upper) != len(text):  # a letter such as ß has no single capital
        upper = "".join(c if len(c) == 1 else one for one in text for c in (one.upper(),))
    return upper.translate(_SAME)


def open_page(text: str, *, where: str = "") -> Page:
    """Prepare a text for reading.

    Raises
    ------
    BadInput
        If it is blank, longer than `LONGEST_TEXT`, or holds what was not UTF-8 before it came here.
    """
    if len(text) > LONGEST_TEXT:
        right = f"give at most {LONGEST_TEXT} characters at a time"
        raise BadInput(f"the text has {len(text)} characters", where=where, right=right)
    lone = next((at for at, c in enumerate(text) if "\ud800" <= c <= "\udfff"), None)
    if lone is not None:
        place = f"{where}: character {lone + 1}" if where else f"character {lone + 1}"
        raise BadInput("the text is not UTF-8", where=place, right="save or paste it as UTF-8")
    folded = fold(text)
    pieces = tuple(Piece(match.group(), *match.span()) for match in _PIECE.finditer(folded))
    if not pieces:
        raise BadInput("the text is empty", where=where, right="give an order line or a description of a chain")
    breaks = (0, *(match.end() for match in re.finditer("\n", folded)))
    return Page(text, folded, pieces, breaks)
