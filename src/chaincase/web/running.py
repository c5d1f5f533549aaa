"""A server that runs: what it needs opened, and the loop that answers."""

import socket
from importlib.util import find_spec
from pathlib import Path

import uvicorn

from chaincase.catalog.stored import load_stored, stored_names
from chaincase.catalog.table import Catalog, concatenate
from chaincase.errors import BadInput
from chaincase.register import Register, open_register
from chaincase.register.decoding import Apart
from chaincase.register.jobs import Announce
from chaincase.register.summaries import Summarize
from chaincase.web.app import create_app
from chaincase.web.patience import Patient
from chaincase.web.server import Kept, Server
from chaincase.web.service import summarizer
from chaincase.web.settings import Settings


def server_for(settings: Settings) -> Server:
    """Open the register and the tables of a data folder.

    Raises
    ------
    BadInput
        If the database cannot be used, or a stored table is broken.
    """
    catalog, kept = catalog_of(settings.data / "catalogs"), Kept()
    register = register_for(settings.data, settings.url, settings.files, summarizer(catalog, kept))
    if settings.url:
        register.jobs.announce = queue_of(register)
    return Server(settings, register, catalog, kept)


def register_for(data: Path, url: str, files: str, summarize: Summarize) -> Register:
    """Open the register of a data folder, or one on PostgreSQL; its files are in that folder, if not elsewhere."""
    return open_register(url or data, files=files or str(data / "files"), summarize=summarize, take_in=Apart())


def queue_of(register: Register) -> Announce:
    """Give what puts jobs into the queue of a database; its tables are made if there are none.

    Raises
    ------
    BadInput
        If its libraries are not installed.
    """
    if find_spec("procrastinate") is None:
        what = "PostgreSQL needs libraries that are not installed"
        raise BadInput(what, where="--url", right="install chaincase[company]")
    from chaincase.register.tasks import announcer, prepare  # as above

    prepare(register)
    return announcer(register)


def catalog_of(folder: Path) -> Catalog:
    """Give the packaged tables, and those that were imported into a folder."""
    standard = Catalog.standard()
    own = [load_stored(folder, name) for name in stored_names(folder)] if folder.is_dir() else []
    return concatenate([standard, *own]) if own else standard


def ready(server: Server, *, certificate: Path | None = None, key: Path | None = None) -> uvicorn.Server:
    """Give a server that can answer at once.

    Raises
    ------
    BadInput
        If the certificate cannot be used.
    """
    config = uvicorn.Config(
        create_app(server),
        http=Patient,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=not server.settings.local,
        timeout_keep_alive=15,
        timeout_graceful_shutdown=5,
        h11_max_incomplete_event_size=32 * 1024,
        ssl_certfile=certificate,
        ssl_keyfile=key,
    )
    try:
        config.load()
    except OSError as fault:
        what = f"the certificate cannot be used: {fault}"
        raise BadInput(what, where="--certificate", right="give PEM files") from None
    return uvicorn.Server(config)


def run(answering: uvicorn.Server, listening: socket.socket) -> None:
    """Answer until somebody stops it."""
    answering.run(sockets=[listening])
