"""What the files of this room share: frozen parts, values with units as they are written, all faults at once."""

from collections.abc import Callable
from typing import Annotated, Any, Self, TypeVar

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from chaincase.duty import amounts, checking
from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, check_object, joined, json_from

T = TypeVar("T")

_ADVICE = Advice(
    constant="can be used",
    number="write a finite number",
    text="write quantities as text with their unit",
    nested="write one object, as the docs show",
    shape="write one object {...}",
)

Word = Annotated[str, Field(max_length=200)]
"""A short text."""


def told(reader: Callable[..., Any]) -> BeforeValidator:
    """Let a reader that raises BadInput check a field, so that every fault of a file is told with its place."""

    def read(value: Any) -> Any:
        try:
            return reader(value)
        except BadInput as fault:
            raise PydanticCustomError("bad_input", "bad", {"fault": fault}) from None

    return BeforeValidator(read)


def refuse(what: str, right: str, where: str = "") -> PydanticCustomError:
    """Give the error that a check over several fields raises; `where` goes on with the path, as in `.length`."""
    return PydanticCustomError("bad_input", "bad", {"fault": BadInput(what, where=where, right=right)})


def positive(reader: Callable[[Any], float], name: str) -> BeforeValidator:
    """Let a field be read, and refuse zero."""
    return told(lambda value: checking.positive(name, reader(value)))


def bounded(reader: Callable[[Any], float], name: str, least: float, most: float) -> BeforeValidator:
    """Let a field be read, and keep it within bounds."""
    return told(lambda value: checking.between(name, reader(value), least, most))


def number(name: str, least: float, most: float) -> BeforeValidator:
    """Let a field be a plain number within bounds."""
    return told(lambda value: checking.between(name, value, least, most))


def count(name: str, least: int, most: int) -> BeforeValidator:
    """Let a field be a whole number within bounds."""
    return told(lambda value: checking.whole(name, value, least, most))


LengthMm = Annotated[float, told(amounts.length_mm)]
ForceN = Annotated[float, told(amounts.force_n)]
MassPerLength = Annotated[float, told(amounts.linear_mass)]
Stress = Annotated[float, positive(amounts.stress_n_per_mm2, "stress")]
Speed = Annotated[float, positive(amounts.speed_m_per_s, "speed")]
Power = Annotated[float, positive(amounts.power_w, "power")]
Friction = Annotated[float, number("friction", 0.0, 5.0)]
Factor = Annotated[float, number("factor", 0.1, 100.0)]
Efficiency = Annotated[float, number("efficiency", 0.01, 1.0)]


class Part(BaseModel):
    """A part of a file; keys that mean nothing here are kept apart so that a misspelled one can be warned about."""

    model_config = ConfigDict(frozen=True, extra="allow", populate_by_name=True)

    def unread(self) -> list[str]:
        """Give the keys that mean nothing, with their place."""
        own = [str(key) for key in self.model_extra or {}]
        inner = [f"{name}{place}" for name in type(self).model_fields for place in _unread(getattr(self, name))]
        return [*own, *inner]

    @classmethod
    def parse(cls, text: str, *, where: str = "") -> Self:
        """Read the form from JSON text.

        Raises
        ------
        BadInput
            If it is not JSON or not this form; every fault is named with its place.
        """
        return cls.of(json_from(text, _ADVICE, where=where), where=where)

    @classmethod
    def of(cls, data: Any, *, where: str = "") -> Self:
        """Read the form from parsed JSON; as `parse`, with the same errors."""
        check_object(data, _ADVICE, where=where)
        try:
            return cls.model_validate(data)
        except ValidationError as error:
            raise _faults(error, where) from None


def _unread(value: Any) -> list[str]:
    if isinstance(value, Part):
        return [f".{place}" for place in value.unread()]
    if isinstance(value, tuple):
        parts = ((i, part) for i, part in enumerate(value) if isinstance(part, Part))
        return [f"[{i}].{place}" for i, part in parts for place in part.unread()]
    return []


def _faults(error: ValidationError, where: str) -> BadInput:
    items = error.errors(include_url=False)
    # A list of which nothing could be read is not also too short.
    inner = {item["loc"][:depth] for item in items for depth in range(1, len(item["loc"]))}
    faults = [fault for item in items if item["loc"] not in inner for fault in _told(item, where)]
    unique = list({str(fault): fault for fault in faults}.values())
    return unique[0] if len(unique) == 1 else BadInputs(unique)


def _told(item: Any, where: str) -> list[BadInput]:
    """Give the faults that one entry of pydantic's list stands for: of ours there may be several in one."""
    place = _place(item)
    fault = item.get("ctx", {}).get("fault")
    if fault is None:
        return [_fault(item, joined(where, place))]
    each = fault.faults if isinstance(fault, BadInputs) else (fault,)
    return [BadInput(one.what, where=_within(where, place, one.where), right=one.right) for one in each]


def _place(item: Any) -> str:
    # Labels of alternatives have a space or stand for a type; keys of our files never do.
    parts = [part for part in item["loc"] if isinstance(part, int) or " " not in part]
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts).lstrip(".")


def _within(where: str, place: str, inner: str) -> str:
    """Give the place of a fault; one that begins like a path goes on with the path before it."""
    return joined(where, place + inner) if place and inner[:1] in {".", "["} else joined(where, place, inner)


def _fault(item: Any, where: str) -> BadInput:
    if item["type"] == "missing":
        return BadInput("is missing", where=where, right="this value has no default")
    given = item.get("input")
    shown = f"{given!r:.60}" if isinstance(given, str | int | float) else type(given).__name__
    message = item["msg"].removeprefix("Value error, ")
    right = message[:1].lower() + message[1:].replace("valid tuple", "list")
    return BadInput(f"found {shown}", where=where, right=right)
