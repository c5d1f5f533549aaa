"""`chaincase units VALUE`: how a value is read, in both systems."""

import json

import click

from chaincase.units import explain


@click.command(context_settings={"ignore_unknown_options": True})
@click.argument("value", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def units(value: tuple[str, ...], as_json: bool) -> None:
    """Show how VALUE is read and what it is in both systems: a length, force, mass or speed."""
    found = explain(" ".join(value))
    if as_json:
        click.echo(json.dumps(found, ensure_ascii=False, indent=2))
        return
    for reading in found["readings"]:
        click.echo(_line(reading))


def _line(reading: dict[str, str]) -> str:
    unit = reading.get("if_no_unit_means")
    condition = f" if the unit left out is {unit}" if unit else ""
    return f"{reading['measure']}{condition}: {reading['read_as']} = {reading['shown']}"
