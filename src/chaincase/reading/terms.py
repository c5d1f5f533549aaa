"""Finding materials, coatings and features by the words that the trade has for them (common practice, no source)."""

import re
from collections.abc import Iterator
from typing import Final

from chaincase.reading import cues
from chaincase.reading.candidate import Candidate, Field, Form, find
from chaincase.reading.grammar import BEGIN, END
from chaincase.reading.page import Page

_GLUED: Final = r"(?<=[0-9])(?<![A-Z][0-9])|(?<=[0-9]H)"
"""Behind a chain number without a blank."""
_TAIL: Final = r"(?=X ?[0-9]|S?[AK][1-3]|[^\w]|$)"
_STAINLESS: Final = r"(?:[ -]?(?:SS|S/S|STAINLESS(?: STEEL)?|SST|ST\.? ?STL))"
_GRADES: Final = (303, 304, 316, 410, 416, 420, 430)

_MATERIALS: Final = (
    ("stainless steel", r"STAINLESS(?: STEEL| STL)?|STNLS(?: STL)?|STN STL|S/S|S\.S|SST", 3.0),
    ("stainless steel", r"SS", 2.3),
    *((f"{grade} stainless steel", rf"(?:(?:AISI|TYPE|TP|GR|T)[ -]?)?{grade}L?{_STAINLESS}", 3.2) for grade in _GRADES),
    *(
        (f"{grade} stainless steel", rf"SS[ -]?{grade}L?|STAINLESS(?: STEEL)? (?:TYPE )?{grade}L?", 3.2)
        for grade in _GRADES
    ),
    *((f"{grade} stainless steel", rf"(?:AISI|TYPE|TP|T)[ -]?{grade}L?", 2.2) for grade in _GRADES),
    *((f"{grade} stainless steel", rf"{grade}L?", 0.5 if grade in {304, 316} else -0.8) for grade in _GRADES),
    ("17-4PH stainless steel", rf"17-4(?: ?-?PH)?{_STAINLESS}?", 2.6),
    ("malleable iron", r"MALLEABLE(?: IRON)?|MALL\.?(?: IRON)?|M\.I\.", 2.0),
    ("cast steel", r"CAST STEEL|CAST STL|STEEL CASTINGS?", 2.8),
    ("cast iron", r"CAST IRON|GREY IRON|GRAY IRON", 2.6),
    ("ductile iron", r"DUCTILE(?: IRON)?", 2.4),
    ("manganese steel", r"MANGANESE(?: STEEL)?|MN STEEL", 2.4),
    ("carbon steel", r"CARBON STEEL|C\.? ?STL|C/S|MILD STEEL|PLAIN STEEL|CARB STL", 2.2),
    ("alloy steel", r"ALLOY(?: STEEL| STL)?", 1.8),
    ("steel", r"(?:ALL )?STEEL|STL", 0.2),
    ("heat treated", r"HEAT[ -]?TREAT(?:ED|MENT)?|HT[ -]?TR(?:EATED|TD)?|H/T|H\.T\.|HT\.? TREATED", 2.8),
    ("heat treated", r"HT", 0.8),
    ("case hardened", r"CASE[ -]?HARD(?:ENED)?|CASE HDN|CARBURI[SZ]ED|C/H", 2.4),
    ("through hardened", r"(?:THRU|THROUGH)[ -]?HARD(?:ENED)?", 2.6),
    ("induction hardened", r"(?:INDUCTION|IND\.?)[ -]?HARD(?:ENED)?", 2.6),
    ("hardened", r"HARDENED|HDN", 0.9),
    ("bronze", r"BRONZE|BRZ", 1.6),
    ("acetal", r"ACETAL|POM", 1.8),
    ("nylon", r"NYLON", 2.0),
    ("plastic", r"PLASTIC|POLY", 1.0),
)
_PLATED: Final = r"(?:[ -]?(?:PLATED|PLATE|PLTD|PLT|PL|COATED|FINISH))"
_COATINGS: Final = (
    ("nickel plated", rf"(?:ELECTROLESS )?NICKEL{_PLATED}|NI[ -]PL(?:ATED|TD|T)?|N/P|N\.P", 3.0),
    ("nickel plated", r"NICKEL", 1.2),
    ("nickel plated", r"NP", 1.5),
    ("zinc plated", rf"ZINC{_PLATED}|ZN[ -]?PL(?:ATED|TD|T)?|Z/P|ELECTRO-?GALV(?:ANI[SZ]ED)?", 3.0),
    ("zinc plated", r"ZINC", 0.8),
    ("zinc plated", r"ZP", 0.8),
    ("zinc flake", r"ZINC[ -]?FLAKE(?: COATED)?", 3.0),
    ("galvanized", r"(?:HOT[ -]DIP(?:PED)? )?GALV(?:ANI[SZ]ED|'?D)?|HDG", 2.4),
    ("black oxide", r"BLACK[ -]OXIDED?|BLK OX(?:IDE)?", 2.6),
    ("chrome plated", rf"CHROME{_PLATED}|HARD CHROME", 2.4),
    ("cadmium plated", rf"CAD(?:MIUM)?{_PLATED}", 2.4),
    ("phosphated", r"PHOSPHATED?", 2.0),
    ("painted", r"PAINTED", 1.6),
)
_LINK: Final = r"(?:LINKS?|LKS?)"
_BARS: Final = r"(?:SIDE[ -]?(?:BARS?|PLATES?))"
_PINS: Final = r"(?:[ -]?PINS?)"
_ROLLER: Final = r"(?:[ -](?:ROLLERS?|RLRS?))"
_FEATURES: Final = (
    ("riveted", r"RIVETED|RIVET|RIVTD|RVTD|RIV\.?|RVT", 2.6),
    ("cottered", r"COTTERED|COTTERS?(?: PINS?)?|COTT?\.?|CTRD", 2.4),
    ("hollow pin", rf"HOLLOW{_PINS}|HLW{_PINS}", 3.0),
    ("hollow pin", r"HP", 0.4),
    ("offset link", rf"OFF-?SET {_LINK}|HALF {_LINK}|1/2 {_LINK}|O[/.]?S\.? {_LINK}|O/L|OFFSETS", 2.8),
    ("offset link", rf"CRANK(?:ED)?[ /-]{_LINK}", 2.8),
    ("offset link", r"OFFSET(?! ?(?:SIDE|LINK|DRIVE|CHAIN|BAR|S/?\.?B))", 0.2),
    ("offset link", r"OL", 0.6),
    ("offset sidebar", rf"OFF-?SET(?: {_BARS}| S[/.]?B\.?)|CRANKED[ -](?:PLATES?|{_BARS})", 2.6),
    ("connecting link", rf"CONN?(?:ECTING|ECTOR|\.)?[ /-]{_LINK}|CON\. {_LINK}|MASTER {_LINK}|C/L", 2.8),
    ("connecting link", rf"SPRING CLIP(?: {_LINK})?|CONNECTORS?", 2.4),
    ("connecting link", r"CL", 0.7),
    ("extended pin", rf"EXT(?:ENDED|D|\.)?{_PINS}|EXTD? PINS?", 2.8),
    ("sealed", r"SEALED(?:[ -](?:JOINTS?|PINS?|CHAIN))?|O-?RINGS?|SEALS?", 1.8),
    ("greaseable", r"GREASE?ABLE|(?:GREASE|LUBE) (?:FITTINGS?|NIPPLES?|PORTS?|HOLES?)|RELUBRICABLE", 2.6),
    ("hard faced", r"HARD[ -]?FACED?|HARD[ -]?FACING|HARD[ -]?SURFACED", 2.8),
    ("self lubricating", r"SELF[ -]?LUB(?:E|ED|RICATING|RICATED)?|LUBE[ -]?FREE|OIL[ -]?IMPREGNATED", 2.6),
    ("self lubricating", r"SINTERED BUSH(?:ING)?S?|MAINTENANCE[ -]FREE", 2.2),
    ("headed pin", rf"(?:T-?)?HEADED{_PINS}|T-?HEAD{_PINS}?", 2.0),
    ("chrome pin", rf"CHROMED?{_PINS}", 2.4),
    ("flanged roller", rf"(?:FLANGED|FLG'?D?){_ROLLER}", 2.6),
    ("large roller", rf"(?:LARGE|LRG|OVERSIZED?|CARRIER){_ROLLER}|O/S{_ROLLER}", 2.2),
    ("small roller", rf"SMALL{_ROLLER}", 2.2),
    ("outboard roller", rf"(?:OUTBOARD|OUTRIGGER|SIDE|TOP){_ROLLER}", 2.0),
    ("straight sidebar", r"STRAIGHT[ -]SIDE[ -]?(?:BARS?|PLATES?)", 2.4),
    ("double pitch", r"(?:DOUBLE|DBL)[ -]PITCH", 2.6),
    ("heavy series", r"(?:HEAVY|HVY)(?:[ -](?:SERIES|DUTY))?|HD", 1.2),
    ("side flexing", r"SIDE[ -]?(?:FLEX(?:ING)?|BOW)|CURVED CHAIN", 2.2),
    ("welded", r"WELDED", 1.0),
    ("matched strands", r"(?:LENGTH[ -])?MATCHED(?: STRANDS?| LENGTHS?)?(?! ?-?(?:PAIRS?|PR|SETS?)\b)", 2.0),
)
_TABLES: Final = ((Field.MATERIAL, _MATERIALS), (Field.COATING, _COATINGS), (Field.FEATURE, _FEATURES))
_GLUED_TABLE: Final = (
    (Field.MATERIAL, "stainless steel", "SS", 2.4),
    (Field.MATERIAL, "heat treated", "HT", 1.2),
    (Field.COATING, "nickel plated", "NP", 2.0),
    (Field.COATING, "zinc plated", "ZP", 1.4),
    (Field.FEATURE, "riveted", "RIV|R", 1.5),
    (Field.FEATURE, "cottered", "COT|C", 1.2),
    (Field.FEATURE, "hollow pin", "HP", 1.2),
)
_BEFORE_NUMBER: Final = (
    (Field.MATERIAL, "stainless steel", "SS", 2.4),
    (Field.COATING, "nickel plated", "NP", 2.0),
    (Field.COATING, "zinc plated", "ZP", 1.2),
)
_KEYWAY: Final = re.compile(r"\b(?:KW|KEYWAY|K) ?(?:&|AND|\+|/)?$")
_LOAD: Final = re.compile(r"(?:^|[^A-Z0-9#-])[0-9.]+$")


