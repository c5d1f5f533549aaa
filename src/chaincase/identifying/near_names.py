"""Which rows of a very large catalog have a name that a stamp may be read as.

For every pair of neighboring characters there is a list of the names that have it. The names that have most pairs of
the mark are compared with it character by character, and the nearest of those are weighed by the channel of
`identifying.channel`. Marks of several cases are looked for together, as that is quicker.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key, spellings
from chaincase.identifying.evidence import Mark
from chaincase.identifying.stamp import chances_of, likelihood_by_chance, number_in

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
after `identifying.channel`."""
_JOIN = "\x1f"
_ANY, _STAR, _NONE = ord("?"), ord("*"), 1
"""Characters of a mark that are any one, any number, and none at all."""


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
    """All names of a catalog, and which of them have which pairs of characters.

    Attributes
    ----------
    characters : ndarray of uint8, shape (names, longest)
        Zero behind the end.
    length, row : ndarray of int64, shape (names,)
        Number of characters, and the row that bears the name.
    having : ndarray of int32
        Names that have a pair, rising, pair after pair.
    start : ndarray of int64
        Where in `having` each pair begins, by a number that is made of those of its characters and the distance.
    code : ndarray of int64, shape (256,)
        Number of each character; 0 for those that no name has.
    count : int
        Numbers of characters, that 0 among them.
    """

    characters: Characters
    length: NDArray[np.int64]
    row: Rows
    having: NDArray[np.int32]
    start: Rows
    code: Rows
    count: int

    def with_pair(self, first: int, second: int, apart: int) -> NDArray[np.int32]:
        """Give the names that have two characters so far apart."""
        if not (self.code[first] and self.code[second]):
            return self.having[:0]
        number = 2 * (int(self.code[first]) * self.count + int(self.code[second])) + apart - 1
        return self.having[self.start[number] : self.start[number + 1]]


@lru_cache(maxsize=4)
def _names(catalog: Catalog) -> _Names:
    names = list(catalog.designations)
    rows = [np.arange(len(catalog))]
    also = [(row, name) for row, others in enumerate(catalog.alternatives) if others for name in others]
    names += [name for _, name in also]
    rows.append(np.array([row for row, _ in also], dtype=np.int64))
    keys = key(_JOIN.join(names)).encode("ascii", "replace").split(_JOIN.encode())
    width = min(max(map(len, keys)), _LONGEST)
    table = np.array(keys, dtype=f"S{max(width, 1)}")
    characters = table.view(np.uint8).reshape(len(names), -1)
    return _Names(characters, np.char.str_len(table).astype(np.int64), np.concatenate(rows), *_paired(characters))


def _paired(characters: Characters) -> tuple[NDArray[np.int32], Rows, Rows, int]:
    """Give, for `_Names`, which names have which pairs of characters."""
    occurs = np.bincount(characters.ravel(), minlength=256) > 0
    occurs[0] = False
    code = np.where(occurs, np.cumsum(occurs), 0)
    count = int(code.max()) + 1
    coded = code.astype(np.uint8)[characters]
    pairs, bearers = [], []
    for apart in (1, 2):
        first, second = coded[:, :-apart], coded[:, apart:]
        name, place = np.nonzero((first > 0) & (second > 0))
        pairs.append(2 * (first[name, place].astype(np.int64) * count + second[name, place]) + apart - 1)
        bearers.append(name.astype(np.int32))
    pair, bearer = np.concatenate(pairs), np.concatenate(bearers)
    if 2 * count * count <= np.iinfo(np.uint16).max:
        pair = pair.astype(np.uint16)  # numbers of 16 bits are sorted much faster
    order = np.argsort(pair, kind="stable")
    pair, bearer = pair[order], bearer[order]
    once = np.ones(len(pair), dtype=bool)
    once[1:] = (pair[1:] != pair[:-1]) | (bearer[1:] != bearer[:-1])
    pair, bearer = pair[once], bearer[once]
    return bearer, np.cumsum(np.bincount(pair.astype(np.int64) + 1, minlength=2 * count * count + 2)), code, count


def near_names(marks: Sequence[Mark], catalog: Catalog) -> list[NearNames]:
    """Give the rows whose name each of some marks may be read as, in a catalog of n rows."""
    if not marks:
        return []
    names = _names(catalog)
    numbers = [number_in(mark.text) for mark in marks]
    forms = [list(dict.fromkeys(key(way)[:_LONGEST_MARK] for way in (text, *spellings(text)))) for text in numbers]
    near = [_having_pairs(form, names) for some in forms for form in some]
    worth = iter(_worth([form for some in forms for form in some], names, near))
    found = iter(near)
    ordered = [_ordered([(names.row[next(found)], next(worth)) for _ in some]) for some in forms]
    return _weighed(marks, ordered, catalog)


def _ordered(found: Sequence[tuple[Rows, NDArray[np.float32]]]) -> tuple[Rows, Rows]:
    """Give the rows that are to be weighed, rising, and those that are less near, by what a mark is worth for them."""
    bearers, worth = np.concatenate([rows for rows, _ in found]), np.concatenate([worth for _, worth in found])
    by_row = np.lexsort((-worth, bearers))
    bearers, worth = bearers[by_row], worth[by_row]
    best = np.append(True, bearers[1:] != bearers[:-1]) if len(bearers) else np.empty(0, dtype=bool)
    rows, rough = bearers[best], worth[best]
    order = np.argsort(-rough, kind="stable")
    count = min(_WEIGHED, np.count_nonzero(rough))
    return np.sort(rows[order[:count]]), rows[order[count:]]


