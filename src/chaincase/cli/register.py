"""`chaincase backup|restore|export|import`: the whole register to one file, and back; to and from either engine."""

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from chaincase.catalog.stored import data_folder
from chaincase.errors import BadInput

if TYPE_CHECKING:
    from chaincase.register import Register

F = TypeVar("F", bound=Callable[..., None])


def _where(command: F) -> F:
    """Let a command be told where the register is."""
    url = click.option("--url", help="A PostgreSQL register: postgresql://user@host/name.", metavar="URL")
    data = click.option("--data", metavar="FOLDER", help="Folder of the register; by default that of `serve`.")
    files = click.option("--files", metavar="PLACE", help="Where photographs are, if elsewhere: a folder, or a URL.")
    as_json = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
    return url(data(files(as_json(command))))


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@_where
def backup(file: Path, url: str | None, data: str | None, files: str | None, as_json: bool) -> None:
    """Write the whole register to FILE, also while others write to it. Keep FILE where only you can read it."""
    with _existing(url, data, files) as register:
        manifest = register.backup(file)
    _say(as_json, _written(asdict(manifest), file), f"Bring it back with: chaincase restore {file} --data NEWFOLDER")


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@_where
def export(file: Path, url: str | None, data: str | None, files: str | None, as_json: bool) -> None:
    """Write the whole register to FILE for others to read: JSON lines, photographs, no passwords."""
    with _existing(url, data, files) as register:
        manifest = register.export(file)
    _say(as_json, _written(asdict(manifest), file), "What is in it: docs/register.md")


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@_where
def restore(file: Path, url: str | None, data: str | None, files: str | None, as_json: bool) -> None:
    """Make a register from the backup FILE, in an empty place, and check it."""
    from chaincase.register import restore as restored

    place, kept = _place(url, data, files)
    brought = asdict(restored(file, place, files=kept))
    _say(as_json, brought, _brought_words(brought, place))


@click.command(name="import")
@click.argument("file", type=click.Path(path_type=Path))
@_where
def bring_in(file: Path, url: str | None, data: str | None, files: str | None, as_json: bool) -> None:
    """Bring the archive FILE into an empty register, or into an earlier state of the same one."""
    from chaincase.register import open_register

    place, kept = _place(url, data, files)
    with open_register(place, files=kept) as register:
        brought = asdict(register.bring_in(file))
    _say(as_json, brought, _brought_words(brought, place))


def _place(url: str | None, data: str | None, files: str | None) -> tuple[str, str | None]:
    """Give what `open_register` takes."""
    folder = Path(data) if data else data_folder() / "register"
    return (url, files or str(folder / "files")) if url else (str(folder), files)


@contextmanager
def _existing(url: str | None, data: str | None, files: str | None) -> Iterator["Register"]:
    """Open a register that is there: a backup of one that was misspelled would be empty."""
    from chaincase.register import open_register
    from chaincase.register.store import DATABASE

    place, kept = _place(url, data, files)
    if "://" not in place and not (Path(place) / DATABASE).is_file():
        raise BadInput("there is no register in this folder", where=place, right="name its folder with --data")
    with open_register(place, files=kept) as register:
        yield register


def _written(manifest: dict[str, Any], file: Path) -> dict[str, Any]:
    files = sum(name.startswith("files/") for name in manifest["members"])
    return {"file": str(file), "entries": manifest["entries"], "files": files, "hash": manifest["hash"]}


def _brought_words(brought: dict[str, Any], place: str) -> str:
    counts = f"{brought['cases']} cases, {brought['entries']} entries, {brought['files']} files"
    return f"Brought into {_shown(place)}: {counts}."


def _shown(place: str) -> str:
    """Give a place without its password."""
    head, at, tail = place.rpartition("@")
    return f"{head.split('://')[0]}://...@{tail}" if at and "://" in head else place


def _say(as_json: bool, data: dict[str, Any], words: str) -> None:
    if as_json:
        click.echo(json.dumps(data, indent=2))
        return
    if "hash" in data:
        click.echo(f"{data['file']}: {data['entries']} entries of the journal and {data['files']} files.")
        click.echo(f"Note this apart, it proves later that nothing was changed: {data['entries']} {data['hash']}")
    click.echo(words)
