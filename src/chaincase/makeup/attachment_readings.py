"""Readings on an attachment as one set of linear equations in its sizes, whatever technique they were taken with.

A reading over the far edges of two holes is their distance plus a diameter, one between the near edges the distance
less a diameter; where both were taken, distance and diameter follow together.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from chaincase.chains.attachments import BY_NAME
from chaincase.makeup import attachment_constants as c
from chaincase.makeup.attachment_form import AttachmentObservation, KnownDimension
from chaincase.measuring.estimate import Estimate, Unit, estimate
from chaincase.measuring.reading import Reading

Array = NDArray[np.float64]

INCH_MM: Final = 25.4
_FROM_PIN_CENTER: Final = frozenset(
    {"platform_height", "hole_height", "overall_height", "hole_offset", "below", "projection", "outrigger_spacing"}
)
_UNKNOWN_MM: Final = 1e5
"""Standard deviation of a size of which nothing is known [mm]."""
_DETERMINED: Final = 0.25
"""A size whose standard uncertainty is a larger share of it is not determined."""
_APART, _MANY = 3, 8
"""Readings of one sort that stay apart, and of all sorts up to which they do."""
_DISAGREE: Final = 4.0
"""So many standard deviations apart two readings of one size are not both right."""


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading under one unit hypothesis: sum of coefficient times size, with error.

    Attributes
    ----------
    dimension : str
        What it was taken of.
    value, u : float
        Best estimate and standard uncertainty [mm; degrees for an angle].
    terms : tuple of (str, float)
        Sizes that it is made of, with their coefficients.
    text : str
        As written.
    edge : bool
        Center distance, so that edges may have been taken for centers.
    swapped : float or None
        What it would be in the other unit, where one was written [mm].
    blunder : float
        How often such a reading is not what its name says.
    """

    dimension: str
    value: float
    u: float
    terms: tuple[tuple[str, float], ...]
    text: str
    edge: bool
    swapped: float | None
    blunder: float


@dataclass(frozen=True, eq=False, slots=True)
class Block:
    """Readings that share sizes: value = A x + e.

    Attributes
    ----------
    readings : tuple of Measured, length m
        The readings.
    dimensions : tuple of str, length n
        The sizes x.
    matrix : ndarray, shape (m, n)
        A.
    """

    readings: tuple[Measured, ...]
    dimensions: tuple[str, ...]
    matrix: Array


def measured(
    seen: AttachmentObservation, unit: Unit | None, blunder: dict[str, float]
) -> tuple[list[Measured], list[str]]:
    """Give the readings under one unit hypothesis, and why some carry no weight.

    Parameters
    ----------
    unit : {"mm", "in"} or None
        What readings without a unit are taken for.
    blunder : mapping of str to float
        By instrument, how often a reading is not what its name says; "" for all others.
    """
    usable, said = list[Measured](), list[str]()
    for reading in seen.lengths():
        judged = estimate(reading, unit if reading.is_bare else None)
        if judged.usable:
            usable.append(_measured(reading, judged, blunder))
        else:
            said.append(f"{reading.place} ({reading.value}) carries no weight: {judged.reason}")
    usable += [
        Measured("angle_deg", angle, c.ANGLE_U, (("angle_deg", 1.0),), f"{angle:g} degrees", False, None, blunder[""])
        for angle in seen.angles()
    ]
    return usable, said


def _measured(reading: Reading, judged: Estimate, blunder: dict[str, float]) -> Measured:
    name = judged.dimension
    center = c.PIN_CENTER_MM if name in _FROM_PIN_CENTER else 0.0
    terms = ((name, 1.0), *(((judged.needs[0], float(judged.edge_sign)),) if judged.edge_sign else ()))
    scale = {"mm": INCH_MM, "in": 1.0 / INCH_MM}.get(reading.length.unit or "")
    return Measured(
        dimension=name,
        value=judged.value_mm,
        u=float(np.hypot(judged.u_mm, center)),
        terms=terms,
        text=reading.value,
        edge=reading.is_pitch and not judged.edge_sign,
        swapped=None if scale is None else judged.value_mm * scale,
        blunder=blunder.get(str(reading.instrument), blunder[""]),
    )


