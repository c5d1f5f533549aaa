"""The number systems of chain: which texts each of them issues, and what their numbers say.

Patterns are matched against folded text (upper case, Latin look-alikes of Cyrillic letters, plain hyphens,
points for commas). Groups: `pre` and `post` letters around `number`, `half`, `heavy`, `large` (rollers),
`strands`, `pitch`, `lacing`, `form` (roller letter), `type` (roller digit), `words` (roller in words).
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import Final


class System(StrEnum):
    """Who issues the number: the standard, and what its chain is."""

    ISO_606 = "ISO 606 short-pitch"
    B29_1 = "ASME B29.1 short-pitch"
    ISO_1275 = "ISO 1275 double-pitch"
    B29_100 = "ASME B29.100 double-pitch"
    GOST_13568 = "GOST 13568 drive"
    GOST_4267 = "GOST 4267 double-pitch"
    ISO_3512 = "ISO 3512 and ASME B29.10 offset sidebar"
    ISO_4347 = "ISO 4347 leaf"
    B29_8 = "ASME B29.8 leaf"
    JIS_AL = "JIS B 1804 leaf, AL"
    ISO_1977 = "ISO 1977 conveyor"
    GOST_588 = "GOST 588 conveyor"
    GOST_589 = "GOST 589 drop-forged"
    DIN_8165 = "DIN 8165 conveyor, FV"
    BS_4116 = "BS 4116 conveyor"
    ISO_487 = "ISO 487 agricultural"
    ISO_4348 = "ISO 4348 flat-top"
    B29_12 = "ASME B29.12 bushed rollerless"
    B29_11 = "ASME B29.11 combination"
    B29_14 = "ASME B29.14 cast mill"
    PINTLE = "pintle"
    B29_21 = "ASME B29.21 class 700"
    WELDED_MILL = "ISO 6972 and ASME B29.200 welded steel mill"
    WELDED_DRAG = "ISO 6971 and ASME B29.200 welded steel drag"
    B29_22 = "ASME B29.22 rivetless"
    DETACHABLE = "detachable"


class Rollers(StrEnum):
    """What runs on the sprocket, where the designation says it."""

    UNSAID = ""
    BUSH = "bush"
    SMALL = "small roller"
    LARGE = "large roller"
    FLANGED = "flanged roller"


Groups = dict[str, str]
"""What each group of a pattern matched, upper case; empty where it did not take part."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One form of number.

    Attributes
    ----------
    system : System
        Who issues it.
    pattern : str
        Regular expression over folded text, without what may follow.
    pitch : callable
        Pitch that the number says [mm], or None.
    nominal : bool
        Whether that pitch is only nominal: the chain's own differs by up to 2 %.
    strands : int
        Strands where the number names none; 0 where the number system does not count them.
    whole : bool
        The number is kept as it was written, not put together from its parts.
    beside : str
        Standard beside which, and only beside which, the bare number has this meaning; then no other rule
        applies.
    """

    system: System
    pattern: str
    pitch: Callable[[Groups], float | None] = lambda _groups: None
    nominal: bool = False
    strands: int = 0
    whole: bool = False
    beside: str = ""

    def bounded(self) -> re.Pattern[str]:
        """Give the pattern that only matches where the number ends."""
        return re.compile(self.pattern + _ENDS, re.ASCII)


# What may follow a number: nothing, a separator, or a hyphen before a letter (an attachment).
_ENDS: Final = r"(?=$|[\s.,;:/()+]|-[A-Z(])"


def _inches(numerator: int, denominator: int) -> float:
    return float(Fraction(numerator * 254, denominator * 10))


def _sixteenths(groups: Groups) -> float | None:
    """ISO 606: the digits are sixteenths of an inch, but for the metric sizes 03B, 04B and 05B."""
    metric = {"03B": 5.0, "04B": 6.0, "05B": 8.0}
    return metric.get(groups["number"] + groups.get("post", "")) or _inches(int(groups["number"]), 16)


def _eighths(groups: Groups) -> float | None:
    """ASME B29.8 and the AL series: the digits before the lacing are eighths of an inch."""
    return _inches(int(groups["number"]), 8)


def _b29_1(groups: Groups) -> float | None:
    """ASME B29.1: the digits before the last are eighths of an inch."""
    return _inches(int(groups["number"][:-1]), 8)


def _double_iso(groups: Groups) -> float | None:
    """ISO 1275: a 2 before the base chain's sixteenths: twice its pitch."""
    return _inches(int(groups["number"][1:]), 8)


def _double_asme(groups: Groups) -> float | None:
    """ASME B29.100: a 2 before the base chain's number of ASME B29.1."""
    return _inches(int(groups["number"][1:3]), 4)


def _offset(groups: Groups) -> float | None:
    """ASME B29.10M, number rule, from memory: first two digits eighths of an inch, nominal."""
    return _inches(int(groups["number"][:2]), 8)


