"""`chaincase duty verdict FILE`: does a candidate replacement fit, carry and last."""

from pathlib import Path

import click

from chaincase.catalog.sheets import read_text
from chaincase.cli.duty_words import tell
from chaincase.cli.identify import with_user_catalogs
from chaincase.duty.verdict import answer
from chaincase.duty.verdict_form import VerdictForm
from chaincase.errors import BadInput


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--catalog", "catalogs", multiple=True, metavar="FILE", help="A user catalog to search too.")
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def verdict(file: Path, catalogs: tuple[str, ...], as_json: bool) -> None:
    """Tell whether the candidate in FILE (JSON) fits the sprockets, carries the duty and lasts."""
    form = VerdictForm.parse(read_text(file), where=str(file))
    try:
        result = answer(form, with_user_catalogs(catalogs))
    except BadInput as fault:
        raise fault.within(str(file)) from None
    tell(result, form.unread(), as_json=as_json)
