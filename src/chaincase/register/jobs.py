"""Bulk work in chunks: each done once or more with the same result, taken up again after a kill.

A worker takes a chunk for a while (its lease). If it is killed, the lease ends and another takes the chunk; if it was
only slow, its result is not kept a second time. So a chunk must give the same whenever it is done, and what it writes
to the register must be idempotent, as events with ids made from the chunk are.
"""

import json
import logging
import os
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from datetime import timedelta
from multiprocessing import get_context
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, Any, Final

import sqlalchemy as sa

from chaincase.errors import BadInput, ChaincaseError
from chaincase.processes import one_thread_each
from chaincase.register.events import canonical
from chaincase.register.faults import Missing
from chaincase.register.ids import moment, uuid7
from chaincase.register.records import by_whom
from chaincase.register.schema import chunk, job
from chaincase.register.store import Store

if TYPE_CHECKING:
    from chaincase.register.opening import Register

log = logging.getLogger("chaincase.register")

Work = Callable[["Register", Any], Any]
"""Does a chunk: from what was given to it, the result; both JSON. A function of a module, as processes need."""
Announce = Callable[[str, int], None]
"""Told of a job and its number of chunks when it was put down, so that workers elsewhere look at once."""

LEASE_SECONDS: Final = 60.0
LOOK_SECONDS: Final = 1.0
"""Between two looks of a worker that found nothing to do."""
MOST_TRIES: Final = 3
"""A chunk whose worker was ended so often is given up, as it may be what ends them."""


@dataclass(frozen=True, slots=True)
class Job:
    """A job and how far it is: numbers of chunks."""

    id: str
    kind: str
    by: str
    created: str
    chunks: int
    waiting: int
    leased: int
    done: int
    failed: int

    @property
    def ended(self) -> bool:
        """Whether nothing is left to do."""
        return self.done + self.failed == self.chunks


@dataclass(frozen=True, slots=True)
class Chunk:
    """A chunk that a worker has taken."""

    job: str
    kind: str
    index: int
    given: Any
    worker: str
    tries: int


