"""Answers in words that can be read aloud to a customer over the phone."""

import textwrap
from collections.abc import Iterator

from chaincase.chains.dimensions import BY_NAME as DIMENSION
from chaincase.chains.kinds import BY_NAME
from chaincase.identifying.answer import Candidate, Identification, NextStep

_WIDTH = 100
_CLEAR = 0.90
_LIKELY = 0.50
_FEW = 4


def odds(probability: float) -> str:
    """Give a probability as people say it.

    >>> odds(0.934), odds(0.9999), odds(0.001)
    ('93 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if probability > 0.995:
        return "more than 99 in 100"
    if probability < 0.005:
        return "less than 1 in 100"
    return f"{probability * 100:.0f} in 100"


def identification(answer: Identification) -> str:
    """Give an identification in words."""
    lines = [*_verdict(answer), *_why(answer), *_wear(answer), *_others(answer), *_next(answer), *_notes(answer)]
    return "\n".join(lines)


def _verdict(answer: Identification) -> Iterator[str]:
    best = answer.candidates[0]
    label = BY_NAME[best.kind].label
    if answer.unlisted > max(best.probability, _LIKELY):
        yield f"This is most likely none of the chains in the tables ({odds(answer.unlisted)})."
        yield f"The nearest is {best.designation}, {label} ({odds(best.probability)})."
        return
    if best.probability >= _CLEAR:
        yield f"This is {best.designation}, {label} ({odds(best.probability)})."
    elif best.probability >= _LIKELY:
        yield f"This is probably {best.designation}, {label} ({odds(best.probability)}), but that is not settled."
    else:
        yield "This cannot be told yet."
        yield f"The likeliest is {best.designation}, {label}, with {odds(best.probability)}."
    if best.also:
        yield _wrapped(f"Other names: {', '.join(best.also[:8])}.", "")
    if best.trust:
        yield _wrapped(f"Note: {best.trust}.", "")


def _why(answer: Identification) -> Iterator[str]:
    best = answer.candidates[0]
    if best.reasons:
        yield ""
        yield f"Held against {best.designation}:"
    for reason in best.reasons:
        sign = "+" if reason.fits else "-"
        yield _wrapped(f"{sign} {reason.about} {reason.found}: {reason.words}", "  ")


def _wear(answer: Identification) -> Iterator[str]:
    """Give the elongation, and on a second line what the parts lost; nothing of a chain that it is likely not."""
    best = answer.candidates[0]
    if answer.unlisted > max(best.probability, _LIKELY):
        return
    yield from (_wrapped(f"Wear: {each.words}.", "") for each in best.wear if each.dimension == "pitch")
    lost = [
        f"{DIMENSION[each.dimension].label} {each.low:.1f} to {each.high:.1f} %"
        for each in best.wear
        if each.loss_mm is not None
    ]
    if lost:
        yield _wrapped(f"Worn off, 95 % sure within: {', '.join(lost)}.", "")


def _others(answer: Identification) -> Iterator[str]:
    rest = answer.candidates[1 : 1 + _FEW]
    yield ""
    for candidate in rest:
        yield _wrapped(f"{candidate.designation} has {odds(candidate.probability)}.{_against(candidate)}", "")
    more = len(answer.candidates) - 1 - len(rest)
    if more > 0:
        shared = sum(c.probability for c in answer.candidates[1 + _FEW :]) + answer.other
        yield f"{more} more chains share {odds(shared)}."
    yield f"None of the chains in the tables: {odds(answer.unlisted)}."
    for group in answer.ties:
        names = ", ".join(group[:12]) + (" ..." if len(group) > 12 else "")
        yield _wrapped(f"Nothing measured so far can tell these apart: {names}.", "")


def _against(candidate: Candidate) -> str:
    return f" Against it: {candidate.conflicts[0]}." if candidate.conflicts else ""


def _next(answer: Identification) -> Iterator[str]:
    if not answer.next:
        return
    yield ""
    yield "What to find out next, best first:"
    for number, step in enumerate(answer.next, start=1):
        yield _wrapped(f"{number}. {step_in_words(step)}", "  ")


def step_in_words(step: NextStep) -> str:
    """Give a next step in words."""
    sentence = step.decides[:1].upper() + step.decides[1:]
    tool = f", {step.instrument}" if step.instrument else ""
    return f"{step.label}{tool}: {step.where} (about {step.minutes:g} min). {sentence}."


def _notes(answer: Identification) -> Iterator[str]:
    for conflict in answer.conflicts:
        yield ""
        yield _wrapped(f"Conflict: {conflict}.", "")
    if answer.warnings:
        yield ""
    for warning in answer.warnings:
        yield _wrapped(f"Mind: {warning}.", "")


def _wrapped(text: str, indent: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "   ")
