"""What a conveyor asks of its chain: pull, power, and the strength and working load that follow."""

import math
from dataclasses import dataclass

from chaincase.duty import chordal, factors, sprocket
from chaincase.duty.pull import Loop, Run, Straight, scaled, tensions
from chaincase.duty.pull_form import PullForm

START: float = 1.5
"""Friction when starting over friction when running: public engineering table A says 1.5 to 3."""


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """Forces of a conveyor, all strands together unless it says otherwise.

    Attributes
    ----------
    path : tuple of runs
        What was worked on.
    running, starting : Loop
        Tensions when running, and with the friction of a start.
    share : float
        Share of the pull that one strand is designed for [-].
    speed_factor, service_factor, start_factor, safety : float
        Factors used [-].
    hanging : float
        Tension of the chain that hangs behind the head [N].
    """

    path: tuple[Run, ...]
    running: Loop
    starting: Loop
    share: float
    speed_factor: float
    service_factor: float
    start_factor: float
    safety: float
    hanging: float

    @property
    def pull(self) -> float:
        """Largest tension when running [N]."""
        return float(self.running.largest)

    @property
    def strand_pull(self) -> float:
        """Largest tension that one strand is designed for [N]."""
        return self.pull * self.share

    @property
    def design_pull(self) -> float:
        """Pull of one strand with speed and service factor [N]: what its maker's working load must cover."""
        return self.strand_pull * self.speed_factor * self.service_factor

    @property
    def tensile_needed(self) -> float:
        """Tensile strength that one strand needs [N]."""
        return factors.required_strength(self.strand_pull, self.service_factor, self.safety)


def demand(form: PullForm) -> Demand:
    """Work out the forces of a conveyor.

    Raises
    ------
    BadInput
        If the path cannot be worked out.
    """
    path = form.path()
    least = form.takeup_force / 2.0
    hanging = _hanging(form)
    start = form.start_factor or START
    return Demand(
        path=path,
        running=tensions(path, least, least + hanging),
        starting=tensions(scaled(path, friction=start), least, least + hanging),
        share=factors.strand_share(form.strands),
        speed_factor=form.speed_factor or factors.speed_factor(form.speed)[0],
        service_factor=form.service_factor or factors.SERVICE.get(form.conveyor, (1.0, 1.0))[1],
        start_factor=start,
        safety=form.safety_factor or factors.safety_factor(form.speed)[0],
        hanging=hanging,
    )


def _hanging(form: PullForm) -> float:
    return form.slack.hanging(form.chain_mass).tension if form.slack else 0.0


def shaft_load(tight_n: float, slack_n: float, shaft_n: float = 0.0) -> float:
    """Give the load of the head shaft [N] where both sides of the chain and the shaft's own weight pull one way.

    It is the most that they can make together. Source: statics; a public worked example adds them alike.

    >>> shaft_load(2000.0, 300.0, 50.0)
    2350.0
    """
    return tight_n + slack_n + shaft_n


def moving_mass(path: tuple[Run, ...]) -> float:
    """Give the mass of chain and material on all straight runs [kg]."""
    runs = (run for run in path if isinstance(run, Straight))
    return float(sum(run.length / 1000.0 * (run.chain + run.carried + run.dragged) for run in runs))


def rise(path: tuple[Run, ...]) -> tuple[float, float]:
    """Give by how much the runs rise in all, and how long they are [mm]; a closed loop rises by nothing."""
    runs = [run for run in path if isinstance(run, Straight)]
    up = sum(float(run.length) * math.sin(math.radians(float(run.angle))) for run in runs)
    return up, sum(float(run.length) for run in runs)


@dataclass(frozen=True, slots=True)
class HeadSprocket:
    """What happens at the head sprocket.

    Attributes
    ----------
    rpm : float
        Speed [rev/min].
    torque : float
        Of all strands together, mean over a tooth [N m]; negative when braking.
    variation : float
        Swing of the chain's speed by the polygon effect, as a share of the mean [-].
    acceleration : float
        Largest acceleration of the chain by it [m/s2].
    jerk_force : float
        What that takes if chain and load moved as one rigid body [N]: an upper bound.
    fastest : float or None
        Speed at which that force reaches the effective pull, so that the chain may go slack with every tooth [m/s];
        None where nothing is pulled.
    """

    rpm: float
    torque: float
    variation: float
    acceleration: float
    jerk_force: float
    fastest: float | None


def head_sprocket(form: PullForm, worked: Demand) -> HeadSprocket | None:
    """Give what happens at the head sprocket; None where none is given.

    Sources: `chordal` for the polygon effect; rigid body bound and speed limit derived here.
    """
    if form.sprocket is None:
        return None
    pitch, teeth = form.sprocket.pitch, form.sprocket.teeth
    rpm = form.speed * 60_000.0 / (pitch * teeth)
    effective = float(worked.running.effective)
    mass = moving_mass(worked.path)
    acceleration = chordal.peak_acceleration(pitch, teeth, rpm)
    return HeadSprocket(
        rpm=rpm,
        torque=effective * sprocket.pitch_diameter(pitch, teeth) / 2000.0,
        variation=chordal.speed_variation(teeth),
        acceleration=acceleration,
        jerk_force=mass * acceleration,
        fastest=_fastest(pitch, teeth, effective, mass),
    )


def _fastest(pitch: float, teeth: int, effective: float, mass: float) -> float | None:
    if effective <= 0.0 or mass <= 0.0:
        return None
    return chordal.chain_speed(pitch, teeth, chordal.rpm_for_acceleration(pitch, effective / mass))
