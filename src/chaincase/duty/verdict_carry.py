"""Does the candidate carry the duty: strength, working load, start and joint pressure against the pull, or its rating.

Every margin is worked out for all assumptions at once through the vectorized pull: each of them alone at the ends of
its range.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from chaincase.chains.designation import key
from chaincase.duty import chordal, conveyor_limits, drive_answer, factors, pressure, rating
from chaincase.duty.candidate import Candidate
from chaincase.duty.conveyor import Demand, demand, head_sprocket
from chaincase.duty.conveyor_answer import pull as pull_answer
from chaincase.duty.drive import service
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.finding import Answer, Check, Finding, hinges_on
from chaincase.duty.pull import scaled, tensions
from chaincase.duty.pull_form import Chain, PullForm
from chaincase.duty.result import Result
from chaincase.duty.sensitivity import Array, Assumption, Factors, Swing, swings
from chaincase.units import show_force

_SERVICE_SHARE: Final = next(share for share in pressure.SHARES if share.name == "service")
_FRICTION: Final = Assumption(
    "friction", "friction", 0.6, 1.5, "public tables: lubricated 0.6 of dry, rough and dirty more; common practice"
)
_LOAD: Final = Assumption("load", "mass of material", 0.8, 1.25)
_CHAIN: Final = Assumption("chain", "mass of chain, slats and attachments", 0.9, 1.15)
_SHARE: Final = Assumption("share", "share of the most loaded strand", 0.85, 1.25, "1/n to 1.5/n; common practice")
_TAKE_UP: Final = Assumption("takeup", "take-up force", 0.5, 2.0)
_POWER: Final = Assumption("power", "power that really passes", 0.75, 1.25)
_LIFE: Final = Assumption("hours", "hours of service", 0.5, 2.0)
_UNRATED: Final = "no rating exists here for it: give rating from its maker's table"
_EDITION: Final = Assumption(
    "edition", "rating, by edition of its table", 0.75, 1.33, "No. 25: the 2011 table against the older equation"
)


@dataclass(frozen=True, slots=True)
class Carried:
    """What carrying comes to.

    Attributes
    ----------
    finding : Finding
        The answer.
    strand_pull : float or None
        Pull of one strand [N]; None where nothing is pulled.
    detail : Result or None
        The whole answer about the conveyor or the drive, with this chain on it.
    """

    finding: Finding
    strand_pull: float | None
    detail: Result | None


def with_chain(form: PullForm, chain: Candidate, old: Candidate | None) -> tuple[PullForm, str]:
    """Give the conveyor with the candidate on it, and what was done about its mass.

    Slats and attachments stay; where the tables give the mass of both bare chains, the difference is added.
    """
    said = Chain.model_construct(  # of values that were read already
        tensile=chain.tensile,
        working_load=chain.working_load,
        pin_diameter=chain.pin,
        bush_length=chain.bush,
        allowed_pressure=chain.allowed_pressure,
    )
    if old is None or old.mass is None or chain.mass is None:
        return form.model_copy(update={"chain": said}), "chain_mass as given: it counts as that of the candidate"
    # A multiple-strand chain of the tables is listed with the mass of all its strands.
    each = form.strands if chain.strands <= 1 else 1
    mass = max(form.chain_mass + each * (chain.mass - old.mass), chain.mass)
    words = (
        f"chain mass {form.chain_mass:.4g} + {each} x ({chain.mass:.4g} - {old.mass:.4g}) = {mass:.4g} kg/m:"
        f" {chain.designation} for {old.designation}, slats and attachments as before"
    )
    return form.model_copy(update={"chain": said, "chain_mass": mass}), words


def carries_pull(form: PullForm, chain: Candidate, old: Candidate | None) -> Carried:
    """Say whether a chain carries a conveyor.

    Raises
    ------
    BadInput
        If the path cannot be worked out.
    """
    fitted, mass_words = with_chain(form, chain, old)
    worked = demand(fitted)
    detail, head = pull_answer(fitted), head_sprocket(fitted, worked)
    checks = tuple(_pull_checks(worked, chain))
    ranges = tuple(_pull_ranges(fitted))
    moved = swings(ranges, lambda factors_: _pull_margin(fitted, worked, chain, factors_)) if checks else ()
    finding = Finding(
        *_answered(checks, moved, "no table gives its strength, and no working load is given"),
        checks,
        moved,
        hinges_on(moved),
        (*conveyor_limits.assumptions(fitted), mass_words),
        tuple(dict.fromkeys((*conveyor_limits.limits(fitted, worked, head), *conveyor_limits.dangers(fitted, worked)))),
        (mass_words, *detail.steps),
        tuple(dict.fromkeys(conveyor_limits.sources(fitted, chain))),
    )
    return Carried(finding, worked.strand_pull, detail)


def _answered(checks: Sequence[Check], moved: Sequence[Swing], unknown: str) -> tuple[Answer, str]:
    if not checks:
        return Answer.OPEN, unknown
    least = min(checks, key=lambda check: check.margin)
    why = f"{least.words}: {_told(least.has, least.unit)} against {_told(least.needs, least.unit)}"
    if least.margin < 1.0:
        return Answer.NO, why
    if any(swing.worst < 1.0 for swing in moved):
        named = ", ".join(swing.assumption.words for swing in moved if swing.worst < 1.0)
        return Answer.LIMITED, f"{why}; not any more if this is off alone: {named}"
    return Answer.YES, why


def _told(amount: float, unit: str) -> str:
    return show_force(amount) if unit == "N" else f"{amount:.4g} {unit}".rstrip()


def _pull_checks(worked: Demand, chain: Candidate) -> Iterator[Check]:
    starting = float(worked.starting.largest) * worked.share
    if chain.tensile:
        yield Check("tensile strength, with service and safety factor", chain.tensile, worked.tensile_needed, "N")
        yield Check("half the tensile strength against the start", factors.PERMANENT * chain.tensile, starting, "N")
    if chain.working_load:
        yield Check("maker's working load, with speed and service factor", chain.working_load, worked.design_pull, "N")
    if chain.allowed_pressure and chain.pin and chain.bush:
        found = pressure.bearing_pressure(worked.strand_pull, chain.pin, chain.bush)
        yield Check("allowed pressure in the joint", chain.allowed_pressure, found, "N/mm2")


def _pull_ranges(form: PullForm) -> Iterator[Assumption]:
    yield _FRICTION
    if form.material is not None:
        yield _LOAD
    yield _CHAIN
    if form.strands > 1:
        yield _SHARE
    if form.takeup_force:
        yield _TAKE_UP
    if form.service_factor is None:
        low, high = factors.SERVICE.get(form.conveyor, (1.0, 1.5))
        taken = factors.SERVICE.get(form.conveyor, (1.0, 1.0))[1]
        source = "public engineering table E (one source)" if form.conveyor in factors.SERVICE else "none published"
        yield Assumption("service", f"service factor {taken:g}", low / taken, high / taken, source)
    if form.start_factor is None:
        yield Assumption(
            "start", "friction at the start over running", 1.0, 2.0, "public engineering table A: 1.5 to 3"
        )


def _pull_margin(form: PullForm, worked: Demand, chain: Candidate, given: Factors) -> Array:
    """Give the smallest margin of every variant, by one vectorized pull each for running and for starting."""
    one = np.ones_like(given["friction"])
    friction, load, mass = given["friction"], given.get("load", one), given["chain"]
    share = worked.share * given.get("share", one)
    least = form.takeup_force / 2.0 * given.get("takeup", one)
    slack = least + worked.hanging * mass
    start = worked.start_factor * given.get("start", one)
    running = np.asarray(tensions(scaled(worked.path, load=load, chain=mass, friction=friction), least, slack).largest)
    starting = tensions(scaled(worked.path, load=load, chain=mass, friction=friction * start), least, slack).largest
    service_by = worked.service_factor * given.get("service", one)
    margins = [np.full_like(one, np.inf)]
    if chain.tensile:
        margins.append(chain.tensile / (running * share * service_by * worked.safety))
        margins.append(factors.PERMANENT * chain.tensile / (np.asarray(starting) * share))
    if chain.working_load:
        margins.append(chain.working_load / (running * share * worked.speed_factor * service_by))
    if chain.allowed_pressure and chain.pin and chain.bush:
        margins.append(chain.allowed_pressure * chain.pin * chain.bush / (running * share))
    return np.asarray(np.min(margins, axis=0))


def carries_drive(form: DriveForm, chain: Candidate) -> Carried:
    """Say whether a chain carries a drive.

    Raises
    ------
    BadInput
        If a quantity cannot be.
    """
    fitted = form.model_copy(update={**_for_drive(chain), "strands": chain.strands or form.strands})
    detail = drive_answer.drive(fitted)
    checks = tuple(_drive_checks(fitted, chain, detail))
    moved = swings(tuple(_drive_ranges(fitted, detail)), lambda given: _drive_margin(checks, given)) if checks else ()
    answered, why = _answered(checks, moved, _UNRATED)
    if "capacity_kw" not in detail and answered is not Answer.NO:
        answered, why = Answer.OPEN, f"{_UNRATED}; strength alone says little"
    finding = Finding(
        answered,
        why,
        checks,
        moved,
        hinges_on(moved),
        detail.assumptions,
        detail.warnings,
        detail.steps,
        detail.sources,
    )
    speed = chordal.chain_speed(chain.pitch, form.teeth, form.rpm) if chain.pitch else 0.0
    strands = fitted.strands or 1
    return Carried(finding, rating.tension(form.power, speed) / strands if speed else None, detail)


def _for_drive(chain: Candidate) -> dict[str, object]:
    """Give the drive's chain; one of a user catalog goes by its pitch, for the drive knows the packaged tables only."""
    from chaincase.catalog.table import Catalog  # a conveyor needs no tables here

    known = bool(Catalog.standard().names.get(key(chain.designation)))
    said = Chain.model_construct(  # of values that were read already
        designation=chain.designation if known else None,
        tensile=chain.tensile,
        working_load=chain.working_load,
        pin_diameter=chain.pin,
        bush_length=chain.bush,
        allowed_pressure=chain.allowed_pressure,
    )
    return {"chain": said, **({} if known else {"pitch": chain.pitch})}


