"""The answer about one sprocket: every figure that its drawing needs, with the arithmetic and the limits."""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.duty import chordal
from chaincase.duty import sprocket as form
from chaincase.duty.checking import not_negative, positive, whole
from chaincase.duty.result import Result, Value
from chaincase.errors import BadInput

SCHEMA: Final = "chaincase/duty-sprocket-answer-1"

_COARSE_VARIATION: Final = 0.04
"""Speed variation that is felt on most machines: fewer than 12 teeth (common practice, no source)."""


class Family(StrEnum):
    """Which standard's tooth form a wheel follows."""

    SHORT = "short pitch"
    """ISO 606, ASME B29.1: rollers of half the pitch or more."""
    DOUBLE = "double pitch"
    """ISO 1275: twice the pitch of a short-pitch chain, its rollers small."""
    CONVEYOR = "conveyor"
    """ISO 1977 and the engineering chains: pitch and roller are chosen apart, the tip is not standardized here."""


TEETH_RANGE: Final = {Family.SHORT: (9.0, 150.0), Family.DOUBLE: (5.0, 75.0), Family.CONVEYOR: (6.0, 40.0)}
"""Teeth for which the forms are meant: ISO 606, 5.10 and ISO 1977 from memory; ISO 1275 from the scope of GB/T 5269."""


@dataclass(frozen=True, slots=True)
class Wheel:
    """A sprocket and the chain that runs on it; lengths in mm, None where not known.

    Attributes
    ----------
    pitch : float
        Chain pitch [mm].
    teeth : int
        Teeth cut [-].
    roller : float or None
        Diameter of what lies in the gap, roller, bush or barrel [mm].
    inner_width : float or None
        Width between the inner plates [mm].
    plate_height : float or None
        Height of the inner plate [mm].
    transverse_pitch : float or None
        Distance between neighbouring strands [mm].
    rows : int
        Rows of teeth [-].
    double_cut : bool
        Whether a chain of double pitch runs on every second tooth.
    family : Family or None
        Tooth form; None to go by roller and pitch.
    pin : float or None
        Measuring pins [mm]; the roller's diameter where None.
    rpm : float or None
        Speed of the wheel [1/min].
    """

    pitch: float
    teeth: int
    roller: float | None = None
    inner_width: float | None = None
    plate_height: float | None = None
    transverse_pitch: float | None = None
    rows: int = 1
    double_cut: bool = False
    family: Family | None = None
    pin: float | None = None
    rpm: float | None = None

    def __post_init__(self) -> None:
        positive("pitch", self.pitch, "mm")
        whole("teeth", self.teeth, form.FEWEST_TEETH, form.MOST_TEETH)
        whole("rows", self.rows, 1, 24)
        form.teeth_count(
            self.pitches, "teeth cut twice give pitches around the wheel, which" if self.double_cut else "teeth"
        )
        for name in ("roller", "inner_width", "plate_height", "transverse_pitch", "pin"):
            if getattr(self, name) is not None:
                positive(name.replace("_", " "), getattr(self, name), "mm")
        if self.roller is not None and self.roller >= self.pitch:
            right = "the roller must be smaller than the pitch, or two of them meet"
            raise BadInput(f"roller diameter {self.roller:g} mm at pitch {self.pitch:g} mm", right=right)
        if self.rpm is not None:
            not_negative("speed", self.rpm, "1/min")

    @property
    def pitches(self) -> float:
        """Chain pitches around the wheel: half the teeth cut where it is cut twice."""
        return self.teeth / 2 if self.double_cut else float(self.teeth)

    @property
    def form(self) -> Family:
        """Tooth form, by roller and pitch where nobody named it."""
        if self.family is not None:
            return self.family
        if self.double_cut:
            return Family.DOUBLE
        return Family.SHORT if self.roller is None or self.roller >= 0.45 * self.pitch else Family.CONVEYOR


