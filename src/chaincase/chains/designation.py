"""The grammar of chain designations, apart from any catalog: one number, its parts, and its spellings.

A designation names a chain; whether such a chain exists is the catalog's to say. `parse_designation` reads a
clean designation; a stamp with illegible characters is compared by `key` instead.
"""

import re
from dataclasses import dataclass
from typing import Final

from chaincase.chains.numbering import PREFIX, RULES, SUFFIX, Groups, Rollers, Rule, System
from chaincase.errors import BadInput

LONGEST_TEXT: Final = 200
"""Characters; whatever is longer is not one designation."""

CYRILLIC: Final = "АВЕКМНОРСТХ"
"""Cyrillic capitals that a stamp cannot tell from Latin ones ..."""
LATIN: Final = "ABEKMHOPCTX"
"""... and those Latin ones, in the same order. П, И and Д have no Latin look-alike."""

_DASHES: Final = "‐‑‒–—−"


@dataclass(frozen=True, slots=True)
class Designation:
    """One chain number, read.

    Attributes
    ----------
    text : str
        As written.
    system : System
        Number system that issues such numbers.
    base : str
        The number without standard, strands, pitch, roller form and attachments: 16B, 80H, C2060H, S102-1/2.
    series : str
        Its letters, in their order, without those for heavy plates and large rollers.
    number : str
        Its digits; 102.5 for 102-1/2.
    strands : int
        Number of strands; 0 where the number system does not count them.
    pitch_mm : float or None
        Pitch that the designation itself says [mm]; None where one must look it up.
    pitch_is_nominal : bool
        The pitch is a size class; the chain's own differs by up to 2 % (offset sidebar, rivetless).
    rollers : Rollers
        Roller form, where the designation says it.
    heavy : bool
        Heavy series (H).
    lacing : tuple of int or None
        Leaf chain: plates in the outer pitch, plates in the inner pitch.
    standard : str
        Standard named beside the number, as written; may be empty.
    rest : str
        What follows and was not read: attachments, spacing, remarks.
    """

    text: str
    system: System
    base: str
    series: str
    number: str
    strands: int
    pitch_mm: float | None
    pitch_is_nominal: bool
    rollers: Rollers
    heavy: bool
    lacing: tuple[int, int] | None
    standard: str
    rest: str

    def __str__(self) -> str:
        """Give the one spelling that this tool writes."""
        if self.system is System.ISO_606:
            return self.base if self.base in _SINGLE_ONLY and self.strands == 1 else f"{self.base}-{self.strands}"
        if self.strands > 1 and self.system not in _WHOLE:
            return f"{self.base}-{self.strands}"
        if self.system in _SIZED and self.pitch_mm is not None:
            return f"{self.base}x{self.pitch_mm:g} {self.rollers}".rstrip()
        return self.base

    def __lt__(self, other: "Designation") -> bool:
        return self._order() < other._order()

    def _order(self) -> tuple[int, str, float, bool, int, float, str]:
        place = list(System).index(self.system)
        number, pitch = float(self.number or 0), self.pitch_mm or 0.0
        return place, self.series, number, self.heavy, self.strands, pitch, self.text


# GOST 13568-97 A.2.2: single strand only, without a suffix. 085 is the one that tables list with two strands.
_SINGLE_ONLY: Final = frozenset({"081", "082", "083", "084", "085"})
_SIZED: Final = frozenset({System.ISO_1977, System.GOST_588, System.DIN_8165})
_WHOLE: Final = frozenset(rule.system for rule in RULES if rule.whole)
_BOUNDED: Final = tuple((rule, rule.bounded()) for rule in RULES)
_NUMBERED: Final = re.compile(
    "|".join(f"(?:{re.sub(r'[(][?]P<[a-z]+>', '(?:', pattern.pattern)})" for _, pattern in _BOUNDED), re.ASCII
)
"""What any of the rules reads: most names of a large catalog are read by none, which one look then tells."""
_LETTERS: Final = {"B": Rollers.BUSH, "S": Rollers.SMALL, "P": Rollers.LARGE, "F": Rollers.FLANGED}
_TYPES: Final = {"1": Rollers.BUSH, "2": Rollers.SMALL, "3": Rollers.LARGE, "4": Rollers.FLANGED}
_BEGIN: Final = re.compile(r"[2-9]?[A-ZИПД]{0,3}[ -]?\d+", re.ASCII)
_DECIMAL_COMMA: Final = re.compile(r"(?<=\d),(?=\d)")

