"""`chaincase duty pull FILE`: what a conveyor pulls, what it is made of, and what the chain must stand."""

from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.duty_words import tell
from chaincase.duty.conveyor_answer import pull as pull_of
from chaincase.duty.pull_form import PullForm
from chaincase.errors import BadInput


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def pull(file: Path, as_json: bool) -> None:
    """Work out the chain pull of the conveyor in FILE (JSON): runs in travel order from the head's slack side."""
    form = PullForm.parse(read_text(file), where=str(file))
    try:
        answer = pull_of(form)
    except BadInput as fault:
        raise fault.within(str(file)) from None
    tell(answer, form.unread(), as_json=as_json)
