"""Taking photographs in apart: in a process of its own, with little memory and little time, that may end at any moment.

A decoder that is led astray by a file then takes nothing else with it. The process stays for the next photograph;
when it is ended, or its parent is, nothing is left of it.
"""

import json
import subprocess
import sys
import threading
from queue import LifoQueue
from typing import Final

from chaincase.decoding import Taken, received, send
from chaincase.errors import BadInput

MOST_MEMORY: Final = 2048 * 1024 * 1024
"""Bytes of address space: 40 million pixels with alpha, turned, need up to 1.4 GB as WebP, less as others."""
MOST_SECONDS: Final = 60.0
"""For one photograph; also on a busy computer."""
_AWRY: Final = "the photograph cannot be decoded within {} MB and {:.0f} s"


class Apart:
    """Takes photographs in, in processes apart; several threads may ask at once.

    Parameters
    ----------
    processes : int
        So many photographs at a time; others wait.
    memory, seconds : int, float
        What one may take [bytes, s].
    """

    def __init__(self, processes: int = 2, *, memory: int = MOST_MEMORY, seconds: float = MOST_SECONDS) -> None:
        self._memory, self._seconds = memory, seconds
        self._idle: LifoQueue[_Process | None] = LifoQueue()
        for _ in range(processes):
            self._idle.put(None)  # started when the first photograph comes

    def __call__(self, data: bytes) -> Taken:
        """Make a photograph anew, as `photographs.taken_in` does.

        Raises
        ------
        BadInput
            As there; also if the process was ended, or took too long.
        """
        process = self._idle.get()
        try:
            if process is not None and not process.runs:
                process.end()
                process = None
            process = process or _Process(self._memory)
            answer = process.ask(data, self._seconds)
        finally:
            self._idle.put(process)
        if answer is None:
            right = "send it smaller, as JPEG"
            raise BadInput(_AWRY.format(self._memory >> 20, self._seconds), right=right)
        return answer

    def close(self) -> None:
        """End the processes."""
        for _ in range(self._idle.qsize()):
            process = self._idle.get()
            if process is not None:
                process.end()
            self._idle.put(None)


class _Process:
    """One process that decodes."""

    def __init__(self, memory: int) -> None:
        command = [sys.executable, "-m", "chaincase.decoding", str(memory)]
        self._process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)  # noqa: S603 - our own

    @property
    def runs(self) -> bool:
        return self._process.poll() is None

    def ask(self, data: bytes, seconds: float) -> Taken | None:
        """Give what a photograph became; None if the process ended over it, and is to be started anew."""
        sending, answering = self._process.stdin, self._process.stdout
        if sending is None or answering is None:
            return None
        late = threading.Timer(seconds, self._process.kill)
        late.start()
        try:
            send(sending, data)
            said, content = received(answering), received(answering)
        except OSError:
            said = content = None
        finally:
            late.cancel()
        if said is None or content is None:
            self.end()
            return None
        return _answer(json.loads(said), content)

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        for end in (self._process.stdin, self._process.stdout):
            if end is not None:
                end.close()


def _answer(said: dict[str, str | int], content: bytes) -> Taken | None:
    if said["what"] == "memory":
        return None
    if said["what"]:
        raise BadInput(str(said["what"]), where=str(said["where"]), right=str(said["right"]))
    return content, str(said["media_type"]), int(said["width"]), int(said["height"])
