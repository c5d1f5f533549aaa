"""Bulk work: every chunk once in its result, whoever is killed on the way."""

import asyncio
import time
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from pathlib import Path

import pytest

from chaincase.errors import BadInput, ChaincaseError
from chaincase.register import Register, open_register
from chaincase.register.faults import Missing
from chaincase.register.jobs import do, work_off, work_off_in_processes
from registers import Place, Server, doubled, work_until_killed


def refuse(register: Register, given: int) -> int:
    if given == 2:
        raise ChaincaseError("two cannot be done")
    return given


def test_a_job_is_done_in_chunks(register: Register):
    register.cases.create("HV-1", by="lead")
    job = register.jobs.start("double", range(5), by="lead")
    assert (job.chunks, job.waiting, job.ended) == (5, 5, False)
    assert register.jobs.start("double", range(9), by="lead", id=job.id) == job
    assert work_off(register, {"other": doubled}) == 0
    assert work_off(register, {"double": doubled}) == 5
    assert register.jobs.of(job.id).ended
    assert list(register.jobs.results(job.id)) == [(n, 2 * n) for n in range(5)]
    assert register.jobs.latest()[0].done == 5
    with pytest.raises(Missing):
        register.jobs.of("none")
    with pytest.raises(BadInput):
        register.jobs.start("double", [], by="lead")


def test_a_chunk_that_fails_on_purpose_fails_alone(register: Register):
    job = register.jobs.start("refuse", range(4), by="lead")
    work_off(register, {"refuse": refuse})
    now = register.jobs.of(job.id)
    assert (now.done, now.failed, now.ended) == (3, 1, True)
    assert register.jobs.faults(job.id) == ((2, "two cannot be done"),)
    assert register.jobs.retry(job.id).waiting == 1


def test_a_lease_that_ended_gives_the_chunk_to_another(place: Place):
    now = [datetime(2026, 3, 1, tzinfo=UTC)]
    with place.open(clock=lambda: now[0]) as register:
        register.cases.create("HV-1", by="lead")
        job = register.jobs.start("double", [21], by="lead")
        slow = register.jobs.take("slow", ["double"])
        assert slow is not None
        assert register.jobs.take("quick", ["double"]) is None
        now[0] += timedelta(minutes=2)
        quick = register.jobs.take("quick", ["double"])
        assert quick is not None
        assert quick.tries == 2
        assert do(register, quick, doubled)
        assert not do(register, slow, doubled)
        assert list(register.jobs.results(job.id)) == [(0, 42)]
        assert len(register.cases.open("HV-1").content["evidence"]["readings"]) == 1


def test_a_chunk_that_ends_its_workers_is_given_up(place: Place):
    now = [datetime(2026, 3, 1, tzinfo=UTC)]
    with place.open(clock=lambda: now[0]) as register:
        job = register.jobs.start("double", [1], by="lead")
        for _ in range(3):
            assert register.jobs.take("w", ["double"]) is not None
            now[0] += timedelta(minutes=2)
        assert register.jobs.take("w", ["double"]) is None
        assert register.jobs.faults(job.id) == ((0, "its worker was ended 3 times"),)


def test_killed_workers_leave_the_result_of_an_undisturbed_run(place: Place):
    with place.open() as register:
        register.cases.create("HV-1", by="lead")
        job = register.jobs.start("double", range(12), by="lead")
    server = get_context("forkserver")
    server.set_forkserver_preload(["chaincase.register", "registers"])
    for seconds in (0.1, 0.3, 0.2):
        process = server.Process(target=work_until_killed, args=(place.place, place.files))
        process.start()
        time.sleep(seconds)
        process.kill()
        process.join()
    with place.open() as register:
        for _ in range(100):
            work_off(register, {"double": doubled})
            if register.jobs.of(job.id).ended:
                break
            time.sleep(0.05)
        assert list(register.jobs.results(job.id)) == [(n, 2 * n) for n in range(12)]
        readings = register.cases.open("HV-1").content["evidence"]["readings"]
        assert sorted(int(each["value"]) for each in readings) == list(range(12))


def test_processes_share_a_job(place: Place):
    with place.open() as register:
        register.cases.create("HV-1", by="lead")
        job = register.jobs.start("double", range(8), by="lead")
        assert work_off_in_processes(place.place, place.files, {"double": doubled}, 2) == 8
        assert list(register.jobs.results(job.id)) == [(n, 2 * n) for n in range(8)]


def test_the_queue_of_the_database_does_the_same_chunks(postgres: Server, postgres_template: str, tmp_path: Path):
    from chaincase.register.tasks import QUEUE, app_for, put_down

    with open_register(postgres.database(postgres_template), files=tmp_path / "files") as register:
        register.cases.create("HV-1", by="lead")
        job = register.jobs.start("double", range(4), by="lead")

        async def work() -> None:
            app = app_for(register, {"double": doubled})
            async with app.open_async():
                await app.schema_manager.apply_schema_async()
                await put_down(app, job.id, job.chunks)
                await put_down(app, job.id, job.chunks)
                await app.run_worker_async(
                    queues=[QUEUE], wait=False, install_signal_handlers=False, listen_notify=False
                )

        asyncio.run(work())
        assert list(register.jobs.results(job.id)) == [(n, 2 * n) for n in range(4)]
        assert len(register.cases.open("HV-1").content["evidence"]["readings"]) == 4
