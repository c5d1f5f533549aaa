"""`chaincase duty wear FILE`: how worn a chain is, what limits it, and when that is reached."""

from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.duty_words import tell
from chaincase.duty.wear_answer import wear as wear_of
from chaincase.duty.wear_form import WearForm


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def wear(file: Path, as_json: bool) -> None:
    """Tell from the dated readings in FILE (JSON) how worn a chain is and when its limit is reached."""
    form = WearForm.parse(read_text(file), where=str(file))
    tell(wear_of(form), form.unread(), as_json=as_json)
