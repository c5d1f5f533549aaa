"""The main question, answered: which chain is this, how sure, why, and what to measure next."""

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.describe import FROM_MEMORY
from chaincase.catalog.table import Catalog, Trust
from chaincase.chains.designation import key
from chaincase.chains.kinds import KINDS
from chaincase.identifying.answer import Candidate, Identification, Summary, Wear
from chaincase.identifying.beside import Beside
from chaincase.identifying.construction import known_words, unknown_words
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.next_step import next_steps, suggestion
from chaincase.identifying.posterior import Posterior, posterior, posteriors
from chaincase.identifying.proposal import QUICK
from chaincase.identifying.reasons import reasons
from chaincase.identifying.warnings import reading_warnings
from chaincase.identifying.wear import wear_of

Array = NDArray[np.float64]

_MASS = 0.999
_EXPLAINED = 4
"""So many candidates get their reasons; nobody reads on."""
_WORN = 1
"""So many candidates get an estimate of wear."""
_TIED = 0.7
"""Two candidates whose log probabilities differ by less cannot be told apart by what was measured."""
_WORTH_A_TIE = 0.02
_CONFLICT = 100.0
"""If the readings fit another chain so many times better than any that the stamp names, a person must settle it."""
_MAY_BE_READ_AS = 20.0
"""Numbers that explain a stamp worse by less than this factor count as what the stamp may say."""
SETTLED = 0.95
"""A survey asks for no further reading on a chain that is so probable."""


def identify(
    evidence: Evidence, catalog: Catalog, beside: Beside | None = None, *, brief: bool = False
) -> Identification:
    """Identify a chain.

    Parameters
    ----------
    evidence : Evidence
        What is known of it.
    catalog : Catalog
        The chains it may be: `Catalog.standard()`, with user catalogs added by `+`.
    beside : Beside, optional
        What else speaks for or against each chain, such as the wheels that it runs on.
    brief : bool
        Whether reasons, wear and next steps are left out.

    Returns
    -------
    Identification
        Candidates by falling probability down to a mass of 0.999 with "unlisted"; the rest is in `other`.
    """
    found = posterior(evidence, catalog, beside=beside)
    catalog = found.catalog
    order = np.argsort(-found.probability, kind="stable")
    shown = order[: _how_many(found.probability[order], found.unlisted)]
    explained, worn = (0, 0) if brief else (_EXPLAINED, _WORN)
    candidates = tuple(
        _candidate(int(row), found, evidence, catalog, explain=i < explained, worn=i < worn)
        for i, row in enumerate(shown)
    )
    return Identification(
        candidates=candidates,
        unlisted=found.unlisted,
        other=max(float(1.0 - found.unlisted - found.probability[shown].sum()), 0.0),
        ties=_ties(shown, found.probability, catalog),
        conflicts=tuple(_conflicts(found, catalog)),
        assumed_unit=found.unit,
        next=() if brief else tuple(next_steps(found, evidence, catalog)),
        warnings=tuple(_warnings(evidence, found, shown, catalog, any_beside=beside is not None)),
    )


def summarize(evidence: Evidence, catalog: Catalog) -> Summary:
    """Identify a chain as `identify` does, without the reasons: what one line of a survey says.

    >>> evidence = Evidence.model_validate({"schema": "chaincase/evidence-1", "marks": [{"text": "WR124"}]})
    >>> summarize(evidence, Catalog.standard()).designation
    'W124'
    """
    return summaries([evidence], catalog)[0]


def summaries(evidence: Sequence[Evidence], catalog: Catalog) -> list[Summary]:
    """Identify several chains as `summarize` does, each for itself; together, as that is quicker."""
    found = posteriors(evidence, catalog, QUICK)
    return [_summary(given, each) for given, each in zip(evidence, found, strict=True)]


def _summary(evidence: Evidence, found: Posterior) -> Summary:
    catalog = found.catalog
    likeliest = int(found.probability.argmax())
    others = np.delete(found.probability, likeliest)
    runner_up = int(others.argmax()) if len(others) else None
    second = None if runner_up is None else runner_up + int(runner_up >= likeliest)
    top = float(found.probability[likeliest])
    said = [f"conflict: {conflict}" for conflict in _conflicts(found, catalog)]
    return Summary(
        designation=catalog.designations[likeliest],
        probability=top,
        second="" if second is None else catalog.designations[second],
        second_probability=None if second is None else float(found.probability[second]),
        unlisted=found.unlisted,
        next=suggestion(found, evidence, catalog) if top < SETTLED else None,
        warnings=(*said, *_warnings(evidence, found, np.array([likeliest]), catalog)),
    )


def _how_many(falling: Array, unlisted: float) -> int:
    """Give how many candidates hold the mass to be shown; at least one, so that the best is always seen."""
    reached = int(np.searchsorted(np.cumsum(falling) + unlisted, _MASS))
    return min(reached + 1, max(int(np.count_nonzero(falling)), 1))


