"""Files of one JSON object, read without trust: the parts of a form, its faults told at once, each with its place."""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain
from typing import Annotated, Any, ClassVar, Final, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from chaincase.errors import BadInput, BadInputs

DEEPEST: Final = 60
"""Levels of nesting; no form has more than about ten, and copying many times deeper ones ends the process."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What would have been right, in the words of one form.

    Attributes
    ----------
    constant : str
        What NaN and infinity are not: "can be measured", "can be used".
    number : str
        Instead of NaN and infinity.
    text : str
        Instead of a number that cannot be held.
    nested, shape : str
        Instead of endless nesting, and of something that is no object.
    """

    constant: str
    number: str
    text: str
    nested: str
    shape: str


def json_from(text: str, advice: Advice, *, where: str = "") -> Any:
    """Give the data of a JSON text.

    Raises
    ------
    BadInput
        If it is not JSON, holds NaN or infinity, names a key twice, or is nested without end.

    >>> json_from('{"teeth": 17}', Advice("can be used", "", "", "", ""))
    {'teeth': 17}
    """

    def refused(name: str) -> float:
        raise BadInput(f"{name} is not a number that {advice.constant}", where=where, right=advice.number)

    def whole(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [name for name, _ in pairs]
            twice = next(name for name in names if names.count(name) > 1)
            right = "write it once, with all that belongs there"
            raise BadInput(f"the key {twice!r:.60} stands twice in one object", where=where, right=right)
        return found

    try:
        data = json.loads(text, parse_constant=refused, object_pairs_hook=whole)
    except json.JSONDecodeError as fault:
        place = joined(where, f"line {fault.lineno}, column {fault.colno}")
        raise BadInput(f"not JSON: {fault.msg}", where=place, right="check the brackets and quotes there") from None
    except ValueError:
        what = "not JSON that can be used: a number is too long to be one"
        raise BadInput(what, where=where, right=advice.text) from None
    except RecursionError:
        raise BadInput("nested too deeply", where=where, right=advice.nested) from None
    if _deeper_than(data, DEEPEST):
        raise BadInput("nested too deeply", where=where, right=advice.nested)
    return data


def _deeper_than(data: Any, levels: int) -> bool:
    level = [data]
    for _ in range(levels):
        holders = [each for each in level if isinstance(each, dict | list)]
        level = list(chain.from_iterable(each.values() if isinstance(each, dict) else each for each in holders))
    return any(isinstance(each, dict | list) and each for each in level)


def check_object(data: Any, advice: Advice, *, where: str = "") -> None:
    """Refuse data that is not one JSON object.

    Raises
    ------
    BadInput
        If it is a list, a number or a text.
    """
    if not isinstance(data, dict):
        raise BadInput(f"holds {type(data).__name__}, not an object", where=where, right=advice.shape)


def joined(*parts: str) -> str:
    """Give a place from its parts, the outer first.

    >>> joined("evidence.json", "", "readings[0]")
    'evidence.json: readings[0]'
    """
    return ": ".join(part for part in parts if part)


Word = Annotated[str, Field(max_length=200)]
"""A short text."""

PLAIN: Final = Advice(
    constant="can be used",
    number="write a finite number",
    text="write quantities as text with their unit",
    nested="write one object, as the docs show",
    shape="write one object {...}",
)


class Part(BaseModel):
    """A part of a file, frozen; keys that mean nothing here are kept apart so that a misspelled one can be told."""

    model_config = ConfigDict(frozen=True, extra="allow", populate_by_name=True)
    advice: ClassVar[Advice] = PLAIN

    def unknown_keys(self) -> list[str]:
        """Give the keys that mean nothing here."""
        return sorted(self.model_extra or {})

    def unread(self) -> list[str]:
        """Give the keys that mean nothing, here and further in, with their place."""
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
        return cls.of(json_from(text, cls.advice, where=where), where=where)

    @classmethod
    def of(cls, data: Any, *, where: str = "") -> Self:
        """Read the form from parsed JSON; as `parse`, with the same errors."""
        check_object(data, cls.advice, where=where)
        try:
            return cls.model_validate(data)
        except BadInputs as faults:
            raise BadInputs([each.within(where) if where else each for each in faults.faults]) from None
        except BadInput as fault:
            raise (fault.within(where) if where else fault) from None
        except ValidationError as error:
            raise one_of(list(_faults(error, where))) from None


def _unread(value: Any) -> list[str]:
    if isinstance(value, Part):
        return [f".{place}" for place in value.unread()]
    if isinstance(value, tuple):
        parts = ((i, part) for i, part in enumerate(value) if isinstance(part, Part))
        return [f"[{i}].{place}" for i, part in parts for place in part.unread()]
    return []


def told(reader: Callable[..., Any]) -> BeforeValidator:
    """Let a reader that raises BadInput check a field, so that every fault of a file is told with its place."""

    def read(value: Any) -> Any:
        try:
            return reader(value)
        except BadInput as fault:
            raise _carrying(fault) from None

    return BeforeValidator(read)


def refuse(what: str, right: str, where: str = "") -> PydanticCustomError:
    """Give the error that a check over several fields raises; `where` goes on with the path, as in `.length`."""
    return _carrying(BadInput(what, where=where, right=right))


def check_all(*checks: Callable[[], object]) -> None:
    """Run checks over several fields of a part, so that all they refuse is told with the part's place.

    Raises
    ------
    PydanticCustomError
        If a check raises BadInput.
    """
    faults: list[BadInput] = []
    for check in checks:
        try:
            check()
        except BadInput as fault:
            faults.append(nested(fault))
    if faults:
        raise _carrying(one_of(faults))


def nested(fault: BadInput) -> BadInput:
    """Give a fault whose place continues that of the part around it."""
    if isinstance(fault, BadInputs):
        return BadInputs([nested(each) for each in fault.faults])
    where = f".{fault.where}" if fault.where and fault.where[0] not in ".[" else fault.where
    return BadInput(fault.what, where=where, right=fault.right)


def one_of(faults: list[BadInput]) -> BadInput:
    """Give one fault as it is, several as one list, each once."""
    unique = list({str(each): each for fault in faults for each in _each(fault)}.values())
    return unique[0] if len(unique) == 1 else BadInputs(unique)


def _each(fault: BadInput) -> tuple[BadInput, ...]:
    return fault.faults if isinstance(fault, BadInputs) else (fault,)


def _carrying(fault: BadInput) -> PydanticCustomError:
    return PydanticCustomError("bad_input", "bad", {"fault": fault})


def _faults(error: ValidationError, where: str) -> Iterator[BadInput]:
    items = error.errors(include_url=False)
    if foreign := [item for item in items if item["loc"] == ("schema",)]:
        items = foreign  # of a file of another form nothing else is worth a word
    # A list of which nothing could be read is not also too short.
    inner = {item["loc"][:depth] for item in items for depth in range(1, len(item["loc"]))}
    by_place: dict[str, list[Any]] = {}
    for item in items:
        if item["loc"] not in inner:
            by_place.setdefault(_place(item), []).append(item)
    for place, several in by_place.items():
        # What stands in for several sorts fails once for each of them.
        sorts = {item["type"] for item in several}
        yield from (
            _written(several[0], where, place)
            if sorts >= _WRITTEN
            else chain.from_iterable(_told(item, where, place) for item in several)
        )


_WRITTEN: Final = {"string_type", "int_type", "float_type"}


def _written(item: Any, where: str, place: str) -> Iterator[BadInput]:
    right = "write it as text with its unit, like 4.06 in"
    yield BadInput(f"found {_shown(item)}", where=joined(where, place), right=right)


def _place(item: Any) -> str:
    # Labels of alternatives have a space or stand for a type; keys of our files never do.
    parts = [part for part in item["loc"] if isinstance(part, int) or (" " not in part and part not in _SORTS)]
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts).lstrip(".")


