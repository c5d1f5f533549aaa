"""Finding attachments: their codes, and the plain words for what is bolted or welded to a link."""

import re
from collections.abc import Iterator
from functools import cache
from typing import Final

from chaincase.catalog.attachments import ATTACHMENT_TABLES, load_attachments
from chaincase.reading import cues
from chaincase.reading.candidate import Candidate, Field, Form, Value, find
from chaincase.reading.grammar import BEGIN, EACH, END
from chaincase.reading.page import Page

_WORD: Final = r"(?:ATTACHMENTS?|ATTACHMTS?|ATT(?:ACH)?'(?:MTS?|MENTS?|TS?|S)|ATTACH|ATTS?|ATCH)"
_GLUED: Final = r"(?<=[0-9]H)|(?<=[0-9])(?=S?[AK]-?[1-3])|(?<=[0-9]SS)|(?<=[0-9]NP)"
"""Behind a chain number without a blank."""
_CODE: Final = re.compile(
    rf"(?:(?P<lead>{BEGIN}{_WORD}\.?:? {{0,2}})|{BEGIN}|{_GLUED})"
    rf"(?P<letters>[A-Z]{{1,3}})-?(?P<digits>[0-9]{{1,3}})(?P<suffix>[A-Z]?){END}"
    rf"(?P<behind> {{0,2}}-?{_WORD}{END}\.?(?! ?[SW]?[AKFGD]-?[0-9]{{1,2}}{END}))?"
)
_FAMILIES: Final = {
    2.3: frozenset({"A", "K", "SA", "SK", "WA", "WK", "WSA", "WSK", "GA", "GK", "GNK"}),
    1.6: frozenset({"F"}),
    0.8: frozenset({"RF", "D", "S", "SF", "SD", "RK", "RR", "WR", "G", "H", "L", "M", "T", "TW"}),
}
_LETTERS: Final = {letters: odds for odds, family in _FAMILIES.items() for letters in family}
_SPACED: Final = re.compile(rf" {{0,2}},? ?(?:ON )?(?:{EACH}(?![^\W_])|@|AT\b|SPACED|[0-9]{{1,2}}(?:ND|RD|TH)\b)")
_WITH: Final = re.compile(r"(?:\bW/|\bWITH|\bC/W|&|\bAND|\+|/)$")
_UNITS_NEXT: Final = re.compile(r"(?:BOLTS?|SCREWS?|RPM|HP|KW|STEEL)\b")
_GRADES: Final = re.compile(r"(?:H|D|A|M|S|L|T)1[0-9]|A(?:36|105|193)|M[3-9]|S[0-9]{2}|P[0-9]+|M[124-9][0-9]")

_PLAIN: Final = {
    "pusher": r"PUSHERS?(?: DOGS?)?",
    "wing": r"WINGS?",
    "scraper": r"SCRAPERS?",
    "flight": r"FLIGHTS?|FLTS?",
    "slat": r"SLATS?",
    "bucket": r"BUCKETS?",
    "cleat": r"CLEATS?",
    "crossbar": r"CROSS ?-?BARS?",
}


@cache
def _listed() -> frozenset[str]:
    """Give the codes that the packaged tables have, without dashes."""
    rows = [row for table in ATTACHMENT_TABLES for row in load_attachments(table)]
    codes = {code.replace("-", "") for row in rows for code in (row.attachment, *row.names)}
    return frozenset(code for code in codes if re.fullmatch(r"[A-Z]{1,3}[0-9]+", code))


def attachments(page: Page) -> Iterator[Candidate]:
    """Give all candidates for attachments in a page."""
    for match in _CODE.finditer(page.text):
        odds = _odds(page, match)
        if odds is not None:
            code = match["letters"] + match["digits"] + match["suffix"]
            yield Candidate(Field.ATTACHMENT, code, match.start(), match.end(), odds)
    yield from find(page, _FORMS)


def _odds(page: Page, match: re.Match[str]) -> float | None:
    """Give how far the code and its surroundings speak for an attachment, or None where it cannot be one."""
    letters, digits, code = match["letters"], match["digits"], match["letters"] + match["digits"]
    said = bool(match["lead"] or match["behind"])
    listed = code in _listed()
    if not listed and ((len(digits) > 2 and letters not in {"F", "K"}) or (letters not in _LETTERS and not said)):
        return None
    if _UNITS_NEXT.match(page.after(match.end())):
        return None
    odds = 2.6 if listed else _LETTERS.get(letters, -1.0)
    odds -= 1.2 if len(digits) > 1 and not listed else 0.0
    odds -= 1.0 if match["suffix"] else 0.0
    odds -= 3.0 if _GRADES.fullmatch(code) and not listed else 0.0
    odds += 2.2 if said else 0.0
    odds += 1.0 if _SPACED.match(page.text, match.end()) else 0.0
    odds += 0.8 if _WITH.search(page.before(match.start())) else 0.0
    return odds - (4.0 if cues.numbered_other(page, match.start()) and not said else 0.0)


def _plain_value(name: str) -> Form:
    def value(_match: re.Match[str]) -> Value:
        return name

    pattern = rf"{BEGIN}(?:{_PLAIN[name]}){END}(?P<said> {_WORD}{END}\.?)?"
    return Form(Field.ATTACHMENT, re.compile(pattern), 0.5, value, _with)


def _with(page: Page, start: int, _end: int) -> float:
    return 0.8 if _WITH.search(page.before(start)) else 0.0


_FORMS: Final = tuple(_plain_value(name) for name in _PLAIN)
