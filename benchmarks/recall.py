"""How often the first stage proposes the true row, over simulated samples."""

from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

from chaincase.calibration.samples import sample_of
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.posterior import hypotheses, posterior
from chaincase.identifying.proposal import propose
from grown import grown

_SEED = 7000
DETERMINED = 3
"""So many usable readings tell most chains apart; one or two leave thousands of rows alike."""


@dataclass(frozen=True)
class Recall:
    """Samples of a listed chain by how many usable readings they have, and how many true rows were proposed.

    Of those with three or more readings whose true row was not proposed, `missed` holds the probability that scoring
    every row gives it.
    """

    rows: int
    samples: Counter[int]
    proposed: Counter[int]
    missed: tuple[float, ...]

    def share(self, least: int) -> tuple[int, float]:
        """Give number and recall of the samples with so many readings or more."""
        asked = sum(count for readings, count in self.samples.items() if readings >= least)
        found = sum(count for readings, count in self.proposed.items() if readings >= least)
        return asked, found / max(asked, 1)


def recall(rows: int, count: int, processes: int = 2) -> Recall:
    """Draw samples and count, on some processes."""
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        parts = list(pool.map(_counted, [(rows, range(i, count, processes)) for i in range(processes)]))
    samples, proposed, missed = Counter(), Counter(), []
    for asked, found, lost in parts:
        samples.update(asked)
        proposed.update(found)
        missed += lost
    return Recall(rows, samples, proposed, tuple(missed))


def _counted(task: tuple[int, range]) -> tuple[Counter[int], Counter[int], list[float]]:
    rows, indexes = task
    catalog = grown(rows)
    samples, proposed, missed = Counter(), Counter(), []
    for index in indexes:
        drawn = sample_of(_SEED, index, catalog)
        if drawn.row is None:
            continue
        evidence = Evidence.of(drawn.evidence)
        try:
            under = [ones for _, ones in hypotheses(evidence.parsed_readings())]
        except BadInput:  # a slip that the tool refuses, and asks to be mended
            continue
        found = propose(under, evidence.marks, evidence.construction, catalog)
        there = bool((found.rows[: found.proposed] == drawn.row).any())
        samples[len(under[0])] += 1
        proposed[len(under[0])] += there
        if not there and len(under[0]) >= DETERMINED:
            missed.append(float(posterior(evidence, catalog, whole=True).probability[drawn.row]))
    return samples, proposed, missed
