"""One row of a survey sheet as evidence, and what is wrong with a row told in the sheet's own terms."""

import re
from collections.abc import Sequence
from typing import Any

from chaincase.errors import BadInput, BadInputs
from chaincase.identifying.evidence import Evidence
from chaincase.survey.columns import Layout, Measure
from chaincase.units import parse_length

_DIVIDED = re.compile("[;,]")
_PLACE = re.compile(r"(?P<list>readings|marks|construction)\[(?P<number>\d+)\](?:\.(?P<field>\w+))?")


def evidence_of(cells: Sequence[str], layout: Layout) -> Evidence:
    """Give the evidence that a row holds.

    Parameters
    ----------
    cells : sequence of str
        The row, from column A; cells at its end may be missing.
    layout : Layout
        What the columns mean.

    Raises
    ------
    BadInput
        If a value cannot be read, a cell stands under no header, or there is no evidence. Every fault of the row
        is told, with its column.

    >>> layout = Layout(("sample", "mark", "pitch"), 1, 0, -1, (("text", 1),), (Measure("pitch", 2),), ())
    >>> evidence_of(["A1", "W?124", "4.06 in"], layout).readings[0].value
    '4.06 in'
    """
    _check_width(cells, layout)
    readings = [_reading(cells, measure) for measure in measured(cells, layout)]
    words = [word.strip() for word in _DIVIDED.split(cell(cells, layout.construction)) if word.strip()]
    mark = {name: text for name, column in layout.mark if (text := cell(cells, column))}
    marks = [mark] if "text" in mark else []
    if not (readings or words or marks):
        raise BadInput("there is no mark, construction or reading", right="fill in at least one")
    try:
        return Evidence.of({"construction": words, "marks": marks, "readings": readings})
    except BadInputs as faults:
        raise BadInputs([_placed(fault, cells, layout) for fault in faults.faults]) from None
    except BadInput as fault:
        raise _placed(fault, cells, layout) from None


def cell(cells: Sequence[str], column: int) -> str:
    """Give what stands in a column, without blanks around it; -1 is no column."""
    return cells[column].strip() if 0 <= column < len(cells) else ""


def measured(cells: Sequence[str], layout: Layout) -> list[Measure]:
    """Give the dimensions that have a value in the row, in the order of the evidence's readings."""
    return [measure for measure in layout.measures if cell(cells, measure.column)]


def in_terms_of_columns(text: str, cells: Sequence[str], layout: Layout) -> str:
    """Give a message with the sheet's headers in place of `readings[0].instrument` and the like.

    >>> layout = Layout(("sample", "Pitch"), 1, 0, -1, (), (Measure("pitch", 1),), ())
    >>> in_terms_of_columns("readings[0] (pitch 4 in) carries no weight", ["A1", "4 in"], layout)
    'Pitch (pitch 4 in) carries no weight'
    """
    return _PLACE.sub(lambda found: layout.header[_column(found, cells, layout)], text)


def _reading(cells: Sequence[str], measure: Measure) -> dict[str, Any]:
    value = cell(cells, measure.column)
    fields = {name: text for name, column in measure.fields if (text := cell(cells, column))}
    if measure.unit and _is_bare(value):
        value = f"{value} {measure.unit}"
    return {"dimension": measure.dimension, "value": value, **fields}


def _is_bare(value: str) -> bool:
    try:
        return parse_length(value).unit is None
    except BadInput:
        return False  # the fault is found, and told with its place, when the evidence is read


def _check_width(cells: Sequence[str], layout: Layout) -> None:
    """Refuse what stands under no header: a comma in a value may have moved the row to the right."""
    for column, text in enumerate(cells):
        if text.strip() and not (column < len(layout.header) and layout.header[column]):
            right = 'put quotes around a cell that holds the dividing character, such as "63,5 mm", or name the column'
            raise BadInput("the cell stands under no header", where=layout.place(column), right=right)


def _placed(fault: BadInput, cells: Sequence[str], layout: Layout) -> BadInput:
    """Give a fault of the evidence with the column in which it stands."""

    def place(found: re.Match[str]) -> str:
        return layout.place(_column(found, cells, layout))

    return BadInput(fault.what, where=_PLACE.sub(place, fault.where), right=fault.right)


def _column(found: re.Match[str], cells: Sequence[str], layout: Layout) -> int:
    """Give the column of a place in the evidence."""
    if found["list"] == "construction":
        return layout.construction
    if found["list"] == "marks":
        return dict(layout.mark).get(found["field"], layout.mark[0][1])
    measure = measured(cells, layout)[int(found["number"])]
    return dict(measure.fields).get(found["field"], measure.column)
