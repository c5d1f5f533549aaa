"""What must be said beside the wear of a chain: doubtful readings, what few dates cannot tell, limits passed."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from chaincase.duty import cautions, wear_limits
from chaincase.duty.wear import Apart, Measured, Strand, TakeUpLeft, alternating, part_wear, stretched, too_short
from chaincase.duty.wear_form import WearForm
from chaincase.duty.wear_limits import Limit
from chaincase.duty.wear_trend import compatible

_LONG_PITCH: Final = 50.0
"""From this pitch on [mm] the hard layer of a pin is gone long before the usual elongation."""
_CASE: Final = 1.0 - wear_limits.PARTS["pin"].left
_BENDS: Final = 0.95
_FEW: Final = 3
_NOTABLE: Final = 0.05
"""Probability from which a passed limit is told."""


def day_of(ordinal: float) -> str:
    """Give the day of a count of days as year-month-day."""
    return date.fromordinal(int(ordinal)).isoformat()


def doubts(
    form: WearForm,
    every: Sequence[Measured],
    found: Sequence[Strand],
    limit: Limit | None,
    rules: Sequence[Limit],
    travel: TakeUpLeft | None,
    pairs: Sequence[Apart],
) -> Iterator[str]:
    """Tell what is wrong with the readings, what they cannot say, which limits are passed, and how to go about it."""
    yield from _reading_doubts(form, every)
    if limit is None and form.readings:
        yield f"no usual limit is known for {form.kind} chain: give limit, from its maker; no date without one"
    if form.limit is not None and rules and form.limit > min(rule.elongation for rule in rules):
        least = min(rules, key=lambda rule: rule.elongation)
        yield f"the limit given is above the usual {100 * least.elongation:.3g} % ({least.words})"
    for strand in found:
        yield from _strand_doubts(strand, limit)
    if travel is not None and limit is not None and travel.ends < limit.elongation:
        yield f"the take-up is at its end at {100 * travel.ends:.2f} %, before the limit: that comes first"
    for pair in pairs:
        yield from _pair_doubts(pair)
    yield from _part_doubts(form)
    yield from _pin_doubts(form, limit)
    if form.kind == "leaf":
        yield f"leaf chain lifts: {cautions.HOISTING}; its inspection is governed by local codes"
    yield cautions.MEASURING
    yield cautions.WHOLE_STRAND
    yield cautions.ENQUIRY


def _reading_doubts(form: WearForm, every: Sequence[Measured]) -> Iterator[str]:
    for each in stretched(every):
        yield (
            f"readings[{each.at}]: a pitch that wear does not touch is {100 * each.elongation:.2f} % longer than new:"
            " plates stretched or pins bent by overload, which no elongation limit covers"
        )
    for each in too_short(every):
        yield f"readings[{each.at}]: shorter than new chain can be: check the pitch and count the pitches again"
    for each in every:
        if each.elongation > 0.10:
            yield f"readings[{each.at}]: {100 * each.elongation:.1f} % is more than chain wears: count again"
        elif each.over < 4 and each.factor:
            yield f"readings[{each.at}]: over {each.over} pitches only; take at least 4, better 10 (public texts)"
        if alternating(form.kind) and each.over % 2 and each.factor != 1.0:
            yield f"readings[{each.at}]: an odd number of pitches shows wear unevenly; an even number shows it in full"


def _strand_doubts(strand: Strand, limit: Limit | None) -> Iterator[str]:
    name = f"strand {strand.name}: " if strand.name else ""
    days = len({point.day for point in strand.points})
    if days == 1:
        yield f"{name}readings of one day tell no rate: read again after some months, or say when it was installed"
        return
    if strand.by_line is not None and strand.by_line.why:
        yield f"{name}{strand.by_line.why}"
    if days == 2:
        yield (
            f"{name}two dates say little: they cannot show whether wear runs straight, was fast while running in, or"
            " speeds up; the interval holds the uncertainty of the readings and nothing else"
        )
    elif days == _FEW:
        yield f"{name}three dates say little about the shape of the curve: one of them alone can bend it"
    odds = compatible(strand.points)
    if odds is not None and odds < 0.05:
        yield f"{name}the readings scatter about the line more than their uncertainty explains: one may be wrong"
    yield from _curve_doubts(strand, name)
    if limit is not None and strand.over(limit.elongation) > _NOTABLE:
        passed = 100 * strand.over(limit.elongation)
        yield f"{name}the limit is passed already with {min(passed, 99.9):.3g} in 100: replace it, look at the wheels"


def _curve_doubts(strand: Strand, name: str) -> Iterator[str]:
    if strand.curve is None or strand.by_line is None:
        return
    line, curve = strand.by_line, strand.by_curve
    if strand.curve.curves > _BENDS:
        yield f"{name}wear speeds up ({100 * strand.curve.curves:.0f} in 100): the straight line is too kind"
        if curve and curve.middle and line.middle and curve.middle < line.middle:
            yield f"{name}by the quadratic fit the limit is as likely as not reached by {day_of(curve.middle)}"
    elif strand.curve.curves < 1.0 - _BENDS:
        yield f"{name}wear slows down ({100 * (1 - strand.curve.curves):.0f} in 100), as after running in"


def _pair_doubts(pair: Apart) -> Iterator[str]:
    if pair.beyond is not None and pair.beyond > _NOTABLE and pair.apart_mm > pair.within_mm * 0.5:  # type: ignore[operator]
        over = "over the whole strand" if pair.whole else "over the pitches read"
        yield (
            f"strands {pair.longer!r} and {pair.shorter!r} differ by {pair.apart_mm:.1f} ± {pair.apart_u_mm:.1f} mm"
            f" {over};"
            f" matched strands of that length differ by {pair.within_mm:g} mm at most when new (one public practice):"
            " what spans them runs askew; replace both"
        )


def _part_doubts(form: WearForm) -> Iterator[str]:
    for at, reading in enumerate(form.parts):
        found = part_wear(reading)
        if found.passed > _NOTABLE:
            yield (
                f"parts[{at}]: {100 * found.left:.1f} % of the {found.part} is left; {100 * found.limit:.1f} % is the"
                f" least for {found.words} (one public text), passed with {100 * found.passed:.0f} in 100"
            )


def _pin_doubts(form: WearForm, limit: Limit | None) -> Iterator[str]:
    if limit is None or form.pitch < _LONG_PITCH or not form.readings:
        return
    depth = limit.elongation * form.pitch
    if form.pin_diameter is None:
        yield (
            f"at {100 * limit.elongation:.3g} % each joint of this long pitch has lost {depth:.1f} mm: a case-hardened"
            " pin is through its hard layer before; measure pins and bushes as well"
        )
        return
    case = _CASE * form.pin_diameter
    if case < depth:
        yield (
            f"at {100 * limit.elongation:.3g} % each joint has lost {depth:.1f} mm; a case-hardened pin of"
            f" {form.pin_diameter:.4g} mm is worn out at {case:.2f} mm, {100 * case / form.pitch:.2f} % if the pin"
            " alone wears: the pin comes first"
        )
