"""Texts that cannot be read, through the real command: one clear message, exit code 2."""

import subprocess
import sys

import pytest

from chaincase.cli.main import run

COMMAND = [sys.executable, "-c", "from chaincase.cli.main import main; main()"]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "TEXT"),
        (("",), "the text is empty; give an order line"),
        (("80 chain " * 3000,), "has 27000 characters; give at most 20000"),
        (("80 \udcff",), "character 4: the text is not UTF-8"),
    ],
)
def test_bad_text(arguments: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]):
    assert run(["read", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert "Traceback" not in err


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "standard input: the text is empty"),
        (b"80 \xff chain", "standard input: byte 0xff at offset 3"),
        (b"80 \0 chain", "zero byte"),
        (b"x" * 100_000, "standard input: there are more than"),
        (b"x" * 30_000, "standard input: the text has 30000 characters"),
    ],
)
def test_bad_standard_input(data: bytes, says: str):
    done = subprocess.run([*COMMAND, "read", "-"], input=data, capture_output=True, check=False)
    assert done.returncode == 2
    assert done.stdout == b""
    assert says in done.stderr.decode()
    assert b"Traceback" not in done.stderr


def test_control_characters_do_not_reach_the_terminal(capsys: pytest.CaptureFixture[str]):
    assert run(["read", "80 chain \x1b[31m, red"]) == 0
    assert "\x1b" not in capsys.readouterr().out
