"""`chaincase identify FILE`: from an evidence file to candidates, reasons and the next reading."""

from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.catalog.stored import open_catalog
from chaincase.catalog.table import Catalog, concatenate
from chaincase.cli import words
from chaincase.identifying.evidence import Evidence
from chaincase.identifying.identification import identify as identify_chain


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
@click.option(
    "--catalog",
    "catalogs",
    multiple=True,
    metavar="FILE",
    help="A user catalog to search too: file or stored name.",
)
def identify(file: Path, as_json: bool, catalogs: tuple[str, ...]) -> None:
    """Identify the chain that the evidence in FILE (JSON) comes from."""
    evidence = Evidence.parse(read_text(file), where=str(file))
    answer = identify_chain(evidence, with_user_catalogs(catalogs))
    if as_json:
        click.echo(answer.model_dump_json(by_alias=True, indent=2))
    else:
        click.echo(words.identification(answer))


def with_user_catalogs(names: tuple[str, ...]) -> Catalog:
    """Give the packaged tables with user catalogs added."""
    standard = Catalog.standard()
    return concatenate([standard, *(open_catalog(name) for name in names)]) if names else standard
