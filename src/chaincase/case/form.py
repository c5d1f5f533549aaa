"""The file form `chaincase/case-1`: all that is known about one chain, checked at once, kept as it came."""

import re
from collections.abc import Iterator
from copy import deepcopy
from typing import Annotated, Any, Final, Literal, Self

from pydantic import Field, ModelWrapValidatorHandler, PrivateAttr, model_validator

from chaincase.case.duties import OWN_KEYS, check_duty
from chaincase.case.entries import (
    MOST,
    Assumption,
    Chosen,
    EvidencePart,
    FeatureEntry,
    LengthWritten,
    Note,
    PatternEntry,
    Photograph,
    Plain,
    RecordEntry,
    SpacingEntry,
    StrandEntry,
    WheelEntry,
    Written,
)
from chaincase.errors import BadInput
from chaincase.forms import Part, Word, check_all, refuse, told
from chaincase.identifying.evidence import Evidence
from chaincase.makeup.attachment_form import AttachmentObservation
from chaincase.makeup.forms import SpacingEvidence
from chaincase.makeup.notation import parse_pattern
from chaincase.makeup.strands import Ends, Hands

SCHEMA: Final = "chaincase/case-1"
_ID: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}")
_Count = Annotated[int, Field(ge=0, le=100_000)]


def case_id(value: Any) -> str:
    """Give the number of a case.

    Raises
    ------
    BadInput
        If it is not 1 to 64 letters, digits, - _ or . that begin with a letter or a digit.

    >>> case_id("HV-102")
    'HV-102'
    """
    if not isinstance(value, str) or not _ID.fullmatch(value):
        right = "use 1 to 64 letters, digits, - _ or ., a letter or digit first"
        raise BadInput(f"{str(value)[:70]!r} is not the number of a case", right=right)
    return value


def _notation(value: Any) -> Any:
    if isinstance(value, dict) and isinstance(value.get("notation"), str):
        parse_pattern(value["notation"], where=".notation")
    return value


class SpacingPart(Part):
    """How attachments are spaced; pitch and construction come from the identity where they are not given."""

    schema_: Literal["chaincase/spacing-1"] | None = Field(default=None, alias="schema")
    pitch: Written | None = None
    elongation: Written | None = None
    elongation_u: Written | None = None
    construction: Annotated[tuple[Word, ...], Field(max_length=50)] = ()
    observations: Annotated[tuple[SpacingEntry, ...], Field(max_length=200)] = ()
    notes: Note = ""

    @model_validator(mode="after")
    def _makes_sense(self) -> Self:
        check_all(self.evidence)
        return self

    def evidence(self, pitch: str | float | None = None, construction: tuple[str, ...] = ()) -> SpacingEvidence:
        """Give it as `makeup.spacing` takes it.

        Parameters
        ----------
        pitch, construction
            Those of the identity, for what is not given here.

        Raises
        ------
        BadInput
            If a length, a share or a link number is none.
        """
        own = SpacingEvidence.model_fields.keys() - {"schema_", "observations"}
        given: dict[str, Any] = {name: getattr(self, name) for name in own}
        given["pitch"] = pitch if self.pitch is None else self.pitch
        given["construction"] = self.construction or construction
        seen = [each.model_dump(exclude={"id", "by", "on", *each.unknown_keys()}) for each in self.observations]
        return SpacingEvidence.of({**given, "observations": seen})


class StrandsPart(Part):
    """Number, length and ends of the strands."""

    number: Annotated[int, Field(ge=1, le=1000)] | None = None
    hands: Hands | None = None
    matched: bool | None = None
    ends: Ends | None = None
    observations: Annotated[tuple[StrandEntry, ...], Field(max_length=MOST)] = ()
    pitches: Annotated[int, Field(ge=2, le=100_000)] | None = None
    drawn: LengthWritten | None = None
    section_most: Annotated[int, Field(ge=2, le=100_000)] | None = None
    connecting_links: _Count | None = None
    spare_links: _Count | None = None
    spare_strands: _Count | None = None
    length_tolerance: Word = ""
    note: Note = ""


class QuantityPart(Part):
    """How many are to be bought."""

    strands: Annotated[int, Field(ge=1, le=100_000)] | None = None
    spares: Word | _Count = ""
    note: Note = ""


