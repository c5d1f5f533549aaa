"""`chaincase work`: do the bulk work of a register, beside the servers or on other computers."""

import json
import signal
from collections.abc import Mapping
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

import click

from chaincase.catalog.stored import data_folder

if TYPE_CHECKING:
    from chaincase.register import Register
    from chaincase.register.jobs import Work


@click.command()
@click.option("--url", default="", metavar="DATABASE_URL", help="A register on PostgreSQL.")
@click.option("--data", type=click.Path(path_type=Path, file_okay=False), help="Folder of `serve`, with its tables.")
@click.option("--files", default="", metavar="PLACE", help="Where photographs are, as for `serve`.")
@click.option("--once", is_flag=True, help="Do what waits, and end.")
@click.option("--json", "as_json", is_flag=True, help="With --once: print how much was done as JSON.")
def work(url: str, data: Path | None, files: str, once: bool, as_json: bool) -> None:
    """Do the imports and surveys that were put down in a register; run as many of these as there are cores.

    Each needs the same tables as the servers: the same folder, or a copy of its `catalogs`.
    """
    from chaincase.register.jobs import work_off
    from chaincase.web.running import catalog_of, register_for
    from chaincase.web.server import Kept
    from chaincase.web.service import summarizer
    from chaincase.web.working import works

    folder = data or data_folder() / "register"
    catalog = catalog_of(folder / "catalogs")
    with register_for(folder, url, files, summarizer(catalog, Kept())) as register:
        able = works(catalog)
        if not once:
            click.echo("Working. Ctrl+C ends it after the part at hand.")
            _keep_working(register, able, on_queue=bool(url))
            return
        done = work_off(register, able)
    click.echo(json.dumps({"parts": done}) if as_json else f"{done} {'part' if done == 1 else 'parts'} done.")


def _keep_working(register: "Register", able: "Mapping[str, Work]", *, on_queue: bool) -> None:
    """Work until somebody ends it; on PostgreSQL the queue says at once when there is something."""
    from chaincase.register.jobs import keep_working

    stopped = Event()
    if on_queue:
        from chaincase.web.running import queue_of

        register.jobs.announce = queue_of(register)
        from chaincase.register.tasks import work_on_queue

        work_on_queue(register, able)
        return
    for name in (signal.SIGINT, signal.SIGTERM):
        signal.signal(name, lambda *_: stopped.set())
    keep_working(register, able, stopped)
