"""Bringing files in: looked at before anything is kept, one case for each sample, a phone's events once."""

import io
import json
import re
from pathlib import Path
from uuid import uuid4

import pytest
import xlsxwriter

import web_app
from chaincase.register.accounts import Role
from chaincase.web import import_reading, import_work
from plants_for_web import plant
from web_app import TestClient

TABLE = """sample,mark,pitch,pitch.instrument,pin_diameter,site,machine,notes
A-17,W?124,4.06 in,tape,18.9 mm,North quay,Drag conveyor 2,left
A-18,,four inches,tape,,,,

A 19/2,,"101,6 mm",tape,,,,
A-17,,4 in,tape,,,,
,,4 in,,,,,
"""


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    return web_app.client(tmp_path)


def register_of(client: TestClient):
    return client.app.state.server.register


def choose(client: TestClient, name: str, data: bytes, **more: str):
    return client.post("/register/import", files={"file": (name, data)}, data=more)


def hidden(page: str) -> dict[str, str]:
    """Give what a preview sends back."""
    form = re.search(r'<form method="post" action="/register/import/\w+">(.*?)</form>', page, re.DOTALL)[1]
    return dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form))


def workbook(rows: list[list[str]]) -> bytes:
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(rows):
            sheet.write_row(number, 0, row)
    return out.getvalue()


def test_a_preview_names_row_and_column_and_keeps_nothing(client: TestClient):
    answer = choose(client, "survey.csv", TABLE.encode())
    assert answer.status_code == 200
    page = answer.text
    assert "row 3" in page
    assert "column C" in page
    assert "four inches" in page
    assert "case A-17 is that of row 2 already" in page
    assert "the sample has no id" in page
    assert "A-19-2" in page
    assert register_of(client).cases.list().lines == ()
    assert register_of(client).jobs.latest() == ()
    assert list(register_of(client).files.names()) == []


def test_a_table_becomes_cases_and_bad_rows_are_reported(client: TestClient):
    ids = plant(register_of(client))
    sent = hidden(choose(client, "survey.csv", TABLE.encode(), prefix="HV-", customer=ids.customer).text)
    answer = client.post("/register/import/samples", data=sent)
    assert answer.status_code == 200
    assert str(answer.url).endswith(f"/register/import/jobs/{sent['job']}")
    assert "<strong>2</strong> cases made" in answer.text
    assert "four inches" in answer.text
    assert {line.case for line in register_of(client).cases.list().lines} == {"HV-A-17", "HV-A-19-2"}
    opened = register_of(client).cases.open("HV-A-17")
    assert opened.content["evidence"]["marks"][0]["text"] == "W?124"
    assert [each["value"] for each in opened.content["evidence"]["readings"]] == ["4.06 in", "18.9 mm"]
    assert opened.content["notes"] == "left Brought in from survey.csv, row 2."
    assert opened.filing == {"state": "open", "customer": ids.customer, "site": ids.site, "machine": ids.machine}
    assert opened.summary is not None


def test_confirming_twice_and_working_a_chunk_twice_makes_no_case_twice(client: TestClient):
    sent = hidden(choose(client, "survey.csv", TABLE.encode()).text)
    client.post("/register/import/samples", data=sent)
    before = register_of(client).verify().sound
    again = client.post("/register/import/samples", data=sent)
    assert "no sample can become a case" in again.text
    found = import_reading.read_table("survey.csv", "sample,mark\nB-1,W124\n", register_of(client))
    job = import_work.put_down(client.app.state.server, found, by="desk", customer="", job="")
    taken = register_of(client).jobs.take("one", [import_work.KIND])
    first = import_work.make_cases(register_of(client), taken.given)
    assert import_work.make_cases(register_of(client), taken.given) == first == {"made": ["B-1"], "left": []}
    assert register_of(client).verify().sound == before + 1
    assert register_of(client).jobs.of(job.id).leased == 1


