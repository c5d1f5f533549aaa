"""Bringing a file in: choose it, see what it holds, confirm, watch it become cases."""

from typing import Annotated

from fastapi import File, Form, Request, UploadFile
from starlette.background import BackgroundTask
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput, BadInputs
from chaincase.register.ids import uuid7
from chaincase.web import import_work, service
from chaincase.web.access import Right
from chaincase.web.import_reading import FieldEvents, Samples, packed_events, packed_samples, read_upload
from chaincase.web.looks import page
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server

read = pages(Right.READ, prefix="/register/import/jobs")
measure = pages(Right.MEASURE, prefix="/register/import")
work = pages(Right.WORK, prefix="/register/import")

Text = Annotated[str, Form(max_length=2**20)]
Short = Annotated[str, Form(max_length=200)]
SHOWN = 200
"""Samples that a preview shows; all faults are shown besides."""


@measure.get("")
def choose(request: Request, here: Here) -> Response:
    """Show the form for a file, and the imports before."""
    return _choose(request, here)


@measure.post("")
def preview(
    request: Request, here: Here, file: Annotated[UploadFile, File()], prefix: Short = "", customer: Short = ""
) -> Response:
    """Show what a file holds; nothing is kept."""
    try:
        found = read_upload(file.filename or "", file.file.read(), here.register, prefix)
    except BadInput as fault:
        return _choose(request, here, fault)
    return _preview(request, here, found, prefix=prefix, customer=customer)


@work.post("/samples")
def make_cases(
    request: Request,
    here: Here,
    who: Who,
    name: Short,
    packed: Text,
    job: Short,
    prefix: Short = "",
    customer: Short = "",
) -> Response:
    """Let each sample become a case, as a job."""
    try:
        found = packed_samples(name, packed, here.register, prefix)
        import_work.put_down(here, found, by=who.name, customer=customer, job=job)
    except BadInput as fault:
        return _choose(request, here, fault)
    return RedirectResponse(f"/register/import/jobs/{job}", 303, background=BackgroundTask(import_work.work, here))


@measure.post("/events")
def add_events(request: Request, here: Here, who: Who, name: Short, packed: Text) -> Response:
    """Bring a phone's events into their case, each once, and show what became of them."""
    try:
        found = packed_events(name, packed, here.register)
    except BadInput as fault:
        return _choose(request, here, fault)
    done = service.append(here, who, found.case, found.events)
    rows = list(zip(found.events, done.results, strict=True))
    return page(request, "import_events.html", {"found": found, "rows": rows, "done": True})


@read.get("/{job}")
def watch(request: Request, here: Here, job: str) -> Response:
    """Show how far an import is, and what was left out."""
    return page(request, "import_job.html", {"progress": import_work.progress(here, job)})


@work.post("/jobs/{job}/go-on")
def go_on(here: Here, job: str) -> Response:
    """Take an import up again that was stopped."""
    import_work.progress(here, job)
    here.register.jobs.retry(job)
    return RedirectResponse(f"/register/import/jobs/{job}", 303, background=BackgroundTask(import_work.work, here))


def _choose(request: Request, here: Server, fault: BadInput | None = None) -> Response:
    faults = fault.faults if isinstance(fault, BadInputs) else (fault,) if fault else ()
    customers = [(row.id, row.name) for row in here.register.customers.find()]
    context = {"faults": faults, "jobs": import_work.latest(here), "customers": customers}
    return page(request, "import.html", context, status=422 if fault else 200)


def _preview(request: Request, here: Server, found: Samples | FieldEvents, *, prefix: str, customer: str) -> Response:
    if isinstance(found, FieldEvents):
        rows = [(each, None) for each in found.events]
        return page(request, "import_events.html", {"found": found, "rows": rows, "done": False})
    filed = here.register.customers.get(customer).name if customer else ""
    context = {"found": found, "shown": found.good[:SHOWN], "prefix": prefix, "customer": customer, "filed": filed}
    return page(request, "import_preview.html", {**context, "job": uuid7()})
