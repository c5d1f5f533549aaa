"""The entries of a case, one class per list of its file: who said what, when, each value kept as it was written."""

from datetime import date, datetime
from typing import Annotated, Any, Final, Literal, Self

from pydantic import Field, model_validator

from chaincase.chains.feature_states import State, Statement, state_named
from chaincase.chains.features import component_named, feature_named
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.errors import BadInput
from chaincase.forms import Part, Word, check_all, refuse, told
from chaincase.makeup.forms import SpacingObservation
from chaincase.makeup.observations import Counted, Taped
from chaincase.makeup.strand_length import counted_strand, taped_strand
from chaincase.measuring.reading import Reading
from chaincase.units import parse_length

LONGEST_NOTE: Final = 100_000
MOST: Final = 500
"""Entries of one list; nobody writes more about one chain, and a hostile file must not cost memory."""

Note = Annotated[str, Field(max_length=LONGEST_NOTE)]


def _written(value: Any) -> str | int | float:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise BadInput(f"found {type(value).__name__}", right="write it as text with its unit, like 4.06 in")
    if isinstance(value, str) and len(value) > 200:
        raise BadInput(f"a value of {len(value)} characters", right="write one value, a note has its own place")
    return value


def _day(value: Any) -> str:
    """Give a date or date-time in ISO form as it was written; empty where none was."""
    text = value if isinstance(value, str) else ""
    try:
        if text and len(text) <= 10:
            date.fromisoformat(text)
        elif text or not isinstance(value, str):
            datetime.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{str(value)[:40]!r} is not a date", right="write it like 2025-03-01") from None
    return text


def _said(value: Any) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > 200:
        raise BadInput(f"found {str(value)[:40]!r}", right="write something, at most 200 characters")
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise BadInput(f"found {type(value).__name__}", right="write text")
    return value


def _length(value: Any) -> str | int | float:
    length = parse_length(_written(value))
    if length.unit is None:
        raise BadInput(f"{length.text!r} has no unit", right=f"write {length.text} mm or {length.text} in")
    return value  # type: ignore[no-any-return]


Written = Annotated[str | int | float, told(_written)]
"""A value as it stands in a file: text, or a bare number."""
LengthWritten = Annotated[str | int | float, told(_length)]
"""A length with its unit."""
Day = Annotated[str, told(_day)]
Said = Annotated[str, told(_said)]
"""A short text that must not be empty."""


class Entry(Part):
    """An entry of any list.

    Attributes
    ----------
    id : str
        Made where it was written down, unique in the case; kept as it came.
    by, on : str
        Who said it, and the day or moment in ISO form.
    """

    id: Word = ""
    by: Word = ""
    on: Day = ""


class MarkEntry(Entry):
    """A stamp as read: `?` is one illegible character, `*` any number of missing ones."""

    text: Said
    where: Word = ""
    legibility: Word = ""


class ReadingEntry(Entry):
    """One reading on the chain; `measuring.Reading` says what each field may be."""

    dimension: Word
    value: Written
    instrument: Word = ""
    technique: Word = ""
    link: Word = ""
    reference: Word = ""
    over: Written = 1
    repeats: Annotated[tuple[Written, ...], Field(max_length=100)] = ()
    edge_diameters: Annotated[tuple[Written, ...], Field(max_length=2)] = ()
    who: Word = ""
    when: Word = ""
    note: Note = ""

    @model_validator(mode="after")
    def _is_a_reading(self) -> Self:
        check_all(self.reading)
        return self

    def as_evidence(self) -> dict[str, Any]:
        """Give the fields that `chaincase/evidence-1` knows."""
        own = {"id", "by", "on"}
        fields = {name: getattr(self, name) for name in ReadingEntry.model_fields if name not in own}
        return fields | {"who": self.who or self.by, "when": self.when or self.on}

    def reading(self, place: str = "") -> Reading:
        """Give the reading parsed; BadInput if it is none."""
        return Reading.parse(**self.as_evidence(), place=place)


