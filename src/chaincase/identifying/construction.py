"""What the eye sees of the construction: a hint with a small error rate."""

import re

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
        "multi-strand": "multistrand,multi strand,multi,multiple strand,multiple,several strand,many strand,multiplex",
        "double pitch": "double-pitch",
        "roller": "with roller",
        "hollow pin": "hollow",
        "solid pin": "solid",
        "class 700": "700 class",
    }.items()
    for word in words.split(",")
}
_MOST_STRANDS, _USUAL_STRANDS = 10, 4
"""More strands than are made, and than people speak of."""
_STRAND_WORDS = {n: f"{n} strands" for n in range(2, _MOST_STRANDS + 1)} | {1: "single strand"}
_STRANDS = {word: (n, n) for n, word in _STRAND_WORDS.items()} | {"single strand": (0, 1), "multi-strand": (2, 99)}
"""Fewest and most strands of what may be called so; 0 where a table does not count them."""
_NUMBERS = {
    word: n
    for n, words in enumerate(
        (
            "1,one,single,simplex,simple",
            "2,two,double,duplex,twin,dual",
            "3,three,triple,triplex",
            "4,four,quadruple,quadruplex,quad",
            "5,five,quintuple,quintuplex",
            "6,six,sextuple,sextuplex",
            "7,seven",
            "8,eight,octuple",
            "9,nine",
            "10,ten",
        ),
        start=1,
    )
    for word in words.split(",")
}
"""What people say for a number of strands (common practice, no source)."""
_COUNTED = re.compile(r"(?P<number>[a-z]+|\d+)(?:x| x)?(?:[ -]?(?:fold|strand|row|line|wide|ply)s?(?:ed)?)?", re.ASCII)
_ABOUT_STRANDS = re.compile(r"strand|plex\b|\brows?\b")
"""A word with this answers the question how many strands there are, even if it cannot be read."""
_MANY = "multi-strand"
_ROLLER_SIZE = {"small roller", "large roller"}
_KNOWN = (
    frozenset().union(*(kind.seen_as for kind in KINDS))
    | frozenset(kind.name for kind in KINDS)
    | set(_STRANDS)
    | _ROLLER_SIZE
)


def _plain(word: str) -> str:
    """Give our word for what was said; what means nothing here stays as it is.

    >>> [_plain(word) for word in ("2 strands", "Duplex chain", "three-strand", "4", "single", "offset sidebars")]
    ['2 strands', '2 strands', '3 strands', '4 strands', 'single strand', 'offset sidebar']
    """
    plain = " ".join(word.lower().replace("_", " ").split()).removesuffix(" chains").removesuffix(" chain")
    for each in (plain, plain.removesuffix("s"), plain.removesuffix("es")):
        if each in _SAME or each in _KNOWN:
            return _SAME.get(each, each)
    counted = _COUNTED.fullmatch(plain)
    number = _NUMBERS.get(counted["number"]) if counted else None
    return plain if number is None else _STRAND_WORDS[number]


def _read(word: str) -> frozenset[str]:
    """Give our words for what was said, which may be two in one; none for what means nothing here.

    >>> sorted(_read("duplex roller chain")), sorted(_read("shiny"))
    (['2 strands', 'roller'], [])
    """
    pieces = word.split()
    ways = [(word,), *((" ".join(pieces[:i]), " ".join(pieces[i:])) for i in range(1, len(pieces)))]
    read = (frozenset(map(_plain, way)) for way in ways)
    return next((words for words in read if words <= _KNOWN), frozenset())


def known_words() -> list[str]:
    """Give the words for construction that mean something here; of counts of strands the usual ones."""
    return sorted(_KNOWN - {word for n, word in _STRAND_WORDS.items() if n > _USUAL_STRANDS})


def unknown_words(words: tuple[str, ...]) -> list[str]:
    """Give the words that mean nothing here.

    >>> unknown_words(("offset sidebar", "2 strands", "shiny"))
    ['shiny']
    """
    return [word for word in words if word.strip() and not _read(word)]


def said_words(words: tuple[str, ...]) -> frozenset[str]:
    """Give our words for all that was said of the construction and means something here.

    >>> sorted(said_words(("duplex roller chain", "shiny")))
    ['2 strands', 'roller']
    """
    return frozenset[str]().union(*map(_read, words))


def construction_likelihood(words: tuple[str, ...], catalog: Catalog) -> Array:
    """Give the log likelihood of the named constructions per row; unknown words say nothing, shape (n,)."""
    said = said_words(words)
    counted = bool(said & _STRANDS.keys()) or any(_ABOUT_STRANDS.search(each.lower()) for each in words)
    total = np.zeros(len(catalog))
    for word in sorted(said):
        called = fits(word, catalog)
        total += np.log(np.where(called, 1.0 - CONSTRUCTION_ERROR, CONSTRUCTION_ERROR))
    for striking, unsaid in UNSAID.items() if said else ():
        answered = counted if striking == _MANY else striking in said
        if not answered:
            total += np.log(np.where(fits(striking, catalog), unsaid, 1.0))
    return total


def fits(word: str, catalog: Catalog) -> NDArray[np.bool_]:
    """Tell of which rows the chain may be called by one of our words, shape (n,)."""
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
    strands = np.minimum(catalog.strands, _MOST_STRANDS + 1).astype(np.int64)
    return np.asarray(
        (catalog.kind.astype(np.int64) * (_MOST_STRANDS + 2) + strands) * (1 << len(_ROLLER_SIZE)) + rollers
    )


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
    read = _read(word)
    return all(bool(fits(each, catalog)[row]) for each in read) if read else None
