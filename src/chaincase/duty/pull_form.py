"""The file form `chaincase/pull-1`: a conveyor as an engineer describes it, and the path of runs that follows."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Final, Literal, Self

from pydantic import Discriminator, Field, StrictStr, Tag, model_validator

from chaincase.duty import amounts, carrying, checking, friction
from chaincase.duty.beam import Beam, Bending, Section, bending
from chaincase.duty.form import (
    Efficiency,
    Factor,
    ForceN,
    Friction,
    LengthMm,
    MassPerLength,
    Power,
    Speed,
    Stress,
    bounded,
    count,
    number,
    positive,
)
from chaincase.duty.friction import Coefficient
from chaincase.duty.pull import Run, Straight, Turn
from chaincase.forms import Part, Word, refuse, told

SCHEMA: Final = "chaincase/pull-1"
_MOST_RUNS = 200

Conveyor = Literal[
    "apron", "slat", "pan", "roller", "sliding", "drag", "scraper", "en masse", "bucket elevator", "other"
]
DRAGGED: Final = frozenset({"drag", "scraper", "en masse"})
"""Conveyors that push their material through a trough."""


class Rolling(Part):
    """Rollers on a track; `friction.rolling` says what each value is."""

    journal_diameter: LengthMm
    roller_diameter: LengthMm
    bearing_friction: Annotated[float | None, number("bearing friction", 0.0, 5.0)] = None
    track: Literal["smooth", "rough"] = "smooth"

    @model_validator(mode="after")
    def _roller_is_larger(self) -> Self:
        if self.roller_diameter <= self.journal_diameter:
            raise refuse("the roller is not larger than what it turns on", "give the tread diameter of the roller")
        return self

    def coefficient(self) -> Coefficient:
        """Give the coefficient that follows."""
        guess = friction.FIRST_GUESS if self.bearing_friction is None else self.bearing_friction
        return friction.rolling(self.journal_diameter, self.roller_diameter, guess, self.track)


def _sort(value: Any) -> str:
    return "a name" if isinstance(value, str) else "a part" if isinstance(value, dict | Part) else "a number"


def _pair(name: str) -> str:
    friction.on_track(name)
    return name


def _bulk(name: str) -> str:
    friction.in_trough(checking.text("bulk", name))
    return name


TrackFriction = Annotated[
    Annotated[Friction, Tag("a number")]
    | Annotated[StrictStr, told(_pair), Tag("a name")]
    | Annotated[Rolling, Tag("a part")],
    Discriminator(_sort),
]
"""A coefficient, a pair of `friction.TRACK`, or rollers on a track."""


class Material(Part):
    """What lies on a loaded meter: a mass per length, a flow, unit loads at a spacing, or filled buckets."""

    per_length: MassPerLength | None = None
    flow: Annotated[float | None, told(amounts.flow_kg_per_s)] = None
    unit_mass: Annotated[float | None, told(amounts.mass_kg)] = None
    spacing: LengthMm | None = None
    bucket_volume: Annotated[float | None, told(amounts.volume_l)] = None
    buckets_per_m: Annotated[float | None, number("buckets per meter", 0.0, 1000.0)] = None
    density: Annotated[float | None, told(amounts.density_kg_per_m3)] = None
    fill: Annotated[float, number("fill", 0.0, 1.5)] = 1.0
    name: Word = ""

    @model_validator(mode="after")
    def _said_once(self) -> Self:
        units, buckets = self._all(self.unit_mass, self.spacing), self._all(*self._bucket())
        ways = [self.per_length is not None, self.flow is not None, units, buckets]
        if sum(ways) != 1:
            right = "give one of: per_length; flow; unit_mass and spacing; bucket_volume, buckets_per_m and density"
            raise refuse("the mass of material is " + ("given twice" if any(ways) else "not given"), right)
        return self

    @staticmethod
    def _all(*values: float | None) -> bool:
        return all(value is not None for value in values)

    def _bucket(self) -> tuple[float | None, float | None, float | None]:
        return self.bucket_volume, self.buckets_per_m, self.density

    def mass(self, speed: float) -> tuple[float, str]:
        """Give the mass per length [kg/m] at a speed [m/s], and the arithmetic."""
        if self.per_length is not None:
            return self.per_length, f"material as given: {self.per_length:.4g} kg/m"
        if self.flow is not None:
            kg = carrying.material_mass(self.flow, speed)
            return kg, f"material: Q/v = {self.flow:.4g} kg/s / {speed:.4g} m/s = {kg:.4g} kg/m"
        if self.unit_mass is not None and self.spacing is not None:
            kg = self.unit_mass / self.spacing * 1000.0
            return kg, f"material: {self.unit_mass:.4g} kg every {self.spacing / 1000.0:.4g} m = {kg:.4g} kg/m"
        volume, buckets, density = (value or 0.0 for value in self._bucket())
        kg = carrying.bucket_mass(volume, buckets, density, self.fill)
        return kg, f"material: {volume:g} l x {buckets:g}/m x {density:g} kg/m3 x fill {self.fill:g} = {kg:.4g} kg/m"


class Skirt(Part):
    """Drag of material on side walls: by the skirtboard formula (`cs`) or the trough formula (`wall_factor`)."""

    height: LengthMm
    cs: Annotated[float | None, number("cs", 0.0, 10.0)] = None
    edge_seal: bool = True
    wall_factor: Annotated[float | None, number("wall factor", 0.1, 1000.0)] = None

    @model_validator(mode="after")
    def _one_formula(self) -> Self:
        if self.cs is not None and self.wall_factor is not None:
            raise refuse("both cs and wall_factor are given", "give the factor of one formula")
        return self

    def drag(self, bulk: str | None) -> float:
        """Give the drag per length [N/m]; the wall factor may come from the bulk material."""
        if self.cs is not None:
            return carrying.skirt_drag(self.height, self.cs, self.edge_seal)
        factor = self.wall_factor or (friction.in_trough(bulk).wall_factor if bulk else 0.0)
        return carrying.wall_drag(self.height, factor)


class Boot(Part):
    """Buckets digging at the foot of an elevator."""

    wheel: LengthMm
    digging: (
        Annotated[float, number("digging factor", 0.0, 10.0)]
        | Literal["continuous", "centrifugal fine", "centrifugal coarse"]
    ) = "continuous"


class RunForm(Part):
    """One run: straight (`length`) or a turn (`wrap`, `loss`)."""

    name: Word = ""
    length: LengthMm | None = None
    angle: Annotated[float | None, bounded(amounts.angle_deg, "angle", -90.0, 90.0)] = None
    rise: LengthMm | None = None
    fall: LengthMm | None = None
    loaded: bool = False
    accumulating: bool = False
    friction: TrackFriction | None = None
    material_friction: Friction | None = None
    holding_friction: Friction | None = None
    skirt: Skirt | None = None
    wrap: Annotated[float | None, bounded(amounts.angle_deg, "wrap", 0.0, 720.0)] = None
    loss: Annotated[float | None, number("loss", 0.0, 5.0)] = None
    boot: Boot | None = None
    extra: ForceN = 0.0

    @model_validator(mode="after")
    def _straight_or_turn(self) -> Self:
        turn = self.wrap is not None or self.loss is not None
        if turn == (self.length is not None):
            what = "the run is straight and a turn at once" if turn else "the run has no length and no wrap"
            raise refuse(what, "give a length for a straight run, or a wrap (or loss) for a turn")
        if turn and isinstance(self.friction, str | Rolling):
            raise refuse("friction of a turn is not a number", "give the coefficient of the bend")
        self._slope_said_once()
        return self

    def _slope_said_once(self) -> None:
        ways = [value for value in (self.angle, self.rise, self.fall) if value is not None]
        if len(ways) > 1 or (ways and self.length is None):
            raise refuse("the slope does not fit the run", "give one of angle, rise and fall, of a straight run")
        if self.length is not None and max(self.rise or 0.0, self.fall or 0.0) > self.length:
            raise refuse("the rise or fall is more than the length", "give the length along the chain")

    @property
    def degrees(self) -> float:
        """Angle above the level in the sense of travel [degrees]."""
        if self.angle is not None or self.length is None:
            return self.angle or 0.0
        return math.degrees(math.asin(((self.rise or 0.0) - (self.fall or 0.0)) / self.length))


@dataclass(frozen=True, slots=True)
class Hanging:
    """A strand that hangs free between two points of one height: tension at its ends [N], its sizes [mm]."""

    tension: float
    span: float
    sag: float
    length: float


class Slack(Part):
    """Chain that hangs free behind the head sprocket: by span and sag, by length and sag, or by span and tension."""

    span: LengthMm | None = None
    sag: LengthMm | None = None
    length: LengthMm | None = None
    tension: Annotated[float | None, positive(amounts.force_n, "tension")] = None

    @model_validator(mode="after")
    def _two_of_them(self) -> Self:
        given = {name for name in ("span", "sag", "length", "tension") if getattr(self, name) is not None}
        if given not in ({"span", "sag"}, {"length", "sag"}, {"span", "tension"}):
            raise refuse("the hanging chain is not described", "give span and sag, length and sag, or span and tension")
        return self

    def hanging(self, mass: float) -> Hanging:
        """Give how a chain of a mass per length [kg/m] hangs.

        From its length the true catenary, else the parabola; `carrying` says how they are worked out.

        Raises
        ------
        BadInput
            If it cannot hang so.
        """
        if self.length is not None:
            sag = self.sag or 0.0
            c, span = carrying.catenary(self.length, sag)
            return Hanging(mass * carrying.GRAVITY * (c + sag) / 1000.0, span, sag, self.length)
        span = self.span or 0.0
        sag = carrying.hanging_sag(mass, span, self.tension) if self.tension else self.sag or 0.0
        return Hanging(carrying.hanging_tension(mass, span, sag), span, sag, carrying.hanging_length(span, sag))


class Wheel(Part):
    """The head sprocket."""

    pitch: LengthMm
    teeth: Annotated[int, count("teeth", 5, 1000)]


class Chain(Part):
    """The chain that runs, or the candidate: a designation of the tables, or its figures."""

    designation: Word | None = None
    tensile: Annotated[float | None, positive(amounts.force_n, "tensile strength")] = None
    working_load: Annotated[float | None, positive(amounts.force_n, "working load")] = None
    pin_diameter: LengthMm | None = None
    bush_length: LengthMm | None = None
    allowed_pressure: Stress | None = None


class Attachment(Part):
    """An attachment as a beam: `beam.bending` says what each value is; the load is that of one attachment."""

    load: ForceN
    length: LengthMm
    width: LengthMm
    thickness: LengthMm
    beam: Beam = "cantilever, end"
    allowed_stress: Stress | None = None

    def bending(self) -> Bending:
        """Give moment, stress and deflection."""
        return bending(self.load, self.length, Section.flat(self.width, self.thickness), self.beam)


class PullForm(Part):
    """A conveyor; the runs stand in travel order from the slack side of the head sprocket."""

    schema_: Literal["chaincase/pull-1"] = Field(default=SCHEMA, alias="schema")
    name: Word = ""
    conveyor: Conveyor = "other"
    speed: Speed
    strands: Annotated[int, count("strands", 1, 20)] = 1
    chain_mass: MassPerLength
    material: Material | None = None
    bulk: Annotated[StrictStr | None, told(_bulk)] = None
    friction: TrackFriction | None = None
    material_friction: Friction | None = None
    runs: Annotated[tuple[RunForm, ...], Field(min_length=1, max_length=_MOST_RUNS)]
    takeup_force: ForceN = 0.0
    slack: Slack | None = None
    start_factor: Annotated[float | None, number("start factor", 1.0, 10.0)] = None
    service_factor: Factor | None = None
    speed_factor: Factor | None = None
    safety_factor: Annotated[float | None, number("safety factor", 1.0, 100.0)] = None
    efficiency: Efficiency | None = None
    motor: Power | None = None
    sprocket: Wheel | None = None
    chain: Chain = Chain()
    attachment: Attachment | None = None
    people_near: bool | None = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if any(run.loaded for run in self.runs) and self.material is None:
            raise refuse("a run is loaded but there is no material", "give material, or load no run")
        for at, run in enumerate(self.runs):
            missing = self._missing(run)
            if missing:
                raise refuse(f"runs[{at}] has no {missing[0]}", missing[1])
        return self

    def _missing(self, run: RunForm) -> tuple[str, str] | None:
        if run.length is not None and run.friction is None and self.friction is None:
            return "friction", "give it with the run or for the whole conveyor"
        dragged = run.loaded and run.length is not None and self.conveyor in DRAGGED
        if dragged and run.material_friction is None and self.material_friction is None and self.bulk is None:
            return "material friction", "give material_friction, or bulk for a material of the table"
        if run.skirt and run.skirt.cs is None and run.skirt.wall_factor is None and self.bulk is None:
            return "skirt factor", "give cs or wall_factor, or bulk for a material of the table"
        if run.accumulating and run.holding_friction is None:
            return "holding friction", "give the friction of the held loads on the running chain"
        return None

    def coefficient(self, run: RunForm) -> Coefficient:
        """Give the friction of the chain on the track of a run."""
        given = run.friction if run.friction is not None else self.friction
        if isinstance(given, Rolling):
            return given.coefficient()
        if isinstance(given, str):
            return friction.on_track(given)
        return Coefficient(given or 0.0, "as given", "given with the conveyor")

    def dragging(self, run: RunForm) -> float:
        """Give the friction of material on its trough."""
        for given in (run.material_friction, self.material_friction):
            if given is not None:
                return given
        return friction.in_trough(self.bulk).friction if self.bulk else 0.0

    def material_mass(self) -> float:
        """Give the material on a loaded meter [kg/m]; 0 without material."""
        return self.material.mass(self.speed)[0] if self.material else 0.0

    def path(self) -> tuple[Run, ...]:
        """Give the path that `pull.tensions` works on."""
        return tuple(self._runs())

    def _runs(self) -> Iterator[Run]:
        for at, run in enumerate(self.runs):
            name = run.name or f"run {at + 1}"
            yield self._turn(run, name) if run.length is None else self._straight(run, run.length, name)

    def _turn(self, run: RunForm, name: str) -> Turn:
        coefficient = run.friction if isinstance(run.friction, float) else 0.0
        return Turn(run.wrap or 0.0, coefficient, run.loss or 0.0, run.extra + self._digging(run), name)

    def _digging(self, run: RunForm) -> float:
        return carrying.boot_pull(self.material_mass(), run.boot.wheel, run.boot.digging) if run.boot else 0.0

    def _straight(self, run: RunForm, length: float, name: str) -> Straight:
        load = self.material_mass() if run.loaded else 0.0
        held = load if run.accumulating else 0.0
        dragged = load - held if self.conveyor in DRAGGED else 0.0
        return Straight(
            length=length,
            angle=run.degrees,
            chain=self.chain_mass,
            carried=load - held - dragged,
            dragged=dragged,
            held=held,
            friction=self.coefficient(run).value,
            material_friction=self.dragging(run),
            holding_friction=run.holding_friction or 0.0,
            wall=run.skirt.drag(self.bulk) if run.skirt else 0.0,
            extra=run.extra + self._digging(run),
            name=name,
        )
