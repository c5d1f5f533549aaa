"""Bulk work through the API: a survey from sheet to sheet, how far a job is, workers beside the server."""

import io
import json
from pathlib import Path
from threading import Event, Thread

import pytest
import xlsxwriter
from python_calamine import CalamineWorkbook

import web_app
from chaincase.catalog.table import Catalog
from chaincase.cli.main import run
from chaincase.errors import BadInput
from chaincase.register import Register, open_register
from chaincase.register.accounts import Role
from chaincase.register.jobs import keep_working, work_off
from chaincase.web.server import Server
from chaincase.web.working import works
from serving import until
from web_app import TestClient

ROWS = [("A", "WH132", "6.05 in"), ("B", "", "6 mmm"), ("C", "=1+1", "4 in"), ("D", "WR124", "4 in")]
SHEET = "sample,mark,pitch,machine\n" + "".join(f"{name},{mark},{pitch},dryer\n" for name, mark, pitch in ROWS)


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


def served(client: TestClient) -> Server:
    found = client.app.state.server
    assert isinstance(found, Server)
    return found


def put(client: TestClient, data: str | bytes = SHEET, **more: str) -> dict:  # type: ignore[type-arg]
    answer = client.post("/api/v1/surveys", params={"name": "samples.csv", **more}, content=data)
    assert answer.status_code == 201, answer.text
    return dict(answer.json())


def do_all(client: TestClient) -> int:
    return work_off(served(client).register, works(served(client).catalog))


def test_a_survey_from_sheet_to_sheet(client: TestClient) -> None:
    job = put(client)
    assert (job["kind"], job["chunks"], job["done"], job["by"]) == ("survey", 1, 0, "this computer")
    early = client.get(f"/api/v1/surveys/{job['id']}/answers.csv")
    assert (early.status_code, early.json()["error"]["what"]) == (409, "0 of 1 parts are done.")
    assert do_all(client) == 1
    state = client.get(f"/api/v1/jobs/{job['id']}").json()
    assert (state["ended"], state["done"], state["faults"]) == (True, 1, [])
    answer = client.get(f"/api/v1/surveys/{job['id']}/answers.csv")
    assert "attachment" in answer.headers["content-disposition"]
    assert "samples-answers.csv" in answer.headers["content-disposition"]
    header, *lines = answer.text.splitlines()
    assert header.startswith("sample,designation,probability")
    assert [line.split(",")[0] for line in lines] == ["A", "B", "C", "D"]
    assert "not read" in lines[1]
    assert all(line.endswith(",dryer") for line in lines)
    book = client.get(f"/api/v1/surveys/{job['id']}/answers.xlsx").content
    assert CalamineWorkbook.from_filelike(io.BytesIO(book)).sheet_names == ["answers", "summary"]
    assert client.get("/api/v1/jobs").json()[0]["id"] == job["id"]


def test_a_workbook_gives_what_its_table_gives(client: TestClient) -> None:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False}) as book:
        sheet = book.add_worksheet()
        for row, cells in enumerate([("sample", "mark", "pitch", "machine"), *((*each, "dryer") for each in ROWS)]):
            for column, cell in enumerate(cells):
                sheet.write_string(row, column, cell)
    jobs = [put(client), put(client, out.getvalue(), name="samples.xlsx")]
    do_all(client)
    texts = [client.get(f"/api/v1/surveys/{job['id']}/answers.csv").text for job in jobs]
    assert texts[0] == texts[1]


def test_sent_twice_it_is_one_job(client: TestClient) -> None:
    name = "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e"
    assert put(client, job=name)["id"] == put(client, job=name)["id"] == name
    assert len(client.get("/api/v1/jobs").json()) == 1


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.csv", b"", "no header"),
        ("a.csv", b"sample,pich\nA,4 in\n", "pich"),
        ("a.csv", b"sample,pitch\n", "no samples"),
        ("a.csv", b"\xff\xfe\x00", ""),
        ("a.xlsx", b"PK\x03\x04 nothing", ""),
        ("a.exe", b"MZ", ""),
        ("../../etc/passwd", b"sample,pitch\nA,4 in\n", ""),
        ("a.csv", b"sample,pitch\n" + b"A,4 in\n" * 20_001, "lines"),
    ],
)
def test_what_is_no_survey_is_refused_and_nothing_put_down(
    client: TestClient, name: str, data: bytes, words: str
) -> None:
    answer = client.post("/api/v1/surveys", params={"name": name}, content=data, headers={"content-type": "text/csv"})
    assert answer.status_code == 422, answer.text
    error = answer.json()["error"]
    assert words in json.dumps(error)
    assert error["right"] or error["faults"]
    assert "/tmp/" not in answer.text  # noqa: S108 - where the server put it is nobody's business
    assert client.get("/api/v1/jobs").json() == []


