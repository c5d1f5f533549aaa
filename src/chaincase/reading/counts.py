"""Finding numbers that count: how many are wanted, strands side by side, teeth."""

import re
from collections.abc import Iterator
from typing import Final

from chaincase.reading.candidate import Candidate, Field, Form, Value, find
from chaincase.reading.grammar import BEGIN, COUNT, END, LENGTH, NUMBERS, START, count
from chaincase.reading.page import Page

_ORDINAL_NEXT: Final = (
    r"(?! {0,2}[0-9]{1,2}(?:ST|ND|RD|TH)\b| OTHER| LINK| PITCH| OUTER| INNER| [0-9]{1,2} ?(?:P|PITCH|LINK))"
)
"""After "2 EA" an ordinal would make it the EA of a spacing."""
_PIECES: Final = (
    r"(?:EA|EACH|PCS?|PIECES?|PCE|OFF|SETS?|ROLLS?|REELS?|COILS?|BOX|BOXES|BXS?|LENGTHS?|UNITS?|NOS|REQ(?:'?D|UIRED|\.)?"
    r"|PKGS?|SPOOLS?)"
)
_OF_PIECES: Final = rf"(?: ?{_PIECES}{END}\.?)?"
_NUMBER: Final = "|".join(NUMBERS)
_LINK_PARTS: Final = (
    r"(?:(?:SPARE|EXTRA|#?[A-Z]{0,4}-?[0-9][0-9A-Z-]{1,8}) ){0,2}"
    r"(?:CONN?(?:ECTING|\.)?|MASTER|OFFSET|HALF|CRANK(?:ED)?|CONNECTOR|C/L|O/L|SPRING|COTTERED)"
    r"[ /-]?(?:LINKS?|LKS?|CLIPS?)?"
)
_HANDS: Final = (
    r"(?:L\.?H\.?|LEFT(?:[ -]?HAND)?)(?: ?[/&+-] ?| AND | )(?:1 ?)?(?:R\.?H\.?|RIGHT(?:[ -]?HAND)?)",
    r"(?:R\.?H\.?|RIGHT(?:[ -]?HAND)?)(?: ?[/&+-] ?| AND | )(?:1 ?)?(?:L\.?H\.?|LEFT(?:[ -]?HAND)?)",
)
_MOST_STRANDS: Final = 24


def _strands(match: re.Match[str]) -> Value | None:
    return count(match) if count(match) <= _MOST_STRANDS else None


def _teeth(match: re.Match[str]) -> Value | None:
    """Take what may be a sprocket: 5 to 200 teeth."""
    return count(match) if 5 <= count(match) <= 200 else None


def _fixed(number: int, pattern: str, odds: float) -> Form:
    return Form(Field.STRANDS, re.compile(rf"{BEGIN}(?:{pattern}){END}"), odds, lambda _match: number)


def _leading(page: Page, start: int, _end: int) -> float:
    return 0.0 if not page.before(start).strip(" (-*") else -3.0


