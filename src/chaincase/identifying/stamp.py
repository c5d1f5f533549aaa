"""Reading a stamp: how likely a mark is on the chains of a catalog, and on a chain in none.

The noisy channel from a number to what somebody made out is `identifying.channel`. The whole mark may also be foreign
text that has nothing to do with the chain's number.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, pairwise

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import CYRILLIC, LATIN, key, spellings
from chaincase.chains.numbering import STANDARDS
from chaincase.identifying.channel import BACKGROUND, Eye, Seen, chances, coded

Array = NDArray[np.float64]
Names = tuple[str, tuple[str, ...]]
"""Designation and other names of a row."""

_LONGEST_NAME = 26
"""Nobody stamps more characters into a bar, a standard before the number among them; a longer name is a description."""
_STANDARD = re.compile(
    r"\s*(?:(?:(?:BS[ -]?)?ISO|BS|DIN|ANSI|ASME|JIS|GOST|ГOCT|GB(?:/T)?|IS|SANS)[ /.:-]*)+"
    rf"(?P<number>(?:B ?29[. ]\d{{1,3}}M?|{STANDARDS})(?:[-:]\d{{2,4}}(?=[ :]))?(?=[ :/.-]|[^\d ]{{2}}|\d[^\d]))?"
    r"[ :/.-]*"
)
"""The standard that is often stamped before the number."""
_NOT_ALONE = re.compile(r"\s*(?:GB|IS|SANS)\b")
"""Short words that are a standard only with its number behind them."""
_NOTHING_ELSE = re.compile(rf"\W*(?:{STANDARDS})?\W*")
_BEHIND = re.compile(r"\s*(?:GOST|ГOCT|DIN|ISO)[ -]?\d{3,5}(?:[-:]\d{2,4})?\s*$")
_LOOKS = str.maketrans(CYRILLIC, LATIN)
_LONGEST_MARK = 40

_CLEAR = Eye(error=0.01, vanished=0.004, lost_end=0.01)
_USUAL = Eye(error=0.05, vanished=0.02, lost_end=0.05)
_POOR = Eye(error=0.13, vanished=0.05, lost_end=0.12)
_POORLY = ("corroded", "poor", "worn", "rusted", "rusty", "partial", "faint", "illegible")
_LEGIBILITY = dict.fromkeys(("clear", "sharp", "good", "legible"), _CLEAR) | dict.fromkeys(_POORLY, _POOR)

_FOREIGN, _FOREIGN_WORD = 0.12, 0.85
"""Chance that a mark with digits, and one without, is not the number at all."""
_SPECIAL = 0.12
"""Chance that a chain in no table bears the number of its listed relative all the same (a special made from it)."""
_STRANGER = 0.02
"""Chance that a stamp is that of another chain: a strange link was put in, or two samples were mixed up."""


@dataclass(frozen=True, eq=False, slots=True)
class NameIndex:
    """The distinct names of some rows, coded for the channel.

    Attributes
    ----------
    codes : ndarray of int8, shape (k, longest)
        Character codes, -1 behind the end.
    lengths : ndarray of int64, shape (k,)
        Number of characters.
    name, start : ndarray of int64
        Names of all rows one after the other, and where each row's begin; every row has at least one.
    """

    codes: NDArray[np.int8]
    lengths: NDArray[np.int64]
    name: NDArray[np.int64]
    start: NDArray[np.int64]


@lru_cache(maxsize=4)
def name_index(catalog: Catalog) -> NameIndex:
    """Give the names of a catalog's rows, coded; kept for the catalogs in use."""
    return index_of(list(zip(catalog.designations, catalog.alternatives, strict=True)))


def index_of(rows: Sequence[Names], *, distinct: bool = True) -> NameIndex:
    """Give the names of some rows, coded; where a name is that of several rows, once or each time."""
    forms = [stamped(*names) for names in rows]
    start = np.cumsum([0, *map(len, forms)], dtype=np.int64)[:-1]
    flat = list(chain.from_iterable(forms))
    if not distinct:
        return NameIndex(*coded(flat), np.arange(len(flat)), start)
    numbers = {name: number for number, name in enumerate(dict.fromkeys(flat))}
    return NameIndex(*coded(tuple(numbers)), np.array([numbers[name] for name in flat], dtype=np.int64), start)


@lru_cache(maxsize=1 << 17)
def stamped(designation: str, alternatives: tuple[str, ...]) -> tuple[str, ...]:
    """Give the forms of a chain's names that may be stamped into it, in order; at least one."""
    names = tuple(dict.fromkeys(form for name in (designation, *alternatives) for form in (name, number_in(name))))
    forms = {form for name in names for form in (name, *spellings(name))}
    # A plain 16B is what the plates of 16B-2 bear, too; 16B-1 is not.
    forms |= {form for name in set(map(_plainer, names)) for form in spellings(name) if not form.endswith("-1")}
    short = sorted(k for k in set(map(key, forms)) if 0 < len(k) <= _LONGEST_NAME)
    return tuple(short) or (key(designation)[:_LONGEST_NAME] or "?",)


def _plainer(name: str) -> str:
    """Give a name without what is often not stamped: the number of strands, the form of the roller.

    Plates of every strand are the same part, and a stamp on the bar does not know its roller (common practice).

    >>> _plainer("16B-3"), _plainer("M112x160 flanged roller")
    ('16B', 'M112x160')
    """
    return re.sub(r"((?<=[0-9A-Z])-[1-9]|(?: (?:small|large|flanged))? roller)$", "", name)


