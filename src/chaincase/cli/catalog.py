"""`chaincase catalog ...`: look into the tables, check them, bring in a print of one's own."""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import click

from chaincase.catalog.attachments import ATTACHMENT_TABLES
from chaincase.catalog.check import check as check_table
from chaincase.catalog.describe import FROM_MEMORY, describe, remembered
from chaincase.catalog.findings import Finding, Severity
from chaincase.catalog.importing import NoKey, import_catalog
from chaincase.catalog.packaged import TABLES, load_table
from chaincase.catalog.proposing import propose_key
from chaincase.catalog.stored import catalog_folder, load_stored, open_catalog, store_catalog, stored_names
from chaincase.catalog.table import Catalog, Limit, Trust, concatenate
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput
from chaincase.units import show_length

_LIMIT_WORDS = {Limit.NOMINAL: "nominal", Limit.MAXIMUM: "maximum", Limit.MINIMUM: "minimum"}
_TRUST_WORDS = {
    Trust.TWO_SOURCES: "two sources",
    Trust.ONE_SOURCE: "one source",
    Trust.MEMORY: "from memory",
    Trust.USER: "your table",
    Trust.NONE: "",
}
_JSON = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


@click.group()
def catalog() -> None:
    """Look into the tables, check them, or bring in a maker's print."""


@catalog.command("list")
@click.argument("table", required=False)
@_JSON
def list_(table: str | None, as_json: bool) -> None:
    """List the tables, or the chains of one TABLE (packaged, stored, or a file with its key)."""
    found = _tables() if table is None else _chains(table)
    if as_json:
        _print_json(found)
        return
    for row in found:
        click.echo("  ".join(str(value) for value in row.values() if value != ""))


def _tables() -> list[dict[str, Any]]:
    packaged = [(name, load_table(name)) for name in TABLES]
    stored = [(name, load_stored(catalog_folder(), name)) for name in stored_names(catalog_folder())]
    return [
        {"table": name, "chains": len(each), "title": each.sources[0].title, "standard": each.sources[0].standard}
        for name, each in [*packaged, *stored]
    ]


def _chains(table: str) -> list[dict[str, Any]]:
    each = _open(table)
    return [
        {"designation": name, "kind": KINDS[each.kind[i]].label, "also": ", ".join(each.alternatives[i][:6])}
        for i, name in enumerate(each.designations)
    ]


def _open(table: str) -> Catalog:
    return load_table(table) if table in TABLES else open_catalog(table)


@catalog.command()
@click.argument("designation")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to look into too.")
@_JSON
def show(designation: str, catalogs: tuple[str, ...], as_json: bool) -> None:
    """Show the figures of a chain, what each says and how well it is known."""
    every = concatenate([Catalog.standard(), *(open_catalog(name) for name in catalogs)])
    row = every.row(designation)
    if as_json:
        _print_json(_as_data(every, row))
        return
    source = every.sources[every.source[row]]
    click.secho(f"{every.designations[row]}, {KINDS[every.kind[row]].label}", bold=True)
    if every.alternatives[row]:
        click.echo(f"also {', '.join(every.alternatives[row])}")
    click.echo(f"table {source.name}: {every.standards[row] or source.standard}")
    for figure in describe(every, row):
        dimension = figure.dimension
        size, limit = show_length(figure.value), _LIMIT_WORDS[figure.limit]
        click.echo(f"  {dimension.letter}  {dimension.label:<28} {size:<26} {limit:<9} {_TRUST_WORDS[figure.trust]}")
    if every.notes[row]:
        click.echo(f"note: {every.notes[row]}")
    if remembered(every, row):
        click.echo(FROM_MEMORY)


def _as_data(every: Catalog, row: int) -> dict[str, Any]:
    return {
        "designation": every.designations[row],
        "also": list(every.alternatives[row]),
        "kind": KINDS[every.kind[row]].name,
        "table": every.table_of(row),
        "standard": every.standards[row] or every.sources[every.source[row]].standard,
        "strands": int(every.strands[row]),
        "dimensions": {
            figure.dimension.name: {
                "mm": figure.value,
                "letter": figure.dimension.letter,
                "limit": _LIMIT_WORDS[figure.limit],
                "trust": _TRUST_WORDS[figure.trust],
            }
            for figure in describe(every, row)
        },
        "note": every.notes[row],
    }


@catalog.command()
@click.argument("tables", nargs=-1)
@_JSON
def check(tables: tuple[str, ...], as_json: bool) -> None:
    """Check TABLES (all packaged ones without): can the figures be true, and is it said where they come from."""
    named = tables or (*TABLES, *ATTACHMENT_TABLES)
    findings = [finding for name in named for finding in _check(name)]
    errors = [finding for finding in findings if finding.severity is Severity.ERROR]
    if as_json:
        _print_json([_finding(each) for each in findings])
    else:
        for each in findings:
            click.echo(str(each))
        click.echo(f"{len(named)} tables: {len(errors)} errors, {len(findings) - len(errors)} doubts")
    if errors:
        raise BadInput(f"{len(errors)} errors in the tables", right="mend the figures named above")


def _check(name: str) -> list[Finding]:
    packaged = name in TABLES or name in ATTACHMENT_TABLES
    return check_table(name if packaged else open_catalog(name))


def _finding(each: Finding) -> dict[str, str]:
    return {
        "severity": each.severity.value,
        "table": each.table,
        "row": each.row,
        "column": each.column,
        "message": each.message,
    }


@catalog.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--key", type=click.Path(path_type=Path), help="Which column is which dimension (TOML); else FILE.toml.")
@click.option("--name", help="Name to store it under; else that of the file.")
@click.option("--replace", is_flag=True, help="Replace a stored catalog of that name.")
def import_(file: Path, key: Path | None, name: str | None, replace: bool) -> None:
    """Bring in a table of your own (CSV or XLSX) with its key. Without a key, one is proposed."""
    named = name or file.stem
    try:
        table, report = import_catalog(file, key, name=named)
    except NoKey as missing:
        click.echo(propose_key(missing.sheet), nl=False)
        click.echo("", err=True)
        raise BadInput(
            "has no key; the proposal above is not stored",
            where=str(file),
            right=f"save it as {file.name}.toml beside the table, fill in each ?, and import again",
        ) from None
    stored = store_catalog(table, catalog_folder(), named, replace=replace)
    click.echo(str(report))
    click.echo(f"Stored as {named!r} ({stored}). Use it with: chaincase identify FILE --catalog {named!r}")


def _print_json(data: Iterable[Any] | dict[str, Any]) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=2))