class Jobs:
    """The jobs of a register.

    Attributes
    ----------
    announce : callable or None
        Tells workers elsewhere of a job; what it cannot tell, they find when they look by themselves.
    """

    def __init__(self, store: Store) -> None:
        self._store = store
        self.announce: Announce | None = None

    def start(self, kind: str, chunks: Iterable[Any], *, by: str, id: str | None = None) -> Job:  # noqa: A002
        """Put a job down, with what each chunk is given; the same `id` again starts nothing.

        Raises
        ------
        BadInput
            If there is no chunk, or one cannot be kept as JSON.
        """
        name = id or uuid7()
        given = [canonical(each) for each in chunks]
        if not given:
            raise BadInput("a job of nothing", where="chunks", right="give at least one chunk")
        with self._store.write() as connection:
            if connection.execute(sa.select(job.c.id).where(job.c.id == name)).first() is None:
                created = moment(self._store.clock())
                row = {"id": name, "kind": kind, "by": by_whom(by), "created": created, "chunks": len(given)}
                connection.execute(sa.insert(job), row)
                rows = [{"job": name, "index": i, "state": "waiting", "given": text} for i, text in enumerate(given)]
                connection.execute(sa.insert(chunk), rows)
        return self._announced(self.of(name))

    def of(self, id: str) -> Job:  # noqa: A002 - the column's name
        """Give a job.

        Raises
        ------
        Missing
            If there is none.
        """
        with self._store.read() as connection:
            row = connection.execute(sa.select(job).where(job.c.id == id)).mappings().first()
            if row is None:
                raise Missing.of("job", id)
            states = sa.select(chunk.c.state, sa.func.count()).where(chunk.c.job == id).group_by(chunk.c.state)
            counts = {row[0]: row[1] for row in connection.execute(states)}
        return Job(**row, **{state: counts.get(state, 0) for state in ("waiting", "leased", "done", "failed")})

    def latest(self, limit: int = 20) -> tuple[Job, ...]:
        """Give the jobs last put down."""
        with self._store.read() as connection:
            ids = list(connection.execute(sa.select(job.c.id).order_by(job.c.created.desc()).limit(limit)).scalars())
        return tuple(map(self.of, ids))

    def waits(self, kinds: Iterable[str]) -> bool:
        """Say whether there is a chunk to take; only reads, so that looking often holds up nobody."""
        with self._store.read() as connection:
            wanted = _takeable(moment(self._store.clock())).where(job.c.kind.in_(tuple(kinds)))
            return connection.execute(wanted.limit(1)).first() is not None

    def take(self, worker: str, kinds: Iterable[str], *, seconds: float = LEASE_SECONDS) -> Chunk | None:
        """Take the next chunk that waits or whose lease has ended; None if there is none."""
        with self._store.write() as connection:
            now = self._store.clock()
            self._give_up(connection, moment(now))
            wanted = _takeable(moment(now)).where(job.c.kind.in_(tuple(kinds)))
            row = connection.execute(wanted.order_by(chunk.c.job, chunk.c.index).limit(1)).mappings().first()
            return None if row is None else _taken(connection, row, worker, moment(now + timedelta(seconds=seconds)))

    def take_this(self, worker: str, name: str, index: int, *, seconds: float = LEASE_SECONDS) -> Chunk | None:
        """Take one chunk of a job; None if it is done, or another has it."""
        with self._store.write() as connection:
            now = self._store.clock()
            self._give_up(connection, moment(now))
            wanted = _takeable(moment(now)).where(chunk.c.job == name, chunk.c.index == index)
            row = connection.execute(wanted).mappings().first()
            return None if row is None else _taken(connection, row, worker, moment(now + timedelta(seconds=seconds)))

    def finish(self, taken: Chunk, result: Any) -> bool:
        """Keep the result of a chunk; False if the lease has gone to another meanwhile."""
        return self._end(taken, "done", canonical(result), "")

    def fail(self, taken: Chunk, reason: str) -> bool:
        """Give a chunk up, with a reason."""
        return self._end(taken, "failed", None, reason[:1000])

    def release_ended(self) -> int:
        """Let chunks wait again whose worker was a process of this computer that is no more; give how many."""
        leased = sa.select(chunk.c.job, chunk.c.index, chunk.c.worker).where(chunk.c.state == "leased")
        with self._store.read() as connection:
            ended = [row for row in connection.execute(leased) if not _runs(row.worker)]
        if not ended:
            return 0
        with self._store.write() as connection:
            for row in ended:
                this = sa.update(chunk).where(chunk.c.job == row.job, chunk.c.index == row.index)
                same = this.where(chunk.c.state == "leased", chunk.c.worker == row.worker)
                connection.execute(same.values(state="waiting"))
        return len(ended)

    def retry(self, id: str) -> Job:  # noqa: A002 - the column's name
        """Let the chunks that failed wait again."""
        with self._store.write() as connection:
            failed = sa.update(chunk).where(chunk.c.job == id, chunk.c.state == "failed")
            connection.execute(failed.values(state="waiting", tries=0, fault=""))
        return self._announced(self.of(id))

    def results(self, id: str) -> Iterator[tuple[int, Any]]:  # noqa: A002 - the column's name
        """Give the results of the chunks that are done, in order."""
        done = sa.select(chunk.c.index, chunk.c.result).where(chunk.c.job == id, chunk.c.state == "done")
        with self._store.read() as connection:
            rows = connection.execute(done.order_by(chunk.c.index)).all()
        yield from ((index, json.loads(result)) for index, result in rows)

    def state_of(self, id: str, index: int) -> str:  # noqa: A002 - the column's name
        """Give the state of a chunk: waiting, leased, done or failed."""
        wanted = sa.select(chunk.c.state).where(chunk.c.job == id, chunk.c.index == index)
        with self._store.read() as connection:
            state = connection.execute(wanted).scalar_one_or_none()
        if state is None:
            raise Missing.of("chunk", f"{id} {index}")
        return str(state)

    def faults(self, id: str) -> tuple[tuple[int, str], ...]:  # noqa: A002 - the column's name
        """Give the chunks that failed, with reasons."""
        failed = sa.select(chunk.c.index, chunk.c.fault).where(chunk.c.job == id, chunk.c.state == "failed")
        with self._store.read() as connection:
            return tuple((index, fault) for index, fault in connection.execute(failed.order_by(chunk.c.index)))

    def _announced(self, found: Job) -> Job:
        if self.announce is not None and found.waiting:
            try:
                self.announce(found.id, found.chunks)
            except Exception:
                log.warning("no worker could be told of job %s", found.id, exc_info=True)
        return found

    @staticmethod
    def _give_up(connection: sa.Connection, now: str) -> None:
        tried = sa.update(chunk).where(
            chunk.c.state == "leased", chunk.c.lease_until < now, chunk.c.tries >= MOST_TRIES
        )
        connection.execute(tried.values(state="failed", fault=f"its worker was ended {MOST_TRIES} times"))

    def _end(self, taken: Chunk, state: str, result: str | None, fault: str) -> bool:
        mine = sa.update(chunk).where(chunk.c.job == taken.job, chunk.c.index == taken.index)
        mine = mine.where(chunk.c.state == "leased", chunk.c.worker == taken.worker, chunk.c.tries == taken.tries)
        with self._store.write() as connection:
            return connection.execute(mine.values(state=state, result=result, fault=fault)).rowcount == 1