_QUANTITY: Final = (
    (rf"{BEGIN}(?:QTY|QUANTITY|QUAN)\.?[ :=]{{0,3}}\(?(?P<count>[1-9][0-9]{{0,4}}){END}\)?{_OF_PIECES}", 3.5),
    (rf"{COUNT} ?-?{_PIECES}{END}\.?{_ORDINAL_NEXT}", 2.8),
    (rf"{COUNT} ?NO(?:\.|{END})(?! ?[0-9:#A-Z])", 1.2),
    (rf"{COUNT} ?NO\.? (?=X? ?{LENGTH}|STR)", 1.8),
    (rf"{BEGIN}(?P<count>{_NUMBER}) ?(?:\([0-9]{{1,3}}\) ?)?{_PIECES}{END}{_ORDINAL_NEXT}", 2.6),
    (rf"\((?P<count>[1-9][0-9]{{0,2}})\){_OF_PIECES}(?! ?STR)", 1.4),
    (rf"{BEGIN}LOTS? OF (?P<count>[1-9][0-9]{{0,2}}|{_NUMBER})(?: (?:STRANDS?|{_PIECES}){END})?", 2.6),
    (rf"{COUNT} ?[X@] ?(?={LENGTH}|[0-9]{{1,4}} ?(?:P|LINKS|PITCHES){END})", 1.7),
    (rf"{COUNT} (?={_LINK_PARTS}{END})", 1.6),
    (rf"{BEGIN}(?P<count>{_NUMBER}) (?={_LINK_PARTS}{END})", 1.6),
    (rf"{BEGIN}(?:ORDER|NEED|BUY|SUPPLY|FURNISH|QUOTE|REQ) (?P<span>(?P<count>[1-9][0-9]{{0,2}}))(?= )", 1.4),
)
_OF_STRANDS: Final = rf"(?:STRANDS?|STRDS?|STDS?|STRS?|STRANDED|ROWS?|ROWED){END}\.?"
_STRANDS: Final = (
    (rf"(?<!LOT OF )(?:{BEGIN}(?:{_NUMBER}) (?=\())?\(?{COUNT}\)?[ -]?{_OF_STRANDS}", 2.8),
    (rf"{BEGIN}(?P<count>{_NUMBER})[ -]{_OF_STRANDS}", 2.6),
    (rf"{BEGIN}STRANDS?[ :=]{{1,3}}(?P<count>[1-9][0-9]?){END}(?![.,/][0-9])", 1.2),
    (r"(?<=[A-Z0-9] )(?P<span>-(?P<count>[2-9]))(?![\w./'\"-])", 0.8),
    (rf"{BEGIN}MATCHED SETS? OF (?P<count>[2-9]|{_NUMBER}){END}(?: STRANDS?)?", 2.4),
)
_TEETH: Final = (
    (rf"{COUNT} ?-?(?:TEETH|TOOTH|TTH){END}", 3.2),
    (rf"{COUNT}T{END}(?![./])", 2.2),
    (rf"{COUNT} T{END}(?![./])", 0.4),
    (rf"{BEGIN}Z ?[=:]? ?(?P<count>[1-9][0-9]{{0,2}}){END}", 1.6),
    (rf"{BEGIN}(?:TEETH|NO\.? OF TEETH)[ :=]{{1,3}}(?P<count>[1-9][0-9]{{0,2}}){END}", 2.4),
)
_FORMS: Final = (
    *(Form(Field.QUANTITY, re.compile(pattern), odds, count) for pattern, odds in _QUANTITY),
    Form(
        Field.QUANTITY,
        re.compile(rf"{COUNT}(?= {{1,2}}[#A-Z0-9])(?! {{0,2}}(?:X|LINK|PITCH|P|T|STR[A-Z]{{0,6}})\b| ?1/)"),
        0.0,
        count,
        _leading,
    ),
    Form(Field.QUANTITY, re.compile(rf"{START}(?P<count>[1-9][0-9]{{0,2}}) - (?={LENGTH})"), 0.6, count),
    *(Form(Field.STRANDS, re.compile(pattern), odds, _strands) for pattern, odds in _STRANDS),
    _fixed(1, r"SIMPLEX|SINGLE[ -](?:STRANDS?|STR|STRD|ROW)", 3.0),
    _fixed(2, r"DUPLEX|(?:DOUBLE|DBL)[ -](?:STRANDS?|STR|STRD|ROW)", 3.0),
    _fixed(3, r"TRIPLEX|(?:TRIPLE|TPL)[ -](?:STRANDS?|STR|STRD|ROW)", 3.0),
    _fixed(4, r"QUAD(?:RUPLEX)?(?:[ -](?:STRANDS?|STR|ROW))?|QUADRUPLE(?:[ -]STRANDS?)?", 2.2),
    _fixed(1, r"SINGLE(?!-? ?(?:PITCH|HINGE|FLANGE|SIDE|HOLE))", 0.4),
    _fixed(2, r"DOUBLE(?!-? ?(?:PITCH|HINGE|FLANGE|SIDE|HOLE|FLEX))", 0.4),
    _fixed(3, r"TRIPLE", 1.4),
    _fixed(2, r"(?:MATCHED|MATCHING|HANDED)[ -](?:PAIRS?|PR)", 2.2),
    _fixed(2, "|".join(_HANDS), 1.6),
    *(Form(Field.TEETH, re.compile(pattern), odds, _teeth) for pattern, odds in _TEETH),
)


def counts(page: Page) -> Iterator[Candidate]:
    """Give all candidates for quantities, strands and teeth in a page.

    A matched or handed pair is two strands. How many strands a number such as 80-2 has is part of the number.
    """
    yield from find(page, _FORMS)
