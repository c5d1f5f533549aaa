"""Backup, restore, export and import: all of it and nothing else, from either engine to either engine."""

import io
import json
import threading
import zipfile
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from chaincase.cli.main import run
from chaincase.errors import BadInput
from chaincase.register import Register, open_register, restore
from chaincase.register.accounts import bind_subject
from chaincase.register.passes import add_token, token_person
from chaincase.register.summaries import Summary
from registers import ENGINES, Place, change, make_place


def picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (30, 20), "gray").save(out, "JPEG")
    return out.getvalue()


def summarize(content: dict[str, Any]) -> Summary:
    return Summary(("length",), 1, 0, "WR124", 0.9)


def fill_first(register: Register) -> None:
    """Write something of everything that the first tables held."""
    customer = register.customers.add(by="lead", name="Paper mill")
    site = register.sites.add(by="lead", customer=customer.id, name="North")
    machine = register.machines.add(by="lead", site=site.id, name="Debarker")
    position = register.positions.add(by="lead", machine=machine.id, name="left")
    register.cases.create("HV-1", by="lead", content={"title": "Förderkette", "notes": "half \ud800 and nul \x00"})
    chain = register.installed.install(position.id, on="2024-02-01", by="lead", case="HV-1", designation="WR124")
    register.wear.add(by="fitter", installed=chain.id, on="2025-03-01", length="60 3/4 in", over=15)
    register.customers.change(customer.id, 1, by="lead", note="two lines")
    extra = register.customers.add(by="lead", name="Saw mill")
    register.customers.remove(extra.id, 1, by="lead")
    entry = change("add", "evidence.readings", {"dimension": "pitch", "value": "4.06 in"}, 1, client="phone")
    clash = [change("set", "title", "A", 1), change("set", "title", "B", 1)]
    late = change("set", "evidence.marks[m1].text", "W?124", 1, client="phone")
    register.cases.append("HV-1", [entry, *clash, late], by="fitter")
    register.photographs.put(picture(), by="fitter", name="left.jpg", case="HV-1")
    register.documents.put("HV-1", "dossier.pdf", b"%PDF-1.7", kind="dossier", by="lead")
    register.views.add(by="lead", owner="lead", name="Mine")
    person = register.people.add(by="admin", email="lead@plant.example", role="engineer")
    register.people.set_password_hash(person.id, "$argon2id$secret", by="admin")


def fill(register: Register) -> None:
    fill_first(register)
    (person,) = register.people.find()
    with register.store.write() as db:
        add_token(db, person.id, "scale", now=1_700_000_000)
        bind_subject(db, "subject", person.id)


def said(register: Register, path: Path) -> dict[str, str]:
    """Give all that an export says, but its moment."""
    register.export(path)
    with zipfile.ZipFile(path) as archive:
        members = {name: archive.read(name).hex() for name in archive.namelist() if name != "manifest.json"}
        manifest = json.loads(archive.read("manifest.json"))
    path.unlink()
    return {**members, "hash": manifest["hash"], "entries": manifest["entries"]}


@pytest.mark.parametrize("to", ENGINES)
def test_a_backup_comes_back_whole(place: Place, to: str, request: pytest.FixtureRequest, tmp_path: Path):
    other = make_place(to, request, tmp_path)
    with place.open(summarize=summarize) as register:
        fill(register)
        register.backup(tmp_path / "b.zip")
        before = said(register, tmp_path / "e.zip")
        opened = register.cases.open("HV-1")
        hits = register.search("60 3 4") + register.search("wr124") + register.search("saw")
    brought = restore(tmp_path / "b.zip", other.place, files=other.files)
    assert (brought.cases, brought.files) == (1, 2)
    with other.open() as register:
        assert said(register, tmp_path / "e.zip") == before
        assert register.cases.open("HV-1") == opened
        assert opened.summary == summarize({})
        assert len(opened.conflicts) == 1
        assert register.search("60 3 4") + register.search("wr124") + register.search("saw") == hits
        assert register.verify(deep=True).fault is None
        person = register.people.by_email("lead@plant.example")
        assert person is not None
        assert register.people.password_hash(person.id) == "$argon2id$secret"
        assert [line.case for line in register.cases.list().lines] == ["HV-1"]
        entry = change("add", "evidence.marks", {"id": "m1"}, 1, client="phone")
        entry["id"] = "00" + entry["id"][2:]
        marks = register.cases.append("HV-1", [entry], by="fitter").content["evidence"]["marks"]
        assert marks == [{"id": "m1", "text": "W?124"}]
    with pytest.raises(BadInput, match="with something in it"):
        restore(tmp_path / "b.zip", other.place, files=other.files)


