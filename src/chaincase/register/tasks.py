"""The chunks of jobs as tasks of procrastinate, so that workers on any number of hosts share them.

What a chunk does, and that it is done once, is as in `jobs`; the queue only says who looks at it next.
"""

import asyncio
import os
from collections.abc import Mapping
from threading import Event
from typing import TYPE_CHECKING, Final

import sqlalchemy as sa
from procrastinate import App, PsycopgConnector, RetryStrategy, SyncPsycopgConnector
from procrastinate.schema import SchemaManager
from procrastinate.types import JSONValue

from chaincase.errors import ChaincaseError
from chaincase.register.ids import uuid7
from chaincase.register.jobs import LEASE_SECONDS, Announce, Work, do, keep_working, work_off

if TYPE_CHECKING:
    from chaincase.register.opening import Register

TASK = "chaincase.chunk"
QUEUE = "chunks"
_LOCK: Final = 0x636861696E
"""Of PostgreSQL's advisory locks: only one process at a time makes the tables of the queue."""


class Taken(ChaincaseError):
    """Another worker has the chunk; whether it was ended shows when its lease does."""


def app_for(register: "Register", works: Mapping[str, Work]) -> App:
    """Give the queue in the database of a register on PostgreSQL; `works` are the kinds of chunks done here."""
    app = App(connector=PsycopgConnector(conninfo=_address(register)))
    wait = round(LEASE_SECONDS) + 1

    @app.task(name=TASK, queue=QUEUE, retry=RetryStrategy(max_attempts=10, wait=wait, retry_exceptions={Taken}))
    def work_chunk(job: str, index: int) -> None:
        do_one(register, works, job, index)

    return app


def prepare(register: "Register") -> None:
    """Make the tables of the queue in the database of a register, if there are none."""
    with register.store.engine.begin() as connection:
        connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))
        if connection.scalar(sa.select(sa.func.to_regclass("procrastinate_jobs"))) is None:
            plain = connection.connection.driver_connection
            assert plain is not None  # noqa: S101 - it is open
            plain.execute(SchemaManager.get_schema())


def announcer(register: "Register") -> Announce:
    """Give what puts the chunks of a job into the queue, for `register.jobs.announce`."""

    def announce(job: str, chunks: int) -> None:
        app = App(connector=SyncPsycopgConnector(conninfo=_address(register), min_size=1, max_size=1))
        with app.open():
            app.configure_task(TASK, allow_unknown=True, queue=QUEUE).batch_defer(*_given(job, chunks))

    return announce


def do_one(register: "Register", works: Mapping[str, Work], job: str, index: int) -> None:
    """Do one chunk of a job, unless it is done.

    Raises
    ------
    Taken
        If another worker has it.
    """
    taken = register.jobs.take_this(f"{os.uname().nodename}-{os.getpid()}-{uuid7()[-12:]}", job, index)
    if taken is not None:
        do(register, taken, works[taken.kind])
    elif not register.jobs.of(job).ended and register.jobs.state_of(job, index) == "leased":
        raise Taken(f"chunk {index} of job {job} is being done elsewhere")


def work_on_queue(register: "Register", works: Mapping[str, Work], *, every: float = LEASE_SECONDS) -> None:
    """Do chunks as the queue gives them, until a signal ends it; chunks whose worker was killed are looked for [s]."""
    stopped = Event()

    async def run() -> None:
        app = app_for(register, works)
        looking = asyncio.create_task(asyncio.to_thread(_look, register, works, stopped, every))
        try:
            async with app.open_async():
                await app.run_worker_async(queues=[QUEUE], delete_jobs="successful", shutdown_graceful_timeout=30)
        finally:
            stopped.set()
            await looking

    asyncio.run(run())


def _look(register: "Register", works: Mapping[str, Work], stopped: Event, every: float) -> None:
    """Do what no queue tells of: chunks put down before there was one, and those whose lease ended."""
    work_off(register, works, stop=stopped.is_set)
    keep_working(register, works, stopped, every=every)


async def put_down(app: App, job: str, chunks: int) -> None:
    """Put the chunks of a job that was started into the queue."""
    await app.configure_task(TASK, queue=QUEUE).batch_defer_async(*_given(job, chunks))


def _given(job: str, chunks: int) -> list[dict[str, JSONValue]]:
    return [{"job": job, "index": index} for index in range(chunks)]


def _address(register: "Register") -> str:
    return register.store.engine.url.set(drivername="postgresql").render_as_string(hide_password=False)
