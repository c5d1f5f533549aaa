"""The answer about wear: how far it is, what limits it, when that is reached and how little that may mean."""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from chaincase.duty import wear_limits
from chaincase.duty.result import Result, Table, Value
from chaincase.duty.wear import (
    Apart,
    Measured,
    Strand,
    TakeUpLeft,
    apart,
    measured,
    new_tolerance,
    part_wear,
    strands,
    take_up_left,
)
from chaincase.duty.wear_doubts import day_of, doubts
from chaincase.duty.wear_form import WearForm
from chaincase.duty.wear_limits import Limit
from chaincase.duty.wear_trend import YEAR, Fit, Reached

SCHEMA: Final = "chaincase/duty-wear-1"

_CHART_POINTS: Final = 25


def wear(form: WearForm) -> Result:
    """Give how worn a chain is and when its limit is reached.

    Parameters
    ----------
    form : WearForm
        Dated readings of length, and what else is known.

    Returns
    -------
    Result
        Values of the most worn strand, and the tables `readings`, `limits`, `fits`, `forecast` (a curve with its band,
        for a chart), `strands_apart` and `parts`.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> answer = wear(WearForm.of({"pitch": "1 in", "kind": "roller",
    ...     "readings": [{"on": "2025-03-01", "length": "12.20 in", "over": 12, "instrument": "caliper"}]}))
    >>> round(answer.number("elongation_percent"), 2), round(answer.number("limit_length_mm") / 25.4, 2)
    (1.67, 12.36)
    """
    rules = tuple(wear_limits.limits(form.kind, form.service, form.teeth, fixed_centers=form.fixed_centers))
    limit = _limit(form, rules)
    found = strands(form, limit.elongation if limit else None)
    every = measured(form)
    worst = found[0] if found else None
    pairs = apart(form, found)
    travel = take_up_left(form, worst.now.elongation) if worst else None
    return Result(
        schema=SCHEMA,
        title=f"wear of {form.name}" if form.name else "wear of a chain",
        values=tuple(_values(form, worst, limit, travel, pairs)),
        steps=tuple(_steps(form, every, worst, limit, travel)),
        assumptions=tuple(_assumptions(form, found)),
        warnings=tuple(dict.fromkeys(doubts(form, every, found, limit, rules, travel, pairs))),
        sources=tuple(_sources(form, rules, found)),
        tables=tuple(table for table in _tables(form, every, found, limit, rules, pairs) if table.rows),
    )


def _limit(form: WearForm, rules: Sequence[Limit]) -> Limit | None:
    if form.limit is not None:
        return Limit(form.limit, "as given", "given with the readings")
    return min(rules, key=lambda rule: rule.elongation, default=None)


def _values(
    form: WearForm, worst: Strand | None, limit: Limit | None, travel: TakeUpLeft | None, pairs: Sequence[Apart]
) -> Iterator[Value]:
    if worst is not None:
        yield from _elongation(form, worst)
        if limit is not None:
            yield from _against(form, worst, limit)
        if worst.line is not None:
            yield from _rate(worst.line)
        yield from _dates(worst)
    if travel is not None:
        yield Value(
            "take_up_used_mm", "take-up travel used", travel.used, "mm", "" if travel.was_read else "half of it"
        )
        yield Value("take_up_left_mm", "take-up travel left", travel.left, "mm")
        yield Value("take_up_ends_percent", "elongation at which the take-up is at its end", 100 * travel.ends, "%")
    if pairs:
        yield Value("strands_apart_mm", f"strand {pairs[0].longer!r} is longer by", pairs[0].apart_mm, "mm")
        yield Value("strands_apart_u_mm", "its standard uncertainty", pairs[0].apart_u_mm, "mm")


def _elongation(form: WearForm, worst: Strand) -> Iterator[Value]:
    now = worst.now
    if worst.name:
        yield Value("strand", "most worn strand", worst.name)
    yield Value("on", "last reading", now.on.isoformat())
    yield Value("elongation_percent", "elongation of the strand", 100 * now.elongation, "%")
    yield Value("elongation_u_percent", "its standard uncertainty", 100 * now.u, "%")
    joint = now.elongation * form.pitch
    yield Value("joint_wear_mm", "depth worn off in each joint, pin and bush together", joint, "mm", "e p")


