"""Which dimension of a row a reading may be of: what it names, what people call by that name, or any of several."""

from functools import cache

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.dimensions import BY_NAME, COLUMN, DIMENSIONS, UNNAMED, Group

Array = NDArray[np.float64]

# Where a kind lacks the named dimension, people mean these by it (common practice, no source).
_INSTEAD: dict[str, dict[str, float]] = {
    "inner_plate_height": {"sidebar_height": 1.0},
    "outer_plate_height": {"sidebar_height": 1.0},
    "inner_plate_thickness": {"sidebar_thickness": 1.0},
    "outer_plate_thickness": {"sidebar_thickness": 1.0},
    "sidebar_height": {"inner_plate_height": 0.5, "outer_plate_height": 0.5},
    "sidebar_thickness": {"inner_plate_thickness": 0.5, "outer_plate_thickness": 0.5},
    "plate_thickness": {"inner_plate_thickness": 0.5, "outer_plate_thickness": 0.5, "sidebar_thickness": 1.0},
    "roller_diameter": {"bush_diameter": 0.5},
    "bush_diameter": {"roller_diameter": 0.3},
    "hinge_diameter": {"bush_diameter": 0.5},
    "inner_width": {"inner_link_width": 0.2},
    "hinge_width": {"inner_link_width": 0.5},
}

_ROLLER = COLUMN["roller_diameter"]
_UNDER_A_ROLLER = 0.3
"""How much rarer a bush is measured that a roller covers (common practice, no source)."""

_FEATURES: tuple[frozenset[str], ...] = (
    frozenset(
        {"inner_width", "inner_link_width", "outer_link_inner_width", "pin_length", "pin_length_connecting", "width"}
    ),
    frozenset({"pin_diameter", "bush_bore"}),
    frozenset({"roller_diameter", "flange_diameter"}),
    frozenset({"inner_plate_height", "outer_plate_height", "sidebar_height", "height"}),
    frozenset({"inner_plate_thickness", "outer_plate_thickness", "sidebar_thickness", "thickness"}),
)
"""Sizes that go together: who makes the inner link wider makes the outer link wider and the pin longer (geometry)."""

# What people measure when they write only "width" (common practice, no source).
_UNNAMED_WEIGHT = {
    "inner_width": 3.0, "inner_link_width": 2.0, "outer_link_inner_width": 0.7, "pin_length": 3.5, "plate_width": 6.0,
    "inner_plate_height": 1.5, "outer_plate_height": 1.0, "sidebar_height": 2.5,
    "inner_plate_thickness": 1.0, "outer_plate_thickness": 1.0, "sidebar_thickness": 2.0, "plate_thickness": 2.0,
    "roller_diameter": 4.0, "bush_diameter": 1.5, "pin_diameter": 3.0, "flange_diameter": 1.0, "hinge_diameter": 1.0,
}  # fmt: skip


def meanings(name: str, exists: NDArray[np.bool_]) -> dict[int, Array]:
    """Give the columns that a reading of that name may be of, with a weight per row.

    Parameters
    ----------
    name : str
        Dimension name, or width, height, thickness, diameter.
    exists : ndarray of bool, shape (n, dimensions)
        Which dimensions exist on each row.

    Returns
    -------
    dict
        Column -> weights, shape (n,); weights of a row add to 1 where the reading is what it says, to less where
        it would be a loose use of the word, and to 0 where the row has nothing of the sort.
    """
    if name in UNNAMED:
        return _shares({option: _UNNAMED_WEIGHT[option] for option in UNNAMED[name]}, exists)
    own = exists[:, COLUMN[name]]
    found = {COLUMN[name]: np.where(own, _in_reach(name, exists), 0.0)}
    for option, weight in _INSTEAD.get(name, {}).items():
        found[COLUMN[option]] = np.where(~own & exists[:, COLUMN[option]], weight, 0.0)
    return {column: weights for column, weights in found.items() if weights.any()}


def _in_reach(name: str, exists: NDArray[np.bool_]) -> Array:
    """Give how readily a dimension is taken where it exists: a bush under a roller is hardly seen."""
    hidden = exists[:, _ROLLER] if name == "bush_diameter" else np.zeros(len(exists), dtype=bool)
    return np.where(hidden, _UNDER_A_ROLLER, 1.0)


def _shares(weights: dict[str, float], exists: NDArray[np.bool_]) -> dict[int, Array]:
    raw = {
        COLUMN[option]: weight * exists[:, COLUMN[option]] * _in_reach(option, exists)
        for option, weight in weights.items()
    }
    total = np.sum(list(raw.values()), axis=0)
    return {column: w / np.where(total > 0, total, 1.0) for column, w in raw.items() if w.any()}


@cache
def feature_of(name: str) -> str:
    """Give the feature of a chain that a named or unnamed dimension is of; a special chain differs in whole features.

    >>> feature_of("pin_length") == feature_of("inner_width") == feature_of("width")
    True
    >>> feature_of("pitch"), feature_of("diameter")
    ('pitch', 'diameter')
    """
    return next((min(feature) for feature in _FEATURES if name in feature), name)


PINS: frozenset[str] = frozenset({"pin_length", "pin_length_connecting"})
"""Of the sizes of one feature these may differ alone: longer pins in links of the same width."""


@cache
def group_of(name: str) -> Group:
    """Give the sort of size that a named or unnamed dimension is.

    >>> group_of("width") is group_of("pin_length") is Group.WIDTH
    True
    """
    return Group(name) if name in UNNAMED else BY_NAME[name].group


@cache
def mistaken_for(name: str) -> tuple[str, ...]:
    """Give the dimensions that a reading of that name may have been taken from by mistake."""
    if name in UNNAMED:
        return ()
    group = group_of(name)
    alike = {Group.DIAMETER, Group.BORE} if group in {Group.DIAMETER, Group.BORE} else {group}
    return tuple(d.name for d in DIMENSIONS if d.name != name and d.group in alike and d.name != "transverse_pitch")