def _rivetless(groups: Groups) -> float | None:
    """ASME B29.22, number rule, from memory: the first digit is the nominal pitch in inches."""
    return _inches(int(groups["number"][0]), 1)


def _written(groups: Groups) -> float | None:
    """Read the pitch that stands in the designation, in millimeters."""
    return float(groups["pitch"]) if groups.get("pitch") else None


_STRANDS = r"(?:-(?P<strands>[1-9]\d?))?"
_SIZE = r"\d+(?:\.\d+)?"
_GAP = r"[ -]?"
_HALF = r"(?P<half>[ -]*1/2|\.5(?!\d)| ?½)"
_ROLLER = r"(?: +(?P<words>BUSH|(?:SMALL|(?:PLAIN )?LARGE|PLAIN|(?:LARGE )?FLANGED) ROLLERS?))?"
_PITCH = rf"(?: ?[X-] ?(?P<pitch>{_SIZE})(?: ?MM)?)?"
_B29_1_NUMBERS = "25|35|41|40|50|60|80|100|120|140|160|180|200|240"
_KN = "13|20|27|33|54|67|107|134|160|200|267|400"
_LBF = "3000|4500|6000|7500|12000|15000|24000|30000|36000|45000|60000|90000"
_PINTLES = "442|445|452|455|462|477|488|4103|422|434|662|667XH|667[HXK]|88[KC]|308C"
_RIVETLESS = "348|458|468|658|678|698|998|9118"