def _against(form: WearForm, worst: Strand, limit: Limit) -> Iterator[Value]:
    now = worst.now
    yield Value("limit_percent", "limit", 100 * limit.elongation, "%", limit.words)
    length = wear_limits.limit_length(form.pitch, now.over, limit.elongation)
    yield Value("limit_length_mm", f"what {now.over} pitches measure at the limit", length, "mm")
    yield Value("limit_passed", "probability that the limit is passed", worst.over(limit.elongation))


def _rate(line: Fit) -> Iterator[Value]:
    low, high = (100 * YEAR * line.rate_quantile(q) for q in (0.05, 0.95))
    note = f"5 to 95 %: {low:.3g} to {high:.3g}"
    yield Value("rate_percent_per_year", "growth by the straight line", 100 * YEAR * line.rate, "% a year", note)


def _dates(worst: Strand) -> Iterator[Value]:
    when = worst.by_line
    if when is None:
        return
    for name, label, found in (
        ("limit_on_early", "limit reached, 5 % sure, by", when.early),
        ("limit_on_middle", "limit reached, as likely as not, by", when.middle),
        ("limit_on_late", "limit reached, 95 % sure, by", when.late),
    ):
        if found is not None:
            last = float(worst.now.on.toordinal())
            note = "reached at the last reading" if found <= last else f"{(found - last) / YEAR:.2g} years after it"
            yield Value(name, label, day_of(found), "", note)


def _steps(
    form: WearForm, every: Sequence[Measured], worst: Strand | None, limit: Limit | None, travel: TakeUpLeft | None
) -> Iterator[str]:
    for each in every:
        strand = f", strand {each.strand}" if each.strand else ""
        yield f"{each.on.isoformat()}{strand}: {each.words}; elongation u = {100 * each.u:.2g} %"
    if worst is None:
        return
    if limit is not None:
        length = wear_limits.limit_length(form.pitch, worst.now.over, limit.elongation)
        yield (
            f"limit {100 * limit.elongation:.3g} % ({limit.words}): {worst.now.over} x {form.pitch:.4g}"
            f" x (1 + {limit.elongation:.4g}) = {length:.2f} mm"
        )
    if worst.line is not None:
        yield _line_words(worst.line)
    if travel is not None:
        yield (
            f"take-up: strand {form.pitches} x {form.pitch:.4g} mm has grown {travel.grown:.1f} mm; a take-up moves by"
            f" half of that; {travel.used:.1f} mm used, {travel.left:.1f} mm left, at its end at"
            f" {100 * travel.ends:.2f} %"
        )


def _line_words(line: Fit) -> str:
    level, rate = 100 * float(line.coefficients[0]), 100 * YEAR * line.rate
    free = f"{line.free} more than coefficients, {line.dof:.3g} effective degrees of freedom"
    return (
        f"straight line, weighted by 1/u2, {line.points} points, {free}: {level:.3f} % on {day_of(line.last)},"
        f" {rate:+.3f} % ± {100 * YEAR * line.rate_u:.2g} % a year"
    )


def _assumptions(form: WearForm, found: Sequence[Strand]) -> Iterator[str]:
    yield f"new pitch {form.pitch:.5g} mm, the nominal; limits count from it, and new chain may be longer already"
    if form.readings:
        yield "measured under tension, so that the play of the joints is drawn out; errors of readings independent"
    if form.installed is not None and found:
        most = 100 * new_tolerance(form.kind)
        yield f"on {form.installed.isoformat()} the chain was new: 0 to {most:g} % longer than nominal"
    if any(strand.line for strand in found):
        yield "load, speed, lubrication and dirt go on as they were; nothing is replaced in between"
    if form.teeth is None and form.readings and form.limit is None:
        yield f"no wheel has more than {wear_limits.MANY_TEETH} teeth"
    if any(part.part == "pin" and part.hardening == "unknown" for part in form.parts):
        yield "the pin is case hardened, for nobody says how: the stricter limit"


