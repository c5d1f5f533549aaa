"""The register's pages: the list of cases, views that one keeps of it, and a new case."""

from typing import Annotated

from fastapi import Form, Query, Request
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput
from chaincase.web import register_list, starting
from chaincase.web.access import Right
from chaincase.web.looks import page
from chaincase.web.routing import Here, Who, pages
from chaincase.web.server import Server
from chaincase.web.starting import Start

read = pages(Right.READ, prefix="/register")
own = pages(Right.SIGNED_IN, prefix="/register/views")
measure = pages(Right.MEASURE, prefix="/register/new")

Text = Annotated[str, Form(max_length=20_000)]
Short = Annotated[str, Query(max_length=200)]


@read.get("")
def cases(request: Request, here: Here, who: Who, after: Annotated[str, Query(max_length=40)] = "") -> Response:
    """Show the cases that a filter lets through, last changed first."""
    only = register_list.filter_of(dict(request.query_params))
    found = register_list.listed(here, only, after)
    views = register_list.kept_views(here, who, only)
    context = {"found": found, "only": only, "views": views, **register_list.choices(here, only)}
    return page(request, "register.html", context, status=422 if found.fault else 200)


@own.post("")
def keep_view(here: Here, who: Who, name: Text = "", filter: Text = "{}") -> Response:  # noqa: A002 - the field's name
    """Keep the list as it is filtered, under a name."""
    return RedirectResponse(register_list.address(register_list.keep_view(here, who, name, filter)), 303)


@own.post("/{view}/remove")
def drop_view(here: Here, who: Who, view: str, version: Annotated[int, Form()]) -> Response:
    """Drop a view of one's own."""
    register_list.drop_view(here, who, view, version)
    return RedirectResponse("/register", 303)


@measure.get("")
def new_case(request: Request, here: Here, machine: Short = "", position: Short = "", chain: Short = "") -> Response:
    """Show the form of a new case."""
    return _form(request, here, starting.proposed(here, machine=machine, position=position, chain=chain))


@measure.post("")
def begin_case(request: Request, here: Here, who: Who, start: Annotated[Start, Form()]) -> Response:
    """Begin a case and go to its bench."""
    try:
        begun = starting.begin(here, who, start)
    except BadInput as fault:
        return _form(request, here, start, fault)
    return RedirectResponse(f"/bench/{begun.case}", 303)


def _form(request: Request, here: Server, start: Start, fault: BadInput | None = None) -> Response:
    customers = sorted({row.name for row in here.register.customers.find()})
    context = {"start": start, "fault": fault, "customers": customers}
    return page(request, "case_new.html", context, status=422 if fault else 200)
