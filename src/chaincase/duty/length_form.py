"""The file form `chaincase/length-1`: two sprockets and their centers, or a path of wheels with a take-up."""

import re
from typing import Annotated, Final, Literal, Self

from pydantic import Field, model_validator

from chaincase.chains.kinds import Links
from chaincase.duty.amounts import angle_deg
from chaincase.duty.checking import between
from chaincase.duty.form import LengthMm, count, number
from chaincase.duty.length_answer import Drive, chain_length
from chaincase.duty.path import MOST_WHEELS, Station
from chaincase.duty.path_answer import Loop, TakeUp, path_length
from chaincase.duty.result import Result
from chaincase.duty.sprocket import teeth_count
from chaincase.errors import BadInput
from chaincase.forms import Part, Word, refuse, told
from chaincase.units import parse_length

SCHEMA: Final = "chaincase/length-1"

_LONGEST: Final = 1_000_000
_ZERO: Final = re.compile(r"[-+]?0+([.,]0*)?\s*[a-z]{0,2}", re.IGNORECASE)
"""No length is 0, but a place may be."""


def _place(value: str | float) -> float:
    """Read a coordinate [mm]: a length with its unit that may be negative, or 0."""
    text = str(value).strip().replace("−", "-")
    if isinstance(value, bool):
        raise BadInput(f"{value} is not a place", right="write a length with its unit, such as -250 mm")
    if _ZERO.fullmatch(text):
        return 0.0
    size = parse_length(text.lstrip("+-")).mm()
    return -size if text.startswith("-") else size


def _direction(value: str | float) -> float:
    return between("direction", angle_deg(value), -360.0, 360.0, "degrees")


Teeth = Annotated[float, told(teeth_count)]
Place = Annotated[float, told(_place)]


class WheelPart(Part):
    """One wheel of a path, `path.Station` says what each value is."""

    x: Place
    y: Place
    teeth: Teeth | None = None
    diameter: LengthMm | None = None
    outside: bool = False
    name: Word = ""

    @model_validator(mode="after")
    def _is_a_wheel(self) -> Self:
        if (self.teeth is None) == (self.diameter is None):
            raise refuse("a wheel needs teeth or a diameter, and not both", "give one of them")
        return self

    def station(self) -> Station:
        """Give the wheel."""
        return Station(self.x, self.y, self.teeth, self.diameter, outside=self.outside, name=self.name)


class TakeUpPart(Part):
    """The wheel that moves, counted from 1 or by its name, which way, and how far."""

    wheel: Word | Annotated[int, count("wheel", 1, MOST_WHEELS)]
    direction: Annotated[float, told(_direction)]
    travel: LengthMm


class LengthForm(Part):
    """A chain whose length is asked for.

    >>> form = LengthForm.of({"pitch": "19.05 mm", "teeth": [17, 51], "centers": "800 mm"})
    >>> form.answer()["pitches"]
    120
    """

    schema_: Literal["chaincase/length-1"] = Field(default=SCHEMA, alias="schema")
    pitch: LengthMm
    teeth: tuple[Teeth, Teeth] | None = None
    centers: LengthMm | None = None
    wheels: Annotated[tuple[WheelPart, ...], Field(min_length=2, max_length=MOST_WHEELS)] | None = None
    take_up: TakeUpPart | LengthMm | None = None
    pitches: Annotated[int, count("pitches", 1, _LONGEST)] | None = None
    offset_link: bool = False
    links_alike: bool = False
    fixed_centers: bool = False
    slack: Annotated[float, number("slack", 0.0, 0.05)] = 0.0
    elongation: Annotated[float, number("elongation", 0.0, 0.2)] = 0.02

    @model_validator(mode="after")
    def _is_one_question(self) -> Self:
        if (self.teeth is None) == (self.wheels is None):
            raise refuse("two sprockets or a path of wheels must be given, and not both", "give teeth or wheels")
        if self.wheels is not None and isinstance(self.take_up, float):
            raise refuse("a path needs to know which wheel takes up", "give take_up as wheel, direction, travel")
        if self.teeth is not None and isinstance(self.take_up, TakeUpPart):
            raise refuse("two sprockets take up along their centers", "give take_up as a length")
        if self.teeth is not None and self.centers is None and self.pitches is None:
            raise refuse("neither centers nor pitches are given", "give one of them")
        return self

    def answer(self) -> Result:
        """Give the length.

        Raises
        ------
        BadInput
            If sprockets overlap, the chain does not reach, or the path is none.
        """
        links = Links.ALIKE if self.links_alike else Links.ALTERNATE
        if self.teeth is not None:
            return chain_length(
                Drive(
                    pitch=self.pitch, teeth=self.teeth, centers=self.centers, pitches=self.pitches, links=links,
                    offset_link=self.offset_link, fixed=self.fixed_centers, slack=self.slack,
                    elongation=self.elongation, take_up=self.take_up if isinstance(self.take_up, float) else None,
                )
            )  # fmt: skip
        return path_length(
            Loop(
                pitch=self.pitch, stations=tuple(wheel.station() for wheel in self.wheels or ()),
                take_up=self._take_up(), pitches=self.pitches, links=links, offset_link=self.offset_link,
                elongation=self.elongation,
            )
        )  # fmt: skip

    def _take_up(self) -> TakeUp | None:
        if not isinstance(self.take_up, TakeUpPart):
            return None
        wheel, wheels = self.take_up.wheel, self.wheels or ()
        if isinstance(wheel, str):
            named = [i for i, part in enumerate(wheels) if part.name == wheel]
            if len(named) != 1:
                names = ", ".join(part.name for part in wheels if part.name) or "none has a name"
                raise BadInput(f"{wheel!r:.60} names {len(named)} wheels", where="take_up.wheel", right=f"use: {names}")
            return TakeUp(named[0], self.take_up.direction, self.take_up.travel)
        return TakeUp(wheel - 1, self.take_up.direction, self.take_up.travel)
