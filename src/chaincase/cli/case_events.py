"""A phone's file of changes, put into a case file; the register takes the same file on its import page."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from chaincase.case.form import Case
from chaincase.catalog.sheets import read_text
from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, json_from
from chaincase.register.batch import noted_as
from chaincase.register.events import Event, checked
from chaincase.register.folding import Folding, Noted
from chaincase.register.ids import uuid7
from chaincase.register.paths import with_ids

SCHEMA: Final = "chaincase/events-1"
_ADVICE: Final = Advice(
    constant="can be kept",
    number="leave it out",
    text="write it with fewer digits",
    nested="give the file as the phone wrote it",
    shape=f"give {SCHEMA}",
)


def with_events(case: Case, path: Path) -> Case:
    """Give a case with the changes of a phone's file, each once: the same file again changes nothing.

    Raises
    ------
    BadInput
        If it is no such file, belongs to another case, or a change does not go with the case; every fault at once.
    """
    where = str(path)
    data = json_from(read_text(path), _ADVICE, where=where)
    if not isinstance(data, dict) or data.get("schema") != SCHEMA or not isinstance(data.get("events"), list):
        raise BadInput("this is no file of a phone", where=where, right=f"its schema must be {SCHEMA}")
    if data.get("case") != case.case:
        right = "add it to the file of its own case"
        raise BadInput(f"these are of case {str(data.get('case'))[:80]}, not {case.case}", where=where, right=right)
    stem = uuid7()
    folding = Folding()
    folding.take(Noted(1, stem, "create", "", with_ids(case.as_json(), stem), None, "", "", ""))
    known = frozenset(_ids(folding.content))
    faults: list[BadInput] = []
    for number, each in enumerate(data["events"]):
        try:
            event = checked(Event.of(each))
            if event.id not in known:
                _take(folding, event, number + 2)
        except BadInput as fault:
            faults += [one.within(f"{where}: events[{number}]") for one in _each(fault)]
    if faults:
        raise faults[0] if len(faults) == 1 else BadInputs(faults)
    return Case.of(_without_made(folding.content, stem), where=where)


def _take(folding: Folding, event: Event, seq: int) -> None:
    """Put one change in; whoever gives the command has seen the file, so that nothing conflicts."""
    seen = event.model_copy(update={"base": None})
    outcome = folding.take(noted_as(seen, seq, "", ""))
    if outcome == "applied" or (event.kind == "remove" and outcome == "waiting"):
        return
    folding.forget(noted_as(seen, seq, "", ""))
    raise BadInput(f"{event.path} is not in this case", where="path", right="bring the file into the register instead")


def _each(fault: BadInput) -> tuple[BadInput, ...]:
    return tuple(fault.faults) if isinstance(fault, BadInputs) else (fault,)


def _ids(value: Any) -> Iterator[str]:
    """Give the ids of all entries of a content."""
    for each in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from _ids(each)
    if isinstance(value, dict) and isinstance(value.get("id"), str):
        yield value["id"]


def _without_made(value: Any, stem: str) -> Any:
    """Give a content without the ids that were only made to put changes in."""
    if isinstance(value, dict):
        return {
            key: _without_made(each, stem)
            for key, each in value.items()
            if not (key == "id" and str(each).startswith(f"{stem}."))
        }
    return [_without_made(each, stem) for each in value] if isinstance(value, list) else value
