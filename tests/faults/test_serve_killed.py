"""The real server, killed at any moment while people send to it: what was acknowledged is there, and once."""

import contextlib
import io
import random
import sqlite3
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from PIL import Image

from chaincase.register.ids import uuid7
from chaincase.register.store import DATABASE
from chaincase.web.import_reading import packed_of
from serving import Serving, serving, until

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="there is no SIGKILL")

KILLS = 6
SAMPLES = "sample,mark,pitch\n" + "".join(f"S{n},WH{n},4.0{n % 10} in\n" for n in range(60))
Call = Callable[[httpx.Client], Any]


def reading(number: int) -> dict[str, Any]:
    value = {"dimension": "pitch", "value": f"{number} mm"}
    return {"id": uuid7(), "kind": "add", "path": "evidence.readings", "value": value, "client": "phone", "base": None}


def picture(number: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), (number % 256, number // 256 % 256, 7)).save(out, "PNG")
    return out.getvalue()


class Phone:
    """Sends one thing after another until the server is gone; what was not acknowledged is sent again first.

    Attributes
    ----------
    made : iterator
        Gives what to send next.
    acknowledged : list
        What the server said it has.
    """

    def __init__(self, made: Iterator[Call]) -> None:
        self.made, self.acknowledged, self._at_hand = made, list[Any](), None

    def send_until_it_is_gone(self, server: Serving) -> None:
        with server.client() as client, contextlib.suppress(httpx.TransportError):
            while True:
                self._at_hand = self._at_hand or next(self.made)
                self.acknowledged.append(self._at_hand(client))
                self._at_hand = None


def events() -> Iterator[Call]:
    number = 0
    while True:
        number += 1
        batch = [reading(number), reading(-number)]

        def send(client: httpx.Client, batch: list[dict[str, Any]] = batch) -> list[str]:
            answer = client.post("/api/v1/cases/K-1/events", json={"events": batch})
            assert answer.status_code == 200, answer.text
            assert {each["outcome"] for each in answer.json()["results"]} <= {"applied", "repeated"}
            return [each["id"] for each in batch]

        yield send


def photographs() -> Iterator[Call]:
    number = 0
    while True:
        number += 1
        data = picture(number)

        def send(client: httpx.Client, data: bytes = data) -> str:
            headers = {"content-type": "image/png"}
            answer = client.post("/api/v1/cases/K-1/photographs", content=data, headers=headers)
            assert answer.status_code == 201, answer.text
            return str(answer.json()["id"])

        yield send


def papers() -> Iterator[Call]:
    def send(client: httpx.Client) -> str:
        answer = client.post("/api/v1/cases/K-1/papers/tag.pdf")
        assert answer.status_code == 201, answer.text
        return str(answer.json()["id"])

    while True:
        yield send


def killed_while(folder: Path, chance: random.Random, phones: list[Phone], *, heard: bool = False) -> float:
    """Let phones send, kill the server after 50 to 500 ms, and give the seconds in which it had started.

    With `heard` that time begins when each of them was acknowledged something.
    """
    with serving(folder) as server:
        threads = [threading.Thread(target=each.send_until_it_is_gone, args=(server,)) for each in phones]
        for thread in threads:
            thread.start()
        before = [len(each.acknowledged) for each in phones]
        until(lambda: not heard or all(len(p.acknowledged) > n for p, n in zip(phones, before, strict=True)))
        time.sleep(chance.uniform(0.05, 0.5))
        server.kill()
        for thread in threads:
            thread.join(60)
            assert not thread.is_alive()
    return server.seconds


def sound(folder: Path, client: httpx.Client) -> None:
    """Hold the whole register against its journal, and the file against itself."""
    assert client.get("/api/v1/keeping/verdict", params={"deep": "true"}).json()["fault"] is None
    with contextlib.closing(sqlite3.connect(folder / DATABASE)) as plain:
        assert plain.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert plain.execute("PRAGMA foreign_key_check").fetchall() == []


def test_a_server_killed_while_phones_send_loses_nothing_it_acknowledged(tmp_path: Path) -> None:
    chance, writers, camera = random.Random(11), [Phone(events()), Phone(events())], Phone(photographs())  # noqa: S311
    with serving(tmp_path) as server, server.client() as client:
        assert client.post("/api/v1/cases", json={"case": "K-1"}).status_code == 201
    phones = [*writers, camera]
    seconds = [killed_while(tmp_path, chance, phones, heard=number % 2 == 0) for number in range(KILLS)]
    print("ready again after", ", ".join(f"{each:.1f} s" for each in seconds))  # noqa: T201 - told, not asserted
    with serving(tmp_path) as server, server.client() as client:
        kept = client.get("/api/v1/cases/K-1").json()["content"]["evidence"]["readings"]
        ids = [each["id"] for each in kept]
        acknowledged = {each for writer in writers for pair in writer.acknowledged for each in pair}
        assert acknowledged
        assert acknowledged <= set(ids)
        assert len(ids) == len(set(ids))
        assert sum(int(each["value"].removesuffix(" mm")) for each in kept) == 0  # no half of a batch
        assert camera.acknowledged
        for sha256 in camera.acknowledged:
            assert client.get(f"/api/v1/photographs/{sha256}").status_code == 200
        sound(tmp_path, client)


def test_a_server_killed_while_it_sets_papers_keeps_whole_ones(tmp_path: Path) -> None:
    chance, desk = random.Random(5), Phone(papers())  # noqa: S311
    with serving(tmp_path) as server, server.client() as client:
        client.post("/api/v1/cases", json={"case": "K-1", "content": {"evidence": {"marks": [{"text": "WH132"}]}}})
        desk.acknowledged.append(next(papers())(client))
    for _ in range(2):
        killed_while(tmp_path, chance, [desk])
    with serving(tmp_path) as server, server.client() as client:
        kept = {each["id"] for each in client.get("/api/v1/cases/K-1/papers").json()}
        assert set(desk.acknowledged) <= kept
        for paper in kept:
            content = client.get(f"/api/v1/papers/{paper}").content
            assert content.startswith(b"%PDF")
            assert content.rstrip().endswith(b"%%EOF")
        sound(tmp_path, client)


def test_a_server_killed_in_the_middle_of_jobs_ends_them_after_it_started_again(tmp_path: Path) -> None:
    job = uuid7()
    with serving(tmp_path) as server, server.client() as client:
        form = {"name": "samples.csv", "packed": packed_of(SAMPLES), "job": job}
        assert client.post("/register/import/samples", data=form).status_code == 303
        survey = client.post("/api/v1/surveys", params={"name": "samples.csv"}, content=SAMPLES)
        assert survey.status_code == 201, survey.text
        until(lambda: client.get(f"/api/v1/jobs/{job}").json()["done"])
        server.kill()
    with serving(tmp_path) as server, server.client() as client:
        for each in (job, survey.json()["id"]):
            state = until(lambda each=each: (s := client.get(f"/api/v1/jobs/{each}").json())["ended"] and s)
            assert (state["done"], state["failed"]) == (state["chunks"], 0), state
        lines = client.get("/api/v1/cases", params={"limit": 500}).json()["lines"]
        assert sorted(each["case"] for each in lines) == sorted(f"S{n}" for n in range(60))
        answers = client.get(f"/api/v1/surveys/{survey.json()['id']}/answers.csv").text.splitlines()
        assert [line.split(",")[0] for line in answers[1:]] == [f"S{n}" for n in range(60)]
        sound(tmp_path, client)
