"""Worn samples with their truth: a chain of a row, or of none, as it reaches the desk."""

from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from chaincase.calibration.chance import generator, happens, pick
from chaincase.calibration.circumstances import AS_ASSUMED, Circumstances
from chaincase.calibration.construction import construction_words
from chaincase.calibration.hands import Hand, Taken, choose_dimensions, draw_hand, take
from chaincase.calibration.minutes import minutes_for
from chaincase.calibration.parts import Piece, new_piece
from chaincase.calibration.stamps import made_up_number, marks, numbers_of, stamped_number
from chaincase.calibration.unlisted import unlisted_piece
from chaincase.calibration.wear import Wear, draw_wear
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN

Draw = Literal["rows", "tables"]

FIT_SEEDS = range(1000, 2000)
"""Seeds for fitting constants of the method; nothing in a report comes from them."""
REPORT_SEED = 5000
"""First seed of reports; nothing is fitted on it or on what follows."""
PER_SEED = 100
"""Samples per seed."""

UNLISTED = 0.10
"""Share of chains that stand in no table."""
STAMPED = 0.50
"""Share of samples on which a stamp was found."""
FEWEST_FIGURES = 3
"""A row with fewer figures can be recognized by its number only: such a chain comes to the desk with a stamp, or the
request is not one that any method could answer."""
_STAMP_OF_ANOTHER = 0.015
"""Share of stamps that are of another chain: a foreign link was put in, or two samples were mixed up."""
_FITS = 0.01
"""A link fits into a chain whose pitch differs by less than this share."""
_OWN_NUMBER, _LISTED_NUMBER = 0.30, 0.05
"""Unlisted chains with a number of their maker's, and with that of the listed chain they are near."""

_INCH_KINDS = frozenset(
    {"offset sidebar", "bushed rollerless", "combination", "cast mill", "pintle", "class 700", "welded steel", "drag",
     "rivetless", "detachable"}
)  # fmt: skip
_INCH, _INCH_OTHERWISE = 0.65, 0.30
"""Share of people who measure in inches, on chain of the inch standards and on other chain."""


@dataclass(frozen=True, slots=True)
class Chain:
    """What lies on the bench before anybody measures: the truth.

    Attributes
    ----------
    piece : Piece
    wear : Wear
    row : int or None
        Its row in the catalog, None for an unlisted chain.
    near : int
        The row it is, or is near.
    """

    piece: Piece
    wear: Wear
    row: int | None
    near: int


