"""Tables: what the steps make is what the code says, old registers come along whole, newer ones are left alone."""

import json
import shutil
import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

import chaincase.register.passes  # noqa: F401 - its tables belong to the schema
from chaincase.errors import BadInput
from chaincase.register import Register, migrating, open_register, schema
from chaincase.register.faults import StoreFailed
from chaincase.register.files import files_at
from chaincase.register.ids import uuid7
from chaincase.register.store import DATABASE, postgres_store, sqlite_store
from registers import ENGINES, Server, change

OLD = Path(__file__).parent / "data" / "register-0001.zip"
"""A register with something of everything as the first tables held it, and what it exported."""


def test_the_steps_make_what_the_code_says(register: Register):
    with register.store.read() as connection:
        found = MigrationContext.configure(connection, opts={"compare_server_default": not register.store.is_sqlite})
        differences = compare_metadata(found, schema.metadata)
    known = ("searchable_words", "vector")
    assert [each for each in differences if not any(name in repr(each) for name in known)] == []


def test_sqlite_is_opened_as_promised(tmp_path: Path):
    with open_register(tmp_path / "register") as register, register.store.read() as connection:
        promised = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
        assert {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar() for name in promised} == promised
    with open_register(tmp_path / "register") as register, register.store.engine.connect() as connection:
        assert connection.exec_driver_sql("PRAGMA foreign_keys").scalar() == 1
    assert (tmp_path / "register").stat().st_mode & 0o077 == 0


def test_opening_again_changes_nothing(register: Register):
    before = migrating.revision_of(register.store)
    migrating.upgrade(register.store)
    assert migrating.revision_of(register.store) == before == "0002"


def test_a_newer_register_is_left_alone(register: Register):
    put = sa.text("UPDATE alembic_version SET version_num = :revision")
    before = migrating.revision_of(register.store)
    with register.store.write() as connection:
        connection.execute(put, {"revision": "9999"})
    with pytest.raises(BadInput, match="newer chaincase"):
        migrating.upgrade(register.store)
    assert migrating.revision_of(register.store) == "9999"
    with register.store.write() as connection:
        connection.execute(put, {"revision": before})  # the database is used again


def exported(register: Register, path: Path) -> dict[str, bytes]:
    register.export(path)
    with zipfile.ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist() if name != "manifest.json"}


def test_a_register_of_the_first_tables_comes_along_whole(tmp_path: Path):
    with zipfile.ZipFile(OLD) as kept:
        kept.extract(DATABASE, tmp_path)
        before = json.loads(kept.read("exported.json"))
        for name in kept.namelist():
            if name.startswith("files/"):
                kept.extract(name, tmp_path)
    with open_register(tmp_path) as register:
        assert migrating.revision_of(register.store) != "0001"
        after = exported(register, tmp_path / "e.zip")
        assert {name: content.decode() for name, content in after.items() if name.endswith(".jsonl")} == before
        assert register.verify(deep=True).fault is None
        assert [hit.kind for hit in register.search("wr124")] == ["installed"]
        register.cases.append("HV-1", [change("set", "title", "after")], by="lead")


@pytest.mark.parametrize("engine", ENGINES)
def test_a_filled_register_goes_through_every_step(engine: str, tmp_path: Path, request: pytest.FixtureRequest):
    if engine == "sqlite":
        store = sqlite_store(tmp_path)
    else:
        server: Server = request.getfixturevalue("postgres")
        store = postgres_store(server.database())
    migrating.upgrade(store, "0001")
    with Register(store, files_at(tmp_path / "files")) as register:
        register.cases.create("HV-1", by="lead", content={"title": "old"})
        customer = register.customers.add(by="lead", name="Mill")
        before = exported(register, tmp_path / "1.zip")
        migrating.upgrade(store)
        assert exported(register, tmp_path / "2.zip") == before
        assert register.customers.change(customer.id, 1, by="lead", name="Mill 2").version == 2
        assert register.verify(deep=True).fault is None


def test_a_step_that_fails_leaves_the_old_register(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    store = sqlite_store(tmp_path)
    migrating.upgrade(store, "0001")
    with Register(store, files_at(tmp_path / "files")) as register:
        register.cases.create("HV-1", by="lead")
        with store.write() as connection:
            connection.execute(sa.text("CREATE TABLE invitations (x)"))  # so that a later table cannot be made
        with pytest.raises(StoreFailed):
            migrating.upgrade(store)
        assert migrating.revision_of(store) == "0001"
        assert register.cases.open("HV-1").version == 1
        with closing(sqlite3.connect(tmp_path / DATABASE)) as plain:
            names = {name for (name,) in plain.execute("SELECT name FROM sqlite_master")}
        assert "account_sessions" not in names


def make_old(target: Path, folder: Path) -> None:
    """Write the fixture: run once, when the tables of a revision are released (python -c, from this folder)."""
    from test_register_archive import fill_first

    store = sqlite_store(folder)
    migrating.upgrade(store, "0001")
    with Register(store, files_at(folder / "files")) as register:
        fill_first(register)
        said = exported(register, folder / "e.zip")
        with store.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as kept:
        kept.write(folder / DATABASE, DATABASE)
        kept.writestr("exported.json", json.dumps({n: c.decode() for n, c in said.items() if n.endswith(".jsonl")}))
        for path in (folder / "files").rglob("*"):
            if path.is_file():
                kept.write(path, path.relative_to(folder).as_posix())
    shutil.rmtree(folder)


def test_ids_made_in_one_process_sort_as_they_were_made():
    made = [uuid7() for _ in range(10_000)]
    assert made == sorted(set(made))
