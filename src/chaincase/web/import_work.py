"""Bringing samples in as a job: one case for each, in chunks that may be done twice without harm."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from chaincase.errors import BadInput
from chaincase.register import Register
from chaincase.register.ids import uuid7
from chaincase.register.jobs import Job, Work, work_off
from chaincase.web.import_reading import Sample, Samples
from chaincase.web.server import Server

KIND: Final = "import"
CHUNK_SAMPLES: Final = 10
_UUID: Final = re.compile(r"[0-9a-f]{8}-(?:[0-9a-f]{4}-){3}[0-9a-f]{12}")


@dataclass(frozen=True, slots=True)
class Left:
    """A sample that did not become a case, and why."""

    row: int
    sample: str
    why: str


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an import is.

    Attributes
    ----------
    job : Job
        Its chunks.
    made : tuple of str
        Cases made so far.
    left : tuple of Left
        Samples left out.
    faults : tuple of str
        Why whole chunks failed.
    """

    job: Job
    made: tuple[str, ...]
    left: tuple[Left, ...]
    faults: tuple[str, ...]

    @property
    def share(self) -> int:
        """Percent of the chunks that are done."""
        return 100 * (self.job.done + self.job.failed) // max(self.job.chunks, 1)


def put_down(server: Server, found: Samples, *, by: str, customer: str, job: str) -> Job:
    """Put an import down; what is at fault goes along, so that the report names it. The same `job` starts nothing.

    Raises
    ------
    BadInput
        If no sample of it can become a case, or `job` is no UUID.
    Missing
        If there is no such customer.
    """
    if job and not _UUID.fullmatch(job):
        raise BadInput("this is no id of a job", where="job", right="choose the file again")
    if not found.good:
        raise BadInput("no sample can become a case", where=found.file, right="mend what is marked")
    filer = _Filer(server.register, customer)
    rows = [_row(each, filer) for each in found.samples]
    given = [{"by": by, "rows": rows[first : first + CHUNK_SAMPLES]} for first in range(0, len(rows), CHUNK_SAMPLES)]
    return server.register.jobs.start(KIND, given, by=by, id=job or None)


def make_cases(register: Register, given: Mapping[str, Any]) -> dict[str, Any]:
    """Do one chunk: a case for each of its samples; a second time it finds them made."""
    made: list[str] = []
    left: list[dict[str, Any]] = []
    for row in given["rows"]:
        why = row["why"]
        if not why:
            try:
                register.cases.create(
                    row["case"], by=given["by"], content=row["content"], filing=row["filing"], event=row["event"]
                )
                made.append(row["case"])
            except BadInput as fault:
                why = str(fault)
        if why:
            left.append({"row": row["row"], "sample": row["sample"], "why": why})
    return {"made": made, "left": left}


WORKS: Final[Mapping[str, Work]] = {KIND: make_cases}
"""What a worker can do with the jobs of the pages."""


def work(server: Server) -> None:
    """Do what waits, here; several may do so at once."""
    work_off(server.register, WORKS)


def progress(server: Server, job: str) -> Progress:
    """Give how far an import is.

    Raises
    ------
    Missing
        If there is no such job.
    """
    jobs = server.register.jobs
    made: list[str] = []
    left: list[Left] = []
    for _, result in jobs.results(job):
        made += result["made"]
        left += [Left(**each) for each in result["left"]]
    return Progress(jobs.of(job), tuple(made), tuple(left), tuple(fault for _, fault in jobs.faults(job)))


def latest(server: Server) -> tuple[Job, ...]:
    """Give the imports last put down."""
    return tuple(job for job in server.register.jobs.latest() if job.kind == KIND)


class _Filer:
    """Finds where in the plant tree a sample is filed, by the names of the customer's sites and machines."""

    def __init__(self, register: Register, customer: str) -> None:
        self.customer = register.customers.get(customer) if customer else None
        self._places = dict(self._named(register)) if customer else {}

    def filing(self, content: Mapping[str, Any]) -> dict[str, str]:
        """Give what the register files a case under."""
        if self.customer is None:
            return {}
        site, machine = (str(content.get(name, "")).casefold() for name in ("plant", "machine"))
        return {
            "customer": self.customer.id,
            **self._places.get((site, ""), {}),
            **self._places.get((site, machine), {}),
        }

    def _named(self, register: Register) -> Iterator[tuple[tuple[str, str], dict[str, str]]]:
        for site in (each for branch in register.plants.tree(self.customer.id) for each in branch.sites):  # type: ignore[union-attr]
            name = site.site.name.casefold()
            yield (name, ""), {"site": site.site.id}
            for each in site.machines:
                yield (name, each.machine.name.casefold()), {"machine": each.machine.id}


def _row(each: Sample, filer: _Filer) -> dict[str, Any]:
    content = dict(each.content)
    if filer.customer is not None and content:
        content.setdefault("customer", filer.customer.name)
    said = {"row": each.row, "sample": each.sample, "case": each.case, "why": "; ".join(each.faults)}
    return {**said, "event": uuid7(), "content": content, "filing": filer.filing(content)}