def test_an_export_lets_nobody_in(register: Register, tmp_path: Path):
    fill(register)
    manifest = register.export(tmp_path / "e.zip")
    with zipfile.ZipFile(tmp_path / "e.zip") as archive:
        assert archive.testzip() is None
        whole = b"".join(archive.read(name) for name in archive.namelist())
        lines = [json.loads(line) for line in archive.read("cases.jsonl").splitlines()]
    assert b"argon2" not in whole
    assert b"secrets" not in whole
    assert lines[0]["content"]["schema"] == "chaincase/case-1"
    assert lines[0]["filing"] == {"state": "open"}
    assert manifest.kind == "export"
    with open_register(tmp_path / "other") as other:
        other.bring_in(tmp_path / "e.zip")
        person = other.people.by_email("lead@plant.example")
        assert person is not None
        assert other.people.password_hash(person.id) == ""
        assert other.verify(known=(manifest.entries, manifest.hash), deep=True).fault is None
        with other.store.read() as db:
            assert token_person(db, "none", 0) is None


def test_a_later_archive_goes_on_from_an_earlier_one(place: Place, tmp_path: Path):
    with place.open(summarize=summarize) as register, open_register(tmp_path / "copy") as copy:
        fill(register)
        copy.bring_in(_exported(register, tmp_path / "1.zip"))
        register.cases.append("HV-1", [change("set", "plant", "South")], by="lead")
        register.cases.create("HV-2", by="lead")
        register.customers.add(by="lead", name="Third mill")
        brought = copy.bring_in(_exported(register, tmp_path / "2.zip"))
        assert (brought.entries, brought.cases) == (3, 2)
        assert copy.bring_in(tmp_path / "2.zip").entries == 0
        assert said(copy, tmp_path / "a.zip") == said(register, tmp_path / "b.zip")
        copy.cases.create("HV-3", by="lead")
        register.cases.create("HV-4", by="lead")
        before = said(copy, tmp_path / "a.zip")
        with pytest.raises(BadInput, match="not a later state"):
            copy.bring_in(_exported(register, tmp_path / "3.zip"))
        assert said(copy, tmp_path / "a.zip") == before


def _exported(register: Register, path: Path) -> Path:
    register.export(path)
    return path


def test_every_backup_under_load_opens(place: Place, tmp_path: Path):
    with place.open() as register:
        register.cases.create("HV-1", by="lead")
        ended = threading.Event()

        def write() -> None:
            while not ended.is_set():
                register.cases.append("HV-1", [change("add", "evidence.readings", {"value": "1 in"})], by="w")
                register.customers.add(by="w", name="Mill")

        writers = [threading.Thread(target=write) for _ in range(2)]
        for writer in writers:
            writer.start()
        manifests = [register.backup(tmp_path / f"{n}.zip") for n in range(4)]
        ended.set()
        for writer in writers:
            writer.join()
        assert manifests[0].entries < manifests[3].entries
        for number, manifest in enumerate(manifests):
            assert register.verify(known=(manifest.entries, manifest.hash)).fault is None
            restore(tmp_path / f"{number}.zip", tmp_path / f"restored-{number}")
            with open_register(tmp_path / f"restored-{number}") as restored:
                assert restored.verify(deep=True).sound == manifest.entries


