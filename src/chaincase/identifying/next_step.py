"""What to find out next: the step with the largest expected drop in entropy per minute of work.

For each feasible reading the outcomes that every likely row and an unlisted chain predict are laid over one grid;
the expected entropy after the reading follows by summing over the grid (quadrature, no sampling). A look at what nobody
has said yet, cleaning the bar for a stamp and asking for the drawing compete on the same scale, with assumed chances of
success. Where very many rows are about as likely, some of them, evenly spaced through their mass, stand for all.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN, DIMENSIONS
from chaincase.identifying.answer import NextStep, Suggestion
from chaincase.identifying.constants import BLUNDER_OTHERWISE, LINK_TO_LINK
from chaincase.identifying.deciding import Field, decides, look_decides
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.looks import MINUTES, Look, answers_of, open_looks
from chaincase.identifying.naming import meanings
from chaincase.identifying.posterior import Posterior
from chaincase.identifying.prediction import outcomes, predictive, unlisted_predictive
from chaincase.identifying.rough_gain import rough_gains
from chaincase.identifying.sizes import Measured
from chaincase.identifying.stamp import stamped
from chaincase.measuring.estimate import estimate
from chaincase.measuring.instruments import Instrument
from chaincase.measuring.reading import Reading

Array = NDArray[np.float64]

_MOST_ROWS = 20
_MOST_KIN = 20
_FEW_ROWS, _FEW_KIN = 12, 8
"""So many are enough to suggest one step for one of many samples."""
_LIKELY, _STANDING = 0.7, 64
"""If the likeliest rows hold less of the mass of all, so many rows are drawn that stand for all."""
_OUTCOMES = 48
_LEAST_GAIN = 0.02
"""A step that is expected to tell less [bit] is not worth a walk to the machine."""
MOST_STEPS = 5


@dataclass(frozen=True, slots=True)
class Way:
    """How a dimension is best taken: instrument, place, and what it costs."""

    instrument: Instrument
    where: str
    minutes: float


# Minutes of work per reading on a chain that lies still: common practice, no source.
_CALIPER = Instrument.DIGITAL_CALIPER
WAYS: dict[str, Way] = {
    "pitch": Way(Instrument.TAPE, "over several pitches, pin center to pin center; count them and divide", 3.0),
    "transverse_pitch": Way(_CALIPER, "from a plate of one strand to the same plate of the next", 2.0),
    "roller_diameter": Way(_CALIPER, "over the roller, turned until it is largest", 1.5),
    "flange_diameter": Way(_CALIPER, "over the rim of the flange", 1.5),
    "bush_diameter": Way(_CALIPER, "over the bush or barrel, beside the worn track", 2.0),
    "bush_bore": Way(_CALIPER, "inside the bush; a joint must be opened", 25.0),
    "pin_diameter": Way(_CALIPER, "on the pin body between the plates, not on the head or the riveted end", 4.0),
    "hollow_pin_bore": Way(_CALIPER, "inside the hollow pin, at its end", 2.0),
    "inner_width": Way(_CALIPER, "inside jaws between the inner plates", 1.5),
    "inner_link_width": Way(_CALIPER, "over the outside of the inner plates or the narrow end", 1.5),
    "outer_link_inner_width": Way(_CALIPER, "inside jaws between the outer plates", 2.0),
    "pin_length": Way(_CALIPER, "over both ends of one pin", 1.5),
    "inner_plate_height": Way(_CALIPER, "across the inner plate at its widest", 1.5),
    "outer_plate_height": Way(_CALIPER, "across the outer plate at its widest", 1.5),
    "inner_plate_thickness": Way(_CALIPER, "through the inner plate, scraped clean", 2.0),
    "outer_plate_thickness": Way(_CALIPER, "through the outer plate, scraped clean", 2.0),
    "sidebar_height": Way(_CALIPER, "across the sidebar, away from the sliding edge", 1.5),
    "sidebar_thickness": Way(_CALIPER, "through the sidebar, scraped clean", 2.0),
    "plate_width": Way(Instrument.STEEL_RULE, "across the top plate", 1.0),
    "plate_thickness": Way(_CALIPER, "through the top plate at its edge", 1.5),
    "hinge_diameter": Way(_CALIPER, "over the hinge knuckle", 2.0),
    "hinge_width": Way(_CALIPER, "over the hinge, along the pin", 2.0),
}
_PITCH_OVER = 4
_AS_GOOD = {Instrument.CALIPER, Instrument.DIGITAL_CALIPER, Instrument.GAUGE}

# Chances of success and minutes of attention: common practice, no source.
_STAMP_CHANCE, _STAMP_AGAIN_CHANCE, _STAMP_MINUTES = 0.40, 0.25, 10.0
_STAMP_TELLS_UNLISTED = 0.60
_DRAWING_CHANCE, _DRAWING_MINUTES = 0.25, 40.0


def next_steps(posterior: Posterior, evidence: Evidence, catalog: Catalog, most: int = MOST_STEPS) -> list[NextStep]:
    """Give the most telling steps, best first.

    Parameters
    ----------
    posterior : Posterior
        Of the evidence.
    evidence : Evidence
        What is known.
    catalog : Catalog
        The posterior's.
    most : int
        How many steps to give. Of the readings, about twice as many, the best by a rough estimate, are worked out.
    """
    field = _field(posterior, standing=_STANDING)
    if entropy_bits(field.prior) < _LEAST_GAIN:  # no step can tell more than is unknown
        return []
    expected = posterior.expected
    plans = _plans(_open_dimensions(posterior, field, expected), field, expected)
    hopeful = sorted(plans, key=lambda plan: -plan.hope)[: 2 * most]
    steps = [(_exact_gain(plan, field, expected), WAYS[plan.name].minutes, plan) for plan in plans if plan in hopeful]
    looks = [_look_step(look, field, catalog) for look in open_looks(evidence.construction)]
    other = [*looks, _stamp_step(field, evidence, catalog), _drawing_step(field)]
    every: list[tuple[float, float, _Plan | NextStep]] = [
        *steps,
        *((step.gain_bits, step.minutes, step) for step in other),
    ]
    telling = sorted((each for each in every if each[0] >= _LEAST_GAIN), key=lambda each: -each[0] / each[1])
    return [
        each if isinstance(each, NextStep) else _reading_step(each, gain, field, catalog, expected)
        for gain, _, each in telling[:most]
    ]


def suggestion(posterior: Posterior, evidence: Evidence, catalog: Catalog) -> Suggestion | None:
    """Give the step that is most telling by a rough estimate: quick enough for one of many samples.

    Of readings that tell about as much, `next_steps` may put another one first.
    """
    field = _field(posterior, _FEW_ROWS, _FEW_KIN)
    unknown = entropy_bits(field.prior)
    if unknown < _LEAST_GAIN:
        return None
    expected = posterior.expected
    plans = _plans(_open_dimensions(posterior, field, expected), field, expected)
    names = [catalog.designations[row] for row in field.rows.tolist()]
    steps: list[tuple[float, float, str | None]] = [(plan.hope, WAYS[plan.name].minutes, plan.name) for plan in plans]
    steps += [
        (_gain(field.prior, _stamp_table(field, evidence, names)) / _STAMP_MINUTES, _STAMP_MINUTES, ""),
        (_DRAWING_CHANCE * unknown / _DRAWING_MINUTES, _DRAWING_MINUTES, None),
    ]
    telling = [(hope, name) for hope, minutes, name in steps if hope * minutes >= _LEAST_GAIN]
    return _suggested(max(telling, key=lambda each: each[0])[1]) if telling else None


def _suggested(name: str | None) -> Suggestion:
    """Give the reading of a dimension; the stamp for no dimension, and the papers for None."""
    if name:
        return Suggestion(label=DIMENSIONS[COLUMN[name]].label, instrument=WAYS[name].instrument.value)
    return _PAPERS if name is None else _STAMP


_STAMP = Suggestion(label="stamp", instrument="wire brush and lamp")
_PAPERS = Suggestion(label="machine papers", instrument=None)


def entropy_bits(probabilities: Array) -> float:
    """Give the entropy of a distribution [bit].

    >>> entropy_bits(np.array([0.5, 0.25, 0.25]))
    1.5
    """
    some = probabilities[probabilities > 0]
    return float(-(some * np.log2(some)).sum())


def _field(posterior: Posterior, most_rows: int = _MOST_ROWS, most_kin: int = _MOST_KIN, standing: int = 0) -> Field:
    rows = np.argsort(-posterior.probability, kind="stable")[:most_rows]
    rows = rows[posterior.probability[rows] > 1e-4]
    kin = np.argsort(-posterior.relatives.sum(axis=0), kind="stable")[:most_kin]
    weight, many = posterior.probability[rows], 0.0
    listed = float(posterior.probability.sum())
    if standing and weight.sum() < _LIKELY * listed:
        many = float(2 ** entropy_bits(posterior.probability / listed))
        kin = _evenly(posterior.relatives.sum(axis=0), standing)
        rows = _evenly(posterior.probability, standing)
        weight = np.full(len(rows), listed / len(rows))
    prior = np.append(weight, posterior.unlisted)
    return Field(rows, kin, posterior.relatives[:, kin], prior / prior.sum(), many)


def _evenly(mass: Array, count: int) -> NDArray[np.int64]:
    """Give places at even steps through some mass, so that each stands for as much of it."""
    reached = np.cumsum(mass)
    return np.unique(np.searchsorted(reached, (np.arange(count) + 0.5) / count * reached[-1]))


def _open_dimensions(posterior: Posterior, field: Field, expected: Expectation) -> list[str]:
    """Give what could still be measured: not yet taken as well as it would be."""
    likely = expected.exists[field.rows[:1]]
    taken = {column for each in posterior.measured if _well_taken(each) for column in meanings(each.name, likely)}
    there = np.any(expected.exists[field.rows], axis=0)
    return [name for name in WAYS if COLUMN[name] not in taken and there[COLUMN[name]]]


def _well_taken(each: Measured) -> bool:
    named = each.name in COLUMN
    return named and (each.reading.instrument in _AS_GOOD or (each.name == "pitch" and each.reading.over > 1))


def hypothetical(name: str, size: float) -> tuple[Reading, float]:
    """Give a reading as it would be taken next and its standard uncertainty, links' spread included [mm]."""
    way = WAYS[name]
    over = _PITCH_OVER if name == "pitch" else 1
    text = f"{size * over:.0f} mm" if way.instrument in {Instrument.TAPE, Instrument.STEEL_RULE} else f"{size:.2f} mm"
    technique = "same edge" if name == "pitch" else ""
    reading = Reading.parse(name, text, instrument=way.instrument.value, over=over, technique=technique)
    return reading, float(np.hypot(estimate(reading).u_mm, LINK_TO_LINK * size))


