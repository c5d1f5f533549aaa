"""Forms of this room read from JSON: every fault at once, each with its place and what would be right."""

from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError

from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, check_object, joined, json_from


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
    data = json_from(text, _advice(looks_like), where=where)
    return form_from_data(form, data, where=where, looks_like=looks_like)


def form_from_data(form: type[Form], data: Any, *, where: str, looks_like: str) -> Form:
    """Read a form from parsed JSON; as `form_from_text`, with the same errors."""
    check_object(data, _advice(looks_like), where=where)
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


def _advice(looks_like: str) -> Advice:
    return Advice(
        constant="can be used",
        number="write a length with its unit, like 48 1/2 in",
        text="write lengths as text",
        nested=f"it looks like {looks_like}",
        shape=f"it looks like {looks_like}",
    )


def _fault(item: Any, where: str) -> BadInput:
    parts = [part for part in item["loc"] if part not in {"str", "int", "float"}]
    place = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in parts).lstrip(".")
    given = item.get("input")
    shown = f"{given!r:.60}" if isinstance(given, str | int | float) else type(given).__name__
    message = item["msg"].removeprefix("Value error, ")
    right = message[:1].lower() + message[1:].replace("valid tuple", "list")
    return BadInput(f"found {shown}", where=joined(where, place), right=right)
