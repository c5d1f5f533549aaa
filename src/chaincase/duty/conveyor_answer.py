"""The answer about a conveyor: pull, power, contributions, and how a chain stands against it."""

from collections.abc import Iterator
from typing import Final

from chaincase.duty import carrying, conveyor_limits, pressure
from chaincase.duty.candidate import Candidate, candidate
from chaincase.duty.conveyor import Demand, HeadSprocket, demand, head_sprocket, rise, shaft_load
from chaincase.duty.pull import PARTS, Straight, contributions
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result, Table, Value

SCHEMA: Final = "chaincase/duty-pull-answer-1"


def pull(form: PullForm) -> Result:
    """Work out the pull of a conveyor.

    Parameters
    ----------
    form : PullForm
        The conveyor.

    Returns
    -------
    Result
        Pull, power, factors, and the tables `contributions` (every force of every run, for a chart) and `tensions`.

    Raises
    ------
    BadInput
        If the path cannot be worked out or the chain is in no table.

    >>> answer = pull(PullForm.of({"speed": "0.25 m/s", "chain_mass": "20 kg/m", "friction": 0.2,
    ...     "runs": [{"length": "10 m"}, {"loss": 0.1}, {"length": "10 m"}]}))
    >>> round(answer.number("pull_n"), 1)
    824.0
    """
    worked = demand(form)
    chain = candidate(form.chain)
    head = head_sprocket(form, worked)
    return Result(
        schema=SCHEMA,
        title=f"chain pull of {form.name}" if form.name else "chain pull of a conveyor",
        values=(
            *_pulls(form, worked),
            *_power(form, worked),
            *_flow(form, worked),
            *_hanging(form),
            *_head(head),
            *_needed(worked),
            *_chain(worked, chain),
            *_attachment(form),
        ),
        steps=tuple(_steps(form, worked)),
        assumptions=tuple(conveyor_limits.assumptions(form)),
        warnings=tuple(dict.fromkeys(_warnings(form, worked, head, chain))),
        sources=tuple(dict.fromkeys(conveyor_limits.sources(form, chain))),
        tables=(_contributions(worked, form.strands), _tensions(worked)),
    )


def _warnings(form: PullForm, worked: Demand, head: HeadSprocket | None, chain: Candidate) -> Iterator[str]:
    yield from conveyor_limits.limits(form, worked, head)
    yield from conveyor_limits.chain_limits(worked, chain)
    yield from conveyor_limits.attachment_limits(form)
    yield from conveyor_limits.dangers(form, worked)


def _pulls(form: PullForm, worked: Demand) -> Iterator[Value]:
    loop, strands = worked.running, form.strands
    brakes = "it brakes" if float(loop.effective) < 0.0 else ""
    share = f"{worked.share:g} of it: strands never share evenly" if strands > 1 else ""
    yield Value("pull_n", "largest pull, all strands", worked.pull, "N")
    yield Value("strand_pull_n", "pull that one strand is designed for", worked.strand_pull, "N", share)
    yield Value("head_pull_n", "pull on the tight side of the head", float(loop.head), "N")
    yield Value("slack_side_n", "pull on the slack side of the head", float(loop.slack), "N")
    yield Value("effective_pull_n", "what the head drives with", float(loop.effective), "N", brakes)
    yield Value("held_back_n", "chain that runs down by itself, held by the head", float(loop.held_back), "N")
    starting = float(worked.starting.largest)
    yield Value("starting_pull_n", "largest pull at the start, all strands", starting, "N")
    yield Value("starting_strand_pull_n", "pull of one strand at the start", starting * worked.share, "N")
    load = shaft_load(float(loop.head), float(loop.slack))
    yield Value("shaft_load_n", "pull on the head shaft, at most", load, "N", "both sides pulling one way")


