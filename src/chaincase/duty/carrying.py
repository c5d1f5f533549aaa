"""What a conveyor carries: mass on the chain from the flow, drag on side walls, digging of an elevator's buckets."""

import math
from typing import Final

from chaincase.duty import checking
from chaincase.errors import BadInput

GRAVITY: Final = 9.81
"""Standard gravity as the engineering tables round it [m/s2]."""
_LBF_PER_FT: Final = 4.4482216152605 / 0.3048
_KGF: Final = 9.80665
EDGE_SEAL: Final = 6.0 * _LBF_PER_FT
"""Drag of the rubber edges of both skirtboards, 6 lb/ft [N/m]: CEMA skirtboard formula."""

DIGGING: Final = {"continuous": 0.5, "centrifugal fine": 0.67, "centrifugal coarse": 1.0}
"""Factor of the boot pull by discharge and what is lifted: public engineering table D (one source)."""


def material_mass(flow_kg_per_s: float, speed_m_per_s: float) -> float:
    """Give the mass of material per length [kg/m] from flow and speed of the chain.

    Source: m = Q / (3.6 v), Q in t/h (two public engineering tables).

    Raises
    ------
    BadInput
        If the flow is negative or the speed not greater than zero.

    >>> material_mass(50 / 3.6, 0.25)
    55.55...
    """
    flow = checking.not_negative("flow", flow_kg_per_s, "kg/s")
    return flow / checking.positive("speed", speed_m_per_s, "m/s")


def material_flow(mass_kg: float, length_mm: float, speed_m_per_s: float) -> float:
    """Give the flow [kg/s] of a load that lies on a length of conveyor; BadInput if a quantity cannot be."""
    mass = checking.not_negative("load", mass_kg, "kg")
    length = checking.positive("length", length_mm, "mm") / 1000.0
    return mass / length * checking.not_negative("speed", speed_m_per_s, "m/s")


def bucket_mass(volume_l: float, buckets_per_m: float, density_kg_per_m3: float, fill: float = 1.0) -> float:
    """Give the mass of material per length of a bucket elevator [kg/m].

    Source: capacity Q = 60 V n v rho, open lecture notes on material handling; here without the speed.

    Raises
    ------
    BadInput
        If a quantity is negative.

    >>> bucket_mass(2.0, 3.0, 750.0)
    4.5
    """
    liters = checking.not_negative("bucket volume", volume_l, "l")
    count = checking.not_negative("buckets per meter", buckets_per_m)
    density = checking.not_negative("bulk density", density_kg_per_m3, "kg/m3")
    return liters / 1000.0 * count * density * checking.between("fill", fill, 0.0, 1.5)


def lifting_power(flow_kg_per_s: float, height_mm: float, efficiency: float = 1.0, gravity: float = GRAVITY) -> float:
    """Give the power of an elevator [W], P = Q g H / efficiency.

    Source: open lecture notes on material handling; they count on an efficiency of 0.6 to 0.8.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> round(lifting_power(20 / 3.6, 15_000.0, 0.7))
    1168
    """
    flow = checking.not_negative("flow", flow_kg_per_s, "kg/s")
    height = checking.not_negative("height", height_mm, "mm") / 1000.0
    return flow * gravity * height / checking.between("efficiency", efficiency, 0.01, 1.0)


def boot_pull(mass_kg_per_m: float, wheel_mm: float, digging: str | float) -> float:
    """Give the pull of buckets that dig in the boot of an elevator [N].

    Parameters
    ----------
    mass_kg_per_m : float
        Material per length [kg/m].
    wheel_mm : float
        Pitch diameter of the boot sprocket [mm].
    digging : str or float
        A key of `DIGGING`, or the factor itself [-].

    Raises
    ------
    BadInput
        If a quantity cannot be or the discharge is not in the table.

    Notes
    -----
    Source: Q = W D f with W the material per length and D the pitch diameter, public engineering table D.

    >>> round(boot_pull(20.0, 600.0, "continuous"), 2)
    58.86
    """
    factor = _digging(digging)
    mass = checking.not_negative("material", mass_kg_per_m, "kg/m")
    return GRAVITY * mass * checking.positive("boot wheel", wheel_mm, "mm") / 1000.0 * factor


def _digging(digging: str | float) -> float:
    if isinstance(digging, str):
        if digging not in DIGGING:
            right = f"use a factor, or one of: {', '.join(DIGGING)}"
            raise BadInput(f"{digging[:60]!r} is not a way of discharge", right=right)
        return DIGGING[digging]
    return checking.between("digging factor", digging, 0.0, 10.0)


