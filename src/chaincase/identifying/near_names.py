"""Which rows of a very large catalog have a name that a stamp may be read as.

The names stand in memory as one array of characters. Pairs of neighboring characters of the mark are looked for in all
of it at once; the names that have most of them are compared character by character, and the nearest of those are
weighed by the channel of `identifying.stamp`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key, spellings
from chaincase.identifying.stamp import likelihood_by_chance, name_chances

Rows = NDArray[np.int64]
Characters = NDArray[np.uint8]
Edits = NDArray[np.int8]

_LONGEST = 20
"""Characters of a name that are looked at; what is longer is a description."""
_LONGEST_MARK = 20
_MOST = 1024
"""Names compared character by character."""
_WEIGHED = 96
"""Names weighed by the whole channel."""
_TOLD = 16
"""Rows that are proposed whatever their sizes."""
_STRANGERS = 16
"""Names, evenly spaced, that stand for all that are less near."""
_SHORT, _FEW_PAIRS = 5, 3
"""Legible characters of a short mark, and pairs of which one is enough: a wrong character spoils up to four."""
_MOST_EDITS = 2
"""Characters that may be wrong, missing or too many."""
_CHARACTER, _EDIT, _OWN = 3.6, 5.0, 2.0
"""What a character that agrees is worth, what one costs that does not, and that it is a number at all: logarithms,
after the channel of `identifying.stamp`."""
_JOIN = "\x1f"
_ANY = ord("?")
_ONE = np.int8(1)


@dataclass(frozen=True, eq=False, slots=True)
class NearNames:
    """Rows whose name a mark may be read as.

    Attributes
    ----------
    rows : ndarray of int64, shape (k,)
        The rows, each once, rising.
    gain : ndarray of float32, shape (k,)
        How much likelier the mark is if the sample is such a row than if it is any other, as a logarithm.
    mean_chance : float
        Chance that a name was read as the mark, as the mean over all rows: an estimate.
    """

    rows: Rows
    gain: NDArray[np.float32]
    mean_chance: float

    def nearest(self) -> Rows:
        """Give the few rows that are nearest; a person must be told of them even if the readings rule them out."""
        return self.rows[np.argsort(-self.gain, kind="stable")[:_TOLD]]

    def gain_of(self, rows: Rows) -> NDArray[np.float32]:
        """Give the gain of some rows; 0 for those that are not near, shape (m,)."""
        if not len(self.rows):
            return np.zeros(len(rows), dtype=np.float32)
        place = np.minimum(np.searchsorted(self.rows, rows), len(self.rows) - 1)
        return np.where(self.rows[place] == rows, self.gain[place], np.float32(0.0))


@dataclass(frozen=True, eq=False, slots=True)
class _Names:
    """All names of a catalog: characters, shape (names, longest + 1), zero behind the end; and the row of each."""

    characters: Characters
    length: NDArray[np.int64]
    row: Rows


@lru_cache(maxsize=4)
def _names(catalog: Catalog) -> _Names:
    names = list(catalog.designations)
    rows = [np.arange(len(catalog))]
    also = [(row, name) for row, others in enumerate(catalog.alternatives) if others for name in others]
    names += [name for _, name in also]
    rows.append(np.array([row for row, _ in also], dtype=np.int64))
    keys = key(_JOIN.join(names)).encode("ascii", "replace").split(_JOIN.encode())
    width = min(max(map(len, keys)), _LONGEST) + 1
    table = np.array(keys, dtype=f"S{width}")
    characters = table.view(np.uint8).reshape(len(names), width)
    characters[:, -1] = 0  # so that the end of one name and the beginning of the next are no pair
    length = np.char.str_len(table).astype(np.int64)
    np.minimum(length, width - 1, out=length)
    return _Names(characters, length, np.concatenate(rows))


def near_names(text: str, legibility: str, catalog: Catalog) -> NearNames:
    """Give the rows whose name a mark may be read as.

    Parameters
    ----------
    text : str
        The mark, with `?` for an illegible character and `*` for any number of them.
    legibility : str
        In words: clear, corroded ...
    catalog : Catalog
        Of n rows.
    """
    names = _names(catalog)
    found, worth = [np.empty(0, dtype=np.int64)], [np.empty(0, dtype=np.float32)]
    for form in dict.fromkeys(key(way)[:_LONGEST_MARK] for way in (text, *spellings(text))):
        near = _having_pairs(form, names)
        found.append(names.row[near])
        worth.append(_worth(form, names, near))
    rows, which = np.unique(np.concatenate(found), return_inverse=True)
    rough = np.zeros(len(rows), dtype=np.float32)
    np.maximum.at(rough, which, np.concatenate(worth))
    order = np.argsort(-rough, kind="stable")
    count = min(_WEIGHED, np.count_nonzero(rough))
    return _weighed(text, legibility, np.sort(rows[order[:count]]), rows[order[count:]], catalog)


def _weighed(text: str, legibility: str, rows: Rows, further: Rows, catalog: Catalog) -> NearNames:
    """Weigh names by the channel, against some of those that are further off and some of all others."""
    n = len(catalog)
    samples = [further[_spaced(len(further))], _spaced(n)]
    chance = name_chances(text, legibility, catalog.take(np.concatenate([rows, *samples])))
    of_rows, of_further, of_others = np.split(chance, np.cumsum([len(rows), len(samples[0])]))
    others = n - len(rows) - len(further)
    total = of_rows.sum() + (of_further.mean() * len(further) if len(further) else 0.0) + of_others.mean() * others
    listed = likelihood_by_chance(text, chance, float(total) / n).listed
    gain = np.maximum(listed[: len(rows)] - np.median(listed[-len(of_others) :]), 0.0).astype(np.float32)
    return NearNames(rows, gain, float(total) / n)


def _spaced(n: int) -> Rows:
    """Give some of n places, evenly spaced."""
    return np.unique(np.linspace(0, n - 1, min(_STRANGERS, n)).astype(np.int64))


def _having_pairs(form: str, names: _Names) -> Rows:
    """Give the names that have enough pairs of characters in common with a mark, the best first."""
    pairs = _pairs(form)
    count = np.zeros(len(names.row), dtype=np.uint8)
    flat = names.characters.ravel()
    at = {character: flat == character for character in {c for pair in pairs for c in pair[:2]}}
    for first, second, apart in pairs:
        places = np.flatnonzero(at[first][:-apart] & at[second][apart:])
        count[places // names.characters.shape[1]] += 1
    found = np.flatnonzero(count >= (2 if len(pairs) > _FEW_PAIRS else 1)) if pairs else np.empty(0, dtype=np.int64)
    shared = count[found]
    if len(found) > _MOST:
        having = np.cumsum(np.bincount(shared)[::-1])[::-1]  # so many names have at least so many pairs
        least = int(np.argmax(having <= _MOST))
        found, shared = found[shared >= least], shared[shared >= least]
    return found[np.argsort(-shared.astype(np.int64), kind="stable")][:_MOST]


def _pairs(form: str) -> list[tuple[int, int, int]]:
    """Give pairs of legible characters, next to each other or one apart, and how far apart they are.

    In a long mark those next to each other do, unless an illegible one is between them.

    >>> [(chr(a), chr(b), apart) for a, b, apart in _pairs("W?12*4")]
    [('W', '1', 2), ('1', '2', 1)]
    """
    codes = form.encode("ascii", "replace")
    legible = [character not in "?*" for character in form]
    between = "?" if sum(legible) > _SHORT else "?" + form.replace("*", "")
    result = [
        (codes[i], codes[i + apart], apart)
        for i in range(len(form))
        for apart in (1, 2)
        if i + apart < len(form) and legible[i] and legible[i + apart] and (apart == 1 or form[i + 1] in between)
    ]
    return list(dict.fromkeys(result))


def _worth(form: str, names: _Names, found: Rows) -> NDArray[np.float32]:
    """Give what a mark is worth for each of some names: agreeing characters less what does not agree."""
    mark = np.frombuffer(form.encode("ascii", "replace"), dtype=np.uint8)
    characters, length = names.characters[found, :-1], names.length[found]
    legible = sum(c not in "?*" for c in form)
    in_name = _edits(mark, [c == "*" for c in form], characters, length)
    in_mark = _edits_of_names(mark, characters, length)
    edits = np.minimum(in_name, in_mark)
    agreeing = np.minimum(length, legible) - edits
    worth = _OWN + _CHARACTER * agreeing - _EDIT * edits
    return np.where(edits <= _MOST_EDITS, worth, 0.0).astype(np.float32)


def _edits(mark: Characters, any_number: Sequence[bool], characters: Characters, length: Rows) -> Edits:
    """Give the fewest characters to be changed so that the mark stands somewhere in each name."""
    costs = [np.zeros(len(length), dtype=np.int8)]
    for star in any_number:
        costs.append(costs[-1] + np.int8(not star))
    best = costs[-1].copy()
    for j in range(characters.shape[1]):
        after = [costs[0]]
        for i, symbol in enumerate(mark, start=1):
            if any_number[i - 1]:
                after.append(np.minimum(after[i - 1], np.minimum(costs[i], costs[i - 1])))
                continue
            same = (characters[:, j] == symbol) | (symbol == _ANY)
            after.append(np.minimum(np.minimum(after[i - 1], costs[i]) + _ONE, costs[i - 1] + ~same))
        costs = after
        best = np.where(length > j, np.minimum(best, costs[-1]), best)
    return best


def _edits_of_names(mark: Characters, characters: Characters, length: Rows) -> Edits:
    """Give the fewest characters to be changed so that each whole name stands somewhere in the mark."""
    start = np.zeros(len(length), dtype=np.int8)
    costs = [start] * (len(mark) + 1)
    best = np.full(len(length), len(mark) + _LONGEST, dtype=np.int8)
    for j in range(characters.shape[1]):
        after = [start + np.int8(j + 1)]
        for i, symbol in enumerate(mark, start=1):
            same = (characters[:, j] == symbol) | (symbol == _ANY)
            after.append(np.minimum(np.minimum(after[i - 1], costs[i]) + _ONE, costs[i - 1] + ~same))
        costs = after
        best = np.where(length == j + 1, np.min(costs, axis=0), best)
    return best
