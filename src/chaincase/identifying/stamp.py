"""Reading a stamp: a noisy channel from the chain's number to the characters somebody made out on the rusted bar.

Each character of the number is seen right, taken for a look-alike, taken for something else, or has vanished;
ends may be missing or hidden, other text (a maker's word, a date, an attachment code) may stand before or after.
`?` is one illegible character and says nothing but that there was one; `*` is any number of missing ones.
The whole mark may also be foreign text that has nothing to do with the chain's number.
"""

import re
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key, spellings

Array = NDArray[np.float64]

_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
_OTHER = len(_ALPHABET)
_CODE = {character: i for i, character in enumerate(_ALPHABET)}
_CODE_OF = np.array([-1, *(_CODE.get(chr(i), _OTHER) for i in range(1, 256))], dtype=np.int8)
"""Code of every byte; -1 for what fills up a short name."""
_LONGEST_NAME = 18
"""Nobody stamps more characters into a bar; a longer name is a description."""
_LONGEST_MARK = 40

# Characters that stamping, wear and rust make alike (common practice, no source).
_LOOK_ALIKE = (
    *("0OQDC", "1I7LT", "5S6", "8B3", "2Z7", "6G8", "0869", "HNM", "MWN", "PRFB", "EFB"),
    *("CG", "KXR", "A4", "UV", "VY", "3S", "DB0"),
)

_BACKGROUND = 1.0 / 37.0
"""Chance of any one character of foreign text."""


@dataclass(frozen=True, slots=True)
class Eye:
    """How well a mark could be read: chance per character of an error and of vanishing, per end of being lost."""

    error: float
    vanished: float
    lost_end: float


_CLEAR = Eye(error=0.01, vanished=0.004, lost_end=0.01)
_USUAL = Eye(error=0.05, vanished=0.02, lost_end=0.05)
_POOR = Eye(error=0.13, vanished=0.05, lost_end=0.12)
_POORLY = ("corroded", "poor", "worn", "rusted", "rusty", "partial", "faint", "illegible")
_LEGIBILITY = dict.fromkeys(("clear", "sharp", "good", "legible"), _CLEAR) | dict.fromkeys(_POORLY, _POOR)

_LOOK_ALIKE_SHARE = 0.75
_LOST_MORE = 0.6
"""If an end is lost, the chance that one more character is."""
_EXTRA_FRONT, _EXTRA_BACK, _EXTRA_MORE = 0.05, 0.15, 0.7
"""Text before or behind the number, and the chance that it goes on."""
_INSERTED = 0.01
_FOREIGN, _FOREIGN_WORD = 0.12, 0.85
"""Chance that a mark with digits, and one without, is not the number at all."""
_SPECIAL = 0.12
"""Chance that a chain in no table bears the number of its listed relative all the same (a special made from it)."""
_STRANGER = 0.02
"""Chance that a stamp is that of another chain: a strange link was put in, or two samples were mixed up."""


@dataclass(frozen=True, eq=False, slots=True)
class NameIndex:
    """The distinct names of a catalog, coded for the channel.

    Attributes
    ----------
    names : tuple of str, length k
        Distinct keys.
    codes : ndarray of int8, shape (k, longest)
        Character codes, -1 behind the end.
    lengths : ndarray of int64, shape (k,)
        Number of characters.
    name, start : ndarray of int64
        Names of all rows one after the other, and where each row's begin; every row has at least one.
    """

    names: tuple[str, ...]
    codes: NDArray[np.int8]
    lengths: NDArray[np.int64]
    name: NDArray[np.int64]
    start: NDArray[np.int64]


@lru_cache(maxsize=4)
def name_index(catalog: Catalog) -> NameIndex:
    """Give the names of a catalog's rows, coded; kept for the catalogs in use."""
    numbers: dict[str, int] = {}
    flat: list[int] = []
    start = np.empty(len(catalog), dtype=np.int64)
    for row, names in enumerate(zip(catalog.designations, catalog.alternatives, strict=True)):
        start[row] = len(flat)
        flat.extend(numbers.setdefault(name, len(numbers)) for name in stamped(*names))
    names_in_order = tuple(numbers)
    width = max(map(len, names_in_order), default=1)
    characters = np.array([name.encode("ascii", "replace") for name in names_in_order], dtype=f"S{width}")
    codes = _CODE_OF[characters.view(np.uint8).reshape(len(names_in_order), width)]
    lengths = (codes >= 0).sum(axis=1)
    return NameIndex(names_in_order, codes, lengths, np.array(flat, dtype=np.int64), start)


@lru_cache(maxsize=1 << 17)
def stamped(designation: str, alternatives: tuple[str, ...]) -> tuple[str, ...]:
    """Give the forms of a chain's names that may be stamped into it, in order; at least one."""
    names = (designation, *alternatives)
    forms = {form for name in {*names, *map(_plainer, names)} for form in (name, *spellings(name))}
    short = sorted(k for k in set(map(key, forms)) if 0 < len(k) <= _LONGEST_NAME)
    return tuple(short) or (key(designation)[:_LONGEST_NAME] or "?",)