def sprocket(wheel: Wheel) -> Result:
    """Give the figures of a sprocket, as far as what is known of the chain allows.

    Raises
    ------
    BadInput
        If the roller leaves no root, or a part of the chain cannot belong to this pitch.

    >>> answer = sprocket(Wheel(pitch=25.4, teeth=17, roller=15.88))
    >>> round(answer.number("pitch_diameter_mm"), 2), round(answer.number("root_diameter_mm"), 2)
    (138.23, 122.35)
    >>> print(answer.steps[0])
    pitch diameter = p / sin(180°/z) = 25.4 / sin(180°/17) = 138.232 mm
    """
    parts = [_circle(wheel), _gap(wheel), _tip(wheel), _width(wheel), _hub(wheel), _motion(wheel)]
    return Result(
        schema=SCHEMA,
        title=f"sprocket of {wheel.teeth} teeth for {wheel.pitch:g} mm pitch",
        values=tuple(value for part in parts for value, _ in part),
        steps=tuple(step for part in parts for _, step in part if step),
        assumptions=tuple(_assumptions(wheel)),
        warnings=tuple(_warnings(wheel)),
        sources=(
            "pitch circle, root, over pins, tip and tooth gap: ISO 606:2015, 5.3 to 5.6 and Annex A",
            "caliper and outside diameter, tolerance, hub: ASME B29.1, sprocket appendix",
            "tip and root of GOST 591-69: a designer's handbook, in part from memory",
            "polygon effect: Analysis and Design of Machine Elements (2019), eq. 7.10 to 7.13",
        ),
    )


_Line = tuple[Value, str]
"""A value and the step that led to it."""


def _line(name: str, label: str, amount: float, how: str, unit: str = "mm", note: str = "") -> _Line:
    return Value(name, label, amount, unit, note), f"{label} = {how} = {amount:.3f} {unit}".rstrip() if how else ""


def _circle(wheel: Wheel) -> list[_Line]:
    p, z = wheel.pitch, wheel.pitches
    how = f"p / sin(180°/z) = {p:g} / sin(180°/{z:g})"
    lines = [_line("pitch_diameter_mm", "pitch diameter", form.pitch_diameter(p, z), how)]
    if wheel.double_cut:
        words = f"every second of {wheel.teeth} teeth carries a roller: z = {wheel.teeth}/2 = {z:g}"
        lines.insert(0, (Value("pitches_around", "pitches around the wheel", z), words))
    return lines


def _gap(wheel: Wheel) -> list[_Line]:
    if wheel.roller is None:
        return []
    p, z, d1, cut = wheel.pitch, wheel.pitches, wheel.roller, wheel.teeth
    d = form.pitch_diameter(p, z)
    across, spelled, note = "d", f"{d:.3f}", "across opposite gaps"
    if cut % 2:
        across, note = f"d cos(90°/{cut})", "across the two gaps nearest to opposite"
        spelled = f"{d:.3f} × {math.cos(math.pi / 2 / cut):.5f}"
    pin = wheel.pin or d1
    root, caliper = form.root_diameter(p, z, d1), form.caliper_diameter(p, z, d1, cut)
    over, less = form.over_pins(p, z, pin, cut), form.caliper_tolerance(p, z)
    how = f"0.002 p √z + 0.006 in = 0.002 × {p:g} × √{z:g} + 0.152"
    return [
        _line("root_diameter_mm", "root diameter", root, f"d - d1 = {d:.3f} - {d1:g}"),
        _line("caliper_diameter_mm", "caliper diameter", caliper, f"{across} - d1 = {spelled} - {d1:g}", note=note),
        _line("over_pins_mm", "over pins", over, f"{across} + dR = {spelled} + {pin:g}"),
        _line("pin_diameter_mm", "measuring pins", pin, ""),
        _line(
            "caliper_tolerance_mm", "caliper diameter may be smaller by", less, how, note="half for precision wheels"
        ),
        *_gap_form(wheel.form, z, d1),
    ]


def _gap_form(family: Family, z: float, d1: float) -> list[_Line]:
    if family is Family.CONVEYOR:
        return []
    seat, angle, flank = form.seating_radius(d1), form.seating_angle(z), form.flank_radius(z, d1)
    lines = [
        _line("seating_radius_min_mm", "smallest roller seating radius", seat[0], f"0.505 d1 = 0.505 × {d1:g}"),
        _line("seating_radius_max_mm", "largest roller seating radius", seat[1], f"0.505 d1 + 0.069 ∛{d1:g}"),
    ]
    if family is Family.DOUBLE:
        return lines
    low, high = f"0.12 × {d1:g} × {z + 2:g}", f"0.008 × {d1:g} × {z * z + 180:g}"
    return [
        *lines,
        _line("seating_angle_min_deg", "smallest roller seating angle", angle[0], f"120° - 90°/{z:g}", "°"),
        _line("seating_angle_max_deg", "largest roller seating angle", angle[1], f"140° - 90°/{z:g}", "°"),
        _line("flank_radius_min_mm", "smallest flank radius", flank[0], f"0.12 d1 (z + 2) = {low}"),
        _line("flank_radius_max_mm", "largest flank radius", flank[1], f"0.008 d1 (z² + 180) = {high}"),
    ]


