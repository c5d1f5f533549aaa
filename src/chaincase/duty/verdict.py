"""A verdict on a candidate: does it fit, does it carry, does it last, each with its margin and what it hinges on."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from chaincase.catalog.table import Catalog
from chaincase.duty import cautions
from chaincase.duty.candidate import Candidate, of_row
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.finding import Answer, Finding
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result, Table, Value
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.verdict_carry import Carried, carries_drive, carries_pull
from chaincase.duty.verdict_fit import fits
from chaincase.duty.verdict_form import VerdictForm
from chaincase.duty.verdict_last import lasts
from chaincase.duty.wear_form import WearForm
from chaincase.errors import BadInput

SCHEMA: Final = "chaincase/duty-verdict-1"

_QUESTIONS: Final = {"fits": "fits the sprockets", "carries": "carries the duty", "lasts": "lasts"}
_ORDER: Final = (Answer.NO, Answer.OPEN, Answer.LIMITED, Answer.YES)
_MOST_SWINGS: Final = 12


def answer(form: VerdictForm, catalog: Catalog) -> Result:
    """Give the verdict that a form asks for.

    Raises
    ------
    BadInput
        If a chain is in no table, or the duty cannot be worked out; the message names the key.
    """
    row, old = _row(catalog, form.candidate, "candidate"), None
    if form.old_name is not None:
        old = _row(catalog, form.old_name, "old")
    return verdict(
        row,
        form.sprockets,
        form.pull or form.drive,
        form.wear,
        catalog,
        old=old,
        working_load=form.working_load,
        allowed_pressure=form.allowed_pressure,
        years=form.years,
        name=form.name,
    )


def _row(catalog: Catalog, designation: str, key: str) -> int:
    try:
        return catalog.row(designation)
    except BadInput as fault:
        raise fault.within(key) from None


def verdict(
    row: int,
    sprockets: Sequence[SprocketForm],
    duty: PullForm | DriveForm | None,
    wear: WearForm | None,
    catalog: Catalog,
    *,
    old: int | None = None,
    working_load: float | None = None,
    allowed_pressure: float | None = None,
    years: float | None = None,
    name: str = "",
) -> Result:
    """Give a verdict on a candidate replacement.

    Parameters
    ----------
    row : int
        Row of the candidate in the catalog.
    sprockets : sequence of SprocketForm
        The wheels that stay.
    duty : PullForm, DriveForm or None
        What it must carry; its chain's designation is that of the old chain.
    wear : WearForm or None
        How the old chain wore.
    catalog : Catalog
        The chains.
    old : int or None
        Row of the old chain.
    working_load, allowed_pressure : float or None
        Of the candidate by its maker [N, N/mm2].
    years : float or None
        Life that is wanted [years].
    name : str
        What the machine is called.

    Returns
    -------
    Result
        Values `fits`, `carries`, `lasts` with margins and what they hinge on; tables `verdicts`, `checks` (bars for a
        chart: a margin of 1 is just enough), `sensitivity` (spans for a chart) and, of a conveyor, `contributions`.

    Raises
    ------
    BadInput
        If the duty cannot be worked out.
    """
    chain = replace(of_row(catalog, row), working_load=working_load, allowed_pressure=allowed_pressure)
    before = None if old is None else of_row(catalog, old)
    carried = _carried(duty, chain, before)
    pulls = _pulls(duty, carried, before)
    found = {
        "fits": fits(catalog, row, sprockets, old),
        "carries": carried.finding,
        "lasts": lasts(chain, before, pulls, wear, years),
    }
    return Result(
        schema=SCHEMA,
        title=f"{chain.designation} as a replacement" + (f" on {name}" if name else ""),
        values=tuple(_values(chain, before, found)),
        steps=tuple(f"{question}: {step}" for question, each in found.items() for step in each.steps),
        assumptions=tuple(dict.fromkeys(words for each in found.values() for words in each.assumptions)),
        warnings=tuple(dict.fromkeys(_warnings(found, catalog, row, old, duty))),
        sources=tuple(dict.fromkeys([*(s for each in found.values() for s in each.sources), chain.origin])),
        tables=tuple(_tables(found, carried)),
    )


def _carried(duty: PullForm | DriveForm | None, chain: Candidate, old: Candidate | None) -> Carried:
    if isinstance(duty, PullForm):
        return carries_pull(duty, chain, old)
    if isinstance(duty, DriveForm):
        return carries_drive(duty, chain)
    return Carried(Finding(Answer.OPEN, "no conveyor and no drive is described", hinges="the duty"), None, None)


def _pulls(duty: PullForm | DriveForm | None, carried: Carried, old: Candidate | None) -> tuple[float, float] | None:
    """Give the pull of one strand with the new and with the old chain [N]."""
    if carried.strand_pull is None or duty is None:
        return None
    before = None
    if old is not None:
        before = carries_pull(duty, old, old) if isinstance(duty, PullForm) else carries_drive(duty, old)
    if before is None or not before.strand_pull:
        return carried.strand_pull, carried.strand_pull
    return carried.strand_pull, before.strand_pull


def _values(chain: Candidate, old: Candidate | None, found: dict[str, Finding]) -> Iterator[Value]:
    yield Value("candidate", "candidate", chain.designation)
    if old is not None:
        yield Value("old", "chain that runs now", old.designation)
    for question, each in found.items():
        yield Value(question, f"it {_QUESTIONS[question]}", each.answer.value, "", each.why)
        if each.governing is not None:
            yield Value(f"{question}_margin", "smallest margin", each.governing.margin, "", each.governing.words)
        if each.hinges:
            yield Value(f"{question}_hinges_on", "what that hinges on most", each.hinges)
    yield Value("verdict", "all in all", min((each.answer for each in found.values()), key=_ORDER.index).value)


def _warnings(
    found: dict[str, Finding], catalog: Catalog, row: int, old: int | None, duty: PullForm | DriveForm | None
) -> Iterator[str]:
    if any(each.answer is Answer.OPEN for each in found.values()):
        yield "a question that cannot be told is not a yes: find out what is missing before the chain is ordered"
    if isinstance(duty, PullForm) and duty.conveyor == "bucket elevator":
        yield cautions.ELEVATOR
    if duty is not None and isinstance(duty, PullForm) and duty.people_near is not False:
        yield cautions.PEOPLE
    yield from (warning for each in found.values() for warning in each.warnings)
    if old is not None and catalog.kind[old] != catalog.kind[row]:
        yield "the candidate is of another kind than the chain that runs now: tracks, guides and casing must suit it"
    yield "attachments, material, hardness and finish are in no table and not part of this verdict"
    yield cautions.WHOLE_STRAND
    yield cautions.ENQUIRY


def _tables(found: dict[str, Finding], carried: Carried) -> Iterator[Table]:
    columns = ("question", "answer", "margin", "governed_by", "hinges_on")
    rows = tuple(
        (
            question, each.answer.value, each.governing.margin if each.governing else None,
            each.governing.words if each.governing else None, each.hinges or None,
        )
        for question, each in found.items()
    )  # fmt: skip
    yield Table("verdicts", "the three questions", columns, rows)
    checks = tuple((q, c.words, c.has, c.needs, c.unit, c.margin) for q, each in found.items() for c in each.checks)
    check_columns = ("question", "check", "has", "needs", "unit", "margin")
    yield Table("checks", "every check; a margin of 1 is just enough", check_columns, checks)
    swing_columns = ("question", "assumption", "from", "to", "margin_from", "margin_to", "margin", "range_from")
    swings = tuple(
        (q, s.assumption.words, s.assumption.low, s.assumption.high, s.low, s.high, s.base, s.assumption.source)
        for q, each in found.items()
        for s in each.swings[:_MOST_SWINGS]
    )
    yield Table("sensitivity", "one assumption at a time, the strongest first", swing_columns, swings)
    if carried.detail is not None:
        yield from (table for table in carried.detail.tables if table.name == "contributions")
