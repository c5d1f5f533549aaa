"""Does the candidate last: pressure and wear of its joint beside those of the old chain on the same duty.

Wear is taken to grow with pressure times sliding path, as Archard's law has it, alike material, hardness and oiling of
both chains. A joint turns by the same angle on the same wheels, so its pin slides over d/2 times that angle: the depth
worn off goes with pull over bush length, and the pin's diameter falls out. A strand grows by that depth per pitch. This
compares two chains; it forecasts neither.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from chaincase.duty import pressure
from chaincase.duty.candidate import Candidate
from chaincase.duty.finding import Answer, Check, Finding, hinges_on
from chaincase.duty.sensitivity import Array, Assumption, Factors, swings
from chaincase.duty.wear import Strand, strands
from chaincase.duty.wear_form import WearForm
from chaincase.duty.wear_limits import limits
from chaincase.duty.wear_trend import YEAR

LEAST: Final = 0.95
"""Figures of two tables differ by so much for one and the same chain; only less than that is a shorter life."""

_RANGES: Final = (
    Assumption("material", "hardness, finish and oiling against the old chain", 0.5, 2.0),
    Assumption("pin", "pin diameter of the tables, which print largest sizes", 0.97, 1.03),
    Assumption("bush", "length of the bush of the tables", 0.95, 1.05),
    Assumption("pull", "pull against that of the old chain", 0.9, 1.1),
)
_LIMIT: Final = (
    "wear is compared, not forecast: pressure times sliding path (Archard's law), the same hardness, oiling and dirt"
)


def lasts(
    chain: Candidate,
    old: Candidate | None,
    pulls: tuple[float, float] | None,
    wear: WearForm | None,
    years: float | None = None,
) -> Finding:
    """Say whether a chain lasts as long as the old one did, or as long as wanted.

    Parameters
    ----------
    chain, old : Candidate
        The new chain and the old one, None where nobody can name it.
    pulls : tuple of float or None
        Pull of one strand with the new and with the old chain [N]; None where it is not known.
    wear : WearForm or None
        How the old chain wore, with a date of installation or several readings.
    years : float or None
        Life that is wanted [years].
    """
    new_pull, old_pull = pulls or (1.0, 1.0)
    checks = tuple(_checks(chain, old, new_pull, old_pull))
    life = _life(wear) if wear else None
    if life is not None and checks and years:
        checks = (
            *checks,
            Check("years by the wear of the old chain, compared", life[0] * _ratio(checks), years, "years"),
        )
    if pulls is not None and chain.allowed_pressure and chain.pin and chain.bush:
        found = pressure.bearing_pressure(new_pull, chain.pin, chain.bush)
        checks = (*checks, Check("allowed pressure in the joint", chain.allowed_pressure, found, "N/mm2"))
    moved = swings(_RANGES, lambda given: _margin(checks, given)) if checks else ()
    answer, why = _answer(checks, chain, old)
    if life is not None:
        why = f"{why}; the old chain goes from new to its limit in {_years(life)}"
    return Finding(
        answer, why, checks, moved, hinges_on(moved) or "which chain the old one was, and its joint",
        (_LIMIT,), tuple(_warnings(wear, life, checks)), tuple(_steps(chain, old, new_pull, old_pull, life, checks)),
        ("wear: pressure times sliding path, Archard's law (from memory); derived here for a chain joint",),
    )  # fmt: skip


def _checks(chain: Candidate, old: Candidate | None, new_pull: float, old_pull: float) -> Iterator[Check]:
    if old is None or not (old.bush and chain.bush):
        return
    if old.pin and chain.pin:
        was = pressure.bearing_pressure(old_pull, old.pin, old.bush)
        now = pressure.bearing_pressure(new_pull, chain.pin, chain.bush)
        yield Check("pressure in the old joint over that in the new", was / now, 1.0)
    if old.pitch and chain.pitch:
        ratio = (chain.bush * chain.pitch / new_pull) / (old.bush * old.pitch / old_pull)
        yield Check("time to one and the same elongation, new over old", ratio, 1.0)


def _ratio(checks: Sequence[Check]) -> float:
    return min(check.margin for check in checks if check.needs == 1.0)


def _margin(checks: Sequence[Check], given: Factors) -> Array:
    margins = []
    for check in checks:
        base = check.margin * given["bush"] / given["pull"]
        if "elongation" not in check.words:
            base = base * given["pin"]
        if "allowed" not in check.words:
            base = base * given["material"]
        margins.append(base)
    return np.asarray(np.min(margins, axis=0))


def _answer(checks: Sequence[Check], chain: Candidate, old: Candidate | None) -> tuple[Answer, str]:
    if not checks:
        who = (
            "the old chain is not named" if old is None else f"the tables leave the joint of {_which(chain, old)} open"
        )
        return Answer.OPEN, f"{who}, and no allowed pressure is given"
    least = min(checks, key=lambda check: check.margin)
    words = f"{least.words}: {least.has:.3g}" + (
        "" if least.needs == 1.0 else f" against {least.needs:.3g} {least.unit}"
    )
    return (Answer.YES if least.margin >= LEAST else Answer.NO), words


def _which(chain: Candidate, old: Candidate) -> str:
    return " and ".join(each.designation or "one of them" for each in (chain, old) if not each.bush)


def _life(wear: WearForm) -> tuple[float, float, float] | None:
    """Give the years that the old chain lasts to its limit by its straight line: middle, least and most."""
    rules = tuple(limits(wear.kind, wear.service, wear.teeth, fixed_centers=wear.fixed_centers))
    limit = wear.limit or min((rule.elongation for rule in rules), default=None)
    found = strands(wear, limit)
    if limit is None or not found or found[0].line is None or not _grows(found[0]):
        return None
    rates = [found[0].line.rate, found[0].line.rate_quantile(0.95), found[0].line.rate_quantile(0.05)]
    middle, least, most = (limit / (rate * YEAR) for rate in rates)
    return middle, least, most


def _years(life: tuple[float, float, float]) -> str:
    middle, least, most = life
    return f"{middle:.2g} years ({least:.2g} to {most:.2g}, 5 to 95 %)"


def _grows(strand: Strand) -> bool:
    return strand.line is not None and strand.line.rate_quantile(0.05) > 0.0


def _steps(
    chain: Candidate,
    old: Candidate | None,
    new_pull: float,
    old_pull: float,
    life: tuple[float, float, float] | None,
    checks: Sequence[Check],
) -> Iterator[str]:
    for each, load in ((old, old_pull), (chain, new_pull)):
        if each is not None and each.pin and each.bush and load != 1.0:
            found = pressure.bearing_pressure(load, each.pin, each.bush)
            area = f"({each.pin:g} x {each.bush:g})"
            yield f"joint of {each.designation or 'the chain'}: {load:.1f} N / {area} = {found:.2f} N/mm2"
    if life is not None:
        middle, least, most = life
        yield f"old chain, new to limit by its straight line: {_years(life)}"
        relative = [check for check in checks if check.needs == 1.0]
        if relative:
            by = _ratio(relative)
            yield f"the new one, compared: x {by:.3g} = {middle * by:.2g} years ({least * by:.2g} to {most * by:.2g})"


def _warnings(wear: WearForm | None, life: tuple[float, float, float] | None, checks: Sequence[Check]) -> Iterator[str]:
    if wear is not None and life is None:
        yield "the readings of the old chain give no rate that is sure to be above zero: no life is compared"
    if not checks:
        return
    yield "why the old chain died matters more than this: overload, dirt, no oil and worn wheels end the new one too"
