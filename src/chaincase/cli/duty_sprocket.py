"""`chaincase duty sprocket`: the figures of a sprocket for a chain, or the chain that a sprocket was cut for."""

from pathlib import Path

import click

from chaincase.cli.duty_words import form_from, tell
from chaincase.cli.identify import with_user_catalogs
from chaincase.duty.sprocket_form import SprocketForm

_READ = {
    "outside": "outside_diameter",
    "caliper": "caliper_diameter",
    "over_pins": "over_pins",
    "tooth_width": "tooth_width",
    "hub": "hub_diameter",
}


@click.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--pitch", metavar="LENGTH", help="Chain pitch, such as 1in or 25.4mm.")
@click.option("--chain", metavar="CHAIN", help="Take pitch, roller, width and height from the tables.")
@click.option("--teeth", type=int, metavar="N", help="Teeth cut.")
@click.option("--roller", metavar="LENGTH", help="Diameter of roller, bush or barrel.")
@click.option("--inner-width", metavar="LENGTH", help="Width between the inner plates.")
@click.option("--plate-height", metavar="LENGTH", help="Height of the inner plate.")
@click.option("--transverse-pitch", metavar="LENGTH", help="Distance between neighboring strands.")
@click.option("--rows", type=int, metavar="N", help="Rows of teeth.")
@click.option("--double-cut", is_flag=True, help="Every second tooth works, as for some double-pitch chain.")
@click.option("--family", type=click.Choice(["short pitch", "double pitch", "conveyor"]), help="Tooth form.")
@click.option("--pin", metavar="LENGTH", help="Diameter of the measuring pins.")
@click.option("--rpm", metavar="N", help="Speed of the wheel, for the polygon effect.")
@click.option("--outside", metavar="LENGTH", help="Read on a wheel that is there: over the tips.")
@click.option("--caliper", metavar="LENGTH", help="Across the bottoms of opposite gaps.")
@click.option("--over-pins", metavar="LENGTH", help="Over pins in opposite gaps; give --pin too.")
@click.option("--tooth-width", metavar="LENGTH", help="Through a tooth.")
@click.option("--hub", metavar="LENGTH", help="Hub diameter.")
@click.option("--instrument", default="", help="What the readings were taken with.")
@click.option("--mark", "marks", multiple=True, help="Number on the wheel; may be given several times.")
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def sprocket(file: Path | None, catalogs: tuple[str, ...], as_json: bool, instrument: str, **given: object) -> None:
    """Work out a sprocket for a pitch or a chain; with neither, tell from readings what it was cut for."""
    pin = given["pin"]
    readings = tuple(
        {"dimension": name, "value": value, "instrument": instrument, **({"pin": pin} if name == "over_pins" else {})}
        for option, name in _READ.items()
        if (value := given.pop(option)) is not None
    )
    if readings and (given["pitch"] or given["chain"]):
        raise click.UsageError("a pitch or a chain is given and readings too; give one of them")
    form = form_from(SprocketForm, file, {**given, "readings": readings})
    tell(form.answer(with_user_catalogs(catalogs)), form.unread(), as_json=as_json)
