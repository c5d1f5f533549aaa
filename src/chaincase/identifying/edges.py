"""Pitches read between edges of parts whose diameter was not written beside them, but measured on the same sample."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from chaincase.identifying.constants import OWN_EDGE
from chaincase.identifying.sizes import Edges, Measured


def with_own_parts(ones: Sequence[Measured]) -> tuple[Measured, ...]:
    """Give the readings of a sample, those between edges with the diameter that was read off the same sample.

    The part between whose edges one was taken is on the bench: its own reading says more than a table does, and
    holds for a row whose table leaves the diameter open. Where it is not known which part it was, nothing is done.
    """
    return tuple(_with_own_part(each, ones) for each in ones)


def _with_own_part(each: Measured, ones: Sequence[Measured]) -> Measured:
    parts = [one for one in ones if each.needs == (one.name,) and not one.edge_sign]
    if not each.edge_sign or not parts:
        return each
    part = min(parts, key=lambda one: one.u)
    over = each.reading.over
    value = each.value - each.edge_sign * part.value / over
    if value <= 0.0:
        return each
    u_part = float(np.hypot(part.u, OWN_EDGE * part.value)) / over
    return replace(
        each,
        value=value,
        u=float(np.hypot(each.u, u_part)),
        swapped=None if each.swapped is None else value * each.swapped / each.value,
        blunder=1.0 - (1.0 - each.blunder) * (1.0 - part.blunder),
        edge_sign=0,
        needs=(),
        edges=Edges(each.value * over, -each.edge_sign * part.value, part.name),
    )
