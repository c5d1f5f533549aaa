"""Tables and files sent to do harm: refused by the readers of the import page and of surveys, before they cost."""

import base64
import io
import json
import zipfile
import zlib
from pathlib import Path

import pytest

import web_app
from chaincase.errors import BadInput
from chaincase.web.import_reading import LIMITS, packed_samples, read_upload
from chaincase.web.survey_work import put_down
from web_app import TestClient

SHEET = b'<?xml version="1.0"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
ENTITIES = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
    + b"]><x>&j;</x>"
)
OUTSIDE = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><x>&a;</x>'


def book(**parts: bytes) -> bytes:
    """Give a workbook of these parts; whatever it says, its sheet is what is given."""
    out = io.BytesIO()
    kinds = b'<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("[Content_Types].xml", kinds)
        for name, content in parts.items():
            file.writestr(name.replace("__", "/") + ".xml", content)
    return out.getvalue()


def many_parts() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        for number in range(20_000):
            file.writestr(f"xl/{number}", "")
    return out.getvalue()


def nested() -> bytes:
    inner = zlib.compress(b"\0" * 50_000_000)
    return book(xl__workbook=inner * 20, xl__worksheets__sheet1=b"\0" * 150_000_000)


BOMBS: dict[str, tuple[str, bytes]] = {
    "a sheet that unpacks to 150 MB": ("a.xlsx", book(xl__worksheets__sheet1=SHEET + b"<row/>" * 25_000_000)),
    "packed in packed": ("a.xlsx", nested()),
    "twenty thousand parts": ("a.xlsx", many_parts()),
    "entities of entities": ("a.xlsx", book(xl__workbook=ENTITIES)),
    "a file from outside": ("a.xlsx", book(xl__workbook=OUTSIDE)),
    "a workbook that is none": ("a.xlsx", b"PK\x05\x06" + b"\0" * 18),
    "one cell of 19 MB": ("a.csv", b"sample,mark\nA," + b"x" * 19_000_000),
    "a quote that never ends": ("a.csv", b'sample,mark\nA,"' + b"x\n" * 900_000),
    "a million columns": ("a.csv", b"sample" + b"," * 1_000_000),
    "a million lines": ("a.csv", b"sample,mark\n" + b"\n" * 1_000_000),
    "zeros": ("a.csv", b"\0" * 1_000_000),
    "JSON without end": ("a.json", b"[" * 1_000_000),
    "JSON of a number as long as a book": ("a.json", b'{"schema": ' + b"9" * 1_000_000 + b"}"),
    "larger than is read": ("a.csv", b"x" * (LIMITS.text_bytes + 1)),
}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> TestClient:
    return web_app.client(tmp_path_factory.mktemp("bombs"))


@pytest.mark.parametrize("name", BOMBS)
def test_what_is_sent_to_do_harm_is_refused(client: TestClient, name: str) -> None:
    server, (file, data) = client.app.state.server, BOMBS[name]
    with pytest.raises(BadInput) as refused:
        read_upload(file, data, server.register)
    assert len(str(refused.value)) < 2_000
    assert "/tmp/" not in str(refused.value)  # noqa: S108 - where the server put it is nobody's business
    if not file.endswith(".json"):
        with pytest.raises(BadInput):
            put_down(server, file, data, by="test")
    assert server.register.jobs.latest() == ()


def test_a_preview_that_unpacks_to_far_more_is_refused(client: TestClient) -> None:
    packed = base64.urlsafe_b64encode(zlib.compress(b"x" * (LIMITS.text_bytes * 4), 9)).decode()
    assert len(packed) < 200_000
    register = client.app.state.server.register
    for text in (packed, packed[:-40], "", "====", "é", "A" * 1_000):
        with pytest.raises(BadInput):
            packed_samples("a.csv", text, register)
    form = {"name": "a.csv", "packed": packed, "job": "x"}
    assert client.post("/register/import/samples", data=form).status_code == 422


def test_deep_json_to_the_api_is_told(client: TestClient) -> None:
    client.post("/api/v1/cases", json={"case": "B-1"})
    for body in (b"[" * 500_000, b'{"events": ' + b"[" * 300_000, b'{"events": [' + b'{"a":' * 100_000, b"\xff\xfe{"):
        headers = {"content-type": "application/json"}
        answer = client.post("/api/v1/cases/B-1/events", content=body, headers=headers)
        assert answer.status_code in {400, 422}, answer.text[:200]
    deep = {"id": "0192f0c1-5b1e-7c3a-9d21-3f6b5a1c2d4e", "kind": "set", "path": "notes"}
    value: object = "x"
    for _ in range(400):
        value = {"a": value}
    answer = client.post("/api/v1/cases/B-1/events", content=json.dumps({"events": [{**deep, "value": value}]}))
    assert answer.status_code in {200, 422}
    assert answer.status_code == 422 or answer.json()["results"][0]["outcome"] == "refused"


def test_names_never_become_paths(client: TestClient, tmp_path: Path) -> None:
    names = (
        "../../x.csv",
        "/etc/x.csv",
        "C:\\x.csv",
        "x\0.csv",
        "\u202ex.csv",
        "x" * 300 + ".csv",
        "..",
        ".csv",
        "con.csv",
    )
    before = set(tmp_path.parent.rglob("*"))
    for name in names:
        answer = client.post("/api/v1/surveys", params={"name": name[:200]}, content=b"sample,mark\nA,WH132\n")
        assert answer.status_code in {201, 422}, (name, answer.text)
    assert set(tmp_path.parent.rglob("*")) == before
