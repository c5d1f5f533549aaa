"""`chaincase serve`: the pages, on this computer or for a company."""

import socket
import webbrowser
from pathlib import Path

import click

from chaincase.catalog.stored import data_folder
from chaincase.errors import BadInput, ChaincaseError

_PORT = 8765


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=_PORT, show_default=True, help="0 takes any free one.")
@click.option("--data", type=click.Path(path_type=Path, file_okay=False), help="Folder that keeps everything.")
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@click.option("--url", default="", metavar="DATABASE_URL", help="PostgreSQL instead of a file in the folder.")
@click.option("--accounts", is_flag=True, help="People sign in; needed to serve other computers.")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to bind; others need --accounts.")
@click.option("--address", default="", metavar="URL", help="How people get here, https://chains.example.com.")
@click.option("--certificate", type=click.Path(path_type=Path, dir_okay=False), help="Certificate for https (PEM).")
@click.option("--key", type=click.Path(path_type=Path, dir_okay=False), help="Its private key (PEM).")
@click.option("--files", default="", metavar="PLACE", help="Where photographs are: a folder, or a file store's URL.")
@click.option("--no-jobs", is_flag=True, help="Leave imports and surveys to `chaincase work`.")
def serve(
    port: int,
    data: Path | None,
    no_browser: bool,
    url: str,
    accounts: bool,
    host: str,
    address: str,
    certificate: Path | None,
    key: Path | None,
    files: str,
    no_jobs: bool,
) -> None:
    """Open the register, the bench and the phone page in a browser.

    Without --accounts only this computer can open them, and only by the address that is printed, token included.
    """
    from chaincase.web.running import ready, run, server_for
    from chaincase.web.settings import settings_for

    listening = _bound(host, port, accounts=accounts)
    with listening:
        settings = settings_for(
            data or data_folder() / "register",
            port=listening.getsockname()[1],
            host=host,
            url=url,
            accounts=accounts,
            address=address or ("" if certificate is None else f"https://{host}:{listening.getsockname()[1]}"),
            files=files,
            jobs=not no_jobs,
        )
        server = server_for(settings)
        answering = ready(server, certificate=certificate, key=key)
        opened = f"{settings.address}/?token={settings.token}" if settings.local else settings.address
        click.echo(_first_line(server, opened))
        if not no_browser and not webbrowser.open(opened):
            click.echo("No browser opened; type the address above.", err=True)
        run(answering, listening)


def _first_line(server: object, opened: str) -> str:
    """Give the address to open, or where the first administrator makes an account."""
    from chaincase.web.people import first_invitation
    from chaincase.web.server import Server

    if not isinstance(server, Server):
        raise TypeError(server)
    return (not server.settings.local and first_invitation(server)) or opened


def _bound(host: str, port: int, *, accounts: bool) -> socket.socket:
    """Give a bound socket, so that the address printed is the one that answers.

    Raises
    ------
    BadInput
        If others could reach it without accounts, or the port is taken.
    """
    from chaincase.web.settings import check_binding

    check_binding(host, accounts=accounts)
    try:
        family, kind, protocol, _, place = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    except OSError:
        raise BadInput(f"{host!r} is no address of this computer", where="--host", right="use 127.0.0.1") from None
    made = socket.socket(family, kind, protocol)
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        made.bind(place)
        made.listen(socket.SOMAXCONN)  # whoever opens the address at once waits, and is not refused
    except OSError as fault:
        made.close()
        raise _cannot_bind(host, port, fault) from None
    return made


def _cannot_bind(host: str, port: int, fault: OSError) -> ChaincaseError:
    import errno

    if fault.errno == errno.EADDRINUSE:
        right = "stop the other program, give another --port, or --port 0 for any free one"
        return BadInput(f"port {port} is in use", where="--port", right=right)
    if fault.errno == errno.EACCES:
        return BadInput(f"port {port} needs an administrator", where="--port", right="give one above 1023")
    return BadInput(f"{host} cannot be bound: {fault.strerror}", where="--host", right="use 127.0.0.1")