@dataclass(frozen=True, slots=True)
class Meta:
    """What is known of a sample beside its truth.

    Attributes
    ----------
    chain : Chain
    hand : Hand
    slips : tuple of str
        Per reading what went wrong, empty for nothing.
    elongation : float
        Joint wear per pitch [-].
    """

    chain: Chain
    hand: Hand
    slips: tuple[str, ...]
    elongation: float


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample.

    Attributes
    ----------
    evidence : dict
        In the form `chaincase/evidence-1`.
    truth : str or None
        Designation, with its table where the name alone is ambiguous; None for an unlisted chain.
    minutes : float
        Work that its readings took [min].
    meta : Meta
    """

    evidence: dict[str, Any]
    truth: str | None
    minutes: float
    meta: Meta

    @property
    def row(self) -> int | None:
        """Row of the truth in the catalog, None for an unlisted chain."""
        return self.meta.chain.row


def sample(
    rng: np.random.Generator, catalog: Catalog, draw: Draw = "rows", world: Circumstances = AS_ASSUMED
) -> Sample:
    """Draw one sample.

    Parameters
    ----------
    rng : numpy.random.Generator
    catalog : Catalog
    draw : {"rows", "tables"}
        Every row alike, or every table alike and then every row of it. Rows without any figure are left out:
        what such a chain measures is not known.
    world : Circumstances
        By how much what is assumed is more or less.
    """
    chain = draw_chain(rng, catalog, draw, world)
    hand = hand_for(rng, chain)
    hand = replace(hand, care=hand.care * world.errors, slips=hand.slips * world.slips)
    taken = [
        take(rng, chain.piece, chain.wear, hand, name)
        for name in choose_dimensions(rng, chain.piece, hurried=hand.hurried)
    ]
    return Sample(
        evidence=evidence(
            construction_words(rng, chain.piece, hurried=hand.hurried),
            stamp_on(rng, catalog, chain, world),
            taken,
            _note(rng),
        ),
        truth=None if chain.row is None else name_of(catalog, chain.row),
        minutes=float(sum(minutes_for(each.reading["dimension"]) for each in taken)),
        meta=Meta(
            chain,
            hand,
            tuple(each.slip for each in taken),
            chain.wear.joint / chain.piece.new["pitch"],
        ),
    )


def sample_of(
    seed: int, index: int, catalog: Catalog, draw: Draw = "rows", world: Circumstances = AS_ASSUMED
) -> Sample:
    """Give sample `index` of `seed`, the same every time."""
    return sample(generator(seed, index), catalog, draw, world)


def draw_chain(
    rng: np.random.Generator, catalog: Catalog, draw: Draw = "rows", world: Circumstances = AS_ASSUMED
) -> Chain:
    """Draw a chain and its wear."""
    if happens(rng, UNLISTED * world.unlisted):
        piece, near = unlisted_piece(rng, catalog)
        return Chain(piece, world.on_wear(draw_wear(rng, piece)), None, near)
    row = _row(rng, catalog, draw)
    piece = world.on_piece(new_piece(rng, catalog, row), catalog, row)
    return Chain(piece, world.on_wear(draw_wear(rng, piece)), row, row)


def _row(rng: np.random.Generator, catalog: Catalog, draw: Draw) -> int:
    rows = np.flatnonzero(~np.isnan(catalog.values).all(axis=1))
    if draw == "tables":
        tables = catalog.source[rows]
        rows = rows[tables == rng.choice(np.unique(tables))]
    return int(rng.choice(rows))


def hand_for(rng: np.random.Generator, chain: Chain) -> Hand:
    """Draw the person who measures that chain."""
    inch = chain.piece.kind.name in _INCH_KINDS
    return draw_hand(rng, likely_inch=_INCH if inch else _INCH_OTHERWISE)


def stamp_on(
    rng: np.random.Generator, catalog: Catalog, chain: Chain, world: Circumstances = AS_ASSUMED
) -> list[dict[str, str]]:
    """Give the marks found on a chain; most often none."""
    if chain.row is None:
        whose = pick(rng, {"own": _OWN_NUMBER, "listed": _LISTED_NUMBER, "none": 1.0 - _OWN_NUMBER - _LISTED_NUMBER})
        if whose == "none":
            return []
        number = made_up_number(rng) if whose == "own" else _number(rng, catalog, chain.near)
        return marks(rng, number) if number else []
    row = chain.row
    if not happens(rng, STAMPED * world.stamped) and len(chain.piece.listed) >= FEWEST_FIGURES:
        return []
    if happens(rng, _STAMP_OF_ANOTHER):
        row = _foreign_link(rng, catalog, row)
    number = _number(rng, catalog, row)
    return marks(rng, number) if number else []


def _foreign_link(rng: np.random.Generator, catalog: Catalog, row: int) -> int:
    """Give the row of a link that fits into the chain: of its kind, with its pitch where there is one."""
    kin = np.flatnonzero(catalog.kind == catalog.kind[row])
    pitches = catalog.values[kin, COLUMN["pitch"]]
    fitting = kin[np.abs(pitches / catalog.values[row, COLUMN["pitch"]] - 1.0) < _FITS]
    return int(rng.choice(fitting if len(fitting) > 1 else kin))


def _number(rng: np.random.Generator, catalog: Catalog, row: int) -> str:
    numbers = numbers_of(catalog.designations[row], catalog.alternatives[row])
    return stamped_number(rng, numbers, int(catalog.strands[row])) if numbers else ""


def name_of(catalog: Catalog, row: int) -> str:
    """Give the name of a row, with its table where another row has the same designation."""
    name = catalog.designations[row]
    return name if catalog.designations.count(name) == 1 else f"{catalog.table_of(row)}/{name}"


def evidence(
    construction: list[str], found: list[dict[str, str]], taken: list[Taken], notes: str = ""
) -> dict[str, Any]:
    """Put together an evidence file as parsed JSON."""
    return {
        "schema": "chaincase/evidence-1",
        "construction": construction,
        "marks": found,
        "readings": [each.reading for each in taken],
        "notes": notes,
    }


def _note(rng: np.random.Generator) -> str:
    return pick(rng, {"": 0.8, "sample dirty, cleaned with a brush": 0.1, "machine stands, please hurry": 0.1})
