"""Finding lengths of chain, in units and in pitches, and the chain's own pitch."""

import re
from collections.abc import Iterator
from fractions import Fraction
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.reading.candidate import Candidate, Field, Form, Value, find
from chaincase.reading.grammar import (
    AMOUNT,
    BEGIN,
    COUNT,
    END,
    FEET,
    LENGTH,
    LINKS,
    START,
    amount,
    count,
    millimeters,
)
from chaincase.reading.page import Page

_LONG: Final = rf"(?:LONG|LG|LGTHS?|LENGTHS?|OAL|O\.A\.L\.|OVERALL|TOTAL){END}\.?"
_SIZE_AFTER: Final = re.compile(
    r"[ -]{0,2}(?:WIDE|WIDTH|W\b(?!/| [A-Z])|WD\b|DIA|OD\b|ID\b|O\.D|I\.D|THK|THICK|HIGH|DEEP|TALL|BORE|SHAFT|HOLES?"
    r"|BOLTS?|ROLLERS?|RLRS?|PINS?"
    r"|PLATES?|SIDE|BARS?|FACE|FLIGHTS?|SLATS?|BUCKETS?|KEYWAY|KW\b|O\.?C\b|O\.C|C/C|C-C|C TO C"
    r"|CTRS?|CRS|CENT|ON CENT|SPAC|SPCG|APART|INTERVAL|PITCH|PIT\b|P\b|BETWEEN|STROKE|BELT|X ?[0-9])"
)
_NOT_CHAIN_BEFORE: Final = re.compile(
    r"(?:\b(?:BORE|DIA|WIDTH|SHAFT|EVERY|(?<!STRANDS )(?<!STR )(?<!PCS )(?:EACH|EA)|EV"
    r"|SPACED|SPACING|SPCG|O\.?C\.?|CENTERS|CTRS|W|OD|ID|THK|AT)"
    r"[ .:=]{0,3}|\bO\.C\. ?|@ ?)$"
)
_SIZED: Final = re.compile(rf"(?:^|[^A-Z0-9])(?:{LENGTH}|[0-9-]{{0,5}}[./][0-9]{{1,4}}) ?$")
_PITCH_BEFORE: Final = re.compile(r"\b(?:PITCH|PIT\.?|P)[ .:=]{0,3}$")
_SPACING_BEFORE: Final = re.compile(r"\b(?:EVERY|EACH|EV|EA|E|SPACED|SPACING|AT)[ .:=]{0,3}$|@$")
_SPACING_AFTER: Final = re.compile(r"[ -]{0,2}(?:SPAC|SPCG|CENT|CTR|CRS|APART|INTERVAL|O\.?C)")
_TIMES_BEFORE: Final = re.compile(r"(?:\bX|[0-9]X|\bOF|\bBY|[-,]|\bTOTAL)$")
_COUNTED: Final = re.compile(r"(?:^|[^A-Z0-9./-])[0-9]{1,3} ?(?:EA|PCS?|ROLLS?|STRANDS?|LENGTHS?)? ?@$")
_REPEATED: Final = re.compile(rf"(?:{LINKS}|[0-9](?:ND|RD|TH)) ?\($")
_PACKED: Final = re.compile(r" {0,2}(?:BOX|REEL|ROLL|COIL|STRAND|LENGTHS?|LG\b|LONG)")


def _length(match: re.Match[str]) -> Value | None:
    return millimeters(match["length"])


def _chain_length(page: Page, start: int, end: int) -> float:
    """Say whether a length is that of the chain, from its size, its unit and the words around."""
    text, before = page.text[start:end], page.before(start)
    odds = _by_unit(text)
    if _COUNTED.search(before):
        odds += 1.5
    elif _REPEATED.search(page.before(start, 40)):
        odds -= 2.0  # "every 4 pitches (24 in)" says the spacing again
    elif _NOT_CHAIN_BEFORE.search(before) or _names_pitch(before):
        odds -= 3.5
    odds += 0.8 if _TIMES_BEFORE.search(before) else 0.0
    odds += 1.0 if _PACKED.match(page.text, end) else 0.0
    return odds - (4.0 if _SIZE_AFTER.match(page.text, end) else 0.0)


def _names_pitch(before: str) -> bool:
    """Tell whether the words before are a PITCH without a size yet: "PITCH 4 IN", but not "4 IN PITCH 90 FT"."""
    match = _PITCH_BEFORE.search(before)
    return match is not None and not _SIZED.search(before[: match.start()])


def _free(page: Page, start: int, _end: int) -> float:
    """Refuse a PITCH that has its size before it."""
    return -5.0 if _SIZED.search(page.before(start)) else 0.0


def _by_unit(text: str) -> float:
    mm = millimeters(re.sub(rf" ?{_LONG}$", "", text)) or 0.0
    if re.search(r"'(?!')|F", text):
        return 2.7
    if re.search(r"(?<!M)M(?!M)", text):
        return 2.2 if 200 <= mm <= 500_000 else -1.0
    return 0.7 if mm >= 1000 else -1.0


def _spaced(page: Page, start: int, end: int) -> float:
    """Take from a count of links what the words around make of it: a spacing, a size class."""
    before = page.before(start)
    odds = -3.0 if _SPACING_BEFORE.search(before) else 0.0
    odds -= 3.0 if _SPACING_AFTER.match(page.text, end) else 0.0
    return odds + (0.6 if _TIMES_BEFORE.search(before) else 0.0)


@cache
def _pitches() -> NDArray[np.float64]:
    """Give the pitches of the packaged tables [mm]."""
    pitches = Catalog.standard().values[:, COLUMN["pitch"]]
    return np.unique(pitches[~np.isnan(pitches)])


