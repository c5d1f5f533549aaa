"""What every chain of a catalog, and a chain in no catalog, lets one expect of the wheel that is cut for it.

Figures without a source beside them are common practice, no source: they say how wide real wheels scatter.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import INDEX

Array = NDArray[np.float64]

NOT_ON_SPROCKETS: Final = frozenset({"leaf", "flat-top"})
"""Leaf chain lifts over plain sheaves; flat-top chain is driven at its hinges by wheels of another form."""
DOUBLE_PITCH: Final = "double pitch"

DOUBLE_CUT: Final = 0.4
"""Share of wheels for double-pitch chain whose every second tooth works: cut double, or a short-pitch wheel."""
GRID_PITCHES: Final = (4.0, 500.0)
"""Pitches among which a chain in no table may lie, all ratios alike probable [mm]."""
_GRID: Final = 1200
_RATIOS: Final = (0.15, 0.20, 0.25, 0.31, 0.38, 0.46, 0.54, 0.60, 0.65, 0.70)
_USUAL_RATIO, _RATIO_SPREAD = 0.30, 0.12
"""Part in the gap to pitch where a table leaves it empty: middle and spread of the tables that give it."""
_SHORT: Final = 0.45


@dataclass(frozen=True, eq=False, slots=True)
class Chains:
    """Chains as far as a wheel can tell them apart; every array has shape (n,).

    Attributes
    ----------
    pitch, roller : ndarray
        Pitch, and the part that lies in the gap: roller, else bush or barrel [mm].
    pitch_spread : float
        Relative standard deviation of the pitch [-]: 0 where a chain is one of a table.
    roller_spread : ndarray
        Standard deviation of it [mm]: 0 where the table gives it.
    inner_width, plate_height : ndarray
        As the table gives them [mm], NaN where empty.
    double_cut : ndarray
        Probability that the chain runs on every second tooth [-].
    weight : ndarray
        Prior probability, adding to 1.
    """

    pitch: Array
    pitch_spread: float
    roller: Array
    roller_spread: Array
    inner_width: Array
    plate_height: Array
    double_cut: Array
    weight: Array


@dataclass(frozen=True, eq=False, slots=True)
class Expected:
    """What a wheel of some teeth has, for every chain; arrays of shape (n,) [mm].

    Attributes
    ----------
    across, across_spread : ndarray
        Distance of the bottoms of two gaps as nearly opposite as there are, new, with its standard deviation.
    tip_low, tip_high : ndarray
        Range of the outside diameter.
    width_low, width_high : ndarray
        Range of the tooth width.
    hub_high : ndarray
        Largest hub.
    """

    across: Array
    across_spread: Array
    tip_low: Array
    tip_high: Array
    width_low: Array
    width_high: Array
    hub_high: Array


def listed(catalog: Catalog, rows_of_teeth: int | None = None) -> Chains:
    """Give the chains of a catalog; the weight of one that cannot run on such a wheel is 0.

    Parameters
    ----------
    catalog : Catalog
        The tables.
    rows_of_teeth : int, optional
        Rows counted on the wheel; a chain of another number of strands does not run on it.
    """
    pitch, roller, bush = (_column(catalog, name) for name in ("pitch", "roller_diameter", "bush_diameter"))
    part = np.where(np.isnan(roller), bush, roller)
    known = ~np.isnan(part)
    usable = ~np.isnan(pitch) & ~np.isin(catalog.kind, [INDEX[name] for name in NOT_ON_SPROCKETS])
    if rows_of_teeth is not None:
        usable &= (catalog.strands == rows_of_teeth) | ((catalog.strands == 0) & (rows_of_teeth == 1))
    return Chains(
        pitch=np.where(usable, pitch, 1.0),
        pitch_spread=0.0,
        roller=np.where(usable, np.where(known, part, _USUAL_RATIO * pitch), 0.1),
        roller_spread=np.where(known | ~usable, 0.0, _RATIO_SPREAD * pitch),
        inner_width=_column(catalog, "inner_width"),
        plate_height=_column(catalog, "inner_plate_height"),
        double_cut=np.where(catalog.kind == INDEX[DOUBLE_PITCH], DOUBLE_CUT, 0.0),
        weight=usable / max(int(usable.sum()), 1),
    )


def unlisted() -> Chains:
    """Give a fine net of chains that stands for one in no table."""
    pitches = np.geomspace(*GRID_PITCHES, _GRID)
    pitch = np.repeat(pitches, len(_RATIOS))
    nothing = np.full(len(pitch), np.nan)
    return Chains(
        pitch=pitch,
        pitch_spread=float(np.log(pitches[1] / pitches[0]) / np.sqrt(12.0)),  # a mesh stands for all within it
        roller=pitch * np.tile(_RATIOS, _GRID),
        roller_spread=0.025 * pitch,
        inner_width=nothing,
        plate_height=nothing,
        double_cut=np.zeros(len(pitch)),
        weight=np.full(len(pitch), 1.0 / len(pitch)),
    )


def expected(chains: Chains, teeth: int, *, double_cut: bool = False) -> Expected:
    """Give what a wheel has whose `teeth` were cut for each chain; twice for every pitch where `double_cut`.

    The formulas are those of `sprocket`, for all chains at once.
    """
    p, d1 = chains.pitch, chains.roller
    z = teeth / 2 if double_cut else float(teeth)
    d = p / np.sin(np.pi / z)
    cot = p / np.tan(np.pi / z)
    opposite = d * np.cos(np.pi / (2 * teeth)) if teeth % 2 else d
    # The minus tolerance of ASME B29.1, and a seat that ISO 606 makes 1 to 3 % wider than the roller.
    tolerance = 0.002 * p * np.sqrt(z) + 0.15
    tip_low, tip_high = _tip(p, d1, d, z, double_cut=double_cut)
    low, high = _width(chains)
    height = np.where(np.isnan(chains.plate_height), 0.8 * p, chains.plate_height)
    seat = tolerance**2 / 12.0 + (0.008 * d1) ** 2
    return Expected(
        across=opposite - d1 - tolerance / 2.0 - 0.01 * d1,
        across_spread=np.sqrt(seat + chains.roller_spread**2 + (chains.pitch_spread * opposite) ** 2),
        tip_low=tip_low,
        tip_high=tip_high,
        width_low=low,
        width_high=high,
        hub_high=np.maximum(cot - 1.04 * height - 0.76, 0.1 * d),
    )


def _tip(p: Array, d1: Array, d: Array, z: float, *, double_cut: bool) -> tuple[Array, Array]:
    """Give the range of the outside diameter: ISO 606 where it holds, else about the pitch circle; tips wear off."""
    base = d - d1
    step = p / 2.0 if double_cut else p
    teeth = 2.0 * z if double_cut else z
    low = base + step * (1.0 - 1.6 / teeth) - 0.04 * step
    high = base + 1.25 * step
    short = double_cut | (d1 >= _SHORT * p)
    return np.where(short, low, d - 0.2 * d1), np.where(short, high, d + 1.1 * d1)


def _width(chains: Chains) -> tuple[Array, Array]:
    """Give the range of the tooth width: 0.86 to 0.95 of the inner width, less on conveyor wheels."""
    b1, p = chains.inner_width, chains.pitch
    empty = np.isnan(b1)
    conveyor = chains.roller < _SHORT * p
    low = np.where(conveyor, 0.75 * b1 - 1.7, 0.86 * b1 - 0.2)
    high = np.where(conveyor, 0.92 * b1, 0.95 * b1)
    low, high = np.where(empty, 0.08 * p, low), np.where(empty, 0.8 * p, high)
    return np.maximum(low, 0.1), np.maximum(high, 0.2)


def _column(catalog: Catalog, name: str) -> Array:
    return np.asarray(catalog.values[:, COLUMN[name]])