def do(register: "Register", taken: Chunk, work: Work) -> bool:
    """Do a chunk and keep what came of it; a fault on purpose fails this chunk, not the job."""
    try:
        result = work(register, taken.given)
    except ChaincaseError as fault:
        return register.jobs.fail(taken, str(fault))
    except MemoryError:
        return register.jobs.fail(taken, "memory ran out")
    return register.jobs.finish(taken, result)


def work_off(
    register: "Register",
    works: Mapping[str, Work],
    worker: str = "",
    *,
    seconds: float = LEASE_SECONDS,
    stop: Callable[[], bool] = lambda: False,
) -> int:
    """Do chunks of these kinds until none waits, or `stop` says so between two; give how many were done here."""
    name, done, parent = worker or f"{os.getpid()}-{uuid7()[-12:]}", 0, os.getppid()
    while os.getppid() == parent and not stop():
        if (taken := register.jobs.take(name, works, seconds=seconds)) is None:
            break
        done += do(register, taken, works[taken.kind])
    return done


def keep_working(
    register: "Register", works: Mapping[str, Work], stopped: Event, *, every: float = LOOK_SECONDS
) -> int:
    """Do what waits, and look again and again [s], until stopped; a fault of one chunk stops nothing."""
    done = 0
    while not stopped.wait(every):
        try:
            if register.store.is_sqlite:  # all its workers are on this computer: no lease need be waited for
                register.jobs.release_ended()
            if register.jobs.waits(works):
                done += work_off(register, works, stop=stopped.is_set)
        except Exception:  # its lease ends, then it is tried again, three times at most
            log.exception("a chunk of work failed")
    return done


def work_off_in_processes(
    place: str, files: str | None, works: Mapping[str, Work], workers: int, *, seconds: float = LEASE_SECONDS
) -> int:
    """Do chunks on several cores, each process with the register open for itself; give how many were done.

    Raises
    ------
    ChaincaseError
        If a process was ended from outside; what it had begun is taken up when its lease ends.
    """
    spawn = get_context("spawn")
    with one_thread_each(), ProcessPoolExecutor(workers, spawn) as pool:
        running = [pool.submit(_work_off_at, place, files, dict(works), seconds) for _ in range(workers)]
        wait(running)
        try:
            return sum(each.result() for each in running)
        except BrokenProcessPool:
            raise ChaincaseError("a process was ended from outside; start the work again to go on") from None


def _work_off_at(place: str, files: str | None, works: dict[str, Work], seconds: float) -> int:
    from chaincase.register.opening import open_register  # it imports this module

    with open_register(place, files=files) as register:
        return work_off(register, works, seconds=seconds)


def _runs(worker: str) -> bool:
    """Say whether the process of a worker may still run, by the number that its name begins with."""
    number = worker.partition("-")[0]
    if sys.platform == "win32" or not number.isdecimal():  # Windows has no way to ask that harms nobody
        return True
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    try:  # one that was killed and that nobody has looked after yet
        return Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (OSError, IndexError):
        return True


def _takeable(now: str) -> sa.Select[Any]:
    ended = sa.and_(chunk.c.state == "leased", chunk.c.lease_until < now)
    columns = (chunk.c.job, job.c.kind, chunk.c.index, chunk.c.given, chunk.c.tries)
    return sa.select(*columns).join(job, job.c.id == chunk.c.job).where(sa.or_(chunk.c.state == "waiting", ended))


def _taken(connection: sa.Connection, row: sa.RowMapping, worker: str, until: str) -> Chunk:
    tries = row["tries"] + 1
    this = sa.update(chunk).where(chunk.c.job == row["job"], chunk.c.index == row["index"])
    connection.execute(this.values(state="leased", worker=worker, lease_until=until, tries=tries))
    return Chunk(row["job"], row["kind"], row["index"], json.loads(row["given"]), worker, tries)