class DutyPart(Part):
    """What the chain does: forms of the room `duty`, kept as they came; the case's chain where none is named."""

    sprockets: Annotated[tuple[dict[str, Any], ...], Field(max_length=20)] = ()
    length: dict[str, Any] | None = None
    pull: dict[str, Any] | None = None
    drive: dict[str, Any] | None = None
    wear: dict[str, Any] | None = None
    verdict: dict[str, Any] | None = None

    @model_validator(mode="after")
    def _can_be_used(self) -> Self:
        check_all(lambda: check_duty(self.parts()))
        return self

    def parts(self) -> dict[str, tuple[str, dict[str, Any]]]:
        """Give each form with its place in this part: place to (sort of question, data); the verdict comes last."""
        found = {f"sprockets[{i}]": ("sprocket", each) for i, each in enumerate(self.sprockets)}
        for name in ("length", "pull", "drive", "wear", "verdict"):
            data = getattr(self, name)
            if data is not None:
                found[name] = (name, data)
        return found


class Case(Part):
    """One case.

    >>> case = Case.parse('{"schema": "chaincase/case-1", "case": "HV-1", "evidence": {"marks": [{"text": "WH132"}]}}')
    >>> case.case, case.evidence.marks[0].text
    ('HV-1', 'WH132')
    """

    schema_: Literal["chaincase/case-1"] = Field(alias="schema")
    case: Annotated[str, told(case_id)]
    title: Word = ""
    customer: Word = ""
    plant: Word = ""
    machine: Word = ""
    position: Word = ""
    marked: Word = ""
    revision: Word = ""
    notes: Note = ""
    evidence: EvidencePart = EvidencePart()
    wheels: Annotated[tuple[WheelEntry, ...], Field(max_length=20)] = ()
    chosen: Chosen | None = None
    attachments: Annotated[tuple[AttachmentObservation, ...], Field(max_length=100)] = ()
    plain: Plain | None = None
    spacing: SpacingPart = SpacingPart()
    pattern: Annotated[PatternEntry | None, told(_notation)] = None
    strands: StrandsPart = StrandsPart()
    quantity: QuantityPart = QuantityPart()
    features: Annotated[tuple[FeatureEntry, ...], Field(max_length=MOST)] = ()
    duty: DutyPart = DutyPart()
    records: Annotated[tuple[RecordEntry, ...], Field(max_length=100)] = ()
    photographs: Annotated[tuple[Photograph, ...], Field(max_length=MOST)] = ()
    assumptions: Annotated[tuple[Assumption, ...], Field(max_length=MOST)] = ()

    _data: dict[str, Any] = PrivateAttr(default_factory=dict)

    @model_validator(mode="wrap")
    @classmethod
    def _kept(cls, data: Any, handler: ModelWrapValidatorHandler[Self]) -> Self:
        case = handler(data)
        if isinstance(data, dict):
            case._data = deepcopy(data)  # noqa: SLF001 - its own, before anybody sees it
        return case

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Self:
        first: dict[str, str] = {}
        for place, name in _ids(self.as_json()):
            if name in first:
                raise refuse(f"the id {name[:60]!r} stands at {first[name]} and at {place}", "give each entry its own")
            first[name] = place
        return self

    def as_json(self) -> dict[str, Any]:
        """Give the case as it came, ready to be written as JSON; a copy."""
        return deepcopy(self._data) or self.model_dump(mode="json", by_alias=True, exclude_unset=True)

    def identity_evidence(self) -> Evidence:
        """Give the evidence as `identifying` takes it."""
        part = self.evidence
        return Evidence(
            construction=part.construction,
            marks=tuple({"text": m.text, "where": m.where, "legibility": m.legibility} for m in part.marks),
            readings=tuple(reading.as_evidence() for reading in part.readings),
            notes=part.notes,
        )

    def wheels_read(self) -> list[dict[str, Any]]:
        """Give the wheels as `chaincase/sprocket-1` has them, the number stamped on one among its marks."""
        own = {*OWN_KEYS, "text"}
        told = zip(self.as_json().get("wheels", ()), self.wheels, strict=True)
        return [
            {key: value for key, value in data.items() if key not in own} | {"marks": list(wheel.marks)}
            for data, wheel in told
        ]

    def warnings(self) -> list[str]:
        """Say which keys mean nothing here."""
        return [f"{place} means nothing here and was left out" for place in self.unread()]


def _ids(data: Any, place: str = "") -> Iterator[tuple[str, str]]:
    """Give place and id of every entry of every list of a case."""
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _ids(value, f"{place}.{key}".lstrip("."))
    elif isinstance(data, list | tuple):
        for i, value in enumerate(data):
            here = f"{place}[{i}]"
            if isinstance(value, dict) and isinstance(value.get("id"), str) and value["id"]:
                yield here, value["id"]
            yield from _ids(value, here)