def test_only_who_works_on_cases_puts_surveys_down(tmp_path: Path) -> None:
    server = web_app.server(tmp_path, accounts=True)
    for role, status in ((Role.READER, 403), (Role.FIELD, 403), (Role.ENGINEER, 201)):
        client = web_app.signed_in(server, role)
        answer = client.post("/api/v1/surveys", params={"name": "a.csv"}, content=SHEET)
        assert answer.status_code == status
        assert client.get("/api/v1/jobs").status_code == 200


def test_what_failed_can_be_tried_again(client: TestClient) -> None:
    job = put(client)
    register = served(client).register

    def fail(_: Register, given: object) -> object:
        raise BadInput("the tables are being changed", right="try again")

    assert work_off(register, {"survey": fail}) == 1
    state = client.get(f"/api/v1/jobs/{job['id']}").json()
    assert (state["failed"], state["faults"]) == (1, ["the tables are being changed; try again"])
    assert client.get(f"/api/v1/surveys/{job['id']}/answers.csv").status_code == 409
    assert client.post(f"/api/v1/jobs/{job['id']}/retry").json()["waiting"] == 1
    assert do_all(client) == 1
    assert client.get(f"/api/v1/surveys/{job['id']}/answers.csv").status_code == 200
    for path in ("jobs/none", "surveys/none/answers.csv"):
        assert client.get(f"/api/v1/{path}").status_code == 404
    assert client.post("/api/v1/jobs/none/retry").status_code == 404


def test_a_server_does_jobs_while_it_runs(tmp_path: Path) -> None:
    with web_app.running(tmp_path) as server:
        given = [{"by": "t", "rows": [{"why": "no id", "row": 2, "sample": ""}]}]
        job = server.register.jobs.start("import", given, by="t")
        until(lambda: server.register.jobs.of(job.id).ended)


def test_the_command_does_what_waits_and_ends(client: TestClient, capsys: pytest.CaptureFixture[str]) -> None:
    put(client)
    folder = str(served(client).settings.data)
    assert run(["work", "--data", folder, "--once", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"parts": 1}
    assert run(["work", "--data", folder, "--once"]) == 0
    assert capsys.readouterr().out == "0 parts done.\n"
    assert run(["work", "--url", "mysql://x/y", "--once"]) == 2


def test_a_fault_of_the_program_in_one_part_stops_no_other(tmp_path: Path) -> None:
    def work(_: Register, given: int) -> int:
        if given == 1:
            raise ZeroDivisionError
        return given

    stopped = Event()
    with open_register(tmp_path) as register:
        job = register.jobs.start("odd", range(4), by="t")
        thread = Thread(target=keep_working, args=(register, {"odd": work}, stopped), kwargs={"every": 0.01})
        thread.start()
        until(lambda: register.jobs.of(job.id).done == 3)
        stopped.set()
        thread.join()
        assert register.jobs.of(job.id).leased == 1


def test_a_worker_that_is_gone_gives_its_part_back(tmp_path: Path) -> None:
    with open_register(tmp_path) as register:
        job = register.jobs.start("import", [1, 2, 3], by="t")
        for worker in ("999999999-gone", "elsewhere", f"{__import__('os').getpid()}-here"):
            assert register.jobs.take(worker, ["import"]) is not None
        assert register.jobs.release_ended() == 1
        assert register.jobs.of(job.id).waiting == 1


def test_who_cannot_be_told_of_a_job_finds_it(tmp_path: Path) -> None:
    with open_register(tmp_path) as register:
        told: list[tuple[str, int]] = []
        register.jobs.announce = lambda job, chunks: told.append((job, chunks))
        job = register.jobs.start("import", [1, 2], by="t")
        register.jobs.start("import", [1, 2], by="t", id=job.id)
        assert told[0] == (job.id, 2)

        def unreachable(job: str, chunks: int) -> None:
            raise OSError("no queue")

        register.jobs.announce = unreachable
        assert register.jobs.start("import", [1], by="t").waiting == 1
        assert register.jobs.waits(["import"])
        assert not register.jobs.waits(["other"])


def test_workers_know_every_kind_that_pages_put_down() -> None:
    assert set(works(Catalog.standard())) == {"import", "survey"}