def _listed(pitch: float) -> bool:
    """Tell whether a table has this pitch [mm], to the hundredth that tables print."""
    return bool(np.any(np.abs(_pitches() - pitch) < 0.0051))


def pitch_without_unit(value: Fraction) -> float | None:
    """Give the pitch that a number without unit most likely means [mm]: one of the tables', else by its size.

    No chain of the tables has a pitch above 1 m or below 4 mm; up to 12.5 it is inches unless, with decimals, it
    is a metric size of the tables (common practice, no source).

    >>> pitch_without_unit(Fraction("2.609")), pitch_without_unit(Fraction(100)), pitch_without_unit(Fraction("9.525"))
    (66.2686, 100.0, 9.525)
    """
    number = float(value)
    if not 0.1 < number <= 1000.0:
        return None
    metric = value.denominator != 1 and _listed(number) and not _listed(number * 25.4)
    return number if metric or number > 12.5 else float(value * Fraction(254, 10))


def _bare_pitch(match: re.Match[str]) -> Value | None:
    written = amount(match["amount"])
    return None if written is None else pitch_without_unit(written)


def _small(match: re.Match[str]) -> Value | None:
    """Read "4 PITCH" as a pitch in inches; "96 PITCH" counts links."""
    return None if count(match) > 12 else count(match) * 25.4


_FRACTIONAL: Final = (
    r"(?P<amount>[0-9]{1,2}[ -][0-9]{1,2}/[0-9]{1,2}|[0-9]{1,2}/[0-9]{1,2}|[0-9]{0,2} ?[½¼¾⅛⅜⅝⅞]"
    r"|[0-9]{0,3}\.[0-9]{1,4})"
)
_P: Final = r"(?:PITCH|PIT\.?|P\.?)"
_PITCH: Final = rf"{BEGIN}(?:PITCH|PIT)\.?"
_OF: Final = rf"{BEGIN}(?<![0-9] )(?:LENGTH|LGTH|OAL|LG|L)\.?[ :=]{{1,3}}(?:OF )?"
_NO_UNIT: Final = r"(?![.,/][0-9]|[^\W_]|['\"]| ?(?:MM|IN|FT)\b)"
_COUNTS: Final = (
    (rf"{COUNT}[ -]?(?:PITCHES|PITCHS|LINKS|LNKS?|LKS){END}(?: ?{_LONG})?", 2.8),
    (rf"{COUNT} ?P{END}(?!\.?[ :=]{{0,2}}[0-9])", 2.0),
    (rf"{COUNT}(?: ?-?(?:PITCH|PIT\.?|LINK|LK)| ?L){END}(?: ?{_LONG})?", 0.3),
    (rf"{COUNT} ?-?(?:PITCH|LINK|P) ?{_LONG}", 2.4),
    (rf"{_OF}(?P<count>[1-9][0-9]{{0,3}}) ?-?{LINKS}{END}", 3.0),
)
_WITH_UNIT: Final = (
    (rf"{START}(?P<length>{LENGTH})[ -]?{_P}{END}", 3.0),
    (rf"{_PITCH}[ :=]{{0,3}}(?:OF |IS )?(?P<length>{LENGTH})", 3.0),
    (rf"{BEGIN}P ?[=:] ?(?P<length>{LENGTH})", 2.8),
)
_WITHOUT_UNIT: Final = (
    (rf"{START}{_FRACTIONAL}[ -]?{_P}{END}", 2.6),
    (rf"{_PITCH}[ :=]{{1,3}}(?:OF |IS )?(?P<amount>{AMOUNT}){_NO_UNIT}", 2.2),
    (rf"{BEGIN}P ?[=:] ?(?P<amount>{AMOUNT}){_NO_UNIT}", 2.4),
    (rf"{BEGIN}P (?P<amount>[0-9]{{2,3}}){_NO_UNIT}(?! ?{_P})", 0.4),
)
_FORMS: Final = (
    Form(
        Field.LENGTH,
        re.compile(rf"{START}(?P<length>{LENGTH})(?: ?{_LONG})?"),
        0.0,
        _length,
        _chain_length,
    ),
    Form(
        Field.LENGTH,
        re.compile(rf"(?<=[A-Z0-9]-)(?P<length>{FEET})(?: ?{_LONG})?"),
        -1.0,
        _length,
        _chain_length,
    ),
    Form(
        Field.LENGTH,
        re.compile(rf"{_OF}(?P<length>{LENGTH})"),
        2.8,
        _length,
    ),
    Form(
        Field.LENGTH,
        re.compile(rf"{START}(?P<length>{LENGTH}) ?{_LONG}"),
        2.2,
        _length,
    ),
    Form(
        Field.LENGTH,
        re.compile(r"(?<= X) ?(?P<span>(?P<feet>10|50|100))(?= *(?:$|[\n,;]|BOX|REEL|ROLL))"),
        -0.2,
        lambda match: int(match["feet"]) * 304.8,
    ),
    *(Form(Field.LENGTH_PITCHES, re.compile(pattern), odds, count, _spaced) for pattern, odds in _COUNTS),
    *(Form(Field.PITCH, re.compile(pattern), odds, _length, _free) for pattern, odds in _WITH_UNIT),
    *(Form(Field.PITCH, re.compile(pattern), odds, _bare_pitch, _free) for pattern, odds in _WITHOUT_UNIT),
    Form(Field.PITCH, re.compile(rf"{COUNT}[ -]PITCH{END}(?! ?{_LONG})"), 0.2, _small, _spaced),
)


def lengths(page: Page) -> Iterator[Candidate]:
    """Give all candidates for lengths, counts of pitches and the pitch in a page."""
    yield from find(page, _FORMS)
