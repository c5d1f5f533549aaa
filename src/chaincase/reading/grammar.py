"""The shared pieces of the patterns: where a word or a number may begin and end, amounts, lengths, counts.

Every repetition is bounded, so that no text makes matching slow.
"""

import re
from fractions import Fraction
from typing import Final

from chaincase.errors import BadInput
from chaincase.units import parse_length

BEGIN: Final = r"(?<![^\W_])"
"""A word begins here."""
END: Final = r"(?![^\W_])"
"""A word has ended here."""
START: Final = r"(?:(?<![^\W_])|(?<=[0-9 ]X))(?<![A-Z0-9]-)(?<![0-9][.,/])"
"""A number begins here: not within a code such as K-2 or 80-2, but also in 2x40."""
COUNT: Final = rf"{START}(?P<count>[1-9][0-9]{{0,3}})"
"""A whole number without a zero in front."""
_VULGAR: Final = "½⅓⅔¼¾⅛⅜⅝⅞"
AMOUNT: Final = (
    r"(?:[0-9]{1,3}(?:,[0-9]{3}){1,2}(?![0-9])|[0-9]{1,2}[ -]{1,2}[0-9]{1,2}/[0-9]{1,3}|[0-9]{1,2}/[0-9]{1,3}"
    rf"|[0-9]{{0,2}} ?[{_VULGAR}]|[0-9]{{1,6}}(?:[.,][0-9]{{1,4}})?|[.,][0-9]{{1,4}})"
)
"""A number as parts lists write them: 1,200; 2-1/2; 3/8; 1½; 19.05; .75."""
_FEET: Final = rf"(?:'(?!')|(?:FEET|FOOT|FT|LFT|LIN\.? ?FT|LF){END}\.?)"
_INCHES: Final = rf"(?:\"|''|(?:INCHES|INCH|INS|IN){END}\.?)"
_METRIC: Final = rf"(?:(?:MILLIMET(?:ER|RE)S?|MM|CM|MET(?:ER|RE)S?|MTRS?|M){END}\.?)"
FEET: Final = rf"{AMOUNT} {{0,2}}-?{_FEET}(?: {{0,2}}-? ?{AMOUNT} ?{_INCHES})?"
INCHES: Final = rf"{AMOUNT} {{0,2}}-?{_INCHES}"
METRIC: Final = rf"{AMOUNT} {{0,2}}{_METRIC}"
LENGTH: Final = rf"(?:{FEET}|{INCHES}|{METRIC})"
"""An amount with its unit."""
EACH: Final = r"(?:EVERY|EVRY|EVERT|EACH|EA\.?|EV\.?|E(?:A|V)?/(?=[0-9]))"
LINKS: Final = r"(?:PITCHES|PITCHS|PITCH|PIT\.?|LINKS|LINK|LNKS?|LKS|LK|P)"

_NUMBERS: Final = ("ONE", "TWO", "THREE", "FOUR", "FIVE", "SIX", "SEVEN", "EIGHT", "NINE", "TEN", "ELEVEN", "TWELVE")
_ORDINALS: Final = (
    *("SECOND", "THIRD", "FOURTH", "FIFTH", "SIXTH", "SEVENTH"),
    *("EIGHTH", "NINTH", "TENTH", "ELEVENTH", "TWELFTH"),
)
NUMBERS: Final = {name: number for number, name in enumerate(_NUMBERS, start=1)}
ORDINALS: Final = {name: number for number, name in enumerate(_ORDINALS, start=2)}

_WORDS: Final = ((r"LIN\.? ?FT|LFT|LF", "FT"), (r"MTRS?", "M"), (r"INS", "IN"))
_UNITS: Final = tuple((re.compile(rf"(?<![A-Z])(?:{short}){END}\.?"), unit) for short, unit in _WORDS)
_DASHED_UNIT: Final = re.compile(r"(?<=[0-9])-(?=['\"A-Z])")
_THOUSANDS: Final = re.compile(r"(?<=[0-9]),(?=[0-9]{3})")


def millimeters(written: str) -> float | None:
    r"""Give a folded length with its unit [mm], or None where it is none.

    >>> millimeters("120'-0\""), millimeters("1,200 FT"), millimeters("3,05 MTR"), millimeters("2-1/2 IN")
    (36576.0, 365760.0, 3050.0, 63.5)
    """
    for pattern, unit in _UNITS:
        written = pattern.sub(unit, written)
    written = _DASHED_UNIT.sub(" ", written)
    for text in (written, _THOUSANDS.sub("", written)):
        try:
            return parse_length(text).mm()
        except BadInput:
            continue
    return None


def amount(written: str) -> Fraction | None:
    """Give a folded number without unit, exactly, or None where it is none.

    >>> amount("1-1/4"), amount("2.609")
    (Fraction(5, 4), Fraction(2609, 1000))
    """
    try:
        return parse_length(written).value
    except BadInput:
        return None


def count(match: re.Match[str]) -> int:
    """Give the whole number of the group `count`, in digits or as a word."""
    word = match["count"].upper()
    return NUMBERS.get(word) or ORDINALS.get(word) or int(word)
