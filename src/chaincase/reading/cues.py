"""What the words around a number say about it: a chain number, or something else that is numbered.

Weights are log odds, set by hand on invented order lines (common practice, no source).
"""

import re
from typing import Final

from chaincase.reading.grammar import END
from chaincase.reading.page import Page

_OTHER_NUMBER: Final = re.compile(
    r"(?:\b(?:P/?N|PART|ITEM|ITM|P\.?O|W/?O|ORDER|DWG|DRAWING|PRINT|REV|LINE|CONV|CONVEYOR|BIN|ACCT|STOCK|STK|MTR|MOTOR"
    r"|TAG|EQUIP|UNIT|PAGE|ROOM|BLDG|BUILDING|SER|SERIAL|S/N|DATE|JOB|REQ|VENDOR|MODEL|MACHINE|MACH|ELEV|ELEVATOR|BAY"
    r"|ROW|SHELF|PHONE|TEL|ZONE|DEPT|PLANT|MILL|KILN|BOILER|ASSET|PUMP|GEARBOX|BEARING|BRG|BELT|DRUM|SKU|MATL|DRIVE|POS"
    r"|SEE|STATION)"
    r"[ .:#-]{0,3}(?:NO\.?|NUM(?:BER)?|NBR)?[ .:#-]{0,3}|[$€£] ?)$"
)
_COUNTED_BEFORE: Final = re.compile(
    r"\b(?:QTY|QUANTITY|QUAN|EVERY|EACH|(?<![0-9])(?<![0-9] )EA|LOT OF|PITCH|P|L|LENGTH|WIDTH|BORE)[ .:=]{0,3}$"
)
_NUMBERED: Final = re.compile(r"(?:\b(?:CHAIN|CHN|SIZE|TYPE|SERIES|NO\.?|NUMBER)[ .:#-]{0,3}|#)$")
_CHAIN: Final = re.compile(r"\b(?:CHAINS?|CHN|SPROCKETS?|SPKT)\b")
_MEASURED: Final = re.compile(
    r"-?(?:['\"%°]|(?:FEET|FOOT|FT|LF|IN|INS|INCH|INCHES|MM|CM|M|MTRS?|METERS?|LINKS?|LKS?|PITCH(?! ?[:=]? ?[0-9])"
    r"|PITCHES|P|EA|EACH|PCS?|PIECES?|OFF|SETS?|STRANDS?|STR|LBS?|KG|KGS|KN|N|RPM|HP|KW|FPM|V|VOLTS?|HZ|T|TEETH|TOOTH|TON|TONS|TPH|DEG|HRC|BHN"
    rf"|REQ'?D|NOS|ROLLS?|REELS?|BOX|BOXES|UNITS?|YRS?|HOURS?|HRS|DAYS?|LENGTHS?|X [0-9]){END})"
)
_CHAIN_FOLLOWS: Final = re.compile(
    r"(?:(?:STANDARD|STD|HEAVY|SERIES|HVY|STEEL|STAINLESS|SS|SINGLE|DOUBLE|DUPLEX|TRIPLEX|SIMPLEX|ROLLER|RLR|DRIVE|CONVEYOR"
    r"|CONV|MILL|DRAG|PINTLE|DETACHABLE|LEAF|BUSHED|COMBINATION|ENGINEERING|CLASS|OFFSET|WELDED|HOLLOW|PIN|PITCH|CAST"
    r"|MALLEABLE|NICKEL|PLATED|BUSHING) ){0,4}(?:CHAINS?|CHN|SPROCKETS?|SPKT)\b"
)
_PART_FOLLOWS: Final = re.compile(
    r"[ -]?(?:RIV|RIVETED|COT|COTTERED|CONN|CONNECTING|MASTER|OFFSET|HALF|CL\b|OL\b|C/L|O/L|HP\b|HOLLOW|W/|WITH\b|ATT"
    r"|SS\b|SIMPLEX|DUPLEX|TRIPLEX|STRAND|[SW]?[AK]-?[12]\b)|[ -]{0,3}[X@] ?(?=[0-9])"
)
_THREADED: Final = re.compile(r"(?: ?X ?[0-9.]{1,5})? {0,2}(?:BOLTS?|SCREWS?|NUTS?|THREADS?|STUDS?|TAP)")
_BOLT_BEFORE: Final = re.compile(r"\b(?:BOLTS?|SCREWS?|NUTS?|STUDS?)$")
_DETACHABLE: Final = re.compile(r"\bDET(?:ACH(?:ABLE)?)?\b")


def around(page: Page, start: int, end: int) -> float:
    """Give what the words around a span say for its being a chain number [log odds]."""
    before, after = page.before(start), page.after(end, 60)
    if _OTHER_NUMBER.search(f"{before} "):
        return -4.0
    odds = 1.7 if _NUMBERED.search(before) else 0.0
    odds += 1.3 if _CHAIN_FOLLOWS.match(after) else 0.0
    odds += 1.5 if _PART_FOLLOWS.match(page.text, end) else 0.0
    odds += 0.7 if _first(page, start) else 0.0
    return odds + (0.6 if _CHAIN.search(page.text, max(page.line_start(start), start - 80), end + 80) else 0.0)


def measured(page: Page, start: int, end: int) -> float:
    """Give what speaks for a bare number's counting or measuring something [log odds, against a chain number]."""
    before = page.before(start)
    against = 4.5 if _MEASURED.match(page.after(end)) else 0.0
    return against + (4.0 if _COUNTED_BEFORE.search(before) else 0.0)


def threaded(page: Page, start: int, end: int) -> bool:
    """Tell whether a bolt or nut beside a number such as M20 makes it a thread."""
    return _THREADED.match(page.text, end) is not None or _BOLT_BEFORE.search(page.before(start)) is not None


def detachable(page: Page, start: int, end: int) -> bool:
    """Tell whether detachable chain is spoken of nearby."""
    return _DETACHABLE.search(page.text, max(page.line_start(start), start - 40), end + 40) is not None


def numbered_other(page: Page, start: int) -> bool:
    """Tell whether the words before say that another thing than a chain is numbered: part, order, drawing, line."""
    return _OTHER_NUMBER.search(f"{page.before(start)} ") is not None


def _first(page: Page, start: int) -> bool:
    return not page.before(start).strip(" (-*")
