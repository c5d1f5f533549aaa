"""Finding chain numbers: names of the tables, numbers that a standard's grammar issues, look-alikes, unknown ones.

A window of adjoining pieces is held against the names of the tables first, then against the grammar of
designations; what is neither may be a typing slip of a name, or a number of a chain that no table has.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from chaincase.chains.designation import Designation, parse_designation
from chaincase.chains.numbering import PREFIX
from chaincase.errors import BadInput
from chaincase.reading import cues
from chaincase.reading.candidate import Candidate, Field
from chaincase.reading.grammar import END
from chaincase.reading.names import SHORTEST_ALIKE, Names, skeleton, slips, spelled
from chaincase.reading.page import Page

_PIECES: Final = 9
_LONGEST: Final = 28
"""Pieces and characters of a window: М112-2-100-1 has eight pieces, a name with its roller form 25 characters."""

_INTRODUCED: Final = re.compile(rf"(?:#|RC[ -]?(?=[0-9])|R\.C\. ?(?=[0-9])|NO\.? ?#?(?=[0-9])){{1,2}}|{PREFIX.pattern}")
_STANDARD_WORDS: Final = frozenset({"ANSI", "ASME", "ISO", "DIN", "BS", "JIS", "GB", "SANS", "GOST", "ГOCT"})
_BARE: Final = re.compile(r"[0-9]+")
_COMMON: Final = re.compile(r"25|35|40|41|50|60|80|100|120|140|160|180|200|240")
_PLAIN: Final = re.compile(r"(?:#|RC-?|[A-Z]{0,2})(?P<size>[0-9]{2,4}H?(?:-[1-9])?)")
TAILS: Final = re.compile(
    r"-?(?:RIV|R|COT|C|SS|NP|ZP|HP(?! ?(?:MOTOR|DRIVE|GEAR|RED))|HT|S?[AK]-?[1-3])(?=X ?[0-9]|[^\w]|$)"
    rf"|-?(?:SS|NP)(?:S?[AK][12]){END}"
)
"""What may be glued to the number of a roller chain: riveted, cottered, material, plating, attachment."""
_ENDING: Final = frozenset("#'\";:()[]{}@&+=*?!$%<>|_\\~^")
"""No chain number goes on behind these."""
_HEADS: Final = frozenset({"SS", "NP", "RC", "ZP"})
_SHAPE: Final = re.compile(r"(?P<stem>[A-Z]{0,4}-?[0-9]{2,5})(?P<tail>[A-Z]{0,3})(?:-[0-9]{1,3})?")
_NO_NUMBER: Final = re.compile(
    r"[0-9]+(?:FT|LF|IN|INS|MM|CM|M|MTR|P|PC|PCS|EA|L|LK|LKS|T|LB|LBS|KG|KN|N|HP|KW|V|HZ|W|RPM|FPM|ST|ND|RD|TH|STR|OFF|TPH"
    r"|PIT|DEG|HRC|G|K|A|AMP|SS|OZ)|(?:REV|QTY|NO|PN|PO|SN|WO|DWG|ITEM|LINE|CONV|BIN|PG|TYPE|AISI|SAE|ASTM|GR|HRC|RC|UNIT|L|P)"
    r"-?[0-9]+|[0-9]X|X[0-9]{1,2}|M-?[0-9]{1,2}|[0-9]{2,5}|[SW]?[AK]-?[0-9]{1,2}"
)
_THREAD: Final = re.compile(r"M[1-9][0-9](?![0-9])")
_TIMES: Final = re.compile(r" X ?| ?X (?=[0-9])")
_SIZED: Final = re.compile(r"(?:FV|MC?)[0-9]{2,3}")
_PITCH_GLUED: Final = re.compile(r"X[0-9]{2,4}(?![0-9]|[.,][0-9])")
"""Metric conveyor chain is called by size and pitch (ISO 1977, DIN 8165)."""
_SLASHED: Final = re.compile(r" [BSPF] |[0-9]/(?!2(?![0-9]))|(?<![1-9])/|[0-9] +(?!1/2)[0-9]")
_AFTER: Final = re.compile(r"[^\W_]|[:./,-][0-9]|'|\"|%")
_SOME_LETTER: Final = re.compile(r"[A-Z]|^[0-9]{2,3}-[1-9]$")
_DASH_WORD: Final = re.compile(r"-[A-Z0-9]")


@dataclass(frozen=True, slots=True)
class _Window:
    page: Page
    begin: int
    start: int
    end: int

    @property
    def text(self) -> str:
        return self.page.text[self.start : self.end]

    @property
    def introduced(self) -> bool:
        return self.begin < self.start


def designations(page: Page, names: Names) -> Iterator[Candidate]:
    """Give all candidates for chain numbers in a page."""
    for first, piece in enumerate(page.pieces):
        begin = piece.start
        glued = begin > 0 and page.text[begin - 1].isalnum()
        if glued and not (first and page.pieces[first - 1].text in _HEADS):
            continue
        start = _introduced(page, begin)
        if start is None:
            continue
        for end in _ends(page, first, start):
            yield from _candidates(_Window(page, begin, start, end), names)


def _introduced(page: Page, begin: int) -> int | None:
    """Give where the number itself starts behind #, RC or a standard's name; None where none can start."""
    lead = page.text[begin]
    if lead == "#" or page.text.startswith(("RC", "R.C.", "NO"), begin):
        match = _INTRODUCED.match(page.text, begin)
        return match.end() if match and match.end() > begin else begin
    if lead.isalnum():
        word = next((w for w in _STANDARD_WORDS if page.text.startswith(w, begin)), "")
        match = PREFIX.match(page.text, begin) if word else None
        return match.end() if match else begin
    return None


