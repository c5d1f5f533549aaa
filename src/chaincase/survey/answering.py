"""The answers to rows: one line of the output each, whatever the row holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput, BadInputs
from chaincase.identifying.answer import NextStep, Suggestion, Summary
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import summaries
from chaincase.survey.columns import Layout
from chaincase.survey.samples import cell, evidence_of, in_terms_of_columns

NumberedRow = tuple[int, list[str]]
"""Number of a row in the sheet, and its cells."""

COLUMNS = (
    "sample",
    "designation",
    "probability",
    "second",
    "second_probability",
    "unlisted",
    "next",
    "warnings",
)
NOT_READ = "not read: "
_BETWEEN = " | "
_DIGITS = 6
"""Decimals of a probability: more than anybody needs, few enough to read."""


@dataclass(frozen=True, slots=True)
class Answer:
    """One line of the answers; figures are None and texts empty where the row could not be read.

    Attributes
    ----------
    sample : str
        Id, as written.
    designation, second : str
        The two likeliest chains.
    probability, second_probability, unlisted : float or None
        Of these, and of a chain in none of the tables [-].
    next : str
        What to find out next, in a few words; empty where the identity is settled.
    warnings : str
        What a person must know, or why the row was not read.
    passed : tuple of str
        The columns that are handed through.
    """

    sample: str
    designation: str
    probability: float | None
    second: str
    second_probability: float | None
    unlisted: float | None
    next: str
    warnings: str
    passed: tuple[str, ...] = ()

    def cells(self) -> tuple[str | float | None, ...]:
        """Give the cells of the line, `COLUMNS` first."""
        figures = (self.probability, self.second, self.second_probability, self.unlisted)
        return (self.sample, self.designation, *figures, self.next, self.warnings, *self.passed)

    @classmethod
    def of_cells(cls, cells: Sequence[Any]) -> "Answer":
        """Give the line that has these cells."""
        named = dict(zip(COLUMNS, cells, strict=False))
        return cls(**named, passed=tuple(cells[len(COLUMNS) :]))


def answers(rows: Sequence[NumberedRow], layout: Layout, catalog: Catalog) -> list[Answer]:
    """Identify the samples of several rows.

    Parameters
    ----------
    rows : sequence of (int, list of str)
        Their numbers in the sheet, for messages, and their cells.
    layout : Layout
        What the columns mean.
    catalog : Catalog
        The chains that they may be.

    Returns
    -------
    list of Answer
        One for each row, in order. A row that cannot be used gets an answer, too, which says why.
    """
    read = [_read(*row, layout) for row in rows]
    usable = [each for each in read if isinstance(each, Evidence)]
    try:
        found = iter(summaries(usable, catalog))
    except MemoryError:
        raise
    except Exception as fault:  # noqa: BLE001 (one odd row must not stop ten thousand others)
        if len(rows) == 1:
            return [_unread(*rows[0], layout, _failed(fault))]
        return [one for row in rows for one in answers([row], layout, catalog)]
    return [
        _identified(cells, next(found), layout) if isinstance(each, Evidence) else each
        for (_, cells), each in zip(rows, read, strict=True)
    ]


def answer(row: int, cells: Sequence[str], layout: Layout, catalog: Catalog) -> Answer:
    """Identify the sample of one row, as `answers` does."""
    return answers([(row, list(cells))], layout, catalog)[0]


def short_step(step: NextStep | Suggestion | None) -> str:
    """Give a next step in a few words, such as "pin diameter, digital caliper"."""
    return ", ".join(part for part in (step.label, step.instrument) if part) if step else ""


def _read(row: int, cells: Sequence[str], layout: Layout) -> Evidence | Answer:
    """Give the evidence of a row, or the answer that says why there is none."""
    try:
        return evidence_of(cells, layout)
    except BadInput as fault:
        return _unread(row, cells, layout, fault)
    except MemoryError:
        raise
    except Exception as fault:  # noqa: BLE001 (one odd row must not stop ten thousand others)
        return _unread(row, cells, layout, _failed(fault))


def _failed(fault: Exception) -> BadInput:
    if isinstance(fault, BadInput):
        return fault
    what = f"the program failed here ({type(fault).__name__}: {fault})"
    return BadInput(what, right="report this row as a fault of the program")


def _identified(cells: Sequence[str], found: Summary, layout: Layout) -> Answer:
    warnings = [in_terms_of_columns(warning.partition("; known: ")[0], cells, layout) for warning in found.warnings]
    return Answer(
        sample=cell(cells, layout.sample),
        designation=found.designation,
        probability=round(found.probability, _DIGITS),
        second=found.second,
        second_probability=None if found.second_probability is None else round(found.second_probability, _DIGITS),
        unlisted=round(found.unlisted, _DIGITS),
        next=short_step(found.next),
        warnings=_BETWEEN.join(warnings),
        passed=_passed(cells, layout),
    )


def _unread(row: int, cells: Sequence[str], layout: Layout, fault: BadInput) -> Answer:
    faults = fault.faults if isinstance(fault, BadInputs) else (fault,)
    reasons = _BETWEEN.join(" ".join(str(_in_row(each, row)).split()) for each in faults)
    sample = cell(cells, layout.sample)
    return Answer(sample, "", None, "", None, None, "", NOT_READ + reasons, _passed(cells, layout))


def _in_row(fault: BadInput, row: int) -> BadInput:
    return BadInput(fault.what, where=", ".join(filter(None, (f"row {row}", fault.where))), right=fault.right)


def _passed(cells: Sequence[str], layout: Layout) -> tuple[str, ...]:
    return tuple(cell(cells, column) for _, column in layout.passed)
