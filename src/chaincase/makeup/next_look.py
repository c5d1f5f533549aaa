"""What to look at next: how much each possible observation is expected to tell, in bits and in words."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from scipy.special import xlogy

from chaincase.chains.kinds import Links
from chaincase.makeup import constants as c
from chaincase.makeup.hypotheses import Array
from chaincase.makeup.likelihood import Whole, counted_total, gap_shares
from chaincase.makeup.observations import Observation, OnLinks, Taped
from chaincase.makeup.posterior import Posterior

SETTLED = 0.99
ALIKE = 0.75
"""Below that probability of one constant spacing the gaps are to be counted one by one."""
_LEAST_BITS = 0.005
_FEW = 3
_RIVAL, _RIVALS = 0.02, 48
"""A spacing less probable than that is no rival worth naming; so many are reckoned with at most."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something to look at: `action` and `decides` in words, expected drop of entropy [bit], time [min]."""

    action: str
    gain_bits: float
    minutes: float
    decides: str


def next_steps(
    found: Posterior, observations: Sequence[Observation], links: Links, *, growth_given: bool
) -> list[Step]:
    """Give what may be looked at, the most bits per minute first.

    What tells less than half of what the best one tells comes after those: a minute saved is worth little when
    one must go again. Minutes are common practice, no source.
    """
    steps = [step for step in _possible(found, observations, links, growth_given) if step.gain_bits > _LEAST_BITS]
    best = max((step.gain_bits for step in steps), default=0.0)
    return sorted(steps, key=lambda step: (step.gain_bits < best / 2, -step.gain_bits / step.minutes))


def _possible(
    found: Posterior, observations: Sequence[Observation], links: Links, growth_given: bool
) -> Iterator[Step]:
    # Those that the answer turns on; the rest together has less than one in a thousand.
    order = np.argsort(-found.spacing, kind="stable")[:_RIVALS]
    p = found.spacing[order] / found.spacing[order].sum()
    k: Whole = order.astype(np.int64) + 1
    rivals = [int(each) for each in k[: max(2, min(int((p > _RIVAL).sum()), _FEW))]]
    for gaps, minutes in ((1, 3.0), (3, 6.0)):
        yield _count(p, k, rivals, gaps, minutes)
    if links is Links.ALTERNATE and not any(isinstance(each, OnLinks) for each in observations):
        outcomes = np.stack([np.where(k % 2 == 0, 1 - c.PARITY_WRONG, c.PARITY_WRONG)] * 2)
        outcomes[1] = 1.0 - outcomes[0]
        words = "see whether attachments in a row all sit on one kind of link, inner or outer, or on both in turn"
        yield Step(words, gain(p, outcomes), 1.0, _parity_decides(rivals))
    if any(isinstance(each, Taped) for each in observations) and not growth_given and found.pitches[0].mm:
        words = "measure the elongation: tape 12 or more whole pitches of the pulled chain and divide"
        yield Step(words, _growth_gain(found), 4.0, f"it tells how many pitches the tape spans: {_either(rivals)}")


def gain(p: Array, outcomes: Array) -> float:
    """Give the expected drop of entropy [bit].

    Parameters
    ----------
    p : ndarray of float64, shape (n,)
        Probabilities of the hypotheses, adding to 1.
    outcomes : ndarray of float64, shape (m, n)
        Probability of each outcome under each hypothesis, columns adding to 1.

    >>> round(gain(np.array([0.5, 0.5]), np.array([[1.0, 0.0], [0.0, 1.0]])), 6)
    1.0
    """
    joint = outcomes * p
    mixed = joint.sum(axis=1)
    nats = xlogy(joint, joint).sum() - xlogy(mixed, mixed).sum() - xlogy(p, p).sum()
    return max(float(nats / np.log(2.0)), 0.0)


def _count(p: Array, k: Whole, rivals: list[int], gaps: int, minutes: float) -> Step:
    likely = np.unique(np.concatenate([k * number + slip for number, _ in gap_shares(gaps) for slip in (-1, 0, 1)]))
    outcomes = np.zeros((len(likely), len(k)))
    for number, share in gap_shares(gaps):
        outcomes += share * counted_total(likely[:, None], k * number)
    outcomes /= outcomes.sum(axis=0)
    over = "from one attachment to the next" if gaps == 1 else f"over {gaps} gaps in a row"
    *most, last = sorted(rivals)
    told = f"it tells {', '.join(str(each) for each in most)} and {last} apart"
    decides = told if gaps == 1 else ", ".join(f"{each * gaps} means {each}" for each in sorted(rivals))
    return Step(f"count the pitches {over} on the machine", gain(p, outcomes), minutes, decides)


def _parity_decides(rivals: list[int]) -> str:
    even, odd = ([each for each in rivals if each % 2 == parity] for parity in (0, 1))
    one_kind = f"one kind only means {_either(even) if even else 'an even spacing'}"
    return f"{one_kind}, both in turn means {_either(odd) if odd else 'an odd spacing'}"


def _growth_gain(found: Posterior) -> float:
    """Give what knowing the elongation to a tenth of a percent would tell [bit]."""
    of_growth = found.joint.sum(axis=0)  # (k, e)
    width = max(1, round(0.002 / max(float(np.ptp(found.growth.values)) / (len(found.growth.values) - 1), 1e-9)))
    edges = np.arange(0, of_growth.shape[1], width)
    binned = np.add.reduceat(of_growth, edges, axis=1)
    k, e = binned.sum(axis=1), binned.sum(axis=0)
    nats = xlogy(binned, binned).sum() - xlogy(k, k).sum() - xlogy(e, e).sum()
    return max(float(nats / np.log(2.0)), 0.0)


def _either(numbers: Sequence[int]) -> str:
    return " or ".join(str(each) for each in sorted(numbers))


def in_words(
    found: Posterior, steps: Sequence[Step], missing: Sequence[str], *, contradicted: bool, repeat: Sequence[int] = ()
) -> str:
    """Say what to look at next, in one or two sentences."""
    k = int(np.argmax(found.spacing)) + 1
    if repeat:
        return f"Nothing more is needed if the gaps go on like this: {runs_in_words(repeat)}, then again."
    if contradicted or found.constant < ALIKE:
        return (
            "Count the pitches of several gaps in a row on the machine, one by one, with chalk, and write down each: "
            "equal numbers settle the spacing, a sequence that repeats is the pattern."
        )
    if found.spacing[k - 1] >= SETTLED or not steps:
        return f"Nothing more is needed for the spacing of {k} {'pitch' if k == 1 else 'pitches'}."
    if missing:
        return f"Find out first: {'; '.join(missing)}."
    step = steps[0]
    return f"{step.action[:1].upper()}{step.action[1:]} (about {step.minutes:g} min): {step.decides}."


def runs_in_words(gaps: Sequence[int]) -> str:
    """Say a row of gaps by its runs.

    >>> runs_in_words([4, 4, 5])
    '2 gaps of 4, 1 gap of 5'
    """
    runs = [(gap, len(list(same))) for gap, same in groupby(gaps)]
    return ", ".join(f"{times} {'gap' if times == 1 else 'gaps'} of {gap}" for gap, times in runs)
