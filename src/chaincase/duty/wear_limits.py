"""At which wear a chain is replaced: elongation by service and by teeth, and the parts of a joint.

None of these figures is a standard's: all were read in public texts on chain maintenance. docs/duty.md lists them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from chaincase.chains.kinds import KINDS
from chaincase.duty import checking
from chaincase.errors import BadInput
from chaincase.identifying.wear_words import CONVEYOR_LIMIT, DRIVE_LIMIT

FIXED_CENTERS: Final = 0.015
"""Elongation limit where the shafts cannot be moved apart: two public texts."""
MANY_TEETH: Final = 67
"""Up to so many teeth of the largest wheel 3 % hold: two public texts (one says 66)."""
_TEETH_RULE: Final = 2.0

Service = Literal["drive", "conveyor"]
Hardening = Literal["case hardened", "through hardened", "unknown"]

_DRIVES: Final = frozenset({"roller", "bush", "agricultural", "leaf"})
_EITHER: Final = frozenset({"double pitch", "offset sidebar"})
_WITHOUT: Final = frozenset({"flat-top", "detachable", "rivetless"})


@dataclass(frozen=True, slots=True)
class Limit:
    """An elongation at which a chain is replaced.

    Attributes
    ----------
    elongation : float
        Over the nominal length [-].
    words : str
        Which rule.
    source : str
        Where it was read.
    """

    elongation: float
    words: str
    source: str


def by_teeth(teeth: int) -> float:
    """Give the elongation at which a chain climbs the teeth of its largest wheel [-]: 200 %/z, and never above 3 %.

    A worn chain rides higher, and the more teeth share the wrap the sooner it jumps. Source: 200/N above 67 teeth,
    3 % up to there, two public texts.

    Raises
    ------
    BadInput
        If a number of teeth cannot be.

    >>> by_teeth(67), by_teeth(100), by_teeth(12)
    (0.02985..., 0.02, 0.03)
    """
    count = checking.whole("teeth", teeth, 5, 1000)
    return min(_TEETH_RULE / count, DRIVE_LIMIT / 100.0)


def limit_length(pitch_mm: float, over: int, elongation: float) -> float:
    """Give what a number of pitches measures at an elongation [mm].

    Raises
    ------
    BadInput
        If a quantity cannot be.

    >>> round(limit_length(25.4, 12, 0.03) / 25.4, 2)
    12.36
    """
    count = checking.whole("pitches", over, 1, 100_000)
    return checking.positive("pitch", pitch_mm, "mm") * count * (1.0 + checking.finite("elongation", elongation))


def limits(kind: str, service: Service | None, teeth: int | None, *, fixed_centers: bool) -> Iterator[Limit]:
    """Give every rule that was read for a chain; the smallest governs, none is given where none was read.

    Parameters
    ----------
    kind : str
        Kind of chain.
    service : {"drive", "conveyor"} or None
        What it does; None to go by the kind, the lower limit where a kind does both.
    teeth : int or None
        Of the largest wheel [-].
    fixed_centers : bool
        Whether the shafts cannot be moved apart.

    >>> [limit.elongation for limit in limits("roller", None, 80, fixed_centers=False)]
    [0.03, 0.025]
    """
    if kind in _WITHOUT and service is None:
        return
    said = service or ("drive" if kind in _DRIVES else "conveyor")
    if said == "drive":
        yield Limit(DRIVE_LIMIT / 100.0, "drive chain", "several public texts, no standard")
        if fixed_centers:
            yield Limit(FIXED_CENTERS, "fixed centers", "two public texts")
    else:
        either = " (a drive of this kind may go to 3 %: say service)" if kind in _EITHER and service is None else ""
        yield Limit(CONVEYOR_LIMIT / 100.0, f"conveyor chain{either}", "several public texts, no standard")
    if teeth is not None and teeth > MANY_TEETH:
        yield Limit(by_teeth(teeth), f"200/z with {teeth} teeth", "two public texts")


def kind_named(name: str) -> str:
    """Give the kind of chain of that name.

    Raises
    ------
    BadInput
        If there is none.

    >>> kind_named("Welded Steel")
    'welded steel'
    """
    plain = " ".join(checking.text("kind", name).casefold().split())
    if plain not in {kind.name for kind in KINDS}:
        names = ", ".join(kind.name for kind in KINDS)
        raise BadInput(f"{name[:40]!r} is not a kind of chain", right=f"use one of: {names}")
    return plain


@dataclass(frozen=True, slots=True)
class PartLimit:
    """How much of a part must be left.

    Attributes
    ----------
    left : float
        Size over new size, at least [-].
    words : str
        Of what.
    dimension : str
        What is measured, as readings call it.
    """

    left: float
    words: str
    dimension: str


PARTS: Final = {
    "pin": PartLimit(0.975, "a case-hardened pin, whose hard layer is thin", "pin_diameter"),
    "pin, through hardened": PartLimit(
        0.85, "a through-hardened pin, for fear of fracture of what is left", "pin_diameter"
    ),
    "bush wall": PartLimit(0.40, "the wall of a bush", "thickness"),
    "roller wall": PartLimit(0.40, "the wall of a small roller", "thickness"),
    "plate thickness": PartLimit(2.0 / 3.0, "a plate", "thickness"),
    "plate height": PartLimit(0.95, "a plate that slides", "height"),
}
"""Each read in one public text on chain maintenance."""
PART_SOURCE: Final = "limits of parts: public texts on chain maintenance, one each"


def part_limit(part: str, hardening: Hardening = "unknown") -> PartLimit:
    """Give the limit of a part; a pin of which nobody says how it is hardened gets the stricter one.

    Raises
    ------
    BadInput
        If there is no such part.

    >>> part_limit("pin").left, part_limit("pin", "through hardened").left
    (0.975, 0.85)
    """
    name = f"{part}, {hardening}" if hardening == "through hardened" and part == "pin" else part
    if name not in PARTS:
        names = ", ".join(each for each in PARTS if "," not in each)
        raise BadInput(f"{part[:40]!r} is not a part with a limit", right=f"use one of: {names}")
    return PARTS[name]
