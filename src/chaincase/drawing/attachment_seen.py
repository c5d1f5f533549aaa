"""The figure of an attachment as it was seen and measured, or as the table lists the one that it is."""

from typing import Final

from chaincase.catalog.table import Catalog
from chaincase.chains.attachments import BY_NAME, Form, OnLink, Side
from chaincase.drawing.attachment_figure import attachment_figure
from chaincase.drawing.attachments import Attachment
from chaincase.drawing.figure import State
from chaincase.drawing.from_tables import Subject, listed_attachment, size_text, subject_named
from chaincase.drawing.scene import Scene
from chaincase.errors import BadInput
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentCandidate, AttachmentEvidence

SURE: Final = 0.9
"""From this probability on a listed attachment is drawn with the table's sizes where none was measured."""
_MOST_HOLES: Final = 8


def seen_attachment(evidence: AttachmentEvidence, answer: AttachmentAnswer) -> Scene:
    """Draw the attachment of a file with its key letters: sizes as measured, else as its table lists them.

    Raises
    ------
    BadInput
        If neither the look nor a listing says what form it has, or a size cannot be drawn.

    >>> from chaincase.makeup.attachment import attachment_of
    >>> seen = {"form": "bent", "sides": "both", "holes": 1, "readings": [{"dimension": "width", "value": "3 in"}]}
    >>> evidence = AttachmentEvidence.of({"kind": "roller", "pitch": "1 in", "attachment": seen})
    >>> seen_attachment(evidence, attachment_of(evidence)).title
    'Attachment of roller chain, 25.4 mm pitch'
    """
    subject = _subject(evidence)
    best = answer.candidates[0] if answer.candidates and answer.candidates[0].probability >= SURE else None
    body = _body(evidence, answer, None if best is None else _listed(subject, best, evidence.attachment.link_seen))
    values = {name: size_text(size, "both") for name, size in body.sizes.items() if name != "angle_deg"}
    state = State.MEASURED if answer.dimensions else State.SPECIFIED if body.sizes else State.BLANK
    title = f"{f'Attachment {body.code}' if body.code else 'Attachment'} of {subject.name}"
    return attachment_figure(subject.kind, subject.sizes, body, values=values, title=title, state=state)


def _subject(evidence: AttachmentEvidence) -> Subject:
    if evidence.chain:
        try:
            return subject_named(evidence.chain, Catalog.standard())
        except BadInput:
            if not evidence.kind:
                right = "name a chain of the tables, or give kind and pitch of the chain"
                raise BadInput(f"no table has a chain {evidence.chain!r:.60}", where="chain", right=right) from None
    kind, pitch = evidence.kind or "roller", evidence.pitch_length()
    if pitch is None:
        return Subject(evidence.chain or f"{kind} chain", kind, {})
    mm = pitch.mm()
    return Subject(evidence.chain or f"{kind} chain, {size_text(mm)} mm pitch", kind, {"pitch": mm})


def _listed(subject: Subject, best: AttachmentCandidate, link: OnLink) -> Attachment | None:
    try:
        return listed_attachment(subject, best.code, link)
    except BadInput:
        return None


def _body(evidence: AttachmentEvidence, answer: AttachmentAnswer, listed: Attachment | None) -> Attachment:
    """Give what was seen and measured, completed by the listing."""
    seen = evidence.attachment
    known = {d.dimension: d.value_mm for d in answer.dimensions if d.dimension in BY_NAME}
    form = seen.form_seen if seen.form_seen is not Form.UNKNOWN or listed is None else listed.form
    if form is Form.UNKNOWN:
        right = 'say what it looks like: "form": "bent", "straight", "upright", "wing" ...'
        raise BadInput(
            "it is not known what it looks like, so it cannot be drawn", where="attachment.form", right=right
        )
    side = seen.sides_seen if seen.sides_seen is not Side.UNKNOWN or listed is None else listed.side
    holes = seen.holes if seen.holes is not None else listed.holes if listed else int("hole_diameter" in known)
    sizes = {**(listed.sizes if listed else {}), **known}
    code = listed.code if listed else ""
    return Attachment(form, seen.link_seen, side, min(holes, _MOST_HOLES), sizes, code)
