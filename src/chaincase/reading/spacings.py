"""Finding how often an attachment repeats: in pitches, or as a length between two of them."""

import re
from collections.abc import Iterator
from typing import Final

from chaincase.reading.candidate import Candidate, Field, Form, Value, find
from chaincase.reading.grammar import BEGIN, EACH, END, LENGTH, LINKS, NUMBERS, ORDINALS, START, count, millimeters
from chaincase.reading.page import Page

_MOST: Final = 200
"""Pitches between two attachments; more is a length of chain."""
_ON: Final = rf"(?:(?:{BEGIN}(?:ON|AT|SPACED|LOCATED)|@) {{0,2}}){{0,2}}"
_WHAT: Final = r"(?P<link>(?:OUTER|OUTSIDE|PIN|INNER|INSIDE|ROLLER) (?=L))?"
_SPACING: Final = r"(?:SPACING|SPACINGS|SPACED|SPCG|SPC|SPA|CENTERS|CENTRES|CTRS|CTR|CRS|INTERVALS?|APART|O\.?C\.?|C/C)"
_CENTERS: Final = (
    r"(?:O[./]? ?C\.?|ON CENTER|ON CENTRE|C ?/ ?C|C-C|C\.C\.|C TO C|(?:CENTERS|CENTRES|CENTER|CENTRE|CTRS|CTR|CRS)\.?"
    r"(?: (?:TO|-) (?:CENTER|CENTRE|CTR)S?)?)"
)
_N: Final = r"(?P<count>[1-9][0-9]{0,2})"
_ORDINAL_WORD: Final = "|".join(ORDINALS)
_NUMBER_WORD: Final = "|".join(NUMBERS)


def _pitches(match: re.Match[str]) -> Value | None:
    """Give the pitches, twice as many where links of one kind are counted."""
    pitches = count(match) * (2 if match.groupdict().get("link") else 1)
    return pitches if pitches <= _MOST else None


def _length(match: re.Match[str]) -> Value | None:
    return millimeters(match["length"])


def _bare_length(match: re.Match[str]) -> Value | None:
    """Give the length [mm] that a number without unit means: inches below 100, else mm (common practice, no source)."""
    number = float(match["bare"])
    return None if number <= 0.0 else number if number >= _BARE_MM else round(number * 25.4, 4)


def _unit_open(page: Page, start: int, end: int) -> float:
    """Believe mm more where the line is metric, and inches less."""
    number = float(re.findall(r"[0-9]+(?:\.[0-9]+)?", page.text[start:end])[0])
    metric = _METRIC_LINE.search(page.text) is not None
    return 1.0 if metric is (number >= _BARE_MM) else -1.5


def _fixed(pitches: int, pattern: str, odds: float) -> Form:
    def value(match: re.Match[str]) -> Value:
        return pitches * (2 if match.groupdict().get("link") else 1)

    return Form(Field.SPACING_PITCHES, re.compile(pattern), odds, value)


_CODE_BEFORE: Final = re.compile(
    r"(?:[A-Z]{1,3}-?[0-9]{1,3}[A-Z]?|ATTACHMENTS?|ATT?S?\.?|ATTACH\.?|(?:FLIGHT|PUSHER|SLAT|CLEAT|WING)S?),?$"
)
_REPEATED: Final = re.compile(rf"(?:{LINKS}|[0-9](?:ND|RD|TH)) ?\($")
_STRANDS_BEFORE: Final = re.compile(r"\b(?:STRANDS?|STR\.?|PCS?|PIECES|ROLLS|REELS|LENGTHS|CHAINS?),?$")
_LONGEST_MM: Final = 15_000.0
_BARE_MM: Final = 100.0
_METRIC_LINE: Final = re.compile(r"[0-9] ?(?:MM|CM|M|MTRS?|MET(?:ER|RE)S?)\b")
_COUNT_BEFORE: Final = re.compile(r"(?:^|[^A-Z0-9-])[0-9]{1,3} ?(?:EA\.?|PCS?|ROLLS?|REELS?|STRANDS?|LENGTHS?|OFF)?$")


def _beside_attachment(page: Page, start: int, _end: int) -> float:
    return 1.5 if _CODE_BEFORE.search(page.before(start)) else 0.0


