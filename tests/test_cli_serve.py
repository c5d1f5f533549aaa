"""`chaincase serve` as a person starts it."""

import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from chaincase.cli.main import run


@contextmanager
def started(folder: Path, *more: str) -> Iterator[str]:
    """Start the command and give the line that it prints; end it afterwards."""
    command = [sys.executable, "-m", "chaincase.cli", "serve", "--port", "0", "--no-browser", "--data", str(folder)]
    command[1:3] = ["-c", "from chaincase.cli.main import main; main()"]
    with subprocess.Popen([*command, *more], stdout=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            yield process.stdout.readline().strip()
        finally:
            process.terminate()
            process.wait(20)


def test_one_line_opens_the_pages(tmp_path: Path) -> None:
    with started(tmp_path) as line:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/\?token=[\w-]{43}", line)
        with httpx.Client(trust_env=False) as client:
            assert client.get(line.partition("/?")[0] + "/api/v1/account").status_code == 401
            answer = client.get(line)
            assert (answer.status_code, answer.headers["location"]) == (303, "/")
            assert client.get(line.partition("/?")[0] + "/api/v1/account").json()["role"] == "admin"
    assert (tmp_path / "secret").stat().st_mode & 0o077 == 0


def test_with_accounts_the_line_invites_the_first_administrator(tmp_path: Path) -> None:
    with started(tmp_path, "--accounts") as line:
        assert re.fullmatch(r"http://127\.0\.0\.1:\d+/invitation/[\w.-]+", line)
        with httpx.Client(trust_env=False) as client:
            assert "Make your account" in client.get(line).text


def test_a_port_in_use_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert run(["serve", "--port", str(port), "--no-browser", "--data", str(tmp_path)]) == 2
    told = capsys.readouterr().err
    assert f"port {port} is in use" in told
    assert "--port 0" in told


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--host", "0.0.0.0"], "no accounts"),  # noqa: S104 - refused
        (["--accounts", "--host", "no such host"], "is no address of this computer"),
        (["--accounts", "--address", "chains"], "is not an address"),
        (["--url", "mysql://x/y"], "is not supported"),
        (["--certificate", "none.pem"], "certificate"),
        (["--port", "70000"], "70000"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(
    arguments: list[str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["serve", "--port", "0", "--no-browser", "--data", str(tmp_path), *arguments]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert len(told.strip().splitlines()) == 1


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("x")
    folder = tmp_path / "file" / "data"
    assert run(["serve", "--port", "0", "--no-browser", "--data", str(folder)]) == 2
    assert "cannot be made" in capsys.readouterr().err
