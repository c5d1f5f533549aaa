"""Opening a register: one folder on this computer, or PostgreSQL and a place for files."""

from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

import sqlalchemy as sa

from chaincase.decoding import taken_in
from chaincase.errors import BadInput
from chaincase.register import archive, checking, importing, journal, schema, searching
from chaincase.register.cases import Cases
from chaincase.register.files import Files, Folder, files_at
from chaincase.register.ids import Clock, utc_now
from chaincase.register.jobs import Jobs
from chaincase.register.migrating import upgrade
from chaincase.register.people import People, Person, View
from chaincase.register.photographs import Documents, Photographs, TakeIn
from chaincase.register.plants import Plants
from chaincase.register.records import Records
from chaincase.register.store import Store, postgres_store, sqlite_store
from chaincase.register.summaries import Summarize


class Register:
    """All that is kept; see docs/register.md for what each part does.

    Parameters
    ----------
    store : Store
        Engine and clock; its tables are up to date.
    files : Files
        Photographs and papers.
    summarize : callable or None
        Gives the findings of a case in short.
    take_in : callable
        Makes a photograph anew.
    """

    def __init__(
        self, store: Store, files: Files, summarize: Summarize | None = None, take_in: TakeIn = taken_in
    ) -> None:
        self.store = store
        self.files = files
        self.cases = Cases(store, summarize)
        self.plants = Plants(store)
        self.customers = self.plants.customers
        self.sites = self.plants.sites
        self.machines = self.plants.machines
        self.positions = self.plants.positions
        self.installed = self.plants.installed
        self.wear = self.plants.wear
        self.people = People(store, Person, schema.person, title="email")
        self.views = Records(store, View, schema.view, title="")
        self.photographs = Photographs(store, files, take_in)
        self.documents = Documents(store, files)
        self.jobs = Jobs(store)

    @property
    def records(self) -> tuple[Records, ...]:  # type: ignore[type-arg]  # rows of many kinds
        """All kinds of rows, those first to which others refer."""
        return (
            self.customers,
            self.sites,
            self.machines,
            self.positions,
            self.installed,
            self.wear,
            self.people,
            self.views,
            self.photographs,
            self.documents,
        )

    def search(self, text: str, *, kinds: Sequence[str] = (), limit: int = 50) -> tuple[searching.Hit, ...]:
        """Give everything that holds words beginning with those of a text, last changed first."""
        with self.store.read() as connection:
            return searching.hits(connection, text, kinds=kinds, limit=limit)

    def verify(self, *, known: tuple[int, str] | None = None, deep: bool = False) -> journal.Verdict:
        """Find the first entry of the journal that is not as it was written.

        Parameters
        ----------
        known : tuple of int and str
            Number and hash of an entry, from a backup or an earlier check: without it, whoever seals the whole journal
            anew is not found out.
        deep : bool
            Also hold each case against its events, and each file against its hash.
        """
        return checking.verify(self, known=known, deep=deep)

    def sweep(self) -> int:
        """Take away files that a kill left without an entry, a day later; give how many (in folders only)."""
        if not isinstance(self.files, Folder):
            return 0
        yesterday = self.store.clock().timestamp() - 86_400
        return self.files.sweep(yesterday, checking.files_known(self))

    def backup(self, path: str | Path) -> archive.Manifest:
        """Write everything, hashes of passwords included, to one file; others may go on writing."""
        return archive.write(self, Path(path), secrets=True)

    def export(self, path: str | Path) -> archive.Manifest:
        """Write everything but the ways to get in to one file that others can read."""
        return archive.write(self, Path(path), secrets=False)

    def bring_in(self, path: str | Path) -> importing.Brought:
        """Bring in an archive: into an empty register, or into an earlier state of the same one.

        Raises
        ------
        BadInput
            If it is damaged, or from another register; nothing is changed.
        """
        return importing.bring_in(self, Path(path))

    def close(self) -> None:
        """Give back what is open."""
        self.store.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_register(
    place: str | Path,
    *,
    files: str | Path | None = None,
    summarize: Summarize | None = None,
    clock: Clock = utc_now,
    take_in: TakeIn = taken_in,
) -> Register:
    """Open a register, and make it if there is none; its tables are brought up to date.

    Parameters
    ----------
    place : str or Path
        A folder, or the URL of a PostgreSQL database.
    files : str or Path or None
        A folder or a URL of fsspec for photographs and papers; by default `files` in the folder.
    summarize : callable or None
        Gives the findings of a case in short.
    take_in : callable
        Makes a photograph anew; `decoding.Apart()` does it in a process apart, as a server should.

    Raises
    ------
    BadInput
        If the place cannot be one, or a newer chaincase made it.
    """
    if isinstance(place, str) and "://" in place:
        if files is None:
            raise BadInput("there is no place for photographs", where="files", right="name a folder or a URL")
        store = postgres_store(place, clock)
    else:
        folder = _folder(Path(place))
        files = folder / "files" if files is None else files
        store = sqlite_store(folder, clock)
    try:
        upgrade(store)
    except BaseException:
        store.engine.dispose()
        raise
    return Register(store, files_at(files), summarize, take_in)


def restore(path: str | Path, place: str | Path, *, files: str | Path | None = None) -> importing.Brought:
    """Make a register from a backup, on either engine.

    Raises
    ------
    BadInput
        If there is a register with something in it already, or the backup is damaged.
    """
    with open_register(place, files=files) as register:
        with register.store.read() as connection:
            taken = connection.execute(sa.select(schema.head.c.number)).scalar_one() > 0
        if taken:
            raise BadInput("there is a register with something in it", where=str(place), right="name an empty place")
        return register.bring_in(path)


def _folder(folder: Path) -> Path:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError):
        raise BadInput("this is no folder", where=str(folder), right="name a folder for the register") from None
    return folder
