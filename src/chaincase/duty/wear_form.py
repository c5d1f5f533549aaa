"""The file form `chaincase/wear-1`: dated readings of a chain's length, of its parts, and what limits it."""

import re
from datetime import date
from typing import Annotated, Final, Literal, Self

from pydantic import Field, StrictFloat, StrictInt, StrictStr, model_validator

from chaincase.duty import checking, wear_limits
from chaincase.duty.form import LengthMm, count
from chaincase.duty.sprocket import FEWEST_TEETH, MOST_TEETH
from chaincase.duty.wear_limits import Hardening, Service
from chaincase.errors import BadInput
from chaincase.forms import Part, Word, refuse, told
from chaincase.measuring.estimate import Estimate, estimate
from chaincase.measuring.reading import MOST_PITCHES, Reading

SCHEMA: Final = "chaincase/wear-1"

_MOST_READINGS: Final = 500
_PERCENT: Final = re.compile(r"\s*(\d+(?:[.,]\d*)?|[.,]\d+)\s*(?:%|percent)\s*", re.IGNORECASE)
_Written = StrictStr | StrictInt | StrictFloat


def day(value: str) -> date:
    """Read a day, year first; the time of day of a date-time is left out.

    Raises
    ------
    BadInput
        If it is no day from 1950 to 2099.

    >>> day("2025-03-01T14:05:00")
    datetime.date(2025, 3, 1)
    """
    right = "write year-month-day, such as 2025-03-01"
    if not isinstance(value, str) or not re.fullmatch(r"\s*\d{4}-\d\d-\d\d(?:[T ].*)?\s*", value):
        raise BadInput(f"{value!r:.40} is no date", right=right)
    try:
        found = date.fromisoformat(value.strip()[:10])
    except ValueError:
        raise BadInput(f"{value!r:.40} is no day of the calendar", right=right) from None
    if not 1950 <= found.year <= 2099:
        raise BadInput(f"{found.isoformat()} is not a date of this trade", right="give a year from 1950 to 2099")
    return found


def percent(value: str) -> float:
    """Read a share written in percent [-]; a bare number is refused, for 2 and 0.02 are both meant by it.

    >>> percent("1.5 %")
    0.015
    """
    found = _PERCENT.fullmatch(value) if isinstance(value, str) else None
    if found is None:
        raise BadInput(f"{value!r:.40} is no percentage", right="write it with its sign, such as 2 %")
    return float(found[1].replace(",", ".")) / 100.0


def _limit(value: str) -> float:
    share = percent(value)
    checking.between("limit", 100.0 * share, 0.1, 10.0, "%")
    return share


Day = Annotated[date, told(day)]


def _refused(fault: BadInput, value: str) -> Exception:
    """Give the fault of a reading with the field as this form calls it; `value` is what was measured."""
    field, colon, rest = fault.where.partition(".")[2].partition(":")
    name = value if field == "value" else field
    return refuse(fault.what, fault.right, f".{name}{colon}{rest}" if name else "")


class WearReading(Part):
    """One reading of length over pitches; `measuring.Reading` says what instrument, technique and so on may be."""

    on: Day
    length: _Written
    over: Annotated[int, count("pitches", 1, MOST_PITCHES)]
    instrument: Word = ""
    technique: Word = ""
    link: Word = ""
    reference: Word = ""
    repeats: tuple[_Written, ...] = ()
    edge_diameters: Annotated[tuple[_Written, ...], Field(max_length=2)] = ()
    strand: Word = ""
    by: Word = ""
    note: Word = ""

    @model_validator(mode="after")
    def _is_a_reading(self) -> Self:
        try:
            found = self.estimate()
        except BadInput as fault:
            raise _refused(fault, "length") from None
        if not found.usable:
            raise refuse(f"length {self.length} was {found.reason}", "measure it on the chain")
        if found.needs:
            names = " or ".join(name.replace("_", " ") for name in found.needs)
            right = f"give edge_diameters, the {names} between whose edges it was taken"
            raise refuse(f"length {self.length} was taken over edges and the diameter is missing", right)
        return self

    def reading(self) -> Reading:
        """Give it as a reading of the pitch."""
        return Reading.parse(
            "pitch",
            self.length,
            instrument=self.instrument,
            technique=self.technique,
            link=self.link,
            reference=self.reference,
            over=self.over,
            repeats=self.repeats,
            edge_diameters=self.edge_diameters,
        )

    def estimate(self) -> Estimate:
        """Give the mean pitch with its uncertainty."""
        return estimate(self.reading())


def _part(name: str) -> str:
    wear_limits.part_limit(checking.text("part", name))
    return name


class PartReading(Part):
    """A part that wears, measured new and worn; `wear_limits.PARTS` says which have a limit."""

    part: Annotated[StrictStr, told(_part)]
    new: LengthMm
    worn: _Written
    instrument: Word = ""
    hardening: Hardening = "unknown"
    on: Day | None = None
    note: Word = ""

    @model_validator(mode="after")
    def _is_a_reading(self) -> Self:
        try:
            found = self.estimate()
        except BadInput as fault:
            raise _refused(fault, "worn") from None
        if not found.usable:
            raise refuse(f"worn {self.worn} was {found.reason}", "measure it on the part")
        if found.value_mm > 1.05 * self.new:
            raise refuse(f"worn {self.worn} is more than new", "a part wears smaller: check which is which")
        return self

    def estimate(self) -> Estimate:
        """Give the size with its uncertainty."""
        dimension = wear_limits.part_limit(self.part, self.hardening).dimension
        return estimate(Reading.parse(dimension, self.worn, instrument=self.instrument))


class TakeUp(Part):
    """A take-up at a turn of half a circle: what it can travel in all, and how much of that is used now."""

    travel: LengthMm
    used: LengthMm | None = None

    @model_validator(mode="after")
    def _not_beyond(self) -> Self:
        if self.used is not None and self.used > self.travel:
            raise refuse("more of the take-up is used than it can travel", "travel is the whole of it, used a part")
        return self


class WearForm(Part):
    """What is known of the wear of one chain, or of strands side by side."""

    schema_: Literal["chaincase/wear-1"] = Field(default=SCHEMA, alias="schema")
    name: Word = ""
    pitch: LengthMm
    kind: Annotated[StrictStr, told(wear_limits.kind_named)]
    service: Service | None = None
    teeth: Annotated[int | None, count("teeth", FEWEST_TEETH, MOST_TEETH)] = None
    fixed_centers: bool = False
    readings: Annotated[tuple[WearReading, ...], Field(max_length=_MOST_READINGS)] = ()
    limit: Annotated[float | None, told(_limit)] = None
    installed: Day | None = None
    pitches: Annotated[int | None, count("pitches", 2, MOST_PITCHES)] = None
    take_up: TakeUp | None = None
    pin_diameter: LengthMm | None = None
    parts: Annotated[tuple[PartReading, ...], Field(max_length=100)] = ()

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if not self.readings and not self.parts:
            raise refuse("there is no reading", "give readings of length over pitches, or of parts")
        if self.take_up is not None and self.pitches is None:
            raise refuse("take_up needs the length of the strand", "give pitches, the links of one strand")
        early = [reading for reading in self.readings if self.installed and reading.on < self.installed]
        if early:
            raise refuse(f"the reading of {early[0].on} is older than the chain", "check installed and the dates")
        return self
