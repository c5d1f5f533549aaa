"""The file forms `chaincase/spacing-1` and `chaincase/spacing-answer-1`."""

from functools import partial
from typing import Annotated, ClassVar, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, StrictFloat, StrictInt, StrictStr, model_validator

from chaincase.errors import BadInput
from chaincase.forms import Advice, Part, check_all
from chaincase.makeup.observations import Counted, Observation, OnLinks, Sample, Taped, Where
from chaincase.measuring.reading import Reading
from chaincase.units import Length, parse_length

SCHEMA: Final = "chaincase/spacing-1"
ANSWER_SCHEMA: Final = "chaincase/spacing-answer-1"
_LOOKS_LIKE: Final = f'it looks like {{"schema": "{SCHEMA}", "pitch": "4 in", "observations": [{{"counted": 12}}]}}'

MOST_PITCHES: Final = 2000
"""Nobody spaces attachments wider; a larger number is a slip of the pen."""
MOST_GAPS: Final = 1000
_MOST_OBSERVATIONS = 200
_LONGEST_WORD = 200
_LONGEST_NOTE = 100_000

_Written = StrictStr | StrictInt | StrictFloat
_Word = Annotated[str, Field(max_length=_LONGEST_WORD)]
_Link = Annotated[StrictInt, Field(ge=1, le=MOST_PITCHES)]


class SpacingObservation(Part):
    """One entry of `observations`; one entry may hold several sorts, which then count as separate ones.

    Attributes
    ----------
    taped : str or number, optional
        Length from an attachment to the same place of another.
    counted : int, optional
        Pitches from an attachment to another.
    counted_each : list of int, optional
        Pitches of several gaps in a row, each counted by itself.
    gaps : int
        Attachment gaps under the tape or the count.
    sample_links, attachments_at : int, list of int, optional
        Links of a piece, and which of them carry an attachment, counted from 1.
    on_links : str, optional
        inner, outer or both.
    instrument : str
        What `taped` was measured with.
    """

    taped: _Written | None = None
    counted: Annotated[StrictInt, Field(ge=1, le=MOST_PITCHES * 10)] | None = None
    counted_each: Annotated[tuple[_Link, ...], Field(max_length=MOST_GAPS)] = ()
    gaps: Annotated[StrictInt, Field(ge=1, le=MOST_GAPS)] = 1
    sample_links: _Link | None = None
    attachments_at: Annotated[tuple[_Link, ...], Field(max_length=MOST_PITCHES)] | None = None
    on_links: _Word | None = None
    instrument: _Word = "tape"
    note: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    def parsed(self, entry: int) -> list[Observation]:
        """Give what it says, sort by sort; empty where it says nothing.

        Raises
        ------
        BadInput
            If a length, a link number or a word is not what it should be.
        """
        place, found = f"observations[{entry}]", list[Observation]()
        if self.taped is not None:
            found.append(Taped(self._reading(place), self.gaps, entry))
        if self.counted is not None:
            found.append(Counted(self.counted, self.gaps, entry))
        found += [Counted(each, 1, entry) for each in self.counted_each]
        if self.attachments_at is not None and (self.sample_links or len(self.attachments_at) > 1):
            found.append(self._sample(self.attachments_at, entry))
        if self.on_links is not None:
            found.append(OnLinks(_where(self.on_links, f"{place}.on_links"), entry))
        return found

    def _reading(self, place: str) -> Reading:
        field = f"{place}.taped"
        assert self.taped is not None  # noqa: S101 - the caller looked
        length = parse_length(self.taped, where=field)
        if length.mm_if("in") > 1e6:
            raise BadInput(f"{length.text!r} is more than 1 km", where=field, right="give the distance of attachments")
        return Reading.parse(
            "pitch", self.taped, instrument=self.instrument, technique="same edge", place=place
        )  # the same place of two attachments is sighted like an edge

    def _sample(self, attachments: tuple[int, ...], entry: int) -> Sample:
        links = self.sample_links or max(attachments)
        field = f"observations[{entry}].attachments_at"
        if attachments and max(attachments) > links:
            what = f"link {max(attachments)} in a piece of {links} links"
            raise BadInput(what, where=field, right=f"number the links from 1 to {links}")
        if len(set(attachments)) < len(attachments):
            raise BadInput("a link stands there twice", where=field, right="name each link with an attachment once")
        return Sample(links, tuple(sorted(attachments)), entry)

    def says_nothing(self) -> str:
        """Say what makes it useless; empty where it says something."""
        if self.sample_links and self.attachments_at is None:
            return "sample_links says nothing without attachments_at; write [] where the piece has none"
        if self.attachments_at is not None and not self.sample_links and len(self.attachments_at) < 2:
            return "attachments_at says nothing without sample_links"
        given = (self.taped, self.counted, self.attachments_at, self.on_links, self.counted_each or None)
        if all(each is None for each in given):
            return "it has none of taped, counted, counted_each, sample_links with attachments_at, or on_links"
        return ""


