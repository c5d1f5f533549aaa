"""Chains that stand in no table: near a listed one, or of a make of their own."""

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from chaincase.calibration.chance import happens, pick
from chaincase.calibration.parts import ROUGH, Piece, consistent, length_tolerance, new_piece
from chaincase.catalog.table import Catalog, Limit
from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.dimensions import COLUMN, Group
from chaincase.chains.kinds import INDEX

_NEAR_SHARE = 0.75
_OTHER_PITCH = 0.3
_LEAST, _MOST = 0.04, 0.30
"""How far a dimension of a near chain lies off the listed figure, as a share."""
_TRIES = 200

_BELOW = {Group.HEIGHT: 0.08, Group.THICKNESS: 0.09, Group.WIDTH: 0.05, Group.PITCH: 0.012}
_ABOVE = {Group.THICKNESS: 0.09, Group.WIDTH: 0.04, Group.HEIGHT: 0.03, Group.PITCH: 0.012}
_OTHERWISE = 0.025
"""Outside these shares of a figure a new part is not of that chain; wider than makers differ (see `parts`)."""


def unlisted_piece(rng: np.random.Generator, catalog: Catalog) -> tuple[Piece, int]:
    """Draw a chain that differs from every row.

    Returns
    -------
    piece : Piece
    row : int
        The row it is near, or that it was scaled from.

    Raises
    ------
    ValueError
        If no such chain was found, which takes a catalog that fills all space.
    """
    near = happens(rng, _NEAR_SHARE)
    for _ in range(_TRIES):
        row = int(rng.integers(len(catalog)))
        base = new_piece(rng, catalog, row)
        piece = _near(rng, base) if near else _own_make(rng, base)
        if differs_from_all(piece, catalog):
            return piece, row
    raise ValueError("no chain found that differs from every row")


def _near(rng: np.random.Generator, base: Piece) -> Piece:
    """Change the pitch, or one to three features; what is built on a feature moves with it."""
    features = [feature for feature in FEATURES if any(name in base.listed for name in feature)]
    if not features or happens(rng, _OTHER_PITCH):
        return _changed(base, {"pitch": base.new["pitch"] * _factor(rng)})
    count = min(pick(rng, {1: 0.4, 2: 0.35, 3: 0.25}), len(features))
    sizes = dict(base.new)
    for chosen in rng.choice(len(features), size=count, replace=False):
        _move(sizes, features[int(chosen)], _factor(rng))
    return _changed(base, sizes)


FEATURES: tuple[tuple[str, ...], ...] = (
    ("inner_width", "inner_link_width", "outer_link_inner_width", "pin_length", "pin_length_connecting"),
    ("pin_diameter", "bush_bore"),
    ("roller_diameter", "flange_diameter"),
    ("bush_diameter",),
    ("hollow_pin_bore",),
    ("inner_plate_height", "outer_plate_height"),
    ("sidebar_height",),
    ("inner_plate_thickness", "outer_plate_thickness"),
    ("sidebar_thickness",),
    ("transverse_pitch",),
    ("plate_width",),
    ("plate_thickness",),
    ("hinge_diameter",),
    ("hinge_width",),
)
"""Sizes of which none changes alone: a wider inner link needs a wider outer link and longer pins (geometry)."""


def _move(sizes: dict[str, float], feature: tuple[str, ...], factor: float) -> None:
    """Change the first size of a feature by a factor, and the others by as many millimeters."""
    there = [name for name in feature if name in sizes]
    more = sizes[there[0]] * (factor - 1.0)
    for name in there:
        sizes[name] = max(sizes[name] + more, 0.3 * sizes[name])


def _factor(rng: np.random.Generator) -> float:
    off = float(rng.uniform(_LEAST, _MOST))
    return 1.0 + off if happens(rng, 0.5) else 1.0 / (1.0 + off)


def _own_make(rng: np.random.Generator, base: Piece) -> Piece:
    """Scale a chain, and each of its dimensions a little more."""
    scale = float(np.exp(rng.uniform(-0.5, 0.5)))
    return _changed(base, {name: size * scale * float(np.exp(0.12 * rng.normal())) for name, size in base.new.items()})


def _changed(base: Piece, sizes: Mapping[str, float]) -> Piece:
    return replace(base, new=consistent({**base.new, **sizes}))


def differs_from_all(piece: Piece, catalog: Catalog) -> bool:
    """Tell whether some dimension lies outside the tolerances of every row of the same kind that has any figure."""
    rows = np.flatnonzero(catalog.kind == INDEX[piece.kind.name])
    if piece.strands:
        rows = rows[catalog.strands[rows] == piece.strands]
    known = ~np.isnan(catalog.values[rows]).all(axis=1)
    return bool(outside(piece, catalog, rows[known]).any(axis=1).all())


def outside(piece: Piece, catalog: Catalog, rows: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Give which dimensions of a piece lie outside the tolerances of rows, shape (rows, dimensions of the piece)."""
    names = list(piece.new)
    columns = [COLUMN[name] for name in names]
    figures, limits = catalog.values[rows][:, columns], catalog.limits[rows][:, columns]
    sizes = np.array([piece.new[name] for name in names])
    rough = math.sqrt(ROUGH.get(piece.kind.name, 1.0))
    below = rough * np.array([_share(_BELOW, name, piece) for name in names])
    above = rough * np.array([_share(_ABOVE, name, piece) for name in names])
    # A part lies under a maximum and over a minimum, but hardly beyond it.
    lower = figures * (1.0 - np.where(limits == Limit.MINIMUM, 0.3 * below, below))
    upper = figures * (1.0 + np.where(limits == Limit.MAXIMUM, 0.3 * above, above))
    with np.errstate(invalid="ignore"):
        return np.asarray((sizes < lower) | (sizes > upper))


def _share(shares: Mapping[Group, float], name: str, piece: Piece) -> float:
    share = shares.get(DIMENSION[name].group, _OTHERWISE)
    return share + length_tolerance(piece.kind) if name == "pitch" else share
