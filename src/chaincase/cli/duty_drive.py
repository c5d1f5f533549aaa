"""`chaincase duty drive FILE`: the rating a chain drive needs, and the chain that has it."""

from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.duty_words import tell
from chaincase.duty.drive_answer import drive as drive_of
from chaincase.duty.drive_form import DriveForm
from chaincase.errors import BadInput


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def drive(file: Path, as_json: bool) -> None:
    """Work out the chain drive in FILE (JSON); without a chain in it, sizes that carry the power are offered."""
    form = DriveForm.parse(read_text(file), where=str(file))
    try:
        answer = drive_of(form)
    except BadInput as fault:
        raise fault.within(str(file)) from None
    tell(answer, form.unread(), as_json=as_json)