def _drive_checks(form: DriveForm, chain: Candidate, detail: Result) -> Iterator[Check]:
    if "capacity_kw" in detail:
        wanted = form.power * service(form) / 1e3
        yield Check("rating of all strands over power times service factor", detail.number("capacity_kw"), wanted, "kW")
    if chain.tensile and "pull_n" in detail:
        share = _SERVICE_SHARE.most * chain.tensile
        yield Check("a sixth of the tensile strength over the pull", share, detail.number("pull_n"), "N")


def _drive_ranges(form: DriveForm, detail: Result) -> Iterator[Assumption]:
    yield _POWER
    taken = service(form)
    if form.service_factor is None:
        low, high = 1.0, rating.APPLICATION["heavy shock"][2]
        yield Assumption(
            "service", f"service factor {taken:g}", low / taken, high / taken, "ISO 10823, its whole range"
        )
    if form.rating is None and "capacity_kw" in detail and form.kind == "roller":
        yield _EDITION
    if form.hours is None and form.kind == "roller":
        yield _LIFE


def _drive_margin(checks: Sequence[Check], given: Factors) -> Array:
    one = np.ones_like(given["power"])
    margins = []
    for check in checks:
        base = check.margin / given["power"]
        if check.unit == "kW":
            # P^2.5 h = const: solutions manual to Mechanical Engineering Design, eq. 17-40.
            base = base * given.get("edition", one) / (given.get("service", one) * given.get("hours", one) ** 0.4)
        margins.append(base)
    return np.asarray(np.min(margins, axis=0))
