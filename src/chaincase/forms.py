"""Files of one JSON object, read without trust: the part that every form of this tool shares."""

import json
from dataclasses import dataclass
from typing import Any

from chaincase.errors import BadInput


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
        If it is not JSON, holds NaN or infinity, or is nested without end.

    >>> json_from('{"teeth": 17}', Advice("can be used", "", "", "", ""))
    {'teeth': 17}
    """

    def refuse(name: str) -> float:
        raise BadInput(f"{name} is not a number that {advice.constant}", where=where, right=advice.number)

    try:
        return json.loads(text, parse_constant=refuse)
    except json.JSONDecodeError as fault:
        place = joined(where, f"line {fault.lineno}, column {fault.colno}")
        raise BadInput(f"not JSON: {fault.msg}", where=place, right="check the brackets and quotes there") from None
    except ValueError as fault:
        raise BadInput(f"not JSON that can be used: {fault}", where=where, right=advice.text) from None
    except RecursionError:
        raise BadInput("nested too deeply", where=where, right=advice.nested) from None


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
