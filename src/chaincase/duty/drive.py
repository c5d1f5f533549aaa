"""A chain drive: the rating it needs, what a chain of a size carries, and the sizes that would do."""

import re
from dataclasses import dataclass
from typing import Final

from chaincase.duty import rating, rating_tables
from chaincase.duty.candidate import Candidate, candidate
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.lubrication import lubrication
from chaincase.duty.rating import Rating
from chaincase.errors import BadInput

CHOICES: Final = (1, 2, 3, 4)
"""Strands among which a chain is chosen."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A chain that would carry the power.

    Attributes
    ----------
    number : int
        Size of ASME B29.1.
    strands : int
        Side by side.
    rating : Rating
        Of one strand.
    capacity : float
        Of all strands [W].
    speed : float
        Of the chain [m/s].
    margin : float
        Capacity over power times service factor [-].
    oiling : str
        Way of oiling, or nothing where none was read.
    """

    number: int
    strands: int
    rating: Rating
    capacity: float
    speed: float
    margin: float
    oiling: str


def service(form: DriveForm) -> float:
    """Give the service factor: that of the form, else f1 for its words, smooth where it has none."""
    if form.service_factor is not None:
        return form.service_factor
    return rating.application_factor(form.driven or "smooth", form.driver or "smooth")


def chain_of(form: DriveForm) -> Candidate:
    """Give the chain of the form with its figures from the tables.

    Raises
    ------
    BadInput
        If no table has it, or it has another number of strands than the form says.
    """
    chain = candidate(form.chain)
    if chain.strands and form.strands and chain.strands != form.strands:
        what = f"{chain.designation} has {chain.strands} strand{'s' if chain.strands > 1 else ''}, not {form.strands}"
        raise BadInput(what, where="strands", right=f"name the chain with its strands, such as 16A-{form.strands}")
    return chain


def strands_of(form: DriveForm, chain: Candidate) -> int:
    """Give the number of strands: of the form, else of the chain, else one."""
    return form.strands or chain.strands or 1


def pitch_of(form: DriveForm, chain: Candidate) -> float | None:
    """Give the pitch of the drive [mm]; None if a chain is still to be chosen."""
    return form.pitch or chain.pitch


def number_of(form: DriveForm, chain: Candidate) -> int | None:
    """Give the size of ASME B29.1 that the chain is; None if it is none or cannot be told.

    A chain that is named by another standard (08B, 16B-2) has its own rating tables.
    """
    name = form.chain.designation
    if name is None:
        by_pitch = [number for number, inch in rating.PITCH_IN.items() if _same(inch * 25.4, form.pitch)]
        return by_pitch[-1] if by_pitch else None
    return _american(chain.designation)


def _same(pitch: float, given: float | None) -> bool:
    return given is not None and abs(pitch - given) < 0.02


def _american(designation: str) -> int | None:
    """Give the size of ASME B29.1 of a chain of ISO 606, A series: 16A-2 is 80; None for any other.

    >>> _american("16A-2"), _american("06C-1"), _american("16B-1")
    (80, 35, None)
    """
    found = re.fullmatch(r"(\d\d[AC]|085)(?:-\d)?", designation)
    if found is None:
        return None
    number = _UNLIKE.get(found[1], int(found[1].rstrip("AC")) * 5)
    return number if number in rating.PITCH_IN else None


_UNLIKE: Final = {"085": 41, "04C": 25, "06C": 35}
"""Sizes whose number is not five times that of ISO 606."""


def rated(number: int, teeth: float, rpm: float) -> tuple[Rating, str]:
    """Give the rating of one strand of a size, and why not by the table or nothing.

    The published table goes before the equations where there is one, for No. 25.

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> round(rated(25, 17, 900)[0].power / rating.HP, 2)
    0.82
    """
    if number != 25:
        return rating.by_equation(number, teeth, rpm), ""
    try:
        return rating_tables.no25_power(teeth, rpm), ""
    except BadInput as fault:
        return rating.by_equation(number, teeth, rpm), f"No. 25: {fault.what}; rated by the equations instead"


def capacity(form: DriveForm, number: int, strands: int) -> Choice:
    """Give what a size and number of strands carries on this drive."""
    one, _ = rated(number, form.teeth, form.rpm)
    power = one.power if form.hours is None else rating.for_life(one.power, form.hours)
    one = Rating(power, one.limit, one.edition)
    all_strands = power * rating.strand_factor(strands)
    speed = rating.PITCH_IN[number] * 25.4 * form.teeth * form.rpm / 60_000.0
    margin = all_strands / (form.power * service(form))
    return Choice(number, strands, one, all_strands, speed, margin, lubrication(number, speed))


def choices(form: DriveForm) -> list[Choice]:
    """Give the smallest pitch that carries the power, for one strand, two, three and four; None of them may do.

    >>> form = DriveForm.of({"power": "10 kW", "rpm": 900, "teeth": 21, "service_factor": 1.5})
    >>> [(choice.number, choice.strands) for choice in choices(form)]
    [(60, 1), (50, 2), (50, 3), (40, 4)]
    """
    sizes = [number for number in rating.PITCH_IN if number != 41]  # the light series is chosen for other reasons
    wanted = [form.strands] if form.strands else list(CHOICES)
    found = ((capacity(form, number, strands) for number in sizes) for strands in wanted)
    first = (next((choice for choice in row if choice.margin >= 1.0), None) for row in found)
    return [choice for choice in first if choice is not None]