_SORTS: Final = {"str", "int", "float", "bool"}


def _told(item: Any, where: str, place: str) -> Iterator[BadInput]:
    """Give the faults that one entry of pydantic's list stands for: of ours there may be several in one."""
    fault = item.get("ctx", {}).get("fault")
    if fault is None:
        yield _fault(item, joined(where, place))
        return
    for each in _each(fault):
        yield BadInput(each.what, where=_within(where, place, each.where), right=each.right)


def _within(where: str, place: str, inner: str) -> str:
    """Give the place of a fault; one that begins like a path goes on with the path before it."""
    if place and inner[:1] in {".", "["}:
        return joined(where, place + inner)
    return joined(where, place, inner.lstrip("."))


def _fault(item: Any, where: str) -> BadInput:
    if item["type"] == "missing":
        return BadInput("is missing", where=where, right="write it down as well; it has no default")
    message = item["msg"].removeprefix("Value error, ")
    if item["type"] == "value_error":
        return BadInput(message, where=where)
    words = _RIGHT.get(item["type"])
    right = message[:1].lower() + message[1:] if words is None else words.format_map(_Known(item.get("ctx", {})))
    return BadInput(f"found {_shown(item)}", where=where, right=right)


def _shown(item: Any) -> str:
    given = item.get("input")
    if isinstance(given, str | int | float):
        return f"{given!r:.60}"
    if isinstance(given, list | tuple | dict):
        sort = "an object" if isinstance(given, dict) else "a list"
        return f"{sort} of {len(given)} {'entry' if len(given) == 1 else 'entries'}"
    return "null" if given is None else type(given).__name__


class _Known(dict[str, Any]):
    def __init__(self, given: Mapping[str, Any]) -> None:
        super().__init__(given)

    def __missing__(self, name: str) -> str:
        return name


_RIGHT: Final = {
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float", "int_parsing_size"), "write a whole number"),
    **dict.fromkeys(("float_type", "float_parsing", "finite_number"), "write a number"),
    **dict.fromkeys(("bool_type", "bool_parsing"), "write true or false"),
    **dict.fromkeys(("string_type", "string_unicode"), "write it as text"),
    **dict.fromkeys(("tuple_type", "list_type"), "write a list [...]"),
    **dict.fromkeys(("dict_type", "model_type", "model_attributes_type"), "write an object {{...}}"),
    **dict.fromkeys(("literal_error", "enum"), "use {expected}"),
    "string_too_long": "write at most {max_length} characters",
    "string_too_short": "write at least {min_length} character(s)",
    "too_long": "give at most {max_length} entries",
    "too_short": "give at least {min_length}",
    "greater_than": "give more than {gt}",
    "greater_than_equal": "give {ge} or more",
    "less_than": "give less than {lt}",
    "less_than_equal": "give at most {le}",
}
"""What would be right, by the sort of fault that pydantic finds."""
