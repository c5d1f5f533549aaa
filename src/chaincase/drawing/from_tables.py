"""Figures of chains and attachments as the packaged tables, or a user's, list them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import Form, OnLink, Side, meaning_of
from chaincase.chains.designation import key
from chaincase.chains.kinds import KINDS
from chaincase.drawing.attachment_figure import attachment_figure
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.figure import State, figure
from chaincase.drawing.scene import Scene
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.makeup.attachment_listings import BaseChain, listed_for
from chaincase.measuring.estimate import estimate
from chaincase.units.printing import System, show_length


@dataclass(frozen=True, slots=True)
class Subject:
    """What is to be drawn: name, kind, known sizes [mm], number of strands, 0 where it has no meaning."""

    name: str
    kind: str
    sizes: Mapping[str, float]
    strands: int = 0


def subject_named(name: str, catalog: Catalog) -> Subject:
    """Give the chain of a designation, or a kind of chain of which nothing is known.

    Raises
    ------
    BadInput
        If it is neither.

    >>> subject_named("leaf", Catalog.standard()).sizes
    {}
    """
    kinds = {kind.name: kind for kind in KINDS}
    if name in kinds:
        return Subject(kinds[name].label, name, {})
    try:
        row = catalog.row(name)
    except BadInput as fault:
        right = f"{fault.right}; or a kind: {', '.join(kinds)}"
        raise BadInput(fault.what, where=fault.where, right=right) from None
    return _subject(catalog, row)


def _subject(catalog: Catalog, row: int) -> Subject:
    kind = KINDS[int(catalog.kind[row])].name
    return Subject(catalog.designations[row], kind, dict(catalog.dimensions_of(row)), int(catalog.strands[row]))


def size_text(mm: float, units: System = "mm") -> str:
    """Give a size as it stands at a dimension: bare millimeters, inches in brackets behind them, or inches.

    >>> size_text(12.7), size_text(12.7, "both"), size_text(12.7, "in")
    ('12.7', '12.7 [1/2 in]', '1/2 in')
    """
    if units == "in":
        return show_length(mm, "in")
    metric = show_length(mm, "mm").removesuffix(" mm")
    return metric if units == "mm" else f"{metric} [{show_length(mm, 'in')}]"


def listed_attachment(subject: Subject, code: str, link: OnLink = OnLink.OUTER) -> Attachment:
    """Give the attachment of a code as the tables list it for a chain; without sizes where they list none.

    Raises
    ------
    BadInput
        If no table lists the code for the chain, and its letters do not say what it looks like.

    >>> chain = subject_named("16B-1", Catalog.standard())
    >>> listed_attachment(chain, "K-1").sizes["platform_height"]
    15.88
    """
    named = subject.sizes and subject.name
    base = BaseChain(designation=subject.name) if named else BaseChain(kind=subject.kind)
    listings = listed_for(base, link)
    wanted = key(code)
    found = [each for each in listings if wanted in {key(name) for name in (each.code, *each.names)}]
    sized = [each for each in found if each.sizes] if named else []
    for each in sized:
        side = Side.BOTH if each.side is Side.UNKNOWN else each.side
        sizes = {name: size.figure for name, size in each.sizes.items()}
        return Attachment(each.form, link, side, each.holes or 0, sizes, each.code)
    said = meaning_of(code)
    if said.form is Form.UNKNOWN:
        codes = ", ".join(dict.fromkeys(each.code for each in listings if each.sizes)) or "K1, K2, A1, M1"
        raise BadInput(f"no table lists an attachment {code!r} for {subject.name}", right=f"use one of: {codes}")
    side = Side.BOTH if said.side is Side.UNKNOWN else said.side
    return Attachment(said.form, link, side, said.holes or 0, {}, code)


def subject_figure(
    subject: Subject,
    *,
    state: str = State.SPECIFIED,
    units: System = "mm",
    asked: Collection[str] = (),
    evidence: Evidence | None = None,
    attachments: Sequence[Attachment] = (),
) -> Scene:
    """Draw a chain with the sizes of its table.

    In the state `measured` the readings of the evidence are drawn and written instead, as far as they are usable; in
    the state `compare` they stand below the table's figures.

    Raises
    ------
    BadInput
        If a dimension that is asked for does not exist, or a reading cannot be parsed.
    """
    readings = {} if evidence is None else readings_of(evidence, subject)
    measured = state == State.MEASURED and evidence is not None
    sizes = readings if measured else subject.sizes
    return figure(
        subject.kind,
        sizes,
        values={name: size_text(size, units) for name, size in sizes.items()},
        title=_title(subject.name, attachments),
        state=state,
        asked=asked,
        found={name: size_text(size, units) for name, size in readings.items()},
        attachments=attachments,
        strands=subject.strands,
    )


def subject_attachment(
    subject: Subject, attachment: Attachment, *, state: str = State.SPECIFIED, units: System = "mm"
) -> Scene:
    """Draw one attachment of a chain with the sizes of its table and its own key letters."""
    values = {name: size_text(size, units) for name, size in attachment.sizes.items() if name != "angle_deg"}
    title = _title(subject.name, (attachment,))
    return attachment_figure(subject.kind, subject.sizes, attachment, values=values, title=title, state=state)


def _title(name: str, attachments: Sequence[Attachment]) -> str:
    codes = [each.code or each.form.value for each in attachments]
    return f"{name} with {' and '.join(codes)}" if codes else name


def readings_of(evidence: Evidence, subject: Subject) -> dict[str, float]:
    """Give the best estimate of each named dimension that was read and may carry weight [mm]; the surest one each."""
    best: dict[str, tuple[float, float]] = {}
    named = {kind.name: kind for kind in KINDS}[subject.kind].dimensions
    for reading in evidence.parsed_readings():
        found = estimate(reading, unit="mm" if reading.is_bare else None)
        if found.usable and found.dimension in named and found.value_mm > 0.0:
            old = best.get(found.dimension)
            if old is None or found.u_mm < old[0]:
                best[found.dimension] = (found.u_mm, found.value_mm)
    return {name: value for name, (_, value) in best.items()}


def best_known(catalog: Catalog) -> list[Subject]:
    """Give of each kind the chain of which the catalog knows most, in the order of the kinds; no row, no sizes."""
    most: dict[str, int] = {}
    for row in range(len(catalog)):
        name = KINDS[int(catalog.kind[row])].name
        if name not in most or len(catalog.dimensions_of(row)) > len(catalog.dimensions_of(most[name])):
            most[name] = row
    return [
        _subject(catalog, most[kind.name]) if kind.name in most else Subject(kind.label, kind.name, {})
        for kind in KINDS
    ]
