"""The tables' pages: which there are, chains by name, one chain, two beside each other."""

from typing import Annotated, Final

from fastapi import Path, Query, Request
from starlette.responses import RedirectResponse, Response

from chaincase.errors import BadInput
from chaincase.web import chain_page, tables
from chaincase.web.access import Right
from chaincase.web.faults import Refused
from chaincase.web.looks import drawn, page
from chaincase.web.routing import Here, pages

read = pages(Right.READ, prefix="/tables")

MOST_FOUND: Final = 60
Name = Annotated[str, Path(max_length=200)]
Text = Annotated[str, Query(max_length=100)]


@read.get("")
def all_tables(request: Request, here: Here, text: Text = "") -> Response:
    """Show the tables, and the chains that a text finds."""
    found = chain_page.chains_like(here.catalog, text, MOST_FOUND + 1)
    context = {"text": text, "found": found[:MOST_FOUND], "more": len(found) > MOST_FOUND}
    return page(request, "tables.html", {**context, "tables": tables.tables(here.catalog)})


@read.get("/compare")
def compare(request: Request, here: Here, one: Text, other: Text = "") -> Response:
    """Show two chains beside each other; where the second is not one chain, the choice of it."""
    if not other.strip():
        return RedirectResponse(f"/tables/{chain_page.chain_page(here.catalog, one).key}", 303)
    try:
        both = chain_page.compared(here.catalog, one, other)
    except BadInput as fault:
        shown = chain_page.chain_page(here.catalog, one)
        return page(request, "chain.html", {"chain": shown, "drawn": drawn, "fault": fault, "other": other}, status=422)
    return page(request, "chains_compared.html", {"both": both, "drawn": drawn})


@read.get("/{table}")
def one_table(request: Request, here: Here, table: Name) -> Response:
    """Show the chains of a table."""
    source = next((each for each in here.catalog.sources if each.name == table), None)
    if source is None:
        raise Refused(404, f"There is no table {table[:60]!r}.", "Look in the list of tables.")
    chains = tables.chains(here.catalog, "", table, limit=5_000)
    return page(request, "table.html", {"source": source, "chains": chains})


@read.get("/{table}/{designation:path}")
def one_chain(request: Request, here: Here, table: Name, designation: Name) -> Response:
    """Show a chain."""
    try:
        shown = chain_page.chain_page(here.catalog, f"{table}/{designation}")
    except BadInput as fault:
        raise Refused(404, fault.what, fault.right) from None
    return page(request, "chain.html", {"chain": shown, "drawn": drawn, "fault": None, "other": ""})
