"""A server that runs: what it needs opened, and the loop that answers."""

import socket
from pathlib import Path

import uvicorn

from chaincase.catalog.stored import load_stored, stored_names
from chaincase.catalog.table import Catalog, concatenate
from chaincase.errors import BadInput
from chaincase.register import open_register
from chaincase.web.app import create_app
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
    catalog = catalog_of(settings.data / "catalogs")
    place: str | Path = settings.url or settings.data
    files = str(settings.data / "files") if settings.url else None
    kept = Kept()
    return Server(settings, open_register(place, files=files, summarize=summarizer(catalog, kept)), catalog, kept)


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
