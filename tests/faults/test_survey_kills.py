"""A survey that is killed: the real command, SIGKILL, and what the next run makes of it."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from chaincase.catalog.table import Catalog
from chaincase.survey.chunks import CHUNK_ROWS
from chaincase.survey.run import survey
from survey_sheets import read_csv, write_csv

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")

MAIN = "from chaincase.cli.main import main; main()"
# Each of these makes the command kill itself at the worst moment it can find.
KILL = "os.kill(os.getpid(), signal.SIGKILL)"
HEAD = "import os, pathlib, signal; from chaincase.survey import chunks, output\n"
IN_A_LINE = f"""{HEAD}
whole, number = chunks._line, iter(range(100))
class Torn(bytes):
    pass
def line(content):
    if next(number) == 2:
        chunks.Journal.add = torn
    return whole(content)
def torn(self, index, answers):
    self._file.seek(0, os.SEEK_END)
    self._file.write(whole([index, [answer.cells() for answer in answers]])[:-7])
    self._file.flush()
    {KILL}
chunks._line = line
"""
WHILE_WRITING = f"{HEAD}output.summary_cells = output._csv_cell = lambda *_: {KILL}\n"
BEFORE_THE_MOVE = f"{HEAD}output.os = type('', (), dict(fsync=lambda _: {KILL}))\n"
AFTER_THE_MOVE = f"{HEAD}chunks.Journal.remove = lambda self: {KILL}\n"


def command(source: Path, output: Path, workers: int = 1, before: str = "") -> list[str]:
    return [sys.executable, "-c", before + MAIN, "survey", str(source), "-o", str(output), "--workers", str(workers)]


def samples(path: Path, count: int) -> Path:
    """Write samples of which only a stamp is known, a bad one in fifty: they take little time."""
    rows = [(f"S{i:03d}", f"E{i % 4}", "" if i % 50 == 7 else ("W124", "WH78", "W132")[i % 3]) for i in range(count)]
    return write_csv(path, ("sample", "machine", "mark"), *rows)


def journal_lines(output: Path) -> list[bytes]:
    """Give the whole lines of a journal but the first, one for each chunk that is done."""
    journal = output.with_name(f"{output.name}.part") / "answers.jsonl"
    text = journal.read_bytes() if journal.exists() else b""
    return text[: text.rfind(b"\n") + 1].splitlines(keepends=True)[1:]


def killed(source: Path, output: Path, more: int) -> list[bytes]:
    """Start the command, kill it when it has done so many chunks more, and give the lines of its journal."""
    before = len(journal_lines(output))
    process = subprocess.Popen(command(source, output, workers=2), stdout=subprocess.DEVNULL)
    while process.poll() is None and len(journal_lines(output)) < before + more:
        time.sleep(0.002)
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    workers = children.read_text().split() if children.exists() else []
    os.kill(process.pid, signal.SIGKILL)
    assert process.wait() == -signal.SIGKILL
    assert all(gone(worker) for worker in workers)
    return journal_lines(output)


def gone(process: str) -> bool:
    """Wait until a worker has noticed that the command is no more."""
    for _ in range(1000):
        if not os.access(f"/proc/{process}/exe", os.F_OK):
            return True
        time.sleep(0.01)
    return False


def test_killed_twice_it_loses_nothing_and_redoes_nothing(tmp_path: Path):
    count = 24 * CHUNK_ROWS
    source, output = samples(tmp_path / "s.csv", count), tmp_path / "out.csv"
    first = killed(source, output, 3)
    second = killed(source, output, 3)
    assert 3 <= len(first) < len(second) < count / CHUNK_ROWS
    assert second[: len(first)] == first
    assert not output.exists()
    done = subprocess.run(command(source, output, workers=2), check=True, capture_output=True, text=True)
    assert f", {CHUNK_ROWS * len(second)} of them kept from the run that was stopped" in done.stdout
    survey(source, tmp_path / "whole.csv", Catalog.standard(), workers=1)
    assert output.read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert [line["sample"] for line in read_csv(output)] == [f"S{i:03d}" for i in range(count)]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "s.csv", "whole.csv"]


def test_killed_at_the_worst_moments_it_still_comes_out_whole(tmp_path: Path):
    count = 6 * CHUNK_ROWS + 5
    source, output = samples(tmp_path / "s.csv", count), tmp_path / "out.csv"
    survey(source, tmp_path / "whole.csv", Catalog.standard(), workers=1)
    for moment in (IN_A_LINE, WHILE_WRITING, BEFORE_THE_MOVE):
        ended = subprocess.run(command(source, output, before=moment), capture_output=True, check=False)
        assert ended.returncode == -signal.SIGKILL, ended.stderr
        assert not output.exists()
    assert len(journal_lines(output)) == 7
    ended = subprocess.run(command(source, output, before=AFTER_THE_MOVE), capture_output=True, check=False)
    assert ended.returncode == -signal.SIGKILL
    assert output.read_bytes() == (tmp_path / "whole.csv").read_bytes()
    found = survey(source, output, Catalog.standard(), workers=1)
    assert found.kept == count
    assert output.read_bytes() == (tmp_path / "whole.csv").read_bytes()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["out.csv", "s.csv", "whole.csv"]