def _ends(page: Page, first: int, start: int) -> Iterator[int]:
    """Give where a window that starts there may end."""
    line = page.line(start)
    inside = 0
    for piece in page.pieces[first : first + _PIECES + 4]:
        if piece.start < start:
            continue
        if inside == _PIECES or piece.end - start > _LONGEST or page.line(piece.start) != line:
            return
        if piece.text in _ENDING:
            return
        inside += 1
        if piece.text[-1].isalnum() or piece.text[-1] == "½":
            yield piece.end


def _candidates(window: _Window, names: Names) -> Iterator[Candidate]:
    text = window.text
    if not any(c.isdecimal() for c in text) or _SLASHED.search(text):
        return
    tail = _tail(window)
    if tail is None:
        return
    if _TIMES.search(text) and cues.measured(window.page, window.start, window.end):
        return  # H78 x 10 FT
    if _THREAD.match(text) and cues.threaded(window.page, window.start, window.end):
        return
    form = spelled(text)
    found = _named(window, form, names) or _issued(window, form, names) or _alike(window, form, names)
    found = found or _unknown(window, form, names)
    if found is None:
        return
    odds = found.odds + tail + cues.around(window.page, window.begin, window.end)
    yield Candidate(found.field, found.value, found.start, found.end, odds, found.listed_as, found.tentative)


def _tail(window: _Window) -> float | None:
    """Give what the characters behind say [log odds]; None where the number cannot end here."""
    text, end = window.page.text, window.end
    if _PLAIN.fullmatch(window.text) and TAILS.match(text, end):
        return 1.2
    if text.startswith("X", end) and text[end + 1 : end + 2].isdecimal():
        return -2.5 if _cut_before_pitch(window) else 0.5
    if _AFTER.match(text, end):
        dashed = text.startswith("-", end) and not _BARE.fullmatch(window.text)
        return -4.0 if dashed else None
    return -0.7 if _DASH_WORD.match(text, end) else 0.0


def _cut_before_pitch(window: _Window) -> bool:
    """Tell whether the number would be cut off before its own pitch: FV90 of FV90x160, but not H78 of H78x10 FT."""
    pitch = _PITCH_GLUED.match(window.page.text, window.end)
    sized = pitch is not None and _SIZED.fullmatch(window.text) is not None
    return sized and pitch is not None and not cues.measured(window.page, window.start, pitch.end())


def _candidate(window: _Window, value: str, odds: float, listed_as: str = "", *, tentative: bool = False) -> Candidate:
    return Candidate(Field.DESIGNATION, value, window.begin, window.end, odds, listed_as, tentative)