class SpacingEvidence(Part):
    """What is known about the spacing of attachments on one chain.

    Attributes
    ----------
    pitch : str or number, optional
        Nominal pitch, as written.
    elongation : number or str, optional
        Present elongation of the mean pitch: 0.012 or "1.2 %".
    elongation_u : number or str, optional
        Its standard uncertainty, written alike.

    >>> evidence = SpacingEvidence.parse('{"observations": [{"counted": 12}]}')
    >>> [each.words for each in evidence.parsed()]
    ['counted 12']
    """

    advice: ClassVar[Advice] = Advice(
        constant="can be used",
        number="write a length with its unit, like 48 1/2 in",
        text="write lengths as text",
        nested=_LOOKS_LIKE,
        shape=_LOOKS_LIKE,
    )
    schema_: Literal["chaincase/spacing-1"] = Field(default=SCHEMA, alias="schema")
    pitch: _Written | None = None
    elongation: _Written | None = None
    elongation_u: _Written | None = None
    construction: Annotated[tuple[_Word, ...], Field(max_length=50)] = ()
    observations: Annotated[tuple[SpacingObservation, ...], Field(max_length=_MOST_OBSERVATIONS)] = ()
    notes: Annotated[str, Field(max_length=_LONGEST_NOTE)] = ""

    @model_validator(mode="after")
    def _values_make_sense(self) -> Self:
        parsed = (partial(each.parsed, i) for i, each in enumerate(self.observations))
        check_all(self.pitch_length, self.elongation_given, *parsed)
        return self

    def pitch_length(self) -> Length | None:
        """Give the pitch, parsed; None where it is not known."""
        return None if self.pitch is None else parse_length(self.pitch, where="pitch")

    def elongation_given(self) -> tuple[float, float | None] | None:
        """Give elongation and standard uncertainty [-]; None where they were not given.

        Raises
        ------
        BadInput
            If it is no share, or more than any chain bears.
        """
        if self.elongation is None:
            return None
        uncertainty = None if self.elongation_u is None else share(self.elongation_u, "elongation_u", lowest=0.0)
        return share(self.elongation, "elongation"), uncertainty

    def parsed(self) -> list[Observation]:
        """Give all observations, parsed, in order."""
        return [one for i, each in enumerate(self.observations) for one in each.parsed(i)]

    def gaps_in_a_row(self) -> tuple[int, ...]:
        """Give the longest row of gaps that were counted one by one; empty where none were."""
        return max((each.counted_each for each in self.observations), key=len, default=())

    def warnings(self) -> list[str]:
        """Say which keys mean nothing and which entries say nothing."""
        said = [f"{key} means nothing here" for key in self.unknown_keys()]
        for i, each in enumerate(self.observations):
            place = f"observations[{i}]"
            said += [f"{place}.{key} means nothing here" for key in each.unknown_keys()]
            if reason := each.says_nothing():
                said.append(f"{place} carries no weight: {reason}")
        return said


def share(written: str | float, where: str, *, lowest: float = -0.01) -> float:
    """Give a share [-] from 0.012 or "1.2 %".

    Raises
    ------
    BadInput
        If it is no number, or not between `lowest` and 0.2.

    >>> share("1.2 %", "elongation"), share(0.012, "elongation")
    (0.012, 0.012)
    """
    right = "write 0.012 or '1.2 %'"
    text = str(written).strip().replace(",", ".")
    percent = text.endswith("%")
    try:
        value = float(text.removesuffix("%")) / (100.0 if percent else 1.0)
    except ValueError:
        raise BadInput(f"{str(written)[:40]!r} is not a share", where=where, right=right) from None
    if not lowest <= value <= 0.2:  # refuses nan as well
        raise BadInput(f"{str(written)[:40]!r} is not between {lowest:.0%} and 20 %", where=where, right=right)
    return value


def _where(word: str, where: str) -> Where:
    plain = word.strip().lower().removesuffix("only").strip().removesuffix("links").removesuffix("link").strip()
    try:
        return Where(plain)
    except ValueError:
        right = f"use one of: {', '.join(Where)}"
        raise BadInput(f"{word[:40]!r} does not say on which links", where=where, right=right) from None


class _Answer(BaseModel):
    model_config = ConfigDict(frozen=True, populate_by_name=True)


class SpacingShare(_Answer):
    """One spacing and its probability; `length_mm` is that of a new chain, None without a pitch."""

    pitches: int
    probability: float
    length_mm: float | None = None


class Look(_Answer):
    """Something that may be observed next, and how much it would tell."""

    action: str
    gain_bits: float
    minutes: float
    decides: str


class SpacingAnswer(_Answer):
    """The answer.

    Attributes
    ----------
    spacing : tuple of SpacingShare
        Likeliest first, probabilities adding to 1, given that all gaps are alike; what has less than one in a
        million is left out.
    contradictions : tuple of str
        Observations that cannot both be true.
    contradicting : tuple of tuple of int
        The same as pairs of numbers of `observations`, counted from 0.
    next : str
        What to look at next.
    constant : float
        Probability that all gaps are alike.
    even : float
        Probability that the spacing is even, given that all gaps are alike.
    repeat : tuple of int
        Gaps after which a row of gaps counted one by one starts anew; empty where they are all alike or no repeat
        was seen.
    may_repeat : tuple of tuple of int
        Repeats of gaps under which observations that exclude each other are true together: attachments of several
        kinds in turn, counted from one to the next of its kind.
    gaps_seen : tuple of int
        Gaps found exactly in pieces, in their order.
    elongation : float or None
        Mean of what the elongation may be, where a length was taped.
    assumed_unit : {"mm", "in"} or None
        Likelier unit of lengths written without one.
    missing : tuple of str
        What must be known before the observations can be used.
    """

    schema_: Literal["chaincase/spacing-answer-1"] = Field(default=ANSWER_SCHEMA, alias="schema")
    spacing: tuple[SpacingShare, ...]
    contradictions: tuple[str, ...] = ()
    next: str
    constant: float
    even: float
    contradicting: tuple[tuple[int, ...], ...] = ()
    repeat: tuple[int, ...] = ()
    may_repeat: tuple[tuple[int, ...], ...] = ()
    gaps_seen: tuple[int, ...] = ()
    elongation: float | None = None
    assumed_unit: Literal["mm", "in"] | None = None
    missing: tuple[str, ...] = ()
    next_steps: tuple[Look, ...] = ()
    warnings: tuple[str, ...] = ()
