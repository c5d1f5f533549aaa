"""The shapes of what is found out about a case; every finding names the places in the case that it rests on."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from chaincase.case.gap import Gap
from chaincase.chains.feature_states import State
from chaincase.chains.features import Component, Level
from chaincase.chains.kinds import Links
from chaincase.duty.result import Result
from chaincase.identifying.answer import Identification
from chaincase.identifying.identification import SETTLED
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentObservation
from chaincase.makeup.forms import SpacingAnswer
from chaincase.makeup.patterns import Pattern
from chaincase.makeup.strand_length import LengthOdds
from chaincase.makeup.strands import LinkCounts, Makeup
from chaincase.makeup.tiling import Closing
from chaincase.reading.order_line import OrderText

Settled = Literal["a person", "evidence"]
Rests = tuple[str, ...]
"""Places in the case: `evidence.readings[0]`, `spacing.observations[1]`."""


def percent(probability: float) -> str:
    """Give a probability as people say it.

    >>> percent(0.934), percent(0.9999), percent(0.001)
    ('93%', 'more than 99%', 'less than 1%')
    """
    if probability > 0.995:
        return "more than 99%"
    return "less than 1%" if probability < 0.005 else f"{probability:.0%}"


@dataclass(frozen=True, slots=True)
class Base:
    """The chain without its attachments.

    Attributes
    ----------
    key : str
        `table/designation`, which `Catalog.row` takes.
    row : int or None
        Row of the catalog that was asked; None where a person chose a chain of no table.
    designation, table, kind : str
        Its name, table, and name of its kind.
    links : Links
        Whether inner and outer links alternate.
    pitch_mm, mass_kg_per_m, tensile_kn : float or None
        Figures of its table; None where the cell is empty. The pitch of a chain of no table is that of `spacing.pitch`.
    settled_by : str
        "a person" or "evidence".
    probability : float or None
        What the evidence gives it [-], also where a person chose it; None without evidence.
    words : str
        Who settled it and why.
    trust : str
        How well its figures are known; empty where two sources agree.
    near : str
        Of a chosen chain that no table has, a chain of the tables that is spelled nearly so; else empty.
    """

    key: str
    row: int | None
    designation: str
    table: str
    kind: str
    links: Links
    pitch_mm: float | None
    mass_kg_per_m: float | None
    tensile_kn: float | None
    settled_by: Settled
    probability: float | None
    words: str
    trust: str = ""
    near: str = ""
    rests_on: Rests = ()


@dataclass(frozen=True, slots=True)
class WheelFinding:
    """What one wheel was cut for by itself, and what it says together with the rest, in words."""

    answer: Result
    words: str
    rests_on: Rests


@dataclass(frozen=True, slots=True)
class AttachmentFinding:
    """What one attachment is."""

    observed: AttachmentObservation
    answer: AttachmentAnswer
    words: str
    rests_on: Rests

    @property
    def code(self) -> str:
        """The code that is sure enough to write down; empty where it is open or a special."""
        shares: dict[str, float] = {}
        for each in self.answer.candidates:
            shares[each.code] = shares.get(each.code, 0.0) + each.probability
        best = max(shares, key=lambda code: shares[code], default="")
        return best if shares.get(best, 0.0) >= SETTLED else ""

    @property
    def settled(self) -> bool:
        """Whether it is one listed attachment, so that its table gives the dimensions."""
        return bool(self.answer.candidates) and self.answer.candidates[0].probability >= SETTLED


@dataclass(frozen=True, slots=True)
class PatternFinding:
    """Which links carry what.

    Attributes
    ----------
    pattern : Pattern
        The repeat.
    notation : str
        The same as written.
    settled_by : str
        "a person", or "proposed" from the spacing.
    probability : float
        Of the spacing it was proposed from; 1 where a person settled it.
    closing : Closing or None
        How it closes in the strand; None where the length is not known.
    words : str
        Where it is from.
    """

    pattern: Pattern
    notation: str
    settled_by: Literal["a person", "proposed"]
    probability: float
    closing: Closing | None
    words: str
    rests_on: Rests


@dataclass(frozen=True, slots=True)
class StrandTable:
    """What must be made.

    Attributes
    ----------
    makeup : Makeup
        One strand, their number and hands.
    counts, total : LinkCounts
        Links of one strand by kind, and of all strands.
    sections : tuple of int
        Pieces of one strand [pitches].
    joints : tuple of str
        Where each section is joined, in words.
    length_mm, mass_kg, total_mass_kg : float or None
        Of one strand, and the mass of all; base chain only; None where the tables have no figure.
    offset_links : int
        Offset links of one strand.
    strength_with_offset_kn : (float, float) or None
        What an offset link leaves of the strength, lowest and highest [kN].
    length_limits_mm : (float, float) or None
        Shortest and longest a new strand may measure by the standard's length tolerance [mm].
    tolerance : str
        Which tolerance that is, with its source, or what the case asks for.
    matched_within_mm : float or None
        How much matched strands may differ [mm].
    settled : bool
        Whether nothing but the identity must change for the length to hold: settled by a person or sure.
    words : tuple of str
        What must be known about it.
    """

    makeup: Makeup
    counts: LinkCounts
    total: LinkCounts
    sections: tuple[int, ...]
    joints: tuple[str, ...]
    length_mm: float | None
    mass_kg: float | None
    total_mass_kg: float | None
    offset_links: int
    strength_with_offset_kn: tuple[float, float] | None
    length_limits_mm: tuple[float, float] | None
    tolerance: str
    matched_within_mm: float | None
    settled: bool
    words: tuple[str, ...]
    rests_on: Rests


@dataclass(frozen=True, slots=True)
class FeatureState:
    """What is known of one feature that does not show: one for each statement, or one that says nobody asked."""

    key: str
    label: str
    part: Component
    state: State
    value: str
    by: str
    on: str
    how: str
    level: Level
    rests_on: Rests


@dataclass(frozen=True, slots=True)
class RecordFinding:
    """A pasted record, read."""

    text: str
    where: str
    read: OrderText
    rests_on: Rests


@dataclass(frozen=True, slots=True)
class Findings:
    """All findings of a case.

    Attributes
    ----------
    case : str
        Its number.
    identity : Identification or None
        None without evidence of the identity.
    base : Base or None
        None while it is open which chain it is.
    wheels, attachments, features, records
        One finding per entry, in the order of the case.
    spacing : SpacingAnswer or None
        None without an observation of the spacing.
    pattern : PatternFinding or None
        Which links carry what.
    strand : LengthOdds or None
        Odds of the number of pitches; None without an observation.
    made : StrandTable or None
        Links, sections, joints, length, mass; None until chain and length are there.
    duty : mapping of str to Result
        Answers by the place of their question: "length", "sprockets[0]", "pull", "drive", "wear", "verdict".
    gaps : tuple of Gap
        What is missing, the gravest first; accepted ones stand among them with who accepted.
    conflicts : tuple of str
        What cannot both be true; a person must settle each.
    warnings : tuple of str
        What must be known.
    rests_on : mapping of str to tuple of str
        For "identity", "spacing", "strand" and "duty.<name>": places in the case.
    """

    case: str
    identity: Identification | None = None
    base: Base | None = None
    wheels: tuple[WheelFinding, ...] = ()
    attachments: tuple[AttachmentFinding, ...] = ()
    spacing: SpacingAnswer | None = None
    pattern: PatternFinding | None = None
    strand: LengthOdds | None = None
    made: StrandTable | None = None
    features: tuple[FeatureState, ...] = ()
    duty: Mapping[str, Result] = field(default_factory=dict)
    records: tuple[RecordFinding, ...] = ()
    gaps: tuple[Gap, ...] = ()
    conflicts: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    rests_on: Mapping[str, Rests] = field(default_factory=dict)

    @property
    def wear(self) -> Result | None:
        """The wear of the chain, where it was asked."""
        return self.duty.get("wear")

    @property
    def verdict(self) -> Result | None:
        """Whether the chain, or the replacement that is asked for, fits, carries and lasts; None without a duty."""
        return self.duty.get("verdict")

    @property
    def open_gaps(self) -> tuple[Gap, ...]:
        """Gaps that nobody has accepted an assumption for."""
        return tuple(gap for gap in self.gaps if gap.accepted is None)

    def ready(self, level: Level | Literal["quote", "make"]) -> bool:
        """Tell whether the case can be quoted ("quote"), or made ("make", which needs all of "quote" too)."""
        return not any(gap.level == Level.QUOTE or level == Level.MAKE for gap in self.open_gaps)
