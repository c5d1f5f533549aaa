"""Two chains of the tables on one figure, with what was read of the sample beside them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from chaincase.catalog.describe import describe
from chaincase.catalog.table import Catalog, Limit
from chaincase.chains.kinds import KINDS
from chaincase.drawing.figure import State, figure
from chaincase.drawing.from_tables import size_text
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.measuring.estimate import estimate
from chaincase.units import show_length
from chaincase.web.server import Server
from chaincase.web.service import Standing

_LIMIT: Final = {Limit.NOMINAL: "", Limit.MAXIMUM: "at most", Limit.MINIMUM: "at least"}


@dataclass(frozen=True, slots=True)
class CompareRow:
    """One dimension of both chains, with limits in words; `apart` says by how much they differ."""

    letter: str
    label: str
    one: str
    other: str
    apart: str
    read: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two chains: names, figure, rows, and what can be chosen instead."""

    one: str
    other: str
    one_name: str
    other_name: str
    svg: str
    caption: str
    rows: tuple[CompareRow, ...]
    choices: tuple[tuple[str, str], ...]


def compare(server: Server, stands: Standing, one: str, other: str) -> Compared:
    """Give two candidates of a case beside each other; without names the two likeliest.

    Raises
    ------
    BadInput
        If a chain is in no table.
    """
    catalog, choices = server.catalog, _choices(stands)
    keys = [key for key, _ in choices]
    one = one or (keys[0] if keys else "")
    other = other or next((key for key in keys if key != one), "")
    if not one or not other:
        return Compared(one, other, "", "", "", "", (), choices)
    first, second = catalog.row(one), catalog.row(other)
    names = catalog.designations[first], catalog.designations[second]
    svg, caption = _drawn(catalog, first, second, names)
    rows = _rows(catalog, first, second, _read(stands))
    known = dict(choices) | {one: names[0], other: names[1]}
    return Compared(one, other, *names, svg, caption, rows, tuple(known.items()))


def _choices(stands: Standing) -> tuple[tuple[str, str], ...]:
    answer = stands.findings.identity if stands.findings is not None else None
    if answer is None:
        return ()
    return tuple(
        (f"{each.table}/{each.designation}", f"{each.designation} ({each.table})") for each in answer.candidates[:12]
    )


def _drawn(catalog: Catalog, first: int, second: int, names: tuple[str, str]) -> tuple[str, str]:
    kind, sizes, others = KINDS[int(catalog.kind[first])], catalog.dimensions_of(first), catalog.dimensions_of(second)
    both = [name for name in kind.dimensions if name in sizes and name in others]
    known = {name: sizes[name] for name in kind.dimensions if name in sizes}
    try:
        scene = figure(
            kind.name,
            known,
            values={name: size_text(sizes[name]) for name in both},
            found={name: size_text(others[name]) for name in both},
            title=f"{names[0]} over {names[1]}",
            letters=both,
            state=State.COMPARE,
        )
    except BadInput:
        return "", f"{names[0]} cannot be drawn from the figures of its table."
    return write_svg(scene), f"Drawn to scale of {names[0]}. Over the rule its size, below that of {names[1]}, in mm."


def _read(stands: Standing) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for entry in stands.form.evidence.readings if stands.form is not None else ():
        reading = entry.reading()
        known = estimate(reading, unit="mm" if reading.is_bare else None)
        if known.usable:
            found.setdefault(known.dimension, []).append(show_length(known.value_mm))
    return {name: "; ".join(each) for name, each in found.items()}


def _rows(catalog: Catalog, first: int, second: int, read: Mapping[str, str]) -> tuple[CompareRow, ...]:
    one = {each.dimension.name: each for each in describe(catalog, first)}
    other = {each.dimension.name: each for each in describe(catalog, second)}
    rows = []
    for name in dict.fromkeys((*one, *other)):
        a, b = one.get(name), other.get(name)
        dimension = (a or b).dimension  # type: ignore[union-attr]
        apart = (
            show_length(abs(a.value - b.value))
            if a and b and abs(a.value - b.value) > 1e-9
            else "alike"
            if a and b
            else ""
        )
        said = [f"{show_length(each.value)} {_LIMIT[each.limit]}".strip() if each else "" for each in (a, b)]
        rows.append(CompareRow(dimension.letter, dimension.label, said[0], said[1], apart, read.get(name, "")))
    return tuple(rows)
