"""`make bench`: how long the import and one case take on this machine, medians of several runs."""

import json
import statistics
import subprocess
import sys
import time
from importlib import resources

import pull

from chaincase import Catalog, Evidence, identify

RUNS = 7
IMPORT = "import chaincase; chaincase.identify; chaincase.Catalog"


def import_seconds() -> float:
    """Time the import of the package in a fresh interpreter, less the bare interpreter."""
    return max(_process_seconds(IMPORT) - _process_seconds("pass"), 0.0)


def _process_seconds(code: str) -> float:
    taken = []
    for _ in range(RUNS):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True)
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def case_milliseconds() -> dict[str, float]:
    """Time one identification of each demo case on the packaged tables, after a first one."""
    folder = resources.files("chaincase.demo") / "cases"
    catalog = Catalog.standard()
    result = {}
    for file in sorted(folder.iterdir(), key=lambda file: file.name):
        evidence = Evidence.of(json.loads(file.read_text(encoding="utf-8"))["evidence"])
        identify(evidence, catalog)
        taken = []
        for _ in range(RUNS):
            start = time.perf_counter()
            identify(evidence, catalog)
            taken.append(time.perf_counter() - start)
        result[file.name] = 1000 * statistics.median(taken)
    return result


def main() -> None:
    """Print the figures."""
    print(f"import of the package: {import_seconds():.2f} s (wanted: under 0.5 s)")
    for name, milliseconds in case_milliseconds().items():
        print(f"identify, {name}: {milliseconds:.1f} ms (wanted: under 30 ms)")
    pull.run()


if __name__ == "__main__":
    main()
