"""`chaincase case ...`: one case in a file, from the first reading to the last open question."""

import json
from pathlib import Path

import click

from chaincase.case.answer import findings_json, gaps_json
from chaincase.case.editing import new_case
from chaincase.case.findings import find
from chaincase.chains.features import Level
from chaincase.cli import case_words
from chaincase.cli.case_add import add, drop
from chaincase.cli.case_file import read_case, write_case
from chaincase.cli.identify import with_user_catalogs
from chaincase.cli.terminal import printable
from chaincase.errors import BadInput

_JSON = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
_CATALOG = click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")


@click.group()
def case() -> None:
    """Keep one case in a file: add what is known, see what it comes to and what is still missing."""


case.add_command(add)
case.add_command(drop)


@case.command()
@click.argument("number", metavar="ID")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="File to write; ID.json if not given.")
@click.option("--title", default="", help="What it is about.")
@click.option("--customer", default="")
@click.option("--plant", default="")
@click.option("--machine", default="")
@click.option("--position", default="", help="Where on the machine.")
def new(number: str, output: Path | None, **more: str) -> None:
    """Begin the case ID in a new file."""
    made = new_case(number, **more)
    path = output or Path(f"{number}.json")
    if path.exists():
        raise BadInput("this file is there already", where=str(path), right="name another one, or add to it")
    write_case(made, path)
    click.echo(f'Case {number} is in {path}. Add to it with: chaincase case add {path} "pitch 4.06 in tape"')


@case.command()
@click.argument("file", type=click.Path(path_type=Path))
@_CATALOG
@_JSON
def show(file: Path, catalogs: tuple[str, ...], as_json: bool) -> None:
    """Show what the evidence of the case in FILE comes to."""
    opened = read_case(file)
    found = find(opened, with_user_catalogs(catalogs))
    if as_json:
        click.echo(json.dumps(findings_json(found), ensure_ascii=False, indent=2, allow_nan=False))
    else:
        click.echo(printable("\n".join(case_words.findings(opened, found))))


@case.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--level", type=click.Choice([str(each) for each in Level]), help="Only what is missing for this level.")
@_CATALOG
@_JSON
def gaps(file: Path, level: str | None, catalogs: tuple[str, ...], as_json: bool) -> None:
    """List what is missing before the case in FILE can be quoted or made, the gravest first."""
    found = find(read_case(file), with_user_catalogs(catalogs))
    listed = tuple(gap for gap in found.gaps if level is None or gap.level == level)
    if as_json:
        ready = {each: found.ready(each) for each in Level}
        answer = {"schema": "chaincase/gaps-1", "case": found.case, "ready": ready, "gaps": gaps_json(listed)}
        click.echo(json.dumps(answer, ensure_ascii=False, indent=2))
    else:
        click.echo(printable("\n".join(case_words.gap_list(found, listed))))
