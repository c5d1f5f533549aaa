"""The file form `chaincase/sprocket-1`: a sprocket to be worked out for a chain, or one that is there and measured."""

from typing import Annotated, Final, Literal, Self

from pydantic import Field, StrictFloat, StrictInt, StrictStr, model_validator

from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import KINDS
from chaincase.duty import amounts
from chaincase.duty.checking import between
from chaincase.duty.form import LengthMm, count
from chaincase.duty.result import Result
from chaincase.duty.sprocket import FEWEST_TEETH, MOST_TEETH
from chaincase.duty.sprocket_answer import Family, Wheel, sprocket
from chaincase.duty.sprocket_reading import Seen, WheelReading
from chaincase.duty.sprocket_reading_answer import sprocket_reading
from chaincase.errors import BadInput, BadInputs
from chaincase.forms import Part, Word, refuse, told

SCHEMA: Final = "chaincase/sprocket-1"

_FAMILY: Final = {"roller": Family.SHORT, "bush": Family.SHORT, "double pitch": Family.DOUBLE}
_MOST: Final = 50


def _rpm(value: str | float) -> float:
    return between("speed", amounts.rpm(value), 0.0, 100_000.0, "1/min")


class ReadingPart(Part):
    """One reading on a wheel."""

    dimension: Word
    value: StrictStr | StrictInt | StrictFloat
    instrument: Word = ""
    pin: LengthMm | None = None

    def reading(self) -> WheelReading:
        """Give the reading parsed; BadInput if it is none."""
        return WheelReading.parse(self.dimension, self.value, instrument=self.instrument, pin=self.pin)


class SprocketForm(Part):
    """A sprocket as a person describes it.

    With `pitch` or `chain` its figures are worked out; with neither, `readings` and `marks` tell what it was cut for.

    >>> form = SprocketForm.of({"pitch": "1 in", "teeth": 17, "roller": "5/8 in"})
    >>> round(form.answer(Catalog.standard()).number("root_diameter_mm"), 2)
    122.36
    """

    schema_: Literal["chaincase/sprocket-1"] = Field(default=SCHEMA, alias="schema")
    teeth: Annotated[int, count("teeth", FEWEST_TEETH, MOST_TEETH)]
    pitch: LengthMm | None = None
    chain: Word | None = None
    roller: LengthMm | None = None
    inner_width: LengthMm | None = None
    plate_height: LengthMm | None = None
    transverse_pitch: LengthMm | None = None
    rows: Annotated[int, count("rows", 1, 24)] | None = None
    double_cut: bool = False
    family: Family | None = None
    pin: LengthMm | None = None
    rpm: Annotated[float, told(_rpm)] | None = None
    readings: Annotated[tuple[ReadingPart, ...], Field(max_length=_MOST)] = ()
    marks: Annotated[tuple[Word, ...], Field(max_length=_MOST)] = ()

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.pitch is None and self.chain is None and not self.readings and not self.marks:
            right = "give the pitch or the chain, or readings of a sprocket that is there"
            raise refuse("neither pitch nor chain nor readings are given", right)
        return self

    def answer(self, catalog: Catalog) -> Result:
        """Give the figures of the wheel, or what it was cut for.

        Raises
        ------
        BadInput
            If the chain is not known, a reading is none, or the parts do not go together.
        """
        if self.pitch is None and self.chain is None:
            return sprocket_reading(self._seen(), catalog)
        return sprocket(self._wheel(catalog))

    def seen(self) -> Seen:
        """Give what was read on a wheel that is there; BadInput if a reading is none."""
        return self._seen()

    def _wheel(self, catalog: Catalog) -> Wheel:
        of_chain = {} if self.chain is None else chain_parts(self.chain, catalog)
        family = self.family or (None if self.chain is None else family_of(self.chain, catalog))
        strands = 1 if self.chain is None else int(catalog.strands[catalog.row(self.chain)])
        pitch = self.pitch or of_chain.get("pitch")
        if pitch is None:
            raise BadInput(f"no table gives the pitch of {self.chain}", where="chain", right="give the pitch as well")
        return Wheel(
            pitch=pitch,
            teeth=self.teeth,
            roller=self.roller or of_chain.get("roller"),
            inner_width=self.inner_width or of_chain.get("inner_width"),
            plate_height=self.plate_height or of_chain.get("plate_height"),
            transverse_pitch=self.transverse_pitch or of_chain.get("transverse_pitch"),
            rows=self.rows or max(strands, 1),
            double_cut=self.double_cut,
            family=family,
            pin=self.pin,
            rpm=self.rpm,
        )

    def _seen(self) -> Seen:
        readings, faults = [], []
        for i, part in enumerate(self.readings):
            try:
                readings.append(part.reading())
            except BadInput as fault:
                faults.append(fault.within(f"readings[{i}]"))
        if faults:
            raise faults[0] if len(faults) == 1 else BadInputs(faults)
        return Seen(self.teeth, tuple(readings), self.rows, self.marks)


def chain_parts(designation: str, catalog: Catalog) -> dict[str, float]:
    """Give what a table knows of a chain that matters to its sprocket [mm]; an empty cell is left out.

    Raises
    ------
    BadInput
        If no chain, or more than one, has that name.

    >>> chain_parts("12B-1", Catalog.standard())
    {'pitch': 19.05, 'roller': 12.07, 'inner_width': 11.68, 'plate_height': 16.13, 'transverse_pitch': 19.46}
    """
    return parts_of_row(catalog, catalog.row(designation))


def parts_of_row(catalog: Catalog, row: int) -> dict[str, float]:
    """Give the same of a row of a catalog."""
    values = catalog.values[row]
    columns = {
        "pitch": ("pitch",),
        "roller": ("roller_diameter", "bush_diameter"),
        "inner_width": ("inner_width",),
        "plate_height": ("inner_plate_height",),
        "transverse_pitch": ("transverse_pitch",),
    }
    found = {name: [float(values[COLUMN[column]]) for column in choice] for name, choice in columns.items()}
    known = {name: [value for value in choice if value == value] for name, choice in found.items()}  # noqa: PLR0124
    return {name: choice[0] for name, choice in known.items() if choice}


def family_of(designation: str, catalog: Catalog) -> Family:
    """Give the tooth form that goes with a chain.

    >>> family_of("212A", Catalog.standard()), family_of("WR124", Catalog.standard())
    (<Family.DOUBLE: 'double pitch'>, <Family.CONVEYOR: 'conveyor'>)
    """
    return _FAMILY.get(KINDS[int(catalog.kind[catalog.row(designation)])].name, Family.CONVEYOR)
