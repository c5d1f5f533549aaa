"""The two engines: how each is opened, read and written, and what its faults mean.

SQLite: a log written ahead and synced at each commit, foreign keys on, and every write opens with BEGIN IMMEDIATE,
since a transaction that reads first and writes then is refused at once when another wrote in between, whatever the
timeout. PostgreSQL: every write takes the row `head` first. So on both engines one write follows the other, each sees
all before it, and the journal has no gaps.
"""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, OperationalError

from chaincase.errors import BadInput
from chaincase.register import schema
from chaincase.register.faults import Full, StoreFailed
from chaincase.register.ids import Clock, utc_now

DATABASE: Final = "register.sqlite3"
_BUSY_SECONDS: Final = 30.0
_WRITES: Final = "chaincase_writes"
_FULL = ("database or disk is full", "No space left on device", "could not extend file")


@dataclass(frozen=True, slots=True)
class Store:
    """An engine and the clock that dates its changes."""

    engine: sa.Engine
    clock: Clock = utc_now

    @property
    def is_sqlite(self) -> bool:
        """Whether this is SQLite."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def read(self) -> Iterator[sa.Connection]:
        """Open a transaction that sees one moment of the whole register.

        Raises
        ------
        StoreFailed
            If the store cannot be read.
        """
        options: dict[str, Any] = {} if self.is_sqlite else {"isolation_level": "REPEATABLE READ"}
        with told(), self.engine.connect() as connection, connection.execution_options(**options).begin():
            yield connection

    @contextmanager
    def write(self) -> Iterator[sa.Connection]:
        """Open a transaction that writes; it is alone, and all or nothing of it stays.

        Raises
        ------
        Full
            If no space is left.
        StoreFailed
            If the store cannot be written.
        """
        with told(), self.engine.connect() as plain:
            connection = plain.execution_options(**{_WRITES: True})
            with connection.begin():
                if not self.is_sqlite:
                    connection.execute(sa.select(schema.head.c.number).with_for_update())
                yield connection


def sqlite_store(folder: Path, clock: Clock = utc_now) -> Store:
    """Open, or make, the SQLite file of a folder."""
    engine = sa.create_engine(
        sa.URL.create("sqlite", database=str(folder / DATABASE)),
        connect_args={"timeout": _BUSY_SECONDS, "isolation_level": None},
        pool_size=20,
        max_overflow=40,
    )
    sa.event.listen(engine, "connect", _prepare)
    sa.event.listen(engine, "begin", _begin)
    return Store(engine, clock)


def postgres_store(url: str, clock: Clock = utc_now) -> Store:
    """Open a PostgreSQL database.

    Raises
    ------
    BadInput
        If the URL is none of PostgreSQL, or the driver is not installed.
    """
    try:
        found = sa.make_url(url)
    except sa.exc.ArgumentError:
        raise BadInput("this is no URL of a database", right="write postgresql://user@host/name") from None
    if found.get_backend_name() not in ("postgresql", "postgres"):
        raise BadInput(f"{found.get_backend_name()} is not supported", right="give a folder, or postgresql://...")
    try:
        engine = sa.create_engine(
            found.set(drivername="postgresql+psycopg"), pool_size=20, max_overflow=40, pool_pre_ping=True
        )
    except ImportError:
        raise BadInput("PostgreSQL needs its driver", right="install chaincase[company]") from None
    return Store(engine, clock)


def _prepare(connection: Any, _record: Any) -> None:
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        "trusted_schema = OFF",
        "cell_size_check = ON",
        "cache_size = -32000",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin(connection: sa.Connection) -> None:
    writes = connection.get_execution_options().get(_WRITES, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def told() -> Iterator[None]:
    """Say faults of the engine in our own words."""
    try:
        yield
    except sa.exc.IntegrityError:
        raise
    except DBAPIError as fault:
        raise in_words(fault) from fault
    except OSError as fault:
        if fault.errno in (errno.ENOSPC, errno.EDQUOT):
            raise Full("no space is left on the disk; nothing was written") from fault
        raise


def in_words(fault: DBAPIError) -> Full | StoreFailed:
    """Say what a fault of the engine means."""
    said = str(fault.orig)
    if isinstance(fault, OperationalError) and any(words in said for words in _FULL):
        return Full("no space is left on the disk; nothing was written")
    return StoreFailed(f"the register cannot be read or written: {said.splitlines()[0] if said else 'no reason given'}")
