"""How a chain in use wears, for a page: the plot, and what can honestly be said of when its limit is reached."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from chaincase.documents.duty_charts import wear_plot_of
from chaincase.documents.paper import MONTHS, day_in_words
from chaincase.duty.result import Result
from chaincase.duty.wear_answer import wear
from chaincase.duty.wear_form import WearForm
from chaincase.errors import BadInput, BadInputs


@dataclass(frozen=True, slots=True)
class Wear:
    """What the readings of one chain say.

    Attributes
    ----------
    plot : str
        SVG; empty without a reading that can be used.
    words : tuple of str
        How worn it is, and when the limit is reached, in sentences.
    doubts : tuple of str
        What limits that.
    assumptions, sources : tuple of str
        Of the answer.
    faults : tuple of str
        Why there is no answer.
    """

    plot: str = ""
    words: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    faults: tuple[str, ...] = ()


def wear_of(form: dict[str, Any], title: str) -> Wear:
    """Give what a form `chaincase/wear-1` of a chain in use says; without a reading nothing."""
    if not form["readings"]:
        return Wear()
    try:
        found = wear(WearForm.of(form))
    except BadInput as fault:
        several = fault.faults if isinstance(fault, BadInputs) else (fault,)
        return Wear(faults=tuple(_plain(each, form) for each in several))
    return Wear(
        plot=wear_plot_of(found, title),
        words=tuple(wear_words(found)),
        doubts=found.warnings,
        assumptions=found.assumptions,
        sources=found.sources,
    )


def check_reading(form: dict[str, Any], reading: dict[str, Any]) -> None:
    """Refuse a reading that the answer could not use, before it is kept.

    Raises
    ------
    BadInput
        With the field of the reading.
    """
    usable = {"pitch": "1 in", "kind": "roller", **form, "readings": [reading]}
    try:
        WearForm.of(usable)
    except BadInput as fault:
        several = fault.faults if isinstance(fault, BadInputs) else (fault,)
        mine = [each for each in several if each.where.startswith("readings[0]")]
        if mine:
            stripped = [
                BadInput(e.what, where=e.where.removeprefix("readings[0]").lstrip(".: "), right=e.right) for e in mine
            ]
            raise (stripped[0] if len(stripped) == 1 else BadInputs(stripped)) from None


def _plain(fault: BadInput, form: dict[str, Any]) -> str:
    """Say what is missing of the chain, or wrong with a reading, in words of the page."""
    if fault.where in {"pitch", "kind"} and not form.get(fault.where):
        return f"say the {fault.where} of this chain: without it nothing can be told of its wear"
    return str(fault)


def wear_words(found: Result) -> Iterator[str]:
    """Say how worn a chain is, and when its limit is reached."""
    if "elongation_percent" not in found:
        return
    strand = f" (strand {found['strand']})" if "strand" in found else ""
    percent, u = found.number("elongation_percent"), found.number("elongation_u_percent")
    day = day_in_words(date.fromisoformat(str(found["on"])))
    yield f"{percent:.2f} % longer than new on {day}{strand}, give or take {2 * u:.2f} %."
    if "limit_percent" not in found:
        yield "No limit is known for this kind of chain."
        return
    rule = next(value.note for value in found.values if value.name == "limit_percent")
    passed = found.number("limit_passed")
    yield f"The limit is {found.number('limit_percent'):g} % ({rule}); {_passed(passed)}."
    yield _when(found)


def _passed(probability: float) -> str:
    if probability > 0.95:
        return "it is passed: replace the chain"
    if probability < 0.05:
        return "it is not passed yet"
    return f"whether it is passed cannot be told from these readings ({100 * probability:.0f} in 100 that it is)"


def _when(found: Result) -> str:
    """Say when the limit is reached, as surely as the readings allow.

    >>> from chaincase.duty.result import Value
    >>> early = Value("limit_on_early", "", "2027-01-02")
    >>> _when(Result("s", "t", (early,)))
    'If it goes on so, the limit may be reached from January 2027 on; no likely date can be given.'
    """
    early, middle, late = (
        _month(str(found[name])) if (name := f"limit_on_{each}") in found else ""
        for each in ("early", "middle", "late")
    )
    if not middle and not early:
        return "When it is reached cannot be told yet: that needs readings of several days."
    if not middle:
        return f"If it goes on so, the limit may be reached from {early} on; no likely date can be given."
    span = f"between {early} and {late}" if early and late else f"from {early} on" if early else f"before {late}"
    said = f"If it goes on so, the limit is reached {span if early or late else ''}".rstrip()
    return f"{said}, most likely about {middle}{'' if late else '; no latest date can be given'}."


def _month(day: str) -> str:
    return f"{MONTHS[int(day[5:7]) - 1]} {day[:4]}"