def _sources(form: WearForm, rules: Sequence[Limit], found: Sequence[Strand]) -> Iterator[str]:
    yield "elongation where links alternate: geometry of the joint, also printed in textbooks on chain drives"
    for rule in rules:
        yield f"{100 * rule.elongation:.3g} % ({rule.words}): {rule.source}"
    if any(strand.line for strand in found):
        yield "fit and interval: weighted least squares, Student's t, one further reading"
    if form.parts:
        yield wear_limits.PART_SOURCE
    if len(found) > 1:
        yield "matched strands: one public practice, no standard"


def _tables(
    form: WearForm,
    every: Sequence[Measured],
    found: Sequence[Strand],
    limit: Limit | None,
    rules: Sequence[Limit],
    pairs: Sequence[Apart],
) -> Iterator[Table]:
    columns = ("on", "strand", "over", "length_mm", "elongation_percent", "u_percent")
    rows = tuple(
        (e.on.isoformat(), e.strand, e.over, e.length, 100 * e.elongation, 100 * e.u) for e in every if e.factor
    )
    yield Table("readings", "elongation, reading by reading", columns, rows)
    named = tuple((rule.words, 100 * rule.elongation, rule.source) for rule in rules)
    yield Table("limits", "usual limits, of which the smallest governs", ("rule", "percent", "source"), named)
    yield _fits(found)
    yield _forecast(found[0], limit) if found else Table("forecast", "", (), ())
    apart_rows = tuple((p.longer, p.shorter, p.apart_mm, p.apart_u_mm, p.length, p.within_mm, p.beyond) for p in pairs)
    apart_columns = ("longer", "shorter", "apart_mm", "u_mm", "length_mm", "matched_within_mm", "beyond")
    yield Table("strands_apart", "strands against each other", apart_columns, apart_rows)
    worn = (part_wear(reading) for reading in form.parts)
    part_rows = tuple((w.part, 100 * w.left, 100 * w.u, 100 * w.limit, w.passed, w.words) for w in worn)
    part_columns = ("part", "left_percent", "u_percent", "least_percent", "passed", "limit_is_for")
    yield Table("parts", "parts against their limits", part_columns, part_rows)


def _fits(found: Sequence[Strand]) -> Table:
    columns = ("strand", "fit", "points", "rate_percent_per_year", "low", "high", "early", "middle", "late")
    rows = tuple(
        (
            strand.name, name, each.points, 100 * YEAR * each.rate,
            100 * YEAR * each.rate_quantile(0.05), 100 * YEAR * each.rate_quantile(0.95),
            *_dates_of(when),
        )
        for strand in found
        for name, each, when in (
            ("straight line", strand.line, strand.by_line), ("quadratic", strand.curve, strand.by_curve)
        )
        if each is not None
    )  # fmt: skip
    return Table("fits", "growth, and the limit reached with 5, 50 and 95 % probability", columns, rows)


def _dates_of(when: Reached | None) -> tuple[str | None, str | None, str | None]:
    if when is None:
        return None, None, None
    early, middle, late = (None if found is None else day_of(found) for found in (when.early, when.middle, when.late))
    return early, middle, late


def _forecast(worst: Strand, limit: Limit | None) -> Table:
    """Give the straight line with its band, from the first point to a little past the last date."""
    columns = ("on", "percent", "low_percent", "high_percent", "limit_percent")
    label = "straight line with the interval of one further reading, 5 to 95 %"
    if worst.line is None:
        return Table("forecast", label, columns, ())
    first = worst.points[0].day
    when = worst.by_line
    far = next((d for d in ((when.late, when.middle, when.early) if when else ()) if d is not None), None)
    end = worst.line.last + max(1.2 * ((far or 0.0) - worst.line.last), 0.5 * (worst.line.last - first))
    days = np.linspace(first, min(end, worst.line.last + 10 * (worst.line.last - first)), _CHART_POINTS)
    middle, low, high = (
        100 * size for size in (worst.line.mean(days), *(worst.line.band(days, q) for q in (0.05, 0.95)))
    )
    most = 100 * limit.elongation if limit else None
    rows = tuple(
        (day_of(on), float(m), float(lo), float(hi), most)
        for on, m, lo, hi in zip(days, middle, low, high, strict=True)
    )  # fmt: skip
    return Table("forecast", label, columns, rows)
