"""The parts of a dossier: plain data, so that the paper need not know how anything was found."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EvidenceRow:
    """One reading.

    Attributes
    ----------
    letter, dimension : str
        Key letter on the figure and name of the dimension.
    as_written : str
        As it came in, with instrument and place as far as known.
    estimate, uncertainty : float or None
        What it says about the part, with one standard uncertainty [mm]; None if it carries no weight.
    expected : str
        What the best candidate leads one to expect.
    verdict : str
        What that means, in words.
    """

    letter: str
    dimension: str
    as_written: str
    estimate: float | None
    uncertainty: float | None
    expected: str
    verdict: str


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One mark read on the chain: its text, where it stands, how well it can be read, what it says."""

    text: str
    where: str
    legibility: str
    verdict: str


@dataclass(frozen=True, slots=True)
class CandidateRow:
    """One chain that fits, with its probability [-] and how far its table can be trusted."""

    designation: str
    also_known_as: tuple[str, ...]
    probability: float
    table: str
    trust: str
    from_memory: bool


@dataclass(frozen=True, slots=True)
class NextRow:
    """What to find out next: where, with what, what it decides, and what it costs [min]."""

    what: str
    instrument: str
    where: str
    decides: str
    minutes: float | None


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One source that was used: for what, its standard, and what was read where."""

    table: str
    standard: str
    evidence: str


@dataclass(frozen=True, slots=True)
class Picture:
    """A figure as SVG text, with a caption."""

    svg: str
    caption: str


@dataclass(frozen=True, slots=True)
class RequestRow:
    """One line of the request: what, its value, and on what it rests. An open one has no value."""

    label: str
    value: str
    basis: str = ""


@dataclass(frozen=True, slots=True)
class SizeRow:
    """One dimension to order by: key letter, words, size in both systems, what sort of limit it is, its source."""

    letter: str
    label: str
    value: str
    limit: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class AttachmentPart:
    """One attachment: what it is, how it is known, its figure and sizes, and what is still missing to make it."""

    title: str
    words: tuple[str, ...]
    sizes: tuple[SizeRow, ...] = ()
    missing: tuple[str, ...] = ()
    picture: Picture | None = None


@dataclass(frozen=True, slots=True)
class StrandRow:
    """One line of the strand table: what, in one strand, in all of them."""

    label: str
    one: str
    all: str = ""


@dataclass(frozen=True, slots=True)
class FeatureRow:
    """One feature that does not show: of which part, how far it is known, what it is, who says so and how."""

    feature: str
    part: str
    state: str
    value: str
    who: str
    how: str


@dataclass(frozen=True, slots=True)
class DutyPart:
    """One check of what the chain does: values as (label, value, note), what was assumed, what to mind, charts."""

    title: str
    values: tuple[tuple[str, str, str], ...]
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True, slots=True)
class AssumptionRow:
    """What somebody took for granted in writing: for which question, what, who, when, why."""

    gap: str
    assumed: str
    by: str
    on: str
    why: str


@dataclass(frozen=True, slots=True)
class GapRow:
    """What is still open: a title, before what it must be known, the question, what goes wrong if assumed, a remark."""

    title: str
    level: str
    question: str
    consequence: str
    remark: str = ""