@dataclass(frozen=True, eq=False, slots=True)
class _Plan:
    """A reading that could be taken.

    Attributes
    ----------
    name : str
        Its dimension.
    there : ndarray of bool, shape (k,)
        On which of the likely rows it exists.
    size : float
        What it may be [mm].
    hope : float
        A rough estimate of what it tells [bit per minute].
    """

    name: str
    there: NDArray[np.bool_]
    size: float
    hope: float


def _plans(names: Sequence[str], field: Field, expected: Expectation) -> list[_Plan]:
    """Give the readings that could be taken, by the dimensions that are open."""
    if not names:
        return []
    columns = np.array([COLUMN[name] for name in names])
    sizes, gains = rough_gains(columns, field.rows, field.kin, field.kin_weight, field.prior, expected)
    there = expected.exists[field.rows[:, None], columns].T
    return [
        _Plan(name, on, size, gain / WAYS[name].minutes)
        for name, on, size, gain in zip(names, there, sizes.tolist(), gains.tolist(), strict=True)
        if size >= 1.0
    ]


def _exact_gain(plan: _Plan, field: Field, expected: Expectation) -> float:
    _, u = hypothetical(plan.name, plan.size)
    table = _outcome_table(COLUMN[plan.name], u, field, expected, plan.there)
    return round(_gain(field.prior, table), 3)


