"""What a change of evidence changed in the findings, in words."""

from collections.abc import Iterator

from chaincase.case.found import Findings, percent

_SHIFT = 0.05
"""Probabilities that move by less are not worth a word."""


def changes(before: Findings, after: Findings) -> tuple[str, ...]:
    """Say what is different in the findings; empty where nothing is.

    >>> changes(Findings("A"), Findings("A"))
    ()
    """
    every = (_identity, _attachments, _spacing, _pattern, _length, _made, _features, _duty, _conflicts, _gaps)
    return tuple(words for part in every for words in part(before, after))


def _identity(before: Findings, after: Findings) -> Iterator[str]:
    old, new = before.base, after.base
    if (old and old.key, old and old.designation) != (new and new.key, new and new.designation):
        yield f"the chain is {new.designation} ({new.words})" if new else "the chain is open again"
    elif old and new and old.settled_by != new.settled_by:
        yield f"the chain is now settled by {new.settled_by}"
    was, now = _likeliest(before), _likeliest(after)
    if was[0] != now[0] or abs(was[1] - now[1]) >= _SHIFT:
        yield f"the likeliest chain: {_chance(*was)}, now {_chance(*now)}"


def _likeliest(found: Findings) -> tuple[str, float]:
    if found.identity is None:
        return "", 0.0
    best = found.identity.candidates[0]
    if found.identity.unlisted > best.probability:
        return "none of those in the tables", found.identity.unlisted
    return best.designation, best.probability


def _chance(name: str, probability: float) -> str:
    return f"{name} with {percent(probability)}" if name else "no evidence"


def _attachments(before: Findings, after: Findings) -> Iterator[str]:
    old, new = [each.words for each in before.attachments], [each.words for each in after.attachments]
    yield from (f"attachment: {words}" for words in new if words not in old)
    yield from (f"no longer: {words}" for words in old if words not in new)


def _spacing(before: Findings, after: Findings) -> Iterator[str]:
    was, now = _spaced(before), _spaced(after)
    if was != now:
        yield f"the spacing: {was}, now {now}"


def _spaced(found: Findings) -> str:
    if found.spacing is None:
        return "not observed"
    if found.spacing.repeat:
        return f"gaps of {', '.join(map(str, found.spacing.repeat))} pitches in turn"
    best = found.spacing.spacing[0]
    return f"{best.pitches} pitches with {percent(best.probability)}"


def _pattern(before: Findings, after: Findings) -> Iterator[str]:
    old, new = before.pattern, after.pattern
    if (old and (old.notation, old.settled_by)) != (new and (new.notation, new.settled_by)):
        yield f"the pattern is {new.notation} ({new.words})" if new else "there is no pattern any more"
    was, now = (old and old.closing and old.closing.words), (new and new.closing and new.closing.words)
    if now and was != now:
        yield now


def _length(before: Findings, after: Findings) -> Iterator[str]:
    was, now = _long(before), _long(after)
    if was != now:
        yield f"the length of a strand: {was}, now {now}"


def _long(found: Findings) -> str:
    if found.made is None:
        return "open"
    return f"{found.made.makeup.strand.pitches} pitches ({'settled' if found.made.settled else 'not settled'})"


def _made(before: Findings, after: Findings) -> Iterator[str]:
    old, new = before.made, after.made
    if old is None or new is None:
        return
    if old.makeup.strands != new.makeup.strands:
        yield f"strands to make: {old.makeup.strands}, now {new.makeup.strands}"
    if old.sections != new.sections:
        yield f"sections of one strand: {_listed(old.sections)}, now {_listed(new.sections)} pitches"
    if old.counts.with_attachment != new.counts.with_attachment:
        yield f"links with attachment in a strand: {old.counts.with_attachment}, now {new.counts.with_attachment}"


def _listed(numbers: tuple[int, ...]) -> str:
    shown = ", ".join(map(str, numbers[:8]))
    return f"{shown} ..." if len(numbers) > 8 else shown


def _features(before: Findings, after: Findings) -> Iterator[str]:
    old, new = set(_states(before)), list(_states(after))
    yield from (words for words in new if words not in old and "not asked" not in words)


def _states(found: Findings) -> Iterator[str]:
    for each in found.features:
        yield f"{each.label} of the {each.part}: {each.state} {each.value}".rstrip()


def _duty(before: Findings, after: Findings) -> Iterator[str]:
    for name, new in after.duty.items():
        old = before.duty.get(name)
        if old is None:
            yield f"answered: {new.title}"
        elif old.values != new.values:
            yield f"{new.title}: the figures changed"
    yield from (f"no longer answered: {old.title}" for name, old in before.duty.items() if name not in after.duty)


def _conflicts(before: Findings, after: Findings) -> Iterator[str]:
    yield from (f"conflict: {words}" for words in after.conflicts if words not in before.conflicts)
    yield from (f"conflict gone: {words}" for words in before.conflicts if words not in after.conflicts)


def _gaps(before: Findings, after: Findings) -> Iterator[str]:
    old, new = {gap.key: gap for gap in before.gaps}, {gap.key: gap for gap in after.gaps}
    yield from (f"new gap: {gap.title}" for key, gap in new.items() if key not in old and gap.accepted is None)
    yield from (f"gap closed: {gap.title}" for key, gap in old.items() if key not in new and gap.accepted is None)
    for key, gap in new.items():
        if gap.accepted is not None and (key not in old or old[key].accepted != gap.accepted):
            yield f"gap accepted by {gap.accepted.by}: {gap.title}, taken as {gap.accepted.assumed}"
