"""How many pitches lie between attachments, from all that was counted, taped and seen."""

import numpy as np

from chaincase.chains.kinds import Links
from chaincase.makeup.contradictions import contradictions, repeats_that_reconcile
from chaincase.makeup.forms import Look, SpacingAnswer, SpacingEvidence, SpacingShare
from chaincase.makeup.hypotheses import Pitch, growth_of, links_named, pitches_possible
from chaincase.makeup.next_look import in_words, next_steps
from chaincase.makeup.observations import Observation, OnLinks, Sample, Taped
from chaincase.makeup.patterns import shortest_repeat
from chaincase.makeup.posterior import Posterior, posterior
from chaincase.measuring.estimate import Unit, estimate

LEAST = 1e-6
"""Spacings less probable are left out of the answer."""
_SURE = 0.9


def spacing(evidence: SpacingEvidence) -> SpacingAnswer:
    """Give the probability of every whole number of pitches between attachments.

    >>> seen = [{"taped": "48 1/2 in"}, {"counted": 12}]
    >>> answer = spacing(SpacingEvidence.of({"pitch": "4 in", "observations": seen}))
    >>> answer.spacing[0].pitches, answer.spacing[0].probability > 0.95, answer.contradictions
    (12, True, ())
    """
    observations = evidence.parsed()
    links = links_named(evidence.construction)
    pitch = evidence.pitch_length()
    bare = [each for each in observations if isinstance(each, Taped) and each.reading.is_bare]
    pitches = pitches_possible(pitch, any_bare=bool(bare) or (pitch is not None and pitch.unit is None))
    given = evidence.elongation_given()
    growth = growth_of(given)
    found = posterior(observations, pitches, growth, links)
    likeliest = pitches[int(np.argmax(found.units))]
    against = contradictions(observations, likeliest, growth, links, len(found.spacing))
    may_repeat = repeats_that_reconcile(observations, likeliest, growth, links, len(found.spacing)) if against else ()
    missing = _missing(observations, likeliest)
    repeat = _repeat(evidence.gaps_in_a_row())
    steps = next_steps(found, observations, links, growth_given=given is not None)
    return SpacingAnswer(
        spacing=_shares(found, likeliest),
        contradictions=tuple(each.words for each in against),
        contradicting=tuple(each.entries for each in against),
        next=in_words(found, steps, missing, contradicted=bool(against), repeat=repeat),
        repeat=repeat,
        may_repeat=may_repeat,
        constant=found.constant,
        even=float(found.spacing[1::2].sum()),
        gaps_seen=tuple(gap for each in observations if isinstance(each, Sample) for gap in each.gaps),
        elongation=_elongation(found, observations) if not missing else None,
        assumed_unit=_assumed(found),
        missing=missing,
        next_steps=tuple(
            Look(action=s.action, gain_bits=s.gain_bits, minutes=s.minutes, decides=s.decides) for s in steps
        ),
        warnings=(*evidence.warnings(), *_warnings(observations, links, found)),
    )


def _shares(found: Posterior, pitch: Pitch) -> tuple[SpacingShare, ...]:
    likely = [int(i) for i in np.argsort(-found.spacing, kind="stable") if found.spacing[i] >= LEAST]
    total = float(found.spacing[likely].sum())
    return tuple(
        SpacingShare(
            pitches=i + 1,
            probability=float(found.spacing[i]) / total,
            length_mm=None if pitch.mm is None else round((i + 1) * pitch.mm, 6),
        )
        for i in likely
    )


def _repeat(gaps: tuple[int, ...]) -> tuple[int, ...]:
    """Give the repeat of a row of gaps that are not all alike; empty where it was not seen to start anew."""
    repeat = shortest_repeat(gaps)
    return repeat if 1 < len(repeat) < len(gaps) else ()


def _missing(observations: list[Observation], pitch: Pitch) -> tuple[str, ...]:
    if pitch.mm is None and any(isinstance(each, Taped) for each in observations):
        return ("the pitch, without which a taped distance says nothing about pitches",)
    return ()


def _elongation(found: Posterior, observations: list[Observation]) -> float | None:
    return round(found.elongation, 5) + 0.0 if any(isinstance(each, Taped) for each in observations) else None


def _assumed(found: Posterior) -> Unit | None:
    return found.pitches[int(np.argmax(found.units))].unit


def _warnings(observations: list[Observation], links: Links, found: Posterior) -> list[str]:
    said = []
    if len(found.pitches) > 1 and found.units.max() < _SURE:
        said.append("figures without a unit may be millimeters or inches; write the unit")
    if links is Links.ALIKE and any(isinstance(each, OnLinks) for each in observations):
        said.append("on_links says nothing here: all links of this chain are alike")
    tapes = [(each, estimate(each.reading, found.pitches[0].unit)) for each in observations if isinstance(each, Taped)]
    said += [f"{tape.words} carries no weight: {judged.reason}" for tape, judged in tapes if not judged.usable]
    if not observations:
        said.append("there is no observation; the odds are those of common practice")
    return said
