"""Which chain it is: evidence, wheels and papers weighed together, and what a person settled."""

from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from functools import reduce
from operator import add
from typing import Final

import numpy as np

from chaincase.case.form import Case
from chaincase.case.found import Base, RecordFinding, Rests, Settled, WheelFinding, percent
from chaincase.case.wheels import beside_paper, beside_wheel, names_in
from chaincase.catalog.table import Catalog
from chaincase.chains.designation import key
from chaincase.chains.kinds import KINDS
from chaincase.duty.result import Result
from chaincase.duty.sprocket_reading import OTHER_WHEEL
from chaincase.duty.sprocket_reading_answer import sprocket_reading
from chaincase.errors import BadInput
from chaincase.identifying.answer import Identification
from chaincase.identifying.beside import Beside
from chaincase.identifying.identification import SETTLED, identify, trust_words
from chaincase.makeup.hypotheses import links_named
from chaincase.reading.candidate import Field
from chaincase.reading.order_line import read_order
from chaincase.units import parse_length, show_length

_UNLIKELY: Final = 0.05
"""A chain that a person chose and that the evidence gives less stands against the evidence."""


def records(case: Case, catalog: Catalog) -> tuple[RecordFinding, ...]:
    """Give the old papers, read."""
    return tuple(
        RecordFinding(each.text, each.where, read_order(each.text, catalog), (f"records[{i}]",))
        for i, each in enumerate(case.records)
        if each.text.strip()
    )


def identity(
    case: Case, catalog: Catalog, papers: Sequence[RecordFinding]
) -> tuple[Identification | None, tuple[str, ...], tuple[WheelFinding, ...]]:
    """Give the identity, what it rests on, and what each wheel says; None without any evidence."""
    evidence = case.identity_evidence()
    beside = list(_wheels(case, catalog))
    named = [(rows, paper) for paper in papers if (rows := rows_named(paper, catalog))]
    rests = [*_places(case), *(place for place, _ in beside), *(paper.rests_on[0] for _, paper in named)]
    if not rests:
        return None, (), ()
    said = [each for _, each in beside] + [beside_paper(rows, catalog) for rows, _ in named]
    found = identify(evidence, catalog, reduce(add, said) if said else None)
    wheels = tuple(_wheel(case, catalog, place, each, found) for place, each in beside)
    return found, tuple(rests), wheels


def _places(case: Case) -> Iterator[str]:
    part = case.evidence
    yield from (f"evidence.construction[{i}]" for i in range(len(part.construction)))
    yield from (f"evidence.marks[{i}]" for i in range(len(part.marks)))
    yield from (f"evidence.readings[{i}]" for i in range(len(part.readings)))


def _wheels(case: Case, catalog: Catalog) -> Iterator[tuple[str, Beside]]:
    for i, wheel in enumerate(case.wheels):
        if wheel.speaks:
            yield f"wheels[{i}]", beside_wheel(wheel.seen(), catalog)


def rows_named(paper: RecordFinding, catalog: Catalog) -> tuple[int, ...]:
    """Give the rows of the first chain number of a paper that the tables know."""
    items = [item for item in paper.read.items if item.field is Field.DESIGNATION]
    return names_in([(str(item.value), item.listed_as) for item in items], catalog.names)


def _wheel(case: Case, catalog: Catalog, place: str, beside: Beside, found: Identification) -> WheelFinding:
    number = int(place.removeprefix("wheels[").removesuffix("]"))
    wheel = case.wheels[number]
    answer = sprocket_reading(wheel.seen(), catalog)
    best = found.candidates[0]
    row = catalog.row(f"{best.table}/{best.designation}")
    against = beside.listed[row] - beside.listed.max() < np.log(2.0 * OTHER_WHEEL)
    said = f"{'may not have been cut for' if against else 'goes with'} {best.designation}"
    return WheelFinding(answer, f"wheel {number + 1}, {wheel.teeth} teeth{_likeliest_cut(answer)}: {said}", (place,))


def _likeliest_cut(answer: Result) -> str:
    """Give pitch and roller that a wheel was likeliest cut for; nothing where it fits no chain."""
    if "pitch_mm" not in answer:
        return ""
    roller = f", {show_length(answer.number('roller_diameter_mm'))} roller" if "roller_diameter_mm" in answer else ""
    pitch = show_length(answer.number("pitch_mm"))
    return f", likeliest cut for {pitch} pitch{roller} ({percent(answer.number('probability'))})"


