"""Stamps: what number a chain bears, and what of it is still read under rust.

All shares are assumed (common practice, no source), except that a stamp names the chain number and often no more:
ISO 606:1994 A.2.7 asks for the maker's mark and the chain number.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from chaincase.calibration.chance import happens, pick


@dataclass(frozen=True, slots=True)
class Legibility:
    """How well a stamp can be read.

    Attributes
    ----------
    words : tuple of str
        What a person writes for it.
    lost, confused, ends : float
        Chances that a character is illegible, that it passes for another, and that an end is gone [-].
    """

    words: tuple[str, ...]
    lost: float
    confused: float
    ends: float


LEGIBILITY: dict[Legibility, float] = {
    Legibility(("clear", "good", ""), 0.003, 0.004, 0.01): 0.45,
    Legibility(("worn", "faint", ""), 0.08, 0.03, 0.06): 0.25,
    Legibility(("corroded", "rusted", "bad"), 0.18, 0.06, 0.15): 0.22,
    Legibility(("painted over", "partly covered", ""), 0.06, 0.02, 0.20): 0.08,
}
"""States of stamps and their shares."""

_ALIKE: dict[str, str] = {
    "0": "O8D6", "O": "0DQ", "1": "I7L", "I": "1L", "8": "B36", "B": "8R", "5": "S6", "S": "58", "2": "Z7", "Z": "2",
    "6": "8G5", "G": "6C", "3": "8B", "7": "1T", "C": "GO", "D": "O0", "4": "A9", "A": "4R", "9": "4G", "H": "NM",
    "M": "NH", "N": "HM", "P": "FR", "F": "PE", "E": "FB", "R": "BP", "L": "1I", "W": "VM", "X": "K", "K": "X",
    "T": "7",
}  # fmt: skip
"""Characters that corroded stampings are taken for."""

_STANDARD = re.compile(r"^(ISO|DIN|ANSI|ASME|GOST|JIS|GB/T|BS|IS|SANS|B) ")
_FORM = re.compile(r"\s*(small roller|large roller|flanged roller|single hinge|double hinge|side-flexing.*)\b.*$")
_CASTING = re.compile(r"^(steel|malleable) ")
_SIZES_ONLY = re.compile(r"^[\d.]+x[\d.]+$")
"""Flat-top rows are named by pitch and width; that is no number that anybody stamps."""
_WITH_STRANDS = re.compile(r"^([0-9A-Z]+)-\d+$")
_CONVEYOR_BASE, _CONVEYOR_FULL = re.compile(r"^(M|MC|М|МС|FV)\d+$"), re.compile(r"^(M|MC|М|МС|FV)\d+x\d+$")
_NO_STRANDS, _BASE_ALONE = 0.75, 0.65
"""Shares of multi-strand and of conveyor chain that bear the number without strands, pitch and roller form."""
_ATTACHMENTS = ("K1", "K2", "K-1", "A1", "A2", "A-1", "F4", "G6", "S1", "K2 6TH")
_FOREIGN = ("STEEL", "HT", "RH", "LH", "C1045", "LOT 27", "0397", "42CR", "MADE ABROAD", "3Q", "UP")
_ATTACHED, _FOREIGN_BEFORE, _FOREIGN_APART = 0.08, 0.06, 0.14
_WHERE = ("inner sidebar", "outer plate", "link plate", "sidebar", "")


def numbers_of(designation: str, alternatives: Sequence[str]) -> list[str]:
    """Give the numbers that may be stamped on a chain of that name, without the standards' names.

    >>> numbers_of("M112x160 flanged roller", ("M112-F-160",))
    ['M112x160', 'M112-F-160']
    >>> numbers_of("16A-1", ("ISO 606 16A-1", "ANSI 80", "80"))
    ['16A-1', '80']
    """
    names = [_FORM.sub("", name) for name in (designation, *alternatives)]
    plain = [name.split()[-1] if _STANDARD.match(name) else _CASTING.sub("", name) for name in names]
    stamped = [name for name in plain if any(sign.isdigit() for sign in name) and not _SIZES_ONLY.match(name)]
    return list(dict.fromkeys(stamped))


def stamped_number(rng: np.random.Generator, numbers: Sequence[str], strands: int) -> str:
    """Give one of the numbers as a maker stamps it: often without strands, pitch and roller form."""
    bases = [number for number in numbers if _CONVEYOR_BASE.match(number)]
    bases += [number.partition("x")[0] for number in numbers if _CONVEYOR_FULL.match(number)]
    if bases and happens(rng, _BASE_ALONE):
        return bases[int(rng.integers(len(bases)))]
    number = numbers[int(rng.integers(len(numbers)))]
    if strands >= 1 and happens(rng, _NO_STRANDS):
        return _WITH_STRANDS.sub(r"\1", number)
    return number


def made_up_number(rng: np.random.Generator) -> str:
    """Give a number of some maker's own, as an unlisted chain may bear.

    >>> len(made_up_number(np.random.default_rng(0))) >= 4
    True
    """
    letters = "".join(rng.choice(list("ABCDEFGHJKLMNPRSTUVWXYZ"), size=int(rng.integers(1, 4))))
    digits = int(rng.integers(20, 9900))
    tail = pick(rng, {"": 0.7, "-1": 0.1, "X": 0.1, "H": 0.1})
    return f"{letters}{digits:03d}{tail}"


def marks(rng: np.random.Generator, number: str) -> list[dict[str, str]]:
    """Give the marks that a person reads off a chain that bears that number; empty where nothing is left of it."""
    state = pick(rng, LEGIBILITY)
    text = number.upper()
    if happens(rng, _ATTACHED):
        text += pick(rng, {" ": 0.6, "-": 0.2, "": 0.2}) + _ATTACHMENTS[int(rng.integers(len(_ATTACHMENTS)))]
    read = worn_text(rng, text, state)
    if not any(sign.isalnum() for sign in read):
        return []
    foreign = _FOREIGN[int(rng.integers(len(_FOREIGN)))]
    if happens(rng, _FOREIGN_BEFORE):
        read = f"{foreign} {read}"
    found = [_mark(rng, read, state)]
    if happens(rng, _FOREIGN_APART):
        found.insert(int(rng.integers(2)), _mark(rng, foreign, state))
    return found


def _mark(rng: np.random.Generator, text: str, state: Legibility) -> dict[str, str]:
    where = _WHERE[int(rng.integers(len(_WHERE)))]
    word = state.words[int(rng.integers(len(state.words)))]
    return {"text": text} | ({"where": where} if where else {}) | ({"legibility": word} if word else {})


def worn_text(rng: np.random.Generator, text: str, state: Legibility) -> str:
    """Give what is read of a text: `?` for an illegible character, `*` for a missing end."""
    signs = [_worn_sign(rng, sign, state) for sign in text]
    if happens(rng, state.ends) and len(signs) > 2:
        gone = int(rng.integers(1, max(len(signs) // 2, 1) + 1))
        signs = [*signs[:-gone], "*"] if happens(rng, 0.5) else ["*", *signs[gone:]]
    return "".join(signs).strip()


def _worn_sign(rng: np.random.Generator, sign: str, state: Legibility) -> str:
    if sign == " ":
        return sign
    if happens(rng, state.lost):
        return "?"
    if happens(rng, state.confused) and (alike := _ALIKE.get(sign)):
        return alike[int(rng.integers(len(alike)))]
    return sign
