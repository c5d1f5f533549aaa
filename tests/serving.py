"""The real command `chaincase serve` in a process of its own, to be killed; a fork server lets it start quickly."""

import os
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import httpx

_SERVER = get_context("forkserver")
_SERVER.set_forkserver_preload(["chaincase.web.running", "chaincase.web.working", "chaincase.cli.serve", "serving"])
PATIENCE = 60.0
"""Seconds after which a test gives up; it asserts no time."""


@dataclass(frozen=True, slots=True)
class Serving:
    """A server that runs.

    Attributes
    ----------
    process : Process
        To be killed.
    line : str
        What it printed.
    seconds : float
        From the start of the process to its line.
    """

    process: BaseProcess
    line: str
    seconds: float

    @property
    def address(self) -> str:
        """Where it answers."""
        parts = urlsplit(self.line)
        return f"{parts.scheme}://{parts.netloc}"

    def client(self, **more: Any) -> httpx.Client:
        """Give a client of a program, let in by the token of the run in local mode."""
        token = parse_qs(urlsplit(self.line).query).get("token", [""])[0]
        headers = {"authorization": f"Bearer {token}"} if token else {"sec-fetch-site": "same-origin"}
        return httpx.Client(base_url=self.address, headers=headers, trust_env=False, timeout=PATIENCE, **more)

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.kill()
        self.process.join(PATIENCE)
        assert self.process.exitcode == -signal.SIGKILL


@contextmanager
def serving(folder: Path, *more: str, command: str = "serve") -> Iterator[Serving]:
    """Start the command and wait for its line; whatever is left of it at the end is killed."""
    arguments = ["serve", "--port", "0", "--no-browser"] if command == "serve" else [command]
    ours, theirs = os.pipe()
    begun = time.monotonic()
    with os.fdopen(ours, "r", encoding="utf-8") as said:
        given = (_duplicated(theirs), [*arguments, "--data", str(folder), *more])
        process = _SERVER.Process(target=_run, args=given)
        process.start()
        os.close(theirs)
        try:
            line = said.readline().strip()
            assert line, "the command ended at once"
            yield Serving(process, line, time.monotonic() - begun)
        finally:
            with suppress(ProcessLookupError):
                process.kill()
            process.join(PATIENCE)


def _duplicated(handle: int) -> Any:
    from multiprocessing.reduction import DupFd

    return DupFd(handle)


def _run(said: Any, arguments: list[str]) -> None:
    """Be the command, with its output on a pipe."""
    from chaincase.cli.main import run

    handle = said.detach()
    os.dup2(handle, 1)
    os.close(handle)
    os._exit(run(arguments))


def until(what: Callable[[], Any]) -> Any:
    """Wait until something is so, and give it."""
    ended = time.monotonic() + PATIENCE
    while time.monotonic() < ended:
        if found := what():
            return found
        time.sleep(0.02)
    raise AssertionError("it did not come about")