@lru_cache(maxsize=1 << 16)
def number_in(text: str) -> str:
    """Give a stamp or a name without the standard beside the number; a text that is nothing else stays.

    >>> [number_in(text) for text in ("DIN 8187 05B-1", "ANSI/ASME B29.1 50-2", "JIS B 1801 80", "IS 124")]
    ['05B-1', '50-2', '80', 'IS 124']
    >>> number_in("GOST 13568 2ПР-31.75-177"), number_in("М112-2-100-1 GOST 588-81"), number_in("ISO 606")
    ('2ПР-31.75-177', 'М112-2-100-1', 'ISO 606')
    """
    upper = text.upper().translate(_LOOKS)
    if len(upper) != len(text):  # a letter that has no capital of one character
        return text
    before, behind = _STANDARD.match(upper), _BEHIND.search(upper)
    alone = before and not before["number"] and _NOT_ALONE.match(upper)
    start = before.end() if before and not alone else 0
    number = text[start : behind.start() if behind and behind.start() > start else len(text)]
    return text if _NOTHING_ELSE.fullmatch(number) else number


def eye_of(legibility: str) -> Eye:
    """Give the error rates of a word for legibility; of no or an unknown word the usual ones."""
    words = legibility.lower().replace(",", " ").split()
    return next((_LEGIBILITY[word] for word in words if word in _LEGIBILITY), _USUAL)


@dataclass(frozen=True, eq=False, slots=True)
class StampLikelihood:
    """Log likelihoods of a mark; only their differences mean anything.

    Attributes
    ----------
    listed, unlisted : ndarray, shape (n,)
        If the sample is the row's chain, and if it is a chain in no table whose relative the row is.
    strange : float
        If it bears no listed number.
    """

    listed: Array
    unlisted: Array
    strange: float

    def speaks_for(self, row: int) -> bool:
        """Tell whether the mark speaks for a row's number more than for none of the numbers."""
        return bool(self.listed[row] >= self.strange)


def stamp_likelihood(text: str, legibility: str, catalog: Catalog, mean_chance: float | None = None) -> StampLikelihood:
    """Give how likely a mark is on every row's chain and on an unlisted one.

    Parameters
    ----------
    text : str
        The mark as read, with `?` and `*`.
    legibility : str
        In words: clear, corroded ...
    catalog : Catalog
        Of n rows.
    mean_chance : float, optional
        Mean of `name_chances` over all chains, where the rows are only some of a larger catalog.
    """
    chance = name_chances(text, legibility, catalog)
    return likelihood_by_chance(text, chance, float(chance.mean()) if mean_chance is None else mean_chance)


def likelihood_by_chance(text: str, chance: Array, mean_chance: float) -> StampLikelihood:
    """Give how likely a mark is by the chance that each row's number was read as it, and the mean over all chains."""
    mark = key(number_in(text))[:_LONGEST_MARK]
    if not mark.strip("?*"):
        return StampLikelihood(np.zeros(len(chance)), np.zeros(len(chance)), 0.0)
    background = BACKGROUND ** sum(c not in "?*" for c in mark)
    foreign = _FOREIGN if any(c.isdigit() for c in mark) else _FOREIGN_WORD
    other_text, made_up = foreign * background, (1 - _SPECIAL - _STRANGER) * background
    stranger = _STRANGER * mean_chance
    return StampLikelihood(
        listed=np.log(other_text + (1 - foreign) * ((1 - _STRANGER) * chance + stranger)),
        unlisted=np.log(other_text + (1 - foreign) * (made_up + _SPECIAL * chance + stranger)),
        strange=float(np.log(other_text + (1 - foreign) * made_up)),
    )


def name_chances(text: str, legibility: str, catalog: Catalog) -> Array:
    """Give the chance that each row's number was read as a mark, by the name that fits best, shape (n,)."""
    index = name_index(catalog)
    by_name = channel(key(number_in(text))[:_LONGEST_MARK], eye_of(legibility), index)
    return np.maximum.reduceat(by_name[index.name], index.start)


def chances_of(marks: Sequence[tuple[str, str]], rows: Sequence[Sequence[Names]]) -> list[Array]:
    """Give the same for several marks, text and legibility, each with some rows of its own; shape (its rows,) each."""
    seen = [Seen(key(number_in(text))[:_LONGEST_MARK], eye_of(legibility)) for text, legibility in marks]
    every = index_of([row for some in rows for row in some], distinct=False)
    starts = np.append(every.start, len(every.lengths))  # where each row's names begin, and where the last ones end
    ends = np.cumsum([0, *map(len, rows)])
    by_name = chances(seen, np.repeat(np.arange(len(seen)), np.diff(starts[ends])), every.codes, every.lengths)
    by_row = np.maximum.reduceat(by_name, every.start) if len(every.start) else np.empty(0)
    return [by_row[start:end] for start, end in pairwise(ends)]


def channel(mark: str, eye: Eye, index: NameIndex) -> Array:
    """Give the chance that each name was read as `mark` (a key, see `chains.designation.key`), shape (k,)."""
    return chances([Seen(mark, eye)], np.zeros(len(index.lengths), dtype=np.int64), index.codes, index.lengths)
