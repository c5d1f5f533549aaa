"""The noisy channel from a number to the characters somebody made out on the rusted bar, for many stamps at once.

Each character of the number is seen right, taken for a look-alike, taken for something else, or has vanished;
ends may be missing or hidden, other text (a maker's word, a date, an attachment code) may stand before or after.
`?` is one illegible character and says nothing but that there was one; `*` is any number of missing ones.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.int64]

_ALPHABET = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
_OTHER = len(_ALPHABET)
_CODE = {character: i for i, character in enumerate(_ALPHABET)}
_CODE_OF = np.array([-1, *(_CODE.get(chr(i), _OTHER) for i in range(1, 256))], dtype=np.int8)
"""Code of every byte; -1 for what fills up a short name."""
_ILLEGIBLE, _MISSING, _NONE = _OTHER + 1, _OTHER + 2, _OTHER + 3
"""Codes of `?`, of `*`, and of what fills up a short mark."""
_SYMBOL = _CODE | {"?": _ILLEGIBLE, "*": _MISSING}

# Characters that stamping, wear and rust make alike (common practice, no source).
_LOOK_ALIKE = (
    *("0OQDC", "1I7LT", "5S6", "8B3", "2Z7", "6G8", "0869", "HNM", "MWN", "PRFB", "EFB"),
    *("CG", "KXR", "A4", "UV", "VY", "3S", "DB0"),
)

BACKGROUND = 1.0 / 37.0
"""Chance of any one character of foreign text."""
_LOOK_ALIKE_SHARE = 0.75
_LOST_MORE = 0.6
"""If an end is lost, the chance that one more character is."""
_EXTRA_FRONT, _EXTRA_BACK, _EXTRA_MORE = 0.05, 0.15, 0.7
"""Text before or behind the number, and the chance that it goes on."""
_INSERTED = 0.01


@dataclass(frozen=True, slots=True)
class Eye:
    """How well a mark could be read: chance per character of an error and of vanishing, per end of being lost."""

    error: float
    vanished: float
    lost_end: float


@dataclass(frozen=True, slots=True)
class Seen:
    """What was made out: a mark as a key (see `chains.designation.key`), and how well it could be read."""

    mark: str
    eye: Eye


def coded(names: Sequence[str]) -> tuple[NDArray[np.int8], Whole]:
    """Give the codes of the characters of names, shape (k, longest), -1 behind the end, and their lengths."""
    width = max(map(len, names), default=1) or 1
    characters = np.array([name.encode("ascii", "replace") for name in names], dtype=f"S{width}")
    codes = _CODE_OF[characters.view(np.uint8).reshape(len(names), width)]
    return codes, (codes >= 0).sum(axis=1)


def chances(seen: Sequence[Seen], of: Whole, codes: NDArray[np.int8], lengths: Whole) -> Array:
    """Give the chance that each of some names was read as one of some marks.

    A forward pass over the characters of all names; `ways[i]` is the chance of having seen the first i symbols.

    Parameters
    ----------
    seen : sequence of Seen
        The marks.
    of : ndarray of int64, shape (k,)
        Which mark each name is held against.
    codes, lengths : ndarray
        The names, as `coded` gives them, shape (k, longest) and (k,).

    Returns
    -------
    ndarray, shape (k,)
    """
    order = np.argsort(-lengths, kind="stable")  # so that names which go on stand in front
    of, length, characters = of[order], lengths[order], np.maximum(codes[order].T, 0).astype(np.int64)
    marks = _Marks.of(seen)
    stay, inserted, finish = marks.stay[:, of], marks.inserted[:, of], marks.finish[:, of]
    ways, last = marks.before[:, of], marks.last[of]
    vanished, lost = marks.vanished[of], marks.lost[of] * (1 - _LOST_MORE)
    cell = (marks.eye[of] * (_OTHER + 1) * (_NONE + 1))[None] + marks.symbols[:, of]
    going_on = (length[:, None] > np.arange(codes.shape[1] + 1)).sum(axis=0)
    total = np.zeros(len(order))
    total[going_on[0] :] = (ways * finish)[:, going_on[0] :].sum(axis=0)
    for j, (alive, further) in enumerate(zip(going_on[:-1].tolist(), going_on[1:].tolist(), strict=True)):
        if not alive:
            break
        right = marks.emission.take(cell[:, :alive] + characters[j, :alive] * (_NONE + 1))
        after = np.empty((len(ways), alive))
        np.multiply(ways[0, :alive], vanished[:alive], out=after[0])
        after[1:] = ways[:-1, :alive] * right + ways[1:, :alive] * stay[:, :alive]
        for i in range(1, len(ways)):
            after[i] += after[i - 1] * inserted[i - 1, :alive]
        after[0] = lost[:alive] * _LOST_MORE**j
        ways = after
        total[further:alive] += (after[:, further:] * finish[:, further:alive]).sum(axis=0)
        behind = length[:further] - j - 1
        total[:further] += after[last[:further], np.arange(further)] * (lost[:further] * _LOST_MORE ** (behind - 1.0))
    result = np.empty(len(order))
    result[order] = total
    return result


@dataclass(frozen=True, eq=False, slots=True)
class _Marks:
    """Marks as the pass needs them, m symbols at most; all shapes are (m or m + 1, marks) or (marks,).

    Attributes
    ----------
    symbols : ndarray of int64
        Codes, `_NONE` behind the end.
    stay, inserted : ndarray
        What each symbol makes of the ways that had it already, and of those one symbol before it.
    before, finish : ndarray
        The ways before the first character of a name, and what each way is worth at its end.
    last : ndarray of int64
        Number of symbols.
    eye, vanished, lost : ndarray
        Which of `emission` holds, and the chances of the eye.
    emission : ndarray
        What each character makes of the ways one symbol before, by eye, character and symbol, flat.
    """

    symbols: Whole
    stay: Array
    inserted: Array
    before: Array
    finish: Array
    last: Whole
    eye: Whole
    vanished: Array
    lost: Array
    emission: Array

    @classmethod
    def of(cls, seen: Sequence[Seen]) -> "_Marks":
        eyes = list(dict.fromkeys(each.eye for each in seen))
        longest = max((len(each.mark) for each in seen), default=0)
        symbols = np.full((longest, len(seen)), _NONE, dtype=np.int64)
        before, finish = np.zeros((longest + 1, len(seen))), np.zeros((longest + 1, len(seen)))
        for k, each in enumerate(seen):
            codes = [_SYMBOL.get(symbol, _OTHER) for symbol in each.mark]
            symbols[: len(codes), k] = codes
            before[: len(codes) + 1, k] = _before(codes)
            finish[: len(codes) + 1, k] = _finish(codes)
        vanished = np.array([each.eye.vanished for each in seen])
        missing, none = symbols == _MISSING, symbols == _NONE
        any_of_them = np.where(symbols == _ILLEGIBLE, 1.0, BACKGROUND)
        return cls(
            symbols=symbols,
            stay=np.where(none, 0.0, np.where(missing, 1.0, vanished)),
            inserted=np.where(none, 0.0, np.where(missing, 1.0, _INSERTED * any_of_them)),
            before=before,
            finish=finish,
            last=np.array([len(each.mark) for each in seen], dtype=np.int64),
            eye=np.array([eyes.index(each.eye) for each in seen], dtype=np.int64),
            vanished=vanished,
            lost=np.array([each.eye.lost_end for each in seen]),
            emission=np.concatenate([_emission(eye).ravel() for eye in eyes]) if eyes else np.empty(0),
        )


def _chance_of_any(code: int) -> float:
    return 1.0 if code == _ILLEGIBLE else BACKGROUND


def _before(codes: Sequence[int]) -> list[float]:
    """Give the ways before the first character of a name: nothing seen, or other text in front."""
    ways, extra = [1.0], _EXTRA_FRONT
    for code in codes:
        if code == _MISSING:
            ways.append(ways[-1])
            continue
        ways.append(ways[-1] * (extra * _chance_of_any(code)))
        extra = _EXTRA_MORE
    return ways


def _finish(codes: Sequence[int]) -> list[float]:
    """Give what each way is worth at the end of a name, with other text behind."""
    worth, rest = [1.0], 1.0
    for code in reversed(codes):
        rest *= 1.0 if code == _MISSING else _EXTRA_MORE * _chance_of_any(code)
        worth.append(_EXTRA_BACK * rest)
    return worth[::-1]


@lru_cache(maxsize=8)
def _emission(eye: Eye) -> Array:
    """Give the chance of seeing each symbol for each true character, shape (characters, symbols)."""
    size = len(_ALPHABET) + 1
    alike = np.zeros((size, size))
    for group in _LOOK_ALIKE:
        codes = [_CODE[c] for c in group]
        alike[np.ix_(codes, codes)] = 1.0
    np.fill_diagonal(alike, 0.0)
    neighbors = alike.sum(axis=1, keepdims=True)
    share = np.where(neighbors > 0, _LOOK_ALIKE_SHARE, 0.0)
    odd = (1.0 - share) * eye.error / (size - 1)
    table = np.zeros((size, _NONE + 1))
    table[:, :size] = odd + share * eye.error * alike / np.maximum(neighbors, 1.0)
    np.fill_diagonal(table, 1.0 - eye.error)
    table[:, :size] *= 1.0 - eye.vanished
    table[:, _ILLEGIBLE], table[:, _MISSING] = 1.0 - eye.vanished, 1.0
    return table