_FOLD: Final = (
    {ord(letter): letter.upper() for letter in "abcdefghijklmnopqrstuvwxyzабвгдежзийклмнопрстуфхцчшщъыьэюя"}
    | {ord(c): latin for c, latin in zip(CYRILLIC + CYRILLIC.lower(), LATIN * 2, strict=True)}
    | dict.fromkeys(map(ord, _DASHES), "-")
    | dict.fromkeys(map(ord, "\t\u00a0\u2009\u202f"), " ")
    | {ord(","): ".", ord("×"): "X", ord("⁄"): "/"}
)


def parse_designation(text: str, *, where: str = "") -> Designation:
    """Read one clean designation.

    Where several number systems fit, the one that reads more of the text wins. What follows the number
    after a separator is kept unread in `rest`.

    Parameters
    ----------
    text : str
        With or without the standard before it: "16B-2", "ANSI 80H-2", "М112-2-100-1 GOST 588-81".
    where : str
        Where the text stands, for the error.

    Raises
    ------
    BadInput
        If no number system known here issues such a number; the error names the first character that does not
        fit, counted from 1.

    >>> duplex = parse_designation("ANSI 80H-2")
    >>> duplex.system, duplex.base, duplex.strands, duplex.pitch_mm
    (<System.B29_1: 'ASME B29.1 short-pitch'>, '80H', 2, 25.4)
    >>> parse_designation("M56-F-100").rollers
    <Rollers.FLANGED: 'flanged roller'>
    """
    if len(text) > LONGEST_TEXT:
        raise _fault(text, f"has {len(text)} characters", LONGEST_TEXT, where)
    found = _read(text)
    if found is None:
        folded = text.translate(_FOLD)
        raise _unreadable(text, folded, _behind_standard(PREFIX.match(folded)), where)
    return found


def _read(text: str) -> Designation | None:
    """Read one designation; None if no number system known here issues such a number."""
    folded = text.translate(_FOLD)
    prefix = PREFIX.match(folded)
    start = _behind_standard(prefix)
    if not _NUMBERED.match(folded, start):
        return None
    standard = text[prefix.start("standard") : prefix.end("standard")] if prefix and prefix["standard"] else ""
    rules = _rules_beside(standard)
    matches = [(rule, match) for rule, pattern in rules if (match := pattern.match(folded, start))]
    if not matches:
        return None
    rule, match = max(matches, key=lambda found: found[1].end())
    return _designation(text, standard, rule, match)


def _behind_standard(prefix: re.Match[str] | None) -> int:
    return prefix.end() if prefix else 0


def _rules_beside(standard: str) -> list[tuple[Rule, re.Pattern[str]]]:
    """Give the rules that hold beside a standard; most hold beside any."""
    named = standard.upper().rstrip("M").split()[-1:]
    only = [entry for entry in _BOUNDED if entry[0].beside and entry[0].beside in named]
    return only or [entry for entry in _BOUNDED if not entry[0].beside]


def _designation(text: str, standard: str, rule: Rule, match: re.Match[str]) -> Designation:
    number = text[slice(*match.span())]
    groups = {name: text[slice(*match.span(name))].upper() for name in match.groupdict() if match[name]}
    if "number" in groups:
        groups["number"] = groups["number"].replace(",", ".")
    folded: Groups = {name: value for name, value in match.groupdict().items() if value}
    tail = match.string[match.end() :]
    suffix = SUFFIX.search(tail)
    rest = text[match.end() : match.end() + suffix.start() if suffix else len(text)]
    if suffix and not standard:
        standard = text[match.end() + suffix.start("standard") :].strip()
    return Designation(
        text=text,
        system=_system(rule, groups),
        base=_DECIMAL_COMMA.sub(".", number) if rule.whole else _base(groups),
        series=groups.get("pre", "") + groups.get("post", ""),
        number=groups.get("number", "") + (".5" if "half" in groups else ""),
        strands=int(groups.get("strands", rule.strands)),
        pitch_mm=rule.pitch(folded),
        pitch_is_nominal=rule.nominal,
        rollers=_rollers(folded, rule.system),
        heavy="heavy" in groups,
        lacing=_lacing(groups.get("lacing", "")),
        standard=standard,
        rest=rest.strip(" \t.,;:/()+-"),
    )