def _not_counted(page: Page, start: int, _end: int) -> float:
    before = page.before(start)
    return -3.0 if _COUNT_BEFORE.search(before) else 1.5 if _CODE_BEFORE.search(before) else 0.0


def _not_per_strand(page: Page, start: int, end: int) -> float:
    """Take "2 strands each 142 ft" for lengths, and what is longer than any spacing."""
    length = millimeters(re.sub(r"^[^0-9.,½¼¾⅛⅜⅝⅞]*", "", page.text[start:end])) or 0.0
    return -5.0 if _STRANDS_BEFORE.search(page.before(start)) or length > _LONGEST_MM else 0.0


def _said_again(page: Page, start: int, _end: int) -> float:
    return 4.0 if _REPEATED.search(page.before(start)) else 0.0


_FORMS: Final = (
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{_ON}{BEGIN}{EACH} {{0,2}}{_N}(?:ST|ND|RD|TH){END}\.?(?: {_WHAT}{LINKS}{END})?"),
        3.2,
        _pitches,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{_ON}{BEGIN}(?:{EACH}|E) ?{_N}[ -]{{0,2}}(?:ND |RD |TH )?{_WHAT}{LINKS}{END}"),
        3.2,
        _pitches,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{_ON}{BEGIN}{EACH} (?P<count>{_ORDINAL_WORD}|{_NUMBER_WORD}){END}(?: {_WHAT}{LINKS}{END})?"),
        2.8,
        _pitches,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{_ON}{BEGIN}{EACH} {_N}(?=[,;)]|\s*$|\n)"),
        0.4,
        _pitches,
        _beside_attachment,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"(?<=[AK][1-3])(?P<span>/ ?{_N} ?{LINKS}){END}"),
        1.5,
        _pitches,
    ),
    _fixed(2, rf"{_ON}{BEGIN}(?:{EACH} OTHER|ALTERNATE)(?: {_WHAT}{LINKS}{END})?", 2.8),
    _fixed(1, rf"{_ON}{BEGIN}{EACH} {_WHAT}{LINKS}{END}", 2.4),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{_ON}{START}{_N} ?-?{LINKS}{END} {{0,2}}{_SPACING}{END}"),
        3.2,
        _pitches,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{BEGIN}(?:SPACING|SPACED|SPCG)[ :=]{{1,2}}(?:AT |EVERY |@ ?|= ?)?{_N} ?-?{LINKS}{END}"),
        3.0,
        _pitches,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"(?:{BEGIN}(?:AT|ON) |@ ?){_N} ?-?{LINKS}{END}"),
        0.2,
        _pitches,
        _not_counted,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{START}{_N}(?:ND|RD|TH) {_WHAT}{LINKS}{END}"),
        1.0,
        _pitches,
        _beside_attachment,
    ),
    Form(
        Field.SPACING_PITCHES,
        re.compile(rf"{START}{_N}(?:ND|RD|TH){END}"),
        -1.2,
        _pitches,
        _beside_attachment,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"{_ON}{START}(?P<length>{LENGTH}) {{0,2}}-?(?:{_CENTERS}|SPACING|SPCG|APART|INTERVALS?){END}"),
        3.2,
        _length,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"{_ON}{START}(?P<bare>[0-9]{{1,4}}(?:\.[0-9]{{1,3}})?) {{0,2}}-?{_CENTERS}{END}"),
        0.3,
        _bare_length,
        _unit_open,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"{BEGIN}(?:SPACED|SPACING|SPCG|O\.?C\.?)[ :=]{{1,2}}(?:AT |EVERY |@ ?|= ?)?(?P<length>{LENGTH})"),
        2.8,
        _length,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"{_ON}{BEGIN}{EACH} (?P<length>{LENGTH})"),
        2.2,
        _length,
        _not_per_strand,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"(?<=\()(?P<length>{LENGTH})(?=\))"),
        -2.5,
        _length,
        _said_again,
    ),
    Form(
        Field.SPACING_LENGTH,
        re.compile(rf"(?:@ ?|{BEGIN}AT )(?P<length>{LENGTH})"),
        0.0,
        _length,
        _not_counted,
    ),
)


def spacings(page: Page) -> Iterator[Candidate]:
    """Give all candidates for attachment spacings in a page.

    "Every 2nd outer link" is four pitches: outer links alone are counted, and every second link is one.
    """
    yield from find(page, _FORMS)
