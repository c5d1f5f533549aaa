"""Evidence about one chain, as people send it: the file form `chaincase/evidence-1`, checked and complete."""

from functools import lru_cache
from typing import Annotated, Any, ClassVar, Final, Literal, Self

from pydantic import Field, StrictFloat, StrictInt, StrictStr, field_validator, model_validator

from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Advice, Part
from chaincase.measuring.reading import Reading

SCHEMA: Final = "chaincase/evidence-1"

_ADVICE = Advice(
    constant="can be measured",
    number="write a length with its unit, like 2.609 in",
    text="write lengths as text",
    nested=f"evidence has the schema {SCHEMA}",
    shape=f'evidence looks like {{"schema": "{SCHEMA}", "readings": [...]}}',
)

# Limits that keep one case a case: nobody measures more by hand, and a hostile file must not cost memory.
_MOST_READINGS = 500
_MOST_MARKS = 100
_LONGEST_WORD = 200
_LONGEST_NOTE = 100_000

_Written = StrictStr | StrictInt | StrictFloat
"""A value as it stands in a file: text, or a bare number; true and false are neither."""
_Word = Annotated[str, Field(max_length=_LONGEST_WORD)]


class Mark(Part):
    """A stamp as read: `?` is one illegible character, `*` any number of missing ones."""

    text: Annotated[str, Field(min_length=1, max_length=_LONGEST_WORD)]
    where: _Word = ""
    legibility: _Word = ""

    @field_validator("text")
    @classmethod
    def _has_something(cls, text: str) -> str:
        if not text.strip():
            raise ValueError("is blank; leave the mark out when nothing was found")
        return text


class EvidenceReading(Part):
    """One reading as written down; `measuring.Reading` says what each field may be."""

    dimension: _Word
    value: _Written
    instrument: _Word = ""
    technique: _Word = ""
    link: _Word = ""
    reference: _Word = ""
    over: _Written = 1
    repeats: tuple[_Written, ...] = ()
    edge_diameters: Annotated[tuple[_Written, ...], Field(max_length=2)] = ()
    who: _Word = ""
    when: _Word = ""
    note: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    def reading(self, place: str) -> Reading:
        """Give the reading with its value parsed; `place` goes into messages.

        Raises
        ------
        BadInput
            If a field is not what it should be.
        """
        return _parsed(place, **{name: getattr(self, name) for name in type(self).model_fields})


@lru_cache(maxsize=2048, typed=True)
def _parsed(place: str, **fields: Any) -> Reading:
    """Parse a reading; a case asks for its readings several times."""
    return Reading.parse(**fields, place=place)


class Evidence(Part):
    """All evidence about one chain.

    >>> evidence = Evidence.parse('{"schema": "chaincase/evidence-1", "marks": [{"text": "W?124"}]}')
    >>> evidence.marks[0].text
    'W?124'
    """

    advice: ClassVar[Advice] = _ADVICE
    schema_: Literal["chaincase/evidence-1"] = Field(default=SCHEMA, alias="schema")
    construction: tuple[_Word, ...] = ()
    marks: Annotated[tuple[Mark, ...], Field(max_length=_MOST_MARKS)] = ()
    readings: Annotated[tuple[EvidenceReading, ...], Field(max_length=_MOST_READINGS)] = ()
    notes: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    @model_validator(mode="after")
    def _values_are_lengths(self) -> Self:
        faults: list[BadInput] = []
        for place, reading in self._placed():
            try:
                reading.reading(place)
            except BadInput as fault:
                faults.append(fault)
        if faults:
            raise faults[0] if len(faults) == 1 else BadInputs(faults)
        return self

    def _placed(self) -> list[tuple[str, EvidenceReading]]:
        return [(f"readings[{i}]", reading) for i, reading in enumerate(self.readings)]

    def parsed_readings(self) -> tuple[Reading, ...]:
        """Give the readings with their values parsed, in order."""
        return tuple(reading.reading(place) for place, reading in self._placed())

    def unread(self) -> list[str]:
        """Give the keys of the file that mean nothing, with their place."""
        places = [
            ("", self),
            *((f"marks[{i}].", m) for i, m in enumerate(self.marks)),
            *((f"{p}.", r) for p, r in self._placed()),
        ]
        return [f"{place}{key}" for place, part in places for key in part.unknown_keys()]
