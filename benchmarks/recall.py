"""How often the first stage proposes the true row, over simulated samples."""

from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from typing import TypeVar

import numpy as np

from chaincase.calibration.samples import sample_of
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.posterior import hypotheses, posterior, posteriors
from chaincase.identifying.proposal import FULL, Question, propose_all
from grown import grown

T = TypeVar("T")

_SEED = 7000
DETERMINED = 3
"""So many usable readings tell most chains apart; one or two leave thousands of rows alike."""


WORTH = 1e-4
"""A true row that is given no more than this has been lost to the readings, not to the first stage."""
_LOT = 20


@dataclass(frozen=True)
class Recall:
    """Samples of a listed chain by how many usable readings they have, and how many true rows were proposed.

    Of those with three or more readings, `likely` counts the proposed true rows that have a probability above `WORTH`,
    and of those not proposed `missed` holds the probability that scoring every row gives the true row.
    """

    rows: int
    samples: Counter[int]
    proposed: Counter[int]
    likely: int
    missed: tuple[float, ...]

    def share(self, least: int) -> tuple[int, float]:
        """Give number and recall of the samples with so many readings or more."""
        asked = sum(count for readings, count in self.samples.items() if readings >= least)
        found = sum(count for readings, count in self.proposed.items() if readings >= least)
        return asked, found / max(asked, 1)

    def share_of_likely(self) -> tuple[int, float]:
        """Give number and recall of the true rows that scoring every row gives a probability above `WORTH`."""
        lost = sum(chance > WORTH for chance in self.missed)
        return self.likely + lost, self.likely / max(self.likely + lost, 1)


def recall(rows: int, count: int, processes: int = 2) -> Recall:
    """Draw samples and count, on some processes."""
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        parts = list(pool.map(_counted, [(rows, range(i, count, processes)) for i in range(processes)]))
    return Recall(
        rows,
        sum((part.samples for part in parts), Counter()),
        sum((part.proposed for part in parts), Counter()),
        sum(part.likely for part in parts),
        tuple(chance for part in parts for chance in part.missed),
    )


def _counted(task: tuple[int, range]) -> Recall:
    rows, indexes = task
    catalog = grown(rows)
    samples, proposed, likely, missed = Counter(), Counter(), 0, []
    for lot in batched(_drawn(indexes, catalog), _LOT):
        every = [evidence for evidence, _ in lot]
        under = [[ones for _, ones in hypotheses(each.parsed_readings())] for each in every]
        asked = [Question(ones, each.marks, each.construction) for each, ones in zip(every, under, strict=True)]
        found = zip(propose_all(asked, catalog), posteriors(every, catalog, FULL), strict=True)
        for (evidence, row), ones, (proposal, weighed) in zip(lot, under, found, strict=True):
            readings = len(ones[0])
            place = np.flatnonzero(proposal.rows[: proposal.proposed] == row)
            samples[readings] += 1
            proposed[readings] += len(place)
            if readings >= DETERMINED and len(place):
                likely += bool(weighed.probability[place[0]] > WORTH)
            elif readings >= DETERMINED:
                missed.append(float(posterior(evidence, catalog, whole=True).probability[row]))
    return Recall(rows, samples, proposed, likely, tuple(missed))


def batched(items: Iterator[T], count: int) -> Iterator[list[T]]:
    while lot := list(islice(items, count)):
        yield lot


def _drawn(indexes: range, catalog: Catalog) -> Iterator[tuple[Evidence, int]]:
    """Give samples of listed chains, and their rows."""
    for index in indexes:
        drawn = sample_of(_SEED, index, catalog)
        if drawn.row is None:
            continue
        evidence = Evidence.of(drawn.evidence)
        try:
            hypotheses(evidence.parsed_readings())
        except BadInput:  # a slip that the tool refuses, and asks to be mended
            continue
        yield evidence, drawn.row