def _tip(wheel: Wheel) -> list[_Line]:
    p, z, d1 = wheel.pitch, wheel.pitches, wheel.roller
    lines: list[_Line] = []
    if wheel.form is Family.SHORT:
        how = f"p (0.6 + cot(180°/z)) = {p:g} × (0.6 + cot(180°/{z:g}))"
        lines.append(_line("outside_diameter_mm", "outside diameter, ASME B29.1", form.outside_diameter(p, z), how))
    if d1 is None or wheel.form is Family.CONVEYOR:
        return lines
    d = form.pitch_diameter(p, z)
    if wheel.form is Family.SHORT:
        least, most = form.tip_diameter_min(p, z, d1), form.tip_diameter_max(p, z, d1)
        hows = (
            f"d + p (1 - 1.6/z) - d1 = {d:.3f} + {p:g} × (1 - 1.6/{z:g}) - {d1:g}",
            f"d + 1.25 p - d1 = {d:.3f} + {1.25 * p:g} - {d1:g}",
        )
    else:
        least, most = form.tip_diameters_double(p, z, d1)
        hows = (
            f"d + p (0.5 - 0.4/z) - d1 = {d:.3f} + {p:g} × (0.5 - 0.4/{z:g}) - {d1:g}",
            f"d + 0.625 p - d1 = {d:.3f} + {0.625 * p:g} - {d1:g}",
        )
    if wheel.form is Family.SHORT:
        lines += _gost(p, z, d1)
    return [
        *lines,
        _line("tip_diameter_min_mm", "smallest tip diameter", least, hows[0]),
        _line("tip_diameter_max_mm", "largest tip diameter", most, hows[1]),
    ]


def _gost(p: float, z: float, d1: float) -> list[_Line]:
    """Give tip and root as GOST 591-69 cuts them; nothing where its table of p/d1 ends."""
    tip, root = form.tip_diameter_gost(p, z, d1), form.root_diameter_gost(p, z, d1)
    if tip is None:
        return []
    how = f"p (K + cot(180°/z)) = {p:g} × ({tip / p - 1.0 / math.tan(math.pi / z):.3f} + cot(180°/{z:g}))"
    return [
        _line("tip_diameter_gost_mm", "tip diameter, GOST 591-69", tip, how),
        _line("root_diameter_gost_mm", "root diameter, GOST 591-69", root, f"d - 2 (0.5025 × {d1:g} + 0.05)"),
    ]


def _width(wheel: Wheel) -> list[_Line]:
    if wheel.inner_width is None:
        return []
    b1, p, rows = wheel.inner_width, wheel.pitch, wheel.rows
    if wheel.form is Family.CONVEYOR:
        least, most = form.tooth_width_conveyor(b1)
        return [
            _line("tooth_width_min_mm", "smallest tooth width", least, f"0.87 b1 - 1.7 = 0.87 × {b1:g} - 1.7"),
            _line("tooth_width_mm", "largest tooth width", most, f"0.9 b1 - 1 = 0.9 × {b1:g} - 1"),
        ]
    base = p / 2.0 if wheel.form is Family.DOUBLE else p
    width = form.tooth_width(b1, base, rows)
    share = width / b1
    lines = [_line("tooth_width_mm", "largest tooth width, ISO 606", width, f"{share:.2f} b1 = {share:.2f} × {b1:g}")]
    if wheel.form is Family.SHORT:
        relief, asme = form.side_relief(p), form.tooth_width_asme(b1, rows)
        lines += [
            _line("tooth_width_asme_mm", "largest tooth width, ASME B29.1", asme, ""),
            _line("tooth_side_radius_min_mm", "smallest tooth side radius", p, ""),
            _line("side_relief_min_mm", "smallest side relief", relief[0], f"0.10 p = 0.10 × {p:g}"),
            _line("side_relief_max_mm", "largest side relief", relief[1], f"0.15 p = 0.15 × {p:g}"),
        ]
    if rows > 1 and wheel.transverse_pitch is not None:
        pt = wheel.transverse_pitch
        over = form.width_over_rows(width, pt, rows)
        lines.append(_line("width_over_rows_mm", f"width over {rows} rows", over, f"{rows - 1} × {pt:g} + {width:.3f}"))
    return lines


