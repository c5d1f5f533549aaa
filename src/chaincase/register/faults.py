"""What can go wrong with the register, beside plain bad input.

ChaincaseError
├── BadInput
│   └── Missing       there is no such case, machine or photograph: web answer 404
├── Overtaken         somebody else changed it since it was seen: web answer 409
├── Full              no space is left; nothing was written: web answer 507
└── StoreFailed       the store cannot be read or written: web answer 503
"""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from chaincase.errors import BadInput, BadInputs, ChaincaseError


class Missing(BadInput):
    """There is no such thing in the register.

    >>> print(Missing.of("case", "HV-7"))
    there is no case 'HV-7'; look in the list
    """

    @classmethod
    def of(cls, kind: str, key: str) -> "Missing":
        """Say what there is none of."""
        return cls(f"there is no {kind} {key!r}", right="look in the list")


class Overtaken(ChaincaseError):
    """Somebody else changed it since it was seen; both versions are here, and nothing was written.

    Attributes
    ----------
    yours, theirs : dict
        What was to be written, and what stands.
    version : int
        Of what stands; to be given with the next try.
    """

    def __init__(self, what: str, *, yours: Mapping[str, Any], theirs: Mapping[str, Any], version: int) -> None:
        super().__init__(f"{what} was changed by somebody else since; compare both and write again")
        self.yours = dict(yours)
        self.theirs = dict(theirs)
        self.version = version


class Full(ChaincaseError):
    """No space is left on the disk; nothing was written."""


class StoreFailed(ChaincaseError):
    """The store cannot be read or written."""


def bad_input(fault: ValidationError, *, where: str = "") -> BadInput:
    """Give what a pydantic model found wrong as our own fault, all fields at once."""
    faults = [_one(each["loc"], each["msg"], where) for each in fault.errors(include_url=False)]
    return faults[0] if len(faults) == 1 else BadInputs(faults)


def _one(location: tuple[int | str, ...], message: str, where: str) -> BadInput:
    place = ".".join(str(step) for step in location)
    return BadInput(f"{message[:1].lower()}{message[1:]}", where=f"{where}: {place}" if where else place)
