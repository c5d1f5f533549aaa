"""A server with many who write at once, and one whose disk is full: told, nothing lost, and well again by itself."""

import errno
import io
import os
import threading
from pathlib import Path
from typing import Any

import httpx
import pytest
import sqlalchemy as sa
from PIL import Image

import web_app
from chaincase.register import files
from chaincase.register.ids import uuid7
from chaincase.web.server import Server

WRITERS, EACH = 20, 6


def client_of(served: Server) -> httpx.Client:
    headers = {"authorization": f"Bearer {served.settings.token}"}
    return httpx.Client(base_url=served.settings.address, headers=headers, trust_env=False, timeout=120)


def event(kind: str, path: str, value: Any, **more: Any) -> dict[str, Any]:
    return {"id": uuid7(), "kind": kind, "path": path, "value": value, **more}


def picture() -> bytes:
    out = io.BytesIO()
    Image.frombytes("RGB", (100, 100), os.urandom(30_000)).save(out, "PNG")
    return out.getvalue()


def test_twenty_who_write_one_case_at_once_lose_nothing(tmp_path: Path) -> None:
    statuses: list[int] = []
    sent: list[str] = []
    outcomes: list[str] = []
    with web_app.running(tmp_path) as served:
        served.register.cases.create("W-1", by="test")

        def write(number: int) -> None:
            with client_of(served) as client:
                for turn in range(EACH):
                    own = event(
                        "add", "evidence.readings", {"value": f"{number} mm", "note": str(turn)}, client=f"p{number}"
                    )
                    shared = event("set", "title", f"{number}, {turn}", client=f"p{number}", base=1)
                    answer = client.post("/api/v1/cases/W-1/events", json={"events": [own, shared]})
                    statuses.append(answer.status_code)
                    sent.append(own["id"])
                    outcomes.extend(each["outcome"] for each in answer.json()["results"])
                    statuses.append(client.get("/api/v1/cases/W-1/findings").status_code)

        threads = [threading.Thread(target=write, args=(number,)) for number in range(WRITERS)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(300)
        assert statuses == [200] * (2 * WRITERS * EACH)
        opened = served.register.cases.open("W-1")
        assert sorted(each["id"] for each in opened.content["evidence"]["readings"]) == sorted(sent)
        assert set(outcomes) == {"applied", "conflict"}
        titles = {each.yours for each in served.register.cases.conflicts("W-1")} | {opened.content["title"]}
        assert {f"{number}, {EACH - 1}" for number in range(WRITERS)} <= titles  # what each wrote last is in sight
        assert served.register.verify(deep=True).fault is None


def test_a_full_disk_is_told_keeps_what_was_and_heals(tmp_path: Path) -> None:
    with web_app.running(tmp_path) as served, client_of(served) as client:
        assert client.post("/api/v1/cases", json={"case": "F-1"}).status_code == 201
        allow_pages(served, 30)
        written = 0
        while (answer := write_notes(client, "x" * 40_000)).status_code == 200:
            written += 1
        assert answer.status_code == 507
        error = answer.json()["error"]
        assert (error["what"], error["right"]) == (
            "The disk of the server is full.", "Nothing of this was kept. Make room, then send it again.",
        )  # fmt: skip
        assert client.get("/api/v1/cases/F-1").json()["version"] == written + 1
        assert client.get("/bench/F-1").status_code == 200
        forms = ({"case": f"F-2-{number}", "notes": "y" * 19_000} for number in range(50))
        page = next(made for form in forms if (made := client.post("/register/new", data=form)).status_code != 303)
        assert page.status_code == 507
        assert page.headers["content-type"].startswith("text/html")
        allow_pages(served, 1_000_000)
        assert write_notes(client, "z" * 40_000).status_code == 200
        assert client.get("/api/v1/cases/F-1").json()["version"] == written + 2
        assert served.register.verify(deep=True).fault is None


def write_notes(client: httpx.Client, text: str) -> httpx.Response:
    return client.post("/api/v1/cases/F-1/events", json={"events": [event("set", "notes", text)]})


def allow_pages(served: Server, more: int) -> None:
    """Let the file grow by so many pages: SQLite then answers as it does on a full disk."""
    engine = served.register.store.engine
    with engine.connect() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one() + more
    sa.event.listen(engine, "checkout", lambda plain, *_: plain.execute(f"PRAGMA max_page_count = {pages}"))


def test_a_photograph_that_finds_no_space_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    client = web_app.client(tmp_path)
    client.post("/api/v1/cases", json={"case": "F-1"})
    data, headers = picture(), {"content-type": "image/png"}

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as shim:
        shim.setattr(files.os, "fsync", full)
        assert client.post("/api/v1/cases/F-1/photographs", content=data, headers=headers).status_code == 507
    register = client.app.state.server.register
    assert register.photographs.of("F-1") == ()
    assert list(register.files.names()) == []
    assert client.post("/api/v1/cases/F-1/photographs", content=data, headers=headers).status_code == 201