def _system(rule: Rule, groups: Groups) -> System:
    """Tell GOST 588 from ISO 1977 by its letters, where they were typed and not stamped."""
    cyrillic = rule.system is System.ISO_1977 and not groups["pre"].isascii()
    return System.GOST_588 if cyrillic else rule.system


def _base(groups: Groups) -> str:
    half = "-1/2" if "half" in groups else ""
    parts = [groups.get(name, "") for name in ("number", "post", "heavy", "large", "lacing")]
    return groups.get("pre", "") + parts[0] + half + "".join(parts[1:])


def _rollers(groups: Groups, system: System) -> Rollers:
    """Read the roller form: DIN 8167 practice (letter), GOST 588-81 clause 1.1 (digit), or in words."""
    if system in {System.ISO_1977, System.GOST_588, System.DIN_8165}:
        words = groups.get("words", "").split()
        for word, letter in (("FLANGED", "F"), ("SMALL", "S"), ("LARGE", "P"), ("PLAIN", "P"), ("BUSH", "B")):
            if word in words:
                return _LETTERS[letter]
        return _LETTERS.get(groups.get("form", "")) or _TYPES.get(groups.get("type", "")) or Rollers.UNSAID
    # ISO 1275: L is the large roller; ASME B29.100: the last digit is 0 for small and 2 for large rollers.
    if "large" in groups or (system is System.B29_100 and groups["number"][-1] == "2"):
        return Rollers.LARGE
    return Rollers.SMALL if system in {System.ISO_1275, System.B29_100} else Rollers.UNSAID


def _lacing(digits: str) -> tuple[int, int] | None:
    """ISO 4347:2015 clause 3: plates in the outer pitch, then in the inner pitch."""
    return (int(digits[0]), int(digits[1])) if digits.isdecimal() else None


def _unreadable(text: str, folded: str, start: int, where: str) -> BadInput:
    """Point behind the longest piece that begins like a number."""
    ends = [match.end() for rule in RULES if (match := re.compile(rule.pattern, re.ASCII).match(folded, start))]
    begin = _BEGIN.match(folded, start)
    end = max([*ends, begin.end() if begin else start])
    if not text.strip():
        return _fault(text, "is empty", end, where)
    wildcard = next((at for at, character in enumerate(text) if character in "?*"), None)
    if wildcard is not None:
        return _fault(text, f"has the illegible place {text[wildcard]!r}", wildcard, where)
    if end == len(text):
        return _fault(text, "is no chain number known here", start, where)
    return _fault(text, f"does not read as a chain number from {text[end]!r} on", end, where)


def _fault(text: str, what: str, at: int, where: str) -> BadInput:
    shown = text if len(text) <= 40 else f"{text[:37]}..."
    right = "write a chain number such as 16B-2, 80H, WR124 or M112x160"
    fault = BadInput(f"{shown!r} {what}", where=f"character {at + 1}", right=right)
    return fault.within(where) if where else fault


_SEPARATORS: Final = f" \t\n\r\u00a0\u2009\u202f.,;:/\\_()+#'\"-{_DASHES}"
_KEY: Final = str.maketrans(f"{CYRILLIC}×", f"{LATIN}X", _SEPARATORS)
_HALF: Final = re.compile(rf"(?<=\d)(?:[\s.{_DASHES}-]*1[/⁄]2|[.,]5|[\s{_DASHES}-]*½)(?!\d)")


