"""The uncertainty budget of one reading whose unit is settled.

All parts are independent, each a rectangular distribution unless said otherwise:

    error limit  of the instrument at that length; shared by repeats, does not average out
    rounding     the step it was written or can be read with, whichever is coarser; does not average out
    ends         sighting or contact at each end; averages out over repeats
    repeats      s / √n of repeated values, Student with n - 1 degrees of freedom

`ends` stays in the budget beside `repeats`: two or three values say little about their own scatter.

Sources: JCGM 100:2008 (GUM), 4.2 and 4.3; the figures stand in `instruments` and `techniques`.
"""

import math
from fractions import Fraction

from chaincase.measuring.instruments import STEPS, Instrument, limit_mm
from chaincase.measuring.reading import Reading
from chaincase.measuring.techniques import Technique, Terms, center_gradient, sighting_mm, terms_of
from chaincase.measuring.uncertainty import Component, Distribution, from_bound, from_step, mean_of
from chaincase.units import Length

INCH_MM = 25.4

INSIDE_JAWS = frozenset(
    {"inner_width", "outer_link_inner_width", "bush_bore", "hollow_pin_bore", "width", "hole_diameter", "slot_length"}
)
"""Dimensions that a caliper's inside jaws are for; a width without a name may be one of them."""

HOOKED = frozenset({Technique.DIRECT, Technique.OUTSIDE_EDGES, Technique.UNKNOWN})
"""Techniques for which a tape is hooked on or butted, so that one end is a surface."""


def budget(reading: Reading, distance_mm: float) -> list[Component]:
    """Give all parts of the uncertainty of the distance that a reading stands for.

    Parameters
    ----------
    reading : Reading
        With a unit to each of its values.
    distance_mm : float
        What was measured, not yet divided by the pitches spanned [mm].
    """
    terms = terms_for(reading)
    sizes = [length.mm() for length in (reading.length, *reading.repeats)]
    _, scatter, dof = mean_of(sizes)
    ends = from_bound(sighting_mm(reading.instrument, terms)) * math.sqrt(terms.ends / len(sizes))
    parts = [
        Component("error limit", from_bound(limit_of(reading, distance_mm))),
        Component("rounding", from_step(coarsest_step_mm(reading)) * math.sqrt(terms.displays)),
        Component("ends", ends),
    ]
    if dof:
        parts.append(Component(f"{len(sizes)} repeats", scatter, Distribution.STUDENT, dof))
    return parts + _diameter_parts(reading, terms)


def terms_for(reading: Reading) -> Terms:
    """Give the terms of the technique of a reading."""
    return terms_of(reading.technique, between_centers=reading.is_pitch)


def limit_of(reading: Reading, distance_mm: float) -> float:
    """Give the error limit of the instrument as it was used [mm]."""
    inside = reading.technique in {Technique.INSIDE_EDGES, Technique.ZEROED_ON_HOLE}
    return limit_mm(
        reading.instrument,
        distance_mm,
        inside=inside or reading.dimension in INSIDE_JAWS,
        surface_end=reading.technique in HOOKED,
    )


def coarsest_step_mm(reading: Reading) -> float:
    """Give the coarsest step among the values of a reading [mm]."""
    return max(step_mm(length, reading.instrument) for length in (reading.length, *reading.repeats))


def step_mm(length: Length, instrument: Instrument) -> float:
    """Give the step that a value was rounded to [mm]: as written, but no finer than can be read.

    Whole inches and fractions of powers of two are the exception, see `instruments.Steps.coarsest_inch`.

    >>> from chaincase.units import parse_length
    >>> step_mm(parse_length("103.37 mm"), Instrument.TAPE)
    1.0
    >>> step_mm(parse_length("19 mm"), Instrument.DIGITAL_CALIPER)
    1.0
    >>> step_mm(parse_length("2 1/2 in"), Instrument.TAPE) == 25.4 / 4
    True
    """
    steps = STEPS[instrument]
    written = length.resolution_mm()
    if length.unit not in {"in", "ft"}:
        return max(written, steps.mm)
    if _hides_its_step(length.step):
        coarsest = steps.coarsest_inch * (4 if length.unit == "ft" else 1)
        written = min(written, coarsest * INCH_MM)
    return max(written, steps.inch * INCH_MM)


def _hides_its_step(step: Fraction) -> bool:
    """Tell whether a step is a whole unit or 1/2, 1/4, 1/8 ..., as reduced fractions have it."""
    return step.numerator == 1 and step.denominator & (step.denominator - 1) == 0


def _diameter_parts(reading: Reading, terms: Terms) -> list[Component]:
    """Give what the partner diameters add; their scale error is in the limit already."""
    if not reading.edge_diameters:
        return []
    if reading.technique is Technique.SAME_EDGE:
        sizes = [length.mm() for length in reading.edge_diameters]
        apart = max(sizes) - min(sizes)
        return [Component("unequal diameters", from_bound(apart / 2.0))] if apart else []
    contact = from_bound(sighting_mm(reading.instrument, terms)) * math.sqrt(2.0)
    own = [math.hypot(from_step(step_mm(d, reading.instrument)), contact) for d in reading.edge_diameters]
    gradient = center_gradient(reading.technique, len(own))[1:]
    u = math.hypot(*(g * x for g, x in zip(gradient, own, strict=True)))
    return [Component("partner diameters", u)] if u else []