def _candidate(
    row: int, found: Posterior, evidence: Evidence, catalog: Catalog, *, explain: bool, worn: bool
) -> Candidate:
    why = reasons(row, evidence, found, catalog) if explain else []
    return Candidate(
        designation=catalog.designations[row],
        table=catalog.sources[catalog.source[row]].name,
        probability=float(found.probability[row]),
        kind=KINDS[catalog.kind[row]].name,
        also=_other_names(catalog.designations[row], catalog.alternatives[row]),
        trust=trust_words(catalog, row),
        reasons=tuple(why),
        conflicts=tuple(f"{reason.about} {reason.found}: {reason.words}" for reason in why if not reason.fits),
        wear=_wear(row, found, catalog) if worn else (),
    )


def _wear(row: int, found: Posterior, catalog: Catalog) -> tuple[Wear, ...]:
    """Give the wear of the sample if it is the row's chain, rounded to what can be known."""
    figures = (asdict(each) for each in wear_of(row, found.measured, catalog))
    return tuple(
        Wear(**{name: round(value, 3) if isinstance(value, float) else value for name, value in each.items()})
        for each in figures
    )


def _other_names(designation: str, alternatives: tuple[str, ...]) -> tuple[str, ...]:
    """Give the other names, each once: Latin and Cyrillic letters that look alike are the same on a bar."""
    once = {key(name): name for name in reversed((designation, *alternatives))}
    return tuple(name for name in reversed(once.values()) if name != designation)


def trust_words(catalog: Catalog, row: int) -> str:
    """Say how well the figures of a row are known; empty where two sources agree."""
    trust = catalog.trust[row]
    known = trust[trust != Trust.NONE]
    if (known == Trust.MEMORY).any():
        return FROM_MEMORY
    if (known == Trust.ONE_SOURCE).any():
        return "figures from one public source"
    return ""


def _ties(shown: NDArray[np.int64], probability: Array, catalog: Catalog) -> tuple[tuple[str, ...], ...]:
    """Give the groups, among candidates that matter, that the evidence cannot tell apart."""
    groups: list[list[int]] = []
    for row in shown:
        if probability[row] < _WORTH_A_TIE:
            break
        if groups and np.log(probability[groups[-1][0]] / probability[row]) < _TIED:
            groups[-1].append(int(row))
        else:
            groups.append([int(row)])
    return tuple(tuple(catalog.designations[row] for row in group) for group in groups if len(group) > 1)


def _conflicts(found: Posterior, catalog: Catalog) -> list[str]:
    """Say where the stamp and the readings point to different chains."""
    if not found.by_mark or not found.measured:
        return []
    stamped = np.sum([mark.listed for mark in found.by_mark], axis=0)
    by_stamp, by_size = int(stamped.argmax()), int(found.from_readings[:-1].argmax())
    if not any(mark.speaks_for(by_stamp) for mark in found.by_mark):
        return []
    best_of_stamp = float(found.from_readings[:-1][stamped > stamped[by_stamp] - np.log(_MAY_BE_READ_AS)].max())
    if float(found.from_readings.max()) - best_of_stamp < np.log(_CONFLICT):
        return []
    sizes = _by_size(found, by_size, catalog)
    return [
        (
            f"the stamp points to {catalog.designations[by_stamp]}, the readings to {sizes}: "
            "settle it by reading the stamp again and measuring the dimension that differs most"
        )
    ]


def _by_size(found: Posterior, best: int, catalog: Catalog) -> str:
    return (
        "a chain in none of the tables"
        if found.from_readings[best] < found.from_readings[-1]
        else catalog.designations[best]
    )


def _warnings(
    evidence: Evidence, found: Posterior, shown: NDArray[np.int64], catalog: Catalog, *, any_beside: bool = False
) -> list[str]:
    unknown = unknown_words(evidence.construction)
    said = [
        f"construction {word!r} is not a kind of chain known here and was left out; known: {', '.join(known_words())}"
        for word in unknown
    ]
    said += [f"{place} means nothing here and was left out" for place in evidence.unread()]
    said += reading_warnings(evidence, [each.reading for each in found.measured])
    if found.unit is not None:
        word = {"mm": "millimeters", "in": "inches"}[found.unit]
        sure = f"with probability {found.unit_probability:.0%}"
        said.append(f"readings without a unit were taken as {word} {sure}; write the unit")
    if len(shown) and trust_words(catalog, int(shown[0])) == FROM_MEMORY:
        said.append(f"{catalog.designations[shown[0]]}: {FROM_MEMORY}")
    if not found.measured and not evidence.marks and not evidence.construction and not any_beside:
        said.append("there is no usable evidence: every listed chain is as likely as any other")
    return said
