"""What was found out about a duty, ready to be shown: values, arithmetic, what was taken for granted, cautions."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from chaincase.case.findings import Findings
from chaincase.documents.amounts import shown
from chaincase.documents.duty_charts import QUESTIONS, Chart, charts_of
from chaincase.duty import cautions
from chaincase.duty.finding import Answer as Word
from chaincase.duty.result import Amount, Result, Table, Value
from chaincase.web.desk_figure import entries_of
from chaincase.web.looks import odds
from chaincase.web.plant_wear import wear_words

_CAUTIONS: Final = frozenset(text for name, text in vars(cautions).items() if name.isupper())
_UNITS: Final[Mapping[str, str]] = {
    "mm": "mm", "n": "N", "percent": "%", "deg": "degrees", "kw": "kW", "nm": "N m", "m": "m",
}  # fmt: skip
_ASKED: Final = {"length": "pitches", "wear": "elongation_percent"}
"""Values that are asked for, where they do not come first."""
_FIRST: Final = 7
"""Values that stand in sight; the rest is folded."""
_HIDDEN: Final = frozenset({"forecast"})
"""Tables that their chart says better."""


@dataclass(frozen=True, slots=True)
class Line:
    """A value in words."""

    label: str
    text: str
    note: str


@dataclass(frozen=True, slots=True)
class Rows:
    """A table in words; `numbers` tells of each column whether it holds numbers."""

    label: str
    columns: tuple[str, ...]
    numbers: tuple[bool, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer.

    Attributes
    ----------
    title : str
        What was worked out.
    says : tuple of str
        The answer in sentences, where it has any.
    lines, more : tuple of Line
        Values in sight, and those that are folded.
    charts : tuple of Chart
        In sight.
    tables : tuple of Rows
        Folded, with the arithmetic.
    steps, assumptions, warnings, cautions, sources : tuple of str
        As in every answer of the room `duty`; what guards people stands apart.
    """

    title: str
    says: tuple[str, ...]
    lines: tuple[Line, ...]
    more: tuple[Line, ...]
    charts: tuple[Chart, ...]
    tables: tuple[Rows, ...]
    steps: tuple[str, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def short(self) -> str:
        """The value that was asked for first."""
        return self.lines[0].text if self.lines else ""


@dataclass(frozen=True, slots=True)
class Question:
    """Fits, carries or lasts: the answer in a word, why, how near it is, what it hinges on."""

    name: str
    answer: str
    why: str
    margin: str
    hinges: str

    @property
    def tone(self) -> str:
        """How it is set: good, mind, fault, or nothing where it cannot be told."""
        return {Word.YES.value: "good", Word.LIMITED.value: "mind", Word.NO.value: "fault"}.get(self.answer, "")


def answer_of(sort: str, found: Result) -> Answer:
    """Give an answer ready to be shown; `sort` is the sort of question."""
    lines = tuple(_line(each) for each in _ordered(sort, found.values))
    return Answer(
        title=found.title,
        says=tuple(wear_words(found)) if sort == "wear" else (),
        lines=lines[:_FIRST],
        more=lines[_FIRST:],
        charts=charts_of(sort, found),
        tables=tuple(_table(each) for each in found.tables if each.rows and each.name not in _HIDDEN),
        steps=found.steps,
        assumptions=found.assumptions,
        warnings=tuple(each for each in found.warnings if each not in _CAUTIONS),
        cautions=tuple(each for each in found.warnings if each in _CAUTIONS),
        sources=found.sources,
    )


def _ordered(sort: str, values: tuple[Value, ...]) -> tuple[Value, ...]:
    """Give the values with the one that was asked for first; those of a verdict stand in its questions."""
    if sort == "verdict":
        return ()
    return tuple(sorted(values, key=lambda each: each.name != _ASKED.get(sort)))


def _line(each: Value) -> Line:
    unsure = "probability" in each.label and isinstance(each.amount, float)
    return Line(each.label, odds(float(each.amount)) if unsure else shown(each.amount, each.unit), each.note)


def _table(table: Table) -> Rows:
    numbers = tuple(
        any(isinstance(row[at], float | int) and not isinstance(row[at], bool) for row in table.rows)
        for at in range(len(table.columns))
    )
    rows = tuple(tuple("" if each is None else _cell(each) for each in row) for row in table.rows)
    return Rows(table.label, tuple(_heading(each) for each in table.columns), numbers, rows)


def _cell(entry: Amount) -> str:
    return f"{entry:.4g}" if isinstance(entry, float) else shown(entry)


def _heading(column: str) -> str:
    """Give the heading of a column.

    >>> _heading("strand_force_n"), _heading("governed_by")
    ('strand force, N', 'governed by')
    """
    name, _, unit = column.rpartition("_")
    return f"{name.replace('_', ' ')}, {_UNITS[unit]}" if name and unit in _UNITS else column.replace("_", " ")


def questions_of(found: Result) -> tuple[Question, ...]:
    """Give the three questions of a verdict."""
    return tuple(_question(name, found) for name in QUESTIONS)


def _question(name: str, found: Result) -> Question:
    values = {each.name: each for each in found.values}
    margin = values.get(f"{name}_margin")
    hinges = values.get(f"{name}_hinges_on")
    return Question(
        name=QUESTIONS[name],
        answer=str(values[name].amount),
        why=values[name].note,
        margin=f"{found.number(margin.name):.2f}: {margin.note}" if margin is not None else "",
        hinges=str(hinges.amount) if hinges is not None else "",
    )


def trouble_of(found: Findings, place: str) -> str:
    """Say why a question of the duty has no answer; empty where it has one, or was not asked."""
    head = f"duty.{place} cannot be answered"
    told = next((each for each in found.warnings if each.startswith(head)), "")
    plain = told.removeprefix("duty.").removeprefix(place).strip().replace("_", " ")
    return plain[:1].upper() + plain[1:]


def wheel_answers(found: Findings, content: Mapping[str, Any]) -> Iterator[tuple[str, Answer | None, str]]:
    """Give for every sprocket what it is in words, its answer, and why it has none."""
    by_place = {each.rests_on[0]: each for each in found.wheels if each.rests_on}
    for at, entry in enumerate(entries_of(content, "wheels")):
        known = by_place.get(f"wheels[{at}]")
        # Findings count wheels from 1 as well, but only those of the evidence.
        words = re.sub(r"^wheel \d+, ", "", known.words) if known is not None else _teeth(entry)
        yield words, answer_of("wheel", known.answer) if known is not None else None, ""
    for at, entry in enumerate(entries_of(content, "duty", "sprockets")):
        place = f"sprockets[{at}]"
        result = found.duty.get(place)
        cut = f"cut for {entry['chain']}" if entry.get("chain") else "taken as cut for the chain of the case"
        words = f"{_teeth(entry)}, {cut}"
        yield words, answer_of("sprocket", result) if result is not None else None, trouble_of(found, place)


def _teeth(entry: Mapping[str, Any]) -> str:
    return f"{entry.get('teeth', '?')} teeth"


_STATES: Final[Mapping[str, tuple[str, str, str, str]]] = {
    "fits": ("fits", "fits with limits", "does not fit", "fit"),
    "carries": ("carries", "carries with limits", "does not carry", "carry"),
    "lasts": ("lasts", "lasts with limits", "does not last", "last"),
}
_WORDS: Final = (Word.YES.value, Word.LIMITED.value, Word.NO.value, Word.OPEN.value)


def duty_in_words(found: Findings, content: Mapping[str, Any]) -> str:
    """Say in a few words what is known of the duty of a case, for the link to its page."""
    verdict = found.verdict
    if verdict is None:
        duty = content.get("duty")
        return "asked" if found.duty or (isinstance(duty, Mapping) and any(duty.values())) else "not asked"
    answers = {name: _WORDS.index(str(verdict[name])) for name in _STATES}
    told = [_STATES[name][at] for name, at in answers.items() if at < len(_WORDS) - 1]
    open_ones = [name for name, at in answers.items() if at == len(_WORDS) - 1]
    return "; ".join(filter(None, (", ".join(told), f"{', '.join(open_ones)} open" if open_ones else "")))
