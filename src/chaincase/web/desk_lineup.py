"""The line-up of a case: one strip for each candidate, its readings as marks on the range that it allows."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Final

from chaincase.case.findings import Findings
from chaincase.chains.dimensions import BY_NAME
from chaincase.drawing.charts import StripMark, strip
from chaincase.identifying.answer import Candidate, Identification, Reason
from chaincase.units import show_length

SHOWN: Final = 6
"""Strips at most; whoever needs more measures first."""
_FEWEST, _WORTH, _ACROSS, _MOST_MARKS = 2, 0.01, 3, 12
_WORDS: Final = (
    (0.99, "as good as certain"),
    (0.90, "very likely"),
    (0.65, "likely"),
    (0.30, "possible"),
    (0.05, "unlikely"),
)


@dataclass(frozen=True, slots=True)
class Strip:
    """One candidate of the line-up.

    Attributes
    ----------
    key : str
        `table/designation`.
    words, share : str
        Its probability, in words and as a number.
    percent : int
        The same for a bar, 0 to 100.
    svgs : tuple of (int, str)
        Rows of the readings held against it, with how many are in each; empty without readings.
    says : tuple of str
        What speaks against it, and other words of its reasons.
    chosen : bool
        Whether a person settled on it.
    """

    designation: str
    table: str
    key: str
    words: str
    share: str
    percent: int
    also: tuple[str, ...]
    trust: str
    svgs: tuple[tuple[int, str], ...]
    says: tuple[str, ...]
    wear: tuple[str, ...]
    chosen: bool


@dataclass(frozen=True, slots=True)
class LineUp:
    """Strips in groups; a group of several holds what nothing measured so far can tell apart."""

    groups: tuple[tuple[Strip, ...], ...]
    unlisted: Strip | None
    rest: str
    conflicts: tuple[str, ...]
    unit: str

    @property
    def empty(self) -> bool:
        """Whether there is no evidence yet."""
        return not self.groups


def in_words(probability: float) -> str:
    """Give a probability in words.

    >>> in_words(0.93), in_words(0.5), in_words(0.001)
    ('very likely', 'possible', 'hardly')
    """
    return next((words for least, words in _WORDS if probability >= least), "hardly")


def share_of(probability: float) -> str:
    """Give a probability as a number.

    >>> share_of(0.934), share_of(0.9999), share_of(0.001)
    ('93 %', '> 99 %', '< 1 %')
    """
    if probability > 0.995:
        return "> 99 %"
    return "< 1 %" if probability < 0.005 else f"{probability * 100:.0f} %"


def line_up(found: Findings, uncertainty: Mapping[str, float]) -> LineUp:
    """Give the line-up of a case.

    Parameters
    ----------
    uncertainty : mapping
        Standard uncertainty of the readings of each dimension [mm].
    """
    answer = found.identity
    if answer is None or not answer.candidates:
        return LineUp((), None, "", found.conflicts, "")
    chosen = found.base.key if found.base is not None and found.base.settled_by == "a person" else ""
    shown = [each for i, each in enumerate(answer.candidates[:SHOWN]) if i < _FEWEST or each.probability >= _WORTH]
    strips = {_key(each): _strip(each, chosen, uncertainty) for each in shown}
    others = answer.other + sum(each.probability for each in answer.candidates[len(shown) :])
    rest = f"all other listed chains together {share_of(others)}" if others >= 0.0005 else ""
    return LineUp(
        tuple(_groups(answer, shown, strips)), _unlisted(answer), rest, found.conflicts, answer.assumed_unit or ""
    )


def _key(each: Candidate) -> str:
    return f"{each.table}/{each.designation}"


def _groups(answer: Identification, shown: list[Candidate], strips: dict[str, Strip]) -> Iterator[tuple[Strip, ...]]:
    done: set[str] = set()
    for each in shown:
        if _key(each) in done:
            continue
        tie = next((names for names in answer.ties if each.designation in names), (each.designation,))
        group = [other for other in shown if other.designation in tie and _key(other) not in done] or [each]
        done |= {_key(other) for other in group}
        yield tuple(strips[_key(other)] for other in group)


def _unlisted(answer: Identification) -> Strip:
    p = answer.unlisted
    return Strip("", "", "", in_words(p), share_of(p), round(100 * p), (), "", (), (), (), chosen=False)


def _strip(each: Candidate, chosen: str, uncertainty: Mapping[str, float]) -> Strip:
    marks = list(islice((m for r in each.reasons if (m := _mark(r, uncertainty)) is not None), _MOST_MARKS))
    rows = [marks[at : at + _ACROSS] for at in range(0, len(marks), _ACROSS)]
    return Strip(
        designation=each.designation,
        table=each.table,
        key=_key(each),
        words=in_words(each.probability),
        share=share_of(each.probability),
        percent=round(100 * each.probability),
        also=each.also[:4],
        trust=each.trust,
        svgs=tuple((len(row), _drawn(each.designation, tuple(row))) for row in rows),
        says=tuple(_against(each)),
        wear=tuple(worn.words for worn in each.wear),
        chosen=_key(each) == chosen,
    )


@lru_cache(maxsize=512)
def _drawn(name: str, marks: tuple[StripMark, ...]) -> str:
    # A further reading leaves the marks of those before as they were.
    return strip(marks, title=f"{name}: readings on the range that it allows")


def _mark(reason: Reason, uncertainty: Mapping[str, float]) -> StripMark | None:
    """Give a reading on the range; whether it fits is what the identification said, not a second opinion."""
    if reason.dimension is None or reason.expected_mm is None or reason.found_mm is None:
        return None
    low, high = reason.expected_mm
    if not low < high or not all(map(math.isfinite, (low, high, reason.found_mm))):
        return None
    dimension = BY_NAME.get(reason.dimension)
    letter, label = (dimension.letter, dimension.label) if dimension else ("?", reason.about)
    u = uncertainty.get(reason.dimension, 0.0)
    beside = max(low - reason.found_mm, reason.found_mm - high, 0.0)
    if reason.fits and beside > 2 * u:
        u = beside / 2 * 1.001
    return StripMark(letter, label, low, high, reason.found_mm, u, show_length(reason.found_mm, "mm"))


def _against(each: Candidate) -> Iterator[str]:
    """Give what speaks against a candidate, then what is told of the rest."""
    yield from each.conflicts
    for reason in each.reasons:
        if reason.about == "mark":
            yield f"stamp {reason.found}: {reason.words}"
        elif reason.dimension is not None and not reason.fits:
            yield f"{reason.about} {reason.found}: {reason.words}"
