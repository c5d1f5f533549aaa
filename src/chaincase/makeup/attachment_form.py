"""The file forms `chaincase/attachment-1` and `chaincase/attachment-answer-1`: one attachment, as it was seen."""

import re
from dataclasses import replace
from functools import partial
from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr, model_validator

from chaincase.chains.attachments import Form, OnLink, Side, attachment_dimension_named
from chaincase.chains.kinds import kind_named
from chaincase.errors import BadInput
from chaincase.forms import Advice, Part, check_all
from chaincase.measuring.reading import Reading, choice_named
from chaincase.units import Length, parse_length

SCHEMA: Final = "chaincase/attachment-1"
ANSWER_SCHEMA: Final = "chaincase/attachment-answer-1"
_LOOKS_LIKE: Final = f'it looks like {{"schema": "{SCHEMA}", "chain": "16B-1", "attachment": {{"form": "bent"}}}}'
_ADVICE: Final = Advice(
    constant="can be used",
    number="write a length with its unit, like 48 1/2 in",
    text="write lengths as text",
    nested=_LOOKS_LIKE,
    shape=_LOOKS_LIKE,
)

_MOST_READINGS = 100
_MOST_HOLES = 50
_LONGEST_WORD = 200
_LONGEST_NOTE = 100_000

_Written = StrictStr | StrictInt | StrictFloat
_Word = Annotated[str, Field(max_length=_LONGEST_WORD)]
_ANGLE: Final = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:°|deg\.?|degrees?)?\s*")


class AttachmentReading(Part):
    """One reading on an attachment, as written down.

    Attributes
    ----------
    dimension : str
        Name in `chains.attachments.BY_NAME`, or one of its aliases.
    value : str or number
        As written; an angle in degrees.
    instrument, technique : str
        As in `chaincase/evidence-1`; "zeroed on hole", "inside edges" and "outside edges" for hole distances.
    repeats : list
        Further values of the same size, taken anew.
    edge_diameters : list of one or two
        Diameters of the holes between whose edges it was taken, one where they are equal, the zeroed one first.
    """

    dimension: _Word
    value: _Written
    instrument: _Word = ""
    technique: _Word = ""
    repeats: Annotated[tuple[_Written, ...], Field(max_length=_MOST_READINGS)] = ()
    edge_diameters: Annotated[tuple[_Written, ...], Field(max_length=2)] = ()
    id: _Word = ""
    by: _Word = ""
    on: _Word = ""
    note: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    @property
    def is_angle(self) -> bool:
        """Whether it is no length."""
        return attachment_dimension_named(self.dimension).name == "angle_deg"

    def reading(self, place: str) -> Reading:
        """Give the reading of a length, parsed; `place` goes into messages.

        Raises
        ------
        BadInput
            If a field is not what it should be.
        """
        return Reading.parse(
            self.dimension,
            self.value,
            instrument=self.instrument,
            technique=self.technique,
            repeats=self.repeats,
            edge_diameters=self.edge_diameters,
            who=self.by,
            when=self.on,
            note=self.note,
            place=place,
            named=_named,
        )

    def angle(self, place: str) -> float:
        """Give the reading of an angle [degrees].

        Raises
        ------
        BadInput
            If it is none above 0 and at most 180.
        """
        found = _ANGLE.fullmatch(str(self.value))
        degrees = float(found[1].replace(",", ".")) if found else 0.0
        if not 0.0 < degrees <= 180.0:
            what = f"{str(self.value)[:40]!r} is no angle"
            raise BadInput(what, where=f"{place}.value", right="write degrees, above 0 and at most 180, like 20 deg")
        return degrees

    def check(self, place: str) -> None:
        """Parse it and forget it.

        Raises
        ------
        BadInput
            If that cannot be done.
        """
        if attachment_dimension_named(self.dimension, where=f"{place}.dimension").name == "angle_deg":
            self.angle(place)
        else:
            self.reading(place)


def _named(name: str, where: str) -> str:
    return attachment_dimension_named(name, where=where).name


