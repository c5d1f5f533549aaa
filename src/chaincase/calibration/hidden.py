"""Likely sizes of what a table leaves empty: by how parts fit together, else by what comparable chains have.

The result of a rule or of a comparison is scattered, because makers differ.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.calibration.chance import happens
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import INDEX, Kind

Sizes = Mapping[str, float]

_FAMILIES: tuple[frozenset[str], ...] = (
    frozenset({"roller", "bush", "double pitch", "agricultural", "leaf"}),
    frozenset({"conveyor bush", "conveyor roller", "conveyor flanged"}),
    frozenset({"hollow pin bush", "hollow pin roller", "hollow pin flanged", "conveyor bush", "conveyor roller"}),
    frozenset({"offset sidebar", "bushed rollerless"}),
    frozenset({"drag", "welded steel"}),
    frozenset({"cast mill", "pintle", "class 700"}),
    frozenset({"combination", "cast mill", "pintle", "class 700", "welded steel", "drag", "bushed rollerless"}),
)
"""Kinds whose parts are alike enough to guess one from the other."""

_ANCHORS = ("pin_diameter", "bush_diameter", "roller_diameter", "inner_width", "inner_plate_height", "pitch")
_NEAR = 0.25
"""How fast a comparable chain loses weight with its mean logarithmic distance [-]."""
_SCATTER = 0.05
"""Scatter between makers of what a table does not fix, logarithmic [-] (assumed)."""

_FITS: dict[str, tuple[tuple[str, ...], Callable[..., float]]] = {
    # ISO 1977 prints: b2 max = b1 + 2 s + 1.
    "inner_link_width": (("inner_width", "inner_plate_thickness"), lambda w, t: w + 2 * t + 0.02 * w),
    # GOST 13568-97 Table 5: side play 0.4 to 1.4 mm at most.
    "outer_link_inner_width": (("inner_link_width",), lambda x: x + 0.15 + 0.005 * x),
    # A riveted pin ends about a quarter of its diameter outside the plates (ISO 606 sizes).
    "pin_length": (
        ("outer_link_inner_width", "outer_plate_thickness", "pin_diameter"),
        lambda y, t, d: y + 2 * t + 0.25 * d,
    ),
    "pin_length_connecting": (("pin_length", "pin_diameter"), lambda length, d: length + 0.4 * d),
    "outer_plate_height": (("inner_plate_height",), lambda h: h),
    "outer_plate_thickness": (("inner_plate_thickness",), lambda t: t),
    "inner_plate_height": (("sidebar_height",), lambda h: h),
    "inner_plate_thickness": (("sidebar_thickness",), lambda t: t),
    "sidebar_height": (("inner_plate_height",), lambda h: h),
    "sidebar_thickness": (("inner_plate_thickness",), lambda t: t),
    # Running clearance of the joint.
    "bush_bore": (("pin_diameter",), lambda d: 1.005 * d + 0.03),
    # ISO 1977 sizes: bush 1.4 to 1.5 times the pin; hollow pins of ISO 1977 MC: bore 0.61 to 0.66 of the pin.
    "bush_diameter": (("pin_diameter",), lambda d: 1.45 * d),
    "hollow_pin_bore": (("pin_diameter",), lambda d: 0.64 * d),
    # ISO 1977 sizes: 1.17 to 1.2 times the roller.
    "flange_diameter": (("roller_diameter",), lambda d: 1.19 * d),
}
"""What a size follows from where those sizes are known."""
_TIGHT = frozenset(
    {"outer_link_inner_width", "pin_length_connecting", "bush_bore", "outer_plate_thickness", "outer_plate_height",
     "inner_link_width", "pin_length", "inner_plate_height", "inner_plate_thickness", "sidebar_height",
     "sidebar_thickness"}
)  # fmt: skip
_TIGHT_SCATTER = 0.012
"""Sizes that follow closely from others, and their scatter between makers."""


_LOWER_OUTER, _LOWER = frozenset({"roller", "bush", "agricultural"}), 0.88
"""Half of the makers make outer plates lower than inner ones: B29.1 has 0.82 against 0.95 of the pitch."""


@dataclass(frozen=True, slots=True)
class Unfinished:
    """A chain of which some sizes are still missing.

    Attributes
    ----------
    kind : Kind
    strands : int
    strength : float
        Tensile strength [kN], NaN where unknown; the thickness of parts goes with its root.
    sizes : mapping of str to float
        Sizes so far [mm].
    """

    kind: Kind
    strands: int
    strength: float
    sizes: Sizes


def hidden_size(rng: np.random.Generator, catalog: Catalog, chain: Unfinished, name: str) -> float:
    """Draw a likely size of a dimension that a table leaves empty [mm].

    Parameters
    ----------
    rng : numpy.random.Generator
    catalog : Catalog
        Where comparable chains are found.
    chain : Unfinished
    name : str
        The dimension.
    """
    ruled = _by_rule(rng, chain, name)
    if ruled is not None and name != "bush_diameter":
        return ruled
    compared = _by_comparison(rng, catalog, chain, name)
    if compared is None:
        compared = ruled or _of_any_chain(rng, catalog, name, chain.sizes)
    if name == "pitch":
        # Pitches keep to their series; a strand is long by up to 0.25 %.
        return compared * (1.0 + 0.0025 * float(rng.random()))
    return float(compared * np.exp(rng.normal() * _SCATTER))


def _by_rule(rng: np.random.Generator, chain: Unfinished, name: str) -> float | None:
    """Give the size that follows from how parts fit together; None where it does not."""
    needs, rule = _FITS.get(name, ((), None))
    known = chain.sizes
    if rule is None or not all(need in known for need in needs):
        return None
    size = rule(*(known[need] for need in needs))
    if name == "pin_length" and chain.strands > 1:
        size += (chain.strands - 1) * known.get("transverse_pitch", 1.1 * known["outer_link_inner_width"])
    if name == "outer_plate_height" and chain.kind.name in _LOWER_OUTER and happens(rng, 0.5):
        size *= _LOWER
    return float(size * np.exp(rng.normal() * (_TIGHT_SCATTER if name in _TIGHT else _SCATTER)))


def _by_comparison(rng: np.random.Generator, catalog: Catalog, chain: Unfinished, name: str) -> float | None:
    """Scale a comparable chain that has the dimension, the nearer the likelier; None where there is none."""
    for rows in _comparable(catalog, chain.kind, name):
        distance, scale = _compare(catalog, rows, chain)
        usable = np.isfinite(distance)
        if chain.sizes and not usable.any():
            continue
        weight = np.exp(-np.where(usable, distance, 0.0) / _NEAR) * (usable if chain.sizes else 1.0)
        row = int(rng.choice(len(rows), p=weight / weight.sum()))
        return float(catalog.values[rows[row], COLUMN[name]] * (1.0 if name == "pitch" else scale[row]))
    return None


def _comparable(catalog: Catalog, kind: Kind, name: str) -> list[NDArray[np.int64]]:
    """Give rows that have the dimension: of the same kind, then of each kind's family."""
    has = ~np.isnan(catalog.values[:, COLUMN[name]])
    groups = [frozenset({kind.name}), *(family for family in _FAMILIES if kind.name in family)]
    found = []
    for group in groups:
        codes = [INDEX[each] for each in group]
        rows = np.flatnonzero(has & np.isin(catalog.kind, codes))
        if len(rows):
            found.append(rows)
    return found


