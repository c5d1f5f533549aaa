"""Forms of this room read from JSON: every fault at once, each with its place and what would be right."""

import json
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from chaincase.errors import BadInput, BadInputs


class Part(BaseModel):
    """Frozen; unknown keys are kept apart so that a misspelled one can be warned about."""

    model_config = ConfigDict(frozen=True, extra="allow", populate_by_name=True)

    def unknown_keys(self) -> list[str]:
        """Give the keys that mean nothing here."""
        return sorted(self.model_extra or {})


Form = TypeVar("Form", bound=BaseModel)


def form_from_text(form: type[Form], text: str, *, where: str, looks_like: str) -> Form:
    """Read a form from JSON text.

    Raises
    ------
    BadInput
        If it is not JSON or not such a form.
    """
    try:
        data = json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as fault:
        place = f"line {fault.lineno}, column {fault.colno}"
        right = "check the brackets and quotes there"
        raise BadInput(f"not JSON: {fault.msg}", where=_join(where, place), right=right) from None
    except RecursionError:
        raise BadInput("nested too deeply", where=where, right=f"it looks like {looks_like}") from None
    except ValueError as fault:
        right = "write lengths as text"
        raise BadInput(f"not JSON that can be used: {fault}", where=where, right=right) from None
    except BadInput as fault:
        raise fault.within(where) if where else fault from None
    return form_from_data(form, data, where=where, looks_like=looks_like)


def form_from_data(form: type[Form], data: Any, *, where: str, looks_like: str) -> Form:
    """Read a form from parsed JSON; as `form_from_text`, with the same errors."""
    if not isinstance(data, dict):
        what = f"holds {type(data).__name__}, not an object"
        raise BadInput(what, where=where, right=f"it looks like {looks_like}")
    try:
        return form.model_validate(data)
    except BadInputs as faults:
        raise BadInputs([fault.within(where) if where else fault for fault in faults.faults]) from None
    except BadInput as fault:
        raise fault.within(where) if where else fault from None
    except ValidationError as error:
        listed = [_fault(item, where) for item in error.errors(include_url=False)]
        raise raised_together(list({str(fault): fault for fault in listed}.values())) from None


def raised_together(faults: list[BadInput]) -> BadInput:
    """Give one fault as it is, several as one list."""
    return faults[0] if len(faults) == 1 else BadInputs(faults)


def _no_constant(name: str) -> float:
    raise BadInput(f"{name} is not a number that can be used", right="write a length with its unit, like 48 1/2 in")


def _join(*parts: str) -> str:
    return ": ".join(part for part in parts if part)


def _fault(item: Any, where: str) -> BadInput:
    parts = [part for part in item["loc"] if part not in {"str", "int", "float"}]
    place = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts).lstrip(".")
    given = item.get("input")
    shown = f"{given!r:.60}" if isinstance(given, str | int | float) else type(given).__name__
    message = item["msg"].removeprefix("Value error, ")
    right = message[:1].lower() + message[1:].replace("valid tuple", "list")
    return BadInput(f"found {shown}", where=_join(where, place), right=right)
