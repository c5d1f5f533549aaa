"""Which listed attachment one in the hand is, with what probability, and what is missing to make it if it is none."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from chaincase.catalog.attachments import AttachmentRow
from chaincase.identifying.constants import BLUNDER, BLUNDER_OTHERWISE
from chaincase.makeup import attachment_constants as c
from chaincase.makeup.attachment_density import Population, log_listed, log_special, log_total, population
from chaincase.makeup.attachment_form import (
    AttachmentAnswer,
    AttachmentCandidate,
    AttachmentEvidence,
    AttachmentObservation,
)
from chaincase.makeup.attachment_listings import BaseChain, Listing, listed_for
from chaincase.makeup.attachment_look import looks
from chaincase.makeup.attachment_missing import missing, next_look
from chaincase.makeup.attachment_readings import Measured, blocks, condensed, known_dimensions, measured
from chaincase.makeup.attachment_words import Ranked, reasons, verdict, warnings_on
from chaincase.measuring.estimate import Unit

LEAST: Final = 1e-4
"""Candidates less probable are summed up as `other`."""
_RELATIVES: Final = 24
"""So many listings, the nearest, may be what a special was made from."""
_EXPLAINED: Final = 5
"""So many candidates come with their reasons."""
_BLUNDERS: Final = {**BLUNDER, "": BLUNDER_OTHERWISE}


def identify_attachment(
    seen: AttachmentObservation, chain: BaseChain | None = None, tables: Sequence[AttachmentRow] | None = None
) -> AttachmentAnswer:
    """Give the probability of every listed attachment of a chain, and of a special.

    The posterior is prior times the probabilities of look, code and readings, summed over the unit of readings
    without one. Listings of one code for one chain in several tables are one candidate.

    Parameters
    ----------
    chain : BaseChain, optional
        The chain that it is on; without it, every chain that has listed attachments.
    tables : sequence of AttachmentRow, optional
        Instead of the packaged tables.

    >>> seen = AttachmentObservation.of({"form": "bent", "sides": "both", "holes": 2, "readings": [
    ...     {"dimension": "platform_height", "value": "15.9 mm", "instrument": "caliper"},
    ...     {"dimension": "hole_spacing_along", "value": "25.4 mm", "technique": "zeroed on hole"}]})
    >>> answer = identify_attachment(seen, BaseChain("16B-1"))
    >>> answer.candidates[0].code, answer.candidates[0].probability > 0.8
    ('K2', True)
    """
    base = chain or BaseChain()
    listings = listed_for(base, seen.link_seen, tables)
    found = _posterior(seen, listings)
    ranked = _ranked(listings, found)
    known, disagreements = known_dimensions(found.readings)
    shown = [entry for place, entry in enumerate(ranked) if place == 0 or entry.probability >= LEAST]
    return AttachmentAnswer(
        candidates=tuple(_candidate(entry, found, explained=place < _EXPLAINED) for place, entry in enumerate(shown)),
        special=found.special,
        other=max(0.0, 1.0 - found.special - math.fsum(entry.probability for entry in shown)),
        verdict=verdict(ranked, found.special, base),
        dimensions=known,
        missing=missing(seen, known, ranked),
        next=next_look(seen, known, ranked, found.special),
        assumed_unit=found.unit,
        warnings=(*seen.warnings(), *found.said, *disagreements, *warnings_on(seen, ranked, found.special, base)),
    )


def attachment_of(evidence: AttachmentEvidence, tables: Sequence[AttachmentRow] | None = None) -> AttachmentAnswer:
    """Answer a file of the form `chaincase/attachment-1`; as `identify_attachment`."""
    pitch = evidence.pitch_length()
    chain = BaseChain(evidence.chain, evidence.kind, None if pitch is None else pitch.mm())
    answer = identify_attachment(evidence.attachment, chain, tables)
    unknown = tuple(f"{key} means nothing here" for key in evidence.unknown_keys())
    return answer.model_copy(update={"warnings": (*unknown, *answer.warnings)})


@dataclass(frozen=True, eq=False, slots=True)
class _Posterior:
    """Probabilities of the listings and of a special, and the readings under the likelier unit."""

    listed: tuple[float, ...]
    special: float
    readings: list[Measured]
    said: list[str]
    unit: Unit | None
    usual: Population


def _posterior(seen: AttachmentObservation, listings: Sequence[Listing]) -> _Posterior:
    units: tuple[Unit | None, ...] = ("mm", "in") if any(one.is_bare for one in seen.lengths()) else (None,)
    usual = population(listings)
    read = [measured(seen, unit, _BLUNDERS) for unit in units]
    logs = [_log_joint(seen, listings, readings, usual) for readings, _ in read]
    totals = [log_total(column) for column in logs]
    best = max(range(len(units)), key=totals.__getitem__)
    whole = log_total(totals)
    shares = [math.fsum(math.exp(column[i] - whole) for column in logs) for i in range(len(listings) + 1)]
    readings, said = read[best]
    return _Posterior(tuple(shares[:-1]), shares[-1], readings, said, units[best], usual)


def _log_joint(
    seen: AttachmentObservation, listings: Sequence[Listing], readings: Sequence[Measured], usual: Population
) -> list[float]:
    """Give the log of prior times likelihood of each listing, and last of a special."""
    look, found = looks(seen, listings), blocks(condensed(readings))
    logs = [
        math.log((1.0 - c.PRIOR_SPECIAL) * listing.weight) + seems + log_listed(listing, found, usual)
        for listing, seems in zip(listings, look.listed, strict=True)
    ]
    # Relatives of a special are those that come nearest; where chains are many, the rest adds nothing.
    near = sorted(range(len(listings)), key=lambda at: -logs[at])[:_RELATIVES]
    relatives, related = [listings[at] for at in near], [look.related[at] for at in near]
    special = log_special(relatives, found, usual, related, look.own)
    return [*logs, math.log(c.PRIOR_SPECIAL) + special]


def _ranked(listings: Sequence[Listing], found: _Posterior) -> list[Ranked]:
    """Put the rows of one attachment together; the likeliest of them speaks for all."""
    groups = dict[str, list[int]]()
    for at, listing in enumerate(listings):
        groups.setdefault(listing.group, []).append(at)
    ranked = [
        Ranked(
            listings[max(members, key=found.listed.__getitem__)],
            math.fsum(found.listed[at] for at in members),
        )
        for members in groups.values()
    ]
    return sorted(ranked, key=lambda entry: (-entry.probability, entry.listing.label))


def _candidate(entry: Ranked, found: _Posterior, *, explained: bool) -> AttachmentCandidate:
    listing = entry.listing
    fits, conflicts = reasons(listing, found.readings, found.usual) if explained else ((), ())
    return AttachmentCandidate(
        code=listing.code,
        names=listing.names,
        chain=listing.chain,
        variant=listing.variant,
        probability=entry.probability,
        table=listing.table,
        standard=listing.standard,
        derived=listing.derived,
        reasons=fits,
        conflicts=conflicts,
    )