class EvidencePart(Part):
    """What was seen, read and measured of the chain itself."""

    schema_: Literal["chaincase/evidence-1"] | None = Field(default=None, alias="schema")
    construction: Annotated[tuple[Word, ...], Field(max_length=50)] = ()
    marks: Annotated[tuple[MarkEntry, ...], Field(max_length=100)] = ()
    readings: Annotated[tuple[ReadingEntry, ...], Field(max_length=MOST)] = ()
    notes: Note = ""


class WheelEntry(Entry, SprocketForm):
    """A sprocket that the chain runs on: readings, and in `text` the number stamped on it."""

    text: Word = ""

    @model_validator(mode="before")
    @classmethod
    def _text_is_a_mark(cls, data: Any) -> Any:
        if isinstance(data, dict) and isinstance(data.get("text"), str) and data["text"].strip():
            marks = data.get("marks", ())
            if isinstance(marks, list | tuple) and data["text"] not in marks:
                return data | {"marks": [*marks, data["text"]]}
        return data

    @model_validator(mode="after")
    def _can_be_used(self) -> Self:
        if self.speaks:
            check_all(self.seen)
        return self

    @property
    def speaks(self) -> bool:
        """Whether anything was read on it that says what chain it was cut for."""
        return bool(self.readings or self.marks)


class Chosen(Part):
    """A person settled which chain it is."""

    designation: Said
    by: Said
    on: Day = ""
    why: Note = ""


class Plain(Part):
    """Somebody looked along the whole chain, and no link carries an attachment."""

    by: Said
    on: Day = ""
    how: Note = ""


class SpacingEntry(SpacingObservation):
    """One spacing observation with who made it and when."""

    id: Word = ""
    by: Word = ""
    on: Day = ""

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        check_all(self._parsed)
        return self

    def _parsed(self) -> None:
        try:
            self.parsed(0)
        except BadInput as fault:
            where = fault.where.removeprefix("observations[0]")
            raise BadInput(fault.what, where=where, right=fault.right) from None


class PatternEntry(Part):
    """The pattern of attachments, settled by a person."""

    notation: Said
    by: Said
    on: Day = ""


class StrandEntry(Entry):
    """What somebody counted or taped of a whole strand."""

    counted: Annotated[int, Field(ge=2, le=100_000)] | None = None
    taped: LengthWritten | None = None
    instrument: Word = "tape"
    note: Note = ""

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.counted is None and self.taped is None:
            raise refuse("says nothing of the length", "give counted (pitches) or taped (a length with its unit)")
        check_all(self.observations)
        return self

    def observations(self) -> list[Counted | Taped]:
        """Give what it says; BadInput if it cannot be."""
        found: list[Counted | Taped] = []
        if self.counted is not None:
            found.append(counted_strand(self.counted))
        if self.taped is not None:
            found.append(taped_strand(self.taped, instrument=self.instrument))
        return found


class FeatureEntry(Entry):
    """What is known of a feature that does not show, and how."""

    feature: Annotated[str, told(lambda value: feature_named(_said(value)).key)]
    part: Annotated[str, told(lambda value: str(component_named(_text(value))))] = ""
    state: Annotated[State, told(lambda value: state_named(_said(value)))]
    value: Word = ""
    how: Word = ""
    why: Note = ""

    def statement(self) -> Statement:
        """Give it as the room `chains` takes it."""
        part = component_named(self.part)
        return Statement(self.feature, part, self.state, self.value, self.by, self.on, self.how)


class RecordEntry(Entry):
    """A line out of old papers, as pasted."""

    text: Annotated[str, Field(min_length=1, max_length=10_000)]
    where: Word = ""


class PhotoMark(Entry):
    """A point on a photograph, in shares of its width and height from the upper left, and what is to be seen there."""

    x: Annotated[float, Field(ge=0, le=1)]
    y: Annotated[float, Field(ge=0, le=1)]
    note: Said


class Photograph(Entry):
    """A photograph, by its content; it shows and never measures."""

    file: Said
    sha256: Annotated[str, Field(pattern=r"^([0-9a-fA-F]{64})?$")] = ""
    shows: Word = ""
    marks: Annotated[tuple[PhotoMark, ...], Field(max_length=200)] = ()


class Assumption(Entry):
    """A named person takes something for granted, in writing."""

    gap: Said
    assumed: Annotated[str, Field(min_length=1, max_length=2000)]
    by: Said
    why: Note = ""