def _reading_step(plan: _Plan, gain: float, field: Field, catalog: Catalog, expected: Expectation) -> NextStep:
    column, way = COLUMN[plan.name], WAYS[plan.name]
    _, u = hypothetical(plan.name, plan.size)
    return NextStep(
        dimension=plan.name,
        label=DIMENSIONS[column].label,
        instrument=way.instrument.value,
        where=way.where,
        gain_bits=gain,
        minutes=way.minutes,
        decides=decides(column, u, gain, field, catalog, expected),
    )


def _outcome_table(column: int, u: float, field: Field, expected: Expectation, there: NDArray[np.bool_]) -> Array:
    """Give the chance of every outcome for every hypothesis, shape (k + 1, outcomes + 1), "there is none" last."""
    grid = outcomes(field.rows[there], column, u, expected, _OUTCOMES)
    table = np.zeros((len(field.prior), len(grid) + 1))
    kin_there = expected.exists[field.kin, column]
    rows, kin = field.rows[there], field.kin[kin_there]
    every = np.union1d(rows, kin)
    density = predictive(every, column, u, grid, expected)
    table[:-1][there, :-1] = _chances(density[np.searchsorted(every, rows)])
    table[:-1][~there, -1] = 1.0
    weight = field.kin_weight[:, kin_there]
    share = float(weight.sum() / field.kin_weight.sum())
    if share > 0:
        like_relative = density[np.searchsorted(every, kin)]
        unlisted = unlisted_predictive(weight, kin, column, u, grid, expected, like_relative)
        table[-1, :-1] = share * _chances(unlisted[None, :])[0]
    table[-1, -1] = 1.0 - share
    blunder = np.append(np.full(len(grid), 1.0 / len(grid)), 0.0)
    return (1 - BLUNDER_OTHERWISE) * table + BLUNDER_OTHERWISE * blunder


