"""One reading as somebody wrote it down, checked and parsed, nothing computed yet."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from typing import Self, TypeVar

from chaincase.chains import attachments
from chaincase.chains.dimensions import ALIASES, BY_NAME, DIMENSIONS, UNNAMED, Group
from chaincase.errors import BadInput
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.instruments import NAMES, Instrument
from chaincase.measuring.techniques import Technique
from chaincase.units import Length, parse_length

Choice = TypeVar("Choice", bound=StrEnum)

Written = str | float
"""A value as it stands in a file: text, or a bare number."""

LONGEST_NAME = 40
"""Characters of a wrong name that a message repeats."""

BETWEEN_CENTERS = frozenset(d.name for d in (*DIMENSIONS, *attachments.DIMENSIONS) if d.group is Group.PITCH)
"""Dimensions that are distances between centers, on the chain and on its attachments."""

MOST_PITCHES = 100_000
"""More than anybody counts; whatever is larger is a slip of the pen."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading.

    Attributes
    ----------
    dimension : str
        Name in `chains.dimensions.BY_NAME`, or in `UNNAMED` where it is not known which; of an attachment, name in
        `chains.attachments.BY_NAME`.
    value : str
        As written.
    length : Length
        The same, parsed.
    instrument : Instrument
        What it was taken with.
    technique : Technique
        How.
    link : Link
        First link that a pitch spans, or the link that another dimension was taken on.
    reference : Reference
        What a pitch was taken between.
    over : int
        Pitches spanned, 1 or more; 1 for everything but pitches.
    repeats : tuple of Length
        Further values of the same size, taken anew.
    edge_diameters : tuple of Length, length 0 to 2
        Diameters of the parts between whose edges a pitch was taken, one where they are equal. The zeroed
        hole comes first.
    who, when, note : str
        As written.
    place : str
        Where it stands, for messages: "readings[2]".
    """

    dimension: str
    value: str
    length: Length
    instrument: Instrument = Instrument.UNKNOWN
    technique: Technique = Technique.UNKNOWN
    link: Link = Link.UNKNOWN
    reference: Reference = Reference.UNKNOWN
    over: int = 1
    repeats: tuple[Length, ...] = ()
    edge_diameters: tuple[Length, ...] = ()
    who: str = ""
    when: str = ""
    note: str = ""
    place: str = "reading"

    @classmethod
    def parse(
        cls,
        dimension: str,
        value: Written,
        *,
        instrument: str = "",
        technique: str = "",
        link: str = "",
        reference: str = "",
        over: Written = 1,
        repeats: Iterable[Written] = (),
        edge_diameters: Iterable[Written] = (),
        who: str = "",
        when: str = "",
        note: str = "",
        place: str = "reading",
        named: Callable[[str, str], str] | None = None,
    ) -> Self:
        """Check and parse a reading; an empty choice counts as unknown.

        `named` gives the dimension's own name for what somebody wrote and its place; without it, `dimension_named`.

        Raises
        ------
        BadInput
            If a name is not known, a value is no length above 0, `over` no whole number above 0, or the
            technique cannot give the dimension. The message names the field under `place`.

        >>> reading = Reading.parse("Pin diameter", "18.9 mm", instrument="digital caliper")
        >>> reading.dimension, reading.instrument.value, float(reading.length.mm())
        ('pin_diameter', 'digital caliper', 18.9)
        >>> Reading.parse("pitch", "4.06 in", over=0, place="readings[2]")
        Traceback (most recent call last):
        chaincase.errors.BadInput: readings[2].over: '0' is not a number of pitches; give a whole number ...
        """
        reading = cls(
            dimension=(named or dimension_named)(dimension, f"{place}.dimension"),
            value=str(value).strip(),
            length=parse_length(value, where=f"{place}.value"),
            instrument=instrument_named(instrument, f"{place}.instrument"),
            technique=choice_named(Technique, technique, f"{place}.technique"),
            link=choice_named(Link, link, f"{place}.link"),
            reference=choice_named(Reference, reference, f"{place}.reference"),
            over=pitches(over, f"{place}.over"),
            repeats=parse_sizes(repeats, f"{place}.repeats"),
            edge_diameters=parse_sizes(edge_diameters, f"{place}.edge_diameters"),
            who=who,
            when=when,
            note=note,
            place=place,
        )
        check_sense(reading)
        return reading

    @property
    def is_pitch(self) -> bool:
        """Whether it is a distance between centers."""
        return self.dimension in BETWEEN_CENTERS

    @property
    def is_bare(self) -> bool:
        """Whether it was written without a unit, so that it may be millimeters or inches."""
        return self.length.unit is None

    @property
    def meanings(self) -> tuple[str, ...]:
        """Dimensions that it may be of: one, or all of its sort where only that is known."""
        return UNNAMED.get(self.dimension, (self.dimension,))


def dimension_named(name: str, where: str = "") -> str:
    """Give the dimension's own name for what somebody wrote; spaces, hyphens and capitals do not matter.

    Raises
    ------
    BadInput
        If there is no such dimension; the message offers the nearest names.

    >>> dimension_named("Barrel diameter"), dimension_named("width")
    ('bush_diameter', 'width')
    """
    plain = str(name).strip().lower().replace(" ", "_").replace("-", "_")
    plain = ALIASES.get(plain, plain)
    if plain in BY_NAME or plain in UNNAMED:
        return plain
    known = [*BY_NAME, *UNNAMED, *ALIASES]
    near = get_close_matches(plain[:LONGEST_NAME], known, n=3)
    right = f"did you mean {' or '.join(near)}" if near else f"use one of: {', '.join([*BY_NAME, *UNNAMED])}"
    raise BadInput(f"{_shown(str(name))} is not a dimension", where=where, right=right)


def instrument_named(name: str, where: str = "") -> Instrument:
    """Give the instrument that somebody wrote; nothing written counts as unknown.

    >>> instrument_named("Vernier caliper"), instrument_named("")
    (<Instrument.CALIPER: 'caliper'>, <Instrument.UNKNOWN: 'unknown'>)
    """
    plain = _plain(name)
    if plain in NAMES:
        return NAMES[plain]
    what = f"{_shown(str(name))} is not an instrument"
    raise BadInput(what, where=where, right=f"use one of: {', '.join(Instrument)}")


def choice_named(choices: type[Choice], name: str, where: str = "") -> Choice:
    """Give the member of an enumeration that somebody wrote; nothing written counts as unknown.

    Raises
    ------
    BadInput
        If there is no such member.

    >>> choice_named(Link, "Outer")
    <Link.OUTER: 'outer'>
    """
    plain = _plain(name) or "unknown"
    try:
        return choices(plain)
    except ValueError:
        what = f"{_shown(str(name))} is not a {choices.__name__.lower()}"
        raise BadInput(what, where=where, right=f"use one of: {', '.join(choices)}") from None


def pitches(over: Written, where: str = "") -> int:
    """Give a number of pitches, 1 or more, from a number or from text.

    >>> pitches("12")
    12
    """
    number: float = 0
    if isinstance(over, str):
        digits = over.strip().removesuffix(".0")
        number = int(digits) if digits.isascii() and digits.isdigit() and len(digits) < LONGEST_NAME else 0
    elif not isinstance(over, bool):
        number = over
    if not 1 <= number <= MOST_PITCHES or number != int(number):
        what = f"{_shown(str(over))} is not a number of pitches"
        right = f"give a whole number from 1 to {MOST_PITCHES}"
        raise BadInput(what, where=where, right=right)
    return int(number)


def parse_sizes(values: Iterable[Written], where: str = "") -> tuple[Length, ...]:
    """Parse several lengths, or one; a fault names its number in the list."""
    listed = [values] if isinstance(values, str) else values
    return tuple(parse_length(value, where=f"{where}[{i}]") for i, value in enumerate(listed))


def check_sense(reading: Reading) -> None:
    """Refuse what cannot be, such as a pitch count on a diameter or three partner diameters.

    Raises
    ------
    BadInput
        With the field under the reading's place.
    """
    if not reading.is_pitch:
        _check_part(reading)
    count = len(reading.edge_diameters)
    if count > 2:
        raise _nonsense(reading, "edge_diameters", f"{count} diameters", "give one for equal parts or two")
    if reading.is_bare and any(repeat.unit is not None for repeat in reading.repeats):
        what = f"{reading.value!r} has no unit but a repeat has"
        raise _nonsense(reading, "value", what, "write the unit here too")


def _check_part(reading: Reading) -> None:
    """Refuse on the size of a part what only a distance between centers can have."""
    right = "leave it out, only distances between centers have it"
    if reading.over > 1:
        raise _nonsense(reading, "over", f"a {reading.dimension} over {reading.over} pitches", right)
    if reading.technique is Technique.ZEROED_ON_HOLE:
        raise _nonsense(reading, "technique", f"a {reading.dimension} zeroed on a hole", right)
    if reading.edge_diameters:
        raise _nonsense(reading, "edge_diameters", f"a {reading.dimension} with partner diameters", right)


def _nonsense(reading: Reading, field: str, what: str, right: str) -> BadInput:
    return BadInput(what, where=f"{reading.place}.{field}", right=right)


def _shown(name: str) -> str:
    return repr(name if len(name) <= LONGEST_NAME else f"{name[:LONGEST_NAME]}...")


def _plain(name: str) -> str:
    return " ".join(str(name).lower().replace("_", " ").replace("-", " ").split())