def _power(page: Page, start: int, end: int) -> float:
    """Read "15 HP" as horsepower, "HT 2.5 in" as a height, "420 FT" as a length, "KW & SS" as keyway and setscrew."""
    text = page.text[start:end]
    if text == "HP" and _LOAD.search(page.before(start)):
        return -2.5
    if text == "HT" and re.match(r"[ =:]{0,2}[0-9]", page.text[end : end + 4]):
        return -2.0
    if text.rstrip("L").isdecimal() and cues.measured(page, start, end):
        return -6.0
    if text == "SS" and _KEYWAY.search(page.before(start)):
        return -4.0
    return 0.0


def _form(field: Field, value: str, pattern: str, odds: float) -> Form:
    return Form(field, re.compile(pattern), odds, lambda _match: value, _power)


_FORMS: Final = (
    *(
        _form(field, value, rf"{BEGIN}(?:{pattern}){END}", odds)
        for field, table in _TABLES
        for value, pattern, odds in table
    ),
    *(_form(field, value, rf"(?:{_GLUED})(?:{pattern}){_TAIL}", odds) for field, value, pattern, odds in _GLUED_TABLE),
    *(_form(field, value, rf"{BEGIN}{pattern}(?=[0-9]{{2}})", odds) for field, value, pattern, odds in _BEFORE_NUMBER),
)


def terms(page: Page) -> Iterator[Candidate]:
    """Give all candidates for materials, coatings and features in a page."""
    yield from find(page, _FORMS)