def _hub(wheel: Wheel) -> list[_Line]:
    p, z = wheel.pitch, wheel.pitches
    if wheel.form is not Family.SHORT:
        return []
    lines = []
    if (1.0 / math.tan(math.pi / z) - 1.0) * p > 0.030 * 25.4:  # five teeth of a small pitch leave no hub
        how = f"p (cot(180°/z) - 1) - 0.76 = {p:g} × (cot(180°/{z:g}) - 1) - 0.76"
        lines.append(
            _line(
                "hub_diameter_max_mm", "largest hub or groove diameter, ASME B29.1", form.hub_diameter_asme(p, z), how
            )
        )
    if wheel.plate_height is not None:
        h = wheel.plate_height
        how = f"p cot(180°/z) - 1.04 h2 - 0.76 = {p:g} × cot(180°/{z:g}) - 1.04 × {h:g} - 0.76"
        lines.append(
            _line(
                "shroud_diameter_max_mm", "largest hub or shroud diameter, ISO 606", form.shroud_diameter(p, z, h), how
            )
        )
    return lines


def _motion(wheel: Wheel) -> list[_Line]:
    p, z = wheel.pitch, wheel.pitches
    share = chordal.speed_variation(z)
    lines = [
        _line("chordal_rise_mm", "rise and fall of the chain", chordal.chordal_rise(p, z), f"R (1 - cos(180°/{z:g}))"),
        _line(
            "speed_variation_percent",
            "swing of the chain speed",
            100 * share,
            "(π/z) (1/sin(180°/z) - 1/tan(180°/z))",
            "%",
        ),
    ]
    if wheel.rpm is None:
        return lines
    n = wheel.rpm
    slow, fast = chordal.speed_limits(p, z, n)
    return [
        *lines,
        _line(
            "chain_speed_m_per_s",
            "mean chain speed",
            chordal.chain_speed(p, z, n),
            f"z p n / 60000 = {z:g} × {p:g} × {n:g} / 60000",
            "m/s",
        ),
        _line("chain_speed_min_m_per_s", "smallest chain speed", slow, "largest × cos(180°/z)", "m/s"),
        _line("chain_speed_max_m_per_s", "largest chain speed", fast, "π d n / 60000", "m/s"),
        _line(
            "peak_acceleration_m_per_s2",
            "acceleration by the polygon effect",
            chordal.peak_acceleration(p, z, n),
            "p ω² / 2",
            "m/s²",
        ),
        _line("teeth_per_s", "joints landing", wheel.pitches * n / 60.0, f"z n / 60 = {z:g} × {n:g} / 60", "1/s"),
    ]


def _assumptions(wheel: Wheel) -> list[str]:
    said = []
    if wheel.family is None:
        said.append(f"tooth form of {wheel.form.value} chain, judged by roller and pitch")
    if wheel.roller is not None and wheel.pin is None:
        said.append("measuring pins of the roller's diameter")
    return said


def _warnings(wheel: Wheel) -> list[str]:
    said = []
    z, family = wheel.pitches, wheel.form
    low, high = TEETH_RANGE[family]
    if not low <= z <= high:
        said.append(f"{z:g} teeth lie outside the {low:g} to {high:g} that the {family.value} forms are meant for")
    if wheel.roller is None:
        said.append("without the roller diameter there is no root, caliper or tip diameter and no measure over pins")
    if family is Family.CONVEYOR and wheel.roller is not None:
        said.append("tip diameter and tooth gap of a conveyor wheel are its maker's choice and are not given here")
    if family is Family.DOUBLE:
        said.append("the tip forms for double pitch are from memory of ISO 1275; measure the wheel that stays")
    swing = chordal.speed_variation(z)
    if swing > _COARSE_VARIATION:
        enough = chordal.teeth_for_variation(_COARSE_VARIATION)
        said.append(
            f"{z:g} teeth make the chain's speed swing by {100 * swing:.1f} %; {enough} teeth or more keep it"
            f" under {100 * _COARSE_VARIATION:g} %"
        )
    return said