def skirt_drag(height_mm: float, cs: float, edge_seal: bool = True) -> float:
    """Give the drag of skirtboards per length [N/m].

    Parameters
    ----------
    height_mm : float
        Depth of the material at the boards [mm].
    cs : float
        Factor of the material [lbf/ft per in2].
    edge_seal : bool
        Whether rubber edges rub on the chain; without them the same form serves for plain side walls.

    Raises
    ------
    BadInput
        If a quantity is negative.

    Notes
    -----
    Source: T = Cs L h2 + 6 L in lbf, L in ft, h in inches: CEMA skirtboard formula, read in an explanatory text and
    in a worksheet. Without the edges it is J = U h2 f of public engineering table D.

    >>> round(skirt_drag(254.0, 0.018) * 3.048 / 4.4482216152605, 6)
    78.0
    """
    inches = checking.not_negative("height at the skirt", height_mm, "mm") / 25.4
    drag = checking.not_negative("skirt factor", cs) * inches**2 * _LBF_PER_FT
    return drag + (EDGE_SEAL if edge_seal else 0.0)


def wall_drag(height_mm: float, wall_factor: float) -> float:
    """Give the drag of material on the side walls of a trough per length [N/m], 1000 h2/c in kgf/m with h in m.

    Source: public engineering table C; c of some materials in `friction.BULK`.

    Raises
    ------
    BadInput
        If the height is negative or the factor not greater than zero.

    >>> round(wall_drag(300.0, 9.0), 3)
    98.066
    """
    meters = checking.not_negative("height at the wall", height_mm, "mm") / 1000.0
    return 1000.0 * meters**2 / checking.positive("wall factor", wall_factor) * _KGF


def hanging_tension(mass_kg_per_m: float, span_mm: float, sag_mm: float, gravity: float = GRAVITY) -> float:
    """Give the tension at the ends of a strand that hangs between two points of one height [N].

    Parameters
    ----------
    mass_kg_per_m : float
        Mass of what hangs [kg/m].
    span_mm, sag_mm : float
        Distance of the points and depth of the middle below them [mm].

    Raises
    ------
    BadInput
        If a quantity cannot be.

    Notes
    -----
    The parabola, H = m g a2 / (8 s) and T = sqrt(H2 + (m g a/2)2); right within 2 % while the sag is below a tenth
    of the span (against the catenary; checked in tests). Source: statics; Engineering Mechanics, examples 10.4 to 10.6.

    >>> round(hanging_tension(0.5, 30_000.0, 500.0), 2)
    1106.07
    """
    weight = checking.not_negative("mass per length", mass_kg_per_m, "kg/m") * gravity
    span = checking.positive("span", span_mm, "mm") / 1000.0
    sag = checking.positive("sag", sag_mm, "mm") / 1000.0
    return math.hypot(weight * span**2 / (8.0 * sag), weight * span / 2.0)


def hanging_length(span_mm: float, sag_mm: float) -> float:
    """Give the length of a hanging strand [mm], a + 8 s2/(3 a): the parabola to the first order.

    >>> round(hanging_length(30_000.0, 500.0), 3)
    30022.222
    """
    span = checking.positive("span", span_mm, "mm")
    return span + 8.0 * checking.positive("sag", sag_mm, "mm") ** 2 / (3.0 * span)


def hanging_sag(mass_kg_per_m: float, span_mm: float, tension_n: float, gravity: float = GRAVITY) -> float:
    """Give the sag [mm] at which a strand has a tension at its ends.

    Raises
    ------
    BadInput
        If half the weight alone is more than the tension.

    >>> round(hanging_sag(3.0 / 9.81, 30_000.0, 400.0), 3)
    849.141
    """
    span = checking.positive("span", span_mm, "mm") / 1000.0
    weight = checking.positive("mass per length", mass_kg_per_m, "kg/m") * gravity
    tension = checking.positive("tension", tension_n, "N")
    if tension <= weight * span / 2.0:
        right = f"give more than {weight * span / 2.0:.4g} N, half the weight of the strand"
        raise BadInput(f"a tension of {tension:g} N cannot hold the strand", right=right)
    level = math.sqrt(tension**2 - (weight * span / 2.0) ** 2)
    return 1000.0 * weight * span**2 / (8.0 * level)


def catenary(length_mm: float, sag_mm: float) -> tuple[float, float]:
    """Give the parameter c and the span [mm] of a true catenary from its length and its sag.

    Source: c = (s2 - S2)/(2 S) with s half the length and S the sag; textbook example in Engineering Mechanics 10.6.

    Raises
    ------
    BadInput
        If the sag is half the length or more.

    >>> [round(x, 2) for x in catenary(200_000.0, 50_000.0)]
    [75000.0, 164791.84]
    """
    half = checking.positive("length", length_mm, "mm") / 2.0
    sag = checking.positive("sag", sag_mm, "mm")
    if sag >= half:
        raise BadInput(f"a sag of {sag:g} mm is too deep", right=f"give less than {half:g} mm, half the length")
    c = (half**2 - sag**2) / (2.0 * sag)
    return c, 2.0 * c * math.asinh(half / c)