def condensed(readings: Sequence[Measured]) -> list[Measured]:
    """Make one reading of many that say the same thing, so that a long list costs no more than a short one.

    Up to `_APART` of a sort stay apart, each free to be a blunder; more of them become their median, whose standard
    uncertainty is that of the best of them or what their scatter says, whichever is larger.

    >>> one = Measured("thickness", 5.0, 0.1, (("thickness", 1.0),), "5 mm", False, None, 0.04)
    >>> len(condensed([one] * 3)), len(condensed([one] * 40)), condensed([one] * 40)[0].text
    (3, 1, 'median of 40')
    """
    sorts = dict[tuple[tuple[str, float], ...], list[Measured]]()
    for reading in readings:
        sorts.setdefault(reading.terms, []).append(reading)
    most = _APART if len(readings) <= _MANY else 1
    return [one for alike in sorts.values() for one in (alike if len(alike) <= most else [_median(alike)])]


def _median(alike: Sequence[Measured]) -> Measured:
    values = np.array([reading.value for reading in alike])
    middle = float(np.median(values))
    # For a normal law the standard deviation is 1.48 median deviations, that of a median 1.25 that of a mean.
    scatter = 1.48 * float(np.median(np.abs(values - middle)))
    u = max(min(reading.u for reading in alike), 1.25 * scatter / len(alike) ** 0.5)
    return replace(alike[0], value=middle, u=u, text=f"median of {len(alike)}", swapped=None)


def blocks(readings: Sequence[Measured]) -> tuple[Block, ...]:
    """Put together the readings that share sizes, in the order of the first of each.

    >>> one = Measured("thickness", 5.0, 0.1, (("thickness", 1.0),), "5 mm", False, None, 0.04)
    >>> [len(block.readings) for block in blocks([one, one])]
    [2]
    """
    together = list[tuple[set[str], list[Measured]]]()
    for reading in readings:
        names = {name for name, _ in reading.terms}
        met = [entry for entry in together if entry[0] & names]
        joined = (names.union(*(entry[0] for entry in met)), [one for entry in met for one in entry[1]] + [reading])
        together = [entry for entry in together if not entry[0] & names] + [joined]
    return tuple(_block(members) for _, members in together)


def _block(readings: list[Measured]) -> Block:
    dimensions = tuple(dict.fromkeys(name for reading in readings for name, _ in reading.terms))
    matrix = np.zeros((len(readings), len(dimensions)))
    for i, reading in enumerate(readings):
        for name, coefficient in reading.terms:
            matrix[i, dimensions.index(name)] += coefficient
    return Block(tuple(readings), dimensions, matrix)


def known_dimensions(readings: Sequence[Measured]) -> tuple[tuple[KnownDimension, ...], list[str]]:
    """Give each size that the readings determine, by least squares, and where they disagree.

    Source: JCGM 102:2011 and any textbook on weighted least squares.
    """
    known, said = list[KnownDimension](), list[str]()
    for block in blocks(readings):
        sizes, covariance = _solved(block)
        said += _disagreeing(block, sizes)
        for i, name in enumerate(block.dimensions):
            u = float(np.sqrt(covariance[i, i]))
            if u < _DETERMINED * abs(sizes[i]):
                used = int(np.count_nonzero(block.matrix[:, i]))
                d = BY_NAME[name]
                value = round(float(sizes[i]), 4)
                known.append(
                    KnownDimension(
                        dimension=name, letter=d.letter, label=d.label, value_mm=value, u_mm=round(u, 4), readings=used
                    )
                )
            else:
                said += _too_rough(block, name, u)
    return tuple(known), said


def _too_rough(block: Block, name: str, u: float) -> list[str]:
    """Say that a size was read, but not well enough to make anything by."""
    texts = [reading.text for reading in block.readings if reading.terms == ((name, 1.0),)]
    right = f"too rough to make it by (u = {u:.1f} mm); name the instrument, or measure it with a caliper"
    return [f"{BY_NAME[name].label} {', '.join(texts)}: {right}"] if texts else []


def _solved(block: Block) -> tuple[Array, Array]:
    weights = 1.0 / np.array([reading.u for reading in block.readings]) ** 2
    values = np.array([reading.value for reading in block.readings])
    normal = (block.matrix.T * weights) @ block.matrix + np.eye(len(block.dimensions)) / _UNKNOWN_MM**2
    covariance = np.asarray(np.linalg.inv(normal), dtype=np.float64)
    return covariance @ (block.matrix.T @ (weights * values)), covariance


def _disagreeing(block: Block, sizes: Array) -> list[str]:
    off = [
        abs(reading.value - float(row @ sizes)) / reading.u
        for reading, row in zip(block.readings, block.matrix, strict=True)
    ]
    if max(off) <= _DISAGREE:
        return []
    texts = ", ".join(f"{reading.text} ({BY_NAME[reading.dimension].label})" for reading in block.readings)
    return [f"these readings cannot all be right: {texts}; take them anew"]
