"""The file form `chaincase/verdict-1`: a candidate, the sprockets that stay, the duty and the wear of the old chain."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from chaincase.duty import amounts
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.form import Stress, number, positive
from chaincase.duty.pull_form import PullForm
from chaincase.duty.sprocket_form import SprocketForm
from chaincase.duty.wear_form import WearForm
from chaincase.forms import Part, Word, refuse

SCHEMA: Final = "chaincase/verdict-1"


class VerdictForm(Part):
    """A candidate held against what stays and what it must do; `chain` of pull or drive is the chain that runs now."""

    schema_: Literal["chaincase/verdict-1"] = Field(default=SCHEMA, alias="schema")
    name: Word = ""
    candidate: Annotated[Word, Field(min_length=1)]
    old: Word | None = None
    sprockets: Annotated[tuple[SprocketForm, ...], Field(max_length=50)] = ()
    pull: PullForm | None = None
    drive: DriveForm | None = None
    wear: WearForm | None = None
    working_load: Annotated[float | None, positive(amounts.force_n, "working load")] = None
    allowed_pressure: Stress | None = None
    years: Annotated[float | None, number("years", 0.1, 100.0)] = None

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.pull is not None and self.drive is not None:
            raise refuse("both pull and drive are given", "a chain is in a conveyor or in a drive: give one of them")
        if not self.sprockets and self.pull is None and self.drive is None and self.wear is None:
            raise refuse("nothing to hold the candidate against", "give sprockets, pull or drive, wear")
        return self

    @property
    def old_name(self) -> str | None:
        """Designation of the chain that runs now; None where nobody can name it."""
        duty = self.pull or self.drive
        return self.old or (duty.chain.designation if duty else None)
