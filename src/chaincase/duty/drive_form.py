"""The file form `chaincase/drive-1`: a chain drive as an engineer describes it."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from chaincase.duty import amounts
from chaincase.duty.form import Factor, LengthMm, Power, count, number, positive
from chaincase.duty.pull_form import Chain
from chaincase.duty.rating import FEWEST_TEETH, MOST_TEETH, STRANDS
from chaincase.forms import Part, Word, refuse

SCHEMA: Final = "chaincase/drive-1"

Driven = Literal["smooth", "slight shock", "moderate shock", "heavy shock"]
Driver = Literal["smooth", "slight shock", "moderate shock"]
_Teeth = Annotated[int, count("teeth", FEWEST_TEETH, MOST_TEETH)]


class DriveForm(Part):
    """A drive by roller chain, or by engineering-class offset-sidebar chain (`kind`).

    `rating_limit` says on which side of its crest a rating stands that is given for other teeth: link plates below it,
    impact of rollers and bushes beyond.
    """

    schema_: Literal["chaincase/drive-1"] = Field(default=SCHEMA, alias="schema")
    name: Word = ""
    kind: Literal["roller", "offset sidebar"] = "roller"
    power: Power
    rpm: Annotated[float, positive(amounts.rpm, "speed of the small wheel")]
    teeth: _Teeth
    large_teeth: _Teeth | None = None
    driven: Driven | None = None
    driver: Driver | None = None
    service_factor: Factor | None = None
    chain: Chain = Chain()
    pitch: LengthMm | None = None
    strands: Annotated[int | None, count("strands", 1, 8)] = None
    rating: Power | None = None
    rating_teeth: Annotated[float | None, number("teeth of the rating", FEWEST_TEETH, MOST_TEETH)] = None
    rating_limit: Literal["plates", "impact"] = "plates"
    hours: Annotated[float | None, positive(lambda hours: hours, "hours")] = None
    length_pitches: Annotated[float | None, number("length in pitches", 10, 100_000)] = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.large_teeth is not None and self.large_teeth < self.teeth:
            raise refuse("large_teeth is less than teeth", "teeth and rpm are those of the small wheel")
        if self.kind == "offset sidebar" and (self.chain.working_load is None or not self._has_pitch()):
            right = "give chain.working_load from its maker, and pitch or chain.designation"
            raise refuse("an offset sidebar drive needs the chain's working load and pitch", right)
        if self.kind == "offset sidebar" and (self.strands or 1) > 1:
            raise refuse("an offset sidebar drive has one strand", "leave strands out")
        if self.rating is not None and not self._has_pitch():
            raise refuse("a rating is given but no chain", "give pitch or chain.designation with it")
        if self.strands is not None and self.strands not in STRANDS:
            raise refuse(f"no strand factor for {self.strands} strands was read", "use 1 to 6, or 8")
        return self

    def _has_pitch(self) -> bool:
        return self.pitch is not None or self.chain.designation is not None
