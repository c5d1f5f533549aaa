"""What the eye sees of the construction: a hint with a small error rate."""

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import KINDS
from chaincase.identifying.constants import CONSTRUCTION_ERROR

Array = NDArray[np.float64]

# Words that mean the same to the trade (common practice, no source).
_SAME = {
    word: ours
    for ours, words in {
        "offset sidebar": "cranked link,cranked,offset,offset link",
        "welded steel": "welded,welded steel mill",
        "drag": "welded steel drag",
        "bush": "bushing,bushed",
        "bushed rollerless": "steel bushed",
        "flanged roller": "flanged",
        "cast mill": "h type,h-type mill,h type mill",
        "combination": "cast combination",
        "detachable": "detachable link,hook link",
        "forged": "drop forged,drop-forged",
        "rivetless": "drop-forged rivetless,drop forged rivetless",
        "flat-top": "flat top,table top,slat top,hinged top",
        "multi-strand": "multistrand,multiple strand",
        "single strand": "simplex",
        "two-strand": "duplex,double strand,two strand",
        "three-strand": "triplex,triple strand,three strand",
        "double pitch": "double-pitch",
        "roller": "with roller",
        "hollow pin": "hollow",
        "solid pin": "solid",
        "class 700": "700 class",
    }.items()
    for word in words.split(",")
}
_STRANDS = {"single strand": (0, 1), "two-strand": (2, 2), "three-strand": (3, 3), "multi-strand": (2, 99)}
"""Fewest and most strands of what may be called so; 0 where a table does not count them."""
_KNOWN = frozenset().union(*(kind.seen_as for kind in KINDS)) | frozenset(kind.name for kind in KINDS) | set(_STRANDS)


def _plain(word: str) -> str:
    plain = " ".join(word.lower().replace("_", " ").split()).removesuffix(" chain")
    return _SAME.get(plain, plain)


def known_words() -> list[str]:
    """Give the words for construction that mean something here."""
    return sorted(_KNOWN)


def unknown_words(words: tuple[str, ...]) -> list[str]:
    """Give the words that mean nothing here.

    >>> unknown_words(("offset sidebar", "shiny"))
    ['shiny']
    """
    return [word for word in words if word.strip() and _plain(word) not in _KNOWN]


def construction_likelihood(words: tuple[str, ...], catalog: Catalog) -> Array:
    """Give the log likelihood of the named constructions per row; unknown words say nothing, shape (n,)."""
    total = np.zeros(len(catalog))
    for word in sorted({_plain(each) for each in words} & _KNOWN):
        fits = _fits(word, catalog)
        total += np.log(np.where(fits, 1.0 - CONSTRUCTION_ERROR, CONSTRUCTION_ERROR))
    return total


def _fits(word: str, catalog: Catalog) -> NDArray[np.bool_]:
    if word in _STRANDS:
        fewest, most = _STRANDS[word]
        return np.asarray((catalog.strands >= fewest) & (catalog.strands <= most))
    per_kind = np.array([word in kind.seen_as or word == kind.name for kind in KINDS])
    return np.asarray(per_kind[catalog.kind])


def fits_kind(word: str, kind_index: int, strands: int) -> bool | None:
    """Tell whether a chain of that kind may be called so; None where the word means nothing here."""
    plain = _plain(word)
    if plain not in _KNOWN:
        return None
    if plain in _STRANDS:
        fewest, most = _STRANDS[plain]
        return fewest <= strands <= most
    return plain in KINDS[kind_index].seen_as or plain == KINDS[kind_index].name