def test_a_number_taken_between_preview_and_work_is_reported(client: TestClient):
    register = register_of(client)
    found = import_reading.read_table("survey.csv", "sample,mark\nB-1,W124\nB-2,W124\n", register)
    job = import_work.put_down(client.app.state.server, found, by="desk", customer="", job="")
    register.cases.create("B-1", by="somebody else")
    answer = client.post(f"/register/import/jobs/{job.id}/go-on")
    assert "<strong>1</strong> case made" in answer.text
    assert "there is a case" in answer.text
    assert register.cases.open("B-2").version == 1


def test_a_workbook_gives_the_same_as_its_table(client: TestClient):
    rows = [["sample", "mark", "pitch"], ["A-1", "W124", "4 in"], ["", "", ""], ["A-2", "", "5 furlongs"]]
    page = choose(client, "survey.xlsx", workbook(rows)).text
    assert "row 4" in page
    assert "furlongs" in page
    client.post("/register/import/samples", data=hidden(page))
    assert [line.case for line in register_of(client).cases.list().lines] == ["A-1"]


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.csv", b"", "no header"),
        ("a.csv", b"sample,pich\nA,4 in\n", "not a column of a survey"),
        ("a.csv", b"mark\nW124\n", "no column &#39;sample&#39;"),
        ("a.csv", b"sample,mark\n", "no samples"),
        ("a.csv", b"sample\xff,mark\nA,B", "not UTF-8"),
        ("a.xlsx", b"PK\x03\x04 not one", "a.xlsx"),
        ("../../etc/a.xls", b"x", "old workbook"),
        ("a.exe", b"MZ", "ends in"),
        ("a.json", b"{", "not JSON"),
        ("a.json", b'{"schema": "other-1"}', "the schema is"),
        ("a.json", b'{"schema": "chaincase/case-1", "case": "a b"}', "a.json"),
        ("a.json", b'{"schema": "chaincase/events-1", "case": "HV-1", "events": [{"id": "x"}]}', "events[0]"),
        ("a.json", b'{"schema": "chaincase/events-1", "case": "HV-1"}', "missing"),
        ("a.csv", b"sample,mark\n" + b"A,W124\n" * 2001, "2001 samples"),
        ("a.csv", b'sample,mark\nA,"W124\n', "quote"),
        ("a.csv", b"sample,mark\nA," + b"x" * 5000, "holds 5000 characters"),
    ],
)
def test_a_file_that_cannot_be_read_is_told_with_its_place(client: TestClient, name: str, data: bytes, words: str):
    answer = choose(client, name, data)
    assert answer.status_code == 422
    assert words in answer.text
    assert "chaincase-" not in answer.text  # the folder that it was read from
    assert "Traceback" not in answer.text


def test_a_preview_that_was_tampered_with_is_read_again_or_refused(client: TestClient):
    sent = hidden(choose(client, "survey.csv", TABLE.encode()).text)
    for packed in ("", "x", sent["packed"][:-40], import_reading.packed_of("no,survey\n1,2\n")):
        answer = client.post("/register/import/samples", data={**sent, "packed": packed})
        assert answer.status_code == 422
    assert client.post("/register/import/events", data=sent).status_code == 422
    assert register_of(client).cases.list().lines == ()


def test_a_case_comes_in_as_it_was_written(client: TestClient):
    content = {"schema": "chaincase/case-1", "case": "HV-7", "title": "Lift", "evidence": {"marks": [{"text": "C188"}]}}
    page = choose(client, "HV-7.json", json.dumps(content).encode()).text
    client.post("/register/import/samples", data=hidden(page))
    opened = register_of(client).cases.open("HV-7")
    assert opened.content["title"] == "Lift"
    assert opened.content["evidence"]["marks"][0]["text"] == "C188"
    assert (
        "there is a case HV-7 in the register already" in choose(client, "HV-7.json", json.dumps(content).encode()).text
    )


def events_file(*values: str) -> bytes:
    events = [
        {
            "id": str(uuid4()),
            "kind": "add",
            "path": "evidence.readings",
            "value": {"dimension": "pitch", "value": value, "by": "millwright"},
            "base": 1,
            "client": "phone",
        }
        for value in values
    ]
    return json.dumps({"schema": "chaincase/events-1", "case": "HV-1", "events": events}).encode()


