"""A connection on which no whole request comes is closed; one that is used is not."""

import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

import web_app
from chaincase.web.patience import Patient
from chaincase.web.running import ready
from serving import until

HEAD = b"GET /api/v1/server HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n"


@pytest.fixture
def port(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    monkeypatch.setattr(Patient, "seconds", 0.5)
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen(8)
        number = int(listening.getsockname()[1])
        answering = ready(web_app.server(tmp_path, port=number))
        thread = threading.Thread(target=answering.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        until(lambda: answering.started)
        yield number
        answering.should_exit = True
        thread.join(20)


def test_a_head_that_does_not_end_is_cut(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=60) as slow:
        slow.sendall(HEAD % port)
        slow.settimeout(0.1)
        closed = False
        for number in range(600):
            try:
                slow.sendall(b"X-%d: y\r\n" % number)
                closed = slow.recv(1) == b""
            except TimeoutError:
                continue
            except OSError:
                closed = True
            if closed:
                break
        assert closed


def test_one_that_sends_nothing_is_cut(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=60) as silent:
        assert silent.recv(1) == b""


def test_one_that_is_used_stays(port: int) -> None:
    with socket.create_connection(("127.0.0.1", port), timeout=60) as used:
        for _ in range(5):
            used.sendall(HEAD % port + b"\r\n")
            got = b""
            while not got.endswith(b"}"):
                piece = used.recv(4096)
                assert piece
                got += piece
            assert got.startswith(b"HTTP/1.1 200")
            threading.Event().wait(0.2)
