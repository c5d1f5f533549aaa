"""A survey as a job: a sheet of samples goes in, its rows are identified in chunks, the answers come out as a sheet."""

import tempfile
from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any, Final, Literal

from pydantic import TypeAdapter

from chaincase.catalog.table import Catalog
from chaincase.errors import BadInput
from chaincase.register import Register
from chaincase.register.jobs import Job, Work
from chaincase.register.photographs import shown_name
from chaincase.survey.answering import Answer
from chaincase.survey.answering import answers as answers_of
from chaincase.survey.chunks import chunks_of, sample_rows
from chaincase.survey.columns import Layout, read_layout
from chaincase.survey.output import write_answers
from chaincase.web.faults import Refused
from chaincase.web.import_reading import opened_table
from chaincase.web.papers import TYPES, Made
from chaincase.web.server import Server

KIND: Final = "survey"
MOST_SAMPLES: Final = 20_000
_LAYOUT: Final = TypeAdapter(Layout)
TYPES_OF_SHEETS: Final[Mapping[str, str]] = {"csv": "text/csv; charset=utf-8", "xlsx": TYPES["xlsx"]}


def put_down(server: Server, name: str, data: bytes, *, by: str, job: str = "") -> tuple[Job, tuple[str, ...]]:
    """Put a survey down, and give what a person should know of its columns; the same `job` starts nothing.

    Raises
    ------
    BadInput
        If the sheet or its columns cannot be used, or there are no samples in it, or too many.
    """
    called = shown_name(name) or "samples.csv"
    sheet = opened_table(called, data)
    layout = read_layout(sheet)
    rows = list(sample_rows(sheet, layout.row))
    if not rows:
        raise BadInput("there are no samples", where=called, right="add a row for each sample below the header")
    if len(rows) > MOST_SAMPLES:
        right = f"divide the table into files of at most {MOST_SAMPLES}, or use the command `chaincase survey`"
        raise BadInput(f"there are {len(rows)} samples", where=called, right=right)
    columns = _LAYOUT.dump_python(layout, mode="json")
    given = [{"file": called, "layout": columns, "rows": chunk.rows} for chunk in chunks_of(iter(rows))]
    return server.register.jobs.start(KIND, given, by=by, id=job or None), layout.notices


def works(catalog: Catalog) -> Mapping[str, Work]:
    """Give what a worker that has these tables can do."""
    return {KIND: partial(identify_rows, catalog)}


def identify_rows(catalog: Catalog, register: Register, given: Mapping[str, Any]) -> dict[str, Any]:  # noqa: ARG001
    """Do one chunk: an answer for each of its rows; what cannot be read is an answer, too."""
    layout = _LAYOUT.validate_python(given["layout"])
    found = answers_of([(row, cells) for row, cells in given["rows"]], layout, catalog)
    passed = [name for name, _ in layout.passed]
    return {"file": given["file"], "passed": passed, "answers": [each.cells() for each in found]}


def answers(server: Server, job: str, ending: Literal["csv", "xlsx"]) -> Made:
    """Give the answers of a survey as a file, in the order of its rows.

    Raises
    ------
    Missing
        If there is no such job.
    Refused
        409 while it is not done.
    """
    now = server.register.jobs.of(job)
    if now.kind != KIND:
        raise Refused(404, "This job is no survey.")
    if now.done < now.chunks:
        raise Refused(409, f"{now.done} of {now.chunks} parts are done.", _what_now(server, now))
    results = [result for _, result in server.register.jobs.results(job)]
    lines = (Answer.of_cells(cells) for result in results for cells in result["answers"])
    with tempfile.TemporaryDirectory(prefix="chaincase-") as folder:
        output = Path(folder) / f"answers.{ending}"
        write_answers(lines, output, results[0]["passed"], Path(folder))
        content = output.read_bytes()
    return Made(f"{Path(results[0]['file']).stem}-answers.{ending}", content, TYPES_OF_SHEETS[ending])


def _what_now(server: Server, job: Job) -> str:
    faults = server.register.jobs.faults(job.id)
    return f"Let the rest be tried again; {faults[0][1]}" if job.ended and faults else "Ask again in a while."
