"""What must be said beside the pull of a conveyor: assumptions, limits that it passes, dangers, sources."""

import math
from collections.abc import Iterator
from typing import Final

from chaincase.duty import carrying, cautions, factors, friction, pressure
from chaincase.duty.candidate import Candidate
from chaincase.duty.conveyor import START, Demand, HeadSprocket, rise
from chaincase.duty.pull import Straight, Turn, runback, scaled, tensions
from chaincase.duty.pull_form import DRAGGED, PullForm, Rolling

_COARSE_VARIATION: Final = 0.04
"""Speed variation that is felt on most machines (common practice, no source)."""
_SMALLEST_SAG: Final = 0.03
"""Of the span, for chain that hangs behind the head: public engineering table A."""
_DEEP_SAG: Final = 0.1
"""Of the span; deeper, the parabola is no longer the catenary within 2 %."""


def assumptions(form: PullForm) -> Iterator[str]:
    """Tell what was taken for granted because the form does not say it."""
    yield f"g = {carrying.GRAVITY} m/s2, steady speed; chain_mass counts all strands with slats and attachments"
    if form.start_factor is None:
        yield f"friction at the start is {START:g} times that of running (public table: 1.5 to 3)"
    if form.service_factor is None and form.conveyor in factors.SERVICE:
        low, high = factors.SERVICE[form.conveyor]
        yield f"service factor {high:g}, the upper end of {low:g} to {high:g} for such conveyors"
    if form.strands > 1:
        yield f"one strand carries 1.2/{form.strands} of the pull"
    if form.efficiency is None:
        yield "no efficiency of the drive given: the power is that at the head shaft"
    if form.people_near is None:
        yield "not said whether people come near or pass below: taken that they do"
    if any(_guessed(given) for given in (form.friction, *(run.friction for run in form.runs))):
        yield f"friction between roller and bush {friction.FIRST_GUESS:g}, a first guess of public tables"


def _guessed(given: object) -> bool:
    return isinstance(given, Rolling) and given.bearing_friction is None


def limits(form: PullForm, worked: Demand, head: HeadSprocket | None) -> Iterator[str]:
    """Tell which limits of validity the conveyor passes."""
    yield from _factor_limits(form)
    up, length = rise(worked.path)
    if abs(up) > 0.01 * length:
        yield f"the runs rise by {up:.0f} mm in all, but a closed loop comes back to where it began: check the slopes"
    if not any(isinstance(run, Turn) for run in worked.path):
        yield "the path has no turn: a tail wheel adds about a tenth of the pull before it (1.1 in public tables)"
    yield from (f"{run.name}: held loads slide back, they are too slippery for the slope" for run in _sliding(worked))
    for given in (form.friction, *(run.friction for run in form.runs)):
        if isinstance(given, Rolling) and given.roller_diameter < 2.5 * given.journal_diameter:
            yield "the roller is less than 2.5 times what it turns on and may slide (public tables A and C)"
    if form.slack is not None:
        hanging = form.slack.hanging(form.chain_mass)
        yield from _sag_limits(hanging.sag / hanging.span, exact=form.slack.length is not None)
    if head is not None:
        yield from _head_limits(head, float(worked.running.effective))


def _sliding(worked: Demand) -> Iterator[Straight]:
    runs = (run for run in worked.path if isinstance(run, Straight))
    for run in runs:
        if float(run.held) > 0.0 and math.tan(math.radians(float(run.angle))) > float(run.holding_friction):
            yield run


def _sag_limits(sag: float, *, exact: bool) -> Iterator[str]:
    if sag < _SMALLEST_SAG:
        yield "chain behind the head sags by less than 3 % of its span: it is pulled tight for nothing (public table A)"
    if sag > _DEEP_SAG and not exact:
        yield "the sag is more than a tenth of the span: the parabola no longer describes hanging chain within 2 %"


def _factor_limits(form: PullForm) -> Iterator[str]:
    if form.speed > factors.FASTEST * (1.0 + 1e-9):
        yield "faster than the 60 m/min that public tables recommend for conveyor chain at most"
    for given, (_, words) in (
        (form.speed_factor, factors.speed_factor(form.speed)),
        (form.safety_factor, factors.safety_factor(form.speed)),
    ):
        if given is None and words:
            yield words
    if form.service_factor is None and form.conveyor not in factors.SERVICE:
        yield "no service factor given and none published for such a conveyor: 1 was taken"