def _power(form: PullForm, worked: Demand) -> Iterator[Value]:
    effective = float(worked.running.effective)
    power = effective * form.speed / 1000.0
    yield Value("head_power_kw", "power at the head shaft", max(power, 0.0), "kW")
    if form.efficiency is not None:
        yield Value("motor_power_kw", "power of the motor", max(power, 0.0) / form.efficiency, "kW", "running, steady")
    yield Value("braking_power_kw", "power to brake", max(-power, 0.0), "kW")
    if form.motor is not None:
        most = form.motor * (form.efficiency or 1.0) / form.speed
        yield Value("motor_pull_n", "what the motor pulls at its rated power", most, "N", "a jam brings that and more")


def _flow(form: PullForm, worked: Demand) -> Iterator[Value]:
    """Give what the conveyor moves and what lifting that alone takes; nothing without a run that is loaded."""
    loaded = [run for run in form.runs if run.loaded and run.length is not None]
    mass = form.material_mass()
    if not loaded or mass <= 0.0:
        return
    flow = carrying.material_flow(mass, 1000.0, form.speed)
    yield Value("flow_t_per_h", "what it moves", 3.6 * flow, "t/h")
    runs = (run for run in worked.path if isinstance(run, Straight) and float(run.carried + run.dragged) > 0.0)
    up = rise(tuple(runs))[0]
    if up > 1.0:
        power = carrying.lifting_power(flow, up) / 1000.0
        yield Value("lifting_power_kw", "power that lifting the material alone takes", power, "kW", "Q g H")


def _hanging(form: PullForm) -> Iterator[Value]:
    if form.slack is None:
        return
    found = form.slack.hanging(form.chain_mass)
    yield Value("hanging_n", "tension of the chain that hangs behind the head", found.tension, "N")
    yield Value("hanging_sag_mm", "its sag", found.sag, "mm")
    yield Value("hanging_length_mm", "its length", found.length, "mm")


def _head(head: HeadSprocket | None) -> Iterator[Value]:
    if head is None:
        return
    yield Value("head_rpm", "speed of the head sprocket", head.rpm, "rev/min")
    yield Value("torque_nm", "torque of the head shaft", head.torque, "N m")
    yield Value("speed_variation", "swing of the chain's speed over a tooth, of the mean", head.variation)
    yield Value(
        "polygon_acceleration_m_per_s2", "largest acceleration by the polygon effect", head.acceleration, "m/s2"
    )
    yield Value("polygon_force_n", "force for it, at most", head.jerk_force, "N", "chain and load as one rigid body")
    if head.fastest is not None:
        yield Value("polygon_speed_m_per_s", "speed at which that reaches the pull", head.fastest, "m/s")


def _needed(worked: Demand) -> Iterator[Value]:
    yield Value("strand_factor", "share of one strand", worked.share)
    yield Value("speed_factor", "speed factor", worked.speed_factor)
    yield Value("service_factor", "service factor", worked.service_factor)
    yield Value("design_pull_n", "design pull of one strand", worked.design_pull, "N", "for the maker's working load")
    yield Value("safety_factor", "tensile strength over pull wanted", worked.safety)
    yield Value("tensile_needed_n", "tensile strength needed of one strand", worked.tensile_needed, "N")


def _chain(worked: Demand, chain: Candidate) -> Iterator[Value]:
    if chain.designation:
        yield Value("chain", "chain", chain.designation)
    if chain.tensile:
        yield Value("tensile_n", "its minimum tensile strength", chain.tensile, "N")
        yield from _margin("tensile_margin", "strength over what is needed", chain.tensile, worked.tensile_needed)
    if chain.working_load:
        yield Value("working_load_n", "its maker's working load", chain.working_load, "N")
        yield from _margin("working_margin", "working load over design pull", chain.working_load, worked.design_pull)
    if chain.pin and chain.bush:
        found = pressure.bearing_pressure(worked.strand_pull, chain.pin, chain.bush)
        yield Value("bearing_pressure_n_per_mm2", "pressure in the joint", found, "N/mm2", "not judged without a limit")
        if chain.allowed_pressure:
            yield from _margin("pressure_margin", "allowed pressure over it", chain.allowed_pressure, found)


