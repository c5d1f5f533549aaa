"""What the eye can tell in half a minute and nobody has said yet: strands, rollers, pins, how the links are made."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.identifying.construction import fits, said_words

Array = NDArray[np.float64]
Rows = NDArray[np.int64]

MINUTES = 0.5
"""Of a look at a chain that lies still: common practice, no source."""
_MISTAKEN = 0.04
"""How often the eye, or the word for what it saw, is wrong: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Look:
    """One question to the eye.

    Attributes
    ----------
    label, where : str
        What is asked, and how one looks.
    answers : tuple of (str, str)
        Answers in words, and the word for construction that each stands for; the first that fits a row is its
        answer, and the last one is that of all others.
    settled_by : frozenset of str
        Words for construction that have answered it; empty where any word that is not of strands has.
    """

    label: str
    where: str
    answers: tuple[tuple[str, str], ...]
    settled_by: frozenset[str]


_STRANDS = ("single strand", "2 strands", "3 strands")
LOOKS: tuple[Look, ...] = (
    Look(
        "number of strands",
        "count the strands: how many rollers or bushes sit side by side on one pin",
        tuple(zip(("one strand", "two strands", "three strands", "more strands"), (*_STRANDS, ""), strict=True)),
        frozenset({*_STRANDS, "multi-strand", *(f"{n} strands" for n in range(4, 11))}),
    ),
    Look(
        "form of the rollers",
        "look from the side: does a roller stand out over the plates, has it a flange, or is there none",
        (
            ("a roller with a flange", "flanged roller"),
            ("a roller that stands out over the plates", "large roller"),
            ("a roller within the plates", "small roller"),
            ("no roller", ""),
        ),
        frozenset({"flanged roller", "large roller", "small roller", "rollerless", "bush", "bushed rollerless"}),
    ),
    Look(
        "pins",
        "look at the ends of the pins: is there a hole through them",
        (("hollow pins", "hollow pin"), ("solid pins", "")),
        frozenset({"hollow pin", "solid pin"}),
    ),
    Look(
        "make of the links",
        "look at one link: of what it is made and how the next one is joined to it",
        (
            ("hinged top plates", "flat-top"),
            ("plates side by side without a gap for a wheel", "leaf"),
            ("hooks that come apart by hand", "detachable"),
            ("forged links with loose pins", "rivetless"),
            ("welded bars and barrels", "welded steel"),
            ("cast links", "cast"),
            ("cranked sidebars with rollers", "offset sidebar"),
            ("plates of twice the pitch that the rollers would need", "double pitch"),
            ("long plates for a conveyor", "conveyor"),
            ("short-pitch drive chain", ""),
        ),
        frozenset(),
    ),
)


def open_looks(words: tuple[str, ...]) -> list[Look]:
    """Give the looks whose question no word for construction has answered.

    >>> [look.label for look in open_looks(("duplex", "hollow pin"))]
    ['form of the rollers']
    """
    said = said_words(words)
    others = said - LOOKS[0].settled_by
    return [look for look in LOOKS if not (said & look.settled_by if look.settled_by else others)]


def answers_of(look: Look, catalog: Catalog, rows: Rows) -> Array:
    """Give how likely each answer is on some rows of a catalog, shape (rows, answers).

    A row whose table does not say, such as one without the size of its roller, may get any answer that fits.
    """
    some = catalog.take(rows)
    found = np.zeros((len(rows), len(look.answers)))
    for i, (_, word) in enumerate(look.answers[:-1]):
        found[:, i] = fits(word, some)
    found[:, -1] = ~found[:, :-1].any(axis=1)
    if look.answers[0][1] == "flanged roller":
        found[found[:, 0] > 0, 1:] = 0.0  # a flange is seen before all else
    elif look.settled_by != LOOKS[1].settled_by:
        found[np.cumsum(found, axis=1) > 1] = 0.0  # the first that fits
    sure = found / found.sum(axis=1, keepdims=True)
    return np.asarray((1.0 - _MISTAKEN) * sure + _MISTAKEN / len(look.answers))
