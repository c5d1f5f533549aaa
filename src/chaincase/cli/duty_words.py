"""The answer to a question about a duty, in words that can be read aloud, and what its commands share."""

import json
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import TypeVar

import click

from chaincase.catalog.sheets import read_text
from chaincase.documents.amounts import shown as _shown
from chaincase.duty.result import Amount, Result, Table, Value
from chaincase.forms import Part

Form = TypeVar("Form", bound=Part)

_WIDTH = 100


def form_from(kind: type[Form], file: Path | None, given: dict[str, object]) -> Form:
    """Read a form from a file, or make it of options; what an option says goes before the file.

    Raises
    ------
    BadInput
        If the file or an option is not what it should be.
    """
    said = {name: value for name, value in given.items() if value is not None and value is not False and value != ()}
    if file is None:
        return kind.of(said)
    if not said:
        return kind.parse(read_text(file), where=str(file))
    raise click.UsageError(f"give a file or options, not both: {', '.join(said)}")


def tell(result: Result, unread: list[str], *, as_json: bool) -> None:
    """Print an answer, as JSON or in words, with the keys of the file that meant nothing."""
    warnings = [f"{key} means nothing here and was not used" for key in unread]
    if as_json:
        answer = result.as_json()
        answer["warnings"] = [*answer["warnings"], *warnings]
        click.echo(json.dumps(answer, ensure_ascii=False, indent=2, allow_nan=False))
        return
    click.echo("\n".join([*words(result), *(_wrapped(f"Mind: {warning}.", "") for warning in warnings)]))


def words(result: Result) -> Iterator[str]:
    """Give an answer in words: values, tables, how they came about, what to mind."""
    yield result.title[:1].upper() + result.title[1:]
    yield ""
    for value in result.values:
        yield _wrapped(_line(value), "  ")
    for table in result.tables:
        yield from _table(table)
    yield from _list("How:", result.steps)
    yield from _list("Taken for granted:", result.assumptions)
    if result.warnings:
        yield ""
    for warning in result.warnings:
        yield _wrapped(f"Mind: {warning}.", "")
    yield from _list("Sources:", result.sources)


def _list(head: str, lines: tuple[str, ...]) -> Iterator[str]:
    if lines:
        yield ""
        yield head
    for line in lines:
        yield _wrapped(line, "  ")


def _line(value: Value) -> str:
    note = f" ({value.note})" if value.note else ""
    return f"{value.label}: {_shown(value.amount, value.unit)}{note}"


def _table(table: Table) -> Iterator[str]:
    if not table.rows:
        return
    yield ""
    yield f"{table.label[:1].upper()}{table.label[1:]}:"
    cells = [[column.replace("_", " ") for column in table.columns]]
    cells += [[("-" if entry is None else _cell(entry)) for entry in row] for row in table.rows]
    # The last column may hold long text; it stays unpadded.
    widths = [max(len(row[i]) for row in cells) for i in range(len(table.columns) - 1)]
    for row in cells:
        padded = [entry.ljust(width) for entry, width in zip(row, widths, strict=False)]
        yield "  " + "  ".join([*padded, row[-1]]).rstrip()


def _cell(entry: Amount) -> str:
    return _shown(entry) if isinstance(entry, bool | str | int) else f"{entry:.5g}"


def _wrapped(text: str, indent: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent=indent + "   ")