def _head_limits(head: HeadSprocket, effective: float) -> Iterator[str]:
    if head.variation > _COARSE_VARIATION:
        yield f"the chain's speed swings by {100 * head.variation:.1f} % with every tooth: more teeth run smoother"
    if head.jerk_force > effective > 0.0:
        yield "the polygon effect may jerk the chain harder than it is pulled: it can go slack with every tooth"


def chain_limits(worked: Demand, chain: Candidate) -> Iterator[str]:
    """Tell where the candidate falls short."""
    if chain.working_load and worked.design_pull > chain.working_load:
        yield "the design pull is above the maker's working load: this chain does not carry the duty"
    if chain.tensile:
        if worked.tensile_needed > chain.tensile:
            yield "the tensile strength is below what service and safety factor ask for"
        yield from pressure.judged(worked.strand_pull / chain.tensile)
        starting = float(worked.starting.largest) * worked.share
        if starting > factors.PERMANENT * chain.tensile:
            yield "the start pulls a strand beyond half its tensile strength: permanent damage"
        yield from pressure.FATIGUE
    if chain.allowed_pressure and chain.pin and chain.bush:
        found = pressure.bearing_pressure(worked.strand_pull, chain.pin, chain.bush)
        if found > chain.allowed_pressure:
            yield f"the pressure in the joint, {found:.1f} N/mm2, is above the {chain.allowed_pressure:g} allowed"


def attachment_limits(form: PullForm) -> Iterator[str]:
    """Tell what the beam of an attachment leaves out, and where it is overloaded."""
    if form.attachment is None:
        return
    yield "the attachment is taken as a plain beam: bends, holes, welds, twist and shock all raise the stress"
    allowed = form.attachment.allowed_stress
    if allowed and form.attachment.bending().stress > allowed:
        yield f"the bending stress of the attachment is above the {allowed:g} N/mm2 allowed"


def dangers(form: PullForm, worked: Demand) -> Iterator[str]:
    """Tell what hurts people when it fails, and that this is no rating."""
    lift, net = runback(worked.path)
    if float(worked.running.held_back) > 0.0:
        yield (
            f"chain runs down by itself on a falling run: the segment method counts 0 there, in truth the head sprocket"
            f" holds back {float(worked.running.held_back):.0f} N on its slack side"
        )
    if float(worked.running.effective) < 0.0:
        slippery = tensions(scaled(worked.path, friction=0.0), worked.running.least, worked.running.start)
        pulls = -float(worked.running.effective), -float(slippery.effective)
        yield f"{cautions.BRAKING} (braking pull {pulls[0]:.0f} N, without any friction {pulls[1]:.0f} N)"
    if float(lift) > 1.0:
        falls = "it runs back when the drive lets go" if float(net) > 0.0 else "friction alone may hold it, or not"
        yield f"{cautions.RUNBACK} (load alone {float(lift):.0f} N, less friction {float(net):.0f} N: {falls})"
        yield cautions.HOISTING
    if form.people_near is not False:
        yield cautions.GUARDS
    yield cautions.LOCKOUT
    yield cautions.ENQUIRY


def sources(form: PullForm, chain: Candidate) -> Iterator[str]:
    """Name what was used."""
    yield "tensions run by run: statics, as the segment method of public engineering tables"
    for run in form.runs:
        if run.length is not None:
            yield f"friction on the track: {form.coefficient(run).source}"
        if run.skirt:
            cema = run.skirt.cs is not None
            yield "skirt drag: CEMA skirtboard formula" if cema else f"side walls: {friction.BULK_SOURCE}"
        if run.boot:
            yield "boot pull: public engineering table D (one source)"
    if form.bulk and form.conveyor in DRAGGED:
        yield friction.BULK_SOURCE
    if form.attachment:
        yield "attachment: beam of statics, modulus of elasticity 206 000 N/mm2 (common practice, no source)"
    if form.slack:
        shape = "catenary" if form.slack.length is not None else "parabola"
        yield f"hanging chain: {shape}, statics (examples in Engineering Mechanics 10.4 to 10.6)"
    yield "factors: speed, public table B; service and safety, table E; strands, table D (one source each)"
    if chain.origin:
        yield chain.origin