def _chances(density: Array) -> Array:
    return np.asarray(density / np.maximum(density.sum(axis=1, keepdims=True), 1e-300))


def _gain(prior: Array, table: Array) -> float:
    """Give the expected drop in entropy [bit]: the mutual information of hypothesis and outcome."""
    joint = prior[:, None] * table
    outcome = joint.sum(axis=0)
    with np.errstate(divide="ignore", invalid="ignore"):
        terms = np.where(joint > 0, joint * np.log2(joint / (prior[:, None] * outcome)), 0.0)
    return max(float(np.nan_to_num(terms).sum()), 0.0)


def _look_step(look: Look, field: Field, catalog: Catalog) -> NextStep:
    """Give what a look tells: it leaves the rows that look so."""
    of_rows = answers_of(look, catalog, field.rows)
    weight = field.kin_weight.sum(axis=0)
    unlisted = weight @ answers_of(look, catalog, field.kin) / weight.sum()
    gain = _gain(field.prior, np.vstack([of_rows, unlisted]))
    return NextStep(
        dimension=None,
        label=look.label,
        instrument=None,
        where=look.where,
        gain_bits=round(gain, 3),
        minutes=MINUTES,
        decides=look_decides(look, of_rows, gain, field, catalog),
    )


def _stamp_table(field: Field, evidence: Evidence, first: Sequence[str]) -> Array:
    """Give the chances of what reading the stamp gives, like `_outcome_table`: each number, none of them, nothing.

    `first` is the number that each of the likely rows bears.
    """
    numbers = {number: i for i, number in enumerate(sorted(set(first)))}
    table = np.zeros((len(field.prior), len(numbers) + 2))
    chance = _STAMP_AGAIN_CHANCE if evidence.marks else _STAMP_CHANCE
    table[np.arange(len(first)), [numbers[number] for number in first]] = chance
    table[-1, -2] = chance * _STAMP_TELLS_UNLISTED
    table[:, -1] = 1.0 - table[:, :-1].sum(axis=1)
    return table


def _stamp_step(field: Field, evidence: Evidence, catalog: Catalog) -> NextStep:
    """Give what reading the stamp tells: it leaves the rows that share its number."""
    first = [stamped(catalog.designations[row], catalog.alternatives[row])[0] for row in field.rows.tolist()]
    table = _stamp_table(field, evidence, first)
    what = (
        "clean the stamp again and read it in slanting light"
        if evidence.marks
        else "clean the bars and look for a stamp"
    )
    return NextStep(
        dimension=None,
        label=_STAMP.label,
        instrument=_STAMP.instrument,
        where=f"{what}; some chain bears it on every link, some only once in 5 to 10 ft",
        gain_bits=round(_gain(field.prior, table), 3),
        minutes=_STAMP_MINUTES,
        decides="a number that can be read leaves the chains that bear it",
    )


def _drawing_step(field: Field) -> NextStep:
    return NextStep(
        dimension=None,
        label=_PAPERS.label,
        instrument=_PAPERS.instrument,
        where="ask for the machine's drawing, parts list or an old order",
        gain_bits=round(_DRAWING_CHANCE * entropy_bits(field.prior), 3),
        minutes=_DRAWING_MINUTES,
        decides="a drawing or an old order names the chain outright",
    )
