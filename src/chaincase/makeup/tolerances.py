"""How much longer than nominal a new chain may be, by standard, and how strands are matched."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from chaincase.catalog.table import Trust
from chaincase.errors import BadInput


@dataclass(frozen=True, slots=True)
class LengthTolerance:
    """What a new chain may exceed its nominal length by, measured under load; it is never shorter.

    Attributes
    ----------
    name : str
        Name for `length_tolerance`.
    standards : str
        Where it holds.
    plain, with_attachments : float or None
        Largest excess [-]; None where nothing was read or remembered.
    plain_trust, attachments_trust : Trust
        How well each is known.
    source : str
        Where it was read.
    """

    name: str
    standards: str
    plain: float | None
    with_attachments: float | None
    plain_trust: Trust
    attachments_trust: Trust
    source: str


LENGTH_TOLERANCES: Final = (
    LengthTolerance(
        "short pitch", "ISO 606, DIN 8187, ASME B29.1", 0.0015, 0.0030, Trust.TWO_SOURCES, Trust.TWO_SOURCES,
        "0.15 %: GOST 13568-97, A.2.6 (ISO 606:1994) and an independent public table; 0.30 %: two public texts",
    ),
    LengthTolerance(
        "double pitch", "ASME B29.3, B29.4", 0.0013, 0.0025, Trust.ONE_SOURCE, Trust.ONE_SOURCE,
        "an independent public table; a handbook prints 0.15 % for plain double-pitch chain",
    ),
    LengthTolerance(
        "double pitch metric", "ISO 1275", 0.0015, 0.0030, Trust.MEMORY, Trust.MEMORY, "from memory",
    ),
    LengthTolerance(
        "conveyor", "ISO 1977, DIN 8165", 0.0025, None, Trust.ONE_SOURCE, Trust.NONE,
        "0.25 %: DIN 8165:2018, 3.4.1; "
        "for ISO 1977 a public text says always more than nominal, the figure is from memory",
    ),
    LengthTolerance(
        "offset long pitch", "GOST 13568-97, offset chain of 78.1 mm pitch and more", 0.0050, None, Trust.ONE_SOURCE,
        Trust.NONE, "GOST 13568-97, 4.10",
    ),
    LengthTolerance("agricultural", "ISO 487", 0.0025, None, Trust.MEMORY, Trust.NONE, "from memory"),
    LengthTolerance(
        "engineering", "ISO 6971, ASME B29.10, B29.12, B29.16", None, None, Trust.NONE, Trust.NONE, "not read",
    ),
)  # fmt: skip
"""New-chain length tolerances. In inches 0.016 in per foot is remembered for ASME B29.1, which is 0.133 %."""


def length_tolerance(name: str) -> LengthTolerance:
    """Give a tolerance by its name.

    Raises
    ------
    BadInput
        If there is none of that name.

    >>> length_tolerance("short pitch").with_attachments
    0.003
    """
    for each in LENGTH_TOLERANCES:
        if each.name == name:
            return each
    names = ", ".join(each.name for each in LENGTH_TOLERANCES)
    raise BadInput(f"{name!r} is not a length tolerance", right=f"use one of: {names}")


def new_length_limits(nominal_mm: float, name: str, *, attachments: bool) -> tuple[float, float] | None:
    """Give the shortest and longest that a new chain may measure [mm]; None where the figure is not known.

    >>> new_length_limits(20_000.0, "short pitch", attachments=True)
    (20000.0, 20060.0)
    """
    found = length_tolerance(name)
    excess = found.with_attachments if attachments else found.plain
    return None if excess is None else (nominal_mm, nominal_mm + nominal_mm * excess)


def length_class(measured_mm: float, nominal_mm: float) -> str:
    """Give the tag letter of a piece in steps of 1 mm over nominal: A up to 1 mm, B up to 2 mm, and so on.

    Equal letters are mounted side by side. Source: one public practice.

    Raises
    ------
    BadInput
        If the piece is shorter than nominal or too long for a letter.

    >>> length_class(3048.4, 3048.0), length_class(3050.2, 3048.0)
    ('A', 'C')
    """
    over = measured_mm - nominal_mm
    if not 0.0 <= over < 26.0:
        what = f"a piece of {measured_mm} mm for a nominal length of {nominal_mm} mm"
        raise BadInput(what, right="a new chain is not shorter, and less than 26 mm longer")
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[int(over)]


@dataclass(frozen=True, slots=True)
class MatchedPairs:
    """Pieces for two strands.

    Attributes
    ----------
    pairs : tuple of (int, int)
        Numbers of the pieces, left and right, in the order in which they are joined.
    largest_apart : float
        Largest difference between the strands at any joint [mm].
    """

    pairs: tuple[tuple[int, int], ...]
    largest_apart: float


def match_pieces(measured_mm: Sequence[float]) -> MatchedPairs:
    """Pair measured pieces for two strands so that these keep together along their whole length.

    All are measured, the nearest lengths go side by side, and the longer one of each pair goes to the strand
    that is behind, so that long and short take turns.

    Parameters
    ----------
    measured_mm : sequence of float, length 2 n
        Length of each piece [mm].

    Raises
    ------
    BadInput
        If their number is odd or none.

    Source: the procedure is one public practice.

    >>> match_pieces([3050.0, 3048.5, 3049.8, 3048.2]).pairs
    ((1, 3), (2, 0))
    """
    if not measured_mm or len(measured_mm) % 2:
        raise BadInput(f"{len(measured_mm)} pieces for two strands", right="measure an even number of pieces")
    order = sorted(range(len(measured_mm)), key=lambda i: measured_mm[i])
    couples = list(zip(order[::2], order[1::2], strict=True))
    ahead, farthest, pairs = 0.0, 0.0, []
    for short, long in couples:
        left, right = (long, short) if ahead <= 0.0 else (short, long)
        ahead += measured_mm[left] - measured_mm[right]
        farthest = max(farthest, abs(ahead))
        pairs.append((left, right))
    return MatchedPairs(tuple(pairs), farthest)
