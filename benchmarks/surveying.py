"""`chaincase survey` from a CSV file to an XLSX file, as a user runs it, with the memory of all its processes."""

import csv
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from chaincase.calibration.samples import sample_of
from chaincase.catalog.table import Catalog
from grown import grown, write_csv

_SEED = 9000
_FIELDS = ("instrument", "link", "over", "technique", "reference")


@dataclass(frozen=True)
class Surveyed:
    """One run: seconds in all, those of the processors, and peak memory [MB] of all processes.

    The memory is None where the system does not tell.
    """

    rows: int
    samples: int
    seconds: float
    megabytes: float | None
    cpu: float


def survey(rows: int, samples: int) -> Surveyed:
    """Run it once."""
    catalog = grown(rows)
    with tempfile.TemporaryDirectory() as room:
        table, sheet, output = (Path(room) / name for name in ("chains.csv", "samples.csv", "answers.xlsx"))
        write_csv(catalog, table)
        _write_samples(catalog, samples, sheet)
        command = [sys.executable, "-m", "chaincase.cli.main", "survey", str(sheet), "-o", str(output)]
        code = "import sys; from chaincase.cli.main import run; sys.exit(run(sys.argv[1:]))"
        command = [sys.executable, "-c", code, *command[3:], "--catalog", str(table), "--no-progress"]
        begun, used = time.perf_counter(), _cpu()
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
        peak = 0.0
        while process.poll() is None:
            peak = max(peak, _megabytes(process.pid))
            time.sleep(0.2)
        seconds = time.perf_counter() - begun
        if process.returncode:
            raise SystemExit(f"chaincase survey ended with {process.returncode}")
        return Surveyed(rows, samples, seconds, peak or None, _cpu() - used)


def _cpu() -> float:
    """Give the seconds of the processors that processes started here have taken, as far as they have ended."""
    times = os.times()
    return times.children_user + times.children_system


def _write_samples(catalog: Catalog, count: int, path: Path) -> None:
    rows = [_sample_row(index, sample_of(_SEED, index, catalog).evidence) for index in range(count)]
    columns = list(dict.fromkeys(column for row in rows for column in row))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns)
        writer.writeheader()
        writer.writerows(rows)


def _sample_row(index: int, evidence: dict) -> dict[str, str]:
    """Give the line of a sample; of several readings of one dimension the first."""
    row = {"sample": f"S{index}", "construction": ", ".join(evidence["construction"])}
    row["mark"] = evidence["marks"][0]["text"] if evidence["marks"] else ""
    for reading in reversed(evidence["readings"]):
        name = reading["dimension"]
        row[name] = reading["value"]
        row |= {f"{name}.{field}": str(reading.get(field, "")) for field in _FIELDS}
    return row


def _megabytes(pid: int) -> float:
    """Give the memory of a process and its children, shared pages counted once, as far as the system tells."""
    total, open_ones = 0.0, [pid]
    while open_ones:
        each = open_ones.pop()
        total += _own_megabytes(each)
        try:
            children = Path(f"/proc/{each}/task/{each}/children").read_text(encoding="ascii")
        except OSError:
            continue
        open_ones += [int(child) for child in children.split()]
    return total


def _own_megabytes(pid: int) -> float:
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0.0
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024
