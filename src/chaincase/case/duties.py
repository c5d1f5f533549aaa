"""The questions about a duty that a case asks: its forms, with the case's own chain where they name none."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from chaincase.catalog.table import Catalog
from chaincase.duty.candidate import of_row
from chaincase.duty.conveyor_answer import pull
from chaincase.duty.drive_answer import drive
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.length_form import LengthForm
from chaincase.duty.pull_form import PullForm
from chaincase.duty.result import Result
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.verdict import answer as verdict
from chaincase.duty.verdict_form import VerdictForm
from chaincase.duty.wear_answer import wear
from chaincase.duty.wear_form import WearForm
from chaincase.errors import BadInput, BadInputs

OWN_KEYS: Final = ("id", "by", "on")
"""Keys of an entry of a case that no form of the room `duty` knows."""

_FORMS: Final[dict[str, Any]] = {
    "sprocket": SprocketForm,
    "length": LengthForm,
    "pull": PullForm,
    "drive": DriveForm,
    "wear": WearForm,
    "verdict": VerdictForm,
}
_HELD: Final = ("pull", "drive", "wear")
"""Forms of a duty that a verdict holds a candidate against, beside the sprockets."""


@dataclass(frozen=True, slots=True)
class DutyChain:
    """The chain that a duty is asked for.

    Attributes
    ----------
    designation : str
        Its name in the tables, as `table/designation` where it stands in one.
    pitch_mm : float
        Nominal pitch [mm].
    kind : str
        Name of its kind.
    links_alike : bool
        Whether all links are alike.
    mass : float or None
        [kg/m]; None where no table has it.
    figures : mapping of str to str, or None
        What a form is told of a chain that only a user's catalog has; None where the packaged tables have it.
    """

    designation: str
    pitch_mm: float
    kind: str
    links_alike: bool
    mass: float | None
    figures: Mapping[str, str] | None = None


def own_figures(name: str, row: int, catalog: Catalog) -> dict[str, str] | None:
    """Give figures of a chain that the packaged tables do not have, as the forms take them; None where they have it."""
    try:
        Catalog.standard().row(name)
    except BadInput:
        found = of_row(catalog, row)
        figures = {
            "tensile": (found.tensile, "N"),
            "pin_diameter": (found.pin, "mm"),
            "bush_length": (found.bush, "mm"),
        }
        return {key: f"{value:.12g} {unit}" for key, (value, unit) in figures.items() if value is not None}
    return None


def filled(sort: str, data: Mapping[str, Any], chain: DutyChain | None) -> dict[str, Any]:
    """Give the data of a form with what the chain of the case says where the form is silent."""
    given = {key: value for key, value in data.items() if key not in OWN_KEYS}
    if chain is None:
        return given
    fill = {
        "sprocket": _sprocket,
        "length": _length,
        "pull": _pull,
        "drive": _drive,
        "wear": _wear,
        "verdict": _verdict,
    }
    return fill[sort](given, chain)


def _sprocket(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    named = any(given.get(key) for key in ("pitch", "chain", "readings", "marks"))
    if named:
        return given
    own = {"chain": chain.designation} if chain.designation else {"pitch": f"{chain.pitch_mm:.12g} mm"}
    return {**own, **given}


def _length(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    return {"pitch": f"{chain.pitch_mm:.12g} mm", "links_alike": chain.links_alike, **given}


def _pull(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    own: dict[str, Any] = {} if chain.mass is None else {"chain_mass": f"{chain.mass:.12g} kg/m"}
    return {**own, **given, **_named(chain, given)}


def _drive(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    pitch = {} if chain.figures is None else {"pitch": f"{chain.pitch_mm:.12g} mm"}
    return {**pitch, **given, **_named(chain, given)} if "pitch" not in given else given


def _named(chain: DutyChain, given: Mapping[str, Any]) -> dict[str, Any]:
    """Give the chain of a form: that of the case, with what its maker says, unless the form names another."""
    said = given.get("chain", {})
    if not isinstance(said, Mapping) or "designation" in said:
        return {}
    own = {"designation": chain.designation} if chain.designation else {}
    known = own if chain.figures is None else dict(chain.figures)
    return {"chain": {**known, **said}} if known or said else {}


def _wear(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    return {"pitch": f"{chain.pitch_mm:.12g} mm", "kind": chain.kind, **given}


def _verdict(given: dict[str, Any], chain: DutyChain) -> dict[str, Any]:
    named = {"candidate": chain.designation, "old": chain.designation} if chain.designation else {}
    return {**named, **given}


def held_against(
    parts: Mapping[str, tuple[str, Mapping[str, Any]]], wheels: Sequence[Mapping[str, Any]], chain: DutyChain | None
) -> dict[str, Any]:
    """Give what a verdict holds a chain against: the wheels, pull or drive, the wear of the chain that runs.

    A wheel with readings of its own goes before a sprocket of as many teeth that only takes the case's chain. Of pull
    and drive the pull is taken, unless there is none.

    Parameters
    ----------
    parts : mapping
        Forms of the duty that can be answered, by place: sort of question, data.
    wheels : sequence of mapping
        Wheels that were read, as `chaincase/sprocket-1`.
    """
    seen = {wheel.get("teeth") for wheel in wheels}
    told = [
        filled("sprocket", data, chain)
        for sort, data in parts.values()
        if sort == "sprocket" and not _silent(data, seen)
    ]
    asked = {sort: filled(sort, data, chain) for sort, data in parts.values() if sort in _HELD}
    if "pull" in asked:
        asked.pop("drive", None)
    return {**({"sprockets": [*wheels, *told]} if wheels or told else {}), **asked}


def _silent(data: Mapping[str, Any], seen: set[Any]) -> bool:
    own = any(data.get(key) for key in ("pitch", "chain", "readings", "marks"))
    return not own and data.get("teeth") in seen


_STAND_IN: Final = DutyChain("16B-1", 25.4, "roller", links_alike=False, mass=2.7)
"""Checks a form while the chain is not known yet."""


def check_duty(parts: Mapping[str, tuple[str, Mapping[str, Any]]]) -> None:
    """Check every form of a case's duty.

    Raises
    ------
    BadInput
        With every fault of every form, its place beginning with a dot.
    """
    faults: list[BadInput] = []
    for place, (sort, data) in parts.items():
        held = {"sprockets": [{"teeth": 17, "chain": "16B-1"}]} if sort == "verdict" else {}
        try:
            _form(sort, {**held, **filled(sort, data, _STAND_IN)})
        except BadInputs as several:
            faults += [_under(place, each) for each in several.faults]
        except BadInput as fault:
            faults.append(_under(place, fault))
    if faults:
        raise faults[0] if len(faults) == 1 else BadInputs(faults)


def _under(place: str, fault: BadInput) -> BadInput:
    where = f".{place}.{fault.where}" if fault.where else f".{place}"
    return BadInput(fault.what, where=where, right=fault.right)


def _form(sort: str, data: Mapping[str, Any]) -> Any:
    return _FORMS[sort].of(dict(data))


def answer(sort: str, data: Mapping[str, Any], chain: DutyChain | None, catalog: Catalog) -> Result:
    """Answer one question about the duty.

    Raises
    ------
    BadInput
        If the form misses what the chain would say and no chain is known, or the duty cannot be.
    """
    form = _form(sort, filled(sort, data, chain))
    answers: dict[str, Callable[[], Result]] = {
        "sprocket": lambda: form.answer(catalog),
        "length": lambda: form.answer(),  # noqa: PLW0108 - only this sort of form answers without the tables
        "pull": lambda: pull(form),
        "drive": lambda: drive(form),
        "wear": lambda: wear(form),
        "verdict": lambda: verdict(form, catalog),
    }
    return answers[sort]()