def base_chain(case: Case, catalog: Catalog, found: Identification | None) -> tuple[Base | None, list[str]]:
    """Give the chain without attachments, as a person chose it or as the evidence settles it, and conflicts."""
    if case.chosen is not None:
        return _chosen(case, catalog, found)
    if found is None or found.conflicts:
        return None, []
    best = found.candidates[0]
    if best.probability < SETTLED:
        return None, []
    row = catalog.row(f"{best.table}/{best.designation}")
    words = f"the evidence gives it {percent(best.probability)}"
    return _base(row, catalog, found, "evidence", words, ("identity",)), []


def _chosen(case: Case, catalog: Catalog, found: Identification | None) -> tuple[Base, list[str]]:
    chosen = case.chosen
    assert chosen is not None  # noqa: S101 - the caller looked
    why = f": {chosen.why}" if chosen.why else ""
    words = f"chosen by {chosen.by}{f' on {chosen.on}' if chosen.on else ''}{why}"
    try:
        row = catalog.row(chosen.designation)
    except BadInput as fault:
        base = _unlisted(case, chosen.designation, words, catalog)
        several = "name of" in fault.what
        return base, [f"{chosen.designation} was chosen, but {fault.what}: {fault.right}"] if several else []
    base = _base(row, catalog, found, "a person", words, ("chosen",))
    return base, list(_against(base, found))


def _unlisted(case: Case, name: str, words: str, catalog: Catalog) -> Base:
    """Give a chosen chain that no table has: its pitch as the case says it, its kind as it looks."""
    kinds = {kind.name for kind in KINDS} & {" ".join(word.lower().split()) for word in case.evidence.construction}
    pitch = None if case.spacing.pitch is None else parse_length(case.spacing.pitch)
    return Base(
        key="",
        row=None,
        designation=name,
        table="",
        kind=kinds.pop() if len(kinds) == 1 else "",
        links=links_named(case.evidence.construction),
        pitch_mm=pitch.mm() if pitch is not None and pitch.unit is not None else None,
        mass_kg_per_m=None,
        tensile_kn=None,
        settled_by="a person",
        probability=None,
        words=words,
        near="".join(get_close_matches(name, catalog.designations, n=1, cutoff=0.7)),
    )


def _base(row: int, catalog: Catalog, found: Identification | None, by: Settled, words: str, rests: Rests) -> Base:
    kind, sizes = KINDS[int(catalog.kind[row])], catalog.dimensions_of(row)
    name, table = catalog.designations[row], catalog.table_of(row)
    return Base(
        key=f"{table}/{name}",
        row=row,
        designation=name,
        table=table,
        kind=kind.name,
        links=kind.links,
        pitch_mm=sizes.get("pitch"),
        mass_kg_per_m=_known(float(catalog.mass_kg_per_m[row])),
        tensile_kn=_known(float(catalog.tensile_kn[row])),
        settled_by=by,
        probability=None if found is None else _share(found, name, table),
        words=words,
        trust=trust_words(catalog, row),
        rests_on=rests,
    )


def _known(value: float) -> float | None:
    return value if value > 0.0 else None  # an empty cell is nan


def _share(found: Identification, name: str, table: str) -> float:
    return next((c.probability for c in found.candidates if (c.designation, c.table) == (name, table)), 0.0)


def _against(base: Base, found: Identification | None) -> Iterator[str]:
    if found is None or base.probability is None or base.probability >= _UNLIKELY:
        return
    best = found.candidates[0]
    likelier = "a chain in none of the tables" if found.unlisted > best.probability else best.designation
    yield f"{base.designation} was chosen, but the evidence points to {likelier}"


def paper_conflicts(base: Base | None, papers: Sequence[RecordFinding], catalog: Catalog) -> list[str]:
    """Say which papers name another chain."""
    if base is None or base.row is None:
        return []
    named = [(paper, rows_named(paper, catalog)) for paper in papers]
    return [
        f"{paper.rests_on[0]} names {catalog.designations[rows[0]]}, the chain is {base.designation}"
        for paper, rows in named
        if rows and base.row not in rows and key(catalog.designations[rows[0]]) != key(base.designation)
    ]
