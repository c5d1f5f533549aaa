"""The chunks of jobs as tasks of procrastinate, so that workers on any number of hosts share them.

What a chunk does, and that it is done once, is as in `jobs`; the queue only says who looks at it next.
"""

import os
from collections.abc import Mapping
from typing import TYPE_CHECKING

from procrastinate import App, PsycopgConnector, RetryStrategy
from procrastinate.types import JSONValue

from chaincase.errors import ChaincaseError
from chaincase.register.ids import uuid7
from chaincase.register.jobs import LEASE_SECONDS, Work, do

if TYPE_CHECKING:
    from chaincase.register.opening import Register

TASK = "chaincase.chunk"
QUEUE = "chunks"


class Taken(ChaincaseError):
    """Another worker has the chunk; whether it was ended shows when its lease does."""


def app_for(register: "Register", works: Mapping[str, Work]) -> App:
    """Give the queue in the database of a register on PostgreSQL; `works` are the kinds of chunks done here."""
    url = register.store.engine.url.set(drivername="postgresql").render_as_string(hide_password=False)
    app = App(connector=PsycopgConnector(conninfo=url))
    wait = round(LEASE_SECONDS) + 1

    @app.task(name=TASK, queue=QUEUE, retry=RetryStrategy(max_attempts=10, wait=wait, retry_exceptions={Taken}))
    def work_chunk(job: str, index: int) -> None:
        do_one(register, works, job, index)

    return app


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


async def put_down(app: App, job: str, chunks: int) -> None:
    """Put the chunks of a job that was started into the queue."""
    given: list[dict[str, JSONValue]] = [{"job": job, "index": index} for index in range(chunks)]
    await app.configure_task(TASK, queue=QUEUE).batch_defer_async(*given)
