"""From a reading to a value with its uncertainty, and the arithmetic in words.

A pitch taken over several is divided by their number, and so is its uncertainty.
"""

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from chaincase.chains import attachments
from chaincase.errors import BadInput
from chaincase.measuring.budget import INCH_MM, budget, coarsest_step_mm, limit_of, terms_for
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.instruments import TITLES, Instrument
from chaincase.measuring.photograph import photograph_words
from chaincase.measuring.reading import Reading
from chaincase.measuring.techniques import center_distance, sighting_mm
from chaincase.measuring.uncertainty import Component, combine
from chaincase.units import Length

Unit = Literal["mm", "in"]


@dataclass(frozen=True, slots=True)
class Estimate:
    """What a reading says about a dimension.

    Attributes
    ----------
    dimension : str
        As in the reading.
    value_mm : float
        Best estimate [mm]; of a pitch taken over several, the mean per pitch.
    u_mm : float
        Standard uncertainty of `value_mm` [mm]; infinite where the reading is not usable.
    dof : float
        Effective degrees of freedom [-]; infinite without repeats.
    components : tuple of Component
        The budget, already divided by `over`.
    words : str
        The arithmetic, for a person.
    usable : bool
        Whether it may carry weight.
    reason : str
        Why not.
    needs : tuple of str
        Dimensions one of which is the diameter still missing in a reading over edges; empty where none is.
    edge_sign : int
        With that diameter d the reading stands for pitch + edge_sign * d / over; 0 where it stands for
        itself.
    over : int
        Pitches spanned.
    unit : {"mm", "in"} or None
        Unit assumed for a value written without one.
    """

    dimension: str
    value_mm: float
    u_mm: float
    dof: float = math.inf
    components: tuple[Component, ...] = ()
    words: str = ""
    usable: bool = True
    reason: str = ""
    needs: tuple[str, ...] = ()
    edge_sign: int = 0
    over: int = 1
    unit: Unit | None = None


def units_possible(reading: Reading) -> tuple[Unit | None, ...]:
    """Give the unit hypotheses of a reading: none where a unit was written, else millimeters and inches.

    >>> units_possible(Reading.parse("pitch", "4.06"))
    ('mm', 'in')
    """
    return ("mm", "in") if reading.is_bare else (None,)


def estimate(reading: Reading, unit: Unit | None = None, *, in_words: bool = True) -> Estimate:
    """Give value and uncertainty of a reading.

    Parameters
    ----------
    reading : Reading
        What was written down.
    unit : {"mm", "in"}, optional
        What a value without a unit is taken for; a unit that was written stands.
    in_words : bool
        Whether `words` are given, which take longer than the arithmetic.

    Raises
    ------
    BadInput
        If no unit was written and none is given, or the partner diameters leave no distance between centers.

    >>> taped = Reading.parse("pitch", "48 1/2 in", instrument="tape", technique="same edge", over=12)
    >>> print(estimate(taped).words)
    48 1/2 in over 12 pitches: 1231.90 mm / 12 = 102.66 mm; tape class II ±0.7 mm, read to 1/4 in,
    taken from an edge to the same edge of the next, ±0.5 mm at each end: u = 0.16 mm per pitch
    >>> caliper = Reading.parse("pin_diameter", "19 mm", instrument="digital caliper")
    >>> round(estimate(caliper).u_mm, 2)
    0.29
    """
    settled = settle(reading, unit)
    assumed = unit if reading.is_bare else None
    if settled.instrument is Instrument.PHOTOGRAPH:
        return _photograph(settled, assumed)
    distance, sign = _distance(settled)
    over = settled.over
    parts = tuple(budget(settled, distance))
    if over > 1:
        parts = tuple(replace(part, u_mm=part.u_mm / over) for part in parts)
    u, dof = combine(parts)
    return Estimate(
        dimension=settled.dimension,
        value_mm=distance / over,
        u_mm=u,
        dof=dof,
        components=parts,
        words=_words(settled, distance, u, sign) if in_words else "",
        needs=_needs(settled) if sign else (),
        edge_sign=sign,
        over=over,
        unit=assumed,
    )


def settle(reading: Reading, unit: Unit | None = None) -> Reading:
    """Give the reading with a unit to every value: repeats and diameters without one take the first value's.

    Raises
    ------
    BadInput
        If the first value has none and `unit` is None.

    >>> settle(Reading.parse("pitch", "4.06"), "in").value
    '4.06 (taken as in)'
    """
    known = reading.length.unit or unit
    if known is None:
        text = reading.value
        right = f"write {text} mm or {text} in"
        raise BadInput(f"{text!r} has no unit", where=f"{reading.place}.value", right=right)
    if all(length.unit for length in (reading.length, *reading.repeats, *reading.edge_diameters)):
        return reading
    return replace(
        reading,
        value=f"{reading.value} (taken as {known})" if reading.is_bare else reading.value,
        length=_with_unit(reading.length, known),
        repeats=tuple(_with_unit(length, known) for length in reading.repeats),
        edge_diameters=tuple(_with_unit(length, known) for length in reading.edge_diameters),
    )


