"""Bringing the tables up to date: all steps in one transaction, so that a step that fails leaves the old register."""

from typing import Any, Final

import sqlalchemy as sa
from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from chaincase.errors import BadInput
from chaincase.register.faults import StoreFailed
from chaincase.register.store import Store, told

_LOCK: Final = 0x636861696E
"""Of PostgreSQL's advisory locks: several servers may start at once."""


def upgrade(store: Store, target: str = "head") -> None:
    """Make the tables, or bring them up to date.

    Raises
    ------
    BadInput
        If a newer chaincase made them.
    StoreFailed
        If a step does not work out; the register stays as it was.
    """
    config = _config()
    wanted = ScriptDirectory.from_config(config).get_current_head() if target == "head" else target
    with told():
        if revision_of(store) != wanted:
            _upgrade(store, config, target)


def revision_of(store: Store) -> str | None:
    """Give the step at which the tables are; None if there are none."""
    with store.engine.connect() as connection, connection.begin():
        return MigrationContext.configure(connection).get_current_revision()


def _upgrade(store: Store, config: Config, target: str) -> None:
    with store.engine.connect() as connection:
        _foreign_keys(store, connection, "OFF")  # a step may copy a table and drop the old one, which must not cascade
        try:
            with connection.execution_options(chaincase_writes=True).begin():
                _step(store, connection, config, target)
        finally:
            _foreign_keys(store, connection, "ON")


def _foreign_keys(store: Store, connection: sa.Connection, value: str) -> None:
    """Switch SQLite's foreign keys, which it only heeds outside of a transaction."""
    if store.is_sqlite:
        driver: Any = connection.connection.driver_connection
        driver.execute(f"PRAGMA foreign_keys = {value}")


def _step(store: Store, connection: sa.Connection, config: Config, target: str) -> None:
    if not store.is_sqlite:
        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    now = MigrationContext.configure(connection).get_current_revision()
    if now is not None and now not in known:
        raise BadInput("this register was made by a newer chaincase", right="update chaincase, then open it again")
    config.attributes["connection"] = connection
    command.upgrade(config, target)
    if store.is_sqlite and connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
        raise StoreFailed("after the update some entries refer to nothing; the register was left as it was")


def _config() -> Config:
    config = Config()
    config.set_main_option("script_location", "chaincase.register:migrations")
    config.set_main_option("path_separator", "os")
    return config
