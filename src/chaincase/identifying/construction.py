"""What the eye sees of the construction: a hint with a small error rate."""

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import KINDS
from chaincase.identifying.constants import CONSTRUCTION_ERROR, UNSAID

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
_MOST_STRANDS = 4
"""More strands are all alike to the words above."""
_SAYS = {"multi-strand": set(_STRANDS)}
"""What answers the same question as a striking word."""
_ROLLER_SIZE = {"small roller", "large roller"}
_KNOWN = (
    frozenset().union(*(kind.seen_as for kind in KINDS))
    | frozenset(kind.name for kind in KINDS)
    | set(_STRANDS)
    | _ROLLER_SIZE
)


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
    said = {_plain(each) for each in words} & _KNOWN
    total = np.zeros(len(catalog))
    for word in sorted(said):
        fits = _fits(word, catalog)
        total += np.log(np.where(fits, 1.0 - CONSTRUCTION_ERROR, CONSTRUCTION_ERROR))
    for striking, unsaid in UNSAID.items() if said else ():
        if not said & _SAYS.get(striking, {striking}):
            total += np.log(np.where(_fits(striking, catalog), unsaid, 1.0))
    return total


def _fits(word: str, catalog: Catalog) -> NDArray[np.bool_]:
    if word in _ROLLER_SIZE:
        return _roller_fits(word, catalog)
    if word in _STRANDS:
        fewest, most = _STRANDS[word]
        return np.asarray((catalog.strands >= fewest) & (catalog.strands <= most))
    per_kind = np.array([word in kind.seen_as or word == kind.name for kind in KINDS])
    return np.asarray(per_kind[catalog.kind])


def faces(catalog: Catalog) -> NDArray[np.int64]:
    """Give a number for what of a row's chain the eye can tell; all words fit rows of one number alike, shape (n,)."""
    rollers = sum(_roller_fits(word, catalog) * bit for bit, word in enumerate(sorted(_ROLLER_SIZE), start=1))
    strands = np.minimum(catalog.strands, _MOST_STRANDS).astype(np.int64)
    return np.asarray((catalog.kind * (_MOST_STRANDS + 1) + strands) * (1 << len(_ROLLER_SIZE)) + rollers)


def _roller_fits(word: str, catalog: Catalog) -> NDArray[np.bool_]:
    """Tell where a roller is large or small: whether it stands out over the plates; unknown sizes fit both."""
    roller = catalog.values[:, COLUMN["roller_diameter"]]
    plates = catalog.values[:, [COLUMN["inner_plate_height"], COLUMN["sidebar_height"]]]
    height = np.where(np.isnan(plates[:, 0]), plates[:, 1], plates[:, 0])
    has_roller = np.array(["roller_diameter" in kind.dimensions for kind in KINDS])[catalog.kind]
    contrary = roller <= height if word == "large roller" else roller > height
    return np.asarray(has_roller & ~contrary)


def fits_row(word: str, row: int, catalog: Catalog) -> bool | None:
    """Tell whether a row's chain may be called so; None where the word means nothing here."""
    plain = _plain(word)
    return bool(_fits(plain, catalog)[row]) if plain in _KNOWN else None
