"""Writers that are killed, that are many, that find the disk full, that change the journal's file behind our back."""

import contextlib
import errno
import json
import os
import random
import signal
import sqlite3
import sys
import threading
import time
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path

import pytest
import sqlalchemy as sa

from chaincase.errors import BadInput
from chaincase.register import Register, files, open_register, schema
from chaincase.register.faults import Full, Overtaken, StoreFailed
from chaincase.register.ids import uuid7
from chaincase.register.store import DATABASE, in_words
from registers import Place, change, write_until_killed

KILLS = 20


@pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")
def test_killed_writers_lose_nothing_that_was_acknowledged(tmp_path: Path):
    place, kept = str(tmp_path / "register"), str(tmp_path / "files")
    with open_register(place, files=kept) as register:
        register.cases.create("HV-1", by="lead")
    acknowledged, stored = _kill_writers(place, kept)
    assert len(acknowledged) >= 2 * (KILLS - KILLS // 4)
    with contextlib.closing(sqlite3.connect(Path(place) / DATABASE)) as plain:
        assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert plain.execute("PRAGMA foreign_key_check").fetchall() == []
        plain.execute("INSERT INTO searchable_words (searchable_words, rank) VALUES ('integrity-check', 1)")
    with open_register(place, files=kept) as register:
        readings = {each["id"] for each in register.cases.open("HV-1").content["evidence"]["readings"]}
        assert acknowledged <= readings
        assert len(readings) % 2 == 0
        assert register.verify(deep=True).fault is None
        for name in stored:
            assert files.hash_of(register.files.get(name)) == name
    tomorrow = datetime.now(UTC) + timedelta(days=2)
    with open_register(place, files=kept, clock=lambda: tomorrow) as register:
        paper = register.documents.put("HV-1", "kept.pdf", b"%PDF-1.7", kind="dossier", by="lead")
        assert register.sweep() >= len(stored)
        assert list(register.files.names()) == [paper.sha256]
    assert not list(Path(kept).rglob("*.part"))


def _kill_writers(place: str, kept: str) -> tuple[set[str], set[str]]:
    """Kill writers at any moment, and give what they said was written."""
    chance, acknowledged, stored = random.Random(4), set[str](), set[str]()  # noqa: S311
    server = get_context("forkserver")
    server.set_forkserver_preload(["chaincase.register", "registers"])
    for number in range(KILLS):
        ours, theirs = server.Pipe(duplex=False)
        process = server.Process(target=write_until_killed, args=(place, kept, theirs))
        process.start()
        theirs.close()
        assert ours.recv() == ()
        if number % 4:  # the others are killed before they have written anything
            acknowledged |= set(ours.recv())
            time.sleep(chance.uniform(0.0, 0.1))
        process.kill()
        process.join()
        assert process.exitcode == -signal.SIGKILL
        with contextlib.suppress(EOFError):
            while True:
                said = ours.recv()
                acknowledged |= set(said) if isinstance(said, list) else set()
                stored |= {said} if isinstance(said, str) else set()
    return acknowledged, stored


def test_many_who_read_and_then_write_are_never_refused(place: Place):
    faults: list[BaseException] = []
    with place.open() as register:
        counter = register.customers.add(by="lead", name="0")
        register.cases.create("HV-1", by="lead")

        def work(number: int) -> None:
            try:
                for _ in range(12):
                    _count_up(register, counter.id)
                    register.cases.append("HV-1", [change("add", "evidence.readings", {"value": str(number)})], by="w")
            except BaseException as fault:  # noqa: BLE001 - told in the test's own thread
                faults.append(fault)

        threads = [threading.Thread(target=work, args=(number,)) for number in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert faults == []
        assert register.customers.get(counter.id).name == "96"
        assert len(register.cases.open("HV-1").content["evidence"]["readings"]) == 96
        assert register.verify(deep=True) == register.verify()
        assert register.verify().fault is None


def _count_up(register: Register, name: str) -> None:
    while True:
        seen = register.customers.get(name)
        try:
            register.customers.change(name, seen.version, by="w", name=str(int(seen.name) + 1))
        except Overtaken:
            continue
        return


def test_a_full_disk_leaves_all_that_was_there_and_heals(tmp_path: Path):
    with open_register(tmp_path / "register") as register:
        register.cases.create("HV-1", by="lead")
        _allow_pages(register, 60)
        with pytest.raises(Full):
            _write_on(register)
        written = register.verify().sound
        assert register.cases.open("HV-1").version == written
        assert written > 1
        with pytest.raises(Full):
            register.cases.append("HV-1", [change("set", "notes", "y" * 200_000)], by="lead")
        _allow_pages(register, 1_000_000)
        register.cases.append("HV-1", [change("set", "notes", "z" * 40_000)], by="lead")
        assert register.cases.open("HV-1").version == written + 1
        assert register.verify(deep=True).fault is None


def _write_on(register: Register) -> None:
    for _ in range(10_000):
        register.cases.append("HV-1", [change("set", "notes", "x" * 40_000)], by="lead")


def _allow_pages(register: Register, more: int) -> None:
    """Let the file grow by so many pages: SQLite then answers as it does on a full disk."""
    with register.store.engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one() + more
    sa.event.listen(
        register.store.engine, "checkout", lambda plain, *_: plain.execute(f"PRAGMA max_page_count = {pages}")
    )


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT, errno.EIO])
@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
def test_each_step_of_keeping_a_file_may_fail(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, code: int):
    kept = files.Folder(tmp_path / "files")

    def fail(*_args: object) -> None:
        raise OSError(code, os.strerror(code))

    with monkeypatch.context() as shim:
        if call == "fsync":
            shim.setattr(files.os, "fsync", fail)
        elif call == "replace":
            shim.setattr(Path, "replace", fail)
        else:
            shim.setattr(files.Folder, "_write", fail)
        with pytest.raises(Full if code in (errno.ENOSPC, errno.EDQUOT) else StoreFailed):
            kept.put(b"words")
        assert list(kept.names()) == []
    assert kept.get(kept.put(b"words")) == b"words"
    assert not list((tmp_path / "files").rglob("*.part"))


