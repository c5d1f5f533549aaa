"""`chaincase interchange DESIGNATION`: which listed chains run on the sprockets of a chain, and which only seem to."""

import json
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any, Final

import click

from chaincase.catalog.describe import FROM_MEMORY
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.kinds import KINDS
from chaincase.cli.identify import with_user_catalogs
from chaincase.identifying.interchange import Difference, Interchange, Verdict, runs_on_teeth
from chaincase.identifying.interchange import interchange as interchange_of

SCHEMA: Final = "chaincase/interchange-1"
_HEADINGS = {
    Verdict.DROP_IN: "Drop-in:",
    Verdict.LIMITED: "Fits with limits:",
    Verdict.NO: "Does not fit, though it may be taken for it:",
}
_NOT_COMPARED = (
    "Compared are the figures of the tables only. Attachments, material, hardness and finish are not; "
    "links of two chains are not to be mixed in one strand."
)
_WIDTH = 100


@click.command()
@click.argument("designation")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
def interchange(designation: str, as_json: bool, catalogs: tuple[str, ...]) -> None:
    """Say which other chains run on the sprockets of the chain DESIGNATION, and what differs."""
    every = with_user_catalogs(catalogs)
    row = every.row(designation)
    found = interchange_of(every, row)
    if as_json:
        click.echo(json.dumps(as_data(every, row, found), ensure_ascii=False, indent=2))
    else:
        click.echo("\n".join(in_words(every, row, found)))


def as_data(catalog: Catalog, row: int, found: Sequence[Interchange]) -> dict[str, Any]:
    """Give the answer in the form `chaincase/interchange-1`."""
    return {
        "schema": SCHEMA,
        "designation": catalog.designations[row],
        "table": catalog.table_of(row),
        "chains": [asdict(each) for each in found],
        "not_compared": _NOT_COMPARED,
    }


def in_words(catalog: Catalog, row: int, found: Sequence[Interchange]) -> Iterator[str]:
    """Give the answer in lines that can be read aloud."""
    name, kind = catalog.designations[row], KINDS[int(catalog.kind[row])].label
    if not runs_on_teeth(catalog, row):
        yield f"{name}, {kind}, runs on plain sheaves and not on sprockets; match pitch, lacing and pin instead."
        return
    yield f"On the sprockets of {name}, {kind}:"
    for verdict, heading in _HEADINGS.items():
        said = [each for each in found if each.verdict is verdict]
        if said or verdict is Verdict.DROP_IN:
            yield ""
            yield heading if said else f"{heading} none of the listed chains."
        for each in said:
            yield from _one(each)
    yield ""
    yield textwrap.fill(_NOT_COMPARED, _WIDTH)


def _one(each: Interchange) -> Iterator[str]:
    confirm = f" Mind: {each.trust}." if each.trust == FROM_MEMORY else ""
    yield _wrapped(f"{each.designation}: {each.why}.{confirm}", "  ")
    differs = [_short(difference) for difference in each.differs]
    if differs and each.verdict is not Verdict.NO:
        yield _wrapped(f"Differs in {', '.join(differs)}.", "     ")


def _short(difference: Difference) -> str:
    name = difference.dimension
    label, unit = ("tensile strength", "kN") if name == "tensile_kn" else (BY_NAME[name].label, "mm")
    if difference.new is None:
        return f"{label} (not given, {difference.old:g} {unit} on the old chain)"
    return f"{label} {difference.new:g} {unit} ({_before(difference, unit)})"


def _before(difference: Difference, unit: str) -> str:
    return "not given for the old chain" if difference.old is None else f"before {difference.old:g} {unit}"


def _wrapped(text: str, indent: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=indent, subsequent_indent="     ")