def key(text: str) -> str:
    """Give the form in which all spellings of one number are equal, stamps included.

    Upper case, Latin letters for their Cyrillic look-alikes, no separators, one sign for a half after a
    number. The wildcards `?` and `*` of a stamp stay.

    >>> key("S102-1/2") == key("S 102.5") == key("s102½")
    True
    >>> key("М112-F-160"), key("W?124"), key("ПР-19.05-31.8")
    ('M112F160', 'W?124', 'ПP1905318')
    """
    upper = text.upper()
    if "½" in upper or ".5" in upper or ",5" in upper or "/" in upper or "⁄" in upper:
        upper = _HALF.sub("½", upper)
    return upper.translate(_KEY)


def spellings(designation: str) -> tuple[str, ...]:
    """Give the ways in which a number is commonly stamped or written, itself first.

    Names of the same chain in other standards are the catalog's, except where a clause makes the one number
    follow from the other (LH and BL). A text that is no designation has only itself and its look-alikes.

    >>> spellings("16B-1")
    ('16B-1', '16B')
    >>> spellings("M112x160 flanged roller")
    ('M112x160 flanged roller', 'M112', 'M112x160', 'M112-160', 'M112-F-160')
    >>> spellings("ПР-19.05-31.8")
    ('ПР-19.05-31.8', 'PR-19.05-31.8', 'ПР-19,05-31,8', 'PR-19,05-31,8')
    """
    text = designation.strip()
    read = _read(text) if len(text) <= LONGEST_TEXT else None
    names = [text, *(_ways(read) if read else [_without_standard(text)])]
    return tuple(dict.fromkeys(way for name in names for way in (name, *_in_latin(name))))


def _without_standard(text: str) -> str:
    prefix = PREFIX.match(text.upper())
    return text[prefix.end() :] if prefix else text


def _ways(read: Designation) -> list[str]:
    base = read.base
    if read.strands > 1 and read.system not in _WHOLE:
        return [f"{base}-{read.strands}"]
    match read.system:
        case System.ISO_606 | System.B29_1 if base not in _SINGLE_ONLY:
            ways = [f"{base}-1", base]
        case System.ISO_1977 | System.DIN_8165:
            ways = _sized_ways(read)
        case System.ISO_4347 | System.B29_8 if read.lacing:
            ways = _leaf_ways(read)
        case System.B29_12 if "-1/2" in base:
            ways = [base.replace("-1/2", half) for half in ("-1/2", " 1/2", ".5")]
            ways += [way.removeprefix("S") for way in ways]
        case System.B29_22 | System.DETACHABLE:  # common practice, no source: the bare number in the forging
            ways = [base, base.removeprefix("X").split()[-1]]
        case System.GOST_13568 | System.GOST_4267:
            ways = [base, base.replace(".", ",")]
        case _:
            ways = [base]
    return ways


def _leaf_ways(read: Designation) -> list[str]:
    """Give LH and BL side by side: one chain, pitch in 1/16 or 1/8 in (ISO 4347:2015 clause 3)."""
    lacing, size = read.base[-2:], int(read.number)
    if read.series == "BL":
        return [read.base, f"LH{size * 2:02}{lacing}"]
    return [read.base, f"BL{size // 2}{lacing}"] if read.series == "LH" and size % 2 == 0 else [read.base]


def _sized_ways(read: Designation) -> list[str]:
    """Give conveyor chain by its size alone, which is what is stamped, and with its pitch."""
    base, letters = read.base, {form: letter for letter, form in _LETTERS.items()}
    if read.pitch_mm is None:
        return [base]
    pitch = f"{read.pitch_mm:g}"
    form = [f"{base}-{letters[read.rollers]}-{pitch}"] if read.rollers else []
    return [base, f"{base}x{pitch}", f"{base}-{pitch}", *form]


_LOOK_ALIKES: Final = str.maketrans(CYRILLIC + CYRILLIC.lower(), LATIN * 2)
_LETTER_FOR_LETTER: Final = str.maketrans("ПРИВД", "PRIVD")


def _in_latin(name: str) -> list[str]:
    """Give a Cyrillic number as it looks in Latin letters, and letter for letter."""
    if name.isascii():
        return []
    looks, letters = name.translate(_LOOK_ALIKES), name.translate(_LETTER_FOR_LETTER)
    return [way for way in (looks, letters) if way.isascii()]
