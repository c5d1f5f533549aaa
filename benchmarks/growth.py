"""One case against catalogs of 1 000 to 1 000 000 rows, and the peers on the same rows."""

import gc
import time
from collections.abc import Sequence
from dataclasses import dataclass

from clock import median_ms, median_over_ms
from peers import PEERS, matrix_of, query_of

from chaincase.calibration.samples import sample_of
from chaincase.catalog.table import Catalog
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.next_step import next_steps
from chaincase.identifying.posterior import posterior
from grown import grown

SIZES = (1_000, 10_000, 100_000, 1_000_000)
PITCH, NO_PITCH, NEXT, FIRST = (
    "one case with a pitch", "one case without a pitch", "next readings", "first case, coding included"
)  # fmt: skip
STAMP = "one case with a pitch and a stamp"
_SEED = 6000
_FROM, _TO = 4, 6
"""Readings of a case."""


@dataclass(frozen=True)
class Timings:
    """Milliseconds by what was timed, at one size."""

    rows: int
    ours: dict[str, float]
    peers: dict[str, float]


def growth(sizes: Sequence[int], cases: int) -> list[Timings]:
    """Time all sizes; each catalog is thrown away before the next is made."""
    found = []
    for rows in sizes:
        found.append(_timings(rows, cases))
        gc.collect()
    return found


def _timings(rows: int, cases: int) -> Timings:
    catalog = grown(rows)
    stamped, with_pitch = _cases(catalog, cases)
    without = [_without_pitch(case) for case in with_pitch]
    ours = {FIRST: _once_ms(catalog, with_pitch[0])}
    ours[PITCH] = median_over_ms(lambda case: posterior(case, catalog), with_pitch)
    ours[NO_PITCH] = median_over_ms(lambda case: posterior(case, catalog), without)
    ours[STAMP] = median_over_ms(lambda case: posterior(case, catalog), stamped)
    answers = [(found, case, found.catalog) for case in with_pitch for found in [posterior(case, catalog)]]
    ours[NEXT] = median_over_ms(lambda answer: next_steps(*answer), answers)
    return Timings(rows, ours, _peers(catalog, with_pitch))


def _once_ms(catalog: Catalog, case: Evidence) -> float:
    begun = time.perf_counter()
    posterior(case, catalog)
    return 1e3 * (time.perf_counter() - begun)


def _cases(catalog: Catalog, count: int) -> tuple[list[Evidence], list[Evidence]]:
    """Give simulated samples of four to six readings, a pitch among them and units written: stamped, and not."""
    stamped, plain = [], []
    index = 0
    while len(stamped) < count or len(plain) < count:
        evidence = Evidence.of(sample_of(_SEED, index, catalog).evidence)
        index += 1
        readings = evidence.parsed_readings()
        if not _FROM <= len(readings) <= _TO or any(reading.is_bare for reading in readings):
            continue
        if "pitch" not in {reading.dimension for reading in readings}:
            continue
        if evidence.marks:
            stamped.append(evidence)
        plain.append(evidence.model_copy(update={"marks": ()}))
    return stamped[:count], plain[:count]


def _without_pitch(case: Evidence) -> Evidence:
    return case.model_copy(update={"readings": tuple(each for each in case.readings if each.dimension != "pitch")})


def _peers(catalog: Catalog, cases: Sequence[Evidence]) -> dict[str, float]:
    matrix = matrix_of(catalog)
    queries = [query_of({each.name: each.value for each in posterior(case, catalog).measured}) for case in cases]
    timed = {}
    for name, prepare in PEERS.items():
        try:
            peer = prepare(matrix)
        except ImportError:
            continue
        repeats = 3 if len(catalog) > 100_000 else 7
        timed[name] = median_ms(lambda peer=peer: [peer(query) for query in queries[:4]], repeats) / 4
    return timed