class AttachmentObservation(Part):
    """What was seen, measured and said of one attachment.

    Attributes
    ----------
    link, sides, form : str
        Words of `OnLink`, `Side` and `Form` of `chains.attachments`; unknown where left out.
    code : str
        As the customer says it; evidence like a stamp.
    readings : list of AttachmentReading
        What was measured.
    holes : int, optional
        Holes in one attachment on one side; 0 for none.
    details : mapping of str to str
        Answers to questions that no size answers: fastening, pin_end, face, roller, sketch.

    >>> seen = AttachmentObservation.of({"form": "Bent", "readings": [{"dimension": "width", "value": "3 in"}]})
    >>> seen.form_seen, seen.lengths()[0].dimension
    (<Form.BENT: 'bent'>, 'overall_width')
    """

    advice: ClassVar[Advice] = replace(_ADVICE, shape='it looks like {"form": "bent", "sides": "both", "holes": 2}')
    link: _Word = ""
    sides: _Word = ""
    form: _Word = ""
    code: _Word = ""
    readings: Annotated[tuple[AttachmentReading, ...], Field(max_length=_MOST_READINGS)] = ()
    holes: Annotated[StrictInt, Field(ge=0, le=_MOST_HOLES)] | None = None
    details: Annotated[dict[_Word, _Word], Field(default_factory=dict, max_length=_MOST_READINGS)]
    id: _Word = ""
    by: _Word = ""
    on: _Word = ""
    note: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    @model_validator(mode="after")
    def _values_make_sense(self) -> Self:
        check_all(
            partial(choice_named, OnLink, self.link, "link"),
            partial(choice_named, Side, self.sides, "sides"),
            partial(choice_named, Form, self.form, "form"),
            *(partial(each.check, f"readings[{i}]") for i, each in enumerate(self.readings)),
        )
        return self

    @property
    def link_seen(self) -> OnLink:
        """On which links."""
        return choice_named(OnLink, self.link)

    @property
    def sides_seen(self) -> Side:
        """On which sides."""
        return choice_named(Side, self.sides)

    @property
    def form_seen(self) -> Form:
        """What it looks like."""
        return choice_named(Form, self.form)

    def lengths(self) -> list[Reading]:
        """Give the readings that are lengths, parsed, in order."""
        return [each.reading(f"readings[{i}]") for i, each in enumerate(self.readings) if not each.is_angle]

    def angles(self) -> list[float]:
        """Give the readings that are angles [degrees]."""
        return [each.angle(f"readings[{i}]") for i, each in enumerate(self.readings) if each.is_angle]

    def warnings(self) -> list[str]:
        """Say which keys mean nothing."""
        said = [f"{key} means nothing here" for key in self.unknown_keys()]
        for i, each in enumerate(self.readings):
            said += [f"readings[{i}].{key} means nothing here" for key in each.unknown_keys()]
        return said


class AttachmentEvidence(Part):
    """One attachment and the chain that it is on.

    Attributes
    ----------
    chain : str
        Designation of the base chain; empty where it is not known.
    kind : str
        Kind of chain, used where the designation is not known.
    pitch : str or number, optional
        Pitch as written, used likewise.
    attachment : AttachmentObservation
        What was seen.
    """

    advice: ClassVar[Advice] = _ADVICE
    schema_: Literal["chaincase/attachment-1"] = Field(default=SCHEMA, alias="schema")
    chain: _Word = ""
    kind: _Word = ""
    pitch: _Written | None = None
    attachment: AttachmentObservation
    notes: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    @model_validator(mode="after")
    def _values_make_sense(self) -> Self:
        check_all(self.pitch_length, *((self._known_kind,) if self.kind else ()))
        return self

    def _known_kind(self) -> None:
        try:
            kind_named(self.kind)
        except BadInput as fault:
            raise fault.within("kind") from None

    def pitch_length(self) -> Length | None:
        """Give the pitch, parsed; None where it is not known.

        Raises
        ------
        BadInput
            If it is no length, or has no unit.
        """
        if self.pitch is None:
            return None
        length = parse_length(self.pitch, where="pitch")
        if length.unit is None:
            right = f"write {length.text} mm or {length.text} in"
            raise BadInput(f"{length.text!r} has no unit", where="pitch", right=right)
        return length


class _Answer(BaseModel):
    model_config = ConfigDict(frozen=True, populate_by_name=True)


class AttachmentCandidate(_Answer):
    """One listed attachment.

    Attributes
    ----------
    code, names, chain : str, tuple of str, str
        Code, other codes of it, and size of the chain that the table lists it for; no chain in a list of codes.
    variant : str
        What tells rows of one code apart: "short platform".
    probability : float
        That it is this one.
    table, standard, trust : str
        Where it stands, and how well its figures are known.
    derived : bool
        Not listed itself: one half of a two-sided attachment that is.
    reasons, conflicts : tuple of str
        What speaks for it and what against it, reading by reading.
    """

    code: str
    names: tuple[str, ...] = ()
    chain: str = ""
    variant: str = ""
    probability: float
    table: str
    standard: str = ""
    derived: bool = False
    reasons: tuple[str, ...] = ()
    conflicts: tuple[str, ...] = ()


class KnownDimension(_Answer):
    """One dimension of the attachment in hand; `u_mm` is its standard uncertainty, degrees for an angle."""

    dimension: str
    letter: str
    label: str
    value_mm: float
    u_mm: float
    readings: int


class MissingDimension(_Answer):
    """A dimension, or a fact without letter, that is still needed to make it."""

    dimension: str
    letter: str = ""
    question: str


class AttachmentAnswer(_Answer):
    """The answer.

    Attributes
    ----------
    candidates : tuple of AttachmentCandidate
        Likeliest first; with `special` and `other` the probabilities add to 1.
    special : float
        Probability that it is none of those listed.
    other : float
        What the candidates left out come to.
    verdict : str
        In one sentence.
    dimensions : tuple of KnownDimension
        What is known of it.
    missing : tuple of MissingDimension
        What must still be known before it can be made as a special.
    next : str
        What to look at or measure next.
    assumed_unit : {"mm", "in"} or None
        Likelier unit of readings written without one.
    """

    schema_: Literal["chaincase/attachment-answer-1"] = Field(default=ANSWER_SCHEMA, alias="schema")
    candidates: tuple[AttachmentCandidate, ...]
    special: float
    other: float = 0.0
    verdict: str
    dimensions: tuple[KnownDimension, ...] = ()
    missing: tuple[MissingDimension, ...] = ()
    next: str = ""
    assumed_unit: Literal["mm", "in"] | None = None
    warnings: tuple[str, ...] = ()
