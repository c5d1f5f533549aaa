"""`chaincase duty length`: how long the chain must be over two sprockets or over a path of wheels."""

from pathlib import Path

import click

from chaincase.cli.duty_words import form_from, tell
from chaincase.duty.length_form import LengthForm


@click.command()
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--pitch", metavar="LENGTH", help="Chain pitch, such as 19.05mm.")
@click.option("--teeth", multiple=True, type=float, metavar="N", help="Teeth; give it once for each sprocket.")
@click.option("--centers", metavar="LENGTH", help="Distance between the shafts.")
@click.option("--pitches", type=int, metavar="N", help="Pitches of a chain that is there.")
@click.option("--offset-link", is_flag=True, help="Allow one offset link, so an odd number.")
@click.option("--links-alike", is_flag=True, help="Every link alike (offset sidebar): any whole number.")
@click.option("--fixed-centers", is_flag=True, help="The shafts cannot come closer.")
@click.option("--slack", type=float, metavar="SHARE", help="Share by which the shafts are set closer, such as 0.003.")
@click.option("--elongation", type=float, metavar="SHARE", help="Wear at which the chain goes, 0.02 if not given.")
@click.option("--take-up", metavar="LENGTH", help="Travel that the shafts can still move apart.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def length(file: Path | None, as_json: bool, **given: object) -> None:
    """Work out pitches and centers; a path of several wheels is described in FILE (JSON)."""
    form = form_from(LengthForm, file, given)
    tell(form.answer(), form.unread(), as_json=as_json)