RULES: Final = (
    Rule(
        System.ISO_606,
        rf"(?P<number>0[1-9]|[1-7]\d)(?P<post>[AB]|(?<=0[46])C)(?P<heavy>H)?{_STRANDS}",
        _sixteenths,
        strands=1,
    ),
    # DIN 8187 writes 03-1 where ISO 606 has 03B-1.
    Rule(System.ISO_606, rf"(?P<number>03){_STRANDS}", lambda _groups: 5.0, strands=1),
    # GOST 13568-97 A.2.2: these take no suffix; DIN 8188 has an 085-2 all the same.
    Rule(System.ISO_606, r"(?P<number>08[1-4])", lambda _groups: 12.7, strands=1),
    Rule(System.ISO_606, rf"(?P<number>085){_STRANDS}", lambda _groups: 12.7, strands=1),
    Rule(System.B29_1, rf"(?P<number>{_B29_1_NUMBERS})(?P<heavy>H)?{_STRANDS}", _b29_1, strands=1),
    Rule(
        System.ISO_1275,
        rf"(?P<pre>C)?(?P<number>2(?:0[1-9]|[1-7]\d))(?P<post>[AB])(?P<heavy>H)?(?P<large>L)?{_STRANDS}",
        _double_iso,
        strands=1,
    ),
    Rule(
        System.B29_100,
        rf"(?P<pre>CA|C|A)?{_GAP}(?P<number>2(?:0[4568]|1[026])[02])(?P<heavy>H)?{_STRANDS}",
        _double_asme,
        strands=1,
    ),
    Rule(
        System.GOST_13568,
        rf"(?P<strands>[2-9])?(?P<pre>ПPИ|ПP|ПB|PRI|PR|PV)[ -]?(?P<pitch>{_SIZE})-(?P<number>{_SIZE})(?:-1)?",
        _written,
        strands=1,
        whole=True,
    ),
    Rule(
        System.GOST_4267,
        rf"(?P<pre>ПPД|PRD)[ -]?(?P<pitch>{_SIZE})-(?P<number>{_SIZE})",
        _written,
        strands=1,
        whole=True,
    ),
    Rule(System.ISO_3512, "(?P<number>2010|2512|2814|3315|3618|4020|4824|5628)", _offset, nominal=True),
    Rule(System.ISO_4347, rf"(?P<pre>LH|LL){_GAP}(?P<number>\d\d)(?P<lacing>[2-9]{{2}}|XX)", _sixteenths),
    Rule(System.B29_8, rf"(?P<pre>BL){_GAP}(?P<number>\d\d?)(?P<lacing>[2-9]{{2}}|XX)", _eighths),
    Rule(System.JIS_AL, rf"(?P<pre>AL){_GAP}(?P<number>\d\d?)(?P<lacing>[2-9]{{2}}|XX)", _eighths),
    Rule(System.ISO_1977, rf"(?P<pre>MC|M) ?(?P<number>\d{{2,4}}){_PITCH}{_ROLLER}", _written),
    Rule(
        System.ISO_1977,
        rf"(?P<pre>MC|M) ?(?P<number>\d{{2,4}})-(?P<form>[BSPF])-?(?P<pitch>{_SIZE})",
        _written,
    ),
    Rule(
        System.ISO_1977,
        rf"(?P<form>[BSPF])-(?P<pre>MC|M) ?(?P<number>\d{{2,4}})-(?P<pitch>{_SIZE})",
        _written,
    ),
    # From memory: number-type-pitch-execution.
    Rule(
        System.GOST_588,
        rf"(?P<pre>MC|M) ?(?P<number>\d{{2,4}})-(?P<type>[1-4])-(?P<pitch>{_SIZE})-[1-3]",
        _written,
    ),
    Rule(System.GOST_589, rf"(?P<pre>[PR][12])-(?P<pitch>{_SIZE})-(?P<number>{_SIZE})", _written, whole=True),
    Rule(System.DIN_8165, rf"(?P<pre>FV) ?(?P<number>\d{{2,3}}){_PITCH}{_ROLLER}", _written),
    Rule(System.BS_4116, rf"(?:(?P<number>{_KN}) ?KN|(?:{_LBF}) ?LBF)", whole=True),
    Rule(System.ISO_487, rf"(?P<pre>S){_GAP}(?P<number>\d\d)(?:-?(?P<heavy>H))?"),
    Rule(System.ISO_487, rf"(?P<pre>CA|A){_GAP}(?P<number>\d{{3}})(?:-?(?P<heavy>H))?"),
    Rule(System.ISO_487, rf"(?P<pre>C){_GAP}(?P<number>550|555|557|620|960)(?:-?(?P<heavy>H))?"),
    Rule(System.ISO_487, "(?P<number>55)(?P<post>V)"),
    Rule(System.ISO_487, r"(?P<number>38\.4)(?P<post>[RV])", lambda _groups: 38.4),
    Rule(System.ISO_4348, r"(?P<pre>C)(?P<number>\d\d)(?P<post>[SD])"),
    Rule(
        System.ISO_4348,
        rf"(?P<pitch>{_SIZE}) ?X ?(?P<number>{_SIZE}) (?:(?:NARROW )?(?:SINGLE|DOUBLE) HINGE|SIDE-FLEX.*)",
        _written,
        whole=True,
    ),
    Rule(System.B29_12, rf"(?P<pre>S){_GAP}(?P<number>[1-9]\d\d){_HALF}?(?P<post>[A-Z])?"),
    Rule(System.B29_12, rf"(?P<number>102){_HALF}"),
    Rule(System.B29_11, rf"(?P<pre>C){_GAP}(?P<number>1\d\d|\d\d){_HALF}?(?P<post>[A-Z])?"),
    Rule(System.B29_14, rf"(?P<pre>H){_GAP}(?P<number>\d{{2,3}})"),
    Rule(System.PINTLE, rf"(?P<number>{_PINTLES})"),
    Rule(System.B29_21, rf"(?P<pre>CS|N)?{_GAP}(?P<number>7[1-9]\d)(?P<post>S)"),
    Rule(System.WELDED_MILL, rf"(?P<pre>WHX|WH|WR|W){_GAP}(?P<number>\d{{2,3}})(?P<heavy>H)?"),
    Rule(System.WELDED_DRAG, rf"(?P<pre>WDR|WDH|WD){_GAP}(?P<number>\d{{3}})(?P<heavy>H)?"),
    Rule(System.B29_22, rf"(?P<pre>X){_GAP}(?P<number>[1-9]\d{{2,3}})", _rivetless, nominal=True),
    Rule(System.B29_22, rf"(?P<number>{_RIVETLESS})", _rivetless, nominal=True),
    Rule(
        System.DETACHABLE,
        r"(?:STEEL|MALLEABLE) (?:DETACHABLE )?(?P<number>\d{2,3})(?P<heavy>H)?",
        whole=True,
    ),
    Rule(System.DETACHABLE, r"(?P<number>\d{2,3})(?P<heavy>H)?", beside="B29.6"),
    Rule(System.DETACHABLE, r"(?P<number>\d{2,3})(?P<heavy>H)?", beside="B29.7"),
)

# Standards' own names, written before a chain number; closed, because "ANSI 100" is a chain number.
STANDARDS: Final = (
    r"606|1275|1977(?:-[123])?|4347|4348|487|3512|6971|6972|6973|228|4116|8150|8152|8153|8154|8165(?:-1)?|8167(?:-1)?|"
    r"8168(?:-1)?|8181|8187(?:-1)?|8188(?:-1)?|8189|13568|4267|588|589|5269|5858|1243|15510|15530|15390|1072|"
    r"B ?1801|B ?1804|B29\.\d{1,3}M?"
)
PREFIX: Final = re.compile(
    r"\s*(?P<standard>(?:BS ISO|BS|ISO|DIN|ANSI(?:/ASME)?|ASME(?:/ANSI)?|JIS|GB/T|GB|IS|SANS|GOST|ГOCT)"
    rf"(?:[ -]?(?:{STANDARDS})(?:[-:]\d{{2,4}})?(?=[\s:]))?)[\s:-]*(?=\S)|\s*"
)
SUFFIX: Final = re.compile(r"(?P<standard>(?:GOST|ГOCT) *\d{3,5}(?:-\d{2,4})?)\s*$")
