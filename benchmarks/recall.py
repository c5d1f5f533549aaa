"""How often the first stage proposes the true row, over simulated samples."""

from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context

from chaincase.calibration.samples import sample_of
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.posterior import hypotheses
from chaincase.identifying.proposal import propose
from grown import grown

_SEED = 7000


@dataclass(frozen=True)
class Recall:
    """Samples of a listed chain by how many usable readings they have, and how many true rows were proposed."""

    rows: int
    samples: Counter[int]
    proposed: Counter[int]

    def share(self, least: int) -> tuple[int, float]:
        """Give number and recall of the samples with so many readings or more."""
        asked = sum(count for readings, count in self.samples.items() if readings >= least)
        found = sum(count for readings, count in self.proposed.items() if readings >= least)
        return asked, found / max(asked, 1)


def recall(rows: int, count: int, processes: int = 2) -> Recall:
    """Draw samples and count, on some processes."""
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        parts = list(pool.map(_counted, [(rows, range(i, count, processes)) for i in range(processes)]))
    samples, proposed = Counter(), Counter()
    for asked, found in parts:
        samples.update(asked)
        proposed.update(found)
    return Recall(rows, samples, proposed)


def _counted(task: tuple[int, range]) -> tuple[Counter[int], Counter[int]]:
    rows, indexes = task
    catalog = grown(rows)
    samples, proposed = Counter(), Counter()
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
        samples[len(under[0])] += 1
        proposed[len(under[0])] += bool((found.rows[: found.proposed] == drawn.row).any())
    return samples, proposed
