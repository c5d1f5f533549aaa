"""The drawings of a case: keyed figure, attachments, spacing over the repeat."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final, TypeVar

from chaincase.case.findings import Findings
from chaincase.case.found import AttachmentFinding, Base, StrandTable
from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import BY_NAME as ATTACHMENT
from chaincase.chains.attachments import Form, OnLink, Side
from chaincase.chains.dimensions import BY_NAME
from chaincase.documents.dossier_parts import Picture
from chaincase.drawing.attachment_figure import attachment_figure
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.figure import State, figure
from chaincase.drawing.scene import Scene
from chaincase.drawing.spacing_figure import spacing_figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.makeup.strands import joints
from chaincase.units import show_length

Choice = TypeVar("Choice", bound=StrEnum)

_SURE: Final = 0.5


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawing for a dossier, and whether its lengths mean anything."""

    name: str
    scene: Scene
    caption: str
    measured: bool = True

    @property
    def picture(self) -> Picture:
        """The same as SVG with its caption."""
        return Picture(write_svg(self.scene), self.caption)


def keyed_figure(found: Findings, catalog: Catalog) -> Drawn | None:
    """Give the keyed figure with the dimensions to order by; of the sample as measured where no listed chain fits."""
    base = found.base
    if base is not None and base.row is not None:
        sizes = dict(catalog.dimensions_of(base.row))
        caption = f"{base.designation}, drawn to scale from the figures of the table {base.table} (mm)."
        return _figure(base.kind, sizes, base.designation, caption, State.SPECIFIED)
    answer = found.identity
    if answer is None or not answer.candidates:
        return None
    best = answer.candidates[0]
    if answer.unlisted > best.probability:
        sizes = {r.dimension: r.found_mm for r in best.reasons if r.dimension in BY_NAME and r.found_mm is not None}
        caption = f"The sample as measured, drawn as {best.kind} chain, to scale where a letter has a figure (mm)."
        return _figure(best.kind, sizes, "The sample as measured", caption, State.MEASURED)
    sizes = dict(catalog.dimensions_of(catalog.row(f"{best.table}/{best.designation}")))
    caption = f"{best.designation}, drawn to scale from the figures of the table {best.table} (mm). Not settled yet."
    return _figure(best.kind, sizes, best.designation, caption, State.SPECIFIED)


def _figure(kind: str, sizes: dict[str, float], title: str, caption: str, state: State) -> Drawn:
    return Drawn("figure", figure(kind, sizes, values=_texts(sizes), title=title, state=state), caption)


def _texts(sizes: Mapping[str, float]) -> dict[str, str]:
    return {name: show_length(size, "mm").removesuffix(" mm") for name, size in sizes.items()}


def attachment_figures(found: Findings, catalog: Catalog, *, missing: bool = False) -> tuple[Drawn | None, ...]:
    """Give the figure of each attachment, None where its form or its chain is not known.

    With `missing` only the letters of what must still be measured are shown, without figures.
    """
    return tuple(_attachment_drawn(i, each, found.base, catalog, missing) for i, each in enumerate(found.attachments))


def _attachment_drawn(
    i: int, each: AttachmentFinding, base: Base | None, catalog: Catalog, missing: bool
) -> Drawn | None:
    body = _body(each)
    if base is None or not base.kind or body is None:
        return None
    chain = dict(catalog.dimensions_of(base.row)) if base.row is not None else {}
    asked = {size.dimension for size in each.answer.missing if size.dimension in ATTACHMENT} if missing else set()
    scene = attachment_figure(
        base.kind,
        chain,
        body,
        values={} if asked else _texts(body.sizes),
        title=body.words,
        letters=asked or None,
        state=State.BLANK if asked else State.MEASURED,
    )
    return Drawn(f"attachment-{i + 1}", scene, f"{body.words} (mm); thin where a size is not known.")


def _body(each: AttachmentFinding) -> Attachment | None:
    """Give what an attachment looks like; None where its form is not known."""
    seen = each.observed
    form = _member(Form, seen.form)
    if form is Form.UNKNOWN:
        return None
    known = {d.dimension: d.value_mm for d in each.answer.dimensions if d.dimension in ATTACHMENT and d.value_mm > 0.0}
    holes = seen.holes if seen.holes is not None else int("hole_diameter" in known)
    code = seen.code or best_code(each)
    try:
        return Attachment(form, _member(OnLink, seen.link), _member(Side, seen.sides), min(holes, 8), known, code)
    except BadInput:  # a size that cannot be drawn is still listed
        return Attachment(form, _member(OnLink, seen.link), _member(Side, seen.sides), min(holes, 8), {}, code)


def _member(kind: type[Choice], word: str) -> Choice:
    try:
        return kind(word.lower() or "unknown")
    except ValueError:
        return kind("unknown")


def spacing_drawn(found: Findings) -> Drawn | None:
    """Give the diagram over the repeat, with the connecting link where it is known; None without a pattern."""
    if found.pattern is None:
        return None
    pattern, pitch = found.pattern.pattern, found.base.pitch_mm if found.base else None
    lengths = {gap: show_length(gap * pitch, "mm") for gap in set(pattern.gaps)} if pitch else {}
    bodies = {body.code: body for body in map(_body, found.attachments) if body is not None and body.code}
    scene = spacing_figure(
        pattern,
        title=f"{found.pattern.notation}, over one repeat",
        joint=_joint(found.made),
        attachments=bodies,
        lengths=lengths,
    )
    return Drawn("spacing", scene, f"{found.pattern.notation}, over one repeat.", measured=False)


def _joint(made: StrandTable | None) -> int | None:
    """Give the pitch of the first connecting link, counted as the pattern is."""
    if made is None:
        return None
    found = joints(made.makeup.strand)
    return found[0].index if found else None


def best_code(each: AttachmentFinding) -> str:
    """Give the code that an attachment likely has; empty where none is likelier than not."""
    candidates = getattr(each.answer, "candidates", ())
    return candidates[0].code if candidates and candidates[0].probability >= _SURE else ""