def test_a_phones_file_goes_into_its_case_once(client: TestClient):
    data = events_file("4.06 in", "4.05 in")
    assert choose(client, "HV-1-field.json", data).status_code == 422  # there is no such case yet
    register_of(client).cases.create("HV-1", by="desk", content={"title": "Ash drag"})
    page = choose(client, "HV-1-field.json", data).text
    assert "<strong>2</strong> new changes" in page
    assert "4.05 in" in page
    assert register_of(client).cases.open("HV-1").version == 1
    done = client.post("/register/import/events", data=hidden(page)).text
    assert done.count("in force") == 3
    assert register_of(client).cases.open("HV-1").version == 3
    again = choose(client, "HV-1-field.json", data).text
    assert "2 are there already" in again
    assert client.post("/register/import/events", data=hidden(page)).text.count("was there already") == 2
    assert register_of(client).cases.open("HV-1").version == 3


def test_what_the_sender_may_not_change_is_refused_by_itself(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    served.register.cases.create("HV-1", by="desk")
    field = web_app.signed_in(served, Role.FIELD)
    data = json.loads(events_file("4 in"))
    data["events"].append({"id": str(uuid4()), "kind": "set", "path": "chosen", "value": {"designation": "W124"}})
    page = choose(field, "a.json", json.dumps(data).encode()).text
    done = field.post("/register/import/events", data=hidden(page)).text
    assert "settled by an engineer" in done
    assert "chosen" not in served.register.cases.open("HV-1").content


def test_roles(tmp_path: Path):
    served = web_app.server(tmp_path, accounts=True)
    reader, field = web_app.signed_in(served, Role.READER), web_app.signed_in(served, Role.FIELD)
    assert choose(reader, "a.csv", TABLE.encode()).status_code == 403
    page = choose(field, "a.csv", TABLE.encode()).text
    assert "An engineer brings samples in" in page
    sent = {"name": "a.csv", "packed": import_reading.packed_of(TABLE), "job": str(uuid4())}
    assert field.post("/register/import/samples", data=sent).status_code == 403
    assert served.register.cases.list().lines == ()


def test_the_api_does_the_same(client: TestClient):
    looked = client.post(
        "/api/v1/surveys/look?name=a.csv&prefix=S-", content=TABLE.encode(), headers={"content-type": "text/csv"}
    )
    assert looked.status_code == 200, looked.text
    samples = looked.json()["samples"]
    assert [(each["row"], each["case"], bool(each["faults"])) for each in samples][:3] == [
        (2, "S-A-17", False),
        (3, "S-A-18", True),
        (5, "S-A-19-2", False),
    ]
    assert register_of(client).cases.list().lines == ()
    begun = client.post("/api/v1/surveys/jobs?name=a.csv", content=TABLE.encode(), headers={"content-type": "text/csv"})
    assert begun.status_code == 201, begun.text
    done = client.get(f"/api/v1/surveys/jobs/{begun.json()['job']['id']}").json()
    assert done["made"] == ["A-17", "A-19-2"]
    assert [each["row"] for each in done["left"]] == [3, 6, 7]
    assert client.get("/api/v1/surveys/jobs/none").status_code == 404
    assert client.post("/api/v1/surveys/look?name=a.csv", content=b"").status_code == 422
    assert client.post("/api/v1/surveys/look?name=e.json", content=events_file("4 in")).status_code == 404
    register_of(client).cases.create("HV-1", by="desk")
    elsewhere = client.post("/api/v1/surveys/look?name=e.json", content=events_file("4 in"))
    assert elsewhere.status_code == 422
    assert "/events" in elsewhere.json()["error"]["right"]


def test_views_by_the_api(client: TestClient):
    kept = client.post("/api/v1/views", json={"name": "asked", "filter": {"state": "asked"}})
    assert kept.status_code == 201, kept.text
    assert client.get("/api/v1/views").json() == [kept.json()]
    assert kept.json()["address"] == "/register?state=asked"
    assert client.post("/api/v1/views", json={"name": "x", "filter": {"color": "red"}}).status_code == 422
    assert client.delete(f"/api/v1/views/{kept.json()['id']}?version=1").status_code == 204
    assert "asked" not in {each["name"] for each in client.get("/api/v1/views").json()}