def _compare(
    catalog: Catalog, rows: NDArray[np.int64], chain: Unfinished
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give the distance of rows (infinite where nothing is shared) and the scale from each to this chain.

    The pitch says little about the size of parts, so it only counts where nothing else is shared.
    """
    anchors = [each for each in _ANCHORS if each in chain.sizes]
    logs = np.full((len(rows), len(anchors) + 1), np.nan)
    for i, anchor in enumerate(anchors):
        logs[:, i] = np.log(chain.sizes[anchor] / catalog.values[rows, COLUMN[anchor]])
    logs[:, -1] = 0.5 * np.log(chain.strength / catalog.tensile_kn[rows])
    if "pitch" in anchors:
        pitch = anchors.index("pitch")
        by_parts = ~np.isnan(np.delete(logs, pitch, axis=1)).all(axis=1)
        logs[by_parts, pitch] = np.nan
    count = (~np.isnan(logs)).sum(axis=1)
    mean, off = (
        np.divide(np.nansum(each, axis=1), count, out=np.zeros(len(rows)), where=count > 0)
        for each in (logs, np.abs(logs))
    )
    return np.where(count > 0, off, np.inf), np.exp(mean)


def _of_any_chain(rng: np.random.Generator, catalog: Catalog, name: str, known: Sizes) -> float:
    """Take the ratio to the pitch of any chain that has both, or else a fifth to a half of the pitch."""
    both = ~np.isnan(catalog.values[:, COLUMN[name]]) & ~np.isnan(catalog.values[:, COLUMN["pitch"]])
    pitch = known.get("pitch", 60.0)
    if name == "pitch":
        return 4.0 * float(next(iter(known.values()), 15.0))
    if not both.any():
        return pitch * float(rng.uniform(0.2, 0.5))
    row = int(rng.choice(np.flatnonzero(both)))
    return float(catalog.values[row, COLUMN[name]] / catalog.values[row, COLUMN["pitch"]] * pitch)
