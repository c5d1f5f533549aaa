"""The everyday case: the demo's samples on the packaged tables, and how long the package takes to load."""

import json
import statistics
import subprocess
import sys
import time
from importlib.resources import files

from clock import median_ms

from chaincase import Catalog, Evidence, identify
from chaincase.calibration.samples import sample_of

_LOAD = "import chaincase; chaincase.identify, chaincase.Catalog, chaincase.Evidence"
_SEED = 8000


def load_seconds(repeats: int) -> float:
    """Give the time that a process takes to load what identifying needs, less that of an empty process."""
    return _process_seconds(_LOAD, repeats) - _process_seconds("pass", repeats)


def _process_seconds(code: str, repeats: int) -> float:
    times = []
    for _ in range(repeats + 1):
        begun = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        times.append(time.perf_counter() - begun)
    return statistics.median(times[1:])


def demo_ms(repeats: int) -> float:
    """Give the time of one whole answer, reasons and next readings included: median over the demo's cases."""
    cases = sorted(files("chaincase.demo").joinpath("cases").iterdir(), key=lambda case: case.name)
    demo = [json.loads(case.read_text(encoding="utf-8"))["evidence"] for case in cases if case.name.endswith(".json")]
    return statistics.median(_answer_ms(Evidence.model_validate(evidence), repeats) for evidence in demo)


def sampled_ms(count: int, repeats: int) -> float:
    """Give the same over simulated samples."""
    catalog = Catalog.standard()
    drawn = [Evidence.model_validate(sample_of(_SEED, index, catalog).evidence) for index in range(count)]
    return statistics.median(_answer_ms(evidence, repeats) for evidence in drawn)


def _answer_ms(evidence: Evidence, repeats: int) -> float:
    return median_ms(lambda: identify(evidence, Catalog.standard()), repeats)