def _named(window: _Window, form: str, names: Names) -> Candidate | None:
    """Propose a name of the tables."""
    if form not in names.rows:
        return None
    odds, tentative = _named_odds(window, form)
    value = names.value(form, window.text)
    return _candidate(window, value, odds, names.listed_as(form), tentative=tentative)


def _named_odds(window: _Window, form: str) -> tuple[float, bool]:
    """Give how far the characters alone speak for a name of the tables."""
    page, start, end = window.page, window.start, window.end
    introduced = 3.2 if window.introduced else 0.0
    blank = -0.8 if " " in window.text else 0.0
    if _BARE.fullmatch(form):
        common = -0.6 if _COMMON.fullmatch(form) else -1.2 if len(form) > 2 else -2.4
        detachable = 2.5 if len(form) < 4 and cues.detachable(page, start, end) else 0.0
        glued = TAILS.match(page.text, end) is not None
        counted = 0.0 if glued else cues.measured(page, window.begin, end)
        return common + introduced + detachable - counted, not window.introduced
    if form.endswith("KN") or re.fullmatch(r"[0-9]+LBF", form):
        return -0.3, True
    if re.match(r"A[ -]", window.text):
        return -2.0, True
    if re.fullmatch(r"[0-9]{2}[A-Z]|[0-9]+-[0-9]", form):
        return 1.7 + introduced + blank, False
    return (3.2 if len(form) >= 4 else 2.2) + introduced / 2 + blank, False


def _issued(window: _Window, form: str, names: Names) -> Candidate | None:
    """Propose a number that a standard's grammar issues and no table lists; the size of it may stand in one."""
    text = _TIMES.sub("X", window.text)
    if " " in text or not form[:1].isalnum() or not form.isascii() or len(form) > 16 or form.startswith("P"):
        return None
    if _NO_NUMBER.fullmatch(form) or not _SOME_LETTER.search(form):
        return None
    read = _parsed(text)
    if read is None or read.rest:
        return None
    sized = _SIZED.fullmatch(read.base) is not None and spelled(read.base) in names.rows
    return _candidate(window, str(read), 1.0 + (2.0 if window.introduced else 0.0) + (1.6 if sized else 0.0))


@lru_cache(maxsize=4096)
def _parsed(text: str) -> Designation | None:
    try:
        return parse_designation(text)
    except BadInput:
        return None


def _alike(window: _Window, form: str, names: Names) -> Candidate | None:
    """Propose the name of the tables that a number with slips such as O for 0 or I for 1 looks like."""
    text = window.text
    if len(form) < SHORTEST_ALIKE or " " in text or form.isdecimal() or _NO_NUMBER.fullmatch(form):
        return None
    errors = {name: slips(text, name) for name in names.alike.get(skeleton(text), ())}
    near = [name for name, slip in errors.items() if slip <= 1 + len(form) // 5]
    if not near:
        return None
    best = min(near, key=lambda name: (errors[name], name))
    odds = 1.6 - 0.9 * errors[best] - 0.7 * (len(near) - 1) + (0.6 if len(form) > 3 else -0.5)
    odds += 1.5 if window.introduced else 0.0
    return _candidate(window, names.value(best, names.written[best]), odds, names.listed_as(best))


def _unknown(window: _Window, form: str, names: Names) -> Candidate | None:
    """Propose a number of the right shape that nothing here knows."""
    shape = _SHAPE.fullmatch(window.text)
    if not shape or _whole_word(window) is False:
        return None
    if _NO_NUMBER.fullmatch(form) and not window.introduced:
        return None
    relative = spelled(shape["stem"]) in names.rows and not _BARE.fullmatch(shape["stem"])
    odds = 0.8 if relative else -1.0
    odds += 1.5 if window.introduced else 0.0
    odds -= 1.0 if re.search(r"[A-Z]{4}|[0-9]{5}", form) else 0.0
    return _candidate(window, form, odds, tentative=not relative and not window.introduced)


def _whole_word(window: _Window) -> bool:
    text = window.page.text
    before = text[window.start - 1] if window.start and not window.introduced else " "
    return before not in "-/.,$" and not _DASH_WORD.match(text, window.end)