def _plainer(name: str) -> str:
    """Give a name without what is often not stamped: the number of strands, the form of the roller.

    Plates of every strand are the same part, and a stamp on the bar does not know its roller (common practice).

    >>> _plainer("16B-3"), _plainer("M112x160 flanged roller")
    ('16B', 'M112x160')
    """
    return re.sub(r"(-[23]|(?: (?:small|large|flanged))? roller)$", "", name)


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
    mark = key(text)[:_LONGEST_MARK]
    if not mark.strip("?*"):
        return StampLikelihood(np.zeros(len(chance)), np.zeros(len(chance)), 0.0)
    background = _BACKGROUND ** sum(c not in "?*" for c in mark)
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
    by_name = channel(key(text)[:_LONGEST_MARK], eye_of(legibility), index)
    return np.maximum.reduceat(by_name[index.name], index.start)


def channel(mark: str, eye: Eye, index: NameIndex) -> Array:
    """Give the chance that each name was read as `mark` (a key, see `chains.designation.key`), shape (k,).

    A forward pass over the name's characters; `ways[i]` is the chance of having seen the first i symbols.
    """
    emission = _emission(eye)
    seen = [symbol if symbol in "?*" else _CODE.get(symbol, _OTHER) for symbol in mark]
    count, m = len(index.names), len(seen)
    ways = _before(seen, count)
    total = _finish(ways, seen, index.lengths == 0)
    for j in range(index.codes.shape[1]):
        character = index.codes[:, j]
        alive = index.lengths > j
        ways = _step(ways, seen, emission[character], eye)
        ways[0] = np.where(alive, eye.lost_end * (1 - _LOST_MORE) * _LOST_MORE**j, 0.0)
        done = index.lengths == j + 1
        total += _finish(ways, seen, done)
        behind = np.maximum(index.lengths - j - 1, 0)
        total += np.where(behind > 0, ways[m] * eye.lost_end * (1 - _LOST_MORE) * _LOST_MORE ** (behind - 1.0), 0.0)
    return np.asarray(total)


def _before(seen: list[str | int], count: int) -> list[Array]:
    """Give the ways before the first character of a name: nothing seen, or other text in front."""
    ways = [np.full(count, 1.0)]
    extra = _EXTRA_FRONT
    for symbol in seen:
        if symbol == "*":
            ways.append(ways[-1].copy())
            continue
        ways.append(ways[-1] * (extra * _chance_of_any(symbol)))
        extra = _EXTRA_MORE
    return ways


def _chance_of_any(symbol: str | int) -> float:
    return 1.0 if symbol == "?" else _BACKGROUND


def _step(ways: list[Array], seen: list[str | int], emission: Array, eye: Eye) -> list[Array]:
    """Consume one character of every name."""
    after = [ways[0] * eye.vanished]
    for i, symbol in enumerate(seen, start=1):
        if symbol == "*":
            after.append(after[i - 1] + ways[i] + ways[i - 1])
            continue
        right = 1.0 - eye.vanished if symbol == "?" else emission[:, int(symbol)]
        after.append(ways[i - 1] * right + ways[i] * eye.vanished + after[i - 1] * (_INSERTED * _chance_of_any(symbol)))
    return after


def _finish(ways: list[Array], seen: list[str | int], done: NDArray[np.bool_]) -> Array:
    """Give the chance of ending here, with other text behind."""
    total: Array = ways[-1].copy()
    rest = 1.0
    for i in range(len(seen) - 1, -1, -1):
        rest *= 1.0 if seen[i] == "*" else _EXTRA_MORE * _chance_of_any(seen[i])
        total += ways[i] * (_EXTRA_BACK * rest)
    return np.asarray(np.where(done, total, 0.0))


@lru_cache(maxsize=8)
def _emission(eye: Eye) -> Array:
    """Give the chance of seeing each character for each true one, shape (characters, characters)."""
    size = len(_ALPHABET) + 1
    alike = np.zeros((size, size))
    for group in _LOOK_ALIKE:
        codes = [_CODE[c] for c in group]
        alike[np.ix_(codes, codes)] = 1.0
    np.fill_diagonal(alike, 0.0)
    neighbors = alike.sum(axis=1, keepdims=True)
    share = np.where(neighbors > 0, _LOOK_ALIKE_SHARE, 0.0)
    odd = (1.0 - share) * eye.error / (size - 1)
    table = odd + share * eye.error * alike / np.maximum(neighbors, 1.0)
    np.fill_diagonal(table, 1.0 - eye.error)
    return np.asarray(table * (1.0 - eye.vanished))
