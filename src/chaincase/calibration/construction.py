"""What a person who looks at the chain calls it: mostly right."""

from collections.abc import Iterable

import numpy as np

from chaincase.calibration.chance import happens, pick
from chaincase.calibration.parts import Piece
from chaincase.chains.kinds import KINDS, Kind

_SECOND, _WRONG, _OTHER_WORDS = 0.5, 0.04, 0.03
"""Shares: two words, a word that does not fit, a word that means nothing (assumed)."""
_NOTHING, _NOTHING_HURRIED = 0.02, 0.25
"""Share of people who say nothing of the construction; whoever fills in a sheet has chosen the sheet of a kind."""
_TELLING, _TELLING_HURRIED = 0.97, 0.75
"""Share of people who say what anybody sees from two paces: the roller or its absence, flange, number of strands."""
_COUNTED = 0.8
"""Share of them that give the number of strands instead of only that there are several."""
_LARGE_ROLLER = 1.7
"""A roller that stands out over the plates is called large; ISO 1977 sizes: small 1.4, large 2.8 times the bush."""


def construction_words(rng: np.random.Generator, piece: Piece, *, hurried: bool) -> list[str]:
    """Give what a person calls the chain, zero to two words, the most telling first."""
    if happens(rng, _NOTHING_HURRIED if hurried else _NOTHING):
        return []
    if happens(rng, _OTHER_WORDS):
        return [pick(rng, {"heavy chain": 0.5, "rusty": 0.5})]
    if happens(rng, _WRONG):
        return [_wrong_word(rng, piece.kind)]
    words = [str(word) for word in rng.permutation(right_words(piece))]
    if happens(rng, _TELLING_HURRIED if hurried else _TELLING):
        words.sort(key=lambda word: word not in telling_words(piece))
    words = words[: 2 if happens(rng, _SECOND) else 1]
    counted = {2: "duplex", 3: "triplex"}.get(piece.strands)
    return [counted if counted and word == "multi-strand" and happens(rng, _COUNTED) else word for word in words]


def telling_words(piece: Piece) -> set[str]:
    """Give the words among the right ones that tell chains of one table apart."""
    words = {"multi-strand"} if piece.strands > 1 else set()
    for name in ("flanged roller", "small roller", "large roller", "hollow pin", "bush", "double pitch"):
        words |= {name} & piece.kind.seen_as
    if "flanged roller" in words:
        words -= {"large roller"}
    return words & set(right_words(piece))


def seen(piece: Piece, question: str) -> list[str]:
    """Give what a person writes down who looks at a chain to answer one question; by what the chain is."""
    right = right_words(piece)
    if question == "number of strands":
        return ["single strand" if piece.strands <= 1 else f"{piece.strands} strands"]
    if question == "pins":
        return [word for word in right if word in {"hollow pin", "solid pin"}]
    if question == "form of the rollers":
        forms: list[str] = [
            word for word in ("flanged roller", "large roller", "small roller", "rollerless") if word in right
        ]
        return forms[:1]
    return [word for word in right if word != "multi-strand"][:1]


def right_words(piece: Piece) -> list[str]:
    """Give what the chain may rightly be called, roller size and strands looked at, sorted."""
    words = set(piece.kind.seen_as)
    words -= {"multi-strand"} if piece.strands <= 1 else set()
    if "roller_diameter" in piece.new and "bush_diameter" in piece.new:
        large = piece.new["roller_diameter"] > _LARGE_ROLLER * piece.new["bush_diameter"]
        words -= {"small roller"} if large else {"large roller"}
    return sorted(words)


def _wrong_word(rng: np.random.Generator, kind: Kind) -> str:
    words = sorted(_all_words() - kind.seen_as - {"multi-strand"})
    return words[int(rng.integers(len(words)))]


def _all_words(kinds: Iterable[Kind] = KINDS) -> set[str]:
    return set().union(*(kind.seen_as for kind in kinds))