def _weighed(marks: Sequence[Mark], ordered: Sequence[tuple[Rows, Rows]], catalog: Catalog) -> list[NearNames]:
    """Weigh names by the channel, against some of those that are further off and some of all others."""
    n, spaced = len(catalog), _spaced(len(catalog))
    parts = [(rows, further[_spaced(len(further))], spaced) for rows, further in ordered]
    names = [
        [(catalog.designations[row], catalog.alternatives[row]) for row in np.concatenate(part).tolist()]
        for part in parts
    ]
    every = chances_of([(mark.text, mark.legibility) for mark in marks], names)
    result = []
    for mark, (rows, further), part, chance in zip(marks, ordered, parts, every, strict=True):
        of_rows, of_further, of_others = np.split(chance, np.cumsum([len(some) for some in part[:2]]))
        others = n - len(rows) - len(further)
        total = of_rows.sum() + (of_further.mean() * len(further) if len(further) else 0.0) + of_others.mean() * others
        listed = likelihood_by_chance(mark.text, chance, float(total) / n).listed
        gain = np.maximum(listed[: len(rows)] - np.median(listed[-len(of_others) :]), 0.0).astype(np.float32)
        result.append(NearNames(rows, gain, float(total) / n))
    return result


@lru_cache(maxsize=1024)
def _spaced(n: int) -> Rows:
    """Give some of n places, evenly spaced."""
    return np.unique(np.linspace(0, n - 1, min(_STRANGERS, n)).astype(np.int64))


def _having_pairs(form: str, names: _Names) -> Rows:
    """Give the names that have enough pairs of characters in common with a mark, the best first."""
    pairs = _pairs(form)
    if not pairs:
        return np.empty(0, dtype=np.int64)
    count = np.zeros(len(names.row), dtype=np.uint8)
    for pair in pairs:
        count[names.with_pair(*pair)] += 1
    found = np.flatnonzero(count >= (2 if len(pairs) > _FEW_PAIRS else 1))
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


def _worth(forms: Sequence[str], names: _Names, near: Sequence[Rows]) -> list[NDArray[np.float32]]:
    """Give what each form of a mark is worth for its names: agreeing characters less what does not agree."""
    if not forms:
        return []
    count = [len(found) for found in near]
    of, found = np.repeat(np.arange(len(forms)), count), np.concatenate(near)
    characters, length = np.ascontiguousarray(names.characters[found].T), names.length[found]
    marks = _side_by_side(forms)
    edits = np.minimum(_edits(marks, of, characters, length), _edits_of_names(marks, of, characters, length))
    legible = np.array([sum(c not in "?*" for c in form) for form in forms])[of]
    agreeing = np.minimum(length, legible) - edits
    worth = _OWN + _CHARACTER * agreeing - _EDIT * edits
    worth = np.where(edits <= _MOST_EDITS, worth, 0.0).astype(np.float32)
    return np.split(worth, np.cumsum(count)[:-1])


def _side_by_side(forms: Sequence[str]) -> Characters:
    """Give the characters of forms, shape (longest, forms); short ones have none in front."""
    longest = max(map(len, forms))
    rows = [bytes([_NONE]) * (longest - len(form)) + form.encode("ascii", "replace") for form in forms]
    return np.frombuffer(b"".join(rows), dtype=np.uint8).reshape(len(forms), longest).T


def _edits(marks: Characters, of: Rows, characters: Characters, length: Rows) -> Edits:
    """Give the fewest characters to be changed so that a mark stands somewhere in a name.

    What stands for no character in front of a mark costs no more than any number of them: nothing.
    """
    free = (marks == _STAR) | (marks == _NONE)
    step, symbols = np.asarray(~free, dtype=np.int8)[:, of], marks[:, of]
    like = (marks == _ANY) | free
    costs = np.concatenate([np.zeros((1, len(of)), dtype=np.int8), np.cumsum(step, axis=0, dtype=np.int8)])
    best = costs[-1].copy()
    for j, here in enumerate(characters):
        unlike = ~((symbols == here) | like[:, of])
        costs[1:] = np.minimum(costs[:-1] + unlike, costs[1:] + step)
        for i in range(1, len(costs)):
            np.minimum(costs[i], costs[i - 1] + step[i - 1], out=costs[i])
        np.minimum(best, costs[-1], out=best, where=length > j)
    return np.asarray(best)


def _edits_of_names(marks: Characters, of: Rows, characters: Characters, length: Rows) -> Edits:
    """Give the fewest characters to be changed so that a whole name stands somewhere in a mark."""
    symbols, like = marks[:, of], (marks == _ANY)[:, of]
    costs = np.zeros((len(marks) + 1, len(of)), dtype=np.int8)
    best = np.full(len(length), len(marks) + _LONGEST, dtype=np.int8)
    for j, here in enumerate(characters):
        unlike = ~((symbols == here) | like)
        costs[1:] = np.minimum(costs[:-1] + unlike, costs[1:] + 1)
        costs[0] = j + 1
        for i in range(1, len(costs)):
            np.minimum(costs[i], costs[i - 1] + 1, out=costs[i])
        ending = np.flatnonzero(length == j + 1)
        best[ending] = costs[:, ending].min(axis=0)
    return best