def _with_unit(length: Length, unit: str) -> Length:
    return length if length.unit else replace(length, unit=unit)


def _mean_mm(reading: Reading) -> float:
    sizes = [length.mm() for length in (reading.length, *reading.repeats)]
    return math.fsum(sizes) / len(sizes)


def _photograph(reading: Reading, assumed: Unit | None) -> Estimate:
    return Estimate(
        dimension=reading.dimension,
        value_mm=_mean_mm(reading) / reading.over,
        u_mm=math.inf,
        words=f"{reading.value}: {photograph_words()}",
        usable=False,
        reason=photograph_words(),
        over=reading.over,
        unit=assumed,
    )


def _distance(reading: Reading) -> tuple[float, int]:
    """Give the distance that the reading stands for, and the sign of a diameter that it still lacks."""
    mean = _mean_mm(reading)
    if not reading.is_pitch:
        return mean, 0
    diameters = [length.mm() for length in reading.edge_diameters]
    sign = terms_for(reading).edge_sign
    if sign and not diameters:
        return mean, sign
    distance = center_distance(reading.technique, mean, diameters)
    if distance <= 0.0:
        texts = " and ".join(length.text for length in reading.edge_diameters)
        what = f"{reading.value} {reading.technique.value} with diameters {texts} leaves no distance"
        where = f"{reading.place}.edge_diameters"
        raise BadInput(what, where=where, right="give the diameters of the parts measured between")
    return distance, 0


_ROUND_PARTS = {
    Reference.PINS: ("pin_diameter",),
    Reference.ROLLERS: ("roller_diameter", "bush_diameter"),
    Reference.UNKNOWN: ("pin_diameter", "roller_diameter", "bush_diameter"),
}
# A plate's hole is as wide as what is pressed into it.
_HOLE_PARTS = {Link.OUTER: ("pin_diameter",), Link.INNER: ("bush_diameter",)}


def _needs(reading: Reading) -> tuple[str, ...]:
    """Give the dimensions that may be the diameter between whose edges it was taken."""
    if reading.dimension in attachments.BY_NAME:
        return ("hole_diameter",)
    if reading.dimension == "transverse_pitch":
        # Strands are measured over or between their inner links.
        return ("inner_link_width",)
    if reading.reference is Reference.HOLES:
        return _HOLE_PARTS.get(reading.link, ("pin_diameter", "bush_diameter"))
    return _ROUND_PARTS[reading.reference]


def _words(reading: Reading, distance: float, u: float, sign: int) -> str:
    terms = terms_for(reading)
    how = f"{terms.words}, " if reading.is_pitch else ""
    ends = f"±{sighting_mm(reading.instrument, terms):g} mm at each end"
    return (
        f"{_sum_in_words(reading, distance, u, sign)}; "
        f"{TITLES[reading.instrument]} ±{limit_of(reading, distance):.3g} mm, "
        f"read to {_step_words(reading)}, {how}{ends}: "
        f"u = {_figure(u, u)} mm{' per pitch' if reading.over > 1 else ''}"
    )


def _sum_in_words(reading: Reading, distance: float, u: float, sign: int) -> str:
    over, mean = reading.over, _mean_mm(reading)
    spanned = f" over {over} pitches" if over > 1 else ""
    averaged = f", mean of {1 + len(reading.repeats)}" if reading.repeats else ""
    steps = f"{_figure(mean, u)} mm"
    if distance != mean:
        texts = " and ".join(length.text for length in reading.edge_diameters)
        steps += f", with diameter {texts} {_figure(distance, u)} mm between centers"
    if over > 1:
        steps += f" / {over} = {_figure(distance / over, u)} mm"
    if sign:
        shared = f" / {over}" if over > 1 else ""
        what = "distance" if reading.dimension in attachments.BY_NAME else "pitch"
        steps += f", which is the {what} {'plus' if sign > 0 else 'less'} a diameter not given{shared}"
    return f"{reading.value}{spanned}{averaged}: {steps}"


def _step_words(reading: Reading) -> str:
    step = coarsest_step_mm(reading)
    if reading.length.unit not in {"in", "ft"}:
        return f"{step:g} mm"
    inches = Fraction(step / INCH_MM).limit_denominator(10_000)
    is_binary = inches.denominator & (inches.denominator - 1) == 0
    return f"{inches} in" if is_binary else f"{float(inches):g} in"


def _figure(value: float, u: float) -> str:
    """Print a value to the second digit of its uncertainty."""
    places = 1 - math.floor(math.log10(u))
    return f"{value:.{min(max(places, 0), 5)}f}"
