"""A survey from file to file: check everything, work off what is not done, write the answers."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from chaincase import __version__
from chaincase.catalog.sheets import Sheet, read_sheet
from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.survey.chunks import CHUNK_ROWS, Chunk, Journal, Origin, chunks_of, digest_of_catalog, sample_rows
from chaincase.survey.columns import Layout, read_layout
from chaincase.survey.output import MOST_ROWS, form_of, write_answers
from chaincase.survey.pool import work_off
from chaincase.survey.samples import cell
from chaincase.survey.tally import Group

Progress = Callable[[int, int], None]
"""Told how many samples are done, of how many."""
_FEWEST_CHUNKS = 4
"""Fewer are done by this process sooner than by others that must start first."""
_NAMED = 5
"""So many samples are named in a notice; the rest is counted."""


@dataclass(frozen=True, slots=True)
class Survey:
    """What came of a survey.

    Attributes
    ----------
    samples : int
        Rows answered.
    kept : int
        Of these, rows that an earlier run had done that was stopped.
    machine_columns : tuple of str
        Columns that the groups' `machine` is made of.
    groups : tuple of Group
        The summary.
    notices : tuple of str
        What a person should know about the sheet and the run.
    """

    samples: int
    kept: int
    machine_columns: tuple[str, ...]
    groups: tuple[Group, ...]
    notices: tuple[str, ...]


def survey(
    source: str | Path,
    output: str | Path,
    catalog: Catalog,
    *,
    sheet: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> Survey:
    """Identify every sample of a sheet and write the answers in the same order.

    Parameters
    ----------
    source : str or Path
        The samples: .csv or .xlsx.
    output : str or Path
        The answers: .csv or .xlsx; replaced if it is there, once all are found.
    catalog : Catalog
        The chains that they may be.
    sheet : str, optional
        Name of the workbook's sheet; the first one otherwise.
    workers : int, optional
        Processes; by default one per core.
    progress : callable, optional
        Told how far it is.

    Returns
    -------
    Survey
        Summary and notices. A survey that was stopped goes on where it was if input, catalog and version are
        the same.

    Raises
    ------
    BadInput
        If the sheet or its columns cannot be used, or the output cannot be written; nothing is computed then.
        A bad row is no error: its answer says what is wrong with it.
    ChaincaseError
        If a worker process was killed; what is done is kept.
    """
    source, output = Path(source), Path(output)
    _check_output(source, output)
    table = read_sheet(source, sheet)
    layout = read_layout(table)
    origin, notices = _looked_through(table, layout, catalog)
    if origin.rows > MOST_ROWS and form_of(output) == "xlsx":
        what = f"{origin.rows} answers do not fit on a sheet of a workbook"
        raise BadInput(what, where=str(output), right="give a .csv file")
    with Journal(output, origin) as journal:
        kept = _work_off(table, layout, catalog, journal, origin, workers, progress)
        tally = write_answers(journal.answers(), output, [name for name, _ in layout.passed], journal.workroom())
        journal.remove()
        changed = f"{journal.anew} changed since the survey that was stopped; it was done anew"
    notices += (changed,) if journal.anew else ()
    return Survey(origin.rows, kept, tally.machine_columns, tally.groups(), notices)


def _work_off(
    table: Sheet,
    layout: Layout,
    catalog: Catalog,
    journal: Journal,
    origin: Origin,
    workers: int | None,
    progress: Progress | None,
) -> int:
    """Do the chunks that the journal lacks, and give how many rows it had."""
    kept_chunks = journal.done
    kept = sum(min(CHUNK_ROWS, origin.rows - index * CHUNK_ROWS) for index in kept_chunks)
    missing = origin.chunks - len(kept_chunks)
    done = kept
    if progress:
        progress(done, origin.rows)
    for index, answers in work_off(
        _open_chunks(table, layout, kept_chunks), layout, catalog, _processes(workers, missing)
    ):
        journal.add(index, answers)
        done += len(answers)
        if progress:
            progress(done, origin.rows)
    return kept


def _open_chunks(table: Sheet, layout: Layout, done: frozenset[int]) -> Iterator[Chunk]:
    return (chunk for chunk in chunks_of(sample_rows(table, layout.row)) if chunk.index not in done)


def _processes(workers: int | None, chunks: int) -> int:
    return 1 if chunks < _FEWEST_CHUNKS else min(workers or os.cpu_count() or 1, chunks)


def _check_output(source: Path, output: Path) -> None:
    """Refuse an output that cannot be, before anything is computed."""
    form_of(output)
    if output.is_dir():
        raise BadInput("this is a folder", where=str(output), right="name a file")
    if not output.parent.is_dir():
        raise BadInput(f"there is no folder {output.parent}", where=str(output), right="name a folder that exists")
    if output.resolve() == source.resolve() or (output.exists() and source.exists() and output.samefile(source)):
        raise BadInput("the output is the input", where=str(output), right="name another file for the answers")


def _looked_through(table: Sheet, layout: Layout, catalog: Catalog) -> tuple[Origin, tuple[str, ...]]:
    """Read the whole sheet once: its digest, its samples, and what is odd about their ids.

    Raises
    ------
    BadInput
        If it has no rows, or cannot be read to its end.
    """
    digest = sha256("\x1f".join((table.name, *layout.header)).encode())
    seen: dict[str, int] = {}
    nameless, twice, rows = [], [], 0
    for row, cells in sample_rows(table, layout.row):
        digest.update("\x1f".join((f"\x1e{row}", *cells)).encode())
        rows += 1
        sample = cell(cells, layout.sample)
        if not sample:
            nameless.append(f"row {row}")
        elif seen.setdefault(sample, row) != row:
            twice.append(f"{sample!r} in rows {seen[sample]} and {row}")
    if not rows:
        raise BadInput("there are no samples", where=table.place(), right="add a row for each sample below the header")
    notices = [
        *layout.notices,
        *_notice("samples without an id", nameless),
        *_notice("samples of the same id", twice),
    ]
    return Origin(digest.hexdigest(), digest_of_catalog(catalog), __version__, rows), tuple(notices)


def _notice(what: str, places: list[str]) -> list[str]:
    more = f" and {len(places) - _NAMED} more" if len(places) > _NAMED else ""
    return [f"{what}: {', '.join(places[:_NAMED])}{more}"] if places else []
