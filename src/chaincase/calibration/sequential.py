"""How much work it takes to be sure: following the advice of the answer against the order of the sheet.

The same chain is measured three times by the same hand, until some identity (or unlisted) has 95 % or nothing is
left to do: by the readings that `Identification.next` asks for, in the order of its kind's measuring sheet, and by
whatever the advice puts first, the stamp and the machine's papers among it. A dimension reads the same in every
course. Each begins with what the eye sees of the construction, and no more.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from chaincase.calibration.chance import generator, happens
from chaincase.calibration.construction import construction_words, seen
from chaincase.calibration.hands import Taken, take
from chaincase.calibration.judging import Verdict, judge
from chaincase.calibration.samples import Chain, Draw, draw_chain, evidence, hand_for, stamp_on
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.identifying.answer import Identification, NextStep
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.next_step import WAYS

Identify = Callable[[Evidence, Catalog], Identification]

SURE = 0.95
"""Probability at which one stops."""
DRAWING_FOUND = 0.25
"""Chance that the machine's papers turn up when asked for (assumed)."""
_NOT_THERE = 0.5
"""Share of its minutes that it costs to look for a dimension which the chain does not have."""
_ABSENT = {"roller_diameter": "rollerless", "flange_diameter": "plain roller", "transverse_pitch": "single strand"}
"""What a person who finds none of these writes down under construction, where it is a word for that chain."""
_PITCHES = 4


@dataclass(frozen=True, slots=True)
class Course:
    """One way to the identity.

    Attributes
    ----------
    readings : int
        Readings taken.
    steps : int
        Steps in all, with looking for a stamp and asking for papers.
    minutes : float
        Work [min].
    sure : bool
        Whether 95 % were reached.
    right : bool
        Whether the answer at the end was right.
    """

    readings: int
    steps: int
    minutes: float
    sure: bool
    right: bool


@dataclass(frozen=True, slots=True)
class Courses:
    """The same chain by advised readings alone, in the order of the sheet, and by any step that the advice names."""

    advised: Course
    in_order: Course
    any_step: Course


class _Bench:
    """One chain on the bench, with what has been found out about it so far."""

    def __init__(
        self, seed: int, index: int, catalog: Catalog, draw: Draw, identify: Identify, rows: dict[tuple[str, str], int]
    ) -> None:
        rng = generator(seed, index)
        self.chain: Chain = draw_chain(rng, catalog, draw)
        self._hand = hand_for(rng, self.chain)
        self._words = construction_words(rng, self.chain.piece, hurried=self._hand.hurried)
        self._stamp = stamp_on(rng, catalog, self.chain)
        self._papers = happens(rng, DRAWING_FOUND)
        self._seeds = (seed, index)
        self._catalog, self._identify, self._rows = catalog, identify, rows
        self._taken: list[Taken] = []
        self._marks: list[dict[str, str]] = []
        self._named = False
        self.readings, self.steps, self.minutes = 0, 0, 0.0

    def answer(self) -> Identification:
        found: dict[str, Any] = evidence(self._words, self._marks, self._taken)
        return self._identify(Evidence.of(found), self._catalog)

    def verdict(self, answer: Identification) -> Verdict:
        return judge(answer, self.chain.row, self._rows)

    def measure(self, name: str) -> None:
        """Take one dimension as the table of ways says; it reads the same whatever was taken before."""
        way = WAYS[name]
        self.steps += 1
        if name not in self.chain.piece.new:
            self.minutes += _NOT_THERE * way.minutes
            self._note_absence(name)
            return
        rng = np.random.default_rng([*self._seeds, 1, COLUMN[name]])
        over = _PITCHES if name == "pitch" else None
        instrument = way.instrument.value if way.instrument.value in {"tape", "steel rule"} else "digital caliper"
        self._taken.append(
            take(rng, self.chain.piece, self.chain.wear, self._hand, name, instrument=instrument, over=over)
        )
        self.readings += 1
        self.minutes += way.minutes

    def _note_absence(self, name: str) -> None:
        word = _ABSENT.get(name, "")
        if word == "single strand" or word in self.chain.piece.kind.seen_as:
            self._words.append(word)

    def try_step(self, step: NextStep) -> bool:
        """Look for the stamp or at the links, or ask for the papers; True where the papers name the chain."""
        self.steps += 1
        self.minutes += step.minutes
        if step.label == "machine papers":
            return self._papers
        if step.label == "stamp":
            self._marks = self._stamp
        else:
            self._words += seen(self.chain.piece, step.label)
        return False

    def course(self, answer: Identification, *, named: bool = False) -> Course:
        verdict = self.verdict(answer)
        sure = named or verdict.stated >= SURE
        return Course(self.readings, self.steps, self.minutes, sure, named or verdict.right)


def compare(
    seed: int, index: int, catalog: Catalog, identify: Identify, rows: dict[tuple[str, str], int], draw: Draw = "rows"
) -> Courses:
    """Take chain `index` of `seed` by every course.

    Parameters
    ----------
    seed, index : int
    catalog : Catalog
    identify : callable
    rows : dict
        From `judging.rows_by_name`.
    draw : {"rows", "tables"}
    """

    def bench() -> _Bench:
        return _Bench(seed, index, catalog, draw, identify, rows)

    return Courses(_advised(bench(), readings_only=True), _in_order(bench()), _advised(bench(), readings_only=False))


def _in_order(bench: _Bench) -> Course:
    answer = bench.answer()
    for name in _sheet(bench.chain):
        if bench.verdict(answer).stated >= SURE:
            break
        bench.measure(name)
        answer = bench.answer()
    return bench.course(answer)


def _sheet(chain: Chain) -> Iterator[str]:
    return (name for name in chain.piece.kind.dimensions if name in WAYS and name in chain.piece.new)


def _advised(bench: _Bench, *, readings_only: bool) -> Course:
    """Follow the advice; where it names nothing new, the sheet goes on."""
    answer, tried = bench.answer(), set[str]()
    while bench.verdict(answer).stated < SURE:
        step = _first(answer, tried, readings_only=readings_only)
        name = step.dimension if step else next((each for each in _sheet(bench.chain) if each not in tried), None)
        if step is not None and step.dimension is None:
            tried.add(step.label)
            if bench.try_step(step):
                return bench.course(answer, named=True)
        elif name is not None:
            tried.add(name)
            bench.measure(name)
        else:
            break
        answer = bench.answer()
    return bench.course(answer)


def _first(answer: Identification, tried: set[str], *, readings_only: bool) -> NextStep | None:
    """Give the first step of the advice that was not tried; with `readings_only`, the first with a dimension."""
    open_steps = (each for each in answer.next if (each.dimension or each.label) not in tried)
    return next((each for each in open_steps if each.dimension or not readings_only), None)