def test_faults_of_the_engines_are_told_apart():
    def fault(words: str) -> sa.exc.OperationalError:
        return sa.exc.OperationalError("INSERT", {}, Exception(words))

    assert isinstance(in_words(fault("database or disk is full")), Full)
    assert isinstance(in_words(fault('could not extend file "base/1": No space left on device')), Full)
    assert isinstance(in_words(fault("disk I/O error")), StoreFailed)


def test_the_journal_is_only_ever_added_to(register: Register):
    register.cases.create("HV-1", by="lead")
    event = schema.event
    for statement in (
        sa.update(event).values(by="somebody else"),
        sa.delete(event),
        sa.text("INSERT OR REPLACE INTO event SELECT * FROM event")
        if register.store.is_sqlite
        else sa.text("TRUNCATE event"),
    ):
        with (
            pytest.raises((StoreFailed, sa.exc.IntegrityError), match="only ever added to"),
            register.store.write() as db,
        ):
            db.execute(statement)
    assert register.verify().sound == 1


def test_every_byte_of_an_entry_is_sealed(tmp_path: Path):
    """Change single bytes of the entries in the file, behind SQLite's back: each is found, at its entry."""
    with open_register(tmp_path / "register") as register:
        register.cases.create("HV-1", by="lead")
        for title in ("Apron feeder", "Log haul", "Slat conveyor"):
            register.cases.append("HV-1", [change("set", "title", title, 9, client="phone")], by="lead")
        known = register.verify()
        with register.store.read() as db:
            rows = db.execute(sa.select(schema.event).order_by(schema.event.c.number)).mappings().all()
        with register.store.engine.connect() as db:
            db.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    path = tmp_path / "register" / DATABASE
    whole = path.read_bytes()
    chance = random.Random(3)  # noqa: S311
    for row in rows:
        start, end = _span(whole, row)
        for place in [*range(start - 20, start), *chance.sample(range(start, end), 40)]:
            path.write_bytes(whole[:place] + bytes([whole[place] ^ (1 << chance.randrange(8))]) + whole[place + 1 :])
            with open_register(tmp_path / "register") as register:
                verdict = register.verify()
            assert verdict.fault is not None, (row["number"], place - start)
    path.write_bytes(whole)
    with open_register(tmp_path / "register") as register:
        assert register.verify(known=(known.sound, known.hash)) == known


def _span(whole: bytes, row: sa.RowMapping) -> tuple[int, int]:
    """Give where the fields of an entry stand in the file; its index entries hold fewer of them in a row."""
    start = whole.index((row["id"] + row["entity"] + row["key"]).encode())
    return start, whole.index(row["hash"].encode(), start) + len(row["hash"])


def test_a_journal_that_was_sealed_anew_is_found_by_a_noted_hash(register: Register, place: Place):
    register.cases.create("HV-1", by="lead")
    noted = register.verify()
    with open_register(**_other(place)) as forged:
        forged.cases.create("HV-1", by="somebody else")
        assert forged.verify().fault is None
        assert "not the one that was known" in str(forged.verify(known=(noted.sound, noted.hash)).fault)
        assert "missing" in str(forged.verify(known=(noted.sound + 1, noted.hash)).fault)


def _other(place: Place) -> dict[str, str]:
    return {"place": f"{place.files}-other", "files": place.files}


def test_a_case_that_is_not_what_its_events_say_is_found(register: Register):
    register.cases.create("HV-1", by="lead")
    with register.store.write() as db:
        db.execute(sa.update(schema.cases).values(content=json.dumps({"title": "forged"})))
    assert register.verify().fault is None
    assert register.verify(deep=True).fault == "case HV-1 is not what its events say"


def test_opening_and_closing_leaks_nothing(place: Place):
    def handles() -> int:
        return len(list(Path("/proc/self/fd").iterdir()))

    with place.open() as register:
        register.cases.create("HV-1", by="lead")
    before = handles()
    for _ in range(12):
        with place.open() as register:
            register.cases.open("HV-1")
            register.cases.append("HV-1", [{**change("set", "title", "A"), "id": uuid7()}], by="lead")
    assert handles() <= before + 2


def test_what_is_no_register_is_refused(tmp_path: Path):
    (tmp_path / "file").write_text("words")
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / DATABASE).write_bytes(b"this is no database at all, but long enough to be read as one" * 40)
    for place in (tmp_path / "file", "mysql://host/name", "postgresql:///none?host=/nowhere", "://"):
        with pytest.raises((BadInput, StoreFailed)):
            open_register(place, files=None if isinstance(place, Path) else tmp_path / "files")
    with pytest.raises(StoreFailed):
        open_register(tmp_path / "broken")
    with pytest.raises(BadInput, match="no place for photographs"):
        open_register("postgresql://chaincase@/none")
