"""`chaincase survey FILE -o OUT`: many samples from a sheet, their answers to another."""

import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from itertools import groupby
from pathlib import Path
from typing import Any

import click

from chaincase.cli.identify import with_user_catalogs
from chaincase.cli.words import odds
from chaincase.errors import BadInput
from chaincase.survey.run import Progress, Survey
from chaincase.survey.run import survey as run_survey
from chaincase.survey.tally import Group

_PATIENCE = 1.0
"""Seconds before a progress bar is worth its lines."""
_MOST_CHAINS, _MOST_MACHINES = 8, 30


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "-o", "--output", required=True, type=click.Path(path_type=Path),
    help="Where the answers go: .csv, or .xlsx with a summary sheet.",
)  # fmt: skip
@click.option(
    "--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too: file or stored name."
)
@click.option("--sheet", metavar="NAME", help="Sheet of the workbook; the first one otherwise.")
@click.option("--workers", type=click.IntRange(1, 256), metavar="N", help="Processes; by default one per core.")
@click.option("--no-progress", is_flag=True, help="Show no progress bar.")
@click.option("--json", "as_json", is_flag=True, help="Print the summary as JSON.")
def survey(
    file: Path,
    output: Path,
    catalogs: tuple[str, ...],
    sheet: str | None,
    workers: int | None,
    no_progress: bool,
    as_json: bool,
) -> None:
    """Identify every sample in FILE (.csv or .xlsx, one row each) and write the answers in the same order.

    Stopped in the middle, the same command goes on where it was.
    """
    begun = time.monotonic()
    _check_catalogs(output, catalogs)
    try:
        with _progress(shown=sys.stderr.isatty() and not no_progress) as progress:
            found = run_survey(
                file, output, with_user_catalogs(catalogs), sheet=sheet, workers=workers, progress=progress
            )
    except KeyboardInterrupt:
        click.echo("chaincase: what is done is kept; the same command goes on from there", err=True)
        raise
    for notice in found.notices:
        click.echo(f"chaincase: {notice}", err=True)
    if as_json:
        click.echo(json.dumps(_for_machines(found), ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(_in_words(found, output, time.monotonic() - begun)))


def _check_catalogs(output: Path, catalogs: tuple[str, ...]) -> None:
    """Refuse to write the answers over a catalog."""
    if any(output.resolve() == Path(named).resolve() for named in catalogs):
        raise BadInput("the output is a catalog", where=str(output), right="name another file for the answers")


@contextmanager
def _progress(*, shown: bool) -> Iterator[Progress | None]:
    """Give what shows a bar on standard error, once the work has taken a while."""
    if not shown:
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeRemainingColumn
    from rich.progress import Progress as Bar

    columns = (TextColumn("samples"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    bar = Bar(*columns, console=Console(stderr=True), transient=True)
    task, begun = bar.add_task("samples"), time.monotonic()

    def progress(done: int, total: int) -> None:
        bar.update(task, completed=done, total=total)
        if not bar.live.is_started and time.monotonic() - begun > _PATIENCE:
            bar.start()

    try:
        yield progress
    finally:
        bar.stop()


def _for_machines(found: Survey) -> dict[str, Any]:
    return {
        "schema": "chaincase/survey-summary-1",
        "samples": found.samples,
        "kept": found.kept,
        "groups": [
            {**dict(zip(found.machine_columns, group.machine, strict=True)), **_without_machine(group)}
            for group in found.groups
        ],
        "notices": found.notices,
    }


def _without_machine(group: Group) -> dict[str, Any]:
    return {name: value for name, value in asdict(group).items() if name != "machine"}


def _in_words(found: Survey, output: Path, seconds: float) -> Iterator[str]:
    read = [group for group in found.groups if group.designation]
    unread = found.samples - sum(group.count for group in read)
    counts = {
        "not settled": sum(group.unsettled for group in read),
        "likelier unlisted (in none of the tables)": sum(group.unlisted for group in read),
        "not read": unread,
    }
    kept = f", {found.kept} of them kept from the run that was stopped" if found.kept else ""
    yield f"{found.samples} samples in {seconds:.1f} s{kept}; answers in {output}"
    yield "; ".join(f"{count} {what}" for what, count in counts.items())
    yield ""
    machines = [(machine, list(groups)) for machine, groups in groupby(found.groups, key=lambda group: group.machine)]
    for machine, groups in machines[:_MOST_MACHINES]:
        named = [f"{column} {name}" for column, name in zip(found.machine_columns, machine, strict=True) if name]
        if machine:
            yield f"{', '.join(named) or 'no machine named'}:"
        yield from (f"{'  ' if machine else ''}{_line(group)}" for group in groups[:_MOST_CHAINS])
        if len(groups) > _MOST_CHAINS:
            yield f"  and {len(groups) - _MOST_CHAINS} more chains"
    if len(machines) > _MOST_MACHINES:
        yield f"and {len(machines) - _MOST_MACHINES} more machines"


def _line(group: Group) -> str:
    if group.mean_probability is None:
        return f"{group.count} not read"
    notes = [f"on average {odds(group.mean_probability)}"]
    notes += [f"{group.unsettled} not settled"] if group.unsettled else []
    notes += [f"{group.unlisted} likelier unlisted"] if group.unlisted else []
    return f"{group.count} {group.designation}: {', '.join(notes)}"
