"""Which listed chains run on the sprockets of an identified chain, and what differs.

Only what the tables hold is compared: attachments, material, finish and hardness are not.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput
from chaincase.identifying.identification import trust_words
from chaincase.identifying.interchange_words import RULES, drop_in_words, figure, size_words
from chaincase.identifying.sprocket_fit import Level, Pair, looks_alike, near, new_contact, old_contact, unknowns

_DIFFERS = 0.005
"""Below this a difference is one of rounding between inch and millimeter tables."""


class Verdict(StrEnum):
    """What becomes of the machine if the other chain is put on."""

    DROP_IN = "drop-in"
    LIMITED = "fits with limits"
    NO = "does not fit"


_OF_LEVEL = {Level.SAME: Verdict.DROP_IN, Level.LIMITED: Verdict.LIMITED, Level.NO: Verdict.NO}


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure that differs, or is known of one chain only.

    Attributes
    ----------
    dimension : str
        Name of the dimension, or `tensile_kn`.
    old, new : float or None
        Figures [mm], of the tensile strength [kN]; None where the table leaves it open.
    words : str
        For a person.
    """

    dimension: str
    old: float | None
    new: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Interchange:
    """Another listed chain held against the old one.

    Attributes
    ----------
    designation, table : str
        Which chain.
    verdict : Verdict
        Whether it runs on the old sprockets.
    differs : tuple of Difference
        What differs.
    why : str
        Reasons of the verdict.
    trust : str
        How well its figures are known; empty where two sources agree.
    """

    designation: str
    table: str
    verdict: Verdict
    differs: tuple[Difference, ...]
    why: str
    trust: str


def interchange(
    catalog: Catalog, row: int, *, verdicts: Collection[Verdict] = tuple(Verdict)
) -> tuple[Interchange, ...]:
    """Give the other chains that run on the sprockets of a row's chain, and those wrongly taken for one.

    Parameters
    ----------
    catalog : Catalog
        The chains.
    row : int
        Row of the old chain.
    verdicts : collection of Verdict
        Which to give.

    Returns
    -------
    tuple of Interchange
        Drop-in first, then by the number of limits. Of chains that do not fit only those are there that a person
        may take for the old one. Leaf chain runs on plain sheaves: nothing is given for it.

    Raises
    ------
    BadInput
        If the old chain's pitch is not known.

    >>> catalog = Catalog.standard()
    >>> found = {each.designation: each.verdict.value for each in interchange(catalog, catalog.row("16B-1"))}
    >>> found["16A-1"]
    'does not fit'
    """
    if not runs_on_teeth(catalog, row):
        return ()
    if np.isnan(catalog.values[row, COLUMN["pitch"]]):
        where = f"{catalog.table_of(row)}, {catalog.designations[row]}"
        raise BadInput("the table leaves the pitch open", where=where, right="use a row that has a pitch")
    pair = near(catalog, row)
    levels = np.stack([rule.judge(pair) for rule in RULES])
    open_ = unknowns(pair)
    missing = np.stack([flags for _, flags in open_])
    worst = np.maximum(levels.max(axis=0), missing.any(axis=0))
    counts = (levels > 0).sum(axis=0) + missing.sum(axis=0)
    order = np.lexsort((np.abs(pair.ratio("pitch") - 1), counts, worst))
    shown = np.array([_OF_LEVEL[level] in verdicts for level in Level])[worst] & _is_given(pair, worst)
    return tuple(
        _one(
            Pair(catalog, row, pair.rows[i : i + 1]),
            Level(int(worst[i])),
            levels[:, i],
            tuple(name for (name, _), unknown in zip(open_, missing[:, i], strict=True) if unknown),
        )
        for i in order[shown[order]].tolist()
    )


def runs_on_teeth(catalog: Catalog, row: int) -> bool:
    """Tell whether a chain runs on toothed wheels at all."""
    return KINDS[int(catalog.kind[row])].name != "leaf"


def _is_given(pair: Pair, worst: NDArray[np.int8]) -> NDArray[np.bool_]:
    """Tell which to give: those that fit with the tooth contact known, those of one kind, and those mistaken for it."""
    known = ~np.isnan(new_contact(pair) - old_contact(pair))
    alike = looks_alike(pair)
    return np.asarray(np.where(worst == Level.NO, alike, known | alike))


def _one(pair: Pair, worst: Level, levels: NDArray[np.int8], open_: Sequence[str]) -> Interchange:
    """Give the answer of a pair of one new chain; `open_` is what is not known of the two."""
    new = int(pair.rows[0])
    return Interchange(
        designation=pair.catalog.designations[new],
        table=pair.catalog.table_of(new),
        verdict=_OF_LEVEL[worst],
        differs=_differences(pair, open_),
        why=_why(pair, worst, levels, open_),
        trust=trust_words(pair.catalog, new),
    )


def _why(pair: Pair, worst: Level, levels: NDArray[np.int8], open_: Sequence[str]) -> str:
    """Give the reasons that weigh as much as the verdict, and what is not known unless it does not matter any more."""
    if worst is Level.SAME:
        return drop_in_words(pair)
    said = [rule.words(pair) for rule, level in zip(RULES, levels, strict=True) if level == worst]
    if open_ and worst is Level.LIMITED:
        said.append(f"not known: {', '.join(open_)}")
    return "; ".join(said)


_ROLLER_PARTS = ("roller_diameter", "flange_diameter", "hollow_pin_bore")
"""Dimensions of parts that one of two chains may lack altogether."""


def _differences(pair: Pair, open_: Sequence[str]) -> tuple[Difference, ...]:
    """Give the known figures that differ, strength last, and what is known of one chain only."""
    catalog, new = pair.catalog, int(pair.rows[0])
    known = [
        (d.name, d.label, float(old), float(other))
        for d, old, other in zip(DIMENSIONS, catalog.values[pair.old], catalog.values[new], strict=True)
        if not _said_already(pair, d.name)
    ]
    strength = float(catalog.tensile_kn[pair.old]), float(catalog.tensile_kn[new])
    known.append(("tensile_kn", "tensile strength", *strength))
    return tuple(
        Difference(name, figure(old), figure(other), size_words(name, label, old, other))
        for name, label, old, other in known
        if abs(other / old - 1) > _DIFFERS
        or ((label in open_ or name in _ROLLER_PARTS) and np.isnan(old) != np.isnan(other))
    )


def _said_already(pair: Pair, name: str) -> bool:
    """Tell whether a dimension has no say here: between strands that are not there, or of bars given as plates."""
    if name == "transverse_pitch":
        return pair.strands == 1
    plate = name.replace("sidebar", "inner_plate")
    return plate != name and not np.isnan(pair.ratio(plate)[0])