def damaged(source: Path, target: Path, name: str, change_to: Any) -> Path:
    """Copy an archive with one member changed, dropped (None) or added."""
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for each in old.namelist():
            content = old.read(each)
            if each == name:
                content = change_to(content) if change_to else None
            if content is not None:
                new.writestr(each, content)
        if name not in old.namelist():
            new.writestr(name, change_to(b""))
    return target


def relabelled(source: Path, target: Path, old: bytes, new: bytes) -> Path:
    """Forge an entry of the journal, and the manifest so that its hashes are right."""
    with zipfile.ZipFile(source) as archive:
        journal = archive.read("journal.jsonl").replace(old, new)
        manifest = json.loads(archive.read("manifest.json"))
    manifest["members"]["journal.jsonl"] = {"sha256": sha256(journal).hexdigest(), "bytes": len(journal)}
    half = damaged(source, target.with_suffix(".half"), "journal.jsonl", lambda _: journal)
    return damaged(half, target, "manifest.json", lambda _: json.dumps(manifest).encode())


def test_a_damaged_archive_changes_nothing(tmp_path: Path):
    with open_register(tmp_path / "register") as register:
        fill(register)
        register.export(good := tmp_path / "good.zip")
    bad = [
        damaged(good, tmp_path / "1.zip", "journal.jsonl", lambda content: content[:-200]),
        damaged(good, tmp_path / "2.zip", "cases.jsonl", None),
        damaged(good, tmp_path / "3.zip", "../../escaped", lambda _: b"words"),
        damaged(good, tmp_path / "4.zip", "manifest.json", lambda _: b"{}"),
        damaged(good, tmp_path / "5.zip", "manifest.json", lambda content: content.replace(b"archive-1", b"archive-9")),
        damaged(good, tmp_path / "6.zip", "manifest.json", None),
        relabelled(good, tmp_path / "7.zip", b'"by":"fitter"', b'"by":"nobody"'),
        tmp_path / "none.zip",
        tmp_path,
    ]
    (tmp_path / "words.zip").write_bytes(b"no archive")
    (tmp_path / "cut.zip").write_bytes(good.read_bytes()[:-300])
    with open_register(tmp_path / "other") as other:
        for path in [*bad, tmp_path / "words.zip", tmp_path / "cut.zip"]:
            with pytest.raises(BadInput):
                other.bring_in(path)
            assert other.verify(deep=True).sound == 0
        assert not list((tmp_path / "other").rglob("escaped"))
        assert other.bring_in(good).cases == 1


def test_the_commands(tmp_path: Path, capsys: pytest.CaptureFixture[str]):
    with open_register(tmp_path / "register") as register:
        fill(register)
        end = register.verify()
    where = ["--data", str(tmp_path / "register")]
    assert run(["backup", str(tmp_path / "b.zip"), *where]) == 0
    assert f"{end.sound} {end.hash}" in capsys.readouterr().out
    assert run(["export", str(tmp_path / "e.zip"), "--json", *where]) == 0
    assert json.loads(capsys.readouterr().out)["hash"] == end.hash
    assert run(["restore", str(tmp_path / "b.zip"), "--data", str(tmp_path / "again")]) == 0
    assert "1 cases" in capsys.readouterr().out
    assert run(["import", str(tmp_path / "e.zip"), "--json", "--data", str(tmp_path / "read")]) == 0
    assert json.loads(capsys.readouterr().out)["cases"] == 1
    assert run(["import", str(tmp_path / "e.zip"), "--data", str(tmp_path / "read")]) == 0
    for wrong in (
        ["restore", str(tmp_path / "b.zip"), "--data", str(tmp_path / "again")],
        ["backup", str(tmp_path / "b.zip"), "--data", str(tmp_path / "nowhere")],
        ["backup", str(tmp_path / "none" / "b.zip"), *where],
        ["import", str(tmp_path / "none.zip"), *where],
        ["export", str(tmp_path), *where],
    ):
        capsys.readouterr()
        assert run(wrong) == 2
        assert capsys.readouterr().err.count("\n") == 1
    assert not (tmp_path / "nowhere").exists()
