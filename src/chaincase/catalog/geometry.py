"""What must hold between the dimensions of one chain, because its parts go into each other (geometry, no source).

A figure may be a limit: of a maximum and a minimum that keep each other clear, the one may touch the other, since
real parts lie inside both. `SLACK` says how far.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from chaincase.catalog.findings import Severity
from chaincase.catalog.table import Limit
from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import Kind, Links

SLACK = 0.01
"""Part of the larger figure by which a maximum may exceed a minimum above it."""

Values = Mapping[str, float]
Limits = Mapping[str, Limit]
Complaint = tuple[str, str, Severity]
"""Column, message, severity."""


@dataclass(frozen=True, slots=True)
class Less:
    """One dimension is less than another on every chain that has both."""

    small: str
    large: str
    severity: Severity = Severity.ERROR
    links: Links | None = None
    """Only where links follow each other so; None for all."""
    stretch: float = 1.0
    """The small one is less than this many times the large one."""


LESS: tuple[Less, ...] = (
    Less("pin_diameter", "bush_bore"),
    Less("pin_diameter", "bush_diameter"),
    Less("pin_diameter", "roller_diameter"),
    Less("pin_diameter", "hinge_diameter"),
    Less("hollow_pin_bore", "pin_diameter"),
    Less("bush_bore", "bush_diameter"),
    Less("bush_diameter", "roller_diameter"),
    Less("roller_diameter", "flange_diameter"),
    Less("roller_diameter", "pitch"),
    Less("bush_diameter", "pitch"),
    Less("flange_diameter", "pitch"),
    Less("inner_width", "inner_link_width"),
    Less("inner_link_width", "outer_link_inner_width"),
    Less("inner_link_width", "transverse_pitch"),
    Less("inner_width", "pin_length"),
    Less("inner_link_width", "pin_length"),
    Less("outer_link_inner_width", "pin_length"),
    Less("inner_width", "pin_length_connecting"),
    Less("pin_length", "pin_length_connecting"),
    Less("pin_diameter", "inner_plate_height"),
    Less("pin_diameter", "outer_plate_height"),
    Less("pin_diameter", "sidebar_height"),
    Less("bush_bore", "inner_plate_height"),
    Less("inner_plate_height", "chain_path_depth"),
    # Plates with round ends meet end to end where they are as high as the pitch is long; cut ends gain a little.
    Less("inner_plate_height", "pitch", links=Links.ALTERNATE, stretch=1.1),
    Less("outer_plate_height", "pitch", links=Links.ALTERNATE, stretch=1.1),
    Less("sidebar_height", "pitch", links=Links.ALTERNATE, stretch=1.1),
    Less("inner_plate_thickness", "inner_plate_height"),
    Less("outer_plate_thickness", "outer_plate_height"),
    Less("sidebar_thickness", "sidebar_height"),
    Less("plate_thickness", "hinge_diameter"),
    Less("hinge_width", "pin_length", Severity.DOUBT),
    Less("hinge_width", "plate_width"),
)

SUMS: tuple[tuple[str, str, str], ...] = (
    ("inner_width", "inner_plate_thickness", "inner_link_width"),
    ("outer_link_inner_width", "outer_plate_thickness", "pin_length"),
    ("inner_width", "sidebar_thickness", "inner_link_width"),
    ("outer_link_inner_width", "sidebar_thickness", "pin_length"),
)
"""A width, the plate that stands on both its sides, and the width over all, which is not less."""

LARGEST = 2000.0
"""Nothing on a chain is larger [mm]."""
SMALLEST_PITCH = 3.0
"""The smallest pitch sold is 3.7 mm (common practice, no source); less is a figure in inches."""


def complaints(kind: Kind, strands: int, values: Values, limits: Limits) -> Iterator[Complaint]:
    """Give what cannot be true of one chain.

    Parameters
    ----------
    kind : Kind
        Its kind.
    strands : int
        Number of its strands.
    values : mapping of str to float
        Its known dimensions [mm].
    limits : mapping of str to Limit
        What each of them says.

    Yields
    ------
    Complaint
        Column, message and severity.
    """
    yield from _sizes(kind, values)
    for rule in LESS:
        if rule.links in {None, kind.links} and rule.small in values and rule.large in values:
            yield from _compare(rule, values, limits)
    if strands <= 1:
        for inside, plate, over in SUMS:
            if inside in values and plate in values and over in values:
                yield from _stack(inside, plate, over, values)


def _sizes(kind: Kind, values: Values) -> Iterator[Complaint]:
    for name, value in values.items():
        if name not in kind.dimensions:
            yield name, f"a {kind.name} chain has no {_label(name)}", Severity.ERROR
        if value <= 0 or not math.isfinite(value):
            yield name, f"{value:g} mm is no size", Severity.ERROR
        elif value > LARGEST:
            yield name, f"{value:g} mm is more than {LARGEST:g} mm", Severity.ERROR
    if 0 < values.get("pitch", math.inf) < SMALLEST_PITCH:
        yield "pitch", f"{values['pitch']:g} mm is no pitch; perhaps it is in inches", Severity.ERROR


def _compare(rule: Less, values: Values, limits: Limits) -> Iterator[Complaint]:
    small, large = values[rule.small], rule.stretch * values[rule.large]
    roomy = limits.get(rule.small) is Limit.MAXIMUM or limits.get(rule.large) is Limit.MINIMUM
    breaks: Callable[[float], bool] = (lambda gap: gap < -SLACK * large) if roomy else (lambda gap: gap <= 0)
    if breaks(large - small):
        message = f"{_label(rule.small)} {small:g} is not less than {_label(rule.large)} {values[rule.large]:g}"
        yield rule.small, message, rule.severity


def _stack(inside: str, plate: str, over: str, values: Values) -> Iterator[Complaint]:
    sum_ = values[inside] + 2 * values[plate]
    if sum_ > values[over] * (1 + SLACK):
        message = f"{_label(inside)} and two plates make {sum_:g}, more than {_label(over)} {values[over]:g}"
        yield over, message, Severity.ERROR


def _label(name: str) -> str:
    return BY_NAME[name].label
