"""The answer to "what chain is this": the file form `chaincase/identification-1`."""

from typing import Final, Literal

from pydantic import BaseModel, ConfigDict, Field

SCHEMA: Final = "chaincase/identification-1"


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, populate_by_name=True)


class Reason(_Part):
    """How one reading, mark or construction stands to one candidate.

    `sigmas` is how many standard deviations the reading lies from what the candidate leads one to expect, wear
    included; `fits` is whether it speaks for the candidate more than for a mistake.
    """

    about: str
    dimension: str | None = None
    expected: str | None = None
    expected_mm: tuple[float, float] | None = None
    found: str | None = None
    found_mm: float | None = None
    sigmas: float | None = None
    fits: bool
    words: str


class Wear(_Part):
    """Wear of one dimension if the sample is that candidate; amounts that cannot be told are None, words say why.

    The pitch has `elongation_percent`, a part has `loss_mm` and `loss_percent`; `u_percent` is the standard
    uncertainty, and with 95 % probability the amount lies between `low` and `high` [%].
    """

    dimension: str
    elongation_percent: float | None = None
    loss_mm: float | None = None
    loss_percent: float | None = None
    u_percent: float | None = None
    low: float | None = None
    high: float | None = None
    words: str


class Candidate(_Part):
    """One chain that the evidence may come from."""

    designation: str
    table: str
    probability: float
    kind: str
    also: tuple[str, ...] = ()
    trust: str = ""
    reasons: tuple[Reason, ...] = ()
    conflicts: tuple[str, ...] = ()
    wear: tuple[Wear, ...] = ()


class NextStep(_Part):
    """What to find out next: a reading, or another way to the identity."""

    dimension: str | None
    label: str
    instrument: str | None
    where: str
    gain_bits: float
    minutes: float
    decides: str


class Suggestion(_Part):
    """What to find out next, in a few words, by a rough estimate of what it tells."""

    label: str
    instrument: str | None


class Identification(_Part):
    """Ranked candidates; probabilities of all of them, `unlisted` and `other` add to 1.

    `ties` are groups that the evidence cannot tell apart, `conflicts` what a person must settle, `assumed_unit`
    is the likelier unit of readings that were written without one.
    """

    schema_: Literal["chaincase/identification-1"] = Field(default=SCHEMA, alias="schema")
    candidates: tuple[Candidate, ...]
    unlisted: float
    other: float = 0.0
    ties: tuple[tuple[str, ...], ...] = ()
    conflicts: tuple[str, ...] = ()
    assumed_unit: Literal["mm", "in"] | None = None
    next: tuple[NextStep, ...] = ()
    warnings: tuple[str, ...] = ()


class Summary(_Part):
    """One line's worth of an identification, for surveys.

    `second` is empty in a catalog of one chain; `next` is None where nothing is worth finding out.
    """

    designation: str
    probability: float
    second: str
    second_probability: float | None
    unlisted: float
    next: Suggestion | None
    warnings: tuple[str, ...] = ()
