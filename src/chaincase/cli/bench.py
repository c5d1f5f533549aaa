"""`chaincase bench`: draw worn samples whose truth is known, identify them, and say whether the odds come true."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from chaincase.calibration.bench import Progress, Result, run_bench
from chaincase.calibration.report import number, revision, write_report
from chaincase.calibration.samples import FIT_SEEDS, PER_SEED, REPORT_SEED
from chaincase.calibration.targets import Target, targets
from chaincase.errors import BadInput

_SAMPLES, _QUICK = 12_000, 600
"""Fewer than some ten thousand samples, and chance alone gives a calibration error near the target."""
_MOST_SAMPLES, _MOST_SEED = 1_000_000, 2**31
_MINUTES = 20.0


@click.command()
@click.option("--samples", type=click.IntRange(1, _MOST_SAMPLES), metavar="N", help=f"Samples; {_SAMPLES} by default.")
@click.option(
    "--seed", type=click.IntRange(0, _MOST_SEED), default=REPORT_SEED, show_default=True,
    help=f"First seed, for {PER_SEED} samples each. {FIT_SEEDS[0]} to {FIT_SEEDS[-1]} are for fitting.",
)  # fmt: skip
@click.option(
    "-o", "--output", "folder", type=click.Path(path_type=Path), default=Path("docs"), show_default=True,
    help="Folder for bench.md and bench.svg.",
)  # fmt: skip
@click.option("--quick", is_flag=True, help=f"A first look: {_QUICK} samples.")
@click.option(
    "--minutes", type=click.FloatRange(0.01, 600.0), default=_MINUTES, show_default=True,
    help="Stop after so long and report what was done.",
)  # fmt: skip
@click.option("--workers", type=click.IntRange(1, 256), metavar="N", help="Processes; by default one per core.")
@click.option("--no-progress", is_flag=True, help="Show no progress bar.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def bench(
    samples: int | None,
    seed: int,
    folder: Path,
    quick: bool,
    minutes: float,
    workers: int | None,
    no_progress: bool,
    as_json: bool,
) -> None:
    """Measure on simulated samples whether the stated probabilities come true, and write bench.md."""
    count = samples or (_QUICK if quick else _SAMPLES)
    _check_folder(folder)
    with _progress(shown=sys.stderr.isatty() and not no_progress) as progress:
        result = run_bench(
            count,
            range(seed, seed - (-count // PER_SEED)),
            workers,
            progress,
            twins=count // 8,
            courses=max(count // 60, 1),
            otherwise=max(count // 12, 1),
            limit=60.0 * minutes,
        )
    if not result.cases:
        raise BadInput(f"no sample was done in {minutes:g} minutes", where="--minutes", right="give it more time")
    page = folder / "bench.md"
    write_report(result, page)
    if as_json:
        click.echo(json.dumps(_for_machines(result, page), ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_in_words(result, page)))


def _check_folder(folder: Path) -> None:
    """Refuse before the work what could not be written after it."""
    if folder.exists() and not folder.is_dir():
        raise BadInput("this is a file", where=str(folder), right="name a folder")
    folder.mkdir(parents=True, exist_ok=True)


@contextmanager
def _progress(*, shown: bool) -> Iterator[Progress | None]:
    """Give what shows a bar on standard error."""
    if not shown:
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    columns = (TextColumn("samples"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Bar(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("samples")
        yield lambda done, total: bar.update(task, completed=done, total=total)


def _for_machines(result: Result, page: Path) -> dict[str, Any]:
    return {
        "schema": "chaincase/bench-1",
        "samples": len(result.cases),
        "seeds": result.seeds,
        "revision": revision(),
        "seconds": round(result.seconds, 1),
        "stopped": result.stopped,
        "refused": len(result.refused),
        "targets": [_target(each) for each in targets(result)],
        "report": str(page),
    }


def _target(each: Target) -> dict[str, Any]:
    figure = each.figure
    return {
        "name": each.name,
        "value": _finite(figure.value),
        "low": _finite(figure.low),
        "high": _finite(figure.high),
        "cases": figure.n,
        "at_least" if each.above else "at_most": each.limit,
        "reached": each.reached,
    }


def _finite(value: float) -> float | None:
    """Give a number that JSON can hold; none where there was nothing to judge."""
    return round(value, 5) if abs(value) < float("inf") else None


def _in_words(result: Result, page: Path) -> Iterator[str]:
    first, last = result.seeds
    yield f"{len(result.cases)} samples of seeds {first} to {last} in {result.seconds:.0f} s; report in {page}"
    if result.stopped:
        yield "The time was up before all was done."
    for each in targets(result):
        limit = f"{'at least' if each.above else 'at most'} {each.limit:g}"
        yield f"{'+' if each.reached else '-'} {each.name}: {number(each.figure)}; asked for {limit}"