def _attachment(form: PullForm) -> Iterator[Value]:
    if form.attachment is None:
        return
    found = form.attachment.bending()
    yield Value("attachment_stress_n_per_mm2", "bending stress of the attachment", found.stress, "N/mm2", "plain beam")
    yield Value("attachment_deflection_mm", "its deflection", found.deflection, "mm")
    if form.attachment.allowed_stress:
        yield from _margin("attachment_margin", "allowed stress over it", form.attachment.allowed_stress, found.stress)


def _margin(name: str, label: str, has: float, needs: float) -> Iterator[Value]:
    if needs > 0.0:
        yield Value(name, label, has / needs)


def _steps(form: PullForm, worked: Demand) -> Iterator[str]:
    if form.material:
        yield form.material.mass(form.speed)[1]
    yield from dict.fromkeys(_friction_words(form))
    loop = worked.running
    yield f"slack side of the head: {_slack_words(form, worked)}"
    for run, part, before, after in zip(
        worked.path, contributions(worked.path, loop), loop.points, loop.points[1:], strict=False
    ):
        forces = [f"{name} {float(part[name]):+.1f}" for name in PARTS if name in part and float(part[name])]
        yield f"{run.name}: {float(before):.1f} {' '.join(forces)} = {float(after):.1f} N".replace("  ", " ")
    yield f"largest pull {worked.pull:.1f} N; one strand {worked.share:g} of it, {worked.strand_pull:.1f} N"
    yield (
        f"design pull of a strand: {worked.strand_pull:.1f} x speed {worked.speed_factor:g} x service"
        f" {worked.service_factor:g} = {worked.design_pull:.1f} N"
    )
    yield (
        f"tensile strength of a strand: {worked.strand_pull:.1f} x service {worked.service_factor:g} x safety"
        f" {worked.safety:g} = {worked.tensile_needed:.1f} N"
    )
    effective = float(loop.effective)
    difference = f"({float(loop.head):.1f} - {float(loop.slack):.1f}) N"
    yield f"power at the head: {difference} x {form.speed:.4g} m/s = {effective * form.speed / 1000:.3f} kW"


def _friction_words(form: PullForm) -> Iterator[str]:
    for run in form.runs:
        if run.length is not None:
            found = form.coefficient(run)
            yield f"friction on the track: {found.value:.4g} ({found.words})"


def _slack_words(form: PullForm, worked: Demand) -> str:
    parts = [
        f"half the take-up {form.takeup_force / 2.0:.1f}" if form.takeup_force else "",
        f"hanging chain {worked.hanging:.1f}" if worked.hanging else "",
        f"held back {float(worked.running.held_back):.1f}" if float(worked.running.held_back) else "",
    ]
    said = " + ".join(part for part in parts if part)
    return f"{said} = {float(worked.running.slack):.1f} N" if said else f"{float(worked.running.slack):.1f} N"


def _contributions(worked: Demand, strands: int) -> Table:
    rows = [
        (at + 1, run.name, part, float(parts[part]), float(parts[part]) * worked.share)
        for at, (run, parts) in enumerate(zip(worked.path, contributions(worked.path, worked.running), strict=True))
        for part in PARTS
        if part in parts and float(parts[part])
    ]
    columns = ("run", "name", "part", "force_n", "strand_force_n")
    label = "what the pull is made of" + (f", and its share of one of {strands} strands" if strands > 1 else "")
    return Table("contributions", label, columns, tuple(rows))


def _tensions(worked: Demand) -> Table:
    names = ["slack side of the head", *(f"behind {run.name}" for run in worked.path)]
    rows = [
        (name, float(point), float(point) * worked.share)
        for name, point in zip(names, worked.running.points, strict=True)
    ]
    return Table("tensions", "tension round the loop", ("at", "tension_n", "strand_tension_n"), tuple(rows))
